// The column of hot gas over a flame. See docs/physics/burn.md for B27..B30.
#include "burn/plume.h"

#include <math.h>

#include "burn/flame.h"
#include "burn/losses.h"

static const double PI = 3.14159265358979323846;
static const double ZERO_C_K = 273.15, G_M_S2 = 9.81;
static const double TIP_K = 1673.0;    // hottest gas of a candle, as tabled by Hamins et al. 2005
static const double FLAME_K = 1500.0;  // at which Roper 1977 takes the flame's lift
static const double PRANDTL = 0.71;

// conductivity of air far above room temperature, where its specific heat has risen: 1006 J/kgK at
// 300 K, 1141 at 1000 K (handbook, from memory)
static double hot_k_W_mK(double T_K)
{
    double cp_J_kgK = 1006.0 + 0.193 * fmax(0.0, T_K - 300.0);
    return ep_air_viscosity_Pas(T_K) * cp_J_kgK / PRANDTL;
}

static double tip_excess_K(const ep_plume *p)
{
    return fmax(0.0, TIP_K - ZERO_C_K - p->ambient_C);
}

// conductivity of the column, taken half-way between tip and room
static double column_k_W_mK(const ep_plume *p)
{
    return hot_k_W_mK(ZERO_C_K + p->ambient_C + 0.5 * tip_excess_K(p));
}

// height below the tip at which the plume would start as a point
static double below_tip_m(const ep_plume *p)
{
    double gas_W = p->heat_W * (1.0 - ep_radiative_frac(p->flame_m));
    return gas_W / (3.0 * PI * column_k_W_mK(p) * tip_excess_K(p));
}

double ep_plume_excess_K(const ep_plume *p, double above_m)
{
    double below_m = below_tip_m(p);
    return tip_excess_K(p) * below_m / (below_m + fmax(0.0, above_m));
}

double ep_plume_speed_m_s(const ep_plume *p)
{
    double lift_m_s2 = 0.6 * G_M_S2 * (FLAME_K / (ZERO_C_K + p->ambient_C) - 1.0);
    return sqrt(2.0 * lift_m_s2 * fmax(0.0, p->flame_m));
}

double ep_plume_width_m(const ep_plume *p, double above_m)
{
    double T_K = ZERO_C_K + p->ambient_C + 0.5 * tip_excess_K(p);
    double diffusivity_m2_s = ep_air_viscosity_Pas(T_K) / PRANDTL / ep_air_density_kg_m3(T_K);
    double grown_m = below_tip_m(p) + fmax(0.0, above_m);
    double scale_m = sqrt(12.0 * diffusivity_m2_s * grown_m / ep_plume_speed_m_s(p));
    // excess falls as (1 + (r / scale)^2)^-3
    return 2.0 * scale_m * sqrt(cbrt(10.0) - 1.0);
}

double ep_plume_flux_W_m2(const ep_plume *p, double above_m, double wide_m)
{
    double excess_K = ep_plume_excess_K(p, above_m);
    double film_K = ZERO_C_K + p->ambient_C + 0.5 * excess_K;
    double nu_m2_s = ep_air_viscosity_Pas(film_K) / ep_air_density_kg_m3(film_K);
    double reynolds = ep_plume_speed_m_s(p) * wide_m / nu_m2_s;
    // stagnation on a disc: the stream parts at 4 U / (pi d)
    double nusselt = 0.763 * sqrt(4.0 / PI * reynolds) * pow(PRANDTL, 0.4);
    return nusselt * hot_k_W_mK(film_K) / wide_m * excess_K;
}
