// Any layout on the plan grid: a round jar comes out as it does on rings, mirror planes change
// nothing, turning a candle turns its burn, and shapes keep their exact wax.
#include "candle.h"

// the same jar on rings, on half a plan and on a whole one: a wick a few micrometres off the centre
// is no longer centred for the program, and a hair to both sides leaves no mirror plane
static void round_jar_on_the_plan_grid(void **state)
{
    (void)state;
    for (double g_m = 1.0; g_m < 2.1; g_m += 1.0) {
        ep_burn_case c = candle_plain();
        c.wick = candle_braid(g_m);
        c.grid_m = 3e-3;
        c.schedule.max_sessions = 2;
        ep_trace *rings = candle_burn(&c);
        c.place[0].x_m = 2e-6;
        ep_trace *half = candle_burn(&c);
        c.place[0].y_m = 3e-6;
        ep_trace *whole = candle_burn(&c);
        check_rel(half->fill_kg, rings->fill_kg, 1e-9);
        check_rel(half->burn_total_s, rings->burn_total_s, 1e-9);
        for (int s = 1; s <= 2; s++) {
            const ep_sample *a = candle_at(rings, s, 240.0), *b = candle_at(half, s, 240.0);
            const ep_sample *d = candle_at(whole, s, 240.0);
            check_rel(b->left_kg, a->left_kg, 1e-3);
            check_rel(b->rate_kg_s, a->rate_kg_s, 0.02);
            check_near(b->reach_frac, a->reach_frac, 0.05);
            check_near(b->depth_mid_m, a->depth_mid_m, 1.0e-3);
            check_near(b->wall_max_C, a->wall_max_C, 3.0);
            check_near(b->pool_bulk_C, a->pool_bulk_C, 2.5);
            // touching is a cliff, and a plan grid meets the wall sooner in some directions
            check_near(b->touch_frac, a->touch_frac, a->reach_frac < 0.8 ? 0.05 : 0.6);
            // half and whole are the same sums in another order
            check_rel(d->left_kg, b->left_kg, 1e-5);
            check_rel(d->rate_kg_s, b->rate_kg_s, 1e-3);
            check_near(d->wall_max_C, b->wall_max_C, 0.1);
        }
        assert_true(half->ledger_energy_rel <= 1e-12 && whole->ledger_energy_rel <= 1e-12);
        assert_true(half->ledger_mass_rel <= 1e-11 && whole->ledger_mass_rel <= 1e-11);
        ep_trace_destroy(rings);
        ep_trace_destroy(half);
        ep_trace_destroy(whole);
    }
}

static ep_burn_case two_wicks(double x_m, double y_m)
{
    ep_burn_case c = candle_plain();
    candle_jar(&c, "std-container-soda-lime", 90.0, 90.0, 3.0, 60.0);
    c.grid_m = 3e-3;
    c.schedule.max_sessions = 2;
    c.n_wicks = 2;
    c.place[0] = (ep_place){x_m, y_m};
    c.place[1] = (ep_place){-x_m, -y_m};
    return c;
}

static void check_same_burn(const ep_trace *a, const ep_trace *b, double rel, double wall_K)
{
    check_rel(b->fill_kg, a->fill_kg, 1e-9);
    check_rel(b->left_kg, a->left_kg, rel);
    check_rel(b->heat.to_pool_J, a->heat.to_pool_J, 3.0 * rel);
    check_near(b->session[1].wall_max_C, a->session[1].wall_max_C, wall_K);
    check_near(b->session[1].hangup_kg, a->session[1].hangup_kg, 1e-3);
}

static void mirror_planes_and_turns(void **state)
{
    (void)state;
    ep_burn_case c = two_wicks(0.022, 0.0);
    ep_trace *quarter = candle_burn(&c);
    c.place[0].x_m += 3e-6;
    ep_trace *half = candle_burn(&c);
    c.place[0].y_m += 3e-6;
    ep_trace *whole = candle_burn(&c);
    // 3 um are 7e-5 of the way from the wick to the wall
    check_same_burn(quarter, half, 5e-5, 0.05);
    check_same_burn(quarter, whole, 2e-4, 0.1);
    // a quarter turn lands cells on cells, an eighth does not
    c = two_wicks(0.0, 0.022);
    ep_trace *turned = candle_burn(&c);
    check_same_burn(quarter, turned, 1e-9, 1e-6);
    c = two_wicks(0.022 * sqrt(0.5), 0.022 * sqrt(0.5));
    ep_trace *askew = candle_burn(&c);
    check_same_burn(quarter, askew, 1e-2, 2.5);
    // two wicks burn what two wicks burn
    ep_burn_case one = candle_plain();
    one.grid_m = 3e-3;
    one.schedule.max_sessions = 1;
    ep_trace *single = candle_burn(&one);
    check_rel(quarter->session[0].burned_kg, 2.0 * single->session[0].burned_kg, 0.06);
    ep_trace_destroy(single);
    ep_trace_destroy(askew);
    ep_trace_destroy(turned);
    ep_trace_destroy(whole);
    ep_trace_destroy(half);
    ep_trace_destroy(quarter);
}

// a wick off the centre heats the wall it is near to, and leaves wax at the other
static void off_the_centre(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    candle_jar(&c, "std-container-soda-lime", 90.0, 90.0, 3.0, 60.0);
    c.grid_m = 3e-3;
    c.schedule.max_sessions = 1;
    ep_trace *centred = candle_burn(&c);
    double wall_C = centred->session[0].wall_max_C, gap_m = centred->session[0].flame_gap_m;
    for (double x_mm = 8.0; x_mm < 33.0; x_mm += 8.0) {
        c.place[0].x_m = x_mm * 1e-3;
        ep_trace *t = candle_burn(&c);
        assert_true(t->session[0].wall_max_C > wall_C);
        check_near(t->session[0].flame_gap_m, gap_m - x_mm * 1e-3, 1e-6);
        check_rel(t->session[0].burned_kg, centred->session[0].burned_kg, 0.05);
        wall_C = t->session[0].wall_max_C;
        ep_trace_destroy(t);
    }
    ep_trace_destroy(centred);
}

// rectangles and ovals with one to six wicks: exact wax, closed books, numbers where numbers belong
static void other_outlines(void **state)
{
    (void)state;
    const ep_outline outline[] = {EP_OUTLINE_RECT, EP_OUTLINE_OVAL, EP_OUTLINE_ROUND};
    for (int n = 1; n <= 6; n++) {
        ep_burn_case c = candle_plain();
        candle_jar(&c, "std-container-stoneware", 120.0, 70.0, 5.0, 50.0);
        c.vessel.outline = outline[n % 3];
        c.vessel.across_frac = 0.75;
        c.vessel.corner_frac = 0.3;
        c.melt = candle_wax(n % 2 ? "std-wax-soy" : "std-wax-coconut");
        c.grid_m = 4e-3;
        c.step_s = 120.0;
        c.schedule.max_sessions = 1;
        c.n_wicks = n;
        ep_places_default(&c.vessel, c.fill_height_m, n, c.place);
        ep_trace *t = candle_burn(&c);
        double poured_kg =
            ep_vessel_volume_m3(&c.vessel, c.fill_height_m) * c.melt.rho_solid_kg_m3.value;
        check_rel(t->fill_kg, poured_kg, 1e-6);
        assert_true(t->ledger_energy_rel <= 1e-12 && t->ledger_mass_rel <= 1e-11);
        assert_true(t->session[0].burned_kg > 0.010 * n);
        const ep_sample *s = candle_at(t, 1, 240.0);
        assert_true(s->reach_frac >= 0.0 && s->reach_frac <= 1.0);
        assert_true(s->pool_narrow_m <= s->pool_width_m * (1.0 + 1e-9));
        assert_true(isnan(s->flame_apart_m) == (n == 1));
        ep_trace_destroy(t);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(round_jar_on_the_plan_grid),
        cmocka_unit_test(mirror_planes_and_turns),
        cmocka_unit_test(off_the_centre),
        cmocka_unit_test(other_outlines),
    };
    return cmocka_run_group_tests_name("layout", tests, NULL, NULL);
}
