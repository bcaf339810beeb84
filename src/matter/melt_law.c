// The mix at a temperature: viscosity (M5), surface tension (M6), density through melting (M2).
#include "matter/melt.h"

#include <assert.h>
#include <math.h>

#define T80_K 353.15
#define T20_K 293.15
// volume expansion of solid wax, from memory: what is left of the shrinkage after melting is taken
// out
#define SOLID_EXPANSION_1_K 7e-4
#define SIGMA_FLOOR_N_M     5e-3
// no wax is liquid at half its density of 80 C: an end to the straight line
#define RHO_FLOOR_SHARE 0.5

double ep_melt_viscosity_Pas(const ep_melt *m, double T_K)
{
    assert(m && T_K > 0.0);
    return m->mu80_Pas.value * exp(m->andrade_K * (1.0 / T_K - 1.0 / T80_K));
}

double ep_melt_surface_tension_N_m(const ep_melt *m, double T_K)
{
    assert(m && T_K > 0.0);
    return fmax(m->sigma80_N_m - m->sigma_slope_N_mK * (T_K - T80_K), SIGMA_FLOOR_N_M);
}

static double liquid_kg_m3(const ep_melt *m, double T_K)
{
    double rho = m->rho_liquid_kg_m3.value;
    return fmax(rho - m->rho_slope_kg_m3K * (T_K - T80_K), RHO_FLOOR_SHARE * rho);
}

static double solid_kg_m3(const ep_melt *m, double T_K)
{
    return m->rho_solid_kg_m3.value / (1.0 + SOLID_EXPANSION_1_K * (T_K - T20_K));
}

double ep_melt_density_kg_m3(const ep_melt *m, double T_K)
{
    assert(m && T_K > 0.0);
    double solidus_K = m->solidus_K.value;
    double liquidus_K = m->liquidus_K.value;
    if (T_K >= liquidus_K) {
        return liquid_kg_m3(m, T_K);
    }
    // a wax stated with hardly any shrinkage must not become denser by melting
    double floor_kg_m3 = liquid_kg_m3(m, liquidus_K);
    if (T_K <= solidus_K) {
        return fmax(solid_kg_m3(m, T_K), floor_kg_m3);
    }
    double liquid_share = (T_K - solidus_K) / (liquidus_K - solidus_K);
    double solid_m3_kg = 1.0 / fmax(solid_kg_m3(m, solidus_K), floor_kg_m3);
    return 1.0 / ((1.0 - liquid_share) * solid_m3_kg + liquid_share / floor_kg_m3);
}
