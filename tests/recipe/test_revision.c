// Revisions: what is refused, and what counts as a change.
#include "recipe/recipe.h"

#include <stdio.h>

#include "../base/check.h"
#include "sample.h"

static void sample_is_accepted(void **state)
{
    (void)state;
    ep_revision r = sample_revision();
    ep_err err = {0};
    assert_int_equal(ep_revision_check(&r, &err), EP_OK);
    assert_int_equal(err.status, EP_OK);
    // a plain candle whose wick is still to be found
    r.fragrance_id[0] = r.dye_id[0] = r.size_id[0] = r.series_id[0] = '\0';
    r.load_frac = r.dye_of_wax_frac = 0.0;
    r.n_additives = 0;
    assert_int_equal(ep_revision_check(&r, &err), EP_OK);
    // a blend of thirds as it comes from a form of three decimals
    r.n_waxes = 3;
    r.wax[0].frac = r.wax[1].frac = 0.3333333;
    snprintf(r.wax[2].id, sizeof r.wax[2].id, "wax-c");
    r.wax[2].frac = 0.3333333;
    assert_int_equal(ep_revision_check(&r, &err), EP_OK);
}

static void refused(const ep_revision *r, const char *field, const char *value, const char *range)
{
    ep_err err = {0};
    assert_int_equal(ep_revision_check(r, &err), EP_E_ARG);
    assert_string_equal(err.field, field);
    check_has(err.text, field);
    check_has(err.text, value);
    check_has(err.text, range);
}

// one change to the sample, one refusal
#define REFUSED(change, field, value, range)                                                       \
    do {                                                                                           \
        ep_revision r = sample_revision();                                                         \
        change;                                                                                    \
        refused(&r, field, value, range);                                                          \
    } while (0)

static void refused_materials(void **state)
{
    (void)state;
    REFUSED(r.number = 0, "number", "0 is", "1 to 9999");
    REFUSED(r.container_id[0] = '\0', "container", "none is chosen", "choose one");
    REFUSED(r.n_waxes = 0, "wax", "0 is", "1 to 8");
    REFUSED(r.n_waxes = 9, "wax", "9 is", "1 to 8");
    REFUSED(r.wax[1].id[0] = '\0', "wax", "none is chosen", "choose one");
    REFUSED(r.wax[1].frac = 0.1, "wax", "sum to 90 %", "100 %");
    REFUSED(r.wax[1].frac = 0.200002, "wax", "sum to 100.0002 %", "100 %");
    REFUSED(r.wax[1].frac = -0.2, "wax", "-20 %", "0.001 % to 100 %");
    REFUSED(r.wax[1].frac = (double)NAN, "wax", "not a number", "0.001 % to 100 %");
    REFUSED(r.wax[1] = r.wax[0], "wax", "\"wax-a\" stands in the list twice", "once");
    REFUSED(r.load_basis = (ep_load_basis)7, "load_basis", "7", "of_wax or of_total");
    REFUSED(r.load_frac = 0.35, "load", "35 %", "0.001 % to 30 %");
    REFUSED(r.load_frac = 0.0, "load", "0 %", "0.001 % to 30 %");
    REFUSED(r.fragrance_id[0] = '\0', "load", "8 %", "no fragrance is chosen");
    REFUSED(r.dye_of_wax_frac = 0.06, "dye", "6 %", "0.001 % to 5 %");
    REFUSED(r.dye_id[0] = '\0', "dye", "0.1 %", "no dye is chosen");
    REFUSED(r.n_additives = -1, "additives", "-1 is", "0 to 8");
    REFUSED(r.additive[0].frac = 0.5, "additives", "50 %", "0.001 % to 40 %");
    REFUSED((r.n_additives = 2, r.additive[0].frac = 0.3, r.additive[1].frac = 0.2,
             r.additive[1].id[0] = 'x'),
            "additives", "50 %", "0 % to 40 %");
}

static void refused_burn_and_wick(void **state)
{
    (void)state;
    REFUSED(r.fill_height_m = 0.004, "fill", "4 mm", "5 mm to 400 mm");
    REFUSED(r.fill_height_m = 0.401, "fill", "401 mm", "5 mm to 400 mm");
    REFUSED(r.session_s = 60.0, "session", "0.0166667 h", "0.25 h to 24 h");
    REFUSED(r.session_s = 1e6, "session", "277.778 h", "0.25 h to 24 h");
    REFUSED(r.stop_height_m = 0.071, "stop_height", "71 mm", "0 mm to 70 mm");
    REFUSED(r.stop_height_m = -0.001, "stop_height", "-1 mm", "0 mm to 70 mm");
    REFUSED(r.series_id[0] = '\0', "series", "none is chosen", "choose one");
    REFUSED(r.wick_count = 0, "wick_count", "0 is", "1 to 6");
    REFUSED(r.wick_count = 7, "wick_count", "7 is", "1 to 6");
    REFUSED(r.trim_m = 0.0005, "trim", "0.5 mm", "1 mm to 15 mm");
    REFUSED(r.trim_m = 0.016, "trim", "16 mm", "1 mm to 15 mm");
}

static unsigned bit(ep_factor f)
{
    return 1u << f;
}

// each factor alone, changed to something else, gives its own bit and no other
#define CHANGES(change, factors)                                                                   \
    do {                                                                                           \
        ep_revision r = sample_revision(), s = sample_revision();                                  \
        change;                                                                                    \
        assert_int_equal(ep_revision_diff(&s, &r), factors);                                       \
        assert_int_equal(ep_revision_diff(&r, &s), factors);                                       \
    } while (0)

static void one_factor_one_bit(void **state)
{
    (void)state;
    CHANGES(r.container_id[0] = 'X', bit(EP_FACTOR_CONTAINER));
    CHANGES(r.fill_height_m += 0.001, bit(EP_FACTOR_FILL));
    CHANGES(r.wax[0].id[0] = 'X', bit(EP_FACTOR_WAX));
    CHANGES((r.wax[0].frac = 0.79, r.wax[1].frac = 0.21), bit(EP_FACTOR_WAX));
    CHANGES((r.n_waxes = 1, r.wax[0].frac = 1.0), bit(EP_FACTOR_WAX));
    CHANGES(r.fragrance_id[0] = 'X', bit(EP_FACTOR_FRAGRANCE));
    CHANGES(r.load_frac = 0.09, bit(EP_FACTOR_LOAD));
    CHANGES(r.load_frac = 0.080002, bit(EP_FACTOR_LOAD));
    CHANGES(r.load_basis = EP_LOAD_OF_TOTAL, bit(EP_FACTOR_LOAD));
    CHANGES(r.dye_id[0] = 'X', bit(EP_FACTOR_DYE));
    CHANGES(r.dye_of_wax_frac = 0.0011, bit(EP_FACTOR_DYE));
    CHANGES(r.additive[0].frac = 0.03, bit(EP_FACTOR_ADDITIVE));
    CHANGES(r.n_additives = 0, bit(EP_FACTOR_ADDITIVE));
    CHANGES(r.series_id[0] = 'X', bit(EP_FACTOR_SERIES));
    CHANGES(r.size_id[0] = 'X', bit(EP_FACTOR_SIZE));
    CHANGES(r.wick_count = 2, bit(EP_FACTOR_COUNT));
    CHANGES(r.trim_m = 0.005, bit(EP_FACTOR_TRIM));
    CHANGES(r.session_s = 3.0 * 3600.0, bit(EP_FACTOR_SESSION));
    CHANGES(r.stop_height_m = 0.012, bit(EP_FACTOR_STOP));
    CHANGES((r.trim_m = 0.005, r.load_frac = 0.06), bit(EP_FACTOR_TRIM) | bit(EP_FACTOR_LOAD));
}

static void same_candle_no_change(void **state)
{
    (void)state;
    CHANGES((void)r, 0);
    // order of the waxes
    CHANGES((r.wax[0] = s.wax[1], r.wax[1] = s.wax[0]), 0);
    // ids and numbers of the revision itself
    CHANGES((r.number = 2, r.id[0] = 'X'), 0);
    // inches typed for millimetres
    CHANGES(r.fill_height_m = 0.070 / 0.0254 * 0.0254, 0);
    // the load on the other basis: of wax p, of total p / (1 + p + a) with dye and additive in a
    CHANGES((r.load_basis = EP_LOAD_OF_TOTAL, r.load_frac = 0.08 / (1.0 + 0.08 + 0.021)), 0);
    CHANGES((r.load_basis = EP_LOAD_OF_TOTAL, r.load_frac = 0.08 / (1.0 + 0.08 + 0.021) + 2e-6),
            bit(EP_FACTOR_LOAD));
    CHANGES((r.load_frac = s.load_frac = 0.0, r.load_basis = EP_LOAD_OF_TOTAL), 0);
}

static void factors_have_names(void **state)
{
    (void)state;
    for (int f = 0; f < EP_FACTOR_COUNT_; f++) {
        assert_true(strlen(ep_factor_key((ep_factor)f)) > 2);
        assert_true(strlen(ep_factor_label((ep_factor)f)) > 2);
        for (int g = 0; g < f; g++) {
            assert_string_not_equal(ep_factor_key((ep_factor)f), ep_factor_key((ep_factor)g));
        }
    }
    assert_string_equal(ep_factor_key(EP_FACTOR_COUNT), "wick_count");
    assert_true(ep_factor_needs_retest(EP_FACTOR_DYE));
    assert_false(ep_factor_needs_retest(EP_FACTOR_SESSION));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sample_is_accepted),    cmocka_unit_test(refused_materials),
        cmocka_unit_test(refused_burn_and_wick), cmocka_unit_test(one_factor_one_bit),
        cmocka_unit_test(same_candle_no_change), cmocka_unit_test(factors_have_names),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
