/// Odds of every candidate wick from an ensemble of simulated candles.
/// Needs: burn, judge, learn. Allocates: what ep_odds_compute holds while it runs.
/// Draws of beliefs sharpened by the maker's own burns take the place of the tables' ranges once
/// there are burns (ep_odds_draws).
#pragma once
#include <stdint.h>

#include "burn/burn.h"
#include "burn/ensemble.h"
#include "judge/judge.h"

/// A 90 % interval and its middle.
typedef struct ep_band {
    double p05, p50, p95;
} ep_band;

/// What a label may claim: 95 of 100 such candles burn at least so long, as far as `confidence`.
#define EP_CLAIM_MISS       0.05
#define EP_CLAIM_CONFIDENCE 0.95

typedef struct ep_claim {
    double burn_s;      ///< lower bound of the burn time
    double confidence;  ///< 0..1 that 95 of 100 reach it; below 0.95 when members are few
    int unfinished;     ///< members that ended before the stop height
} ep_claim;

/// Lower tolerance bound without assumed distribution, by order statistics (Wilks 1941, Annals of
/// Mathematical Statistics 12, 91): the highest rank of n that covers 95 of 100 with 95 %
/// confidence; that takes 59, with fewer it is the shortest of all. Sorts burn_s (n >= 1).
ep_claim ep_claim_of(double *burn_s, int n);

/// Chance that the rank-th shortest of n (1 = the shortest) lies below what 95 of 100 reach.
double ep_claim_confidence(int n, int rank);

/// Lit time of one candle down to the stop height; all of it when it ended before.
double ep_claim_burn_s(const ep_trace *t);

enum { EP_ODDS_SESSIONS = 24 };

/// Ways in which one simulated candle may be read, each with an error of the engine of its own; a
/// burn costs far more than another reading of it. As many as EP_MAX_MEMBERS leaves room for.
enum { EP_ODDS_WAYS = 8 };
int ep_odds_ways(int members);  ///< 1..EP_ODDS_WAYS

/// Odds of one wick over the members of an ensemble. Shares 0..1 over all that were judged.
typedef struct ep_wick_odds {
    int members;                               ///< candles burned on the computer
    int judged;                                ///< members, or members x ways
    double verdict[EP_VERDICT_COUNT_];         ///< share judged so; one to be put
                                               ///< out at any time is too big, and nothing else
    double wall_by_session[EP_ODDS_SESSIONS];  ///< pool at the wall by session 1, 2, ...
    int n_sessions;  ///< sessions of the longest member, at most EP_ODDS_SESSIONS
    double drowned;  ///< went out by itself before the end
    ep_band rate_kg_s, wall_max_C, flame_max_m, burn_total_s, burn_to_stop_s;
    ep_claim claim;  ///< burn time for the label
    /// per session
    ep_band s_rate_kg_s[EP_ODDS_SESSIONS], s_reach_frac[EP_ODDS_SESSIONS];
    ep_band s_depth_mid_m[EP_ODDS_SESSIONS], s_wall_max_C[EP_ODDS_SESSIONS];
    ep_band s_flame_max_m[EP_ODDS_SESSIONS], s_hangup_kg[EP_ODDS_SESSIONS];
    double sessions_p50;  ///< of a member's life
} ep_wick_odds;

/// Simulate and judge. limits: EP_LIMIT_COUNT_ rows, borrowed.
ep_status ep_odds_compute(const ep_burn_case *c, const ep_ensemble_opts *opts,
                          const ep_limit *limits, ep_wick_odds *out, ep_err *err);

/// Draws of what is believed. Their size_x is that of the wick computed.
typedef struct ep_odds_draws {
    const ep_factors *factors;     ///< opts->members of them; NULL = from the tables' ranges
    const struct ep_shift *shift;  ///< the engine's misfit: ep_odds_ways of each member in a row;
                                   ///< NULL = none, and every member is judged once
} ep_odds_draws;

/// The same from draws in place of the tables' ranges (draws NULL = ep_odds_compute).
/// @param kinds  NULL, or room for the verdict kind of each one judged; one with a hot limit passed
///               counts as too big
ep_status ep_odds_compute_drawn(const ep_burn_case *c, const ep_ensemble_opts *opts,
                                const ep_limit *limits, const ep_odds_draws *draws,
                                unsigned char *kinds, ep_wick_odds *out, ep_err *err);

/// The same of candles already burned on the computer and, where something was learned, moved by
/// what was learned. Their factors are read, their traces judged.
ep_status ep_odds_of(const ep_burn_case *c, const ep_ensemble *e, const ep_limit *limits,
                     unsigned char *kinds, ep_wick_odds *out, ep_err *err);

/// Raise with every change that moves odds of the same draws under the same engine: kept ones are
/// then no longer taken.
#define EP_ODDS_METHOD 4
/// Odds and the verdict kind of each one judged as bytes (free), and back, bit for bit.
/// kinds: odds->judged of them, at most EP_MAX_MEMBERS; reading, it may be NULL. EP_E_PARSE when
/// the bytes are not odds of so many members.
ep_status ep_odds_write(const ep_wick_odds *odds, const unsigned char *kinds, unsigned char **bytes,
                        size_t *len);
ep_status ep_odds_read(const unsigned char *bytes, size_t len, int members, ep_wick_odds *odds,
                       unsigned char *kinds);
