/// Judging: readings in, findings and a verdict out. The same function reads what a maker wrote
/// down and what the engine simulated. Requirements J1.. stand at the head of judge.c; thresholds
/// in data/limits.def with source and owner.
/// Needs: base, recipe. Allocates: nothing; all arrays are the caller's. Thread use: any.
#pragma once
#include <stdbool.h>
#include <stddef.h>

#include "base/status.h"
#include "base/units.h"

/// Kinds of reading. X(ID, key, unit, type, min, max in that unit, label, help)
/// type: N number, G grade 0-3, F flag 0/1, S score 0-5
// clang-format off
#define EP_READING_LIST(X)                                                                         \
    X(POOL_WIDE, "pool_wide", MM, N, 0, 400, "melt pool, widest", "Edge to edge, the long way.")   \
    X(POOL_NARROW, "pool_narrow", MM, N, 0, 400, "melt pool, narrowest", "The short way.")         \
    X(POOL_DEPTH, "pool_depth", MM, N, 0, 60, "melt pool depth", "Half way to the wall.")          \
    X(POOL_AT_WALL, "pool_at_wall", NONE, F, 0, 1, "pool touches the wall all round", "")          \
    X(HANGUP_THICK, "hangup", MM, N, 0, 60, "wax left on the wall, thickness", "")                 \
    X(HANGUP_SHARE, "hangup_share", PCT, N, 0, 100, "wax left on the wall, share of the round", "")\
    X(FLAME, "flame", MM, N, 0, 300, "flame height", "From the pool to the tip, the tallest seen.")\
    X(FLICKER, "flicker", NONE, G, 0, 3, "flicker", "0 steady, 3 dances all the time.")            \
    X(MUSHROOM, "mushroom", NONE, G, 0, 3, "carbon head on the wick", "0 none, 3 large.")          \
    X(SOOT, "soot", NONE, G, 0, 3, "soot on rim or wall", "0 none, 1 trace, 2 ring, 3 heavy.")     \
    X(SMOKE, "smoke", NONE, G, 0, 3, "smoke while burning", "0 none, 2 often, 3 all the time.")    \
    X(WALL_TEMP, "wall_temp", DEG_C, N, 0, 300, "hottest outside wall", "Name the instrument.")    \
    X(RIM_TEMP, "rim_temp", DEG_C, N, 0, 300, "rim", "")                                           \
    X(BASE_TEMP, "base_temp", DEG_C, N, 0, 300, "base", "")                                        \
    X(EXPOSED, "exposed_wick", MM, N, 0, 60, "wick above the pool", "")                            \
    X(LEAN, "lean", MM, N, 0, 200, "wick off centre", "")                                          \
    X(WALL_GAP, "flame_gap", MM, N, 0, 200, "flame to wall, least", "")                            \
    X(WENT_OUT, "went_out", NONE, F, 0, 1, "went out by itself", "")                               \
    X(RELIGHTS, "relights", NONE, N, 0, 20, "times lit again", "")                                 \
    X(AFTERGLOW, "afterglow", S, N, 0, 600, "afterglow and after-smoke", "After snuffing.")        \
    X(SECOND_FLAME, "second_flame", S, N, 0, 3600, "second flame", "Anything else burning.")       \
    X(FLASHOVER, "flashover", NONE, F, 0, 1, "the whole pool caught fire", "")                     \
    X(BROKEN, "broken", NONE, F, 0, 1, "container cracked, leaking or scorching", "")              \
    X(TIPS, "tips", NONE, F, 0, 1, "tips over on a 10 degree slope", "")                           \
    X(MASS, "mass", G, N, 1, 10000, "mass, container and all", "")                                 \
    X(SURFACE, "surface", NONE, G, 0, 3, "surface after cooling", "0 smooth, 3 crater.")           \
    X(THROW, "throw", NONE, S, 0, 5, "scent, lit", "0 none, 3 clear, 5 too much.")                 \
    X(ROOM_TEMP, "room_temp", DEG_C, N, -10, 50, "room", "")                                       \
    X(DRAUGHT, "draught", NONE, G, 0, 3, "draught", "0 none, 3 strong.")
// clang-format on

typedef enum ep_reading_kind {
#define X(id, key, unit, type, min, max, label, help) EP_READ_##id,
    EP_READING_LIST(X)
#undef X
        EP_READ_COUNT_
} ep_reading_kind;

typedef struct ep_reading_def {
    const char *key;
    ep_unit unit;
    char type;  ///< 'N', 'G', 'F', 'S'
    double min, max;
    const char *label, *help;
} ep_reading_def;

const ep_reading_def *ep_reading_def_of(ep_reading_kind kind);
bool ep_reading_find(const char *key, ep_reading_kind *out);
/// Range and whole-number check of a value (in the kind's unit), plus the slips makers make
/// (a pool wider than the jar is refused when inner_m > 0). Error names the kind's key.
ep_status ep_reading_check(ep_reading_kind kind, double value, double inner_m, ep_err *err);

/// One reading. value in the kind's unit (mm, C, g, s, grade), as written down.
typedef struct ep_reading {
    char id[40];    ///< "" for a simulated one
    int candle;     ///< index into ep_dossier.candle
    int session;    ///< 1, 2, ... of that candle
    double minute;  ///< since lighting
    ep_reading_kind kind;
    double value;
} ep_reading;

/// One lit session of one candle.
typedef struct ep_burn_record {
    int candle;
    int session;  ///< 1, 2, ...
    double planned_min;
    double lit_min;              ///< so far, when still lit
    bool over;                   ///< put out or went out
    double before_kg, after_kg;  ///< with container; NAN when not weighed
    double left_frac;            ///< share of the wax left at the end, 0..1; NAN unknown
    double rest_before_h;        ///< NAN for the first
    double room_C;               ///< NAN unknown
    int draught;                 ///< grade 0-3, -1 unknown
    bool before_cure;            ///< lit before the cure was out
    double inner_m;   ///< inner diameter (the longer inner side) at the level burned; > 0
    double across_m;  ///< shorter inner side; 0 = round, as inner_m
    int n_wicks;      ///< 0 is read as 1
} ep_burn_record;

typedef struct ep_candle_record {
    char code[16];
    double wax_kg;  ///< fill
    bool finished;  ///< burned to the stop height or the end
} ep_candle_record;

/// Everything known of the candles of ONE wick (revision and size).
typedef struct ep_dossier {
    int n_candles;
    const ep_candle_record *candle;
    int n_burns;
    const ep_burn_record *burn;  ///< any order
    int n_readings;
    const ep_reading *reading;  ///< any order, corrections already applied
    bool simulated;
    bool tea_light;  ///< 30 mm flame limit instead of 75
} ep_dossier;

/// Limits: data/limits.def as LIMIT(ID, key, value, unit, min, max, grade, owner, source key, text)
typedef enum ep_limit_id {
#define LIMIT(id, key, value, unit, min, max, grade, owner, src, text) EP_LIMIT_##id,
#include "../../data/limits.def"
#undef LIMIT
    EP_LIMIT_COUNT_
} ep_limit_id;

typedef struct ep_limit {
    const char *key;
    double value;  ///< in `unit`
    ep_unit unit;
    double min, max;    ///< a maker may set it within these
    const char *grade;  ///< "standard", "law", "house", "practice"
    const char *owner;  ///< who set it; "the maker" for house limits
    const char *src;    ///< key in data/limits.bib or ""
    const char *text;
} ep_limit;

/// The built-in table; copy it and change house rows for a workshop's own limits.
const ep_limit *ep_limits_default(void);  ///< EP_LIMIT_COUNT_ rows
bool ep_limit_find(const char *key, ep_limit_id *out);

typedef enum ep_verdict_kind {
    EP_VERDICT_UNKNOWN,  ///< not yet known
    EP_VERDICT_TOO_SMALL,
    EP_VERDICT_RIGHT,
    EP_VERDICT_TOO_BIG,
    EP_VERDICT_WRONG_KIND,
    EP_VERDICT_COUNT_
} ep_verdict_kind;
const char *ep_verdict_key(ep_verdict_kind v);  ///< "not_yet_known", "too_small", ...
const char *ep_verdict_text(ep_verdict_kind v);

typedef enum ep_weight { EP_NOTE, EP_WARN, EP_AGAINST, EP_STOP } ep_weight;
const char *ep_weight_key(ep_weight w);

enum { EP_FINDING_REFS = 8, EP_MAX_FINDINGS = 48, EP_MAX_MISSING = 12 };

/// One finding. Cites its requirement and the readings behind it.
typedef struct ep_finding {
    int requirement;  ///< the J number
    ep_weight weight;
    int candle;           ///< -1 = all
    int session;          ///< 0 = none in particular
    double value, limit;  ///< NAN when not numeric; in the unit of the reading
    ep_unit unit;
    char text[200];
    int n_refs;
    int ref[EP_FINDING_REFS];  ///< indexes into dossier.reading
} ep_finding;

typedef struct ep_verdict {
    ep_verdict_kind kind;
    bool stop_now;  ///< at least one EP_STOP finding: put it out
    int n_findings;
    ep_finding finding[EP_MAX_FINDINGS];
    int n_missing;
    char missing[EP_MAX_MISSING][160];  ///< what must be seen before a verdict can be given
    char next_move[240];                ///< one change, in the order makers use
    int candles_right, candles_wrong;   ///< judged to the end
    double
        failure_bound_frac;  ///< zero failures in n: 1 - 0.05^(1/n); NAN when some failed or n = 0
    double worst_margin;  ///< least margin to a hot limit over the last quarter, as a fraction of
                          ///< the limit; NAN unknown
    char proof[240];      ///< what n candles can and cannot prove, one sentence
} ep_verdict;

/// @param limits  EP_LIMIT_COUNT_ rows, borrowed
/// @return EP_OK always unless the dossier is malformed (index out of range): EP_E_ARG.
ep_status ep_judge(const ep_dossier *d, const ep_limit *limits, ep_verdict *out, ep_err *err);

/// Text of requirement J<n> for help pages; NULL past the last. n from 1.
const char *ep_requirement_text(int n);

/// Upper 95 % bound of the failure rate after zero failures in n candles.
double ep_zero_failure_bound(int n);
