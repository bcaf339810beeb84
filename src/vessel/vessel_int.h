/// Shared by the files of this room only.
#pragma once
#include <math.h>

#include "vessel/vessel.h"

#define EP_PI 3.14159265358979323846

/// A slice of the vessel between two heights.
typedef struct ep_frustum {
    double r0_m, r1_m;  ///< inner radius at the bottom and the top of the slice
    double h_m;
} ep_frustum;

/// The slice between station i and the next, cut off at `top_m` when that is lower.
ep_frustum ep_vessel_frustum(const ep_vessel *v, int i, double top_m);

/// across_frac and corner_frac in range for the plan; errors name "across" and "corner".
ep_status ep_vessel_plan_check(const ep_vessel *v, ep_err *err);

/// ep_places_default for 2 .. EP_MAX_WICKS wicks in a rectangle or an oval.
void ep_layout_find(const ep_vessel *v, double height_m, int n_wicks, ep_place *out);

/// To the nearest of `per_unit` steps a unit; never a negative nought.
static inline double ep_rounded(double x, double per_unit)
{
    return round(x * per_unit) / per_unit + 0.0;
}
