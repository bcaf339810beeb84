// What must hold whatever the numbers: more heat never shrinks a pool, a wider jar or a higher
// melting point never fills sooner, more wick never burns less, a warmer room never cools.
#include "candle.h"

// a reading on 2 mm cells moves by up to half a cell when soft wax slides: that much of 35 mm
static const double CELL = 0.03;

static ep_trace *first_session(ep_burn_case *c, double hours)
{
    c->schedule.max_sessions = 1;
    c->schedule.lit_s = hours * 3600.0;
    return candle_burn(c);
}

// at every equal minute of the first session the pool reaches as far, within `slack`
static void no_smaller(const ep_trace *less, const ep_trace *more, double slack)
{
    for (int n = 0; n < less->n_samples && n < more->n_samples; n++) {
        const ep_sample *a = &less->sample[n], *b = &more->sample[n];
        if (a->lit && b->lit) {
            check_near(a->minute, b->minute, 1e-6);
            assert_true(b->reach_frac >= a->reach_frac - slack);
        }
    }
}

// one factor in steps of a fifth from 0.7 up: neighbours within `slack`, both ends within
// `end_slack`
static void grows_with(ep_uncertain u, double slack, double end_slack)
{
    const double g_m[] = {0.6, 1.0, 1.5};
    for (size_t w = 0; w < sizeof g_m / sizeof *g_m; w++) {
        ep_trace *run[5];
        for (int f = 0; f < 5; f++) {
            ep_burn_case c = candle_plain();
            c.wick = candle_braid(g_m[w]);
            c.factors.f[u] = 0.7 * pow(1.2, f);
            run[f] = first_session(&c, 4.0);
            if (f > 0) {
                no_smaller(run[f - 1], run[f], slack);
            }
        }
        no_smaller(run[0], run[4], end_slack);
        // and it does something: less hangs on the wall, or none on either and the pool is another
        const ep_session_sum *least = &run[0]->session[0], *most = &run[4]->session[0];
        assert_true(
            most->hangup_kg < least->hangup_kg ||
            (!(least->hangup_kg > 0.0) && fabs(most->depth_mid_m - least->depth_mid_m) > 1e-4));
        for (int f = 0; f < 5; f++) {
            ep_trace_destroy(run[f]);
        }
    }
}

// heat comes by the flame's foot, by radiation and by what the wax takes up of it
static void more_heat_never_shrinks_the_pool(void **state)
{
    (void)state;
    grows_with(EP_UNC_FLAME_BASE, 0.01, 1e-9);
    grows_with(EP_UNC_RADIATION, 0.01, 1e-9);
    grows_with(EP_UNC_ABSORB, 0.01, 1e-9);
}

// stirring brings no heat, it carries it outward: the pool is wider but for the moment soft wax
// slides
static void more_stirring_never_shrinks_the_pool(void **state)
{
    (void)state;
    grows_with(EP_UNC_STIRRING, CELL, 0.005);
}

// minutes to the wall in eight hours; far beyond any when it is not reached
static double minutes_to_wall(ep_burn_case *c)
{
    ep_trace *t = first_session(c, 8.0);
    double s = t->session[0].wall_reached_s;
    ep_trace_destroy(t);
    return isnan(s) ? 1e6 : s / 60.0;
}

static void a_wider_jar_fills_no_sooner(void **state)
{
    (void)state;
    double before = 0.0;
    int full = 0;
    for (double wide_mm = 48.0; wide_mm <= 84.0; wide_mm += 3.0) {
        ep_burn_case c = candle_plain();
        candle_jar(&c, "std-container-soda-lime", wide_mm, 90.0, 3.0, 70.0);
        c.wick = candle_braid(1.5);
        double minutes = minutes_to_wall(&c);
        assert_true(minutes >= before);
        full += minutes < 1e6;
        before = minutes;
    }
    // both ends of the row are there: jars that fill and jars that do not
    assert_true(full >= 4 && full <= 11);
}

static void a_lower_melting_point_fills_no_later(void **state)
{
    (void)state;
    double before = 0.0;
    for (double shift_K = -8.0; shift_K <= 8.0; shift_K += 2.0) {
        ep_burn_case c = candle_plain();
        c.wick = candle_braid(1.6);
        c.factors.f[EP_UNC_MELT_POINT] = shift_K;
        double minutes = minutes_to_wall(&c);
        assert_true(minutes >= before);
        before = minutes;
    }
    assert_true(before >= 1e6);
}

static void more_wick_burns_more(void **state)
{
    (void)state;
    double rate = 0.0, wall_C = 0.0, flame_m = 0.0;
    for (double g_m = 0.4; g_m < 2.6; g_m += 0.2) {
        ep_burn_case c = candle_plain();
        c.wick = candle_braid(g_m);
        ep_trace *t = first_session(&c, 4.0);
        const ep_session_sum *s = &t->session[0];
        assert_true(s->burned_kg > rate && s->wall_max_C > wall_C && s->flame_max_m > flame_m);
        rate = s->burned_kg;
        wall_C = s->wall_max_C;
        flame_m = s->flame_max_m;
        ep_trace_destroy(t);
    }
}

static void a_warmer_room(void **state)
{
    (void)state;
    double wall_C = 0.0, reach = 0.0;
    for (double room_C = 15.0; room_C < 31.0; room_C += 5.0) {
        ep_burn_case c = candle_plain();
        c.ambient_C = room_C;
        ep_trace *t = first_session(&c, 4.0);
        assert_true(t->session[0].wall_max_C > wall_C + 2.0);
        assert_true(t->session[0].reach_end_frac >= reach - CELL);
        wall_C = t->session[0].wall_max_C;
        reach = t->session[0].reach_end_frac;
        ep_trace_destroy(t);
    }
}

// more loss cools the pool, a thicker melt and less feed burn slower, draught soots sooner
static void factors_point_the_right_way(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    ep_trace *base = first_session(&c, 4.0);
    const struct {
        ep_uncertain u;
        double f;
    } less_burned[] = {{EP_UNC_FEED, 0.7},
                       {EP_UNC_VISCOSITY, 1.4},
                       {EP_UNC_EVAPORATION, 0.85},
                       {EP_UNC_SCATTER, 0.95}},
      less_melted[] = {{EP_UNC_LOSS_TOP, 1.3},
                       {EP_UNC_LOSS_SIDE, 1.3},
                       {EP_UNC_LATENT, 1.3},
                       {EP_UNC_FLAME_BASE, 0.6}};
    for (int n = 0; n < 4; n++) {
        c.factors = ep_factors_nominal();
        c.factors.f[less_burned[n].u] = less_burned[n].f;
        ep_trace *t = first_session(&c, 4.0);
        assert_true(t->session[0].burned_kg < base->session[0].burned_kg);
        ep_trace_destroy(t);
        c.factors = ep_factors_nominal();
        c.factors.f[less_melted[n].u] = less_melted[n].f;
        t = first_session(&c, 4.0);
        assert_true(t->session[0].reach_end_frac < base->session[0].reach_end_frac + CELL);
        assert_true(t->session[0].hangup_kg > base->session[0].hangup_kg - 1e-3);
        ep_trace_destroy(t);
    }
    // deep in the jar the trapped warmth shows at the wall
    c = candle_plain();
    candle_jar(&c, "std-container-soda-lime", 60.0, 160.0, 3.0, 60.0);
    ep_trace *cool = first_session(&c, 4.0);
    c.factors.f[EP_UNC_WARM_AIR] = 1.8;
    ep_trace *warm = first_session(&c, 4.0);
    assert_true(warm->session[0].wall_max_C > cool->session[0].wall_max_C + 0.5);
    ep_trace_destroy(cool);
    ep_trace_destroy(warm);
    ep_trace_destroy(base);
}

static void draught_soots_sooner(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    c.wick = candle_braid(1.6);
    ep_trace *calm = first_session(&c, 4.0);
    c.draught_m_s = 0.2;
    ep_trace *blown = first_session(&c, 4.0);
    assert_true(blown->session[0].soot_margin_min_m < calm->session[0].soot_margin_min_m - 5e-3);
    ep_trace_destroy(calm);
    ep_trace_destroy(blown);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(more_heat_never_shrinks_the_pool),
        cmocka_unit_test(more_stirring_never_shrinks_the_pool),
        cmocka_unit_test(a_wider_jar_fills_no_sooner),
        cmocka_unit_test(a_lower_melting_point_fills_no_later),
        cmocka_unit_test(more_wick_burns_more),
        cmocka_unit_test(a_warmer_room),
        cmocka_unit_test(factors_point_the_right_way),
        cmocka_unit_test(draught_soots_sooner),
    };
    return cmocka_run_group_tests_name("laws", tests, NULL, NULL);
}
