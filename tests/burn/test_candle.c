// Whole lives of many kinds of candle: the books close, what burned is what is gone, the trace is
// in order, bad cases are refused by name, and the same case gives the same bytes.
#include "candle.h"

// candles of every kind, all invented
enum { KINDS = 14 };
static const char *const KIND_NAME[KINDS] = {
    "glass",   "tapered", "bellied", "waisted", "tin",  "stone",        "soy",
    "beeswax", "wooden",  "cored",   "tiny",    "huge", "to the floor", "scented oval"};

static void profile(ep_burn_case *c, double floor_mm, double mid_mm, double brim_mm)
{
    c->vessel.n_stations = 3;
    c->vessel.station[0] = (ep_station){0.0, floor_mm * 1e-3};
    c->vessel.station[1] = (ep_station){0.045, mid_mm * 1e-3};
    c->vessel.station[2] = (ep_station){0.090, brim_mm * 1e-3};
}

static ep_burn_case kind(int n)
{
    ep_burn_case c = candle_plain();
    switch (n) {
    case 1:
        profile(&c, 50.0, 62.0, 84.0);
        break;
    case 2:
        profile(&c, 50.0, 90.0, 56.0);
        break;
    case 3:
        profile(&c, 72.0, 52.0, 80.0);
        break;
    case 4:
        candle_jar(&c, "std-container-tinplate", 70.0, 50.0, 0.25, 40.0);
        break;
    case 5:
        candle_jar(&c, "std-container-stoneware", 80.0, 90.0, 6.0, 70.0);
        break;
    case 6:
        c.melt = candle_wax("std-wax-soy");
        break;
    case 7:
        c.melt = candle_wax("std-wax-beeswax");
        c.wick = candle_wick_of("std-wick-square-braid", 2.0, 0.0, 0.0, 0.0);
        break;
    case 8:
        c.wick = candle_wick_of("std-wick-wooden", 4.5, 12.7, 0.65, 0.0);
        break;
    case 9:
        c.wick = candle_wick_of("std-wick-zinc-core", 2.2, 0.0, 0.0, 0.4);
        c.schedule.trim_m = 0.0;
        break;
    case 10:
        candle_jar(&c, "std-container-soda-lime", 20.0, 25.0, 1.0, 15.0);
        c.wick = candle_braid(0.4);
        break;
    case 11:
        candle_jar(&c, "std-container-soda-lime", 200.0, 120.0, 6.0, 90.0);
        c.wick = candle_braid(3.0);
        c.grid_m = 3e-3;
        c.schedule.max_sessions = 6;
        break;
    case 12:
        c.neck_m = 0.0;
        c.schedule.rest_s = 0.0;
        break;
    case 13:
        c.vessel.outline = EP_OUTLINE_OVAL;
        c.vessel.across_frac = 0.7;
        c.melt =
            candle_melt((candle_part[]){{"std-wax-soy", 0.92}, {"std-fragrance-floral", 0.08}}, 2);
        c.grid_m = 3e-3;
        c.schedule.max_sessions = 3;
        break;
    default:
        break;
    }
    return c;
}

static double poured_kg(const ep_burn_case *c)
{
    return ep_vessel_volume_m3(&c->vessel, c->fill_height_m) * c->melt.rho_solid_kg_m3.value;
}

static void check_books(const ep_burn_case *c, const ep_trace *t)
{
    double burned_kg = 0.0, lit_s = 0.0;
    for (int n = 0; n < t->n_sessions; n++) {
        burned_kg += t->session[n].burned_kg;
        lit_s += t->session[n].lit_s;
    }
    // bar: 1e-6; conduction with moving wax closes to rounding all the same
    assert_true(t->ledger_energy_rel <= 1e-12);
    assert_true(t->ledger_mass_rel <= 1e-12);
    check_near(burned_kg, t->fill_kg - t->left_kg, 1e-12 * t->fill_kg);
    check_near(lit_s, t->burn_total_s, 1e-6);
    // rows of exact area, 2 mm high: the profile's own volume within 0.2 %
    check_rel(t->fill_kg, poured_kg(c), 2e-3);
    check_rel(t->heat.flame_J, (burned_kg - t->boiled_kg) * c->melt.lhv_J_kg.value, 1e-9);
}

static void check_order(const ep_trace *t)
{
    double left_kg = t->fill_kg * (1.0 + 1e-12), t_s = -1.0;
    for (int n = 0; n < t->n_samples; n++) {
        const ep_sample *s = &t->sample[n];
        assert_true(s->left_kg <= left_kg && s->t_s >= t_s);
        assert_true(s->session >= 1 && (!s->lit || s->session <= t->n_sessions));
        left_kg = s->left_kg + 1e-15;
        t_s = s->t_s;
    }
    for (int n = 0; n < t->n_sessions; n++) {
        const ep_session_sum *s = &t->session[n];
        assert_int_equal(s->number, n + 1);
        assert_true(s->reach_end_frac <= s->reach_max_frac);
        // the wall was reached exactly when the widest reach says so
        assert_true(isnan(s->wall_reached_s) == (s->reach_max_frac < 0.995));
        double after_kg = n + 1 < t->n_sessions ? s->left_frac : t->left_kg / t->fill_kg;
        check_near(s->left_frac, after_kg, 1e-9);
    }
}

static void whole_lives(void **state)
{
    (void)state;
    for (int n = 0; n < KINDS; n++) {
        ep_burn_case c = kind(n);
        ep_trace *t = candle_burn(&c);
        printf("%-13s %6.1f g, %5.1f h, left %6.1f g, %s, energy %.0e mass %.0e\n", KIND_NAME[n],
               t->fill_kg * 1e3, t->burn_total_s / 3600.0, t->left_kg * 1e3, ep_out_key(t->end),
               t->ledger_energy_rel, t->ledger_mass_rel);
        check_books(&c, t);
        check_order(t);
        assert_true(t->burn_total_s > 0.0);
        ep_trace_destroy(t);
    }
}

// a wick thicker than any flame needs and one thinner than any can use: results, not errors
static void candles_that_fail(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    c.wick.diameter_m = 0.5e-3;
    ep_trace *t = candle_burn(&c);
    assert_int_equal(t->end, EP_OUT_STARVED);
    check_near(t->left_kg, t->fill_kg, 0.0);
    assert_int_equal(t->n_sessions, 1);  // the second match lights nothing either: no session
    for (int n = 0; n < t->n_samples; n++) {
        assert_true(isnan(t->sample[n].pool_bulk_C) && isfinite(t->sample[n].wall_max_C));
        check_near(t->sample[n].wall_max_C, c.ambient_C, 0.1);
    }
    ep_trace_destroy(t);

    // with the fill down at the wick's neck there is nothing to burn
    c = candle_plain();
    c.fill_height_m = c.neck_m = 12e-3;
    t = candle_burn(&c);
    assert_int_equal(t->end, EP_OUT_END);
    check_near(t->left_kg, t->fill_kg, 0.0);
    ep_trace_destroy(t);
}

// a wick longer than it can wet is lit and burns, whatever its diameter's digits
static void long_wicks_light(void **state)
{
    (void)state;
    for (int n = 0; n < 24; n++) {
        ep_burn_case c = candle_plain();
        c.wick = candle_braid(0.55 + 0.0137 * n);
        c.schedule.trim_m = 15e-3;
        c.schedule.lit_s = 1800.0;
        c.schedule.max_sessions = 1;
        c.grid_m = 4e-3;
        ep_trace *t = candle_burn(&c);
        assert_int_equal(t->session[0].out, EP_OUT_NOT);
        assert_true(t->session[0].burned_kg > 0.5e-3);
        ep_trace_destroy(t);
    }
}

static void rest_lets_it_cool(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    c.schedule.max_sessions = 2;
    ep_trace *t = candle_burn(&c);
    const ep_sample *rested = NULL;
    for (int n = 0; n < t->n_samples; n++) {
        rested = t->sample[n].session == 1 && !t->sample[n].lit ? &t->sample[n] : rested;
    }
    assert_non_null(rested);
    check_near(rested->wall_max_C, c.ambient_C, 0.5);
    assert_true(isnan(rested->pool_bulk_C));
    check_near(rested->t_s, c.schedule.lit_s + c.schedule.rest_s, 1e-6);
    check_near(rested->lit_s, c.schedule.lit_s, 1e-6);
    ep_trace_destroy(t);
}

static bool same(double a, double b)
{
    return memcmp(&a, &b, sizeof a) == 0;
}

static void same_bytes(void **state)
{
    (void)state;
    for (int n = 0; n < KINDS; n += 4) {
        ep_burn_case c = kind(n);
        c.keep_frames = true;
        ep_trace *a = candle_burn(&c), *b = candle_burn(&c);
        assert_int_equal(a->n_samples, b->n_samples);
        for (int i = 0; i < a->n_samples; i++) {
#define X(name) assert_true(same(a->sample[i].name, b->sample[i].name));
            EP_SAMPLE_LIST(X)
#undef X
        }
        assert_int_equal(a->n_frames, b->n_frames);
        size_t cells = (size_t)a->nr * (size_t)a->nz;
        for (int i = 0; i < a->n_frames; i++) {
            assert_memory_equal(a->frame[i].T_C, b->frame[i].T_C, cells * sizeof(short));
            assert_memory_equal(a->frame[i].melt, b->frame[i].melt, cells);
        }
        assert_true(same(a->ledger_energy_rel, b->ledger_energy_rel));
        ep_trace_destroy(a);
        ep_trace_destroy(b);
    }
}

// pictures do not change the burn, and show wax where there is wax
static void frames(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    ep_trace *plain = candle_burn(&c);
    c.keep_frames = true;
    ep_trace *t = candle_burn(&c);
    assert_true(same(plain->left_kg, t->left_kg));
    assert_int_equal(plain->n_frames, 0);
    assert_true(t->n_frames > 20 && t->n_frames <= EP_MAX_FRAMES);
    for (int i = 0; i < t->n_frames; i++) {
        const ep_frame *f = &t->frame[i];
        for (int k = 0; k < t->nz; k++) {
            bool below = (k + 1.0) * t->dz_m < f->level_m - 2.0 * t->dz_m;
            assert_true(!below || f->T_C[(size_t)k * (size_t)t->nr] >= 0);
        }
        // the uppermost row of a jar with freeboard is air
        assert_int_equal(f->T_C[(size_t)(t->nz - 1) * (size_t)t->nr], -1);
    }
    ep_trace_destroy(plain);
    ep_trace_destroy(t);
}

static void refused(const ep_burn_case *c, const char *field, const char *value)
{
    ep_err err = {0};
    ep_trace *t = NULL;
    assert_int_equal(ep_burn_run(c, &t, &err), EP_E_ARG);
    assert_null(t);
    assert_string_equal(err.field, field);
    check_has(err.text, field);
    check_has(err.text, value);
}

#define REFUSE(member, bad, field, value)                                                          \
    do {                                                                                           \
        ep_burn_case c = candle_plain();                                                           \
        c.member = (bad);                                                                          \
        refused(&c, field, value);                                                                 \
    } while (0)

static void refusals(void **state)
{
    (void)state;
    REFUSE(vessel.n_stations, 1, "profile", "1");
    REFUSE(vessel.station[1].inner_diameter_m, 0.010, "profile", "10 mm");
    REFUSE(vessel.wall_m, 0.0, "wall", "0.1 mm");
    REFUSE(vessel.base_m, 0.5, "base", "500 mm");
    REFUSE(fill_height_m, 5e-3, "fill_height", "5 mm");
    REFUSE(fill_height_m, 0.1, "fill_height", "8 mm to 90 mm");
    REFUSE(fill_height_m, (double)NAN, "fill_height", "8 mm to 90 mm");
    REFUSE(neck_m, -1e-3, "neck", "0 mm to 30 mm");
    REFUSE(stop_height_m, 0.07, "stop_height", "70 mm");
    REFUSE(ambient_C, -5.0, "room_temp", "-5");
    REFUSE(ambient_C, (double)INFINITY, "room_temp", "45");
    REFUSE(schedule.lit_s, 60.0, "session", "0.1 h to 24 h");
    REFUSE(schedule.rest_s, -1.0, "rest", "336 h");
    REFUSE(schedule.trim_m, 25e-3, "trim", "25 mm");
    REFUSE(schedule.first_wick_m, 0.05, "first_wick", "50 mm");
    REFUSE(schedule.max_sessions, 0, "sessions", "0");
    REFUSE(schedule.max_sessions, 65, "sessions", "65");
    REFUSE(grid_m, 0.1e-3, "grid", "0.1 mm");
    REFUSE(step_s, 1000.0, "step", "1000 s");
    REFUSE(wick.diameter_m, 0.0, "wick", "0 mm");
    REFUSE(n_wicks, 0, "wick_count", "0");
    REFUSE(n_wicks, 7, "wick_count", "7");
    REFUSE(place[0].x_m, 0.034, "places", "1.0 mm");
    // a data sheet whose specific heats cannot belong to its heat of melting
    REFUSE(melt.latent_J_kg.value, 0.0, "latent", "0 kJ/kg");
    REFUSE(melt.cp_solid_J_kgK.value, 40e3, "latent", "165 kJ/kg");
    ep_burn_case c = candle_plain();
    c.n_wicks = 2;
    c.place[0] = (ep_place){3e-3, 0.0};
    c.place[1] = (ep_place){-3e-3, 0.0};
    refused(&c, "places", "6.0 mm");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(whole_lives),      cmocka_unit_test(candles_that_fail),
        cmocka_unit_test(long_wicks_light), cmocka_unit_test(rest_lets_it_cool),
        cmocka_unit_test(same_bytes),       cmocka_unit_test(frames),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests_name("candle", tests, NULL, NULL);
}
