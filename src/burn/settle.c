// Melt finds its level: drawing by the wick, draining of melted shoulders, levelling of the pool.
// Every move carries mass and heat together, so both ledgers stay exact. See docs/physics/burn.md.
#include <math.h>

#include "burn/jar_int.h"

// the topmost cell of a column is kept between these shares of a full one
static const double THINNEST = 0.5, THICKEST = 1.6;
// a shoulder slumps once half of its top cell is liquid: clear melt runs within seconds, paste
// creeps in minutes (from memory; it smooths the moment of collapse and moves nothing else)
static const double LETS_GO = 0.5, RUNS_S = 10.0, CREEPS_S = 600.0;
// the wick's own primed wax and the first melt feed from inside this radius
static const double FIRST_POOL_M = 8e-3;

// melt on its way between columns
typedef struct bucket {
    double mass_kg, heat_J;
} bucket;

static void empty_cell(ep_jar *j, size_t cell)
{
    j->f->mass[cell] = 0.0;
    j->f->u[cell] = 0.0;
    j->f->wax[cell] = 0.0;
    j->f->T[cell] = 0.0;
}

static void add_to_cell(ep_jar *j, size_t cell, double mass_kg, double heat_J)
{
    ep_field *f = j->f;
    double total_kg = f->mass[cell] + mass_kg;
    f->u[cell] = (f->mass[cell] * f->u[cell] + heat_J) / total_kg;
    f->mass[cell] = total_kg;
    f->wax[cell] = 1.0;
}

static void take_from_cell(ep_jar *j, size_t cell, double mass_kg, bucket *b)
{
    b->mass_kg += mass_kg;
    b->heat_J += mass_kg * j->f->u[cell];
    j->f->mass[cell] -= mass_kg;
}

static bool has_wax(const ep_jar *j, int i)
{
    return j->top[i] >= j->low[i];
}

// bring the topmost cell back between its thinnest and thickest
static void tidy_column(ep_jar *j, int i)
{
    ep_field *f = j->f;
    while (has_wax(j, i)) {
        size_t cell = ep_at(f, i, j->top[i]);
        double share = f->mass[cell] / j->full_kg[cell];
        if (share < THINNEST && j->top[i] > j->low[i]) {
            add_to_cell(j, cell - 1, f->mass[cell], f->mass[cell] * f->u[cell]);
            empty_cell(j, cell);
            j->top[i]--;
        } else if (share > THICKEST && j->top[i] + 1 < j->nz &&
                   j->space[cell + 1] == JAR_WAX_SPACE) {
            double up_kg = f->mass[cell] - j->full_kg[cell];
            add_to_cell(j, cell + 1, up_kg, up_kg * f->u[cell]);
            f->mass[cell] = j->full_kg[cell];
            j->top[i]++;
        } else {
            return;
        }
    }
}

static double top_liquid(const ep_jar *j, int i)
{
    return has_wax(j, i) ? ep_jar_liquid(j, i, j->top[i]) : 0.0;
}

// columns from the axis outward whose surface is melt at one level; while lit, at least the foot
static int count_pool(const ep_jar *j)
{
    int n = 0;
    double level_m = ep_jar_surface_m(j, 0);
    while (n < j->nr_in && j->low[n] < j->nz) {
        bool foot = j->lit && j->r_m[n + 1] <= FIRST_POOL_M;
        bool melt = top_liquid(j, n) > 0.5 &&
                    ep_jar_surface_m(j, n) < level_m + 1.2 * j->dz_m;
        bool below = ep_jar_surface_m(j, n) < level_m - 0.1 * j->dz_m && top_liquid(j, n) > 0.0;
        if (!foot && !melt && !below) {
            break;
        }
        n++;
    }
    return n;
}

static double column_kg_per_m(const ep_jar *j, int i)
{
    size_t cell = ep_at(j->f, i, has_wax(j, i) ? j->top[i] : j->low[i]);
    return j->full_kg[cell] / j->dz_m;
}

// share of a soft top cell that runs off during the step
static double slump_share(const ep_jar *j, double liquid)
{
    double stiff = (1.0 - liquid) / (1.0 - LETS_GO);
    return -expm1(-j->step_s / (RUNS_S + (CREEPS_S - RUNS_S) * stiff));
}

// shoulders: what has melted above the pool runs down into it
static void drain_shoulders(ep_jar *j, bucket *b)
{
    if (j->n_pool < 1) {
        return;
    }
    for (int i = j->n_pool; i < j->nr_in; i++) {
        double over_m = ep_jar_surface_m(j, i) - ep_jar_surface_m(j, i - 1);
        if (!has_wax(j, i) || j->top[i] <= j->low[i] || !(over_m > 0.0)) {
            continue;
        }
        double liquid = top_liquid(j, i);
        if (liquid > LETS_GO) {
            size_t cell = ep_at(j->f, i, j->top[i]);
            double over_kg = over_m * column_kg_per_m(j, i);
            take_from_cell(j, cell, slump_share(j, liquid) * ep_min(over_kg, 0.98 * j->f->mass[cell]), b);
        }
    }
}

// one level for the pool's columns: the high ones give to the bucket, the low ones take from it
static void level_pool(ep_jar *j, bucket *b)
{
    double weight_kg_m = 0.0, moment_kg = b->mass_kg;
    for (int i = 0; i < j->n_pool; i++) {
        weight_kg_m += column_kg_per_m(j, i);
        moment_kg += column_kg_per_m(j, i) * ep_jar_surface_m(j, i);
    }
    const double level_m = moment_kg / weight_kg_m;
    double want_kg = 0.0;
    for (int i = 0; i < j->n_pool; i++) {
        double over_kg = (ep_jar_surface_m(j, i) - level_m) * column_kg_per_m(j, i);
        if (over_kg > 0.0 && top_liquid(j, i) > 0.5) {
            size_t cell = ep_at(j->f, i, j->top[i]);
            take_from_cell(j, cell, ep_min(over_kg, 0.9 * j->f->mass[cell]), b);
        } else if (over_kg < 0.0) {
            want_kg -= over_kg;
        }
    }
    if (!(b->mass_kg > 0.0)) {
        return;
    }
    // with nobody below the level the melt spreads by area
    bool spread = !(want_kg > 0.0);
    double u_J_kg = b->heat_J / b->mass_kg;
    for (int i = 0; i < j->n_pool; i++) {
        double under_kg = (level_m - ep_jar_surface_m(j, i)) * column_kg_per_m(j, i);
        double share = spread ? column_kg_per_m(j, i) / weight_kg_m : ep_max(under_kg, 0.0) / want_kg;
        if (share > 0.0) {
            int k = has_wax(j, i) ? j->top[i] : j->low[i];
            j->top[i] = k;
            add_to_cell(j, ep_at(j->f, i, k), share * b->mass_kg, share * b->mass_kg * u_J_kg);
        }
    }
    b->mass_kg = b->heat_J = 0.0;
}

static void measure_depths(ep_jar *j)
{
    for (int i = 0; i < j->nr_in; i++) {
        j->depth_m[i] = 0.0;
        for (int k = j->top[i]; k >= j->low[i]; k--) {
            double liquid = ep_jar_liquid(j, i, k);
            double h_m = k == j->top[i] ? ep_jar_top_height_m(j, i) : j->dz_m;
            j->depth_m[i] += h_m * liquid;
            if (liquid < 0.5) {
                break;
            }
        }
    }
}

void ep_jar_settle(ep_jar *j)
{
    bucket b = {0.0, 0.0};
    j->n_pool = count_pool(j);
    if (j->n_pool > 0) {
        drain_shoulders(j, &b);
        level_pool(j, &b);
        for (int i = 0; i < j->nr_in; i++) {
            tidy_column(j, i);
        }
    }
    ep_field_sync(j->f);
    measure_depths(j);
}

double ep_jar_pool_area_m2(const ep_jar *j)
{
    double area_m2 = 0.0;
    for (int i = 0; i < j->n_pool; i++) {
        size_t cell = ep_at(j->f, i, has_wax(j, i) ? j->top[i] : j->low[i]);
        area_m2 += j->ring_m2[i] * j->fill[cell];
    }
    return area_m2;
}

double ep_jar_draw(ep_jar *j, double mass_kg)
{
    bucket b = {0.0, 0.0};
    double weight_kg_m = 0.0;
    for (int i = 0; i < j->n_pool; i++) {
        weight_kg_m += has_wax(j, i) ? column_kg_per_m(j, i) : 0.0;
    }
    double left_kg = mass_kg;
    for (int i = 0; i < j->n_pool && weight_kg_m > 0.0; i++) {
        double share_kg = mass_kg * column_kg_per_m(j, i) / weight_kg_m;
        while (has_wax(j, i) && share_kg > 0.0) {
            size_t cell = ep_at(j->f, i, j->top[i]);
            double take_kg = ep_min(share_kg, j->f->mass[cell]);
            take_from_cell(j, cell, take_kg, &b);
            share_kg -= take_kg;
            left_kg -= take_kg;
            if (j->f->mass[cell] <= 1e-9 * j->full_kg[cell]) {
                // a rest too small to keep goes with the draw, so that no mass is dropped
                take_from_cell(j, cell, j->f->mass[cell], &b);
                empty_cell(j, cell);
                j->top[i]--;
            }
        }
        tidy_column(j, i);
    }
    j->burned_kg += b.mass_kg;
    j->drawn_J += b.heat_J;
    j->wick_J += b.heat_J;
    return b.heat_J;
}

double ep_jar_level_m(const ep_jar *j)
{
    // cold level of the axis, raised by what the melt has gained in volume over the pool's area
    double area_m2 = ep_jar_pool_area_m2(j);
    double rise_m = 0.0;
    if (area_m2 > 0.0) {
        const double solid_kg_m3 = j->c->melt.rho_solid_kg_m3.value;
        double gain_m3 = 0.0;
        for (int i = 0; i < j->nr_in; i++) {
            for (int k = j->low[i]; k <= j->top[i]; k++) {
                double liquid = ep_jar_liquid(j, i, k);
                if (liquid > 0.0) {
                    size_t cell = ep_at(j->f, i, k);
                    double rho_kg_m3 =
                        ep_melt_density_kg_m3(&j->c->melt, ep_max(j->f->T[cell] + 273.15,
                                                                j->c->melt.liquidus_K.value));
                    gain_m3 += j->f->mass[cell] * liquid * (1.0 / rho_kg_m3 - 1.0 / solid_kg_m3);
                }
            }
        }
        rise_m = gain_m3 / area_m2;
    }
    return ep_jar_surface_m(j, 0) + rise_m;
}
