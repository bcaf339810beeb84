// Two hundred invented candles, good and bad: no number that is none, everything within what can
// be, the books closed; and what cannot be is refused by name.
#include "random_candle.h"

enum { CANDLES = 200 };

static void bounded(uint64_t seed, const char *name, double value, double lo, double hi)
{
    if (!(value >= lo && value <= hi)) {
        fail_msg("candle %d: %s is %g, outside %g to %g", (int)seed, name, value, lo, hi);
    }
}

// like bounded, but nothing may stand where there is no pool or no soot limit
static void bounded_or_none(uint64_t seed, const char *name, double value, double lo, double hi)
{
    if (!isnan(value)) {
        bounded(seed, name, value, lo, hi);
    }
}

static void check_sample(uint64_t seed, const ep_burn_case *c, const ep_trace *t,
                         const ep_sample *s)
{
    double lo_m = 0.0, wide_m = 0.0, high_m = ep_vessel_height_m(&c->vessel);
    ep_vessel_width_range_m(&c->vessel, high_m, &lo_m, &wide_m);
    const double room_C = c->ambient_C;
    bounded(seed, "rate", s->rate_kg_s, 0.0, 30e-6);
    bounded(seed, "level", s->level_m, 0.0, 1.15 * c->fill_height_m);
    bounded(seed, "reach", s->reach_frac, 0.0, 1.0);
    bounded(seed, "touch", s->touch_frac, 0.0, 1.0 + 1e-12);
    bounded(seed, "wide", s->pool_width_m, 0.0, wide_m * (1.0 + 1e-9));
    bounded(seed, "narrow", s->pool_narrow_m, 0.0, s->pool_width_m * (1.0 + 1e-9));
    bounded(seed, "depth on axis", s->depth_axis_m, 0.0, 1.2 * c->fill_height_m);
    bounded(seed, "depth half-way", s->depth_mid_m, 0.0, 1.2 * c->fill_height_m);
    bounded(seed, "depth at the wall", s->depth_wall_m, 0.0, 1.2 * c->fill_height_m);
    bounded(seed, "hang-up", s->hangup_kg, 0.0, s->left_kg + 1e-12);
    bounded(seed, "left", s->left_kg, 0.0, t->fill_kg * (1.0 + 1e-12));
    bounded_or_none(seed, "bulk", s->pool_bulk_C, room_C - 1.0, 400.0);
    bounded_or_none(seed, "edge", s->pool_edge_C, room_C - 1.0, 400.0);
    bounded(seed, "beside the wick", s->pool_wick_C, room_C - 1.0, 450.0);
    bounded(seed, "wall", s->wall_max_C, room_C - 0.5, 350.0);
    bounded(seed, "hottest at", s->wall_max_at_m, 0.0, high_m + c->grid_m);
    bounded(seed, "flame", s->flame_m, 0.0, 0.4);
    bounded(seed, "exposed", s->exposed_m, -0.05, 0.06);
    bounded(seed, "gap", s->flame_gap_m, 0.0, 0.5 * wide_m);
    bounded_or_none(seed, "soot margin", s->soot_margin_m, -0.4, 0.2);
    bounded(seed, "cap", s->cap_index, 0.0, 3.0);
    bounded(seed, "stress", s->stress_index, 0.0, 50.0);
    bounded(seed, "scent", s->scent_rel, 0.0, 1e4);
    bounded(seed, "minute", s->minute, 0.0, c->schedule.lit_s / 60.0 + 1e-6);
}

static void check_candle(uint64_t seed)
{
    ep_burn_case c = random_candle(seed);
    // every third to its end, the others for their first sessions
    c.schedule.max_sessions = seed % 3 == 2 ? EP_MAX_SESSIONS : 2;
    ep_trace *t = NULL;
    ep_err err = {0};
    if (ep_burn_run(&c, &t, &err) != EP_OK) {
        fail_msg("candle %d: %s", (int)seed, err.text);
    }
    for (int n = 0; n < t->n_samples; n++) {
        check_sample(seed, &c, t, &t->sample[n]);
    }
    bounded(seed, "energy ledger", t->ledger_energy_rel, 0.0, 1e-11);
    bounded(seed, "mass ledger", t->ledger_mass_rel, 0.0, 1e-12);
    double burned_kg = 0.0;
    for (int n = 0; n < t->n_sessions; n++) {
        burned_kg += t->session[n].burned_kg;
    }
    bounded(seed, "burned", burned_kg - (t->fill_kg - t->left_kg), -1e-12, 1e-12);
    // the heat taken from the flame is a small part of what it makes
    bounded(seed, "heat to the wax", t->heat.to_pool_J, 0.0, 0.6 * t->heat.flame_J + 1e-9);
    ep_trace_destroy(t);
}

static void valid_candles(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= CANDLES; seed++) {
        check_candle(seed);
    }
}

static const double BAD[] = {-1.0, 1e9, -1e-3};

// spoil one field of a good case with a value no field allows
static const char *spoil(ep_burn_case *c, int what, double bad)
{
    switch (what) {
    case 0:
        c->fill_height_m = bad;
        return "fill_height";
    case 1:
        c->neck_m = bad;
        return "neck";
    case 2:
        c->stop_height_m = bad;
        return "stop_height";
    case 3:
        c->ambient_C = bad < 0.0 ? bad - 300.0 : bad;
        return "room_temp";
    case 4:
        c->schedule.lit_s = bad;
        return "session";
    case 5:
        c->schedule.rest_s = bad;
        return "rest";
    case 6:
        c->schedule.trim_m = bad;
        return "trim";
    case 7:
        c->schedule.first_wick_m = bad;
        return "first_wick";
    case 8:
        c->grid_m = bad;
        return "grid";
    case 9:
        c->step_s = bad;
        return "step";
    case 10:
        c->wick.diameter_m = bad;
        return "wick";
    case 11:
        c->vessel.wall_m = bad;
        return "wall";
    case 12:
        c->vessel.base_m = bad;
        return "base";
    default:
        c->vessel.station[1].inner_diameter_m = bad;
        return "profile";
    }
}

static void invalid_candles(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 140; seed++) {
        ep_burn_case c = random_candle(seed);
        double bad = seed % 4 == 3 ? (double)NAN : BAD[seed % 4];
        const char *field = spoil(&c, (int)(seed % 14), bad);
        ep_err err = {0};
        ep_trace *t = NULL;
        assert_int_equal(ep_burn_run(&c, &t, &err), EP_E_ARG);
        assert_null(t);
        assert_string_equal(err.field, field);
        check_has(err.text, field);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(valid_candles),
        cmocka_unit_test(invalid_candles),
    };
    return cmocka_run_group_tests_name("random", tests, NULL, NULL);
}
