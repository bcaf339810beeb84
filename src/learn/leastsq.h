/// Damped least squares (Levenberg 1944, Marquardt 1963) on a QR factorisation, with the column
/// scaling of Moré 1978 (from memory) and the damping update of Nielsen 1999 (from memory). Also
/// minimises anything whose gradient and curvature are written as J'r and J'J: a robust or ordinal
/// likelihood hands over rows scaled so that this holds.
/// Needs: base. Allocates: its work space, freed before it returns.
#pragma once
#include <stdbool.h>

#include "base/status.h"

/// Evaluate at x (n numbers). Writes what is minimised to *value; when `J` is not NULL also r (m
/// numbers) and J (m x n, row by row) so that J'r is the gradient of *value. *value not finite =
/// the point is refused. For plain least squares *value = |r|^2 / 2.
typedef ep_status (*ep_lsq_fn)(void *ctx, const double *x, double *value, double *r, double *J);

typedef struct ep_lsq_opts {
    int max_steps;    ///< tried steps
    double step_rel;  ///< ends when a step moves no parameter by more than this share
    double gain_abs;  ///< ends when the model promises no more than this; 0 = not used
    double noise;     ///< roughness of the value itself: ends when a step changes it by less
    double damping;   ///< first damping; 0 = 1e-3. Start larger where the start is poor
    bool polish;      ///< win the last digits by undamped steps
} ep_lsq_opts;

typedef struct ep_lsq_out {
    double value;
    int steps;
    bool converged;
} ep_lsq_out;

/// Minimise from x; x holds the best point on return. EP_E_MEMORY, EP_E_DIVERGED when the start has
/// no finite value, or what fn returned.
ep_status ep_lsq_run(ep_lsq_fn fn, void *ctx, int m, int n, const ep_lsq_opts *opts, double *x,
                     ep_lsq_out *out);

/// Householder QR of A (m x n, row by row, m >= n) in place: R in the upper triangle. b (m numbers,
/// may be NULL) becomes Q'b.
void ep_qr(double *A, int m, int n, double *b);
/// R x = b by back substitution, R in rows of stride n. A column that does not determine its
/// parameter gives 0.
void ep_qr_back(const double *R, int n, const double *b, double *x);
/// Inverse of R (upper triangle, n x n) into X (n x n): the covariance is X X'.
void ep_qr_inverse(const double *R, int n, double *X);
