// The wick at work: feed and demand by hand, where they balance, how it trims itself, and the one
// well-measured candle flame. Equations W5-W9.
#include "burn/wickburn.h"

#include "candle.h"

#define PI 3.14159265358979323846

// a melt whose feed can be worked out by hand: nothing depends on temperature
static ep_melt plain_melt(void)
{
    ep_melt m = candle_wax("std-wax-paraffin-container");
    m.mu80_Pas.value = 0.8e-3;
    m.andrade_K = 0.0;
    m.sigma80_N_m = 16e-3;
    m.sigma_slope_N_mK = 0.0;
    m.rho_liquid_kg_m3.value = 690.0;
    m.rho_slope_kg_m3K = 0.0;
    m.feed_factor = 1.0;
    return m;
}

static ep_wick_law plain_wick(double g_m)
{
    ep_wick_law w = candle_braid(g_m);
    w.permeability_m2.value = 3.8e-12;
    w.pore_radius_m = 15e-6;
    return w;
}

// C = rho K A (2 sigma / r) / mu: 690 x 3.8e-12 x 2.5365e-6 x 2133.3 / 8e-4 = 1.7735e-8 kg m/s for
// 1.25 g/m (A = 1.25e-3 / (1540 x 0.32)); over 10 mm that is the taper's 1.77 mg/s
static void feed_by_hand(void **state)
{
    (void)state;
    ep_melt m = plain_melt();
    ep_wick_law w = plain_wick(1.25);
    ep_factors x = ep_factors_nominal();
    check_rel(ep_feed_constant_kg_m_s(&m, &w, 70.0, 402.0, &x), 1.7735e-8, 1e-3);
    // factors enter as they are named
    x.f[EP_UNC_FEED] = 1.3;
    x.f[EP_UNC_VISCOSITY] = 2.0;
    check_rel(ep_feed_constant_kg_m_s(&m, &w, 70.0, 402.0, &x), 1.7735e-8 * 1.3 / 2.0, 1e-3);
    // a hotter pool is thinner
    m = candle_wax("std-wax-soy");
    x = ep_factors_nominal();
    assert_true(ep_feed_constant_kg_m_s(&m, &w, 90.0, 402.0, &x) >
                ep_feed_constant_kg_m_s(&m, &w, 60.0, 402.0, &x));
}

static ep_wick_now at_length(const ep_melt *m, const ep_wick_law *w, double exposed_m)
{
    ep_fuel f = ep_fuel_of(m);
    ep_factors x = ep_factors_nominal();
    return ep_wick_burn(&f, m, w, exposed_m, 80.0, 0.232, &x);
}

static void balance(void **state)
{
    (void)state;
    ep_melt m = plain_melt();
    ep_wick_law w = plain_wick(1.0);
    const double at_m = at_length(&m, &w, 5e-3).balance_m;
    assert_true(at_m > 6e-3 && at_m < 12e-3);
    // it does not depend on how long the wick stands just now
    for (double L = 1e-3; L < 12e-3; L += 1e-3) {
        check_rel(at_length(&m, &w, L).balance_m, at_m, 1e-4);
    }
    ep_wick_now now = at_length(&m, &w, at_m);
    check_rel(now.demand_kg_s, now.supply_kg_s, 1e-3);
    // there the rounding takes 2^(-1/12) of both
    check_rel(now.rate_kg_s, now.demand_kg_s * pow(2.0, -1.0 / 12.0), 1e-3);
    // far below, demand alone counts; above, the dry tip neither burns nor slows the rest
    now = at_length(&m, &w, 0.4 * at_m);
    check_rel(now.rate_kg_s, now.demand_kg_s, 1e-6);
    double before = 0.0;
    for (double L = 0.5e-3; L < 25e-3; L += 0.25e-3) {
        now = at_length(&m, &w, L);
        assert_true(now.rate_kg_s >= before);
        assert_true(now.rate_kg_s <= fmin(now.demand_kg_s, now.supply_kg_s) * (1.0 + 1e-12));
        assert_true(now.wet_m <= L && now.wet_m <= at_m * 1.001);
        before = now.rate_kg_s;
    }
    check_near(at_length(&m, &w, 0.0).rate_kg_s, 0.0, 0.0);
    check_near(at_length(&m, &w, -1e-3).rate_kg_s, 0.0, 0.0);
}

// after hours of burning over a pool that does not sink, the wick has trimmed itself
static ep_wick_now settled(const ep_melt *m, const ep_wick_law *w, double *exposed_m)
{
    ep_wick_now now = {0};
    for (int s = 0; s < 4 * 3600; s += 10) {
        now = at_length(m, w, *exposed_m);
        *exposed_m -= ep_wick_burn_off_m(w, &now, *exposed_m, 10.0);
    }
    return now;
}

static void trims_itself(void **state)
{
    (void)state;
    ep_melt m = plain_melt();
    ep_wick_law w = plain_wick(0.8);
    double L = 14e-3;
    ep_wick_now now = settled(&m, &w, &L);
    check_near(L, now.balance_m, 2e-5);
    // a wick that curls keeps no more than its curl
    w.curl_m.value = 6e-3;
    L = 14e-3;
    (void)settled(&m, &w, &L);
    check_near(L, 6e-3, 2e-5);
    // a short one is left alone
    L = 4e-3;
    (void)settled(&m, &w, &L);
    check_near(L, 4e-3, 0.0);
    // after one trim time a third of the excess is left (e^-1), a straight wick takes four
    w = plain_wick(0.8);
    w.curl_m.value = 10e-3;
    L = at_length(&m, &w, 5e-3).balance_m + 1e-3;
    now = at_length(&m, &w, L);
    check_rel(ep_wick_burn_off_m(&w, &now, L, w.trim_time_s.value), 1e-3 * (1.0 - exp(-1.0)), 1e-3);
    w.curl_m.value = 25e-3;
    check_rel(ep_wick_burn_off_m(&w, &now, L, 4.0 * w.trim_time_s.value), 1e-3 * (1.0 - exp(-1.0)),
              1e-3);
}

// law: the self-trimmed rate goes with the root of feed over viscosity and of the wick's weight
static void rate_of_a_trimmed_wick(void **state)
{
    (void)state;
    ep_melt m = plain_melt();
    double L = 10e-3, thick_L = 10e-3, heavy_L = 10e-3;
    ep_wick_law w = plain_wick(0.5);
    double rate = settled(&m, &w, &L).rate_kg_s;
    m.mu80_Pas.value *= 2.0;
    check_rel(settled(&m, &w, &thick_L).rate_kg_s / rate, sqrt(0.5), 0.04);
    m.mu80_Pas.value *= 0.5;
    w = plain_wick(1.0);
    // section doubles (root 2) and so does the edge it evaporates from, a little
    double ratio = settled(&m, &w, &heavy_L).rate_kg_s / rate;
    assert_true(ratio > sqrt(2.0) && ratio < 1.75);
    // a scatter of 3 % burns 3 % more
    ep_fuel f = ep_fuel_of(&m);
    ep_factors x = ep_factors_nominal();
    x.f[EP_UNC_SCATTER] = 1.03;
    check_rel(ep_wick_burn(&f, &m, &w, 6e-3, 80.0, 0.232, &x).rate_kg_s,
              1.03 * at_length(&m, &w, 6e-3).rate_kg_s, 1e-12);
}

// law: the carbon head grows with what stands above the balance, slowly on a wick that curls
static void carbon_head(void **state)
{
    (void)state;
    ep_melt m = plain_melt();
    ep_wick_law w = plain_wick(0.8);
    double L = at_length(&m, &w, 5e-3).balance_m;
    ep_wick_now now = at_length(&m, &w, L + 2e-3);
    check_rel(ep_cap_growth(&w, &now, now.balance_m + 2e-3, 3600.0), 0.25, 1e-9);
    w.curl_m.value = 25e-3;
    check_rel(ep_cap_growth(&w, &now, now.balance_m + 2e-3, 3600.0), 1.0, 1e-9);
    check_near(ep_cap_growth(&w, &now, now.balance_m - 1e-3, 3600.0), 0.0, 0.0);
}

// published case (calibrated, not predicted: share of the film rate in flame.c): the 21 mm paraffin
// taper of Hamins, Bundy, Dillon 2005 burns 1.75 mg/s, 77 +- 9 W, flame 42 +- 1 mm, radiates 0.17
// +- 0.01. Its wick is remembered as 1.8 mm thick, 1.25 g/m here; self-trimmed while the candle
// sinks 20 mm an hour
static void the_measured_taper(void **state)
{
    (void)state;
    ep_melt m = candle_wax("std-wax-paraffin-pillar");
    ep_wick_law w = candle_braid(1.25);
    ep_fuel f = ep_fuel_of(&m);
    ep_factors x = ep_factors_nominal();
    const double area_m2 = 0.25 * PI * 21e-3 * 21e-3;
    double L = 10e-3;
    ep_wick_now now = {0};
    for (int s = 0; s < 3 * 3600; s += 10) {
        now = ep_wick_burn(&f, &m, &w, L, 80.0, 0.232, &x);
        L += 10.0 * now.rate_kg_s / (m.rho_solid_kg_m3.value * area_m2);
        L -= ep_wick_burn_off_m(&w, &now, L, 10.0);
    }
    double flame_m = ep_flame_height_m(&f, now.rate_kg_s, L, 0.0);
    double heat_W = now.rate_kg_s * f.lhv_J_kg;
    printf("taper: %.3f mg/s, %.1f W, flame %.1f mm, radiated %.3f, exposed %.1f mm\n",
           now.rate_kg_s * 1e6, heat_W, flame_m * 1e3, ep_radiative_frac(flame_m), L * 1e3);
    check_rel(now.rate_kg_s, 1.75e-6, 0.10);
    assert_true(heat_W >= 68.0 && heat_W <= 86.0);
    check_near(flame_m, 42e-3, 5e-3);
    check_near(ep_radiative_frac(flame_m), 0.17, 0.03);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(feed_by_hand), cmocka_unit_test(balance),
        cmocka_unit_test(trims_itself), cmocka_unit_test(rate_of_a_trimmed_wick),
        cmocka_unit_test(carbon_head),  cmocka_unit_test(the_measured_taper),
    };
    return cmocka_run_group_tests_name("wickburn", tests, NULL, NULL);
}
