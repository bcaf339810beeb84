// Trace to readings. See docs/physics/observe.md for O1..O5.
#include "learn/observe.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

int ep_soot_grade(double soot_margin_m)
{
    // O1: above its smoke point a flame soots; each further 6 mm is a grade (from memory)
    if (isnan(soot_margin_m) || soot_margin_m >= 0.0) {
        return 0;
    }
    return soot_margin_m > -6e-3 ? 1 : (soot_margin_m > -12e-3 ? 2 : 3);
}

int ep_mushroom_grade(double cap_index)
{
    return cap_index < 0.5 ? 0 : (cap_index < 1.5 ? 1 : (cap_index < 2.5 ? 2 : 3));
}

static bool add(ep_observed *o, int session, double minute, ep_reading_kind kind, double value)
{
    if (isnan(value)) {
        return true;
    }
    if (o->n_readings == o->cap_readings) {
        int cap = o->cap_readings ? 2 * o->cap_readings : 512;
        ep_reading *grown = realloc(o->reading, (size_t)cap * sizeof *grown);
        if (!grown) {
            return false;
        }
        o->reading = grown;
        o->cap_readings = cap;
    }
    o->reading[o->n_readings++] = (ep_reading){
        .candle = 0, .session = session, .minute = minute, .kind = kind, .value = value};
    return true;
}

static bool protocol_minute(double minute)
{
    static const double due[] = {30.0, 60.0, 120.0, 180.0, 240.0};
    for (size_t i = 0; i < sizeof due / sizeof *due; i++) {
        if (fabs(minute - due[i]) < 0.5) {
            return true;
        }
    }
    return false;
}

static bool read_pool(ep_observed *o, const ep_sample *s)
{
    bool ok = add(o, s->session, s->minute, EP_READ_POOL_WIDE, s->pool_width_m * 1e3);
    ok = ok && add(o, s->session, s->minute, EP_READ_POOL_NARROW, s->pool_narrow_m * 1e3);
    ok = ok && add(o, s->session, s->minute, EP_READ_POOL_DEPTH, s->depth_mid_m * 1e3);
    ok = ok && add(o, s->session, s->minute, EP_READ_FLAME, s->flame_m * 1e3);
    ok = ok && add(o, s->session, s->minute, EP_READ_WALL_TEMP, s->wall_max_C);
    ok = ok && add(o, s->session, s->minute, EP_READ_EXPOSED, fmax(0.0, s->exposed_m * 1e3));
    return ok &&
           add(o, s->session, s->minute, EP_READ_POOL_AT_WALL, s->reach_frac >= EP_AT_WALL_FRAC);
}

static bool read_session(ep_observed *o, const ep_session_sum *s)
{
    double minute = s->lit_s / 60.0;
    const double ring_mm = s->ring_end_m * 1e3;
    const double share_pct = ring_mm > 0.5 ? 100.0 * (1.0 - s->touch_end_frac) : 0.0;
    bool ok = add(o, s->number, minute, EP_READ_SOOT, ep_soot_grade(s->soot_margin_min_m));
    ok = ok && add(o, s->number, minute, EP_READ_MUSHROOM, ep_mushroom_grade(s->cap_index));
    ok = ok && add(o, s->number, minute, EP_READ_HANGUP_THICK, ring_mm);
    ok =
        ok && add(o, s->number, minute, EP_READ_HANGUP_SHARE, isnan(ring_mm) ? ring_mm : share_pct);
    if (s->flicker_Hz > 0.0) {
        // O4: a beat of its own never stops; other causes of a flicker are not simulated
        ok = ok && add(o, s->number, minute, EP_READ_FLICKER, 3.0);
    }
    if (!(s->lit_s > 0.0)) {
        // the match went out with nothing burned: the pool it made is none
        ok = ok && add(o, s->number, 0.0, EP_READ_POOL_WIDE, 0.0);
        ok = ok && add(o, s->number, 0.0, EP_READ_POOL_NARROW, 0.0);
    }
    bool lost = s->out == EP_OUT_DROWNED || s->out == EP_OUT_STARVED;
    ok = ok && add(o, s->number, minute, EP_READ_WALL_GAP, s->flame_gap_m * 1e3);
    return ok && add(o, s->number, minute, EP_READ_WENT_OUT, lost);
}

// O5: melt as hot on average as its flash point can catch fire all over
static bool read_flashover(ep_observed *o, const ep_trace *t, const ep_burn_case *c, int session)
{
    const double flash_C = c->melt.flash_K - 273.15;
    for (int n = 0; n < t->n_samples; n++) {
        const ep_sample *s = &t->sample[n];
        if (s->session == session && s->lit && s->pool_bulk_C >= flash_C) {
            return add(o, session, s->minute, EP_READ_FLASHOVER, 1.0);
        }
    }
    return true;
}

static ep_burn_record burn_of(const ep_trace *t, const ep_burn_case *c, int n)
{
    const ep_session_sum *s = &t->session[n];
    double before_kg = n > 0 ? t->session[n - 1].left_frac * t->fill_kg : t->fill_kg;
    return (ep_burn_record){.candle = 0,
                            .session = s->number,
                            .planned_min = c->schedule.lit_s / 60.0,
                            .lit_min = s->lit_s / 60.0,
                            .over = true,
                            .before_kg = before_kg,
                            .after_kg = before_kg - s->burned_kg,
                            .left_frac = s->left_frac,
                            .rest_before_h = n > 0 ? c->schedule.rest_s / 3600.0 : (double)NAN,
                            .room_C = c->ambient_C,
                            .draught = 0,
                            .before_cure = false,
                            .inner_m = s->inner_m,
                            .across_m = ep_vessel_across_m(&c->vessel, s->inner_m),
                            .n_wicks = c->n_wicks};
}

// a last flicker of a few minutes on the wick's neck is the end of the jar, not a session
static int sessions_that_count(const ep_trace *t)
{
    int n = t->n_sessions;
    while (n > 1 && t->session[n - 1].out == EP_OUT_END && t->session[n - 1].lit_s < 1800.0) {
        n--;
    }
    return n;
}

ep_status ep_observe(const ep_trace *t, const ep_burn_case *c, ep_observed **out)
{
    ep_observed *o = calloc(1, sizeof *o);
    if (!o) {
        return EP_E_MEMORY;
    }
    const int n_sessions = sessions_that_count(t);
    snprintf(o->candle.code, sizeof o->candle.code, "forecast");
    o->candle.wax_kg = t->fill_kg;
    o->candle.finished = t->end == EP_OUT_END || !isnan(t->burn_to_stop_s);
    bool ok = true;
    for (int n = 0; n < n_sessions; n++) {
        o->burn[n] = burn_of(t, c, n);
        ok = ok && read_session(o, &t->session[n]) && read_flashover(o, t, c, n + 1);
    }
    for (int n = 0; n < t->n_samples && ok; n++) {
        const ep_sample *s = &t->sample[n];
        if (!s->lit || s->session > n_sessions) {
            continue;
        }
        bool last = n + 1 == t->n_samples || !t->sample[n + 1].lit ||
                    t->sample[n + 1].session != s->session;
        if (protocol_minute(s->minute) || last) {
            ok = read_pool(o, s);
        }
    }
    if (!ok) {
        ep_observed_destroy(o);
        return EP_E_MEMORY;
    }
    o->dossier = (ep_dossier){.n_candles = 1,
                              .candle = &o->candle,
                              .n_burns = n_sessions,
                              .burn = o->burn,
                              .n_readings = o->n_readings,
                              .reading = o->reading,
                              .simulated = true};
    *out = o;
    return EP_OK;
}

void ep_observed_destroy(ep_observed *o)
{
    if (o) {
        free(o->reading);
        free(o);
    }
}
