/// Many burns of one candle with its uncertain factors drawn from their priors. Member m under a
/// seed is the same candle whatever the number of threads, and the same draw of materials for every
/// wick size, so sizes are compared on equal terms.
/// Needs: base, burn. Allocates: one trace per member.
#pragma once
#include <stdint.h>

#include "burn/burn.h"

enum { EP_MAX_MEMBERS = 512 };

typedef struct ep_ensemble_opts {
    int members;  ///< 2..EP_MAX_MEMBERS
    uint64_t seed;
    int threads;  ///< 1..64; 0 = as many as processors
} ep_ensemble_opts;

typedef struct ep_ensemble {
    int members;
    int copies;  ///< traces in a row of one candle burned (ep_ensemble_copy); 0 and 1 = as burned
    ep_trace *trace[EP_MAX_MEMBERS];  ///< owned; no frames
    ep_factors factors[EP_MAX_MEMBERS];
} ep_ensemble;

/// The factors of every member: Latin hypercube in the priors (McKay, Beckman, Conover 1979), one
/// normal (of the logarithm, for multipliers) per factor. `low`..`high` of a prior hold 90 %.
/// @param out  `members` of them
void ep_factors_draw(const ep_burn_case *c, uint64_t seed, int members, ep_factors *out);

/// Value of a factor that lies z prior standard deviations from nominal for this very candle: the
/// law both ep_factors_draw and a belief about materials draw from. Multipliers of nominal 1, the
/// melting point in K of nominal 0.
double ep_factor_at(const ep_burn_case *c, ep_uncertain u, double z);

/// Burn all members of `base` with these factors, `opts->members` of them, borrowed; opts->seed is
/// not used. Otherwise as ep_ensemble_run.
ep_status ep_ensemble_run_with(const ep_burn_case *base, const ep_ensemble_opts *opts,
                               const ep_factors *factors, ep_ensemble **out, ep_err *err);

/// Burn all members of `base` (its factors are replaced). EP_E_ARG for members out of range.
/// On success *out is owned by the caller.
ep_status ep_ensemble_run(const ep_burn_case *base, const ep_ensemble_opts *opts, ep_ensemble **out,
                          ep_err *err);
void ep_ensemble_destroy(ep_ensemble *e);

/// Every candle `copies` times in a row, so that each copy may be changed by itself: candle m
/// stands at m x copies. members x copies is at most EP_MAX_MEMBERS. EP_E_MEMORY, the ensemble as
/// it was.
ep_status ep_ensemble_copy(ep_ensemble *e, int copies, ep_err *err);

/// Quantile of n numbers by linear interpolation between order statistics (Hyndman & Fan 1996,
/// type 7); NaN values are left out; NaN when none is left. Sorts `x` in place, NaN last, so that
/// it may be asked again.
double ep_quantile(double *x, int n, double p);
