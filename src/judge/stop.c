// J8 to J16, the stop-now layer: what means "put it out", whatever else is known. These rules read
// every session, also those that do not count, and readings that belong to no session.
#include <math.h>
#include <stdio.h>

#include "judge/judge_int.h"

static const char *const repeat_first = "; draught or a leaning wick: repeat before sizing";

void ep_heat(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f, ep_finding find,
             double badness, const char *what)
{
    if (find.weight >= EP_AGAINST) {
        if (f->excuse) {
            // a hazard stays a hazard; anything less waits for the repeat
            bool stop = find.weight == EP_STOP;
            c->excused_stop = stop ? f->excuse : c->excused_stop;
            c->excused_mild = stop ? c->excused_mild : f->excuse;
            find.weight = stop ? EP_STOP : EP_WARN;
        } else {
            c->hot = c->against = true;
        }
    }
    c->stop_under_way = c->stop_under_way || (find.weight == EP_STOP && f->under_way);
    ep_find(w, find, badness, "%s, session %d: %s%s", ep_code_of(w, f->candle), find.session, what,
            f->excuse ? repeat_first : "");
}

// a hazard that tells nothing of the wick's size
static void hazard(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f, ep_finding find,
                   double badness, const char *what)
{
    c->against = true;
    c->stop_under_way = c->stop_under_way || f->under_way;
    if (w->t.hazard == 0 || find.requirement < w->t.hazard) {
        w->t.hazard = find.requirement;
    }
    ep_find(w, find, badness, "%s, session %d: %s", ep_code_of(w, f->candle), find.session, what);
}

// J8
static void flame(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    ep_seen s = f->high[EP_READ_FLAME];
    double limit_mm = ep_limit_value(w, w->d->tea_light ? EP_LIMIT_FLAME_TEA : EP_LIMIT_FLAME);
    if (!(s.value > limit_mm)) {
        return;
    }
    char what[96];
    snprintf(what, sizeof what, "flame %.3g mm, limit %.3g mm", s.value, limit_mm);
    ep_heat(w, c, f, ep_finding_at(w, EP_J8, EP_STOP, f, s, limit_mm, EP_U_MM), s.value, what);
}

// J9
static void second_flame(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    ep_seen s = f->high[EP_READ_SECOND_FLAME];
    double limit_s = ep_limit_value(w, EP_LIMIT_SECOND_FLAME);
    if (!(s.value > 0.0)) {
        return;
    }
    char what[96];
    snprintf(what, sizeof what, "something beside the wick burned for %.3g s, limit %.3g s",
             s.value, limit_s);
    if (s.value > limit_s) {
        hazard(w, c, f, ep_finding_at(w, EP_J9, EP_STOP, f, s, limit_s, EP_U_S), s.value, what);
    } else {
        ep_find(w, ep_finding_at(w, EP_J9, EP_WARN, f, s, limit_s, EP_U_S), s.value,
                "%s, session %d: %s", ep_code_of(w, f->candle), w->d->reading[s.i].session, what);
    }
}

// J10: the pool itself burning is heat, draught or not
static void flashover(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    ep_seen s = f->high[EP_READ_FLASHOVER];
    if (!(s.value >= 0.5)) {
        return;
    }
    ep_burn_facts plain = *f;
    plain.excuse = 0;
    ep_heat(w, c, &plain, ep_finding_at(w, EP_J10, EP_STOP, f, s, EP_NAN, EP_U_NONE), 1.0,
            w->d->simulated
                ? "the melt gets as hot as its flash point: the whole pool may catch fire"
                : "the whole pool caught fire");
}

// J11, J12
static void vessel(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    ep_seen broken = f->high[EP_READ_BROKEN], tips = f->high[EP_READ_TIPS];
    if (broken.value >= 0.5) {
        hazard(w, c, f, ep_finding_at(w, EP_J11, EP_STOP, f, broken, EP_NAN, EP_U_NONE), 1.0,
               "the container cracked, leaked or scorched what it stood on");
    }
    if (tips.value >= 0.5) {
        char what[96];
        double slope = ep_limit_value(w, EP_LIMIT_TIP_SLOPE);
        snprintf(what, sizeof what, "tips over on a slope of %.3g degrees", slope);
        hazard(w, c, f, ep_finding_at(w, EP_J12, EP_STOP, f, tips, EP_NAN, EP_U_NONE), 1.0, what);
    }
}

ep_seen ep_outside_seen(const ep_work *w, const ep_burn_facts *f)
{
    ep_seen s = f->high[EP_READ_WALL_TEMP];
    s = ep_seen_above(w->d, f->high[EP_READ_RIM_TEMP], s) ? f->high[EP_READ_RIM_TEMP] : s;
    return ep_seen_above(w->d, f->high[EP_READ_BASE_TEMP], s) ? f->high[EP_READ_BASE_TEMP] : s;
}

// J13: wall, rim and base alike
static void outside(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    ep_seen s = ep_outside_seen(w, f);
    double warn_C = ep_limit_value(w, EP_LIMIT_WALL_WARN);
    double stop_C = ep_limit_value(w, EP_LIMIT_WALL_STOP);
    bool stop = s.value > stop_C;
    if (!stop && !(s.value > warn_C)) {
        return;
    }
    char what[96];
    snprintf(what, sizeof what, "container %.3g C outside, the maker's own limit %.3g C", s.value,
             stop ? stop_C : warn_C);
    ep_heat(w, c, f,
            ep_finding_at(w, EP_J13, stop ? EP_STOP : EP_WARN, f, s, stop ? stop_C : warn_C,
                          EP_U_DEG_C),
            s.value, what);
}

// J14: a flame at the wall is a matter of placement, unless the wick is known to stand centred
static void wall_gap(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    ep_seen s = f->low[EP_READ_WALL_GAP];
    double stop_mm = ep_limit_value(w, EP_LIMIT_GAP_STOP);
    double warn_mm = ep_limit_value(w, EP_LIMIT_GAP_WARN);
    bool stop = s.value < stop_mm;
    if (!stop && !(s.value < warn_mm)) {
        return;
    }
    char what[96];
    snprintf(what, sizeof what, "flame %.3g mm from the wall, the maker's own limit %.3g mm",
             s.value, stop ? stop_mm : warn_mm);
    ep_finding find =
        ep_finding_at(w, EP_J14, stop ? EP_STOP : EP_WARN, f, s, stop ? stop_mm : warn_mm, EP_U_MM);
    bool centred = w->d->simulated || ep_seen_any(f->high[EP_READ_LEAN]);
    if (stop && !f->excuse && !centred) {
        hazard(w, c, f, find, -s.value, what);
    } else {
        ep_heat(w, c, f, find, -s.value, what);
    }
}

// J15: carbon as smoke; whether it means size or kind is for the pool to tell
static void smoke(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    ep_seen s = f->high[EP_READ_SMOKE];
    double stop = ep_limit_value(w, EP_LIMIT_SMOKE_STOP);
    double against = ep_limit_value(w, EP_LIMIT_SMOKE_AGAINST);
    if (s.value >= stop) {
        ep_carbon(w, c, f, ep_finding_at(w, EP_J15, EP_STOP, f, s, stop, EP_U_NONE),
                  "smokes all the time");
    } else if (s.value >= against) {
        ep_carbon(w, c, f, ep_finding_at(w, EP_J15, EP_AGAINST, f, s, against, EP_U_NONE),
                  "smokes often");
    }
}

// J16
static void power_burn(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    double limit_h = ep_limit_value(w, EP_LIMIT_POWER_BURN);
    double lit_h = f->rec ? f->rec->lit_min / 60.0 : EP_NAN;
    if (!(lit_h > limit_h || (f->under_way && lit_h >= limit_h))) {
        return;
    }
    ep_finding find =
        ep_finding_at(w, EP_J16, f->under_way ? EP_STOP : EP_WARN, f, f->abuse, limit_h, EP_U_H);
    find.value = lit_h;
    find.session = f->session;
    c->stop_under_way = c->stop_under_way || f->under_way;
    ep_find(w, find, lit_h, "%s, session %d: lit for %.3g h on end, %.3g h at most; %s",
            ep_code_of(w, f->candle), f->session, lit_h, limit_h,
            f->under_way ? "put it out" : "what was read later belongs to a power burn");
}

void ep_rules_stop(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    flame(w, c, f);
    second_flame(w, c, f);
    flashover(w, c, f);
    vessel(w, c, f);
    outside(w, c, f);
    wall_gap(w, c, f);
    smoke(w, c, f);
    power_burn(w, c, f);
}
