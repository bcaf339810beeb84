// Outlines seen from above: area, perimeter, distance to the wall. Equations G10-G12 in
// docs/physics/geometry.md.
#include <math.h>
#include <string.h>

#include "base/units.h"
#include "vessel/vessel.h"
#include "vessel/vessel_int.h"

static const char *const KEY[] = {"round", "rectangle", "oval"};

const char *ep_outline_key(ep_outline outline)
{
    return KEY[outline];
}

bool ep_outline_find(const char *key, ep_outline *out)
{
    for (int i = 0; i < 3; i++) {
        if (strcmp(key, KEY[i]) == 0) {
            *out = (ep_outline)i;
            return true;
        }
    }
    return false;
}

static double across(const ep_vessel *v)
{
    return v->outline == EP_OUTLINE_ROUND || !(v->across_frac > 0.0) ? 1.0 : v->across_frac;
}

double ep_vessel_across_m(const ep_vessel *v, double length_m)
{
    return length_m * across(v);
}

ep_status ep_vessel_plan_check(const ep_vessel *v, ep_err *err)
{
    if (v->outline == EP_OUTLINE_ROUND) {
        return EP_OK;
    }
    ep_status s = ep_range_check(across(v), 0.25, 1.0, EP_U_NONE, "across", err);
    return s == EP_OK ? ep_range_check(v->corner_frac, 0.0, 1.0, EP_U_NONE, "corner", err) : s;
}

double ep_vessel_plan_area(const ep_vessel *v)
{
    const double a = across(v);
    if (v->outline == EP_OUTLINE_RECT) {
        double c = 0.5 * v->corner_frac * a;  // corner radius over length
        return a - (4.0 - EP_PI) * c * c;
    }
    return 0.25 * EP_PI * a;
}

double ep_vessel_plan_perimeter(const ep_vessel *v)
{
    const double a = across(v);
    if (v->outline == EP_OUTLINE_RECT) {
        double c = 0.5 * v->corner_frac * a;
        return 2.0 * (1.0 + a) - (8.0 - 2.0 * EP_PI) * c;
    }
    if (v->outline == EP_OUTLINE_OVAL) {
        // Ramanujan's second formula, error below 1e-6 for a >= 0.25
        double h = (1.0 - a) * (1.0 - a) / ((1.0 + a) * (1.0 + a));
        return 0.5 * EP_PI * (1.0 + a) * (1.0 + 3.0 * h / (10.0 + sqrt(4.0 - 3.0 * h)));
    }
    return EP_PI;
}

static double rect_gap_m(double half_x_m, double half_y_m, double corner_m, double x_m, double y_m)
{
    // signed distance to a rounded box, positive inside
    double qx_m = fabs(x_m) - half_x_m + corner_m, qy_m = fabs(y_m) - half_y_m + corner_m;
    double outside_m = hypot(fmax(qx_m, 0.0), fmax(qy_m, 0.0));
    return corner_m - outside_m - fmin(fmax(qx_m, qy_m), 0.0);
}

// Where the nearest wall point of an oval lies (Eq. G12): the root s > 0 of
// (a x/(s + c2))^2 + (b y/s)^2 = 1. The left side is convex and falls, and where we start its
// larger term is 1, so Newton's steps climb to the root and never pass it: six as a rule, 45 at
// most seen.
static double nearest_m2(double a_m, double b_m, double c2_m2, double x_m, double y_m)
{
    double s_m2 = fmax(b_m * y_m, a_m * x_m - c2_m2);
    for (int i = 0; i < 60; i++) {
        double p = a_m * x_m / (s_m2 + c2_m2), q = b_m * y_m / s_m2;
        double step_m2 = 0.5 * (p * p + q * q - 1.0) / (p * p / (s_m2 + c2_m2) + q * q / s_m2);
        s_m2 += step_m2;
        // each step squares the error: after one this small none is left
        if (!(step_m2 > 1e-9 * s_m2)) {
            break;
        }
    }
    return s_m2;
}

static double oval_gap_m(double a_m, double b_m, double x_m, double y_m)
{
    const double c2_m2 = (a_m - b_m) * (a_m + b_m);
    x_m = fabs(x_m);
    y_m = fabs(y_m);
    if (y_m < 1e-30 && a_m * x_m <= c2_m2) {
        // between the centres of curvature of the two ends the wall beside is nearer than the end
        return c2_m2 > 0.0 ? b_m * sqrt(1.0 - x_m * x_m / c2_m2) : b_m;
    }
    double s_m2 = nearest_m2(a_m, b_m, c2_m2, x_m, y_m);
    return (b_m * b_m - s_m2) * hypot(x_m / (s_m2 + c2_m2), y_m / s_m2);
}

double ep_vessel_gap_m(const ep_vessel *v, double height_m, double x_m, double y_m)
{
    const double half_x_m = ep_vessel_radius_m(v, height_m), half_y_m = half_x_m * across(v);
    switch (v->outline) {
    case EP_OUTLINE_RECT:
        return rect_gap_m(half_x_m, half_y_m, v->corner_frac * half_y_m, x_m, y_m);
    case EP_OUTLINE_OVAL:
        return oval_gap_m(half_x_m, half_y_m, x_m, y_m);
    case EP_OUTLINE_ROUND:
        break;
    }
    return half_x_m - hypot(x_m, y_m);
}
