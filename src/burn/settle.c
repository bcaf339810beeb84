// Melt finds its level: drawing by the wick, slumping of soft shoulders, levelling of pools.
// Every move carries mass and heat together, so both ledgers stay exact. See docs/physics/burn.md.
#include <math.h>

#include "burn/jar_int.h"

// the topmost cell of a column is kept between these shares of a full one
static const double THINNEST = 0.5, THICKEST = 1.6;
// on the floor, where there is nothing to merge with, a film below this share of a cell is not kept
// or laid: it would cost more steps than all the rest
static const double LEAST_FILM = 1e-3;
// A shoulder slumps once half of its top cell, or about half of all that stands above the place
// beside it, is liquid: clear melt runs within seconds, paste creeps in minutes (from memory; it
// smooths the moment of collapse and moves nothing else). How much of a ring it takes decides
// whether a candle that only just melts to the wall leaves one, and nobody has measured it: hence a
// factor of its own.
static const double LETS_GO = 0.5, RUNS_S = 10.0, CREEPS_S = 600.0;
// Melt that stands less than this above the pool's level runs into it within a step and is of it;
// cells higher than 2 mm cannot tell less than 1.2 of their own height. Were it a share of the cell
// alone, cells of 0.5 mm would leave melted shoulders unstirred and burn a tunnel.
static const double RUNS_IN_M = 2.4e-3, RUNS_IN_CELLS = 1.2;
// the wick's own primed wax and the first melt feed from inside this radius
static const double FIRST_POOL_M = 8e-3;

typedef jar_bucket bucket;

void ep_jar_empty_cell(ep_jar *j, size_t cell)
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
    f->T[cell] = ep_law_T_C(&f->law, f->u[cell]);
    f->mass[cell] = total_kg;
    f->wax[cell] = 1.0;
}

static void take_from_cell(ep_jar *j, size_t cell, double mass_kg, bucket *b)
{
    b->mass_kg += mass_kg;
    b->heat_J += mass_kg * j->f->u[cell];
    j->f->mass[cell] -= mass_kg;
}

// put melt on a column, also on one that has none left
static void pour_on(ep_jar *j, int column, double mass_kg, double u_J_kg)
{
    if (!ep_jar_has_wax(j, column)) {
        j->top[column] = j->low[column];
    }
    add_to_cell(j, ep_at(j->f, column, j->top[column]), mass_kg, mass_kg * u_J_kg);
}

// bring the topmost cell back between its thinnest and thickest
static void tidy_column(ep_jar *j, int column)
{
    ep_field *f = j->f;
    while (ep_jar_has_wax(j, column)) {
        size_t cell = ep_at(f, column, j->top[column]);
        double share = f->mass[cell] / j->full_kg[cell];
        if (share < THINNEST && j->top[column] > j->low[column]) {
            add_to_cell(j, cell - 1, f->mass[cell], f->mass[cell] * f->u[cell]);
            ep_jar_empty_cell(j, cell);
            j->top[column]--;
        } else if (share > THICKEST && j->top[column] + 1 < j->nz &&
                   j->space[cell + 1] == JAR_WAX_SPACE) {
            double up_kg = f->mass[cell] - j->full_kg[cell];
            if (up_kg < THINNEST * j->full_kg[cell + 1]) {
                // rows of a tapered vessel differ in area: what is split must not be merged again
                return;
            }
            add_to_cell(j, cell + 1, up_kg, up_kg * f->u[cell]);
            f->mass[cell] = j->full_kg[cell];
            j->top[column]++;
        } else {
            return;
        }
    }
}

static double top_liquid(const ep_jar *j, int column)
{
    return ep_jar_has_wax(j, column) ? ep_jar_liquid(j, column, j->top[column]) : 0.0;
}

static double column_kg_per_m(const ep_jar *j, int column)
{
    int k = ep_jar_has_wax(j, column) ? j->top[column] : j->low[column];
    return j->full_kg[ep_at(j->f, column, k)] / j->dz_m;
}

double ep_jar_runs_in_m(const ep_jar *j)
{
    return ep_max(RUNS_IN_CELLS * j->dz_m, RUNS_IN_M);
}

// does this column belong to a pool whose surface stands at level_m?
static bool joins(const ep_jar *j, int column, double level_m, bool lit)
{
    if (j->low[column] >= j->nz) {
        return false;
    }
    if (lit && j->near_m[column] + j->half_m[0][column] <= FIRST_POOL_M) {
        return true;
    }
    double surface_m = ep_jar_surface_m(j, column);
    if (j->z_m[j->high[column] + 1] < level_m - 0.5 * j->dz_m) {
        // under a shoulder of the vessel: the pool cannot rise there
        return false;
    }
    if (top_liquid(j, column) > 0.5) {
        return surface_m < level_m + ep_jar_runs_in_m(j);
    }
    return surface_m < level_m - 0.1 * j->dz_m && top_liquid(j, column) > 0.0;
}

// flood fill from the wick's foot over columns whose surface is melt at its level
static int fill_pool(ep_jar *j, const jar_wick *w, int pool)
{
    if (!joins(j, w->foot, ep_jar_surface_m(j, w->foot), w->lit)) {
        return 0;
    }
    const double level_m = ep_jar_surface_m(j, w->foot);
    int head = 0, tail = 0;
    j->pool[w->foot] = pool;
    j->queue[tail++] = w->foot;
    while (head < tail) {
        int column = j->queue[head++];
        for (int side = 0; side < SIDES; side++) {
            int beside = ep_jar_beside(j, column, side);
            if (beside >= 0 && j->pool[beside] < 0 && joins(j, beside, level_m, w->lit)) {
                j->pool[beside] = pool;
                j->queue[tail++] = beside;
            }
        }
    }
    return tail;
}

static void find_pools(ep_jar *j)
{
    for (int c = 0; c < j->n_columns; c++) {
        j->pool[c] = -1;
    }
    j->n_pools = 0;
    for (int n = 0; n < j->n_wicks; n++) {
        jar_wick *w = &j->wick[n];
        w->pool = j->pool[w->foot];
        if (w->pool < 0 && fill_pool(j, w, j->n_pools) > 0) {
            w->pool = j->n_pools++;
        }
    }
}

// share of a soft top cell that runs off during the step
static double slump_share(const ep_jar *j, double liquid)
{
    double stiff = ep_min(1.0, (1.0 - liquid) / (1.0 - LETS_GO));
    return -expm1(-j->step_s / (RUNS_S + (CREEPS_S - RUNS_S) * stiff));
}

// where a shoulder can run to: the sides that are lower, by how much, and the lowest of them
typedef struct downhill {
    int to[SIDES];
    double drop_m[SIDES], sum_m, most_m;
    bool into_pool;  // the lowest is a pool's
} downhill;

static downhill look_down(const ep_jar *j, int column)
{
    downhill d = {.sum_m = 0.0};
    for (int side = 0; side < SIDES; side++) {
        int to = ep_jar_beside(j, column, side);
        d.to[side] = to;
        bool takes = to >= 0 && j->low[to] < j->nz && (j->pool[to] >= 0 || ep_jar_has_wax(j, to));
        double drop_m = takes ? ep_max(0.0, j->surface_m[column] - j->surface_m[to]) : 0.0;
        d.drop_m[side] = drop_m;
        d.sum_m += drop_m;
        if (drop_m > d.most_m) {
            d.most_m = drop_m;
            d.into_pool = j->pool[to] >= 0;
        }
    }
    return d;
}

// what of a column stands above a height: its lowest cell there, and the share that is liquid
typedef struct stand {
    int foot;
    double liquid;
} stand;

static stand standing_over(const ep_jar *j, int column, double height_m)
{
    stand s = {.foot = j->top[column]};
    double kg = 0.0, liquid_kg = 0.0;
    for (int k = j->top[column]; k >= j->low[column] && j->z_m[k] > height_m - 0.5 * j->dz_m; k--) {
        double cell_kg = j->f->mass[ep_at(j->f, column, k)];
        kg += cell_kg;
        liquid_kg += cell_kg * ep_jar_liquid(j, column, k);
        s.foot = k;
    }
    s.liquid = kg > 0.0 ? liquid_kg / kg : top_liquid(j, column);
    return s;
}

// The cell whose melt runs off, and how liquid it makes the shoulder; -1 when it stands firm. Melt
// on top runs down by itself. Melt under a cooler top lets that slide down the wall once it is the
// greater part: a ring of paste on warm glass does not stand on what has run away.
static int gives_way(const ep_jar *j, int column, double down_to_m, double *liquid)
{
    *liquid = top_liquid(j, column);
    if (*liquid > LETS_GO) {
        return j->top[column];
    }
    stand s = standing_over(j, column, down_to_m);
    *liquid = s.liquid;
    double lets_go = ep_min(0.95, LETS_GO * j->c->factors.f[EP_UNC_LETS_GO]);
    return s.liquid > lets_go ? s.foot : -1;
}

// what stood on melt that ran off comes down after it
static void sink(ep_jar *j, int column, int from)
{
    ep_field *f = j->f;
    for (int k = from; k < j->top[column]; k++) {
        size_t cell = ep_at(f, column, k);
        double down_kg = ep_min(j->full_kg[cell] - f->mass[cell], 0.98 * f->mass[cell + 1]);
        if (down_kg > 0.0) {
            add_to_cell(j, cell, down_kg, down_kg * f->u[cell + 1]);
            f->mass[cell + 1] -= down_kg;
        }
    }
}

// what of one shoulder runs off in the step, each lower side getting its share by how deep it lies
static void shed(ep_jar *j, int column, bucket *pool_bucket)
{
    downhill d = look_down(j, column);
    double liquid = 0.0;
    int k = d.sum_m > 0.0 ? gives_way(j, column, j->surface_m[column] - d.most_m, &liquid) : -1;
    if (k < 0) {
        return;
    }
    size_t cell = ep_at(j->f, column, k);
    // between two shoulders no more than half, so that they do not swap places
    double most_kg = (d.into_pool ? 1.0 : 0.5) * d.most_m * column_kg_per_m(j, column);
    bucket run = {0.0, 0.0};
    take_from_cell(j, cell, slump_share(j, liquid) * ep_min(most_kg, 0.98 * j->f->mass[cell]),
                   &run);
    sink(j, column, k);
    for (int side = 0; side < SIDES; side++) {
        double share = d.drop_m[side] / d.sum_m;
        if (share > 0.0) {
            int pool = j->pool[d.to[side]];
            bucket *into = pool >= 0 ? &pool_bucket[pool] : &j->runoff[d.to[side]];
            into->mass_kg += share * run.mass_kg;
            into->heat_J += share * run.heat_J;
        }
    }
}

// Shoulders: what has melted above the pool runs to the lower places beside it. All look before any
// is poured on, or the order of the columns would tell, and a candle differ from its mirror image.
static void drain_shoulders(ep_jar *j, bucket *pool_bucket)
{
    for (int c = 0; c < j->n_columns; c++) {
        j->runoff[c] = (bucket){0.0, 0.0};
        j->surface_m[c] = j->low[c] < j->nz ? ep_jar_surface_m(j, c) : 0.0;
    }
    for (int c = 0; c < j->n_columns; c++) {
        if (j->pool[c] < 0 && ep_jar_has_wax(j, c) && j->top[c] > j->low[c]) {
            shed(j, c, pool_bucket);
        }
    }
    for (int c = 0; c < j->n_columns; c++) {
        if (j->runoff[c].mass_kg > 0.0) {
            pour_on(j, c, j->runoff[c].mass_kg, j->runoff[c].heat_J / j->runoff[c].mass_kg);
        }
    }
}

static double pool_level_m(const ep_jar *j, int pool, const bucket *b, double *weight_kg_m)
{
    double moment_kg = b->mass_kg;
    *weight_kg_m = 0.0;
    for (int c = 0; c < j->n_columns; c++) {
        if (j->pool[c] == pool) {
            *weight_kg_m += column_kg_per_m(j, c);
            moment_kg += column_kg_per_m(j, c) * ep_jar_surface_m(j, c);
        }
    }
    return moment_kg / *weight_kg_m;
}

// a column gives what stands above the level, its last film whole
static void give_over(ep_jar *j, int column, double over_kg, bucket *b)
{
    size_t cell = ep_at(j->f, column, j->top[column]);
    if (j->top[column] == j->low[column] && over_kg > 0.9 * j->f->mass[cell]) {
        take_from_cell(j, cell, j->f->mass[cell], b);
        ep_jar_empty_cell(j, cell);
        j->top[column]--;
    } else {
        take_from_cell(j, cell, ep_min(over_kg, 0.9 * j->f->mass[cell]), b);
    }
}

// what a column below the level takes: bare floor takes no film
static double takes_kg(const ep_jar *j, int column, double level_m)
{
    double under_kg = (level_m - ep_jar_surface_m(j, column)) * column_kg_per_m(j, column);
    double least_kg = ep_jar_has_wax(j, column)
                          ? 0.0
                          : LEAST_FILM * j->full_kg[ep_at(j->f, column, j->low[column])];
    return under_kg > least_kg ? under_kg : 0.0;
}

// one level for the pool's columns: the high ones give to the bucket, the low ones take from it
static void level_pool(ep_jar *j, int pool, bucket *b)
{
    double weight_kg_m = 0.0, want_kg = 0.0;
    const double level_m = pool_level_m(j, pool, b, &weight_kg_m);
    for (int c = 0; c < j->n_columns; c++) {
        double over_kg = (ep_jar_surface_m(j, c) - level_m) * column_kg_per_m(j, c);
        if (j->pool[c] == pool && over_kg > 0.0 && top_liquid(j, c) > 0.5) {
            give_over(j, c, over_kg, b);
        }
    }
    if (!(b->mass_kg > 0.0)) {
        return;
    }
    // counted after the giving: one that gave its last film may take again
    for (int c = 0; c < j->n_columns; c++) {
        want_kg += j->pool[c] == pool ? takes_kg(j, c, level_m) : 0.0;
    }
    // with nobody below the level the melt spreads by area
    bool spread = !(want_kg > 0.0);
    double u_J_kg = b->heat_J / b->mass_kg;
    for (int c = 0; c < j->n_columns; c++) {
        if (j->pool[c] == pool) {
            double share =
                spread ? column_kg_per_m(j, c) / weight_kg_m : takes_kg(j, c, level_m) / want_kg;
            if (share > 0.0) {
                pour_on(j, c, share * b->mass_kg, u_J_kg);
            }
        }
    }
}

static void measure_depths(ep_jar *j)
{
    for (int c = 0; c < j->n_columns; c++) {
        j->depth_m[c] = 0.0;
        for (int k = j->top[c]; k >= j->low[c]; k--) {
            double liquid = ep_jar_liquid(j, c, k);
            double h_m = k == j->top[c] ? ep_jar_top_height_m(j, c) : j->dz_m;
            j->depth_m[c] += h_m * liquid;
            if (liquid < 0.5) {
                break;
            }
        }
    }
}

void ep_jar_settle(ep_jar *j)
{
    bucket b[EP_MAX_WICKS] = {{0.0, 0.0}};
    find_pools(j);
    if (j->n_pools > 0) {
        drain_shoulders(j, b);
        for (int p = 0; p < j->n_pools; p++) {
            level_pool(j, p, &b[p]);
        }
        for (int c = 0; c < j->n_columns; c++) {
            tidy_column(j, c);
        }
    }
    measure_depths(j);
}

double ep_jar_pool_area_m2(const ep_jar *j, int pool)
{
    double area_m2 = 0.0;
    for (int c = 0; c < j->n_columns; c++) {
        if (j->pool[c] == pool) {
            int k = ep_jar_has_wax(j, c) ? j->top[c] : j->low[c];
            area_m2 += j->area_m2[c] * j->fill[ep_at(j->f, c, k)];
        }
    }
    return area_m2;
}

// takes kg from the top of one column, downward as far as it must
static void draw_column(ep_jar *j, int column, double kg, bucket *b)
{
    while (ep_jar_has_wax(j, column) && kg > 0.0) {
        size_t cell = ep_at(j->f, column, j->top[column]);
        double take_kg = ep_min(kg, j->f->mass[cell]);
        take_from_cell(j, cell, take_kg, b);
        kg -= take_kg;
        if (j->f->mass[cell] <= LEAST_FILM * j->full_kg[cell]) {
            // a rest too small to keep goes with the draw, so that no mass is dropped
            take_from_cell(j, cell, j->f->mass[cell], b);
            ep_jar_empty_cell(j, cell);
            j->top[column]--;
        }
    }
    tidy_column(j, column);
}

double ep_jar_draw(ep_jar *j, int pool, double mass_kg)
{
    bucket b = {0.0, 0.0};
    double weight_kg_m = 0.0;
    for (int c = 0; c < j->n_columns; c++) {
        if (j->pool[c] == pool && ep_jar_has_wax(j, c)) {
            weight_kg_m += column_kg_per_m(j, c);
        }
    }
    for (int c = 0; c < j->n_columns && weight_kg_m > 0.0; c++) {
        if (j->pool[c] == pool && ep_jar_has_wax(j, c)) {
            draw_column(j, c, mass_kg * column_kg_per_m(j, c) / weight_kg_m, &b);
        }
    }
    j->burned_kg += b.mass_kg;
    j->drawn_J += b.heat_J;
    j->wick_J += b.heat_J;
    return b.heat_J;
}

double ep_jar_level_m(const ep_jar *j, const jar_wick *w)
{
    // cold level, raised by what the melt of the pool has gained in volume over its area
    double area_m2 = w->pool >= 0 ? ep_jar_pool_area_m2(j, w->pool) : 0.0;
    double rise_m = 0.0;
    if (area_m2 > 0.0) {
        const ep_melt *melt = &j->c->melt;
        double gain_m3 = 0.0;
        for (int c = 0; c < j->n_columns; c++) {
            if (j->pool[c] != w->pool) {
                continue;
            }
            // melt lies on top: two solid cells below each other end it
            for (int k = j->top[c], solid = 0; k >= j->low[c] && solid < 2; k--) {
                double liquid = ep_jar_liquid(j, c, k);
                solid = liquid > 0.0 ? 0 : solid + 1;
                if (liquid > 0.0) {
                    size_t cell = ep_at(j->f, c, k);
                    double T_K = ep_max(j->f->T[cell] + 273.15, melt->liquidus_K.value);
                    gain_m3 += j->f->mass[cell] * liquid *
                               (1.0 / ep_melt_density_kg_m3(melt, T_K) -
                                1.0 / melt->rho_solid_kg_m3.value);
                }
            }
        }
        rise_m = gain_m3 / area_m2;
    }
    return ep_jar_surface_m(j, w->foot) + rise_m;
}
