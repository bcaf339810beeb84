// Invents valid candles from a seed: any table row, any round shape, any wick that its construction
// allows. Included by the tests that hold laws for all candles, and by bench/.
#pragma once
#include "base/rng.h"
#include "burn/ensemble.h"

#include "candle.h"

static inline double random_in(ep_rng *r, double lo, double hi)
{
    return lo + (hi - lo) * ep_rng_uniform(r);
}

static inline const ep_material *random_row(ep_rng *r, ep_material_kind kind)
{
    int n = ep_builtin_count(kind);
    int i = (int)(ep_rng_uniform(r) * n);
    return ep_builtin(kind, i < n ? i : n - 1);
}

// profiles without a waist: up from the floor, then perhaps in again towards the brim
static inline void random_vessel(ep_rng *r, ep_burn_case *c)
{
    ep_vessel *v = &c->vessel;
    double wide_m = random_in(r, 0.030, 0.120), high_m = random_in(r, 0.030, 0.140);
    *v = ep_vessel_straight(wide_m, high_m, random_in(r, 0.5e-3, 6e-3), random_in(r, 0.5e-3, 9e-3));
    double shape = ep_rng_uniform(r);
    if (shape > 0.4) {
        v->n_stations = 3;
        v->station[0].inner_diameter_m = wide_m * random_in(r, 0.6, 1.0);
        v->station[2].inner_diameter_m = wide_m * (shape > 0.7 ? random_in(r, 0.6, 1.0) : 1.2);
        v->station[2].height_m = high_m;
        v->station[1] = (ep_station){high_m * random_in(r, 0.2, 0.8), wide_m};
    }
    c->wall = random_row(r, EP_MAT_CONTAINER);
    c->fill_height_m = fmax(0.020, high_m * random_in(r, 0.5, 1.0));
}

static inline void random_melt(ep_rng *r, ep_burn_case *c)
{
    double load = ep_rng_uniform(r) > 0.5 ? random_in(r, 0.01, 0.12) : 0.0;
    double second = ep_rng_uniform(r) > 0.6 ? random_in(r, 0.1, 0.6) : 0.0;
    candle_part part[3] = {{random_row(r, EP_MAT_WAX)->id, (1.0 - load) * (1.0 - second)},
                           {random_row(r, EP_MAT_WAX)->id, (1.0 - load) * second},
                           {random_row(r, EP_MAT_FRAGRANCE)->id, load}};
    c->melt = candle_melt(part, 3);
}

static inline void random_wick(ep_rng *r, ep_burn_case *c)
{
    const ep_material *m = random_row(r, EP_MAT_WICK);
    double g_m = exp(random_in(r, log(0.3), log(4.0)));
    double width_mm = 0.0, thick_mm = 0.0, core_mm = 0.0;
    if (strncmp(m->klass, "wooden", 6) == 0) {
        width_mm = random_in(r, 6.0, 25.0);
        thick_mm = random_in(r, 0.5, 1.2);
        g_m = fmin(0.5 * 1500.0 * width_mm * thick_mm * 1e-3, 19.0);
    } else if (m->prop[EP_WICK_CORE_K].value > 0.0) {
        core_mm = random_in(r, 0.2, 0.5);
        g_m += 7140.0 * 0.7854 * core_mm * core_mm * 1e-3;
    }
    c->wick = candle_wick_of(m->id, g_m, width_mm, thick_mm, core_mm);
}

static inline ep_burn_case random_candle(uint64_t seed)
{
    ep_rng r = ep_rng_make(seed, 77);
    ep_burn_case c = ep_burn_case_default();
    random_vessel(&r, &c);
    random_melt(&r, &c);
    random_wick(&r, &c);
    c.ambient_C = random_in(&r, 5.0, 35.0);
    c.neck_m = random_in(&r, 0.0, 0.010);
    c.stop_height_m = random_in(&r, 0.0, 0.015);
    c.schedule.lit_s = random_in(&r, 0.5, 8.0) * 3600.0;
    c.schedule.rest_s = random_in(&r, 0.0, 30.0) * 3600.0;
    c.schedule.trim_m = ep_rng_uniform(&r) > 0.2 ? random_in(&r, 3e-3, 10e-3) : 0.0;
    c.schedule.first_wick_m = ep_rng_uniform(&r) > 0.7 ? random_in(&r, 5e-3, 20e-3) : 0.0;
    c.grid_m = 3e-3;
    c.step_s = 120.0;
    // factors as an ensemble would draw them
    ep_factors_draw(&c, seed, 1, &c.factors);
    return c;
}
