// Reads the field as a maker would: pool width and depth, temperatures, flame, wall.
#include <math.h>

#include "burn/jar_int.h"

// What a maker sees as pool is clear melt: a slurry with a seventh of it still solid is white. Both
// width and depth are read at this liquid share (from memory: no published figure was found).
static const double CLEAR = 0.85;

// liquid share of column i at the height of the pool's surface
static double melted_at_level(const ep_jar *j, int i, double level_m)
{
    int k = j->top[i];
    while (k > j->low[i] && j->z_m[k] >= level_m) {
        k--;
    }
    return j->top[i] >= j->low[i] ? ep_jar_liquid(j, i, k) : 0.0;
}

static double ring_mid_m(const ep_jar *j, int i)
{
    return 0.5 * (j->r_m[i] + j->r_m[i + 1]);
}

// radius of the pool: where the wax at the height of its surface turns clear, between ring centres
// by straight lines
static double pool_radius_m(const ep_jar *j, double wall_m)
{
    const double level_m = ep_jar_surface_m(j, 0);
    double before = 1.0, before_m = 0.0, slope = 0.0;
    for (int i = 0; i < j->nr_in && ring_mid_m(j, i) < wall_m; i++) {
        double here = melted_at_level(j, i, level_m), here_m = ring_mid_m(j, i);
        if (here < CLEAR) {
            return i == 0 && here <= 0.0
                       ? 0.0
                       : before_m + (before - CLEAR) / (before - here) * (here_m - before_m);
        }
        slope = (here - before) / (here_m - before_m);
        before = here;
        before_m = here_m;
    }
    // the last half ring to the wall follows the line through the last two centres
    double at_wall = before + slope * (wall_m - before_m);
    return at_wall >= CLEAR ? wall_m : before_m + (CLEAR - before) / slope;
}

static double depth_at_m(const ep_jar *j, double r_m)
{
    int i = 0;
    while (i + 1 < j->nr_in && j->r_m[i + 1] < r_m) {
        i++;
    }
    // from the surface down to where the melt turns cloudy, between cell centres by straight lines
    double depth_m = 0.0, before = 1.0, before_m = 0.0;
    for (int k = j->top[i]; k >= j->low[i]; k--) {
        double h_m = k == j->top[i] ? ep_jar_top_height_m(j, i) : j->dz_m;
        double here = ep_jar_liquid(j, i, k), here_m = depth_m + 0.5 * h_m;
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

double ep_jar_pool_wick_C(const ep_jar *j)
{
    // the column that holds 3 mm off the axis
    int i = 0;
    while (i + 1 < j->nr_in && j->r_m[i + 1] <= 3e-3) {
        i++;
    }
    if (j->top[i] < j->low[i]) {
        return j->c->ambient_C;
    }
    // mean of the two uppermost cells: the topmost alone changes thickness as the level falls
    size_t cell = ep_at(j->f, i, j->top[i]);
    if (j->top[i] == j->low[i]) {
        return j->f->T[cell];
    }
    const double *m = j->f->mass + cell, *T = j->f->T + cell;
    return (m[0] * T[0] + m[-1] * T[-1]) / (m[0] + m[-1]);
}

static double bulk_C(const ep_jar *j)
{
    double sum = 0.0, mass_kg = 0.0;
    for (int i = 0; i < j->n_pool; i++) {
        for (int k = j->top[i]; k >= j->low[i]; k--) {
            double liquid = ep_jar_liquid(j, i, k);
            if (liquid < 0.5) {
                break;
            }
            double kg = j->f->mass[ep_at(j->f, i, k)];
            sum += kg * j->f->T[ep_at(j->f, i, k)];
            mass_kg += kg;
        }
    }
    return mass_kg > 0.0 ? sum / mass_kg : (double)NAN;
}

static double edge_C(const ep_jar *j)
{
    for (int i = j->n_pool - 1; i >= 0; i--) {
        if (j->top[i] >= j->low[i] && ep_jar_liquid(j, i, j->top[i]) >= 0.5) {
            return j->f->T[ep_at(j->f, i, j->top[i])];
        }
    }
    return (double)NAN;
}

static double hangup_kg(const ep_jar *j)
{
    const double level_m = ep_jar_surface_m(j, 0);
    double sum_kg = 0.0;
    for (int i = j->n_pool; i < j->nr_in; i++) {
        double over_m = ep_jar_surface_m(j, i) - level_m;
        for (int k = j->top[i]; k >= j->low[i] && over_m > 0.0; k--) {
            double h_m = k == j->top[i] ? ep_jar_top_height_m(j, i) : j->dz_m;
            sum_kg += j->f->mass[ep_at(j->f, i, k)] * ep_min(1.0, over_m / h_m);
            over_m -= h_m;
        }
    }
    return sum_kg;
}

typedef struct wall_state {
    double max_C, at_m, through_max_K, mean_C;
} wall_state;

static wall_state measure_wall(const ep_jar *j)
{
    const ep_burn_case *c = j->c;
    wall_state w = {.max_C = -1e9};
    int rows = 0;
    for (int k = j->n_base; k < j->nz; k++) {
        int out = j->nr - 1;
        while (out > 0 && j->space[ep_at(j->f, out, k)] == JAR_OUTSIDE) {
            out--;
        }
        double T_C = j->f->T[ep_at(j->f, out, k)];
        // flux that leaves this row, hence the outer face and the fall through the wall
        const double k_W_mK = c->wall->prop[EP_CONTAINER_K].value;
        double area_m2 = 2.0 * EP_PI * (j->radius_m[k] + c->vessel.wall_m) * ep_jar_dz_m(j, k);
        double flux_W_m2 = j->f->G_out[ep_at(j->f, out, k)] * (T_C - c->ambient_C) / area_m2;
        double face_C = T_C - flux_W_m2 * 0.5 * (j->r_m[out + 1] - j->r_m[out]) / k_W_mK;
        double through_K = flux_W_m2 * c->vessel.wall_m / k_W_mK;
        w.mean_C += face_C;
        rows++;
        if (face_C > w.max_C) {
            w.max_C = face_C;
            w.at_m = j->z_m[k] + 0.5 * j->dz_m;
        }
        w.through_max_K = ep_max(w.through_max_K, fabs(through_K));
    }
    w.mean_C /= rows > 0 ? rows : 1;
    return w;
}

// Eq. B17: bending by the through-wall fall plus half the hot band's excess over the mean
static double stress_index(const ep_material *wall, const wall_state *w)
{
    const ep_prop *p = wall->prop;
    double e_alpha = p[EP_CONTAINER_YOUNG].value * p[EP_CONTAINER_EXPANSION].value;
    double bend_Pa = e_alpha * w->through_max_K / (2.0 * (1.0 - p[EP_CONTAINER_POISSON].value));
    double band_Pa = 0.5 * e_alpha * ep_max(0.0, w->max_C - w->mean_C);
    return (bend_Pa + band_Pa) / p[EP_CONTAINER_STRENGTH].value;
}

// Clausius-Clapeyron through the two tabled vapour pressures, relative to a 70 mm pool at 70 C
static double scent(const ep_jar *j)
{
    const ep_melt *m = &j->c->melt;
    if (!(m->fragrance_frac > 0.0) || !(m->p60_Pa > 0.0) || !(m->p25_Pa > 0.0)) {
        return 0.0;
    }
    double slope_K = log(m->p60_Pa / m->p25_Pa) / (1.0 / 298.15 - 1.0 / 333.15);
    double sum_m2 = 0.0;
    for (int i = 0; i < j->n_pool; i++) {
        if (j->top[i] >= j->low[i]) {
            size_t cell = ep_at(j->f, i, j->top[i]);
            double T_K = j->f->T[cell] + 273.15;
            sum_m2 += j->ring_m2[i] * ep_jar_liquid(j, i, j->top[i]) *
                      exp(-slope_K * (1.0 / T_K - 1.0 / 343.15));
        }
    }
    return sum_m2 / (0.25 * EP_PI * 0.07 * 0.07) * m->fragrance_frac / 0.08;
}

double ep_jar_hottest_K_above(const ep_jar *j, double room_C)
{
    double most_K = 0.0;
    for (size_t cell = 0; cell < j->f->n; cell++) {
        if (j->f->mass[cell] > 0.0) {
            most_K = ep_max(most_K, fabs(j->f->T[cell] - room_C));
        }
    }
    return most_K;
}

void ep_jar_measure(const ep_jar *j, const ep_flame_now *flame, const ep_fuel *fuel, ep_sample *s)
{
    const double level_m = ep_jar_level_m(j);
    const double wall_m = ep_vessel_radius_m(&j->c->vessel, ep_jar_surface_m(j, 0));
    const double pool_m = pool_radius_m(j, wall_m);
    wall_state w = measure_wall(j);
    s->rate_kg_s = flame->rate_kg_s;
    s->level_m = level_m;
    s->reach_frac = ep_min(1.0, pool_m / wall_m);
    s->pool_width_m = 2.0 * ep_min(pool_m, wall_m);
    s->depth_axis_m = depth_at_m(j, 0.0);
    s->depth_mid_m = depth_at_m(j, 0.5 * wall_m);
    s->depth_wall_m = s->reach_frac >= 1.0 ? depth_at_m(j, wall_m - 1e-4) : 0.0;
    s->hangup_kg = hangup_kg(j);
    s->pool_bulk_C = bulk_C(j);
    s->pool_edge_C = edge_C(j);
    s->pool_wick_C = ep_jar_pool_wick_C(j);
    s->wall_max_C = w.max_C;
    s->wall_max_at_m = w.at_m;
    s->flame_m = flame->flame_m;
    s->exposed_m = flame->exposed_m;
    double smoke_m = ep_smoke_point_m(fuel, flame->exposed_m, j->c->wick.diameter_m);
    s->soot_margin_m = isfinite(smoke_m) ? smoke_m - flame->flame_m : (double)NAN;
    s->cap_index = j->cap_index;
    s->stress_index = stress_index(j->c->wall, &w);
    s->scent_rel = scent(j);
    s->left_kg = ep_jar_wax_kg(j);
}
