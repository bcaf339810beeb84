// Which unknown matters most: a candle on rings burns for every one of them; a dear one is ranked
// on the jar of the share, and what is said to be burned was burned.
#include "burn/sensitivity.h"

#include "candle.h"

// a box of 80 by 53 mm with two wicks that no mirror plane halves twice
static ep_burn_case box(void)
{
    ep_burn_case c = candle_plain();
    candle_jar(&c, "std-container-stoneware", 80.0, 55.0, 4.0, 40.0);
    c.vessel.outline = EP_OUTLINE_RECT;
    c.vessel.across_frac = 2.0 / 3.0;
    c.vessel.corner_frac = 0.3;
    c.melt = candle_wax("std-wax-soy");
    c.n_wicks = 2;
    c.place[0] = (ep_place){-0.0193, 0.0047};
    c.place[1] = (ep_place){0.0207, -0.0031};
    c.grid_m = 4e-3;
    c.step_s = 120.0;
    c.schedule.lit_s = 2.0 * 3600.0;
    return c;
}

static ep_outcome burned(ep_burn_case c, ep_uncertain u, double value)
{
    c.schedule.max_sessions = 1;
    c.factors.f[u] = value;
    ep_trace *t = candle_burn(&c);
    const ep_session_sum *s = &t->session[0];
    ep_outcome o = {(t->fill_kg - t->left_kg) / t->burn_total_s, s->reach_end_frac, s->depth_mid_m,
                    s->wall_max_C, s->flame_max_m};
    ep_trace_destroy(t);
    return o;
}

static void same_outcome(const ep_outcome *a, ep_outcome b)
{
    check_rel(a->rate_kg_s, b.rate_kg_s, 1e-12);
    check_near(a->reach_frac, b.reach_frac, 1e-12);
    check_near(a->depth_mid_m, b.depth_mid_m, 1e-12);
    check_near(a->wall_max_C, b.wall_max_C, 1e-9);
    check_near(a->flame_max_m, b.flame_max_m, 1e-12);
}

static ep_outcome why(const ep_burn_case *c, ep_sensitivity *row)
{
    ep_outcome nominal;
    ep_err err = {0};
    if (ep_sensitivity_run(c, 1, &nominal, row, &err) != EP_OK) {
        fail_msg("%s: %s", err.field, err.text);
    }
    unsigned seen = 0;
    for (int i = 0; i < EP_UNC_COUNT_; i++) {
        assert_true(i == 0 || row[i].weight <= row[i - 1].weight);
        seen |= 1u << row[i].factor;
    }
    assert_int_equal(seen, (1u << EP_UNC_COUNT_) - 1u);
    return nominal;
}

static void rings_burn_for_each(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    c.grid_m = 3e-3;
    ep_sensitivity row[EP_UNC_COUNT_];
    ep_outcome nominal = why(&c, row);
    same_outcome(&nominal, burned(c, EP_UNC_FEED, 1.0));
    for (int i = 0; i < EP_UNC_COUNT_; i++) {
        assert_false(row[i].estimated);
        same_outcome(&row[i].at_lo, burned(c, row[i].factor, row[i].lo));
        same_outcome(&row[i].at_hi, burned(c, row[i].factor, row[i].hi));
    }
}

static void a_dear_candle_burns_the_heaviest(void **state)
{
    (void)state;
    const ep_burn_case c = box();
    ep_sensitivity row[EP_UNC_COUNT_];
    ep_outcome nominal = why(&c, row);
    same_outcome(&nominal, burned(c, EP_UNC_FEED, 1.0));
    int estimated = 0;
    for (int i = 0; i < EP_UNC_COUNT_; i++) {
        assert_false(i < EP_SENSITIVITY_FULL && row[i].estimated);
        const ep_outcome lo = burned(c, row[i].factor, row[i].lo),
                         hi = burned(c, row[i].factor, row[i].hi);
        printf("%-34s %s wall %.1f %.1f (%.1f %.1f) rate %.2f %.2f (%.2f %.2f)\n",
               ep_uncertain_label(row[i].factor), row[i].estimated ? "estimated" : "burned   ",
               row[i].at_lo.wall_max_C, row[i].at_hi.wall_max_C, lo.wall_max_C, hi.wall_max_C,
               3.6e6 * row[i].at_lo.rate_kg_s, 3.6e6 * row[i].at_hi.rate_kg_s, 3.6e6 * lo.rate_kg_s,
               3.6e6 * hi.rate_kg_s);
        if (row[i].estimated) {
            estimated++;
            // of the wall's 40 K over the room, and of the rate
            check_near(row[i].at_lo.wall_max_C, lo.wall_max_C, 3.0);
            check_near(row[i].at_hi.wall_max_C, hi.wall_max_C, 3.0);
            check_rel(row[i].at_lo.rate_kg_s, lo.rate_kg_s, 0.03);
            check_rel(row[i].at_hi.rate_kg_s, hi.rate_kg_s, 0.03);
        } else {
            same_outcome(&row[i].at_lo, lo);
            same_outcome(&row[i].at_hi, hi);
        }
    }
    // worth while: most are not burned
    assert_true(estimated >= EP_UNC_COUNT_ / 2);
}

static void the_jar_of_the_share(void **state)
{
    (void)state;
    const ep_burn_case c = box();
    ep_burn_case share;
    assert_true(ep_share_case(&c, &share));
    assert_true(ep_burn_case_rings(&share));
    check_rel(2.0 * ep_vessel_volume_m3(&share.vessel, c.fill_height_m),
              ep_vessel_volume_m3(&c.vessel, c.fill_height_m), 1e-12);
    // four wicks in 26 mm: a share of 13 mm is no vessel
    ep_burn_case tiny = candle_plain();
    candle_jar(&tiny, "std-container-soda-lime", 26.0, 60.0, 3.0, 40.0);
    tiny.n_wicks = 4;
    ep_places_default(&tiny.vessel, tiny.fill_height_m, 4, tiny.place);
    assert_false(ep_share_case(&tiny, &share));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rings_burn_for_each),
        cmocka_unit_test(a_dear_candle_burns_the_heaviest),
        cmocka_unit_test(the_jar_of_the_share),
    };
    return cmocka_run_group_tests_name("why", tests, NULL, NULL);
}
