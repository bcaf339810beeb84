// The wall treated apart from the wax (Eq. F10): long steps against short plain explicit ones, on
// walls that are thin and quick, thick and slow, upright, with a base, and leaning.
#include <stdbool.h>
#include <stdio.h>

#include "grid.h"

#include "../base/check.h"

static const double CELL_M = 2e-3, ROOM_C = 21.0;
enum { NX = 16, NZ = 20 };

typedef struct wall_case {
    const char *name;
    double k_W_mK, heat_J_m3K;
    double thick_m;     // of one column of wall
    int columns, base;  // of wall: columns at the rim, rows under the wax
    int lean;           // rows after which the wall stands a column further out, 0 = upright
} wall_case;

static const wall_case WALL[] = {
    {"tin, upright", 55.0, 7850.0 * 470.0, 0.25e-3, 1, 0, 0},
    {"tin, with a base", 55.0, 7850.0 * 470.0, 0.25e-3, 1, 1, 0},
    {"aluminium, two cells thick, with a base", 200.0, 2700.0 * 900.0, 0.7e-3, 2, 2, 0},
    {"glass, three cells thick", 1.0, 2500.0 * 800.0, 1e-3, 3, 0, 0},
    {"aluminium, leaning, with a base", 200.0, 2700.0 * 900.0, 0.7e-3, 2, 2, 8},
};
enum { WALLS = sizeof WALL / sizeof *WALL };

// first column of wall in a row
static int wall_from(const wall_case *w, int k)
{
    return NX - w->columns - (w->lean > 0 ? (NZ - 1 - k) / w->lean : 0);
}

static bool is_wall(const wall_case *w, int i, int k)
{
    return k < w->base || i >= wall_from(w, k);
}

static bool is_there(const wall_case *w, int i, int k)
{
    return i < wall_from(w, k) + w->columns;
}

static double wide_m(const wall_case *w, int i, int k)
{
    return is_wall(w, i, k) && k >= w->base ? w->thick_m : CELL_M;
}

// conductance of the face between two cells, each half its own
static double between_W_K(const wall_case *w, double area_m2, int i, int k, int i2, int k2)
{
    double half = is_wall(w, i, k) ? w->k_W_mK : 0.2, half2 = is_wall(w, i2, k2) ? w->k_W_mK : 0.2;
    double len = i2 > i ? wide_m(w, i, k) : CELL_M, len2 = i2 > i ? wide_m(w, i2, k2) : CELL_M;
    return area_m2 / (0.5 * len / half + 0.5 * len2 / half2);
}

// wax heated on top in the middle, with film on every outer face
static ep_field *make(const wall_case *w)
{
    grid_wax wax = grid_range_wax();
    ep_field *f = grid_new(NX, NZ, &wax);
    for (int i = 0; i < NX; i++) {
        for (int k = 0; k < NZ; k++) {
            if (!is_there(w, i, k)) {
                continue;
            }
            const size_t c = ep_at(f, i, k);
            const bool wall = is_wall(w, i, k);
            const double radius_m = (i + 0.5) * CELL_M;
            const double top_m2 = 2.0 * GRID_PI * radius_m * wide_m(w, i, k);
            const double side_m2 = 2.0 * GRID_PI * (radius_m + 0.5 * CELL_M) * CELL_M;
            f->wax[c] = wall ? 0.0 : 1.0;
            f->mass[c] = top_m2 * CELL_M * (wall ? w->heat_J_m3K / wax.cp_J_kgK : wax.rho_kg_m3);
            const bool beside = i + 1 < NX && is_there(w, i + 1, k);
            const bool above = k + 1 < NZ && is_there(w, i, k + 1);
            f->G_x[c] = beside ? between_W_K(w, side_m2, i, k, i + 1, k) : 0.0;
            f->G_z[c] = above ? between_W_K(w, top_m2, i, k, i, k + 1) : 0.0;
            ep_field_set_T(f, c, ROOM_C);
            grid_hold(f, c, 9.0 * ((beside ? 0.0 : side_m2) + (above ? 0.0 : top_m2)), ROOM_C);
            if (k == NZ - 1 && i < 3) {
                f->S[c] += 1.5 * top_m2 / (GRID_PI * 36.0 * 1e-6);
            }
        }
    }
    ep_field_ready(f);
    return f;
}

static void run(ep_field *f, double end_s, double tau_s)
{
    for (int n = 0; n < (int)lround(end_s / tau_s); n++) {
        ep_field_step(f, tau_s);
    }
}

static double apart_K(const ep_field *a, const ep_field *b)
{
    double worst = 0.0;
    for (size_t c = 0; c < a->n; c++) {
        worst = a->mass[c] > 0.0 ? fmax(worst, fabs(a->T[c] - b->T[c])) : worst;
    }
    return worst;
}

// an explicit step in three stages: the plain field, no wall apart
static double short_step_s(const ep_field *f, double end_s)
{
    return end_s / ceil(end_s / (2.0 * ep_field_explicit_step_s(f)));
}

static void long_steps(void **state)
{
    (void)state;
    const double end_s = 3600.0, WITHIN_K[] = {0.3, 0.1, 0.015};
    for (int n = 0; n < WALLS; n++) {
        ep_field *fine = make(&WALL[n]);
        double start_J = ep_field_energy_J(fine);
        run(fine, end_s, short_step_s(fine, end_s));
        double off_K[3];
        for (int t = 0; t < 3; t++) {
            const double tau_s = 120.0 / (1 << t);
            ep_field *f = make(&WALL[n]);
            run(f, end_s, tau_s);
            off_K[t] = apart_K(f, fine);
            // RKL2 on all cells would need this many
            double plain = (end_s / tau_s) * 2.0 * sqrt(tau_s / ep_field_explicit_step_s(f));
            printf("%s, steps of %g s: off %.4f K, %ld stages for %.0f, ledger %.1e\n",
                   WALL[n].name, tau_s, off_K[t], f->stages, plain, grid_ledger(f, start_J));
            assert_true(grid_ledger(f, start_J) <= 1e-12);
            assert_true((double)f->stages < 0.7 * plain);
            assert_true(off_K[t] <= WITHIN_K[t]);
            ep_field_destroy(f);
        }
        // second order in time
        assert_true(off_K[0] / off_K[2] > 12.0);
        ep_field_destroy(fine);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(long_steps)};
    return cmocka_run_group_tests_name("wall", tests, NULL, NULL);
}
