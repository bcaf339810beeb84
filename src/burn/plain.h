/// A plain conduction-and-melting case: wax in an open-bottomed ring of wall, a heated disc on top,
/// fixed film coefficients. No flame, no level, no moving wax: what anyone can hold to an exact or
/// independent answer. Uses the very same field as a candle.
/// Needs: base, field.
#pragma once
#include "base/status.h"

enum { EP_PLAIN_MAX_HOURS = 64 };

typedef struct ep_plain_case {
    double wax_radius_m, wax_height_m;   ///< 0.002..0.5
    double k_W_mK, rho_kg_m3, cp_J_kgK;  ///< wax, both phases
    double latent_J_kg;                  ///< >= 0
    double solidus_C, liquidus_C;        ///< equal = sharp
    double wall_m;                       ///< 0 = no wall
    double wall_k_W_mK, wall_rho_kg_m3, wall_cp_J_kgK;
    double disc_radius_m, power_W;             ///< uniform flux on r < disc; 0 = none
    double top_W_m2K, side_W_m2K, base_W_m2K;  ///< films, >= 0
    double ambient_C, start_C;
    int n_hours;
    double hour[EP_PLAIN_MAX_HOURS];  ///< rising, > 0, <= 100
    double cells_per_mm;              ///< 0.1..8
} ep_plain_case;

typedef struct ep_plain_answer {
    double hour;
    double melt_radius_m;  ///< on the surface, where the wax is half liquid
    double melt_depth_m;   ///< on the axis
    double melted_kg;      ///< mass x liquid fraction
    double wall_max_C;     ///< hottest place of the outer face (wax face when there is no wall)
    double centre_C;       ///< surface, on the axis
    double stored_J;       ///< since the start
    double ledger;         ///< |stored - heat in| / total of flows
} ep_plain_answer;

/// Every value inside its range; the error names the field as it stands in the case file
/// ("wax.radius_m").
ep_status ep_plain_check(const ep_plain_case *c, ep_err *err);

/// @param answer  out, n_hours of them
/// @param seconds wall-clock time of the stepping, may be NULL
ep_status ep_plain_run(const ep_plain_case *c, ep_plain_answer *answer, double *seconds,
                       ep_err *err);
