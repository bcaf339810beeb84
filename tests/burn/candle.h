// Builds burn cases from table rows in a line or two. Included by each test of the room; everything
// is static so that each program stands alone. All candles here are invented unless a test names a
// published one.
#pragma once
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "burn/burn.h"

#include "../base/check.h"

// one part of the mix: a table row and its share of the whole
typedef struct candle_part {
    const char *id;
    double frac;
} candle_part;

static inline const ep_material *candle_row(const char *id)
{
    const ep_material *m = ep_builtin_find(id);
    if (!m) {
        fail_msg("no row %s", id);
    }
    return m;
}

static inline ep_melt candle_melt(const candle_part *part, int n)
{
    ep_blend_part blend[EP_MAX_BLEND];
    for (int i = 0; i < n; i++) {
        blend[i] = (ep_blend_part){candle_row(part[i].id), part[i].frac};
    }
    ep_melt melt;
    ep_err err = {0};
    if (ep_melt_mix(blend, n, &melt, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    return melt;
}

static inline ep_melt candle_wax(const char *id)
{
    return candle_melt(&(candle_part){id, 1.0}, 1);
}

// a size of a construction by weight; width and thickness 0 = not given, core 0 = none
static inline ep_wick_law candle_wick_of(const char *id, double g_m, double width_mm,
                                         double thickness_mm, double core_mm)
{
    ep_wick_size size = {.id = "s",
                         .name = "s",
                         .linear_density_kg_m = g_m * 1e-3,
                         .width_m = width_mm * 1e-3,
                         .thickness_m = thickness_mm * 1e-3,
                         .core_m = core_mm * 1e-3};
    ep_wick_law law;
    ep_err err = {0};
    if (ep_wick_law_of(candle_row(id), &size, &law, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    return law;
}

static inline ep_wick_law candle_braid(double g_m)
{
    return candle_wick_of("std-wick-flat-braid", g_m, 0.0, 0.0, 0.0);
}

// a straight jar: inner width, height, wall, base and fill in mm
static inline void candle_jar(ep_burn_case *c, const char *wall_id, double wide_mm, double high_mm,
                              double wall_mm, double fill_mm)
{
    c->vessel = ep_vessel_straight(wide_mm * 1e-3, high_mm * 1e-3, wall_mm * 1e-3,
                                   (wall_mm < 1.0 ? wall_mm : wall_mm + 2.0) * 1e-3);
    c->wall = candle_row(wall_id);
    c->fill_height_m = fill_mm * 1e-3;
}

// the candle most tests start from: container paraffin, 70 mm glass, 1.0 g/m flat braid
static inline ep_burn_case candle_plain(void)
{
    ep_burn_case c = ep_burn_case_default();
    candle_jar(&c, "std-container-soda-lime", 70.0, 90.0, 3.0, 70.0);
    c.melt = candle_wax("std-wax-paraffin-container");
    c.wick = candle_braid(1.0);
    return c;
}

// burn it; a refusal or failure fails the test
static inline ep_trace *candle_burn(const ep_burn_case *c)
{
    ep_trace *t = NULL;
    ep_err err = {0};
    if (ep_burn_run(c, &t, &err) != EP_OK) {
        fail_msg("%s: %s", err.field, err.text);
    }
    return t;
}

// energy and mass of a run close to rounding, whatever it was a run of
static inline void candle_books(const ep_trace *t)
{
    double burned_kg = 0.0;
    for (int n = 0; n < t->n_sessions; n++) {
        burned_kg += t->session[n].burned_kg;
    }
    assert_true(t->ledger_energy_rel <= 1e-11);
    assert_true(t->ledger_mass_rel <= 1e-11);
    check_near(burned_kg, t->fill_kg - t->left_kg, 1e-11 * t->fill_kg);
}

// the sample of a session nearest to a minute
static inline const ep_sample *candle_at(const ep_trace *t, int session, double minute)
{
    const ep_sample *best = NULL;
    for (int n = 0; n < t->n_samples; n++) {
        const ep_sample *s = &t->sample[n];
        bool nearer = !best || fabs(s->minute - minute) < fabs(best->minute - minute);
        if (s->session == session && s->lit && nearer) {
            best = s;
        }
    }
    return best;
}
