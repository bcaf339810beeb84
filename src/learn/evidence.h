/// What a maker's readings say, made comparable with a simulated trace: each reading becomes a
/// datum on a scale where errors are about alike (L1 in docs/learning.md). Partial records are the
/// rule: a reading that is not there simply gives no datum. Needs: burn, judge. Allocates: one
/// block per call.
#pragma once
#include "burn/burn.h"
#include "judge/judge.h"

/// Kinds of datum. X(ID, key, scale, sd of one reading, sd of the model's own misfit, label)
/// Scale: LOG natural logarithm, MM, K above the room, LOGH log of the time, M latent millimetres,
/// G latent grade. Instrument and misfit sds are ours (docs/learning.md says from what); the misfit
/// is shared by all readings of a kind in one recipe, so that many readings never outvote it.
// clang-format off
#define EP_DATUM_LIST(X)                                                                           \
    X(RATE, "rate", "LOG", 0.035, 0.10, "wax burned in a session")                                 \
    X(WIDTH, "pool_width", "MM", 2.0, 4.0, "pool width")                                           \
    X(DEPTH, "pool_depth", "MM", 1.2, 2.0, "pool depth")                                           \
    X(FLAME, "flame", "LOG", 0.10, 0.20, "flame height")                                           \
    X(WALL, "wall_temp", "K", 2.0, 5.0, "outside temperature")                                     \
    X(EXPOSED, "exposed_wick", "MM", 1.0, 1.5, "wick above the pool")                              \
    X(TIME, "pool_at_wall", "LOGH", 0.15, 0.35, "time until the pool is at the wall")              \
    X(SOOT, "soot", "M", 5.0, 8.0, "soot")                                                         \
    X(MUSHROOM, "mushroom", "G", 0.5, 0.6, "carbon head")                                          \
    X(OUT, "went_out", "M", 0.7, 0.7, "flame going out")
// clang-format on

typedef enum ep_datum_kind {
#define X(id, key, scale, sd, misfit, label) EP_DATUM_##id,
    EP_DATUM_LIST(X)
#undef X
        EP_DATUM_COUNT_
} ep_datum_kind;

typedef struct ep_datum_def {
    const char *key, *scale, *label;
    double sd, misfit_sd;
} ep_datum_def;
const ep_datum_def *ep_datum_def_of(ep_datum_kind k);

typedef struct ep_datum {
    ep_datum_kind kind;
    int candle;  ///< of the dossier
    int session;
    double minute;  ///< since lighting; of rates the lit time of the session
    double value;   ///< on the kind's scale; grade of an ordinal kind
    double lo, hi;  ///< TIME: log hours between which it happened, infinite = open
    double sd;      ///< as it counts: readings alike within a session share one voice
    double sd_one;  ///< of this one reading by itself
    double life;    ///< share of the wax burned by then, 0..1
    int ref;        ///< index into dossier.reading, -1 = a weighing
} ep_datum;

typedef struct ep_evidence {
    int n, cap;
    ep_datum *datum;  ///< owned
    int sessions;     ///< last session that says anything
    double lit_s;     ///< median lit time of the sessions that went as planned; 0 = none
    double room_C;    ///< mean of the rooms noted, NAN = none
} ep_evidence;

/// Readings of one wick (revision and size). Sessions in a strong draught (grade 3) are left out.
ep_status ep_evidence_of(const ep_dossier *d, ep_evidence *out);
void ep_evidence_clear(ep_evidence *e);

/// What the trace would have given for each datum, on its scale; NAN where the simulated candle did
/// not get that far (died or ended earlier). TIME extrapolates by the cube of the reach when the
/// pool did not arrive, so that "nearly" and "never" differ (L2).
/// @param f  e->n numbers
void ep_evidence_predict(const ep_evidence *e, const ep_trace *t, double room_C, double *f);

/// Minus log likelihood of a datum given the prediction, with first derivative and a curvature that
/// is never negative. Numbers are Student t with 4 degrees of freedom, so that a slip loses its
/// voice; grades a cumulative probit, times an interval, all with a lapse of 2 % (L3).
double ep_datum_cost(const ep_datum *d, double f, double *slope, double *curvature);
/// Curvature for the bell at the mode, never negative: of grades and times the same, of numbers the
/// likelihood's own second derivative. The one above bounds it (the weight of iteratively
/// reweighted least squares): good for steps, but a third to two fifths too large on average.
double ep_datum_bend(const ep_datum *d, double f);
