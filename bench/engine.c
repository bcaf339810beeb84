// What the engine costs: whole lives, first sessions, ensembles, the plain cup, the kernel itself.
// Prints one CSV line per measurement: what, variant, seconds, count, per second. Asserts nothing;
// quote figures of one run on one machine only.
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "burn/ensemble.h"
#include "burn/field.h"
#include "burn/plain.h"

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void line(const char *what, const char *variant, double seconds, double count,
                 const char *unit)
{
    printf("%s,%s,%.6f,%.0f,%.4g,%s\n", what, variant, seconds, count, count / seconds, unit);
    fflush(stdout);
}

static const ep_material *row(const char *id)
{
    const ep_material *m = ep_builtin_find(id);
    if (!m) {
        fprintf(stderr, "no row %s\n", id);
        exit(1);
    }
    return m;
}

// an invented candle of about 220 g: container paraffin in glass, flat braid
static ep_burn_case candle(void)
{
    ep_burn_case c = ep_burn_case_default();
    ep_blend_part wax = {row("std-wax-paraffin-container"), 1.0};
    ep_wick_size size = {.id = "s", .name = "s", .linear_density_kg_m = 1.4e-3};
    c.vessel = ep_vessel_straight(0.070, 0.090, 0.003, 0.005);
    c.wall = row("std-container-soda-lime");
    c.fill_height_m = 0.065;
    if (ep_melt_mix(&wax, 1, &c.melt, NULL) != EP_OK ||
        ep_wick_law_of(row("std-wick-flat-braid"), &size, &c.wick, NULL) != EP_OK) {
        exit(1);
    }
    return c;
}

static void burn(const char *what, const ep_burn_case *c, int repeat)
{
    double best_s = 1e30;
    long stages = 0;
    for (int n = 0; n < repeat; n++) {
        ep_trace *t = NULL;
        ep_err err = {0};
        double start_s = now_s();
        if (ep_burn_run(c, &t, &err) != EP_OK) {
            fprintf(stderr, "%s\n", err.text);
            exit(1);
        }
        double took_s = now_s() - start_s;
        best_s = took_s < best_s ? took_s : best_s;
        stages = t->stages;
        ep_trace_destroy(t);
    }
    char variant[40];
    snprintf(variant, sizeof variant, "%g mm", c->grid_m * 1e3);
    line(what, variant, best_s, (double)stages, "stages/s");
}

static void ensemble(int members, int threads)
{
    ep_burn_case c = candle();
    c.grid_m = 3e-3;
    c.step_s = 120.0;
    ep_ensemble_opts opts = {.members = members, .seed = 1, .threads = threads};
    ep_ensemble *e = NULL;
    double start_s = now_s();
    if (ep_ensemble_run(&c, &opts, &e, NULL) != EP_OK) {
        exit(1);
    }
    char variant[40];
    snprintf(variant, sizeof variant, "%d threads", threads);
    line("ensemble 3 mm", variant, now_s() - start_s, members, "candles/s");
    ep_ensemble_destroy(e);
}

static void cup(double cells_per_mm, int repeat)
{
    ep_plain_case c = {.wax_radius_m = 0.036,
                       .wax_height_m = 0.080,
                       .k_W_mK = 0.2,
                       .rho_kg_m3 = 850.0,
                       .cp_J_kgK = 2200.0,
                       .latent_J_kg = 180e3,
                       .solidus_C = 46.0,
                       .liquidus_C = 52.0,
                       .wall_m = 0.003,
                       .wall_k_W_mK = 1.0,
                       .wall_rho_kg_m3 = 2500.0,
                       .wall_cp_J_kgK = 800.0,
                       .disc_radius_m = 0.008,
                       .power_W = 1.5,
                       .top_W_m2K = 8.0,
                       .side_W_m2K = 8.0,
                       .base_W_m2K = 4.0,
                       .ambient_C = 22.0,
                       .start_C = 22.0,
                       .n_hours = 1,
                       .hour = {4.0},
                       .cells_per_mm = cells_per_mm};
    ep_plain_answer answer;
    double best_s = 1e30;
    for (int n = 0; n < repeat; n++) {
        double took_s = 0.0;
        if (ep_plain_run(&c, &answer, &took_s, NULL) != EP_OK) {
            exit(1);
        }
        best_s = took_s < best_s ? took_s : best_s;
    }
    char variant[40];
    snprintf(variant, sizeof variant, "%g mm", 1.0 / cells_per_mm);
    line("cup case for 4 h", variant, best_s, 4.0, "hours/s");
}

// the stencil alone: a block of wax, one long step after another
static void kernel(int nx, int ny, int nz)
{
    ep_enthalpy_law law = ep_enthalpy_law_make(46.0, 52.0, 2200.0, 2200.0, 180e3);
    ep_field *f = NULL;
    if (ep_field_create(nx, ny, nz, &law, &f) != EP_OK) {
        exit(1);
    }
    for (int c = 0; c < nx * ny; c++) {
        for (int k = 0; k < nz; k++) {
            size_t cell = ep_at(f, c, k);
            f->wax[cell] = 1.0;
            f->mass[cell] = 850.0 * 1e-9;
            f->G_x[cell] = c % nx + 1 < nx ? 2e-4 : 0.0;
            f->G_y[cell] = c / nx + 1 < ny ? 2e-4 : 0.0;
            f->G_z[cell] = k + 1 < nz ? 2e-4 : 0.0;
            ep_field_set_T(f, cell, 20.0 + k);
        }
    }
    ep_field_ready(f);
    ep_field_step(f, 60.0);
    const long before = f->stages;
    double start_s = now_s(), took_s = 0.0;
    while (took_s < 0.5) {
        ep_field_step(f, 60.0);
        took_s = now_s() - start_s;
    }
    char variant[40];
    snprintf(variant, sizeof variant, "%d x %d x %d", nx, ny, nz);
    line("kernel", variant, took_s, (double)(f->stages - before) * nx * ny * nz,
         "cells x stages/s");
    ep_field_destroy(f);
}

int main(void)
{
    printf("what,variant,seconds,count,per_second,unit\n");
    const double grid_mm[] = {3.0, 2.0, 1.5, 1.0};
    for (int i = 0; i < 4; i++) {
        ep_burn_case c = candle();
        c.grid_m = grid_mm[i] * 1e-3;
        burn("whole life in glass", &c, 3);
    }
    ep_burn_case tin = candle();
    tin.vessel.wall_m = tin.vessel.base_m = 0.25e-3;
    tin.wall = row("std-container-tinplate");
    burn("whole life in tin", &tin, 2);
    ep_burn_case three = candle();
    three.vessel = ep_vessel_straight(0.120, 0.070, 0.004, 0.006);
    three.fill_height_m = 0.050;
    three.grid_m = 3e-3;
    three.n_wicks = 3;
    three.schedule.max_sessions = 1;
    ep_places_default(&three.vessel, three.fill_height_m, 3, three.place);
    burn("three wicks for 4 h", &three, 2);
    ensemble(64, 1);
    ensemble(64, 2);
    cup(1.0, 5);
    cup(2.0, 3);
    kernel(39, 1, 80);
    kernel(78, 1, 160);
    kernel(40, 40, 60);
    return 0;
}
