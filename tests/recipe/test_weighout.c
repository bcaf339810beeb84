// The weigh-out: a batch worked by hand, sums and rounding laws, every refusal.
#include "base/rng.h"
#include "recipe/recipe.h"

#include "../base/check.h"
#include "sample.h"

static const double pi = 3.14159265358979323846;

static ep_weighout made(const ep_revision *r, const ep_vessel *v, int candles, double loss,
                        double residue_kg, double step_kg)
{
    ep_melt m = sample_melt();
    ep_weighout w = {0};
    ep_err err = {0};
    if (ep_weighout_make(r, &m, v, candles, loss, residue_kg, step_kg, &w, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    return w;
}

// arithmetic done by hand: a jar of 70 mm, filled 70 mm: 269.392 ml, at 0.905 g/ml 243.799 g.
// Twelve with 3 % loss and 5 g left in the pot: 3018.36 g. One part wax with 0.08 fragrance, 0.001
// dye, 0.02 additive: wax 3018.36 / 1.101 = 2741.47, of it 2193.2 and 548.3; fragrance 219.3;
// dye 2.7; 54.8
static void a_batch_by_hand(void **state)
{
    (void)state;
    ep_revision r = sample_revision();
    ep_vessel v = ep_vessel_straight(0.070, 0.090, 0.003, 0.005);
    ep_melt m = sample_melt();
    check_rel(ep_fill_mass_kg(&m, &v, 0.070), 905.0 * pi / 4.0 * 0.07 * 0.07 * 0.07, 1e-14);
    ep_weighout w = made(&r, &v, 12, 0.03, 0.005, 0.0001);
    assert_int_equal(w.candles, 12);
    check_near(w.fill_kg, 0.243799, 1e-6);
    check_near(w.wax_kg[0], 2.1932, 1e-12);
    check_near(w.wax_kg[1], 0.5483, 1e-12);
    check_near(w.fragrance_kg, 0.2193, 1e-12);
    check_near(w.dye_kg, 0.0027, 1e-12);
    check_near(w.additive_kg[0], 0.0548, 1e-12);
    check_near(w.total_kg, 2.1932 + 0.5483 + 0.2193 + 0.0027 + 0.0548, 1e-12);
    // both bases, of what is really weighed
    check_rel(w.load_of_wax, 0.2193 / 2.7415, 1e-12);
    check_rel(w.load_of_total, 0.2193 / 3.0183, 1e-12);
    // worst part: the dye, 2.7415 g rounded to 2.7 g
    check_near(w.rounding_frac, 0.0415 / 2.7415, 1e-3);
}

static double parts_kg(const ep_revision *r, const ep_weighout *w)
{
    double sum_kg = w->fragrance_kg + w->dye_kg;
    for (int i = 0; i < r->n_waxes; i++) {
        sum_kg += w->wax_kg[i];
    }
    for (int i = 0; i < r->n_additives; i++) {
        sum_kg += w->additive_kg[i];
    }
    return sum_kg;
}

static void whole_steps(double mass_kg, double step_kg)
{
    double steps = mass_kg / step_kg;
    check_near(steps, round(steps), 1e-6);
    assert_true(mass_kg >= 0.0);
}

static void laws_of_rounding(void **state)
{
    (void)state;
    const double steps_kg[] = {0.00001, 0.0001, 0.0005, 0.001, 0.002, 0.005, 0.01};
    ep_rng rng = ep_rng_make(21, 0);
    ep_vessel v = sample_vessel();
    for (int n = 0; n < 3000; n++) {
        ep_revision r = sample_revision();
        r.fill_height_m = 0.03 + 0.06 * ep_rng_uniform(&rng);
        r.wax[0].frac = 0.3 + 0.65 * ep_rng_uniform(&rng);
        r.wax[1].frac = 1.0 - r.wax[0].frac;
        r.load_frac = 0.02 + 0.1 * ep_rng_uniform(&rng);
        r.load_basis = ep_rng_uniform(&rng) < 0.5 ? EP_LOAD_OF_WAX : EP_LOAD_OF_TOTAL;
        double step_kg = steps_kg[(int)(ep_rng_uniform(&rng) * 7.0)];
        double loss = 0.25 * ep_rng_uniform(&rng), residue_kg = 0.2 * ep_rng_uniform(&rng);
        int candles = 1 + (int)(ep_rng_uniform(&rng) * 499.0);
        ep_weighout w = made(&r, &v, candles, loss, residue_kg, step_kg);

        check_near(w.total_kg, parts_kg(&r, &w), 1e-12 * w.total_kg);
        whole_steps(w.wax_kg[0], step_kg);
        whole_steps(w.wax_kg[1], step_kg);
        whole_steps(w.fragrance_kg, step_kg);
        whole_steps(w.dye_kg, step_kg);
        whole_steps(w.additive_kg[0], step_kg);
        whole_steps(w.total_kg, step_kg);
        // five parts, each within half a step of what was wanted
        double wanted_kg = candles * w.fill_kg * (1.0 + loss) + residue_kg;
        check_near(w.total_kg, wanted_kg, 2.5 * step_kg + 1e-12);
        check_rel(w.load_of_wax, w.fragrance_kg / (w.wax_kg[0] + w.wax_kg[1]), 1e-12);
        check_rel(w.load_of_total, w.fragrance_kg / w.total_kg, 1e-12);
        double stated = r.load_basis == EP_LOAD_OF_WAX ? w.load_of_wax : w.load_of_total;
        double slack = r.load_frac * 2.5 * step_kg / wanted_kg + 0.7 * step_kg / wanted_kg;
        check_near(stated, r.load_frac, 2.0 * slack);
        assert_true(w.rounding_frac >= 0.0 && w.rounding_frac <= 1.0);
        // the claim of the worst part holds for the fragrance
        ep_mix mix;
        ep_mix_make(r.load_frac, r.load_basis, r.dye_of_wax_frac, r.additive[0].frac, &mix, NULL);
        double exact_kg = wanted_kg * mix.fragrance_frac;
        assert_true(fabs(w.fragrance_kg - exact_kg) / exact_kg <= w.rounding_frac + 1e-12);
    }
}

static void finer_scale_nearer_the_recipe(void **state)
{
    (void)state;
    ep_revision r = sample_revision();
    ep_vessel v = sample_vessel();
    ep_weighout fine = made(&r, &v, 6, 0.02, 0.0, 0.00001);
    check_near(fine.load_of_wax, 0.08, 5e-6);  // half a step of 0.01 g in 1.3 kg of wax
    assert_true(fine.rounding_frac < 0.004);
    ep_weighout coarse = made(&r, &v, 6, 0.02, 0.0, 0.001);
    assert_true(coarse.rounding_frac > fine.rounding_frac);
}

// 0.25 g of dye on a scale of 1 g reads nothing: the sheet must say that a part was lost
static void a_part_below_the_scale_is_told(void **state)
{
    (void)state;
    ep_revision r = sample_revision();
    ep_vessel v = sample_vessel();
    ep_weighout w = made(&r, &v, 1, 0.0, 0.0, 0.001);
    check_near(w.dye_kg, 0.0, 0.0);
    check_near(w.rounding_frac, 1.0, 0.0);
}

static void unscented_has_no_load(void **state)
{
    (void)state;
    ep_revision r = sample_revision();
    r.fragrance_id[0] = '\0';
    r.load_frac = 0.0;
    ep_vessel v = sample_vessel();
    ep_weighout w = made(&r, &v, 2, 0.0, 0.0, 0.0001);
    assert_true(w.fragrance_kg == 0.0 && w.load_of_wax == 0.0 && w.load_of_total == 0.0);
}

static void batches_scale(void **state)
{
    (void)state;
    ep_revision r = sample_revision();
    ep_vessel v = sample_vessel();
    ep_weighout one = made(&r, &v, 1, 0.05, 0.0, 0.00001);
    ep_weighout many = made(&r, &v, 500, 0.05, 0.0, 0.00001);
    check_rel(many.total_kg, 500.0 * one.total_kg, 2e-4);
    check_rel(many.fill_kg, one.fill_kg, 0.0);  // of one candle, whatever the batch
    ep_weighout pot = made(&r, &v, 500, 0.05, 0.1, 0.00001);
    check_near(pot.total_kg - many.total_kg, 0.1, 1e-4);
}

static void refused(int candles, double loss, double residue_kg, double step_kg, const char *field,
                    const char *value, const char *range)
{
    ep_revision r = sample_revision();
    ep_vessel v = sample_vessel();
    ep_melt m = sample_melt();
    ep_weighout w = {.total_kg = 999.0};
    ep_err err = {0};
    assert_int_equal(ep_weighout_make(&r, &m, &v, candles, loss, residue_kg, step_kg, &w, &err),
                     EP_E_ARG);
    assert_true(w.total_kg == 999.0);
    assert_string_equal(err.field, field);
    check_has(err.text, field);
    check_has(err.text, value);
    check_has(err.text, range);
}

static void refusals(void **state)
{
    (void)state;
    refused(0, 0.0, 0.0, 0.001, "candles", "0 is", "1 to 500");
    refused(501, 0.0, 0.0, 0.001, "candles", "501 is", "1 to 500");
    refused(6, 0.26, 0.0, 0.001, "loss", "26 %", "0 % to 25 %");
    refused(6, -0.01, 0.0, 0.001, "loss", "-1 %", "0 % to 25 %");
    refused(6, 0.0, 0.21, 0.001, "residue", "210 g", "0 g to 200 g");
    refused(6, 0.0, 0.0, 0.000005, "resolution", "0.005 g", "0.01 g to 10 g");
    refused(6, 0.0, 0.0, 0.011, "resolution", "11 g", "0.01 g to 10 g");
    refused(6, 0.0, (double)NAN, 0.001, "residue", "not a number", "0 g to 200 g");
}

static void refused_inputs(void **state)
{
    (void)state;
    ep_weighout w = {.total_kg = 999.0};
    ep_err err = {0};
    ep_revision r = sample_revision();
    ep_vessel v = sample_vessel();
    ep_melt m = sample_melt();
    r.fill_height_m = 0.0901;
    assert_int_equal(ep_weighout_make(&r, &m, &v, 6, 0.0, 0.0, 0.001, &w, &err), EP_E_ARG);
    assert_string_equal(err.text, "fill: 90.1 mm is outside 5 mm to 90 mm");
    ep_err_clear(&err);
    r = sample_revision();
    m.rho_solid_kg_m3.value = 0.905;  // g/ml where kg/m3 belongs
    assert_int_equal(ep_weighout_make(&r, &m, &v, 6, 0.0, 0.0, 0.001, &w, &err), EP_E_ARG);
    assert_string_equal(err.field, "density");
    check_has(err.text, "0.905 kg/m3 is outside 500 kg/m3 to 1500 kg/m3");
    ep_err_clear(&err);
    m = sample_melt();
    v.wall_m = 0.0;
    assert_int_equal(ep_weighout_make(&r, &m, &v, 6, 0.0, 0.0, 0.001, &w, &err), EP_E_ARG);
    assert_string_equal(err.field, "wall");
    assert_true(w.total_kg == 999.0);
    // a votive of 3 g on a kitchen scale of 10 g: one of its waxes would vanish
    ep_err_clear(&err);
    v = ep_vessel_straight(0.020, 0.012, 0.001, 0.001);
    r.fill_height_m = 0.010;
    r.stop_height_m = 0.0;
    assert_int_equal(ep_weighout_make(&r, &m, &v, 1, 0.0, 0.0, 0.010, &w, &err), EP_E_ARG);
    assert_string_equal(err.field, "resolution");
    check_has(err.text, "10 g is too coarse");
    assert_true(w.total_kg == 999.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_batch_by_hand),
        cmocka_unit_test(laws_of_rounding),
        cmocka_unit_test(finer_scale_nearer_the_recipe),
        cmocka_unit_test(a_part_below_the_scale_is_told),
        cmocka_unit_test(unscented_has_no_load),
        cmocka_unit_test(batches_scale),
        cmocka_unit_test(refusals),
        cmocka_unit_test(refused_inputs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
