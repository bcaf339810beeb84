// n wicks in a large jar against one in a jar of the share, 60 mm wide, of the same wax, wick and
// fill. Each burns what the single one burns, for a wick does not know its neighbours; the large
// jar has less wall for its wax and is the warmer one. Tolerances were set after looking, at about
// twice what was found: this guards the sharing, it does not measure a candle.
#include "candle.h"

static const double SHARE_MM = 60.0;

static ep_trace *jar_for(int n)
{
    ep_burn_case c = candle_plain();
    candle_jar(&c, "std-container-soda-lime", SHARE_MM * sqrt(n), 90.0, 3.0, 60.0);
    c.wick = candle_braid(1.4);
    c.grid_m = 3e-3;
    c.schedule.max_sessions = 2;
    c.n_wicks = n;
    ep_places_default(&c.vessel, c.fill_height_m, n, c.place);
    ep_trace *t = candle_burn(&c);
    candle_books(t);
    return t;
}

static void each_burns_its_share(void **state)
{
    (void)state;
    ep_trace *one = jar_for(1);
    for (int n = 2; n <= EP_MAX_WICKS; n++) {
        ep_trace *many = jar_for(n);
        check_rel(many->fill_kg, n * one->fill_kg, 1e-9);
        for (int s = 0; s < 2; s++) {
            const ep_session_sum *a = &one->session[s], *b = &many->session[s];
            printf("%d wicks, session %d: burned %+.1f %%, flame %+.1f %%, melt %+.1f K, depth x "
                   "%.2f, "
                   "wall %+.1f K\n",
                   n, s + 1, 100.0 * (b->burned_kg / n / a->burned_kg - 1.0),
                   100.0 * (b->flame_max_m / a->flame_max_m - 1.0), b->pool_bulk_C - a->pool_bulk_C,
                   b->depth_mid_m / a->depth_mid_m, b->wall_max_C - a->wall_max_C);
            check_rel(b->burned_kg, n * a->burned_kg, 0.03);
            check_rel(b->flame_max_m, a->flame_max_m, 0.04);
            assert_int_equal(b->wicks_out, 0);
            // warmer and deeper, within reason
            assert_true(b->pool_bulk_C > a->pool_bulk_C && b->pool_bulk_C < a->pool_bulk_C + 25.0);
            assert_true(b->depth_mid_m > a->depth_mid_m && b->depth_mid_m < 2.5 * a->depth_mid_m);
            assert_true(b->wall_max_C > a->wall_max_C && b->wall_max_C < a->wall_max_C + 40.0);
        }
        // of the flames' heat the wax takes up the same part
        double part = one->heat.to_pool_J / one->heat.flame_J;
        check_near(many->heat.to_pool_J / many->heat.flame_J, part, 0.3 * part);
        ep_trace_destroy(many);
    }
    ep_trace_destroy(one);
}

// beyond the flames' reach of each other a second wick changes nothing at the first: a long box
// with one wick at each end against one with a wick at one end only. Films and air are means over
// the whole jar, so a little remains.
static void far_apart(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    candle_jar(&c, "std-container-stoneware", 240.0, 60.0, 5.0, 40.0);
    c.vessel.outline = EP_OUTLINE_RECT;
    c.vessel.across_frac = 0.25;
    c.grid_m = 4e-3;
    c.schedule.max_sessions = 1;
    c.place[0] = (ep_place){-0.0902, 0.0};
    ep_trace *one = candle_burn(&c);
    c.n_wicks = 2;
    c.place[1] = (ep_place){0.0902, 0.0};
    ep_trace *two = candle_burn(&c);
    candle_books(one);
    candle_books(two);
    check_rel(two->session[0].burned_kg, 2.0 * one->session[0].burned_kg, 1e-3);
    check_near(two->session[0].wall_max_C, one->session[0].wall_max_C, 0.5);
    check_near(two->session[0].pool_bulk_C, one->session[0].pool_bulk_C, 0.5);
    ep_trace_destroy(one);
    ep_trace_destroy(two);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(each_burns_its_share),
                                       cmocka_unit_test(far_apart)};
    return cmocka_run_group_tests_name("shares", tests, NULL, NULL);
}
