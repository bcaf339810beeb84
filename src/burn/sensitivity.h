/// What would change the outcome most: each uncertain factor moved to both ends of its prior by
/// itself, all else nominal. Needs: burn. Allocates: traces while it runs. Threads: as many as
/// processors; the answer does not depend on their number.
///
/// A candle on rings burns once for each end of each factor. One on a plan grid costs some hundred
/// times as much, so its factors are ranked on a round jar of each wick's equal share, and only the
/// heaviest burn in full: at least EP_SENSITIVITY_FULL, and on until the so many heaviest rows are
/// all burned and none of them estimated.
#pragma once
#include "burn/ensemble.h"

/// Outcomes compared, of the first sessions of the candle.
typedef struct ep_outcome {
    double rate_kg_s, reach_frac, depth_mid_m, wall_max_C, flame_max_m;
} ep_outcome;

enum { EP_SENSITIVITY_FULL = 4 };

typedef struct ep_sensitivity {
    ep_uncertain factor;
    double lo, hi;  ///< the factor's value at both ends (MELT_POINT: kelvin)
    ep_outcome at_lo, at_hi;
    bool estimated;  ///< the outcomes are the candle's own nominal ones, moved as the share's moved
    double weight;   ///< how much it moves the outcome, in units of a maker's reading error
} ep_sensitivity;

/// @param sessions  1..EP_MAX_SESSIONS, how far each candle is burned
/// @param nominal   out
/// @param out       EP_UNC_COUNT_ rows, heaviest first
ep_status ep_sensitivity_run(const ep_burn_case *c, int sessions, ep_outcome *nominal,
                             ep_sensitivity *out, ep_err *err);

/// The round jar of the equal share: at every height of the profile a circle of 1/n_wicks of the
/// plan, with the same wall, wax, fill and one wick in its centre. False when such a jar cannot be
/// burned (too narrow); *out is then not to be used.
bool ep_share_case(const ep_burn_case *c, ep_burn_case *out);

/// What holds the flame back at the nominal balance: demand over supply at the exposed length of
/// the last session; below 1 the flame would take more wick, above 1 the wick cannot carry more.
double ep_feed_share(const ep_burn_case *c, double exposed_m, double pool_C);
