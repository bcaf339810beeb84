/// The wick at work: what it can carry against what the flame asks for, and how its exposed length
/// moves (self-trimming, carbon head). Equations W5-W11 in docs/physics/wick.md.
/// Needs: base, matter, flame. Allocates: nothing.
#pragma once
#include "burn/burn.h"
#include "burn/flame.h"

/// Feed constant C = rho K A dp / mu, kg m/s, Eq. W5: the wick delivers C / L at exposed length L.
/// Viscosity, density and surface tension at T_pool + (T_boil - T_pool)/3, where most of the
/// pressure is spent.
double ep_feed_constant_kg_m_s(const ep_melt *melt, const ep_wick_law *wick, double pool_C,
                               double boil_C, const ep_factors *x);

/// What an exposed wick does now.
typedef struct ep_wick_now {
    double rate_kg_s;    ///< burned: the smaller of demand and supply, rounded off (Eq. W6)
    double demand_kg_s;  ///< the flame would evaporate this
    double supply_kg_s;  ///< the wick can carry this
    double balance_m;    ///< exposed length at which both are equal (Eq. W7)
    double wet_m;        ///< part of the exposed length that is wet: up to the balance length
} ep_wick_now;

ep_wick_now ep_wick_burn(const ep_fuel *fuel, const ep_melt *melt, const ep_wick_law *wick,
                         double exposed_m, double pool_C, double oxygen_frac, const ep_factors *x);

/// Length the wick loses by burning off in dt, m, Eq. W8: what stands above the shorter of balance
/// and curl length goes with the trim time; a dry tip goes in a minute; a stiff straight wick
/// keeps what stands in the flame's axis (four times slower).
double ep_wick_burn_off_m(const ep_wick_law *wick, const ep_wick_now *now, double exposed_m,
                          double dt_s);

/// Growth of the carbon head in dt, on the 0..3 scale, Eq. W9; from the length above balance.
double ep_cap_growth(const ep_wick_law *wick, const ep_wick_now *now, double exposed_m,
                     double dt_s);

/// Heat a metal core brings from the flame into the melt, W, Eq. W11; 0 without a core.
double ep_core_heat_W(const ep_wick_law *wick, double exposed_m, double pool_C);

/// Fuel data of a mix.
ep_fuel ep_fuel_of(const ep_melt *melt);
