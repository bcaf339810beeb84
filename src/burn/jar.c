// The vessel and its wax on the grid. See docs/physics/burn.md, section on the grid.
#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "burn/jar_int.h"

static int at_least(int n, int least)
{
    return n < least ? least : n;
}

double ep_jar_dz_m(const ep_jar *j, int k)
{
    return k < j->n_base ? j->dz_base_m : j->dz_m;
}

static void *take(ep_jar *j, size_t n, size_t size)
{
    return ep_arena_alloc(&j->arena, n, size);
}

static ep_enthalpy_law law_of(const ep_burn_case *c)
{
    const ep_melt *m = &c->melt;
    double shift_K = c->factors.f[EP_UNC_MELT_POINT];
    return ep_enthalpy_law_make(m->solidus_K.value - 273.15 + shift_K,
                                m->liquidus_K.value - 273.15 + shift_K,
                                m->cp_solid_J_kgK.value, m->cp_liquid_J_kgK.value,
                                m->latent_J_kg.value * c->factors.f[EP_UNC_LATENT]);
}

// rows: the base, then wax rows that meet the fill line exactly, then the freeboard up to the brim
static void count_cells(ep_jar *j, int *n_wall)
{
    const ep_burn_case *c = j->c;
    double min_m = 0.0, max_m = 0.0, brim_m = ep_vessel_height_m(&c->vessel);
    ep_vessel_width_range_m(&c->vessel, brim_m, &min_m, &max_m);
    j->nr_in = at_least((int)lround(0.5 * max_m / c->grid_m), 5);
    *n_wall = at_least((int)lround(c->vessel.wall_m / c->grid_m), 1);
    j->nr = j->nr_in + *n_wall;
    int n_fill = at_least((int)lround(c->fill_height_m / c->grid_m), 4);
    j->dz_m = c->fill_height_m / n_fill;
    j->n_base = at_least((int)lround(c->vessel.base_m / c->grid_m), 1);
    j->dz_base_m = c->vessel.base_m / j->n_base;
    j->nz = j->n_base + n_fill + at_least((int)lround((brim_m - c->fill_height_m) / j->dz_m), 1);
}

static ep_status allocate(ep_jar *j)
{
    size_t nr = (size_t)j->nr, nz = (size_t)j->nz, n = nr * (nz + 1);
    j->r_m = take(j, nr + 1, sizeof *j->r_m);
    j->ring_m2 = take(j, nr, sizeof *j->ring_m2);
    j->z_m = take(j, nz + 1, sizeof *j->z_m);
    j->radius_m = take(j, nz, sizeof *j->radius_m);
    j->space = take(j, n, sizeof *j->space);
    j->full_kg = take(j, n, sizeof *j->full_kg);
    j->fill = take(j, n, sizeof *j->fill);
    j->k_out = take(j, n, sizeof *j->k_out);
    j->k_down = take(j, n, sizeof *j->k_down);
    j->height_m = take(j, n, sizeof *j->height_m);
    j->low = take(j, nr, sizeof *j->low);
    j->top = take(j, nr, sizeof *j->top);
    j->depth_m = take(j, nr, sizeof *j->depth_m);
    bool ok = j->r_m && j->ring_m2 && j->z_m && j->radius_m && j->space && j->full_kg &&
              j->fill && j->k_out && j->k_down && j->height_m && j->low && j->top && j->depth_m;
    return ok ? EP_OK : EP_E_MEMORY;
}

static void place_faces(ep_jar *j, int n_wall)
{
    double min_m = 0.0, max_m = 0.0;
    const ep_vessel *v = &j->c->vessel;
    ep_vessel_width_range_m(v, ep_vessel_height_m(v), &min_m, &max_m);
    double dr_m = 0.5 * max_m / j->nr_in, dw_m = v->wall_m / n_wall;
    for (int i = 0; i <= j->nr; i++) {
        j->r_m[i] = i <= j->nr_in ? i * dr_m : 0.5 * max_m + (i - j->nr_in) * dw_m;
    }
    for (int i = 0; i < j->nr; i++) {
        j->ring_m2[i] = EP_PI * (j->r_m[i + 1] * j->r_m[i + 1] - j->r_m[i] * j->r_m[i]);
    }
    for (int k = 0; k <= j->nz; k++) {
        j->z_m[k] = k < j->n_base ? (k - j->n_base) * j->dz_base_m : (k - j->n_base) * j->dz_m;
    }
    for (int k = 0; k < j->nz; k++) {
        double mid_m = 0.5 * (j->z_m[k] + j->z_m[k + 1]);
        j->radius_m[k] = ep_vessel_radius_m(v, fmax(mid_m, 0.0));
    }
}

// one row: wax space inside, wall cells outside, each scaled to the exact area of the profile
static void fill_row(ep_jar *j, int k)
{
    const ep_vessel *v = &j->c->vessel;
    const double inner_m = j->radius_m[k], outer_m = inner_m + v->wall_m;
    double wax_m2 = 0.0, wall_m2 = 0.0;
    int first_wall = -1;
    for (int i = 0; i < j->nr; i++) {
        double mid_m = 0.5 * (j->r_m[i] + j->r_m[i + 1]);
        size_t cell = ep_at(j->f, i, k);
        bool inside = mid_m < inner_m && i < j->nr_in && k >= j->n_base;
        bool solid = !inside && (mid_m < outer_m || first_wall < 0);
        j->space[cell] = inside ? JAR_WAX_SPACE : (solid ? JAR_WALL : JAR_OUTSIDE);
        first_wall = solid && first_wall < 0 ? i : first_wall;
        wax_m2 += inside ? j->ring_m2[i] : 0.0;
        wall_m2 += solid ? j->ring_m2[i] : 0.0;
    }
    double exact_wax_m2 = k >= j->n_base ? EP_PI * inner_m * inner_m : 0.0;
    double exact_wall_m2 = EP_PI * outer_m * outer_m - exact_wax_m2;
    const double rho_wax_kg_m3 = j->c->melt.rho_solid_kg_m3.value;
    const double rho_wall_kg_m3 = j->c->wall->prop[EP_CONTAINER_RHO].value;
    for (int i = 0; i < j->nr; i++) {
        size_t cell = ep_at(j->f, i, k);
        double volume_m3 = j->ring_m2[i] * ep_jar_dz_m(j, k);
        if (j->space[cell] == JAR_WAX_SPACE) {
            j->fill[cell] = exact_wax_m2 / wax_m2;
            j->full_kg[cell] = rho_wax_kg_m3 * volume_m3 * j->fill[cell];
        } else if (j->space[cell] == JAR_WALL) {
            j->fill[cell] = exact_wall_m2 / wall_m2;
            j->full_kg[cell] = rho_wall_kg_m3 * volume_m3 * j->fill[cell];
        }
    }
}

// pour: every wax cell below the fill line is full and cold
static void pour(ep_jar *j)
{
    const double cp_wall_J_kgK = j->c->wall->prop[EP_CONTAINER_CP].value;
    ep_field *f = j->f;
    for (int i = 0; i < j->nr; i++) {
        j->low[i] = j->nz;
        j->top[i] = -1;
        for (int k = 0; k < j->nz; k++) {
            size_t cell = ep_at(f, i, k);
            if (j->space[cell] == JAR_WALL) {
                f->mass[cell] = j->full_kg[cell] * cp_wall_J_kgK / f->law.cp_solid_J_kgK;
                ep_field_set_T(f, cell, j->c->ambient_C);
            } else if (j->space[cell] == JAR_WAX_SPACE) {
                j->low[i] = k < j->low[i] ? k : j->low[i];
                if (j->z_m[k] + 0.5 * j->dz_m < j->c->fill_height_m) {
                    f->wax[cell] = 1.0;
                    f->mass[cell] = j->full_kg[cell];
                    ep_field_set_T(f, cell, j->c->ambient_C);
                    j->top[i] = k;
                }
            }
        }
    }
}

ep_status ep_jar_create(const ep_burn_case *c, ep_jar **out)
{
    ep_jar *j = calloc(1, sizeof *j);
    if (!j) {
        return EP_E_MEMORY;
    }
    j->c = c;
    ep_arena_init(&j->arena);
    int n_wall = 0;
    count_cells(j, &n_wall);
    ep_enthalpy_law law = law_of(c);
    ep_status s = allocate(j);
    s = s == EP_OK ? ep_field_create(j->nr, j->nz, &law, &j->f) : s;
    if (s != EP_OK) {
        ep_jar_destroy(j);
        return s;
    }
    place_faces(j, n_wall);
    for (int k = 0; k < j->nz; k++) {
        fill_row(j, k);
    }
    pour(j);
    j->wall_mean_C = j->wall_outer_C = j->room_air_C = c->ambient_C;
    j->oxygen_frac = 0.232;
    j->start_kg = ep_jar_wax_kg(j);
    j->start_J = ep_field_energy_J(j->f);
    *out = j;
    return EP_OK;
}

void ep_jar_destroy(ep_jar *j)
{
    if (j) {
        ep_field_destroy(j->f);
        ep_arena_destroy(&j->arena);
        free(j);
    }
}

double ep_jar_top_height_m(const ep_jar *j, int i)
{
    size_t cell = ep_at(j->f, i, j->top[i]);
    return j->dz_m * j->f->mass[cell] / j->full_kg[cell];
}

double ep_jar_surface_m(const ep_jar *j, int i)
{
    return j->top[i] < j->low[i] ? j->z_m[j->low[i]] : j->z_m[j->top[i]] + ep_jar_top_height_m(j, i);
}

double ep_jar_liquid(const ep_jar *j, int i, int k)
{
    return ep_law_liquid_frac(&j->f->law, j->f->u[ep_at(j->f, i, k)]);
}

double ep_jar_wax_kg(const ep_jar *j)
{
    double sum_kg = 0.0;
    for (int i = 0; i < j->nr_in; i++) {
        for (int k = j->low[i]; k <= j->top[i]; k++) {
            sum_kg += j->f->mass[ep_at(j->f, i, k)];
        }
    }
    return sum_kg;
}
