// Melt that is far too hot gives off vapour, Eq. B31 and B32: its mass and its heat leave the
// surface, and no surface gets past the boiling point.
#include "burn/boil.h"

#include <math.h>

#include "burn/jar_int.h"

// n-pentacosane: Antoine constants for ln p in Pa and K, molar mass, heat of vaporisation
static const double ANTOINE_A = 21.6372, ANTOINE_B_K = 5255.66, ANTOINE_C_K = -155.308;
static const double MOLE_kg = 0.35269, GAS_J_molK = 8.314462618, ATMOSPHERE_Pa = 101325.0;
// air of the film: heat capacity, and how much more slowly so large a molecule spreads than heat
static const double AIR_J_kgK = 1010.0, AIR_kg_mol = 0.02896, LEWIS = 7.0;
// a film drawn further than this in one step has gone
static const double MOST_OF_A_CELL = 0.98;

double ep_wax_vapour_Pa(double T_C)
{
    return exp(ANTOINE_A - ANTOINE_B_K / (T_C + 273.15 + ANTOINE_C_K));
}

double ep_wax_vapour_J_kg(double T_C)
{
    // Clausius and Clapeyron on the Antoine line
    double T_K = T_C + 273.15, apart_K = T_K + ANTOINE_C_K;
    return GAS_J_molK / MOLE_kg * ANTOINE_B_K * T_K * T_K / (apart_K * apart_K);
}

double ep_wax_boils_C(void)
{
    return ANTOINE_B_K / (ANTOINE_A - log(ATMOSPHERE_Pa)) - ANTOINE_C_K - 273.15;
}

static double flux_at(double T_C, double film_W_m2K, double air_C)
{
    const double film_K = 0.5 * (T_C + air_C) + 273.15;
    // of air: rho c_p h_m Le^(2/3) = film; c P M / rho of air is the vapour's mass at its full
    // pressure
    double air_kg_m3 = ATMOSPHERE_Pa * AIR_kg_mol / (GAS_J_molK * film_K);
    double speed_m_s = film_W_m2K / (air_kg_m3 * AIR_J_kgK * cbrt(LEWIS * LEWIS));
    double full_kg_m3 = ATMOSPHERE_Pa * MOLE_kg / (GAS_J_molK * film_K);
    double share = fmin(ep_wax_vapour_Pa(T_C) / ATMOSPHERE_Pa, 1.0 - 1e-9);
    return speed_m_s * full_kg_m3 * -log1p(-share);
}

double ep_boil_kg_m2s(double T_C, double film_W_m2K, double air_C)
{
    if (!(T_C > EP_BOIL_FROM_C)) {
        return 0.0;
    }
    return fmax(0.0, flux_at(T_C, film_W_m2K, air_C) - flux_at(EP_BOIL_FROM_C, film_W_m2K, air_C));
}

// Temperature a cell ends the step at: the heat of what leaves is what the rest cools by, and what
// leaves is that of the temperature it ends at. One root, by bisection; no step is too long for it.
static double end_C(const ep_jar *j, size_t cell, double area_m2, double tau_s)
{
    const ep_field *f = j->f;
    double low_C = EP_BOIL_FROM_C, high_C = f->T[cell];
    for (int n = 0; n < 60; n++) {
        double mid_C = 0.5 * (low_C + high_C);
        double leaves_kg =
            area_m2 * tau_s * ep_boil_kg_m2s(mid_C, j->pool_film_W_m2K, j->room_air_C);
        double cools_J_kg = f->u[cell] - ep_law_u_J_kg(&f->law, mid_C);
        bool cooler = leaves_kg * ep_wax_vapour_J_kg(mid_C) > f->mass[cell] * cools_J_kg;
        *(cooler ? &high_C : &low_C) = mid_C;
    }
    return high_C;
}

// a film that has gone takes its heat along; in a column what is left joins the cell below
static void leave(ep_jar *j, int column, size_t cell, double to_C)
{
    ep_field *f = j->f;
    const double before_J = f->mass[cell] * f->u[cell], before_kg = f->mass[cell];
    const double vapour_J_kg = ep_wax_vapour_J_kg(to_C);
    double share = (f->u[cell] - ep_law_u_J_kg(&f->law, to_C)) / vapour_J_kg;
    if (share > MOST_OF_A_CELL && j->top[column] == j->low[column]) {
        ep_jar_empty_cell(j, cell);
        j->top[column]--;
    } else {
        share = ep_min(share, MOST_OF_A_CELL);
        f->u[cell] -= share * vapour_J_kg;
        f->mass[cell] *= 1.0 - share;
        f->T[cell] = ep_law_T_C(&f->law, f->u[cell]);
    }
    j->boiled_kg += before_kg - f->mass[cell];
    j->boiled_J += before_J - f->mass[cell] * f->u[cell];
}

void ep_jar_boil(ep_jar *j, double tau_s)
{
    for (int c = 0; c < j->n_columns; c++) {
        if (!ep_jar_has_wax(j, c)) {
            continue;
        }
        const size_t cell = ep_at(j->f, c, j->top[c]);
        if (j->f->T[cell] > EP_BOIL_FROM_C) {
            leave(j, c, cell, end_C(j, cell, j->area_m2[c] * j->fill[cell], tau_s));
        }
    }
}
