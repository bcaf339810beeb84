/// Beliefs without a further burn: candles simulated beforehand from the tables' ranges, every wick
/// of the shelf from the same draws of materials, are weighed by how well they foretold what was
/// read; misfit and candles are summed out and drawn as in learn/model. Coarser than
/// ep_belief_learn (the members tried are those of the stock, nothing between them) and some
/// hundred times cheaper once the stock stands. Importance weights of a prior ensemble; where they
/// rest on too few members they are flattened by a power of the likelihood, which makes the belief
/// wider than the readings allow, never narrower, and is reported.
/// Needs: learn/model, learn/shift. Allocates: one block per answer, owned by the caller.
#pragma once
#include <stdint.h>

#include "learn/model.h"
#include "learn/shift.h"

/// Log of how much faster the brisk candle of a stock burns by its own scatter.
#define EP_STOCK_BRISK 0.04

/// Simulated candles of one wick. Borrowed.
typedef struct ep_stock {
    int members;
    ep_trace *const *trace;  ///< member m is the same draw of materials in every stock
    const ep_trace *middle;  ///< nominal factors
    const ep_trace *brisk;   ///< the same with log scatter EP_STOCK_BRISK
} ep_stock;

typedef struct ep_reweigh_opts {
    uint64_t seed;
    int draws;         ///< 16..512
    double least_ess;  ///< members the weights must rest on; 0 = 12
} ep_reweigh_opts;

typedef struct ep_reweighed {
    int draws, n_inner;
    int *member;     ///< of each draw, equally weighted
    double *inner;   ///< draws x n_inner: unknowns of the blocks, as ep_model_inner
    double *widths;  ///< n_params zeros, then the two widths (what ep_model_scatter reads)
    double scatter_sd, misfit;
    double ess;    ///< effective members of the plain weights
    double power;  ///< of the likelihood after flattening; 1 = none was needed
} ep_reweighed;

/// @param stock  of each run of the model, all with as many members
/// A model without data gives draws of the prior, misfit included.
ep_status ep_reweigh(const ep_model *m, const ep_stock *const *stock, int members,
                     const ep_reweigh_opts *opts, ep_reweighed **out, ep_err *err);
void ep_reweighed_destroy(ep_reweighed *w);

/// The candle a draw foretells for a wick: its member's trace with the misfit of `block` and a new
/// candle's own deviation (z, standard normal) laid over it. *out is owned by the caller.
/// @param target  block, size_x and room_C are read
ep_status ep_reweighed_trace(const ep_model *m, const ep_reweighed *w, int draw,
                             const ep_stock *stock, const ep_model_run *target, double z,
                             ep_trace **out);
