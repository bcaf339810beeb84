// An invented maker for the tests: burns engine candles with other factors and writes down noisy
// readings as the bench protocol asks, so that what was put in is known. Invented data throughout.
#pragma once
#include "../burn/candle.h"
#include "base/rng.h"
#include "learn/belief.h"
#include "learn/observe.h"

enum { MAKER_CANDLES = 6 };

typedef struct maker_notes {
    ep_candle_record candle[MAKER_CANDLES];
    ep_burn_record burn[MAKER_CANDLES * EP_MAX_SESSIONS];
    ep_reading reading[8192];
    ep_dossier d;
} maker_notes;

static inline ep_burn_case maker_case(double g_m, int sessions)
{
    ep_burn_case c = candle_plain();
    candle_jar(&c, "std-container-soda-lime", 70.0, 90.0, 3.0, 65.0);
    c.melt = candle_wax("std-wax-soy");
    c.wick = candle_braid(g_m);
    c.schedule.max_sessions = sessions;
    c.grid_m = 4e-3;
    c.step_s = 120.0;
    return c;
}

// the parameters of one wax, one series and one container, in the order of the factors
static inline void maker_terms(ep_model_run *r)
{
    r->n_terms = 0;
    for (int u = 0; u < EP_UNC_COUNT_; u++) {
        if (u != EP_UNC_SCATTER) {
            r->term[r->n_terms++] = (ep_term){u, (ep_uncertain)u, 1.0};
        }
    }
    r->room_C = 21.0;
}

enum { MAKER_PARAMS = EP_UNC_SCATTER };

static inline double maker_noise(ep_rng *r, ep_reading_kind kind, double value)
{
    switch ((int)kind) {
    case EP_READ_POOL_WIDE:
    case EP_READ_POOL_NARROW:
        return fmax(0.0, value + 1.5 * ep_rng_normal(r));
    case EP_READ_POOL_DEPTH:
        return fmax(0.0, value + 1.0 * ep_rng_normal(r));
    case EP_READ_FLAME:
        return value * exp(0.08 * ep_rng_normal(r));
    case EP_READ_WALL_TEMP:
        return value + 1.5 * ep_rng_normal(r);
    case EP_READ_EXPOSED:
        return fmax(0.0, value + 0.7 * ep_rng_normal(r));
    default:
        return value;
    }
}

// burn `candles` with these factors; `keep` is the share of readings the maker remembered to take
static inline void maker_burn(maker_notes *n, const ep_burn_case *base, const ep_factors *x,
                              int candles, double scatter_sd, double keep, uint64_t seed)
{
    memset(n, 0, sizeof *n);
    ep_rng r = ep_rng_make(seed, 77);
    for (int i = 0; i < candles; i++) {
        ep_burn_case c = *base;
        c.factors = *x;
        c.factors.f[EP_UNC_SCATTER] = exp(scatter_sd * ep_rng_normal(&r));
        ep_trace *t = candle_burn(&c);
        ep_observed *o = NULL;
        assert_int_equal(ep_observe(t, &c, &o), EP_OK);
        n->candle[n->d.n_candles++] = o->candle;
        for (int b = 0; b < o->dossier.n_burns; b++) {
            ep_burn_record rec = o->dossier.burn[b];
            rec.candle = i;
            rec.before_kg += 2e-4 * ep_rng_normal(&r);
            rec.after_kg += 2e-4 * ep_rng_normal(&r);
            n->burn[n->d.n_burns++] = rec;
        }
        for (int k = 0; k < o->n_readings && n->d.n_readings < 8192; k++) {
            ep_reading rd = o->reading[k];
            if (ep_rng_uniform(&r) > keep) {
                continue;
            }
            rd.candle = i;
            rd.value = maker_noise(&r, rd.kind, rd.value);
            if (rd.kind == EP_READ_POOL_WIDE || rd.kind == EP_READ_POOL_NARROW) {
                rd.value = fmin(rd.value, 70.0);
            }
            n->reading[n->d.n_readings++] = rd;
        }
        ep_observed_destroy(o);
        ep_trace_destroy(t);
    }
    n->d.candle = n->candle;
    n->d.burn = n->burn;
    n->d.reading = n->reading;
}
