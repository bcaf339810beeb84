// Heat exchange laws against the published formulae worked by hand, and their limits. Sources:
// Churchill and Chu 1975 (vertical plate), Popiel 2008 (slender cylinder), McAdams 1954 (horizontal
// plates), view factor of equal coaxial discs (any handbook of radiation). Equations L1-L6.
#include "burn/losses.h"

#include "../base/check.h"

// Air at 34 C (307.15 K) worked by hand: Sutherland 1.458e-6 T^1.5 / (T + 110.4) = 1.879e-5 Pa s,
// rho 1.1492, nu 1.6354e-5, k 0.02663 W/mK; table value of dry air at 300 K: nu 1.589e-5, k 0.0263
// (Incropera, Table A.4)
static void wall_by_hand(void **state)
{
    (void)state;
    // wall 46.5 C, room 21.5 C, 80 mm high: Gr = 9.81 x 25 / 307.15 x 5.12e-4 / 2.6745e-10
    // = 1.529e6, Ra = 1.085e6, Nu = (0.825 + 0.387 x 10.137 / 1.1929)^2 = 16.92, h = 16.92 x
    // 0.02663 / 0.08
    double flat = ep_wall_film_W_m2K(46.5, 21.5, 0.080, 100.0);
    check_rel(flat, 5.633, 0.002);
    // the same wall round a jar of 70 mm: 35 / Gr^(1/4) = 0.995 > D/L = 0.875, so the factor of
    // Popiel applies: 1 + 0.2924 (5.657 x 0.02844 x 80/70)^0.9090 = 1.0628
    double jar = ep_wall_film_W_m2K(46.5, 21.5, 0.080, 0.070);
    check_rel(jar / flat, 1.0628, 0.001);
    // wide enough to be a plate: no factor
    check_rel(ep_wall_film_W_m2K(46.5, 21.5, 0.080, 0.090), flat, 1e-12);
    // the colder wall loses as the warmer one gains
    check_rel(ep_wall_film_W_m2K(21.5, 46.5, 0.080, 100.0), flat, 1e-12);
}

static void wall_limits(void **state)
{
    (void)state;
    // without a difference the film is thin air, not nothing and not NaN
    double still = ep_wall_film_W_m2K(21.0, 21.0, 0.08, 0.08);
    assert_true(still > 0.0 && still < 3.5);
    double before = 0.0;
    for (double dT_K = 0.5; dT_K < 120.0; dT_K *= 1.5) {
        double h = ep_wall_film_W_m2K(21.0 + dT_K, 21.0, 0.1, 0.08);
        assert_true(h > before);
        before = h;
    }
    // a taller wall has a thicker layer
    assert_true(ep_wall_film_W_m2K(46.0, 21.0, 0.20, 0.2) <
                ep_wall_film_W_m2K(46.0, 21.0, 0.08, 0.2));
}

// 70 mm pool at 70 C in a room of 21 C: length D/4 = 17.5 mm, air at 45.5 C: nu 1.745e-5, k
// 0.02741, Ra = 9.81 x 49 / 318.65 x 5.359e-6 / 3.045e-10 x 0.71 = 1.885e4, Nu = 0.54 x 11.72
// = 6.33, h = 9.90 W/m2K
static void pool_by_hand(void **state)
{
    (void)state;
    check_rel(ep_top_film_W_m2K(70.0, 21.0, 0.070), 9.903, 0.002);
    // cold face up: half of it
    check_rel(ep_top_film_W_m2K(21.0, 70.0, 0.070) / ep_top_film_W_m2K(70.0, 21.0, 0.070), 0.5,
              1e-6);
    // the two laws meet within 8 % where the flow turns rough (Ra = 1e7)
    double lo = 0.54 * pow(1e7, 0.25), hi = 0.15 * cbrt(1e7);
    check_rel(hi, lo, 0.08);
    // nothing falls below pure conduction through the air (Nu = 1)
    check_rel(ep_top_film_W_m2K(21.01, 21.0, 0.001), 0.02575 / 0.00025, 0.02);
}

// sigma (T1 + T2)(T1^2 + T2^2): 46.5 against 21.5 C, emissivity 0.9, by hand 5.84 W/m2K; at equal
// temperatures 4 sigma T^3
static void radiation_by_hand(void **state)
{
    (void)state;
    check_rel(ep_radiation_W_m2K(46.5, 21.5, 0.90),
              0.90 * 5.670374419e-8 * (319.65 + 294.65) * (319.65 * 319.65 + 294.65 * 294.65),
              1e-12);
    check_rel(ep_radiation_W_m2K(46.5, 21.5, 0.90), 5.92, 0.01);
    check_rel(ep_radiation_W_m2K(20.0, 20.0, 1.0), 4.0 * 5.670374419e-8 * pow(293.15, 3), 1e-12);
    // the heat it carries is the difference of fourth powers
    check_rel(ep_radiation_W_m2K(80.0, 20.0, 1.0) * 60.0,
              5.670374419e-8 * (pow(353.15, 4) - pow(293.15, 4)), 1e-12);
}

// equal coaxial discs: F = (X - sqrt(X^2 - 4)) / 2, X = 2 + (H/R)^2; H = R gives 0.381966 (the
// smaller golden section), H = 2 R gives 3 - 2 sqrt 2 = 0.171573
static void view_to_the_rim(void **state)
{
    (void)state;
    check_near(ep_view_to_rim(0.035, 0.035), 0.3819660112501051, 1e-14);
    check_near(ep_view_to_rim(0.035, 0.070), 0.1715728752538099, 1e-14);
    check_near(ep_view_to_rim(0.035, 0.0), 1.0, 0.0);
    check_near(ep_view_to_rim(0.035, -0.01), 1.0, 0.0);
    check_near(ep_view_to_rim(0.035, 1e-6), 1.0, 1e-4);
    // far away the rim is a point: (R/H)^2
    check_rel(ep_view_to_rim(0.01, 10.0), 1e-6, 1e-3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(wall_by_hand),    cmocka_unit_test(wall_limits),
        cmocka_unit_test(pool_by_hand),    cmocka_unit_test(radiation_by_hand),
        cmocka_unit_test(view_to_the_rim),
    };
    return cmocka_run_group_tests_name("losses", tests, NULL, NULL);
}
