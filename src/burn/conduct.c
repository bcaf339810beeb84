// Conductances of the jar's cells for the next step, and the faces that look out of them. Equations
// B8-B11 in docs/physics/burn.md, F5 in field.md.
#include <string.h>

#include "burn/jar_int.h"

// how much better than still melt the pool carries heat outward, and downward (physics notes:
// surface-tension flow; 10 to 40 and 1 to 2 are plausible)
static const double STIR_OUT = 20.0, STIR_DOWN = 1.2;
// an unlit pool cools from above and overturns
static const double STIR_UNLIT = 3.0;
// below this depth the pool's own floor holds the flow back
static const double STIR_DEPTH_M = 3e-3;

// conductivities of one wax cell, sideways and downward
static void wax_conductivity(ep_jar *j, int column, int k)
{
    const ep_melt *m = &j->c->melt;
    const double *x = j->c->factors.f;
    const size_t cell = ep_at(j->f, column, k);
    double liquid = ep_jar_liquid(j, column, k);
    double k_W_mK = m->k_liquid_W_mK.value;
    double still_W_mK =
        (1.0 - liquid) * m->k_solid_W_mK.value * x[EP_UNC_SOLID_K] + liquid * k_W_mK;
    j->k_out[cell] = j->k_down[cell] = still_W_mK;
    // only melt that is more liquid than not flows, and only in a pool open to the air
    double flows = 2.0 * liquid - 1.0;
    if (j->pool[column] < 0 || !(flows > 0.0)) {
        return;
    }
    double out = STIR_UNLIT, down = STIR_UNLIT;
    if (ep_jar_lit(j)) {
        double deep = ep_min(1.0, j->depth_m[column] / STIR_DEPTH_M);
        out = 1.0 + (STIR_OUT * x[EP_UNC_STIRRING] - 1.0) * deep;
        down = STIR_DOWN;
    }
    j->k_out[cell] += flows * k_W_mK * (out - 1.0);
    j->k_down[cell] += flows * k_W_mK * (down - 1.0);
}

// the lowest row that holds melt, or the top of a column: what stands below conducts as it did
static int lowest_soft_row(const ep_jar *j)
{
    int lowest = j->nz;
    for (int c = 0; c < j->n_columns; c++) {
        if (!ep_jar_has_wax(j, c)) {
            continue;
        }
        const double *u = j->f->u + ep_at(j->f, c, 0);
        int k = j->low[c], end = j->top[c] - 1 < lowest ? j->top[c] - 1 : lowest;
        while (k < end && !(u[k] > j->f->law.u_solidus_J_kg)) {
            k++;
        }
        lowest = k < end ? k : end;
    }
    return lowest < j->n_base ? j->n_base : lowest;
}

// conductivity and height of every cell from a row upward; clears what the last step left
static void prepare_cells(ep_jar *j, int from)
{
    ep_field *f = j->f;
    const double wall_W_mK = j->c->wall->prop[EP_CONTAINER_K].value;
    memset(f->G_out, 0, f->n * sizeof *f->G_out);
    memset(f->S, 0, f->n * sizeof *f->S);
    for (int c = 0; c < j->n_columns; c++) {
        for (int k = from; k < j->nz; k++) {
            size_t cell = ep_at(f, c, k);
            f->G_x[cell] = f->G_y[cell] = f->G_z[cell] = 0.0;
            j->height_m[cell] = 0.0;
            if (!(f->mass[cell] > 0.0)) {
                continue;
            }
            j->height_m[cell] = ep_jar_dz_m(j, k);
            if (j->space[cell] == JAR_WALL) {
                j->k_out[cell] = j->k_down[cell] = wall_W_mK;
            } else {
                wax_conductivity(j, c, k);
                if (k == j->top[c]) {
                    j->height_m[cell] = ep_jar_top_height_m(j, c);
                }
            }
        }
    }
}

// conductances from one column to the next along one axis
static void side_faces(ep_jar *j, int column, int next, int axis, int from, double *G)
{
    ep_field *f = j->f;
    const double len_m = j->len_m[axis][column];
    const double half_m = j->half_m[axis][column], next_half_m = j->half_m[axis][next];
    for (int k = from; k < j->nz; k++) {
        const size_t a = ep_at(f, column, k), b = ep_at(f, next, k);
        if (!(j->height_m[a] > 0.0) || !(j->height_m[b] > 0.0)) {
            continue;
        }
        // where wax meets wall the staircase is longer than the wall it stands for
        double scale = j->space[a] != j->space[b] ? j->contact[k] : 1.0;
        G[a] = scale * len_m * ep_min(j->height_m[a], j->height_m[b]) /
               (half_m / j->k_out[a] + next_half_m / j->k_out[b]);
    }
}

static void inner_faces(ep_jar *j, int from)
{
    ep_field *f = j->f;
    for (int c = 0; c < j->n_columns; c++) {
        int along = ep_jar_beside(j, c, SIDE_PLUS_X), over = ep_jar_beside(j, c, SIDE_PLUS_Y);
        if (along >= 0) {
            side_faces(j, c, along, 0, from, f->G_x);
        }
        if (over >= 0) {
            side_faces(j, c, over, 1, from, f->G_y);
        }
        for (int k = from > 0 ? from - 1 : 0; k + 1 < j->nz; k++) {
            const size_t cell = ep_at(f, c, k);
            // the row below `from` may have lost what stood on it
            f->G_z[cell] = 0.0;
            if (j->height_m[cell] > 0.0 && j->height_m[cell + 1] > 0.0) {
                double area_m2 = j->area_m2[c] * ep_min(j->fill[cell], j->fill[cell + 1]);
                f->G_z[cell] = 2.0 * area_m2 /
                               (j->height_m[cell] / j->k_down[cell] +
                                j->height_m[cell + 1] / j->k_down[cell + 1]);
            }
        }
    }
}

void ep_jar_conduct(ep_jar *j)
{
    int soft = lowest_soft_row(j);
    int from = j->conductances_known ? (soft < j->soft_row ? soft : j->soft_row) : 0;
    j->soft_row = soft;
    j->conductances_known = true;
    prepare_cells(j, from);
    inner_faces(j, from);
}

double ep_jar_add_face(ep_field *f, size_t cell, jar_face x)
{
    if (!(x.film_W_m2K > 0.0)) {
        f->S[cell] += x.heat_W;
        return x.heat_W;
    }
    double half_W_m2K = x.k_W_mK / x.half_m;
    double share = half_W_m2K / (half_W_m2K + x.film_W_m2K);
    double g_W_K = x.area_m2 * x.film_W_m2K * share;
    f->G_out[cell] += g_W_K;
    f->S[cell] += g_W_K * x.air_C + x.heat_W * share;
    return x.heat_W * share;
}
