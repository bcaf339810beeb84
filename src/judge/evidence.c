// J1 to J7: does this session count? A session that does not count still tells of every hazard;
// it cannot prove a wick right, nor too small.
#include <math.h>
#include <stdio.h>

#include "judge/judge_int.h"

static const double slack = 1e-9;

// the latest session that has to be repeated, and why; what spoils more comes first in the list
static void spoil(ep_candle_facts *c, const ep_burn_facts *f, int why)
{
    if (c->repeat_session != f->session) {
        c->repeat_session = f->session;
        c->repeat_why = why;
    }
}

// J1: the last session of a candle ends when the wax does, and a flame that went out ended it
static bool length_kept(ep_work *w, const ep_burn_facts *f)
{
    if (f->under_way) {
        return false;
    }
    double tolerance_min = ep_limit_frac(w, EP_LIMIT_SESSION_TOL) * f->planned_min;
    double off_min = f->rec->lit_min - f->planned_min;
    if (fabs(off_min) <= tolerance_min + slack) {
        return true;
    }
    if (off_min < 0.0 && (f->final || f->went_out)) {
        return true;
    }
    ep_finding find = ep_finding_at(w, EP_J1, EP_WARN, f, ep_seen_none(), f->planned_min, EP_U_MIN);
    find.value = f->rec->lit_min;
    char lit[32] = "for an unknown time";
    if (isfinite(off_min)) {
        snprintf(lit, sizeof lit, "%.0f min", f->rec->lit_min);
    }
    ep_find(w, find, isfinite(off_min) ? fabs(off_min) : 0.0,
            "%s, session %d: lit %s of %.0f min planned; it does not count",
            ep_code_of(w, f->candle), f->session, lit, f->planned_min);
    return false;
}

// J2: grade of the session, or a reading taken in it
static bool still_air(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    ep_seen seen = f->high[EP_READ_DRAUGHT];
    double grade = fmax(seen.value, f->rec ? (double)f->rec->draught : -1.0);
    double limit = ep_limit_value(w, EP_LIMIT_DRAUGHT);
    if (!(grade >= limit)) {
        return true;
    }
    ep_finding find = ep_finding_at(w, EP_J2, EP_WARN, f, seen, limit, EP_U_NONE);
    find.value = grade;
    find.session = f->session;
    ep_find(w, find, grade, "%s, session %d: draught %.0f; repeat it in still air before sizing",
            ep_code_of(w, f->candle), f->session, grade);
    spoil(c, f, EP_J2);
    return false;
}

// J3
static bool upright(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    ep_seen seen = f->high[EP_READ_LEAN];
    double limit_mm = ep_limit_value(w, EP_LIMIT_LEAN);
    if (!(seen.value > limit_mm)) {
        return true;
    }
    ep_find(w, ep_finding_at(w, EP_J3, EP_WARN, f, seen, limit_mm, EP_U_MM), seen.value,
            "%s, session %d: wick %.3g mm off centre; straighten it and repeat before sizing",
            ep_code_of(w, f->candle), f->session, seen.value);
    spoil(c, f, EP_J3);
    return false;
}

// J4: widest and narrowest of one session, both at their widest
static bool even_pool(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    ep_seen wide = f->high[EP_READ_POOL_WIDE], narrow = f->high[EP_READ_POOL_NARROW];
    if (f->rec && f->rec->n_wicks > 1) {
        // several wicks have no centre to be moved to, and pools that have not met are no fault of
        // their places
        return true;
    }
    // in a vessel that is not round each is held to its own side
    double uneven = wide.value / f->inner_mm - narrow.value / f->across_mm;
    double limit = ep_limit_frac(w, EP_LIMIT_LOPSIDED);
    if (!(uneven > limit + slack)) {
        return true;
    }
    ep_finding find = ep_finding_at(w, EP_J4, EP_WARN, f, wide, limit * f->inner_mm, EP_U_MM);
    find.value = wide.value - narrow.value;
    find.ref[find.n_refs++] = narrow.i;
    ep_find(w, find, uneven,
            "%s, session %d: pool %.3g mm one way and %.3g mm the other; centre the wick, turn the "
            "candle, repeat",
            ep_code_of(w, f->candle), f->session, wide.value, narrow.value);
    spoil(c, f, EP_J4);
    return false;
}

// J5
static bool room_in_range(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    double lo_C = ep_limit_value(w, EP_LIMIT_ROOM_LO), hi_C = ep_limit_value(w, EP_LIMIT_ROOM_HI);
    double noted_C = f->rec ? f->rec->room_C : EP_NAN;
    double least_C = fmin(noted_C, f->low[EP_READ_ROOM_TEMP].value);
    double most_C = fmax(noted_C, f->high[EP_READ_ROOM_TEMP].value);
    bool cold = least_C<lo_C, warm = most_C> hi_C;
    if (!cold && !warm) {
        return true;
    }
    ep_seen seen = cold ? f->low[EP_READ_ROOM_TEMP] : f->high[EP_READ_ROOM_TEMP];
    ep_finding find = ep_finding_at(w, EP_J5, EP_WARN, f, seen, cold ? lo_C : hi_C, EP_U_DEG_C);
    find.value = cold ? least_C : most_C;
    find.session = f->session;
    ep_find(w, find, cold ? lo_C - least_C : most_C - hi_C,
            "%s, session %d: room %.3g C is outside %.3g to %.3g C; only its hazards count",
            ep_code_of(w, f->candle), f->session, find.value, lo_C, hi_C);
    spoil(c, f, EP_J5);
    return false;
}

// J6: unknown rest is not held against a session
static bool rested(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    double limit_h = ep_limit_value(w, EP_LIMIT_REST);
    double rest_h = f->rec->rest_before_h;
    if (f->session <= 1 || !(rest_h < limit_h)) {
        return true;
    }
    ep_finding find = ep_finding_at(w, EP_J6, EP_WARN, f, ep_seen_none(), limit_h, EP_U_H);
    find.value = rest_h;
    ep_find(w, find, limit_h - rest_h,
            "%s, session %d: lit again after %.2g h of rest, %.2g h at least; it does not count",
            ep_code_of(w, f->candle), f->session, rest_h, limit_h);
    spoil(c, f, EP_J6);
    return false;
}

void ep_rules_evidence(ep_work *w, ep_candle_facts *c, ep_burn_facts *f)
{
    bool still = still_air(w, c, f), straight = upright(w, c, f);
    f->excuse = !still ? EP_J2 : !straight ? EP_J3 : 0;
    bool room = room_in_range(w, c, f);
    f->fair = !f->excuse && room;
    if (!f->rec) {
        return;
    }
    bool even = even_pool(w, c, f), rest = rested(w, c, f), length = length_kept(w, f);
    if (!f->under_way && !length) {
        spoil(c, f, EP_J1);
    }
    // J7: lit before the cure was out
    if (f->rec->before_cure) {
        ep_find(w, ep_finding_at(w, EP_J7, EP_WARN, f, ep_seen_none(), EP_NAN, EP_U_NONE),
                -(double)f->session,
                "%s was lit before its cure was out: it may show a wick too hot or too small, "
                "never right",
                ep_code_of(w, f->candle));
    }
    f->counts = f->fair && even && rest && length;
}
