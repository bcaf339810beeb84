// Wick feed, demand and burn-off. See docs/physics/wick.md for W5..W11.
#include "burn/wickburn.h"

#include <math.h>

ep_fuel ep_fuel_of(const ep_melt *melt)
{
    // heat to evaporate and boiling point of a paraffin near C25 (handbook); esters crack in the
    // same range, and the film law moves by less than 5 % over the plausible span
    return (ep_fuel){.lhv_J_kg = melt->lhv_J_kg.value,
                     .air_fuel = melt->air_fuel,
                     .evaporate_J_kg = 1.17e6,
                     .boil_C = 402.0,
                     .smoke_factor = melt->smoke_factor};
}

double ep_feed_constant_kg_m_s(const ep_melt *melt, const ep_wick_law *wick, double pool_C,
                               double boil_C, const ep_factors *x)
{
    double T_K = pool_C + (boil_C - pool_C) / 3.0 + 273.15;
    double mu_Pas = ep_melt_viscosity_Pas(melt, T_K) * x->f[EP_UNC_VISCOSITY];
    double pull_Pa = 2.0 * ep_melt_surface_tension_N_m(melt, T_K) / wick->pore_radius_m;
    double permeability_m2 = wick->permeability_m2.value * melt->feed_factor * x->f[EP_UNC_FEED];
    return ep_melt_density_kg_m3(melt, T_K) * permeability_m2 * wick->area_m2 * pull_Pa / mu_Pas;
}

// sharpness of the change from demand-limited to supply-limited burning
static const double ROUNDING = 12.0;

// wet length at which the wick carries just what the flame takes, Eq. W7. The film law hardly
// depends on length, so each round leaves a twentieth of the error.
static double balance_m(const ep_fuel *fuel, const ep_wick_law *wick, double feed_kg_m_s,
                        double oxygen_frac, double evaporation_factor, double guess_m)
{
    double b_m = guess_m;
    for (int round = 0; round < 4; round++) {
        double per_m =
            evaporation_factor * ep_evaporation_kg_sm(fuel, b_m, wick->diameter_m, oxygen_frac);
        if (!(per_m > 0.0)) {
            return 0.0;
        }
        b_m = sqrt(feed_kg_m_s / per_m);
    }
    return b_m;
}

ep_wick_now ep_wick_burn(const ep_fuel *fuel, const ep_melt *melt, const ep_wick_law *wick,
                         double exposed_m, double pool_C, double oxygen_frac, const ep_factors *x)
{
    ep_wick_now now = {0};
    if (!(exposed_m > 0.0)) {
        return now;
    }
    const double factor = x->f[EP_UNC_EVAPORATION];
    const double feed = ep_feed_constant_kg_m_s(melt, wick, pool_C, fuel->boil_C, x);
    double reach_m = fmin(exposed_m, wick->diameter_m / EP_DRY_OUT_RATIO);
    now.demand_kg_s =
        factor * reach_m * ep_evaporation_kg_sm(fuel, reach_m, wick->diameter_m, oxygen_frac);
    now.balance_m = balance_m(fuel, wick, feed, oxygen_frac, factor, reach_m);
    if (!(now.demand_kg_s > 0.0) || !(now.balance_m > 0.0)) {
        return now;
    }
    // what stands above the balance length is dry: it neither burns nor slows the rest
    now.wet_m = fmin(reach_m, now.balance_m);
    now.supply_kg_s = feed / now.wet_m;
    double sum = pow(now.demand_kg_s, -ROUNDING) + pow(now.supply_kg_s, -ROUNDING);
    now.rate_kg_s = pow(sum, -1.0 / ROUNDING) * x->f[EP_UNC_SCATTER];
    return now;
}

// a wick that does not curl stands in the oxygen-poor axis and burns off slowly
static bool stands_straight(const ep_wick_law *wick)
{
    return wick->curl_m.value > 15e-3;
}

double ep_wick_burn_off_m(const ep_wick_law *wick, const ep_wick_now *now, double exposed_m,
                          double dt_s)
{
    double wet_max_m = wick->diameter_m / EP_DRY_OUT_RATIO;
    double keep_m = fmin(fmin(now->balance_m, wick->curl_m.value), wet_max_m);
    double over_m = exposed_m - keep_m;
    if (!(over_m > 0.0)) {
        return 0.0;
    }
    double time_s = wick->trim_time_s.value * (stands_straight(wick) ? 4.0 : 1.0);
    double dry_m = fmax(0.0, exposed_m - wet_max_m);
    double slow_m = (over_m - dry_m) * -expm1(-dt_s / time_s);
    return slow_m + dry_m * -expm1(-dt_s / 60.0);
}

double ep_cap_growth(const ep_wick_law *wick, const ep_wick_now *now, double exposed_m, double dt_s)
{
    // one grade per 2 mm-hours of length above balance; a curled tip sits in the flame's edge,
    // where the head burns away as fast as it grows
    double over_m = fmax(0.0, exposed_m - now->balance_m);
    double share = stands_straight(wick) ? 1.0 : 0.25;
    return share * over_m / 2e-3 * dt_s / 3600.0;
}

double ep_core_heat_W(const ep_wick_law *wick, double exposed_m, double pool_C)
{
    // the core is as hot as the flame's foot (about 600 C) where the wick ends; rising melt takes
    // back about half of what comes down (Peclet number near 2). From memory: 0.5 to 0.8 W for a
    // 0.5 mm zinc wire
    double length_m = exposed_m > 5e-3 ? exposed_m : 5e-3;
    return 0.5 * wick->core_W_m * (600.0 - pool_C) / length_m;
}
