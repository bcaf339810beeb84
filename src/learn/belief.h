/// What is believed of the materials after all burns that share them: the mode, the spread, draws,
/// and how far to trust them. Worked out from the readings; same readings, seed and build give
/// the same bytes, however many threads. Method (docs/learning.md): each wick's burns as straight
/// lines over what its own readings leave open (learn/look); damped Gauss-Newton over all lines to
/// the joint mode, the two widths at the mode of their own posterior; the bell shape there
/// (Laplace). If asked for, importance draws of the outer unknowns by the engine with the rest
/// summed out, accepted on their tail diagnostic; tempering where it fails and time is given.
/// Needs: learn/lines, learn/sampling.
/// Allocates: one block, owned by the caller.
#pragma once
#include <stdint.h>

#include "learn/look.h"
#include "learn/sampling.h"

typedef enum ep_belief_how {
    EP_BELIEF_PRIOR,    ///< nothing was burned
    EP_BELIEF_LAPLACE,  ///< the bell shape only: no draws asked for, or their check failed
    EP_BELIEF_IMPORTANCE,
    EP_BELIEF_TEMPERED
} ep_belief_how;
const char *ep_belief_how_text(ep_belief_how how);

typedef struct ep_belief_opts {
    uint64_t seed;
    int draws;      ///< kept, 16..512
    int ways;       ///< misfits of block `ways_of` beside each draw's materials, 1..16; 0 = 1
    int ways_of;    ///< block, 0..n_blocks-1; not used when ways are 1
    int tried;      ///< importance draws, each one engine run per wick; 0 = none
    int temper;     ///< particles of the fallback, each some 20 engine runs; 0 = no fallback
    int max_steps;  ///< of the mode, before and after the widths are set; 0 = 30
    const ep_look *const *look;  ///< of each run, borrowed; NULL, or one of them NULL: looked here
    void (*progress)(void *ctx, double share);  ///< may be NULL
    void *progress_ctx;
} ep_belief_opts;

typedef struct ep_belief {
    int n_params, n_outer, n_unknowns, n_draws, n_data;
    double *mode;       ///< n_unknowns
    double *mean, *sd;  ///< n_outer, in prior sd; of the draws, or of the bell shape
    double *draw;       ///< n_draws x n_unknowns, equally weighted
    int n_ways;
    double *way;  ///< n_draws x (n_ways - 1) x EP_BIAS_COUNT: with the materials of a draw, other
                  ///< misfits of one block as likely as the draw's own
    double *fit;  ///< prediction of each datum at the mode, misfit and candle included
    double *disagree;  ///< of each datum, in sd: how badly the rest predicts it
    ep_belief_how how;
    ep_sample_diag diag;
    int engine_runs;  ///< that it rests on, those of looks handed in too
    int steps;
    bool converged;
    double scatter_sd;  ///< candle to candle, at the mode
    double misfit;      ///< size of the model's own error, 1 = as tabled
} ep_belief;

ep_status ep_belief_learn(const ep_model *m, const ep_belief_opts *opts, ep_belief **out,
                          ep_err *err);
void ep_belief_destroy(ep_belief *b);
/// Misfit unknowns of the block beside a draw's materials: way 1..n_ways-1; the draw's own is way
/// 0.
double *ep_belief_way(const ep_belief *b, int draw, int way);
/// Room for a belief of a model, all zero. Owned by the caller. EP_E_MEMORY.
ep_status ep_belief_make(const ep_model *m, int draws, int ways, ep_belief **out);

/// The whole belief as bytes, and back for the same model. Raise EP_BELIEF_METHOD with every change
/// that moves beliefs from the same readings: kept ones are then no longer taken.
#define EP_BELIEF_METHOD 5
ep_status ep_belief_write(const ep_belief *b, unsigned char **bytes, size_t *len);
/// EP_E_PARSE when the bytes are not a belief of this model.
ep_status ep_belief_read(const unsigned char *bytes, size_t len, const ep_model *m,
                         ep_belief **out);
