// Water fill: what a weighing of water says about a vessel, and whether the tape agrees.
// Equations G6-G9 in docs/physics/geometry.md.
#include <math.h>

#include "base/units.h"
#include "vessel/vessel.h"
#include "vessel/vessel_int.h"

static const double freezing_K = 273.15;
static const double warmest_K = 313.15;  // 40 C, where the formula was fitted
static const double air_kg_m3 = 1.2;
static const double weights_kg_m3 = 8000.0;  // steel weights the balance was adjusted with

double ep_water_density_kg_m3(double T_K)
{
    if (!(T_K >= freezing_K - 1e-9 && T_K <= warmest_K + 1e-9)) {
        return (double)NAN;
    }
    double t = T_K - freezing_K;
    double a = t - 3.983035;
    return 999.974950 * (1.0 - a * a * (t + 301.797) / (522528.9 * (t + 69.34881)));  // Eq. G6
}

ep_status ep_water_volume_m3(double mass_kg, double T_K, double *volume_m3, ep_err *err)
{
    ep_status s = ep_range_check(mass_kg, EP_WATER_MIN_KG, EP_WATER_MAX_KG, EP_U_G, "water", err);
    if (s == EP_OK) {
        s = ep_range_check(T_K, freezing_K, warmest_K, EP_U_DEG_C, "water_temperature", err);
    }
    if (s != EP_OK) {
        return s;
    }
    double net_kg_m3 = ep_water_density_kg_m3(T_K) - air_kg_m3;
    *volume_m3 = mass_kg / net_kg_m3 * (1.0 - air_kg_m3 / weights_kg_m3);  // Eq. G7
    return EP_OK;
}

// Eq. G9: by how much every diameter (or longer side, the shorter with it) must change for the
// profile to hold `water_m3`
static double diameter_error_m(const ep_vessel *v, double to_height_m, double profile_m3,
                               double water_m3)
{
    double sum_m2 = 0.0;
    for (int i = 0; i < v->n_stations - 1 && to_height_m > v->station[i].height_m; i++) {
        ep_frustum f = ep_vessel_frustum(v, i, to_height_m);
        sum_m2 += f.h_m * 2.0 * (f.r0_m + f.r1_m);
    }
    const double plan = ep_vessel_plan_area(v);
    double a = plan * to_height_m, b = plan * sum_m2;
    double missing_m3 = water_m3 - profile_m3;
    // a weighing below the least the quadratic can reach gets that least
    double root = sqrt(fmax(b * b + 4.0 * a * missing_m3, 0.0));
    return 2.0 * missing_m3 / (b + root);
}

ep_status ep_vessel_water_check(const ep_vessel *v, double water_kg, double T_K, double to_height_m,
                                ep_water_check *out, ep_err *err)
{
    ep_status s = ep_vessel_check(v, err);
    if (s == EP_OK) {
        s = ep_range_check(to_height_m, EP_VESSEL_FILL_MIN_M, ep_vessel_height_m(v), EP_U_MM,
                           "water_height", err);
    }
    double water_m3 = 0.0;
    if (s == EP_OK) {
        s = ep_water_volume_m3(water_kg, T_K, &water_m3, err);
    }
    if (s != EP_OK) {
        return s;
    }
    double profile_m3 = ep_vessel_volume_m3(v, to_height_m);
    double ratio = water_m3 / profile_m3;
    *out = (ep_water_check){
        .water_m3 = water_m3,
        .profile_m3 = profile_m3,
        .ratio = ratio,
        .mismatch = fabs(ratio - 1.0) > EP_WATER_MISMATCH_FRAC,
        .diameter_error_m = diameter_error_m(v, to_height_m, profile_m3, water_m3),
    };
    return EP_OK;
}
