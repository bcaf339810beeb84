// J18, J20, J22 to J26, J28: what one session says of the wick.
#include <math.h>
#include <stdio.h>

#include "judge/judge_int.h"

static bool late_in_programme(const ep_work *w, const ep_burn_facts *f)
{
    return f->final || f->session >= ep_limit_value(w, EP_LIMIT_SMALL_SESSION);
}

// pool of this session, else of the latest one that shows it
static ep_pool_state pool_known(const ep_candle_facts *c, const ep_burn_facts *f)
{
    return f->pool != EP_POOL_UNREAD ? f->pool : c->pool;
}

// Carbon over a full pool is heat; carbon while the pool stays short is the wrong kind of wick;
// carbon before the pool can be judged is neither yet.
static void carbon_class(const ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    ep_pool_state pool = pool_known(c, f);
    c->against = true;
    if (pool == EP_POOL_FULL) {
        c->hot = true;
    } else if (pool != EP_POOL_UNREAD && late_in_programme(w, f)) {
        c->carbon = true;
    } else {
        c->open = true;
    }
}

void ep_carbon(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f, ep_finding find,
               const char *what)
{
    if (f->excuse) {
        ep_heat(w, c, f, find, find.value, what);
        return;
    }
    const char *aside = "";
    if (!f->fair && find.weight < EP_STOP) {
        find.weight = find.weight > EP_WARN ? EP_WARN : find.weight;
        aside = "; the room was out of range, so it does not count";
    }
    if (find.weight >= EP_AGAINST) {
        carbon_class(w, c, f);
    }
    c->stop_under_way = c->stop_under_way || (find.weight == EP_STOP && f->under_way);
    ep_find(w, find, find.value, "%s, session %d: %s%s", ep_code_of(w, f->candle), find.session,
            what, aside);
}

// J18
static void race(ep_work *w, const ep_burn_facts *f)
{
    double usual_min = f->inner_mm / ep_limit_value(w, EP_LIMIT_POOL_RATE) * 60.0;
    double least_min = ep_limit_frac(w, EP_LIMIT_RACE) * usual_min;
    ep_seen s = f->full_first;
    if (w->d->tea_light || f->session != 1 || !(s.minute < least_min)) {
        return;
    }
    ep_finding find = ep_finding_at(w, EP_J18, EP_WARN, f, s, least_min, EP_U_MIN);
    find.value = s.minute;
    ep_find(w, find, -s.minute,
            "%s, session 1: pool at the wall after %.0f min, usual is %.0f; it will run hotter as "
            "the level drops",
            ep_code_of(w, f->candle), s.minute, usual_min);
}

// J20: a tea light is liquid through by design
static void depth(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    ep_seen s = f->depth;
    double limit_mm = ep_limit_value(w, EP_LIMIT_DEPTH);
    if (w->d->tea_light || !(s.value > limit_mm)) {
        return;
    }
    char what[96];
    snprintf(what, sizeof what, "pool %.3g mm deep at %.2g h, common practice stops at %.3g mm",
             s.value, s.minute / 60.0, limit_mm);
    ep_heat(w, c, f, ep_finding_at(w, EP_J20, EP_AGAINST, f, s, limit_mm, EP_U_MM), s.value, what);
}

// one grade against its two limits
static void carbon_grade(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f, int requirement,
                         ep_seen s, ep_limit_id warn, ep_limit_id against, const char *name)
{
    double warn_at = ep_limit_value(w, warn), against_at = ep_limit_value(w, against);
    bool is_against = s.value >= against_at;
    if (!is_against && !(s.value >= warn_at)) {
        return;
    }
    double limit = is_against ? against_at : warn_at;
    char what[64];
    snprintf(what, sizeof what, "%s grade %.0f", name, s.value);
    ep_carbon(
        w, c, f,
        ep_finding_at(w, requirement, is_against ? EP_AGAINST : EP_WARN, f, s, limit, EP_U_NONE),
        what);
}

// J24: only a warning; whose fault it is must be told from a draught first
static void flicker(ep_work *w, const ep_burn_facts *f)
{
    ep_seen s = f->high[EP_READ_FLICKER];
    double limit = ep_limit_value(w, EP_LIMIT_FLICKER);
    if (f->excuse || !(s.value >= limit)) {
        return;
    }
    bool air_known = (f->rec && f->rec->draught >= 0) || ep_seen_any(f->high[EP_READ_DRAUGHT]);
    ep_find(w, ep_finding_at(w, EP_J24, EP_WARN, f, s, limit, EP_U_NONE), s.value,
            "%s, session %d: flicker grade %.0f; %s", ep_code_of(w, f->candle),
            w->d->reading[s.i].session, s.value,
            air_known ? "the air was still, so it is the candle's own"
                      : "note the draught, or set a thin plain paraffin candle beside it");
}

// A flame that dies over a wide pool is badly fed; over a narrow one the wick is too small.
// A test candle is not called too small before its time; a simulated one has no second chance.
static void fading_class(const ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    c->against = true;
    if (c->best_reach_frac >= ep_limit_frac(w, EP_LIMIT_POOL_FITS) - 1e-9) {
        c->feed = true;
    } else if (!isnan(c->best_reach_frac) && (w->d->simulated || late_in_programme(w, f))) {
        c->small = true;
    } else {
        c->open = true;
    }
}

// J25: once in an early session may be the lighting or a hidden air pocket
static void went_out(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    bool end = f->final || (f->left_known && f->left_frac <= ep_limit_value(w, EP_LIMIT_END_LEFT));
    if (!f->went_out || end) {
        return;
    }
    ep_seen s = f->high[EP_READ_WENT_OUT];
    const char *code = ep_code_of(w, f->candle);
    if (!f->fair) {
        ep_find(w, ep_finding_at(w, EP_J25, EP_WARN, f, s, EP_NAN, EP_U_NONE), 0.0,
                "%s, session %d: went out, but not in fair conditions; repeat it", code,
                f->session);
        return;
    }
    c->outs++;
    bool sure = w->d->simulated || c->outs > 1 || late_in_programme(w, f);
    if (sure) {
        fading_class(w, c, f);
    }
    char pool[64] = "";
    if (!isnan(c->best_reach_frac)) {
        snprintf(pool, sizeof pool, ", its pool having reached %.0f %% of the width",
                 c->best_reach_frac * 100.0);
    }
    ep_find(w, ep_finding_at(w, EP_J25, sure ? EP_AGAINST : EP_WARN, f, s, EP_NAN, EP_U_NONE),
            (double)c->outs, "%s, session %d: went out by itself%s%s", code, f->session, pool,
            sure ? "" : "; once so early may be the lighting, watch for it again");
}

// J26
static void relights(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    ep_seen s = f->high[EP_READ_RELIGHTS];
    double limit = ep_limit_value(w, EP_LIMIT_RELIGHTS);
    if (!(s.value > limit)) {
        return;
    }
    if (f->fair) {
        fading_class(w, c, f);
    }
    ep_find(w, ep_finding_at(w, EP_J26, f->fair ? EP_AGAINST : EP_WARN, f, s, limit, EP_U_NONE),
            s.value, "%s, session %d: lit again %.0f times, %.0f at most", ep_code_of(w, f->candle),
            w->d->reading[s.i].session, s.value, limit);
}

// J28: neither scent nor surface is first of all the wick's doing
static void not_the_wick(ep_work *w, const ep_burn_facts *f)
{
    ep_seen scent = f->high[EP_READ_THROW], surface = f->high[EP_READ_SURFACE];
    double weak = ep_limit_value(w, EP_LIMIT_THROW_WEAK);
    double rough = ep_limit_value(w, EP_LIMIT_SURFACE);
    if (ep_seen_any(scent) && scent.value <= weak) {
        w->t.weak_throw = true;
        ep_find(w, ep_finding_at(w, EP_J28, EP_NOTE, f, scent, weak, EP_U_NONE), 10.0 - scent.value,
                "%s, session %d: scent %.0f of 5; look at cure, stirring, oil and load before the "
                "wick",
                ep_code_of(w, f->candle), w->d->reading[scent.i].session, scent.value);
    }
    if (surface.value >= rough) {
        ep_find(w, ep_finding_at(w, EP_J28, EP_NOTE, f, surface, rough, EP_U_NONE), 0.0,
                "%s, session %d: surface grade %.0f after cooling; a matter of pouring and cooling",
                ep_code_of(w, f->candle), w->d->reading[surface.i].session, surface.value);
    }
}

void ep_rules_wick(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    c->best_reach_frac = fmax(c->best_reach_frac, f->reach.value);
    c->inner_mm = fmax(c->inner_mm, f->inner_mm);
    race(w, f);
    depth(w, c, f);
    // J22, J23
    carbon_grade(w, c, f, EP_J22, f->high[EP_READ_SOOT], EP_LIMIT_SOOT_WARN, EP_LIMIT_SOOT_AGAINST,
                 "soot on rim or wall");
    carbon_grade(w, c, f, EP_J23, f->high[EP_READ_MUSHROOM], EP_LIMIT_MUSHROOM_WARN,
                 EP_LIMIT_MUSHROOM_AGAINST, "carbon head");
    flicker(w, f);
    went_out(w, c, f);
    relights(w, c, f);
    not_the_wick(w, f);
}
