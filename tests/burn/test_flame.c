// Flame laws against closed forms, quadrature and published measurements. Sources: Hamins, Bundy,
// Dillon 2005 (21 mm paraffin taper); Roper 1977, Friedman and Stoliarov 2017 (height goes with
// rate); Sunderland et al. 2011 (where flames live); Allan 2007 (smoke points). Equations B1-B9.
#include "burn/flame.h"

#include "../base/check.h"

#define PI 3.14159265358979323846

static ep_fuel paraffin(void)
{
    return (ep_fuel){.lhv_J_kg = 43.8e6,
                     .air_fuel = 14.9,
                     .evaporate_J_kg = 1.17e6,
                     .boil_C = 402.0,
                     .smoke_factor = 1.0};
}

// Simpson's rule over n (even) intervals of a line source seen from (r, z): plain radiation of
// points
static double by_points(double power_W, double z1_m, double z2_m, double r_m, double z_m, bool wall)
{
    const int n = 20000;
    double h_m = (z2_m - z1_m) / n, sum = 0.0;
    for (int i = 0; i <= n; i++) {
        double up_m = z1_m + i * h_m - z_m;
        double d2 = up_m * up_m + r_m * r_m;
        double facing = wall ? r_m : up_m;
        sum += (i == 0 || i == n ? 1.0 : (i % 2 ? 4.0 : 2.0)) * facing / (d2 * sqrt(d2));
    }
    return power_W / (4.0 * PI * (z2_m - z1_m)) * sum * h_m / 3.0;
}

static void line_source_by_quadrature(void **state)
{
    (void)state;
    const double r_mm[] = {2.0, 5.0, 10.0, 20.0, 35.0, 80.0};
    for (size_t i = 0; i < sizeof r_mm / sizeof *r_mm; i++) {
        double r_m = r_mm[i] * 1e-3;
        check_rel(ep_line_on_pool_W_m2(13.1, 3e-3, 42e-3, r_m),
                  by_points(13.1, 3e-3, 42e-3, r_m, 0.0, false), 1e-8);
        for (double z_m = -0.01; z_m < 0.08; z_m += 0.013) {
            check_rel(ep_line_on_wall_W_m2(13.1, 3e-3, 42e-3, r_m, z_m),
                      by_points(13.1, 3e-3, 42e-3, r_m, z_m, true), 1e-8);
        }
    }
    check_near(ep_line_on_pool_W_m2(13.1, 0.04, 0.04, 0.01), 0.0, 0.0);
    check_near(ep_line_on_wall_W_m2(13.1, 0.04, 0.03, 0.01, 0.0), 0.0, 0.0);
}

// law: what shines from inside an endless tube over a pool lands on one or the other
static void radiation_is_conserved(void **state)
{
    (void)state;
    const double R = 0.035, power_W = 13.1;
    double pool_W = 0.0, wall_W = 0.0;
    for (int i = 0; i < 4000; i++) {
        double r = R * (i + 0.5) / 4000;
        pool_W += 2.0 * PI * r * R / 4000 * ep_line_on_pool_W_m2(power_W, 3e-3, 42e-3, r);
    }
    // t in (0, 1) stands for z = t / (1 - t) times R: all heights
    for (int i = 0; i < 20000; i++) {
        double t = (i + 0.5) / 20000, z = R * t / (1.0 - t),
               dz = R / ((1.0 - t) * (1.0 - t)) / 20000;
        wall_W += 2.0 * PI * R * dz * ep_line_on_wall_W_m2(power_W, 3e-3, 42e-3, R, z);
    }
    check_rel(pool_W + wall_W, power_W, 1e-5);
    // a short line far above is a point over a disc: F = (1 - z / sqrt(z^2 + R^2)) / 2, any
    // handbook of radiation (view factor of a disc from a point on its axis)
    double disc_W = 0.0;
    for (int i = 0; i < 4000; i++) {
        double r = R * (i + 0.5) / 4000;
        disc_W += 2.0 * PI * r * R / 4000 * ep_line_on_pool_W_m2(1.0, 0.0599, 0.0601, r);
    }
    check_rel(disc_W, 0.5 * (1.0 - 0.06 / hypot(0.06, R)), 1e-5);
}

// B1 by hand for d = 1.8 mm, L = 10 mm, dry air (0.232): Ra = 9.81e-6 / (1.7e-4 x 2.4e-4) = 240.4,
// film 10 mm / (0.59 x 3.938) = 4.304 mm, transfer number (0.232 x 43.8e6 x 0.83 / 3.448 -
// 1100 x 377) / 1.17e6 = 1.736, rate 0.82 x 2 pi x 7.1e-5 x ln 2.736 / ln 5.782 = 2.098e-4 kg/s m
static void evaporation_by_hand(void **state)
{
    (void)state;
    ep_fuel f = paraffin();
    check_rel(ep_evaporation_kg_sm(&f, 10e-3, 1.8e-3, 0.232), 2.098e-4, 2e-3);
    // the share 0.82 is calibrated so that wick and flame together burn the taper's 1.75 mg/s
    // (Hamins et al. 2005; test_wickburn): no proof
    // law: more wick, more thickness, more oxygen burn more; nothing burns without one of them
    double base = ep_evaporation_kg_sm(&f, 8e-3, 1.5e-3, 0.232) * 8e-3;
    assert_true(ep_evaporation_kg_sm(&f, 9e-3, 1.5e-3, 0.232) * 9e-3 > base);
    assert_true(ep_evaporation_kg_sm(&f, 8e-3, 1.6e-3, 0.232) * 8e-3 > base);
    assert_true(ep_evaporation_kg_sm(&f, 8e-3, 1.5e-3, 0.220) * 8e-3 < base);
    check_near(ep_evaporation_kg_sm(&f, 0.0, 1.5e-3, 0.232), 0.0, 0.0);
    check_near(ep_evaporation_kg_sm(&f, 8e-3, 0.0, 0.232), 0.0, 0.0);
    check_near(ep_evaporation_kg_sm(&f, 8e-3, 1.5e-3, 0.02), 0.0, 0.0);
}

// the taper: 1.75 mg/s, flame 42 +- 1 mm, radiated share 0.17 +- 0.01 (Hamins et al. 2005, p.
// 277-280)
static void taper_flame(void **state)
{
    (void)state;
    ep_fuel f = paraffin();
    double flame_m = ep_flame_height_m(&f, 1.75e-6, 10e-3, 0.0);
    check_near(flame_m, 42e-3, 5e-3);
    check_near(ep_radiative_frac(42e-3), 0.17, 0.01);
    check_near(ep_radiative_frac(flame_m), 0.17, 0.03);
    check_near(ep_radiative_frac(1e-3), 0.08, 0.0);
    check_near(ep_radiative_frac(0.5), 0.25, 0.0);
}

// published case: at a fixed fuel height is a straight line in rate whatever the wick (Friedman and
// Stoliarov 2017); 16.4 mm per mg/s for C25-C30 alkanes by air demand
static void height_against_rate(void **state)
{
    (void)state;
    ep_fuel f = paraffin();
    for (double mg_s = 0.5; mg_s < 3.0; mg_s += 0.25) {
        double above_m = ep_flame_height_m(&f, mg_s * 1e-6, 9e-3, 0.0) - 9e-3;
        check_rel(above_m * 1e3 / mg_s, 16.4, 0.15);
    }
    // other fuels burn shorter for their lower air demand: 15.3, 13.9 mm per mg/s for beeswax and
    // tristearin
    f.air_fuel = 13.9;
    check_rel((ep_flame_height_m(&f, 1e-6, 0.0, 0.0)) * 1e3, 15.3, 0.01);
    f.air_fuel = 12.6;
    check_rel((ep_flame_height_m(&f, 1e-6, 0.0, 0.0)) * 1e3, 13.9, 0.01);
}

// a flat flame is lower than a round one of the same rate, and never taller; it rises faster than
// in proportion (slot burner, Roper 1977)
static void flat_flame(void **state)
{
    (void)state;
    ep_fuel f = paraffin();
    double before_m = 0.0;
    for (double mg_s = 0.25; mg_s < 6.0; mg_s += 0.25) {
        double round_m = ep_flame_height_m(&f, mg_s * 1e-6, 0.0, 0.0);
        double flat_m = ep_flame_height_m(&f, mg_s * 1e-6, 0.0, 13e-3);
        assert_true(flat_m <= round_m && flat_m > before_m);
        before_m = flat_m;
    }
    double one_m = ep_flame_height_m(&f, 1e-6, 0.0, 13e-3);
    check_rel(ep_flame_height_m(&f, 2e-6, 0.0, 13e-3) / one_m, pow(2.0, 4.0 / 3.0), 1e-9);
}

// published case: no flame below d = 0.88 mm, d/L = 0.15 or L of about 1 mm (Sunderland et al.
// 2011). The borders are adopted; what is tested is that they stand where they were measured
static void where_flames_live(void **state)
{
    (void)state;
    assert_false(ep_flame_exists(5e-3, 0.87e-3));
    assert_true(ep_flame_exists(5e-3, 0.89e-3));
    assert_true(ep_flame_exists(9.9e-3, 1.5e-3));
    assert_false(ep_flame_exists(10.1e-3, 1.5e-3));
    // exactly at the border a wick lives, however the division rounds
    for (double d_mm = 0.9; d_mm < 5.0; d_mm += 0.0137) {
        assert_true(ep_flame_exists(d_mm * 1e-3 / EP_DRY_OUT_RATIO, d_mm * 1e-3));
    }
    // the least length: 1 mm within 20 % for wicks of 0.9 to 3.3 mm
    for (double d_mm = 0.9; d_mm < 3.3; d_mm += 0.2) {
        assert_false(ep_flame_exists(0.8e-3, d_mm * 1e-3));
        assert_true(ep_flame_exists(1.2e-3, d_mm * 1e-3));
    }
    assert_false(ep_flame_exists(0.0, 2e-3));
    assert_false(ep_flame_exists(-1e-3, 2e-3));
    assert_false(ep_flame_exists((double)NAN, 2e-3));
}

// published case, in part: no soot for d < 1.8 mm or L < 6 mm; smoke point rising with d from 36 to
// about 60 mm for paraffin over 2 to 7.6 mm (Allan 2007, abstract)
static void where_flames_smoke(void **state)
{
    (void)state;
    ep_fuel f = paraffin();
    for (double d_mm = 0.9; d_mm < 8.0; d_mm += 0.1) {
        for (double L_mm = 1.0; L_mm < 15.0; L_mm += 0.5) {
            double smoke_m = ep_smoke_point_m(&f, L_mm * 1e-3, d_mm * 1e-3);
            if (d_mm < 1.8 - 1e-9 || L_mm < 6.0) {
                assert_true(isinf(smoke_m));
            } else {
                assert_true(smoke_m > 26e-3 && smoke_m < 70e-3);
            }
        }
    }
    check_near(ep_smoke_point_m(&f, 8e-3, 2.0e-3), 36e-3, 1e-6);
    check_near(ep_smoke_point_m(&f, 8e-3, 7.6e-3), 60e-3, 1e-6);
    // wider than any that was measured: held, not carried on
    check_near(ep_smoke_point_m(&f, 8e-3, 20e-3), 60e-3, 1e-6);
    double clean_m = ep_smoke_point_m(&f, 8e-3, 3e-3);
    f.smoke_factor = 1.2;
    check_rel(ep_smoke_point_m(&f, 8e-3, 3e-3), 1.2 * clean_m, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(line_source_by_quadrature), cmocka_unit_test(radiation_is_conserved),
        cmocka_unit_test(evaporation_by_hand),       cmocka_unit_test(taper_flame),
        cmocka_unit_test(height_against_rate),       cmocka_unit_test(flat_flame),
        cmocka_unit_test(where_flames_live),         cmocka_unit_test(where_flames_smoke),
    };
    return cmocka_run_group_tests_name("flame", tests, NULL, NULL);
}
