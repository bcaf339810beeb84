// The plain case on rings: wax in an open-bottomed ring of wall, one disc in its middle. Boundary
// formulas: Eq. F5 in docs/physics/field.md.
#include <math.h>
#include <stdlib.h>

#include "burn/plain_int.h"

#define EP_PI 3.14159265358979323846

typedef struct ring_grid {
    int nr_wax, nr;
    double dr_wax_m, dr_wall_m, dz_m;
} ring_grid;

static int cells_for(double length_m, double cells_per_mm)
{
    int n = (int)lround(length_m * 1e3 * cells_per_mm);
    return n < 1 ? 1 : n;
}

static ring_grid make_grid(const ep_plain_case *c)
{
    ring_grid g = {.nr_wax = cells_for(c->wax_radius_m, c->cells_per_mm)};
    g.nr_wax = g.nr_wax < 2 ? 2 : g.nr_wax;
    g.dr_wax_m = c->wax_radius_m / g.nr_wax;
    int n_wall = c->wall_m > 0.0 ? cells_for(c->wall_m, c->cells_per_mm) : 0;
    g.dr_wall_m = n_wall ? c->wall_m / n_wall : 0.0;
    g.nr = g.nr_wax + n_wall;
    int nz = cells_for(c->wax_height_m, c->cells_per_mm);
    g.dz_m = c->wax_height_m / (nz < 2 ? 2 : nz);
    return g;
}

static double inner_face_m(const ring_grid *g, int i)
{
    return i <= g->nr_wax ? i * g->dr_wax_m
                          : g->nr_wax * g->dr_wax_m + (i - g->nr_wax) * g->dr_wall_m;
}

// mean flux on the top of ring i: what of it lies under the disc
static double flux_W_m2(const ep_plain_case *c, const ring_grid *g, int i)
{
    if (c->n_discs == 0 || !(c->disc[0].power_W > 0.0)) {
        return 0.0;
    }
    const double disc_m = c->disc[0].radius_m;
    double in_m = inner_face_m(g, i), out_m = inner_face_m(g, i + 1);
    double edge_m = fmin(fmax(disc_m, in_m), out_m);
    double share = (edge_m * edge_m - in_m * in_m) / (out_m * out_m - in_m * in_m);
    return c->disc[0].power_W / (EP_PI * disc_m * disc_m) * share;
}

static void set_column(const ep_plain_case *c, const ring_grid *g, ep_field *f, int i)
{
    const int wax = i < g->nr_wax;
    const double k_W_mK = wax ? c->k_W_mK : c->wall_k_W_mK;
    const double dr_m = wax ? g->dr_wax_m : g->dr_wall_m;
    const double in_m = inner_face_m(g, i), out_m = inner_face_m(g, i + 1);
    const double area_m2 = EP_PI * (out_m * out_m - in_m * in_m);
    const double heat_J_m3K =
        wax ? c->rho_kg_m3 * c->cp_J_kgK : c->wall_rho_kg_m3 * c->wall_cp_J_kgK;
    const double q_W_m2 = flux_W_m2(c, g, i);

    // radial conductance of the face to the next column, or of the outer film
    const int last = i == g->nr - 1;
    const double k_next = i + 1 < g->nr_wax ? c->k_W_mK : c->wall_k_W_mK;
    const double dr_next_m = i + 1 < g->nr_wax ? g->dr_wax_m : g->dr_wall_m;
    const double face_m2 = 2.0 * EP_PI * out_m * g->dz_m;
    const double g_side_W_K = last ? face_m2 / (dr_m / (2.0 * k_W_mK) + 1.0 / c->side_W_m2K)
                                   : face_m2 / (dr_m / (2.0 * k_W_mK) + dr_next_m / (2.0 * k_next));
    const double half_W_m2K = 2.0 * k_W_mK / g->dz_m;
    const double top_W_m2K = half_W_m2K * c->top_W_m2K / (half_W_m2K + c->top_W_m2K);
    const double base_W_m2K = half_W_m2K * c->base_W_m2K / (half_W_m2K + c->base_W_m2K);

    for (int k = 0; k < f->nz; k++) {
        size_t cell = ep_at(f, i, k);
        f->wax[cell] = wax;
        f->mass[cell] = area_m2 * g->dz_m * heat_J_m3K / f->law.cp_solid_J_kgK;
        f->G_x[cell] = last ? 0.0 : g_side_W_K;
        f->G_z[cell] = k + 1 < f->nz ? area_m2 * k_W_mK / g->dz_m : 0.0;
        f->G_out[cell] = last && c->side_W_m2K > 0.0 ? g_side_W_K : 0.0;
        f->G_out[cell] += k == 0 ? area_m2 * base_W_m2K : 0.0;
        f->G_out[cell] += k == f->nz - 1 ? area_m2 * top_W_m2K : 0.0;
        f->S[cell] = f->G_out[cell] * c->ambient_C;
        if (k == f->nz - 1) {
            f->S[cell] += area_m2 * q_W_m2 * half_W_m2K / (half_W_m2K + c->top_W_m2K);
        }
        ep_field_set_T(f, cell, c->start_C);
    }
}

// temperature of the top face of column i
static double surface_C(const ep_plain_case *c, const ring_grid *g, const ep_field *f, int i)
{
    double k_W_mK = i < g->nr_wax ? c->k_W_mK : c->wall_k_W_mK;
    double half_W_m2K = 2.0 * k_W_mK / g->dz_m;
    return (half_W_m2K * f->T[ep_at(f, i, f->nz - 1)] + c->top_W_m2K * c->ambient_C +
            flux_W_m2(c, g, i)) /
           (half_W_m2K + c->top_W_m2K);
}

static double melt_radius_m(const ep_plain_case *c, const ring_grid *g, const ep_field *f)
{
    const double level_C = plain_mid_C(&f->law);
    if (plain_sharp(&f->law)) {
        double sum_m2 = 0.0;
        for (int i = 0; i < g->nr_wax; i++) {
            double in_m = inner_face_m(g, i), out_m = inner_face_m(g, i + 1);
            sum_m2 += (out_m * out_m - in_m * in_m) *
                      ep_law_liquid_frac(&f->law, f->u[ep_at(f, i, f->nz - 1)]);
        }
        return sqrt(sum_m2);
    }
    double radius_m = 0.0;
    for (int i = 0; i < g->nr_wax; i++) {
        double here_C = surface_C(c, g, f, i);
        if (here_C < level_C) {
            if (i > 0) {
                double before_C = surface_C(c, g, f, i - 1);
                double at_m = (i - 0.5) * g->dr_wax_m;
                radius_m = at_m + (before_C - level_C) / (before_C - here_C) * g->dr_wax_m;
            }
            return radius_m;
        }
        radius_m = c->wax_radius_m;
    }
    return radius_m;
}

static double axis_C(const ep_field *f, int k)
{
    return (9.0 * f->T[ep_at(f, 0, k)] - f->T[ep_at(f, 1, k)]) / 8.0;
}

static double centre_C(const ep_plain_case *c, const ring_grid *g, const ep_field *f)
{
    return (9.0 * surface_C(c, g, f, 0) - surface_C(c, g, f, 1)) / 8.0;
}

static double melt_depth_m(const ep_plain_case *c, const ring_grid *g, const ep_field *f)
{
    const double level_C = plain_mid_C(&f->law);
    if (plain_sharp(&f->law)) {
        double depth_m = 0.0;
        for (int k = 0; k < f->nz; k++) {
            depth_m += g->dz_m * ep_law_liquid_frac(&f->law, f->u[ep_at(f, 0, k)]);
        }
        return depth_m;
    }
    double above_C = centre_C(c, g, f), above_m = 0.0;
    if (above_C < level_C) {
        return 0.0;
    }
    for (int k = f->nz - 1; k >= 0; k--) {
        double here_C = axis_C(f, k), here_m = (f->nz - 1 - k + 0.5) * g->dz_m;
        if (here_C < level_C) {
            return above_m + (above_C - level_C) / (above_C - here_C) * (here_m - above_m);
        }
        above_C = here_C;
        above_m = here_m;
    }
    return c->wax_height_m;
}

static double wall_max_C(const ep_plain_case *c, const ring_grid *g, const ep_field *f)
{
    const int i = g->nr - 1;
    const double k_W_mK = i < g->nr_wax ? c->k_W_mK : c->wall_k_W_mK;
    const double dr_m = i < g->nr_wax ? g->dr_wax_m : g->dr_wall_m;
    const double half_W_m2K = 2.0 * k_W_mK / dr_m;
    double worst_C = -1e9, last_C = 0.0, before_C = 0.0;
    for (int k = 0; k < f->nz; k++) {
        double face_C = (half_W_m2K * f->T[ep_at(f, i, k)] + c->side_W_m2K * c->ambient_C) /
                        (half_W_m2K + c->side_W_m2K);
        worst_C = fmax(worst_C, face_C);
        before_C = last_C;
        last_C = face_C;
    }
    // the rim itself lies half a cell above the last centre
    return fmax(worst_C, 1.5 * last_C - 0.5 * before_C);
}

static double melted_kg(const ring_grid *g, const ep_field *f)
{
    double sum_kg = 0.0;
    for (int i = 0; i < g->nr_wax; i++) {
        for (int k = 0; k < f->nz; k++) {
            size_t cell = ep_at(f, i, k);
            sum_kg += f->mass[cell] * ep_law_liquid_frac(&f->law, f->u[cell]);
        }
    }
    return sum_kg;
}

static void read_rings(const plain_body *b, ep_plain_answer *a)
{
    const ring_grid *g = b->grid;
    a->melt_radius_m = melt_radius_m(b->c, g, b->f);
    a->melt_depth_m = melt_depth_m(b->c, g, b->f);
    a->melted_kg = melted_kg(g, b->f);
    a->wall_max_C = wall_max_C(b->c, g, b->f);
    a->centre_C = centre_C(b->c, g, b->f);
}

static void destroy_rings(plain_body *b)
{
    ep_field_destroy(b->f);
    free(b->grid);
}

ep_status ep_plain_rings(const ep_plain_case *c, plain_body *b)
{
    ring_grid *g = malloc(sizeof *g);
    if (!g) {
        return EP_E_MEMORY;
    }
    *g = make_grid(c);
    *b = (plain_body){.c = c, .grid = g, .read = read_rings, .destroy = destroy_rings};
    ep_enthalpy_law law =
        ep_enthalpy_law_make(c->solidus_C, c->liquidus_C, c->cp_J_kgK, c->cp_J_kgK, c->latent_J_kg);
    ep_status s = ep_field_create(g->nr, 1, (int)lround(c->wax_height_m / g->dz_m), &law, &b->f);
    if (s != EP_OK) {
        free(g);
        return s;
    }
    for (int i = 0; i < g->nr; i++) {
        set_column(c, g, b->f, i);
    }
    ep_field_ready(b->f);
    return EP_OK;
}
