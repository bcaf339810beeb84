// Vapour of overheated melt: its law against published values of n-pentacosane, and candles so hot
// that they boil: nothing passes the boiling point, the books close, and candles that are well are
// not touched.
#include "burn/boil.h"

#include "candle.h"

// boiling point 675.1 K (CRC Handbook 2014), heat there 209 kJ/kg and pressures at 70, 100 and 150
// C by the Antoine constants of Landolt-Boernstein IV/20A
static void published_values(void **state)
{
    (void)state;
    check_near(ep_wax_boils_C(), 675.1 - 273.15, 0.3);
    check_rel(ep_wax_vapour_J_kg(675.1 - 273.15), 209e3, 0.005);
    check_rel(ep_wax_vapour_Pa(70.0), 1.8e-3, 0.03);
    check_rel(ep_wax_vapour_Pa(100.0), 0.084, 0.03);
    check_rel(ep_wax_vapour_Pa(150.0), 7.5, 0.02);
}

// by hand at 300 C under a film of 8 W/(m2 K) and air of 40 C: film 443.15 K, air 0.7965 kg/m3,
// speed 8/(0.7965 x 1010 x 7^(2/3)) = 2.718e-3 m/s, vapour at full pressure 9.699 kg/m3, -ln(1 -
// 8596/101325) = 0.08865: 2.337e-3; at 200 C film 393.15 K,
// 0.8978, 2.411e-3, 10.933, 1.6229e-3: 4.28e-5 kg/(m2 s)
static void flux_by_hand(void **state)
{
    (void)state;
    check_rel(ep_boil_kg_m2s(300.0, 8.0, 40.0), 2.337e-3 - 4.28e-5, 0.002);
}

static void flux_in_its_limits(void **state)
{
    (void)state;
    check_near(ep_boil_kg_m2s(EP_BOIL_FROM_C, 8.0, 40.0), 0.0, 0.0);
    check_near(ep_boil_kg_m2s(60.0, 8.0, 40.0), 0.0, 0.0);
    double before = 0.0;
    for (double T_C = EP_BOIL_FROM_C + 1.0; T_C < 401.0; T_C += 1.0) {
        double flux = ep_boil_kg_m2s(T_C, 8.0, 40.0);
        assert_true(flux > before);
        check_rel(ep_boil_kg_m2s(T_C, 16.0, 40.0), 2.0 * flux, 1e-9);
        before = flux;
    }
    assert_true(ep_boil_kg_m2s(ep_wax_boils_C(), 8.0, 40.0) > 5.0 * before);
}

// a wooden board of 24 mm in 45 mm of wax
static ep_burn_case overheated(double grid_mm, double step_s)
{
    ep_burn_case c = candle_plain();
    candle_jar(&c, "std-container-soda-lime", 45.0, 60.0, 3.0, 45.0);
    c.wick = candle_wick_of("std-wick-wooden", 16.0, 24.0, 1.2, 0.0);
    c.neck_m = 0.0;
    c.grid_m = grid_mm * 1e-3;
    c.step_s = step_s;
    return c;
}

static void an_overheated_candle_boils(void **state)
{
    (void)state;
    for (double step_s = 120.0; step_s > 20.0; step_s /= 2.0) {
        const ep_burn_case c = overheated(3.0, step_s);
        ep_trace *t = candle_burn(&c);
        double hottest_C = 0.0;
        for (int n = 0; n < t->n_samples; n++) {
            const ep_sample *s = &t->sample[n];
            hottest_C = fmax(hottest_C, s->pool_wick_C);
            hottest_C = isnan(s->pool_bulk_C) ? hottest_C : fmax(hottest_C, s->pool_bulk_C);
        }
        printf(
            "%3.0f s steps: %.1f g of %.1f boiled off, %.0f kJ with it, melt up to %.0f C, %.2f h, "
            "ledgers %.0e %.0e\n",
            step_s, t->boiled_kg * 1e3, t->fill_kg * 1e3, t->heat.vapour_J * 1e-3, hottest_C,
            t->burn_total_s / 3600.0, t->ledger_energy_rel, t->ledger_mass_rel);
        candle_books(t);
        assert_true(t->boiled_kg > 1e-3 && t->boiled_kg < 0.2 * t->fill_kg);
        // without vapour it gets to 543 C
        assert_true(hottest_C > EP_BOIL_FROM_C && hottest_C < ep_wax_boils_C());
        // each gram takes the heat of melt at 200 to 300 C along, and that of its vapour
        check_near(t->heat.vapour_J / t->boiled_kg, 1.0e6, 0.2e6);
        // what burned at the wicks is the rest
        check_rel(t->heat.flame_J, (t->fill_kg - t->left_kg - t->boiled_kg) * c.melt.lhv_J_kg.value,
                  1e-9);
        ep_trace_destroy(t);
    }
}

static void a_candle_that_is_well_does_not(void **state)
{
    (void)state;
    const ep_burn_case c = candle_plain();
    ep_trace *t = candle_burn(&c);
    check_near(t->boiled_kg, 0.0, 0.0);
    check_near(t->heat.vapour_J, 0.0, 0.0);
    ep_trace_destroy(t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_values),
        cmocka_unit_test(flux_by_hand),
        cmocka_unit_test(flux_in_its_limits),
        cmocka_unit_test(an_overheated_candle_boils),
        cmocka_unit_test(a_candle_that_is_well_does_not),
    };
    return cmocka_run_group_tests_name("boil", tests, NULL, NULL);
}
