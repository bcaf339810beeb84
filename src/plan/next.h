/// The next test, the first as any later. Rules N1-N7, cited by code, tests and docs/learning.md:
///  N1 a wick the judge calls right on enough real candles: proven, with the chance of being wrong;
///     on fewer than `need` only if that chance is at most EP_NEXT_WRONG_MAX
///  N2 a real verdict beats the odds: a wick judged too big ends the hope of all larger ones,
///     too small of all smaller ones, wrong kind of itself; and a wick that had candles enough for
///     a proof with one of them against it, or twice as many, is not tried again
///  N3 candles of a wick still in the running that are not burned to the end are burned on first
///  N4 which sizes to pour together: the set whose expected cost to a proof is least, in candles
///     and days, over what the draws say may follow (plan/ahead.h)
///  N5 how many of each: by the same count. A candle that passed counts towards the proof; a wick
///     may need fewer where margins are wide (J31), if the chance of being wrong is small then
///  N6 futility: after burns, no wick of the series is right in more than one draw in twelve, by
///     the 95 % bound that so many draws allow, or real verdicts leave none: none fits, and what to
///     change instead
///  N7 futility: candles that should be alike differ too much to choose between sizes
/// Needs: judge, plan. Allocates: nothing.
#pragma once
#include "plan/plan.h"

typedef enum ep_next_status {
    EP_NEXT_POUR,
    EP_NEXT_BURN_ON,
    EP_NEXT_PROVEN,
    EP_NEXT_NONE
} ep_next_status;
const char *ep_next_key(ep_next_status s);  ///< "pour", "burn_on", "proven", "none"

enum { EP_PLAN_MAX = 3 };
typedef struct ep_plan_pick {
    int size;  ///< index into the sizes given
    char reason[200];
} ep_plan_pick;

/// One size as it stands. Shares 0..1 over the draws.
typedef struct ep_next_size {
    double right, small, hot;
    ep_verdict_kind verdict;  ///< of the real candles; EP_VERDICT_UNKNOWN when none
    bool stopped;             ///< a real candle had to be put out
    int candles;              ///< poured so far
    int finished_right;       ///< burned to the end and nothing against them
    int finished_wrong;       ///< judged, and something against them
    int open;                 ///< poured, neither finished nor given up
} ep_next_size;

typedef struct ep_next_in {
    int n;
    const ep_next_size *size;  ///< in order of feed
    int members;               ///< draws
    int burned;  ///< candles behind them, fewer when each was read in several ways; 0 = as many
    const unsigned char *kind;    ///< members x n, verdict kind of each draw; NULL = no draws
    int need;                     ///< candles a proof asks for (limit min_candles)
    int each;                     ///< candles of each size poured, as the maker asks; 0 = N5
    int least;                    ///< as few when margins are wide (min_candles_wide); 0 = need
    double cure_days, burn_days;  ///< of a round
    double day_cost;              ///< of a day, in candles; EP_NEXT_DAY_COST is a fair start
    double scatter_sd;            ///< candle to candle, as inferred
    int burned_sessions;          ///< real sessions behind the odds
    const char *const *size_name;
} ep_next_in;

typedef struct ep_next {
    ep_next_status status;
    int n;
    ep_plan_pick pick[EP_PLAN_MAX];
    int candles[EP_PLAN_MAX];
    int total_candles;
    double covered;       ///< chance that one of the set is right
    double chance_wrong;  ///< of the answer: of the proof, of "none", of the set; 0..1
    double expected_candles, expected_days;  ///< to a proof from here
    char sentence[400];
} ep_next;

/// Chance of being wrong that a proof on fewer than `need` candles may leave (N1): ours.
#define EP_NEXT_WRONG_MAX 0.02

/// Twenty days of waiting weigh as much as one candle with its ten sittings: ours.
#define EP_NEXT_DAY_COST 0.05

void ep_plan_next(const ep_next_in *in, ep_next *out);

/// Was a candle of the size put out, or judged too big?
bool ep_next_hot(const ep_next_size *s);
/// N2: the size whose real candles rule out size i by being too small or too hot: itself, else the
/// nearest. -1 = none does.
/// @param hot  set when there is one: it was too hot, else too small
int ep_next_ruled_out(const ep_next_size *size, int n, int i, bool *hot);

/// Above this inferred scatter sizes a step apart cannot be told from each other (N7): ours, half
/// the step of 25 % in burn rate between neighbouring sizes.
#define EP_NEXT_SCATTER_MAX 0.12
