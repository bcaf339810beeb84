/// A plain conduction-and-melting case with films of fixed coefficients and heat given evenly to
/// discs on the wax. No flame, no level, no moving wax: what anyone can hold to an exact or
/// independent answer. Two layouts: wax in an open-bottomed ring of wall with one disc in its
/// middle, on rings; or wax in a straight vessel with a floor, discs anywhere, on the plan grid a
/// candle of several wicks has (jar and field are the very same code).
/// Needs: base, vessel, field.
#pragma once
#include <stdbool.h>

#include "base/status.h"
#include "vessel/vessel.h"

enum { EP_PLAIN_MAX_HOURS = 64 };

/// Even flux on a disc of the wax's surface; places from the middle, x along the vessel's longer
/// side. On a ring in the middle. Where discs overlap, fluxes add.
typedef struct ep_plain_disc {
    double x_m, y_m, radius_m, power_W;
} ep_plain_disc;

typedef struct ep_plain_case {
    bool in_vessel;       ///< the plan layout: vessel counts, wax_radius_m does not
    double wax_radius_m;  ///< 0.002..0.5
    /// Straight, with its floor; side wall and floor are of the wall's stuff. Free wall above the
    /// wax, at least one cell, looks into the jar.
    ep_vessel vessel;
    double wax_height_m;                 ///< 0.002..0.5; in a vessel below its brim
    double k_W_mK, rho_kg_m3, cp_J_kgK;  ///< wax, both phases
    double latent_J_kg;                  ///< >= 0
    double solidus_C, liquidus_C;        ///< equal = sharp
    double wall_m;                       ///< 0 = no wall; a vessel has its own
    double wall_k_W_mK, wall_rho_kg_m3, wall_cp_J_kgK;
    int n_discs;  ///< 0 or 1; in a vessel 0..EP_MAX_WICKS
    ep_plain_disc disc[EP_MAX_WICKS];
    /// Films, >= 0. Top: all that looks up or into the jar, rim and free wall included.
    double top_W_m2K, side_W_m2K, base_W_m2K;
    double ambient_C, start_C;
    int n_hours;
    double hour[EP_PLAIN_MAX_HOURS];  ///< rising, > 0, <= 100
    double cells_per_mm;              ///< 0.1..8
} ep_plain_case;

typedef struct ep_plain_answer {
    double hour;
    double melt_radius_m;  ///< on the surface, where the wax is half liquid; in a vessel that of a
                           ///< circle as large as all that is more liquid
    double melt_depth_m;   ///< on the axis; in a vessel under the middle of the first disc
    double melted_kg;      ///< mass x liquid fraction
    double wall_max_C;     ///< hottest place of the outer face (wax face when there is no wall)
    double centre_C;       ///< surface, where the depth is read
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
