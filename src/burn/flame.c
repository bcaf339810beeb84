// Flame closures. See docs/physics/burn.md for B1..B9 and where each number comes from.
#include "burn/flame.h"

#include <math.h>

#define EP_PI 3.14159265358979323846

// air at the mean film temperature, about 1300 K (from memory, see docs)
static const double NU_M2_S = 1.7e-4, ALPHA_M2_S = 2.4e-4, G_M_S2 = 9.81;
static const double K_OVER_CP_KG_MS = 7.1e-5;  // film conductivity over gas specific heat
static const double GAS_CP_J_KGK = 1100.0;
static const double OXYGEN_IN_AIR = 0.2314;  // by mass, dry

// share of the ideal film rate: set so that wick and flame together burn what the published 21 mm
// taper did (Hamins et al. 2005)
static const double FILM_SHARE = 0.82;

static double rayleigh(double length_m)
{
    return G_M_S2 * length_m * length_m * length_m / (NU_M2_S * ALPHA_M2_S);
}

double ep_evaporation_kg_sm(const ep_fuel *fuel, double exposed_m, double diameter_m,
                            double oxygen_frac)
{
    if (!(exposed_m > 0.0) || !(diameter_m > 0.0)) {
        return 0.0;
    }
    double oxygen_fuel = fuel->air_fuel * OXYGEN_IN_AIR;
    double spalding = (oxygen_frac * fuel->lhv_J_kg * (1.0 - 0.17) / oxygen_fuel -
                       GAS_CP_J_KGK * (fuel->boil_C - 25.0)) /
                      fuel->evaporate_J_kg;
    if (!(spalding > 0.0)) {
        return 0.0;
    }
    double film_m = exposed_m / (0.59 * sqrt(sqrt(rayleigh(exposed_m))));
    return FILM_SHARE * 2.0 * EP_PI * K_OVER_CP_KG_MS * log1p(spalding) /
           log1p(2.0 * film_m / diameter_m);
}

double ep_flame_height_m(const ep_fuel *fuel, double rate_kg_s, double exposed_m, double width_m)
{
    // 16.4 mm per mg/s for paraffin (14.9 kg air per kg); proportional to the air demand
    double slope_m_s_kg = 16.4e-3 / 1e-6 * fuel->air_fuel / 14.9;
    double round_m = slope_m_s_kg * rate_kg_s;
    if (!(width_m > 0.0)) {
        return exposed_m + round_m;
    }
    // slot flame: height follows (rate / width)^(4/3), meets the round one where it is as wide as
    // a round flame's foot (8 mm)
    double equal_m = 8e-3;
    double ratio = fmin(1.0, pow(equal_m / width_m, 4.0 / 3.0) * pow(round_m / 30e-3, 1.0 / 3.0));
    return exposed_m + round_m * ratio;
}

double ep_radiative_frac(double flame_m)
{
    double share = 0.17 * sqrt(fmax(flame_m, 0.0) / 42e-3);
    return fmin(fmax(share, 0.08), 0.25);
}

bool ep_flame_exists(double exposed_m, double diameter_m)
{
    if (!(exposed_m > 0.0) || !(diameter_m > 0.0)) {
        return false;
    }
    // three measured borders; the Rayleigh number here is that of cold air, which alone gives the
    // published least length of about 1 mm
    double cold = G_M_S2 * diameter_m * diameter_m * diameter_m / (1.6e-5 * 2.2e-5);
    // a wick wet exactly to its limit lives: rounding of diameter / ratio must not decide
    bool wet_enough = diameter_m >= (1.0 - 1e-9) * EP_DRY_OUT_RATIO * exposed_m;
    bool hot_enough = sqrt(sqrt(cold)) * exposed_m / diameter_m >= 2.0;
    return diameter_m >= 0.88e-3 && wet_enough && hot_enough;
}

double ep_smoke_point_m(const ep_fuel *fuel, double exposed_m, double diameter_m)
{
    if (diameter_m < 1.8e-3 || exposed_m < 6e-3) {
        return (double)INFINITY;
    }
    // held beyond the widest wick that was measured: a wider one is not known to burn cleaner
    double wide_m = fmin(diameter_m, 7.6e-3);
    double at_m = 36e-3 + (wide_m - 2.0e-3) * (60e-3 - 36e-3) / (7.6e-3 - 2.0e-3);
    return at_m * fuel->smoke_factor;
}

double ep_line_on_pool_W_m2(double power_W, double z1_m, double z2_m, double r_m)
{
    // integral of z / (z^2 + r^2)^(3/2) dz over the line, times power per length / 4 pi
    double span_m = z2_m - z1_m;
    if (!(span_m > 0.0)) {
        return 0.0;
    }
    double near_m = sqrt(z1_m * z1_m + r_m * r_m), far_m = sqrt(z2_m * z2_m + r_m * r_m);
    return power_W / (4.0 * EP_PI * span_m) * (1.0 / near_m - 1.0 / far_m);
}

double ep_line_on_wall_W_m2(double power_W, double z1_m, double z2_m, double r_m, double z_m)
{
    double span_m = z2_m - z1_m;
    if (!(span_m > 0.0) || !(r_m > 0.0)) {
        return 0.0;
    }
    double a_m = z2_m - z_m, b_m = z1_m - z_m;
    double sum = a_m / sqrt(a_m * a_m + r_m * r_m) - b_m / sqrt(b_m * b_m + r_m * r_m);
    return power_W / (4.0 * EP_PI * span_m) * sum / r_m;
}
