// The column of hot gas above a flame, Eq. B27-B30, and case 2 of docs/validation.md. Sources:
// Hamins, Bundy, Dillon, J. Fire Prot. Eng. 15 (2005) 265 (heat flux above the 21 mm taper, 1673 K,
// as quoted); Yih 1951 (laminar round plume of Prandtl number 1); Roper, Combust. Flame 29 (1977)
// 219 (lift of a flame); Sibulkin, J. Aeronaut. Sci. 19 (1952) 570 (stagnation point).
#include "burn/plume.h"

#include <stdio.h>

#include "burn/losses.h"

#include "../base/check.h"

static const ep_plume TAPER = {.heat_W = 77.0, .flame_m = 42e-3, .ambient_C = 21.0};

// Case 2. 145, 105, 90 kW/m2 on a cold 3 mm gauge at the tip, 18 and 38 mm over it, each within
// 15 %; nothing here was set to them
static void heat_flux_over_the_taper(void **state)
{
    (void)state;
    const double above_mm[] = {0.0, 18.0, 38.0}, theirs_kW_m2[] = {145.0, 105.0, 90.0};
    for (int i = 0; i < 3; i++) {
        double ours_kW_m2 = 1e-3 * ep_plume_flux_W_m2(&TAPER, above_mm[i] * 1e-3, 3e-3);
        printf("case 2, %.0f mm over the tip: %.0f kW/m2, measured %.0f\n", above_mm[i], ours_kW_m2,
               theirs_kW_m2[i]);
        check_rel(ours_kW_m2, theirs_kW_m2[i], 0.15);
    }
    // missed: about 10 at 260 mm over the base. The column is taken as steady and laminar all the
    // way; a real one sways and breaks up. Held to the ledger's figure
    double far_kW_m2 = 1e-3 * ep_plume_flux_W_m2(&TAPER, 218e-3, 3e-3);
    printf("case 2, 218 mm over the tip: %.0f kW/m2, measured 10\n", far_kW_m2);
    check_near(far_kW_m2, 36.0, 3.0);
}

// the same source: a straight column about 25 mm wide 60 to 80 mm over the base
static void width_of_the_column(void **state)
{
    (void)state;
    double wide_mm = 1e3 * ep_plume_width_m(&TAPER, 28e-3);
    printf("column 70 mm over the base: %.1f mm wide, seen about 25\n", wide_mm);
    check_near(wide_mm, 25.0, 4.0);
}

// Yih's plume: speed the same at every height; excess x speed x area carries the gas heat away.
// With the profiles (1 + s^2)^-2 and ^-3 that is pi rho cp U T scale^2 / 4, the same at any height
static void heat_is_carried(void **state)
{
    (void)state;
    double first = 0.0;
    for (double above_m = 0.0; above_m < 0.3; above_m += 0.05) {
        double wide_m = ep_plume_width_m(&TAPER, above_m);
        double flow = ep_plume_excess_K(&TAPER, above_m) * wide_m * wide_m;
        first = first > 0.0 ? first : flow;
        check_rel(flow, first, 1e-12);
    }
}

static void order(void **state)
{
    (void)state;
    ep_plume small = TAPER;
    small.heat_W = 40.0;
    small.flame_m = 22e-3;
    for (double above_m = 0.01; above_m < 0.4; above_m += 0.03) {
        assert_true(ep_plume_excess_K(&small, above_m) < ep_plume_excess_K(&TAPER, above_m));
        assert_true(ep_plume_flux_W_m2(&small, above_m, 3e-3) <
                    ep_plume_flux_W_m2(&TAPER, above_m, 3e-3));
        assert_true(ep_plume_excess_K(&TAPER, above_m) < ep_plume_excess_K(&TAPER, above_m - 0.01));
        // a wide thing has a thicker film
        assert_true(ep_plume_flux_W_m2(&TAPER, above_m, 12e-3) <
                    ep_plume_flux_W_m2(&TAPER, above_m, 3e-3));
    }
}

// air against handbook values (Incropera and DeWitt, table A.4, from memory): 300 K 1.85e-5 Pa s,
// 1.161 kg/m3; 1000 K 4.24e-5 Pa s, 0.348 kg/m3
static void air_of_the_handbook(void **state)
{
    (void)state;
    check_rel(ep_air_viscosity_Pas(300.0), 1.846e-5, 0.01);
    check_rel(ep_air_viscosity_Pas(1000.0), 4.244e-5, 0.03);
    check_rel(ep_air_density_kg_m3(300.0), 1.1614, 0.02);
    check_rel(ep_air_density_kg_m3(1000.0), 0.3482, 0.02);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(heat_flux_over_the_taper), cmocka_unit_test(width_of_the_column),
        cmocka_unit_test(heat_is_carried),          cmocka_unit_test(order),
        cmocka_unit_test(air_of_the_handbook),
    };
    return cmocka_run_group_tests_name("plume", tests, NULL, NULL);
}
