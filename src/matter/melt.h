/// The poured mix as one stuff: wax blend + fragrance + dye + additives, by mass fraction of total.
/// Mixing rules M1-M8 in docs/physics/materials.md (mass-weighted enthalpies, ideal volumes,
/// log-weighted viscosity, feed factors as products). Every result keeps a lo..hi range.
#pragma once
#include "matter/material.h"

enum { EP_MAX_BLEND = 8 };

typedef struct ep_blend_part {
    const ep_material *material;  ///< borrowed
    double frac;                  ///< of total mass, 0..1
} ep_blend_part;

/// Effective laws of the mix. Units as in the names; each with lo..hi.
typedef struct ep_melt {
    ep_prop solidus_K, liquidus_K, latent_J_kg;
    ep_prop cp_solid_J_kgK, cp_liquid_J_kgK, k_solid_W_mK, k_liquid_W_mK;
    ep_prop rho_solid_kg_m3;   ///< cold candle, 20 C
    ep_prop rho_liquid_kg_m3;  ///< 80 C
    double rho_slope_kg_m3K;
    ep_prop mu80_Pas;
    double andrade_K;
    double sigma80_N_m, sigma_slope_N_mK;
    ep_prop lhv_J_kg;
    double air_fuel;
    double smoke_factor;               ///< 1 = paraffin
    double flash_K;                    ///< lowest of the waxes
    double feed_factor;                ///< multiplies wick permeability (fragrance, dye, additives)
    ep_prop absorb_factor;             ///< multiplies radiation taken up by the pool
    double fragrance_frac;             ///< of total
    double p60_Pa, p25_Pa;             ///< fragrance vapour pressures, 0 when unscented
    double cure_burn_s, cure_scent_s;  ///< longest of the waxes
    double pour_K, add_K;              ///< of the largest wax part
    double max_load_of_wax;            ///< mass-weighted
} ep_melt;

/// Parts must sum to 1 within 1e-6 and hold at least one wax; error names "wax" or "total".
ep_status ep_melt_mix(const ep_blend_part *part, int n, ep_melt *out, ep_err *err);

double ep_melt_viscosity_Pas(const ep_melt *m, double T_K);        ///< Andrade, Eq. M5
double ep_melt_surface_tension_N_m(const ep_melt *m, double T_K);  ///< linear, floor 5 mN/m
double ep_melt_density_kg_m3(const ep_melt *m, double T_K);        ///< solid, range, liquid: Eq. M2
