/// A simulated trace moved by what was learned of the engine's own errors in a recipe, so that
/// forecast, odds and judging speak of the candle as it will be read.
/// Needs: burn, learn/model. Allocates: nothing.
#pragma once
#include <stdint.h>

#include "learn/model.h"

/// The misfit of one recipe as drawn or believed.
typedef struct ep_shift {
    double bias[EP_BIAS_COUNT];  ///< unknowns of the block
    double misfit;               ///< ep_model_misfit
    double size_x;               ///< of the wick simulated
} ep_shift;

/// A misfit as likely as any before a reading: all unknowns from their priors, the same for a way
/// (0..15) of member m under one seed whatever the recipe. size_x is left 0.
ep_shift ep_shift_prior(uint64_t seed, int member, int way);

/// Pool, depth, flame, wall, exposed wick, soot margin, carbon head and burned mass of every sample
/// and session, kept within what is possible (a pool is no wider than the jar). Temperatures rise
/// from room_C. What the engine says of the candle's end stays.
void ep_shift_trace(ep_trace *t, const ep_shift *s, double room_C);
