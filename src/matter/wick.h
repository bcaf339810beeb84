/// Wick series: an ordered list of sizes of one construction, described physically, never by a
/// seller's code. Needs: base, material.
#pragma once
#include "matter/material.h"

enum { EP_MAX_SIZES = 24 };

typedef struct ep_wick_size {
    char id[40];
    char name[40];               ///< the maker's own name for the size
    double linear_density_kg_m;  ///< 0.1e-3 .. 20e-3, wire included for cored wicks
    double width_m;              ///< flat or wooden: width; round: diameter; 0 = from density
    double thickness_m;          ///< flat or wooden; 0 = round
    double core_m;               ///< diameter of a metal core; 0 = none
} ep_wick_size;

typedef struct ep_wick_series {
    char id[40];
    char name[80];
    char construction_id[40];  ///< material of kind EP_MAT_WICK
    int n_sizes;               ///< ordered from least to most feed
    ep_wick_size size[EP_MAX_SIZES];
} ep_wick_series;

/// What the burn engine needs of a wick (wetted, per wick). Eq. W1-W4 in docs/physics/wick.md.
typedef struct ep_wick_law {
    double area_m2;           ///< cross-section open to flow, solid included, core excluded
    double diameter_m;        ///< of the round rod of equal perimeter that evaporates
    double width_m;           ///< flame base width for flat and wooden wicks, else 0
    ep_prop permeability_m2;  ///< K with its range
    double pore_radius_m;     ///< capillary
    ep_prop curl_m, trim_time_s;
    double core_W_m;  ///< conductivity x area of the core, W m/K
    double default_trim_m;
    bool wooden;
} ep_wick_law;

/// Refuse a size whose density or width is outside the range (fields "linear_density", "width",
/// "thickness", "core"). Ranges: 0.1..20 g/m; width 0 or 0.3..50 mm; thickness 0 or 0.1..6 mm, not
/// above the width; core 0 or 0.1..1.5 mm, its wire lighter than the whole wick.
ep_status ep_wick_size_check(const ep_wick_size *s, ep_err *err);

/// Permeability of a bundle of fibres along itself, phi^3 d^2 / (180 (1 - phi)^2), Eq. W4. Porosity
/// between 0 and 1, both ends excluded.
double ep_kozeny_carman_m2(double porosity, double fibre_m);

/// Laws of one size of a construction. Refuses what ep_wick_size_check refuses, a wooden wick
/// without width and thickness, a core that does not fit the construction (field "core"), and
/// measures that contradict the linear density (field "linear_density"). `out` is written only on
/// EP_OK.
ep_status ep_wick_law_of(const ep_material *construction, const ep_wick_size *s, ep_wick_law *out,
                         ep_err *err);
