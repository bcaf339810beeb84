/// The flame above a wick: evaporation demand, height, radiation, smoke point. Equations B1-B9 in
/// docs/physics/burn.md. Pure functions of their arguments.
/// Needs: base. Allocates: nothing.
#pragma once
#include <stdbool.h>

/// Fuel as the flame sees it.
typedef struct ep_fuel {
    double lhv_J_kg;        ///< net heat of combustion
    double air_fuel;        ///< kg air per kg fuel
    double evaporate_J_kg;  ///< pool liquid to vapour
    double boil_C;          ///< surface of the wet wick
    double smoke_factor;    ///< 1 = paraffin
} ep_fuel;

/// Evaporation per metre of exposed wick, kg/(s m), Eq. B1: slender rod in natural convection with
/// a stagnant film (after Tabaka 2008, Sunderland et al. 2011; closure in docs).
/// @param exposed_m  wick above the pool, > 0
/// @param diameter_m of the wetted rod
/// @param oxygen_frac  mass fraction of oxygen in the air reaching the flame (0.232 in the open)
double ep_evaporation_kg_sm(const ep_fuel *fuel, double exposed_m, double diameter_m,
                            double oxygen_frac);

/// Pool surface to tip, m, Eq. B3: exposed + slope x rate; slope from the air demand (circular
/// port, Roper 1977); a flat flame of width width_m is lower, Eq. B4.
double ep_flame_height_m(const ep_fuel *fuel, double rate_kg_s, double exposed_m, double width_m);

/// Share of heat radiated, Eq. B5 (0.17 at 42 mm, Hamins et al. 2005), 0.08..0.25.
double ep_radiative_frac(double flame_m);

/// A wick longer than its diameter over this cannot keep its tip wet (Sunderland et al. 2011).
#define EP_DRY_OUT_RATIO 0.15

/// Can a flame live on this wick? Eq. B6, borders of Sunderland et al. 2011: d >= 0.88 mm,
/// d/L >= 0.15, Ra_d^1/4 (L/d) >= 2. Adopted from the measurement, not predicted.
bool ep_flame_exists(double exposed_m, double diameter_m);

/// Flame height above which it smokes, m, Eq. B7 (Allan 2007); infinite inside the box where no
/// wax can soot (d < 1.8 mm or exposed < 6 mm), held beyond 7.6 mm, the widest wick measured.
double ep_smoke_point_m(const ep_fuel *fuel, double exposed_m, double diameter_m);

/// Radiation of an optically thin line source on the axis from z1 to z2 above the pool, carrying
/// power_W: flux on the pool at radius r, W/m2, Eq. B8. Closed form.
double ep_line_on_pool_W_m2(double power_W, double z1_m, double z2_m, double r_m);

/// The same on a vertical surface facing the axis at radius r, height z above the pool, Eq. B9.
double ep_line_on_wall_W_m2(double power_W, double z1_m, double z2_m, double r_m, double z_m);
