// Builds bare fields for problems with exact answers: a rod, rings, a cylinder. Included by the
// tests of the room and by bench/; everything is static.
#pragma once
#include <math.h>
#include <stdlib.h>

#include "burn/field.h"

#define GRID_PI 3.14159265358979323846

// the wax of the exact cases: the same in both phases
typedef struct grid_wax {
    double k_W_mK, rho_kg_m3, cp_J_kgK, latent_J_kg, solidus_C, liquidus_C;
} grid_wax;

// data of the two-phase, melting-range and line-source problems
static inline grid_wax grid_sharp_wax(void)
{
    return (grid_wax){0.2, 850.0, 2200.0, 180e3, 50.0, 50.0};
}

static inline grid_wax grid_range_wax(void)
{
    return (grid_wax){0.2, 850.0, 2200.0, 180e3, 46.0, 52.0};
}

static inline ep_field *grid_new(int nr, int nz, const grid_wax *w)
{
    ep_enthalpy_law law =
        ep_enthalpy_law_make(w->solidus_C, w->liquidus_C, w->cp_J_kgK, w->cp_J_kgK, w->latent_J_kg);
    ep_field *f = NULL;
    if (ep_field_create(nr, 1, nz, &law, &f) != EP_OK) {
        abort();
    }
    return f;
}

// film between a cell centre and a face held at T: adds to what the cell already has
static inline void grid_hold(ep_field *f, size_t cell, double W_K, double T_C)
{
    f->G_out[cell] += W_K;
    f->S[cell] += W_K * T_C;
}

// a rod of unit section along z, both ends held: n cells of dx
static inline ep_field *grid_rod(const grid_wax *w, int n, double dx_m, double start_C,
                                 double near_C, double far_C)
{
    ep_field *f = grid_new(1, n, w);
    for (int k = 0; k < n; k++) {
        size_t cell = ep_at(f, 0, k);
        f->wax[cell] = 1.0;
        f->mass[cell] = w->rho_kg_m3 * dx_m;
        f->G_z[cell] = k + 1 < n ? w->k_W_mK / dx_m : 0.0;
        ep_field_set_T(f, cell, start_C);
    }
    grid_hold(f, ep_at(f, 0, 0), 2.0 * w->k_W_mK / dx_m, near_C);
    grid_hold(f, ep_at(f, 0, n - 1), 2.0 * w->k_W_mK / dx_m, far_C);
    ep_field_ready(f);
    return f;
}

// melted length of a rod: the element-energy reading of the front (Voller and Cross 1981)
static inline double grid_rod_front_m(const ep_field *f, double dx_m)
{
    double sum_m = 0.0;
    for (int k = 0; k < f->nz; k++) {
        sum_m += dx_m * ep_law_liquid_frac(&f->law, f->u[ep_at(f, 0, k)]);
    }
    return sum_m;
}

// where the rod passes a temperature, by straight lines between cell centres
static inline double grid_rod_isotherm_m(const ep_field *f, double dx_m, double T_C)
{
    for (int k = 0; k + 1 < f->nz; k++) {
        double a_C = f->T[ep_at(f, 0, k)], b_C = f->T[ep_at(f, 0, k + 1)];
        if (a_C >= T_C && b_C < T_C) {
            return dx_m * (k + 0.5 + (a_C - T_C) / (a_C - b_C));
        }
    }
    return (double)NAN;
}

// rings from the axis (or a hole) outward, one row a metre high, equal material
static inline ep_field *grid_rings(const grid_wax *w, int n, double hole_m, double dr_m,
                                   double start_C)
{
    ep_field *f = grid_new(n, 1, w);
    for (int i = 0; i < n; i++) {
        size_t cell = ep_at(f, i, 0);
        double in_m = hole_m + i * dr_m, out_m = in_m + dr_m;
        f->wax[cell] = 1.0;
        f->mass[cell] = w->rho_kg_m3 * GRID_PI * (out_m * out_m - in_m * in_m);
        f->G_x[cell] = i + 1 < n ? 2.0 * GRID_PI * out_m * w->k_W_mK / dr_m : 0.0;
        ep_field_set_T(f, cell, start_C);
    }
    return f;
}

// radius of the circle that holds the melted area
static inline double grid_rings_front_m(const ep_field *f, double dr_m)
{
    double sum_m2 = 0.0;
    for (int i = 0; i < f->nx; i++) {
        double in_m = i * dr_m, out_m = in_m + dr_m;
        sum_m2 += (out_m * out_m - in_m * in_m) * ep_law_liquid_frac(&f->law, f->u[ep_at(f, i, 0)]);
    }
    return sqrt(sum_m2);
}

// conductance of half a cell and a film in series
static inline double grid_film_W_K(double area_m2, double half_m, double k_W_mK, double h_W_m2K)
{
    return area_m2 / (half_m / k_W_mK + 1.0 / h_W_m2K);
}

// a whole cylinder with one film all round (h = 0: insulated)
static inline ep_field *grid_cylinder(const grid_wax *w, int nr, int nz, double radius_m,
                                      double height_m, double start_C, double h_W_m2K,
                                      double room_C)
{
    ep_field *f = grid_new(nr, nz, w);
    double dr_m = radius_m / nr, dz_m = height_m / nz;
    for (int i = 0; i < nr; i++) {
        double area_m2 = GRID_PI * dr_m * dr_m * (2 * i + 1);
        double face_m2 = 2.0 * GRID_PI * dr_m * (i + 1) * dz_m;
        for (int k = 0; k < nz; k++) {
            size_t cell = ep_at(f, i, k);
            f->wax[cell] = 1.0;
            f->mass[cell] = w->rho_kg_m3 * area_m2 * dz_m;
            f->G_x[cell] = i + 1 < nr ? face_m2 * w->k_W_mK / dr_m : 0.0;
            f->G_z[cell] = k + 1 < nz ? area_m2 * w->k_W_mK / dz_m : 0.0;
            ep_field_set_T(f, cell, start_C);
            if (h_W_m2K > 0.0 && i + 1 == nr) {
                grid_hold(f, cell, grid_film_W_K(face_m2, dr_m / 2, w->k_W_mK, h_W_m2K), room_C);
            }
            if (h_W_m2K > 0.0 && (k == 0 || k + 1 == nz)) {
                grid_hold(f, cell, grid_film_W_K(area_m2, dz_m / 2, w->k_W_mK, h_W_m2K), room_C);
            }
        }
    }
    ep_field_ready(f);
    return f;
}

// residual of the energy balance since the start, as a share of all that flowed
static inline double grid_ledger(const ep_field *f, double start_J)
{
    return fabs(ep_field_energy_J(f) - start_J - f->in_J) / fmax(f->through_J, 1e-300);
}
