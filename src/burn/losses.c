// Free convection and radiation. See docs/physics/losses.md for L1..L6.
#include "burn/losses.h"

#include <math.h>

static const double STEFAN_BOLTZMANN_W_m2K4 = 5.670374419e-8;  // CODATA 2018
static const double ZERO_C_K = 273.15;
static const double G_M_S2 = 9.81;
static const double PRANDTL = 0.71;

typedef struct air {
    double k_W_mK, nu_m2_s, beta_1_K;
} air;

double ep_air_viscosity_Pas(double T_K)
{
    return 1.458e-6 * T_K * sqrt(T_K) / (T_K + 110.4);
}

double ep_air_density_kg_m3(double T_K)
{
    return 101325.0 / (287.05 * T_K);
}

// film properties, constant Prandtl number
static air air_at(double T_C)
{
    double T_K = T_C + ZERO_C_K;
    double mu_Pas = ep_air_viscosity_Pas(T_K);
    return (air){.k_W_mK = mu_Pas * 1006.0 / PRANDTL,
                 .nu_m2_s = mu_Pas / ep_air_density_kg_m3(T_K),
                 .beta_1_K = 1.0 / T_K};
}

static double grashof(const air *a, double dT_K, double length_m)
{
    return G_M_S2 * a->beta_1_K * fabs(dT_K) * length_m * length_m * length_m /
           (a->nu_m2_s * a->nu_m2_s);
}

// Popiel's factor for a cylinder too slender for the flat-plate law
static double slender_factor(double gr, double height_m, double diameter_m)
{
    double b = 0.0571322 + 0.20305 * pow(PRANDTL, -0.43);
    double c = 0.9165 - 0.0043 * sqrt(PRANDTL) + 0.01333 * log(PRANDTL) + 0.0004809 / PRANDTL;
    return 1.0 + b * pow(sqrt(32.0) * pow(gr, -0.25) * height_m / diameter_m, c);
}

double ep_wall_film_W_m2K(double wall_C, double room_C, double height_m, double diameter_m)
{
    air a = air_at(0.5 * (wall_C + room_C));
    double gr = grashof(&a, fmax(fabs(wall_C - room_C), 0.1), height_m);
    double ra = gr * PRANDTL;
    double prandtl_term = pow(1.0 + pow(0.492 / PRANDTL, 9.0 / 16.0), 8.0 / 27.0);
    double root = 0.825 + 0.387 * pow(ra, 1.0 / 6.0) / prandtl_term;
    double nu = root * root;
    if (diameter_m / height_m < 35.0 / pow(gr, 0.25)) {
        nu *= slender_factor(gr, height_m, diameter_m);
    }
    return nu * a.k_W_mK / height_m;
}

double ep_top_film_W_m2K(double surface_C, double air_C, double diameter_m)
{
    air a = air_at(0.5 * (surface_C + air_C));
    double length_m = 0.25 * diameter_m;  // area over perimeter of a disc
    double dT_K = surface_C - air_C;
    double ra = grashof(&a, fmax(fabs(dT_K), 0.1), length_m) * PRANDTL;
    double nu = 0.0;
    if (dT_K < 0.0) {
        nu = 0.27 * pow(ra, 0.25);
    } else {
        nu = ra < 1e7 ? 0.54 * pow(ra, 0.25) : 0.15 * cbrt(ra);
    }
    return fmax(nu, 1.0) * a.k_W_mK / length_m;
}

double ep_radiation_W_m2K(double surface_C, double room_C, double emissivity)
{
    double s_K = surface_C + ZERO_C_K, r_K = room_C + ZERO_C_K;
    return emissivity * STEFAN_BOLTZMANN_W_m2K4 * (s_K + r_K) * (s_K * s_K + r_K * r_K);
}

double ep_view_to_rim(double radius_m, double freeboard_m)
{
    if (!(freeboard_m > 0.0)) {
        return 1.0;
    }
    double h = freeboard_m / radius_m;
    double x = 2.0 + h * h;
    return 0.5 * (x - sqrt(x * x - 4.0));
}
