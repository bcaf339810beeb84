// The vessel and its wax on the columns. See docs/physics/burn.md, section on the grid.
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

static ep_enthalpy_law law_of(const ep_burn_case *c)
{
    const ep_melt *m = &c->melt;
    double shift_K = c->factors.f[EP_UNC_MELT_POINT];
    return ep_enthalpy_law_make(m->solidus_K.value - 273.15 + shift_K,
                                m->liquidus_K.value - 273.15 + shift_K, m->cp_solid_J_kgK.value,
                                m->cp_liquid_J_kgK.value,
                                m->latent_J_kg.value * c->factors.f[EP_UNC_LATENT]);
}

static double row_mid_m(const ep_jar *j, int k)
{
    return ep_max(0.0, 0.5 * (j->z_m[k] + j->z_m[k + 1]));
}

// row of the largest inner width among rows from..to, both included
static int widest_row(const ep_jar *j, int from, int to)
{
    int best = from;
    for (int k = from; k <= to; k++) {
        best = j->inner_m[k] > j->inner_m[best] ? k : best;
    }
    return best;
}

// A column has one stretch of wax space. A row narrower than what lies below and above it (a waist,
// or a slip of the tape) therefore takes the outline of the narrower of those two, and its own true
// area by way of `fill`.
static void lay_outlines(ep_jar *j)
{
    for (int k = 0; k < j->nz; k++) {
        int row = k;
        if (k > j->n_base && k + 1 < j->nz) {
            int below = widest_row(j, j->n_base, k - 1), above = widest_row(j, k + 1, j->nz - 1);
            int less = j->inner_m[below] < j->inner_m[above] ? below : above;
            row = j->inner_m[less] > j->inner_m[k] ? less : k;
        }
        j->outline_m[k] = row_mid_m(j, row);
    }
}

// rows: the base, then wax rows that meet the fill line exactly, then the freeboard up to the brim
static ep_status lay_rows(ep_jar *j)
{
    const ep_burn_case *c = j->c;
    const double brim_m = ep_vessel_height_m(&c->vessel);
    int n_fill = at_least((int)lround(c->fill_height_m / c->grid_m), 4);
    j->dz_m = c->fill_height_m / n_fill;
    j->n_base = at_least((int)lround(c->vessel.base_m / c->grid_m), 1);
    j->dz_base_m = c->vessel.base_m / j->n_base;
    j->nz = j->n_base + n_fill + at_least((int)lround((brim_m - c->fill_height_m) / j->dz_m), 1);
    size_t rows = (size_t)j->nz;
    j->z_m = ep_arena_alloc(&j->arena, rows + 1, sizeof *j->z_m);
    j->inner_m = ep_arena_alloc(&j->arena, rows, sizeof *j->inner_m);
    j->outline_m = ep_arena_alloc(&j->arena, rows, sizeof *j->outline_m);
    j->contact = ep_arena_alloc(&j->arena, rows, sizeof *j->contact);
    j->outer_m2 = ep_arena_alloc(&j->arena, rows, sizeof *j->outer_m2);
    if (!j->z_m || !j->inner_m || !j->outline_m || !j->contact || !j->outer_m2) {
        return EP_E_MEMORY;
    }
    for (int k = 0; k <= j->nz; k++) {
        j->z_m[k] = k < j->n_base ? (k - j->n_base) * j->dz_base_m : (k - j->n_base) * j->dz_m;
    }
    for (int k = 0; k < j->nz; k++) {
        j->inner_m[k] = ep_vessel_radius_m(&c->vessel, row_mid_m(j, k));
    }
    lay_outlines(j);
    return EP_OK;
}

static ep_status take_cells(ep_jar *j)
{
    const size_t n = j->f->n;
    j->space = ep_arena_alloc(&j->arena, n, sizeof *j->space);
    double **list[] = {&j->full_kg, &j->fill, &j->k_out, &j->k_down, &j->height_m};
    bool ok = j->space != NULL;
    for (size_t a = 0; a < sizeof list / sizeof *list; a++) {
        *list[a] = ep_arena_alloc(&j->arena, n, sizeof(double));
        ok = ok && *list[a];
    }
    return ok ? EP_OK : EP_E_MEMORY;
}

// what a cell is, by the distance of its middle to the inner wall
static unsigned char space_of(const ep_jar *j, int column, int k)
{
    const ep_vessel *v = &j->c->vessel;
    double gap_m = ep_vessel_gap_m(v, j->outline_m[k], j->x_m[column], j->y_m[column]);
    if (gap_m > 0.0) {
        return k >= j->n_base ? JAR_WAX_SPACE : JAR_WALL;
    }
    return gap_m > -v->wall_m ? JAR_WALL : JAR_OUTSIDE;
}

// a wall thinner than a cell must still stand between wax space and outside
static void close_wall(ep_jar *j, int k)
{
    for (int c = 0; c < j->n_columns; c++) {
        if (j->space[ep_at(j->f, c, k)] != JAR_OUTSIDE) {
            continue;
        }
        for (int side = 0; side < SIDES; side++) {
            int beside = ep_jar_beside(j, c, side);
            if (beside >= 0 && j->space[ep_at(j->f, beside, k)] == JAR_WAX_SPACE) {
                j->space[ep_at(j->f, c, k)] = JAR_WALL;
            }
        }
    }
}

// the vessel's own plan areas at a row, m2: inside, and outer less inside; of the part
static void exact_areas(const ep_jar *j, int k, double *wax_m2, double *wall_m2)
{
    const ep_vessel *v = &j->c->vessel;
    // a row of wax holds the vessel's own volume, also where the wall bends within it
    const double inner_m2 = ep_vessel_mean_area_m2(v, j->z_m[k], j->z_m[k + 1]);
    // a wall of even thickness t round an outline of perimeter P: P t + pi t^2 (Steiner)
    double length_m = 2.0 * j->inner_m[k];
    double ring_m2 =
        ep_vessel_plan_perimeter(v) * length_m * v->wall_m + EP_PI * v->wall_m * v->wall_m;
    bool base = k < j->n_base;
    *wax_m2 = base ? 0.0 : inner_m2 / j->copies;
    *wall_m2 = (ring_m2 + (base ? inner_m2 : 0.0)) / j->copies;
}

static void fill_row(ep_jar *j, int k)
{
    double grid_wax_m2 = 0.0, grid_wall_m2 = 0.0, wax_m2 = 0.0, wall_m2 = 0.0;
    for (int c = 0; c < j->n_columns; c++) {
        j->space[ep_at(j->f, c, k)] = space_of(j, c, k);
    }
    close_wall(j, k);
    for (int c = 0; c < j->n_columns; c++) {
        unsigned char space = j->space[ep_at(j->f, c, k)];
        grid_wax_m2 += space == JAR_WAX_SPACE ? j->area_m2[c] : 0.0;
        grid_wall_m2 += space == JAR_WALL ? j->area_m2[c] : 0.0;
    }
    exact_areas(j, k, &wax_m2, &wall_m2);
    const double rho_wax_kg_m3 = j->c->melt.rho_solid_kg_m3.value;
    const double rho_wall_kg_m3 = j->c->wall->prop[EP_CONTAINER_RHO].value;
    for (int c = 0; c < j->n_columns; c++) {
        size_t cell = ep_at(j->f, c, k);
        bool wax = j->space[cell] == JAR_WAX_SPACE;
        if (j->space[cell] != JAR_OUTSIDE) {
            j->fill[cell] = wax ? wax_m2 / grid_wax_m2 : wall_m2 / grid_wall_m2;
            j->full_kg[cell] = (wax ? rho_wax_kg_m3 : rho_wall_kg_m3) * j->area_m2[c] *
                               ep_jar_dz_m(j, k) * j->fill[cell];
        }
    }
}

// a staircase is longer than the wall it stands for: scales for inner and outer faces of the row
static void scale_faces(ep_jar *j, int k)
{
    const ep_vessel *v = &j->c->vessel;
    double inner_m = 0.0, outer_m = 0.0;
    for (int c = 0; c < j->n_columns; c++) {
        if (j->space[ep_at(j->f, c, k)] != JAR_WALL) {
            continue;
        }
        for (int side = 0; side < SIDES; side++) {
            int beside = ep_jar_beside(j, c, side);
            double face_m = ep_jar_face_m(j, c, side);
            unsigned char next = beside >= 0 ? j->space[ep_at(j->f, beside, k)] : JAR_OUTSIDE;
            // a mirror plane is no face of the jar: it lies on the minus side of the first column
            bool plane = beside < 0 && (side == SIDE_MINUS_X || side == SIDE_MINUS_Y);
            inner_m += next == JAR_WAX_SPACE ? face_m : 0.0;
            outer_m += next == JAR_OUTSIDE && !plane ? face_m : 0.0;
        }
    }
    double length_m = 2.0 * j->inner_m[k];
    double exact_inner_m = ep_vessel_plan_perimeter(v) * length_m / j->copies;
    double exact_outer_m =
        (ep_vessel_plan_perimeter(v) * length_m + 2.0 * EP_PI * v->wall_m) / j->copies;
    j->contact[k] = inner_m > 0.0 ? exact_inner_m / inner_m : 1.0;
    j->outer_m2[k] = outer_m > 0.0 ? exact_outer_m / outer_m : 1.0;
}

// pour: every wax cell below the fill line is full and cold
static void pour(ep_jar *j)
{
    const double cp_wall_J_kgK = j->c->wall->prop[EP_CONTAINER_CP].value;
    ep_field *f = j->f;
    for (int c = 0; c < j->n_columns; c++) {
        j->low[c] = j->nz;
        j->top[c] = j->high[c] = -1;
        j->pool[c] = -1;
        for (int k = 0; k < j->nz; k++) {
            size_t cell = ep_at(f, c, k);
            if (j->space[cell] == JAR_WALL) {
                f->mass[cell] = j->full_kg[cell] * cp_wall_J_kgK / f->law.cp_solid_J_kgK;
                ep_field_set_T(f, cell, j->c->ambient_C);
            } else if (j->space[cell] == JAR_WAX_SPACE) {
                j->low[c] = k < j->low[c] ? k : j->low[c];
                j->high[c] = k;
                if (j->z_m[k] + 0.5 * j->dz_m < j->c->fill_height_m) {
                    f->wax[cell] = 1.0;
                    f->mass[cell] = j->full_kg[cell];
                    ep_field_set_T(f, cell, j->c->ambient_C);
                    j->top[c] = k;
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
    ep_enthalpy_law law = law_of(c);
    ep_status s = ep_jar_lay_columns(j);
    s = s == EP_OK ? lay_rows(j) : s;
    s = s == EP_OK ? ep_field_create(j->nx, j->ny, j->nz, &law, &j->f) : s;
    s = s == EP_OK ? take_cells(j) : s;
    if (s != EP_OK) {
        ep_jar_destroy(j);
        return s;
    }
    for (int k = 0; k < j->nz; k++) {
        fill_row(j, k);
        scale_faces(j, k);
    }
    s = ep_jar_lay_faces(j);
    if (s != EP_OK) {
        ep_jar_destroy(j);
        return s;
    }
    pour(j);
    s = ep_jar_lay_feet(j);
    if (s != EP_OK) {
        ep_jar_destroy(j);
        return s;
    }
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

double ep_jar_top_height_m(const ep_jar *j, int column)
{
    size_t cell = ep_at(j->f, column, j->top[column]);
    return j->dz_m * j->f->mass[cell] / j->full_kg[cell];
}

double ep_jar_surface_m(const ep_jar *j, int column)
{
    return ep_jar_has_wax(j, column) ? j->z_m[j->top[column]] + ep_jar_top_height_m(j, column)
                                     : j->z_m[j->low[column]];
}

double ep_jar_liquid(const ep_jar *j, int column, int k)
{
    return ep_law_liquid_frac(&j->f->law, j->f->u[ep_at(j->f, column, k)]);
}

double ep_jar_wax_kg(const ep_jar *j)
{
    double sum_kg = 0.0;
    for (int c = 0; c < j->n_columns; c++) {
        for (int k = j->low[c]; k <= j->top[c]; k++) {
            sum_kg += j->f->mass[ep_at(j->f, c, k)];
        }
    }
    return sum_kg;
}

bool ep_jar_lit(const ep_jar *j)
{
    for (int w = 0; w < j->n_wicks; w++) {
        if (j->wick[w].lit) {
            return true;
        }
    }
    return false;
}
