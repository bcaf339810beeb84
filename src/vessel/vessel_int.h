/// Shared by the files of this room only.
#pragma once
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
