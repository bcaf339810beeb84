// The outline of the clear melt: how far it reaches in each direction, how wide, how deep.
#include <math.h>

#include "burn/jar_int.h"

// What a maker sees as pool is clear melt: a slurry with a seventh of it still solid is white. Both
// width and depth are read at this liquid share (from memory: no published figure was found).
static const double CLEAR = 0.85;
enum { DIRECTIONS = 32 };

// Liquid share of a column at the height of the pool's surface. Wax that stands above the pool
// hides what has melted under it: there the top tells, as it does to who looks into the jar.
static double melted_at_level(const ep_jar *j, int column, double level_m)
{
    if (!ep_jar_has_wax(j, column)) {
        return 0.0;
    }
    int k = j->top[column];
    while (k > j->low[column] && j->z_m[k] >= level_m) {
        k--;
    }
    double liquid = ep_jar_liquid(j, column, k);
    bool hidden = ep_jar_surface_m(j, column) > level_m + ep_jar_runs_in_m(j);
    return hidden ? ep_min(liquid, ep_jar_liquid(j, column, j->top[column])) : liquid;
}

double ep_jar_depth_m(const ep_jar *j, int column)
{
    // from the surface down to where the melt turns cloudy, between cell centres by straight lines
    double depth_m = 0.0, before = 1.0, before_m = 0.0;
    for (int k = j->top[column]; k >= j->low[column]; k--) {
        double h_m = k == j->top[column] ? ep_jar_top_height_m(j, column) : j->dz_m;
        double here = ep_jar_liquid(j, column, k), here_m = depth_m + 0.5 * h_m;
        if (here < CLEAR) {
            double share = before > here ? (before - CLEAR) / (before - here) : 0.0;
            return before < CLEAR ? 0.0 : before_m + share * (here_m - before_m);
        }
        before = here;
        before_m = here_m;
        depth_m += h_m;
    }
    return depth_m;
}

// distance from the centre to the inner wall in a direction (unit vector), by bisection
double ep_jar_wall_along_m(const ep_jar *j, double height_m, double dir_x, double dir_y)
{
    double in_m = 0.0, out_m = 2.0 * ep_vessel_radius_m(&j->c->vessel, height_m);
    for (int n = 0; n < 40; n++) {
        double mid_m = 0.5 * (in_m + out_m);
        bool inside = ep_vessel_gap_m(&j->c->vessel, height_m, mid_m * dir_x, mid_m * dir_y) > 0.0;
        *(inside ? &in_m : &out_m) = mid_m;
    }
    return in_m;
}

// places along a ray where the melt is looked at: ring middles, or every half cell of a plan grid
typedef struct ray {
    double dir_x, dir_y, step_m, first_m, wall_m;
} ray;

static double melted_on(const ep_jar *j, const ray *r, double at_m, double level_m)
{
    return melted_at_level(j, ep_jar_column_at(j, at_m * r->dir_x, at_m * r->dir_y), level_m);
}

// a staircase stands in front of the wall it is meant for: such a place tells nothing of the melt
static bool in_wax_space(const ep_jar *j, const ray *r, double at_m, double level_m)
{
    int column = ep_jar_column_at(j, at_m * r->dir_x, at_m * r->dir_y);
    int k = j->n_base + (int)ep_max(0.0, ceil(level_m / j->dz_m - 1e-9) - 1.0);
    return j->space[ep_at(j->f, column, k < j->nz ? k : j->nz - 1)] == JAR_WAX_SPACE;
}

// how far from the centre the melt reaches along a ray: the wall, or where the solid that stands at
// the wall begins. Solid nearer to the centre is no ring.
static double reach_on_m(const ep_jar *j, const ray *r, double level_m)
{
    int last = (int)floor((r->wall_m - 1e-9 - r->first_m) / r->step_m);
    while (last > 0 && !in_wax_space(j, r, r->first_m + last * r->step_m, level_m)) {
        last--;
    }
    double outer_m = r->first_m + last * r->step_m;
    double here = melted_on(j, r, outer_m, level_m);
    double inside = last > 0 ? melted_on(j, r, outer_m - r->step_m, level_m) : here;
    double slope = (here - inside) / r->step_m;
    double at_wall = here + slope * (r->wall_m - outer_m);
    if (here >= CLEAR) {
        // the last half cell to the wall follows the line through the last two places
        return at_wall >= CLEAR || !(slope < 0.0) ? r->wall_m : outer_m + (CLEAR - here) / slope;
    }
    for (int n = last - 1; n >= 0; n--) {
        double at_m = r->first_m + n * r->step_m;
        double next = melted_on(j, r, at_m, level_m);
        if (next >= CLEAR) {
            return at_m + (next - CLEAR) / (next - here) * r->step_m;
        }
        here = next;
    }
    // the centre itself is solid: under a lit wick the melt starts at its foot
    double centre = 1.0;
    return j->rings && here < centre && here > 0.0
               ? ep_max(0.0, (centre - CLEAR) / (centre - here) * r->first_m)
               : 0.0;
}

static ray ray_along(const ep_jar *j, double angle, double level_m)
{
    ray r = {.dir_x = cos(angle), .dir_y = sin(angle)};
    r.step_m = j->rings ? 2.0 * j->half_m[0][0] : j->half_m[0][0];
    // a hair outward: a place between two cells is the outer one's on every side of the jar
    r.first_m = j->half_m[0][0] * (j->rings ? 1.0 : 1.0 + 1e-9);
    r.wall_m = ep_jar_wall_along_m(j, level_m, r.dir_x, r.dir_y);
    return r;
}

// How far the melt reaches in the n-th direction. Along the axes and half-way between them a ray
// runs between two rows of cells: it reads both and takes the lesser, or a candle and its mirror
// image would differ.
static double reach_towards_m(const ep_jar *j, int n, double level_m, double *wall_m)
{
    const double angle = 2.0 * EP_PI * n / DIRECTIONS;
    const double tilt = j->rings || n % (DIRECTIONS / 8) ? 0.0 : 1e-9;
    ray r = ray_along(j, angle + tilt, level_m);
    double reach_m = reach_on_m(j, &r, level_m);
    *wall_m = r.wall_m;
    if (tilt > 0.0) {
        ray other = ray_along(j, angle - tilt, level_m);
        double other_m = reach_on_m(j, &other, level_m);
        if (other_m < reach_m) {
            reach_m = other_m;
            *wall_m = other.wall_m;
        }
    }
    return reach_m;
}

pool_shape ep_jar_pool_shape(const ep_jar *j)
{
    const double level_m = ep_jar_surface_m(j, j->wick[0].foot);
    const int n = j->rings ? 1 : DIRECTIONS;
    double reach_m[DIRECTIONS];
    pool_shape p = {.reach_frac = 1.0, .narrow_m = (double)INFINITY};
    for (int i = 0; i < n; i++) {
        double wall_m = 0.0;
        reach_m[i] = reach_towards_m(j, i, level_m, &wall_m);
        double share = ep_min(1.0, reach_m[i] / wall_m);
        p.reach_frac = ep_min(p.reach_frac, share);
        p.ring_m = share >= EP_AT_WALL_FRAC ? p.ring_m : ep_max(p.ring_m, wall_m - reach_m[i]);
        p.touch_frac += share >= EP_AT_WALL_FRAC ? 1.0 / n : 0.0;
    }
    for (int i = 0; i < n; i++) {
        double width_m = reach_m[i] + reach_m[j->rings ? i : (i + n / 2) % n];
        p.wide_m = ep_max(p.wide_m, width_m);
        p.narrow_m = ep_min(p.narrow_m, width_m);
    }
    return p;
}
