/// What stands above a candle gets: the hot column over the flame, as a laminar round plume.
/// Equations B27-B30 in docs/physics/burn.md. An upper bound in a still room: a real column sways
/// and breaks up a hand's breadth above the tip. Pure functions of their arguments.
/// Needs: base, losses (air). Allocates: nothing.
#pragma once

/// A flame as its plume sees it.
typedef struct ep_plume {
    double heat_W;     ///< released, > 0
    double flame_m;    ///< tip above the pool, > 0
    double ambient_C;  ///< room
} ep_plume;

/// Gas on the axis over the room, K, at above_m over the tip, >= 0: 1380 K at the tip (1673 K,
/// Hamins et al. 2005), then by the laminar similarity of Yih 1951, Eq. B28.
double ep_plume_excess_K(const ep_plume *p, double above_m);

/// Speed on the axis at and above the tip, m/s, Eq. B27 (acceleration of Roper 1977).
double ep_plume_speed_m_s(const ep_plume *p);

/// Width out to a tenth of the excess on the axis, m, Eq. B29.
double ep_plume_width_m(const ep_plume *p, double above_m);

/// Heat a cold blunt thing of diameter wide_m facing down on the axis takes up, W/m2, by
/// convection alone, Eq. B30 (laminar stagnation flow; 3 mm is the gauge of Hamins et al. 2005).
double ep_plume_flux_W_m2(const ep_plume *p, double above_m, double wide_m);
