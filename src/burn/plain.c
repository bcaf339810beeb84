// The plain case on the shared field. Boundary formulas: Eq. F5 in docs/physics/field.md.
#include "burn/plain.h"

#include <math.h>
#include <time.h>

#include "base/units.h"
#include "burn/field.h"

#define EP_PI 3.14159265358979323846

typedef struct plain_grid {
    int nr_wax, nr;
    double dr_wax_m, dr_wall_m, dz_m;
} plain_grid;

static ep_status in_range(double value, double lo, double hi, const char *field, ep_err *err)
{
    return ep_range_check(value, lo, hi, EP_U_NONE, field, err);
}

static ep_status check_wall(const ep_plain_case *c, ep_err *err)
{
    ep_status s = in_range(c->wall_m, 0.0, 0.05, "wall.thickness_m", err);
    if (s == EP_OK && c->wall_m > 0.0) {
        s = in_range(c->wall_m, 1e-4, 0.05, "wall.thickness_m", err);
        s = s == EP_OK ? in_range(c->wall_k_W_mK, 0.01, 500.0, "wall.k_W_mK", err) : s;
        s = s == EP_OK ? in_range(c->wall_rho_kg_m3, 10.0, 2e4, "wall.rho_kg_m3", err) : s;
        s = s == EP_OK ? in_range(c->wall_cp_J_kgK, 50.0, 1e4, "wall.cp_J_kgK", err) : s;
    }
    return s;
}

static ep_status check_hours(const ep_plain_case *c, ep_err *err)
{
    if (c->n_hours < 1 || c->n_hours > EP_PLAIN_MAX_HOURS) {
        return ep_err_set(err, EP_E_ARG, "hours", "hours: %d values; 1 to %d are possible",
                          c->n_hours, EP_PLAIN_MAX_HOURS);
    }
    double last_h = 0.0;
    for (int i = 0; i < c->n_hours; i++) {
        ep_status s = in_range(c->hour[i], 1e-3, 100.0, "hours", err);
        if (s != EP_OK) {
            return s;
        }
        if (!(c->hour[i] > last_h)) {
            return ep_err_set(err, EP_E_ARG, "hours", "hours: %g does not rise above %g",
                              c->hour[i], last_h);
        }
        last_h = c->hour[i];
    }
    return EP_OK;
}

ep_status ep_plain_check(const ep_plain_case *c, ep_err *err)
{
    const struct {
        double value, lo, hi;
        const char *field;
    } row[] = {
        {c->wax_radius_m, 0.002, 0.5, "wax.radius_m"},
        {c->wax_height_m, 0.002, 0.5, "wax.height_m"},
        {c->k_W_mK, 0.01, 100.0, "wax.k_W_mK"},
        {c->rho_kg_m3, 10.0, 2e4, "wax.rho_kg_m3"},
        {c->cp_J_kgK, 50.0, 2e4, "wax.cp_J_kgK"},
        {c->latent_J_kg, 0.0, 1e6, "wax.latent_J_kg"},
        {c->solidus_C, -50.0, 400.0, "wax.solidus_C"},
        {c->liquidus_C, c->solidus_C, 400.0, "wax.liquidus_C"},
        {c->disc_radius_m, 0.0, c->wax_radius_m, "heat.disc_radius_m"},
        {c->power_W, 0.0, 1000.0, "heat.power_W"},
        {c->top_W_m2K, 0.0, 1e4, "film.top_W_m2K"},
        {c->side_W_m2K, 0.0, 1e4, "film.side_W_m2K"},
        {c->base_W_m2K, 0.0, 1e4, "film.base_W_m2K"},
        {c->ambient_C, -100.0, 400.0, "film.ambient_C"},
        {c->start_C, -100.0, 400.0, "start_C"},
        {c->cells_per_mm, 0.1, 8.0, "cells_per_mm"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        ep_status s = in_range(row[i].value, row[i].lo, row[i].hi, row[i].field, err);
        if (s != EP_OK) {
            return s;
        }
    }
    if (c->power_W > 0.0 && !(c->disc_radius_m > 0.0)) {
        return ep_err_set(err, EP_E_ARG, "heat.disc_radius_m",
                          "heat.disc_radius_m: 0 cannot carry %g W; it must be above 0",
                          c->power_W);
    }
    double cells =
        (c->wax_radius_m + c->wall_m) * c->wax_height_m * 1e6 * c->cells_per_mm * c->cells_per_mm;
    if (cells > 4e6) {
        return ep_err_set(err, EP_E_ARG, "cells_per_mm",
                          "cells_per_mm: %g makes %.0f cells; at most 4000000", c->cells_per_mm,
                          cells);
    }
    ep_status s = check_wall(c, err);
    return s == EP_OK ? check_hours(c, err) : s;
}

static int cells_for(double length_m, double cells_per_mm)
{
    int n = (int)lround(length_m * 1e3 * cells_per_mm);
    return n < 1 ? 1 : n;
}

static plain_grid make_grid(const ep_plain_case *c)
{
    plain_grid g = {.nr_wax = cells_for(c->wax_radius_m, c->cells_per_mm)};
    g.nr_wax = g.nr_wax < 2 ? 2 : g.nr_wax;
    g.dr_wax_m = c->wax_radius_m / g.nr_wax;
    int n_wall = c->wall_m > 0.0 ? cells_for(c->wall_m, c->cells_per_mm) : 0;
    g.dr_wall_m = n_wall ? c->wall_m / n_wall : 0.0;
    g.nr = g.nr_wax + n_wall;
    int nz = cells_for(c->wax_height_m, c->cells_per_mm);
    g.dz_m = c->wax_height_m / (nz < 2 ? 2 : nz);
    return g;
}

static double inner_face_m(const plain_grid *g, int i)
{
    return i <= g->nr_wax ? i * g->dr_wax_m
                          : g->nr_wax * g->dr_wax_m + (i - g->nr_wax) * g->dr_wall_m;
}

// share of ring i that lies under the disc
static double disc_share(const plain_grid *g, int i, double disc_m)
{
    double in_m = inner_face_m(g, i), out_m = inner_face_m(g, i + 1);
    double edge_m = fmin(fmax(disc_m, in_m), out_m);
    return (edge_m * edge_m - in_m * in_m) / (out_m * out_m - in_m * in_m);
}

static void set_column(const ep_plain_case *c, const plain_grid *g, ep_field *f, int i)
{
    const int wax = i < g->nr_wax;
    const double k_W_mK = wax ? c->k_W_mK : c->wall_k_W_mK;
    const double dr_m = wax ? g->dr_wax_m : g->dr_wall_m;
    const double in_m = inner_face_m(g, i), out_m = inner_face_m(g, i + 1);
    const double area_m2 = EP_PI * (out_m * out_m - in_m * in_m);
    const double heat_J_m3K =
        wax ? c->rho_kg_m3 * c->cp_J_kgK : c->wall_rho_kg_m3 * c->wall_cp_J_kgK;
    const double q_W_m2 = c->power_W > 0.0
                              ? c->power_W / (EP_PI * c->disc_radius_m * c->disc_radius_m) *
                                    disc_share(g, i, c->disc_radius_m)
                              : 0.0;

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
static double surface_C(const ep_plain_case *c, const plain_grid *g, const ep_field *f, int i)
{
    double k_W_mK = i < g->nr_wax ? c->k_W_mK : c->wall_k_W_mK;
    double half_W_m2K = 2.0 * k_W_mK / g->dz_m;
    double q_W_m2 = 0.0;
    if (c->power_W > 0.0) {
        q_W_m2 = c->power_W / (EP_PI * c->disc_radius_m * c->disc_radius_m) *
                 disc_share(g, i, c->disc_radius_m);
    }
    return (half_W_m2K * f->T[ep_at(f, i, f->nz - 1)] + c->top_W_m2K * c->ambient_C + q_W_m2) /
           (half_W_m2K + c->top_W_m2K);
}

static double mid_C(const ep_enthalpy_law *law)
{
    return 0.5 * (law->solidus_C + law->liquidus_C);
}

// a range too narrow for isotherms: read the front as melted area (element energy), Crank 1984
static int sharp(const ep_enthalpy_law *law)
{
    return law->liquidus_C - law->solidus_C < 0.5;
}

static double melt_radius_m(const ep_plain_case *c, const plain_grid *g, const ep_field *f)
{
    const double level_C = mid_C(&f->law);
    if (sharp(&f->law)) {
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

static double centre_C(const ep_plain_case *c, const plain_grid *g, const ep_field *f)
{
    return (9.0 * surface_C(c, g, f, 0) - surface_C(c, g, f, 1)) / 8.0;
}

static double melt_depth_m(const ep_plain_case *c, const plain_grid *g, const ep_field *f)
{
    const double level_C = mid_C(&f->law);
    if (sharp(&f->law)) {
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

static double wall_max_C(const ep_plain_case *c, const plain_grid *g, const ep_field *f)
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

static double melted_kg(const plain_grid *g, const ep_field *f)
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

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

// steps grow with time: short while the own transient of the disc runs, later on five minutes for
// each millimetre of a cell, so that time and space err alike
static double next_step_s(double t_s, double end_s, double cells_per_mm)
{
    double longest_s = fmin(300.0 / cells_per_mm, 400.0);
    double tau_s = fmin(fmax(0.2 * t_s, 2.0), longest_s);
    double left_s = end_s - t_s;
    return left_s < 1.5 * tau_s ? left_s : tau_s;
}

ep_status ep_plain_run(const ep_plain_case *c, ep_plain_answer *answer, double *seconds,
                       ep_err *err)
{
    ep_status s = ep_plain_check(c, err);
    if (s != EP_OK) {
        return s;
    }
    plain_grid g = make_grid(c);
    ep_enthalpy_law law =
        ep_enthalpy_law_make(c->solidus_C, c->liquidus_C, c->cp_J_kgK, c->cp_J_kgK, c->latent_J_kg);
    ep_field *f = NULL;
    s = ep_field_create(g.nr, 1, (int)lround(c->wax_height_m / g.dz_m), &law, &f);
    if (s != EP_OK) {
        return ep_err_set(err, s, "cells_per_mm",
                          "cells_per_mm: %g needs more memory than there is", c->cells_per_mm);
    }
    for (int i = 0; i < g.nr; i++) {
        set_column(c, &g, f, i);
    }
    ep_field_ready(f);

    const double start_s = now_s(), start_J = ep_field_energy_J(f);
    double t_s = 0.0;
    for (int n = 0; n < c->n_hours; n++) {
        const double end_s = c->hour[n] * 3600.0;
        while (t_s < end_s) {
            double tau_s = next_step_s(t_s, end_s, c->cells_per_mm);
            ep_field_step(f, tau_s);
            t_s = t_s + tau_s >= end_s - 1e-9 ? end_s : t_s + tau_s;
        }
        double stored_J = ep_field_energy_J(f) - start_J;
        answer[n] = (ep_plain_answer){
            .hour = c->hour[n],
            .melt_radius_m = melt_radius_m(c, &g, f),
            .melt_depth_m = melt_depth_m(c, &g, f),
            .melted_kg = melted_kg(&g, f),
            .wall_max_C = wall_max_C(c, &g, f),
            .centre_C = centre_C(c, &g, f),
            .stored_J = stored_J,
            .ledger = f->through_J > 0.0 ? fabs(stored_J - f->in_J) / f->through_J : 0.0,
        };
    }
    if (seconds) {
        *seconds = now_s() - start_s;
    }
    ep_field_destroy(f);
    return EP_OK;
}
