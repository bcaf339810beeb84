/// A model with straight lines in the engine's place, and its mode. Needs: learn/look,
/// learn/leastsq. Allocates: one block in ep_lines_of; work space per call.
#pragma once
#include "learn/look.h"

typedef struct ep_lines {
    ep_model m;  ///< as given, each datum's sds widened by how far the engine strays from its line
    ep_model_run *run;  ///< m.run, owned
    int data, unknowns, outer;
    double *f;      ///< data: predictions with all parameters 0
    double *slope;  ///< data: with the log of the candle scatter
    double *jac;    ///< data x n_params
} ep_lines;

/// look: one per run. Release with ep_lines_clear.
ep_status ep_lines_of(const ep_model *m, const ep_look *const *look, ep_lines *out);
void ep_lines_clear(ep_lines *l);
/// Prediction of every datum at the parameters x, before misfit and candle.
void ep_lines_predict(const ep_lines *l, const double *x, double *f);
/// The same with misfit and candle at all unknowns v; row (n unknowns, may be NULL): derivatives.
/// at: of the datum, counted over the runs.
double ep_lines_fit(const ep_lines *l, int run, int datum, int at, const double *v, double *row);

typedef struct ep_mode {
    int steps;
    bool converged;
    double width_sd[EP_MODEL_WIDTHS];
} ep_mode;

/// The joint mode from v on, the two widths at the mode of their own posterior.
/// @param v  all unknowns; the mode on return
/// @param X  unknowns x unknowns: X X' is the covariance there (Laplace)
ep_status ep_lines_mode(const ep_lines *l, int max_steps, double *v, double *X, ep_mode *out);

/// Covariance of the first n of X's `unknowns` into the lower triangle of C (n x n).
void ep_lines_covariance(const double *X, int unknowns, int n, double *C);
