// Load on its two bases: the published conversion, the identities, every refusal.
#include "recipe/recipe.h"

#include "../base/check.h"

static ep_mix mix_ok(double load, ep_load_basis basis, double dye, double additive)
{
    ep_mix m = {0};
    ep_err err = {0};
    if (ep_mix_make(load, basis, dye, additive, &m, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    return m;
}

// conversion of a stated per cent, no additives; the arithmetic identity, three decimals
static void stated_per_cent_on_the_other_basis(void **state)
{
    (void)state;
    const struct {
        double stated, wax_to_total, total_to_wax;
    } row[] = {{3, 2.913, 3.093}, {5, 4.762, 5.263},   {6, 5.660, 6.383},
               {8, 7.407, 8.696}, {10, 9.091, 11.111}, {12, 10.714, 13.636}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        double x = row[i].stated / 100.0;
        check_near(100.0 * ep_load_to_total(x, 0.0), row[i].wax_to_total, 5e-4);
        check_near(100.0 * ep_load_to_wax(x, 0.0), row[i].total_to_wax, 5e-4);
        check_near(100.0 * mix_ok(x, EP_LOAD_OF_WAX, 0.0, 0.0).load_of_total, row[i].wax_to_total,
                   5e-4);
        check_near(100.0 * mix_ok(x, EP_LOAD_OF_TOTAL, 0.0, 0.0).load_of_wax, row[i].total_to_wax,
                   5e-4);
    }
    // 10 % of wax is one part in eleven
    check_near(ep_load_to_total(0.10, 0.0), 1.0 / 11.0, 1e-16);
}

// a mix weighed by hand: 1000 g wax, 80 g fragrance, 2 g dye, 50 g additive
static void a_mix_weighed_by_hand(void **state)
{
    (void)state;
    ep_mix m = mix_ok(0.080, EP_LOAD_OF_WAX, 0.002, 0.050);
    check_rel(m.wax_frac, 1000.0 / 1132.0, 1e-15);
    check_rel(m.fragrance_frac, 80.0 / 1132.0, 1e-15);
    check_rel(m.dye_frac, 2.0 / 1132.0, 1e-15);
    check_rel(m.additive_frac, 50.0 / 1132.0, 1e-15);
    check_rel(m.load_of_total, 80.0 / 1132.0, 1e-15);
    check_rel(m.load_of_wax, 0.080, 1e-15);
    // the same mix stated on the other basis is the same mix
    ep_mix other = mix_ok(80.0 / 1132.0, EP_LOAD_OF_TOTAL, 0.002, 0.050);
    check_rel(other.wax_frac, m.wax_frac, 1e-14);
    check_rel(other.fragrance_frac, m.fragrance_frac, 1e-14);
    check_rel(other.additive_frac, m.additive_frac, 1e-14);
}

static void identities(void **state)
{
    (void)state;
    for (double p = 0.0; p <= 0.30; p += 0.0125) {
        for (double d = 0.0; d <= 0.05; d += 0.01) {
            for (double a = 0.0; a <= 0.40; a += 0.05) {
                check_near(ep_load_to_wax(ep_load_to_total(p, a), a), p, 1e-15);
                for (int basis = 0; basis < 2; basis++) {
                    ep_mix m = mix_ok(p, (ep_load_basis)basis, d, a);
                    check_near(m.wax_frac + m.fragrance_frac + m.dye_frac + m.additive_frac, 1.0,
                               1e-15);
                    check_near(m.load_of_total, m.fragrance_frac, 1e-15);
                    check_near(m.load_of_wax * m.wax_frac, m.fragrance_frac, 1e-15);
                    check_near(m.dye_frac, d * m.wax_frac, 1e-16);
                    double stated = basis == EP_LOAD_OF_WAX ? m.load_of_wax : m.load_of_total;
                    check_near(stated, p, 1e-15);
                    // of total is the smaller number, always
                    assert_true(p == 0.0 || m.load_of_total < m.load_of_wax);
                }
            }
        }
    }
}

static void refused(double load, double dye, double additive, const char *field, const char *value,
                    const char *range)
{
    ep_mix m = {.wax_frac = 999.0};
    ep_err err = {0};
    assert_int_equal(ep_mix_make(load, EP_LOAD_OF_WAX, dye, additive, &m, &err), EP_E_ARG);
    assert_true(m.wax_frac == 999.0);
    assert_string_equal(err.field, field);
    check_has(err.text, field);
    check_has(err.text, value);
    check_has(err.text, range);
}

static void refusals(void **state)
{
    (void)state;
    refused(0.31, 0.0, 0.0, "load", "31 %", "0 % to 30 %");
    refused(-0.01, 0.0, 0.0, "load", "-1 %", "0 % to 30 %");
    refused((double)NAN, 0.0, 0.0, "load", "not a number", "0 % to 30 %");
    refused(0.08, 0.06, 0.0, "dye", "6 %", "0 % to 5 %");
    refused(0.08, 0.0, 0.41, "additives", "41 %", "0 % to 40 %");
}

static void keys(void **state)
{
    (void)state;
    ep_load_basis b = EP_LOAD_OF_WAX;
    assert_string_equal(ep_load_basis_key(EP_LOAD_OF_WAX), "of_wax");
    assert_true(ep_load_basis_find("of_total", &b));
    assert_int_equal(b, EP_LOAD_OF_TOTAL);
    assert_false(ep_load_basis_find("of_jar", &b));
    assert_false(ep_load_basis_find(NULL, &b));
    assert_int_equal(b, EP_LOAD_OF_TOTAL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stated_per_cent_on_the_other_basis),
        cmocka_unit_test(a_mix_weighed_by_hand),
        cmocka_unit_test(identities),
        cmocka_unit_test(refusals),
        cmocka_unit_test(keys),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
