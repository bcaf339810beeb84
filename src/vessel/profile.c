// Round vessels: a stack of frusta between the measured stations.
// Equations G1-G5 in docs/physics/geometry.md; other plans scale the round result (outline.c).
#include <assert.h>
#include <math.h>
#include <string.h>

#include "base/units.h"
#include "vessel/vessel.h"
#include "vessel/vessel_int.h"

ep_vessel ep_vessel_straight(double inner_diameter_m, double height_m, double wall_m, double base_m)
{
    ep_vessel v;
    memset(&v, 0, sizeof v);
    v.n_stations = 2;
    v.station[0] = (ep_station){0.0, inner_diameter_m};
    v.station[1] = (ep_station){height_m, inner_diameter_m};
    v.wall_m = wall_m;
    v.base_m = base_m;
    return v;
}

static ep_status refuse(ep_err *err, int station, const char *what, double value_m, double lo_m,
                        double hi_m)
{
    char value[64], lo[64], hi[64];
    return ep_err_set(err, EP_E_ARG, "profile", "profile: station %d has %s %s, allowed %s to %s",
                      station + 1, what,
                      ep_quantity_format(value_m, EP_U_MM, 6, value, sizeof value),
                      ep_quantity_format(lo_m, EP_U_MM, 6, lo, sizeof lo),
                      ep_quantity_format(hi_m, EP_U_MM, 6, hi, sizeof hi));
}

static bool within(double x, double lo, double hi)
{
    // lets ep_range_check decide, so that a limit typed in inches counts as inside here too
    return ep_range_check(x, lo, hi, EP_U_M, "", NULL) == EP_OK;
}

static ep_status check_station(const ep_vessel *v, int i, ep_err *err)
{
    double d_m = v->station[i].inner_diameter_m, h_m = v->station[i].height_m;
    if (!within(d_m, EP_VESSEL_D_MIN_M, EP_VESSEL_D_MAX_M)) {
        return refuse(err, i, "an inner diameter of", d_m, EP_VESSEL_D_MIN_M, EP_VESSEL_D_MAX_M);
    }
    if (i == 0) {
        return h_m == 0.0 ? EP_OK : refuse(err, i, "a height (the inner floor) of", h_m, 0.0, 0.0);
    }
    bool brim = i == v->n_stations - 1;
    double lo_m = v->station[i - 1].height_m + EP_VESSEL_STEP_MIN_M;
    if (brim && lo_m < EP_VESSEL_H_MIN_M) {
        lo_m = EP_VESSEL_H_MIN_M;
    }
    // the stations above need room too; fmax because rounding may put lo a hair above
    int above = v->n_stations - 1 - i;
    double hi_m = fmax(EP_VESSEL_H_MAX_M - above * EP_VESSEL_STEP_MIN_M, lo_m);
    if (!within(h_m, lo_m, hi_m)) {
        return refuse(err, i, "a height above the floor of", h_m, lo_m, hi_m);
    }
    return EP_OK;
}

ep_status ep_vessel_check(const ep_vessel *v, ep_err *err)
{
    if (v->n_stations < 2 || v->n_stations > EP_VESSEL_MAX_STATIONS) {
        return ep_err_set(err, EP_E_ARG, "profile", "profile: %d stations, allowed 2 to %d",
                          v->n_stations, EP_VESSEL_MAX_STATIONS);
    }
    for (int i = 0; i < v->n_stations; i++) {
        ep_status s = check_station(v, i, err);
        if (s != EP_OK) {
            return s;
        }
    }
    ep_status s = ep_vessel_plan_check(v, err);
    if (s != EP_OK) {
        return s;
    }
    s = ep_range_check(v->wall_m, EP_VESSEL_WALL_MIN_M, EP_VESSEL_WALL_MAX_M, EP_U_MM, "wall", err);
    if (s != EP_OK) {
        return s;
    }
    return ep_range_check(v->base_m, EP_VESSEL_WALL_MIN_M, EP_VESSEL_WALL_MAX_M, EP_U_MM, "base",
                          err);
}

double ep_vessel_height_m(const ep_vessel *v)
{
    return v->station[v->n_stations - 1].height_m;
}

static double clamp_height_m(const ep_vessel *v, double height_m)
{
    double brim_m = ep_vessel_height_m(v);
    // NaN goes to the floor: an unknown level holds no wax
    return height_m > 0.0 ? fmin(height_m, brim_m) : 0.0;
}

ep_frustum ep_vessel_frustum(const ep_vessel *v, int i, double top_m)
{
    const ep_station *a = &v->station[i], *b = &v->station[i + 1];
    double h_m = b->height_m - a->height_m;
    double r0_m = 0.5 * a->inner_diameter_m, r1_m = 0.5 * b->inner_diameter_m;
    if (top_m >= b->height_m) {
        return (ep_frustum){r0_m, r1_m, h_m};
    }
    double t = (top_m - a->height_m) / h_m;
    return (ep_frustum){r0_m, r0_m + t * (r1_m - r0_m), top_m - a->height_m};
}

// round volume; every plan is a fixed multiple of it, since all its sides scale together
static double frustum_volume_m3(ep_frustum f)
{
    return EP_PI / 3.0 * f.h_m * (f.r0_m * f.r0_m + f.r0_m * f.r1_m + f.r1_m * f.r1_m);  // Eq. G1
}

double ep_vessel_radius_m(const ep_vessel *v, double height_m)
{
    height_m = clamp_height_m(v, height_m);
    int i = 0;
    while (i < v->n_stations - 2 && height_m > v->station[i + 1].height_m) {
        i++;
    }
    return ep_vessel_frustum(v, i, height_m).r1_m;
}

double ep_vessel_widen(ep_vessel *v, double height_m, double inner_m)
{
    const double factor = inner_m / (2.0 * ep_vessel_radius_m(v, height_m));
    for (int i = 0; i < v->n_stations; i++) {
        v->station[i].inner_diameter_m *= factor;
    }
    return factor;
}

double ep_vessel_volume_m3(const ep_vessel *v, double height_m)
{
    height_m = clamp_height_m(v, height_m);
    double volume_m3 = 0.0;
    for (int i = 0; i < v->n_stations - 1 && height_m > v->station[i].height_m; i++) {
        volume_m3 += frustum_volume_m3(ep_vessel_frustum(v, i, height_m));
    }
    return volume_m3 * ep_vessel_plan_area(v) / (0.25 * EP_PI);
}

// Eq. G3: how high a volume stands in one frustum
static double frustum_height_of(ep_frustum f, double volume_m3)
{
    double slope = (f.r1_m - f.r0_m) / f.h_m;
    double upright_m = volume_m3 / (EP_PI * f.r0_m * f.r0_m);  // as if it were a cylinder
    double q = 3.0 * slope * upright_m / f.r0_m;
    double x_m;
    if (fabs(q) < 1e-5) {
        // the closed form is 0/0 here; the series is good to q^3
        x_m = upright_m * (1.0 - q / 3.0 + 5.0 / 27.0 * q * q);
    } else {
        x_m = f.r0_m / slope * expm1(log1p(q) / 3.0);
    }
    return fmin(fmax(x_m, 0.0), f.h_m);
}

ep_status ep_vessel_height_of(const ep_vessel *v, double volume_m3, double *height_m, ep_err *err)
{
    double brim_m = ep_vessel_height_m(v);
    ep_status s =
        ep_range_check(volume_m3, 0.0, ep_vessel_volume_m3(v, brim_m), EP_U_ML, "volume", err);
    if (s != EP_OK) {
        return s;
    }
    double left_m3 = volume_m3 * (0.25 * EP_PI) / ep_vessel_plan_area(v);
    for (int i = 0; i < v->n_stations - 1; i++) {
        ep_frustum f = ep_vessel_frustum(v, i, brim_m);
        double holds_m3 = frustum_volume_m3(f);
        if (left_m3 <= holds_m3) {
            *height_m = v->station[i].height_m + frustum_height_of(f, left_m3);
            return EP_OK;
        }
        left_m3 -= holds_m3;
    }
    *height_m = brim_m;  // full to the brim, but for a rounding error
    return EP_OK;
}

double ep_vessel_area_m2(const ep_vessel *v, double height_m)
{
    double length_m = 2.0 * ep_vessel_radius_m(v, height_m);
    return ep_vessel_plan_area(v) * length_m * length_m;  // Eq. G2, G10
}

double ep_vessel_mean_area_m2(const ep_vessel *v, double low_m, double high_m)
{
    const double a_m = clamp_height_m(v, low_m), b_m = clamp_height_m(v, high_m);
    const double at_m = fmin(a_m, b_m), to_m = fmax(a_m, b_m), thick_m = to_m - at_m;
    double volume_m3 = 0.0;
    if (!(thick_m > 1e-12)) {  // too thin for its volume to be told from rounding
        return ep_vessel_area_m2(v, at_m);
    }
    for (int i = 0; i < v->n_stations - 1; i++) {
        const double lo_m = fmax(at_m, v->station[i].height_m);
        const double hi_m = fmin(to_m, v->station[i + 1].height_m);
        if (hi_m > lo_m) {
            volume_m3 +=
                frustum_volume_m3((ep_frustum){ep_vessel_frustum(v, i, lo_m).r1_m,
                                               ep_vessel_frustum(v, i, hi_m).r1_m, hi_m - lo_m});
        }
    }
    return volume_m3 / thick_m * ep_vessel_plan_area(v) / (0.25 * EP_PI);  // Eq. G16
}

double ep_vessel_wall_area_m2(const ep_vessel *v, double height_m)
{
    height_m = clamp_height_m(v, height_m);
    double area_m2 = 0.0;
    for (int i = 0; i < v->n_stations - 1 && height_m > v->station[i].height_m; i++) {
        ep_frustum f = ep_vessel_frustum(v, i, height_m);
        area_m2 += ep_vessel_plan_perimeter(v) * (f.r0_m + f.r1_m) *
                   hypot(f.h_m, f.r1_m - f.r0_m);  // Eq. G4, G11
    }
    return area_m2;
}

void ep_vessel_width_range_m(const ep_vessel *v, double height_m, double *min_m, double *max_m)
{
    height_m = clamp_height_m(v, height_m);
    double lo_m = 2.0 * ep_vessel_radius_m(v, height_m), hi_m = lo_m;
    for (int i = 0; i < v->n_stations && v->station[i].height_m <= height_m; i++) {
        lo_m = fmin(lo_m, v->station[i].inner_diameter_m);
        hi_m = fmax(hi_m, v->station[i].inner_diameter_m);
    }
    *min_m = lo_m;
    *max_m = hi_m;
}
