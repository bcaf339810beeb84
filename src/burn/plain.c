// The plain case on the shared field: what may be asked, and the steps.
#include "burn/plain.h"

#include <math.h>
#include <stdio.h>
#include <time.h>

#include "base/units.h"
#include "burn/plain_int.h"

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

// discs by the name they have in the case file
static ep_status check_disc(const ep_plain_case *c, int n, ep_err *err)
{
    const ep_plain_disc *d = &c->disc[n];
    char list[16] = "heat", field[40];
    if (c->in_vessel) {
        snprintf(list, sizeof list, "heat[%d]", n);
    }
    const double half_m = c->in_vessel ? ep_vessel_radius_m(&c->vessel, 0.0) : c->wax_radius_m;
    const double off_m = c->in_vessel ? half_m : 0.0;
    const struct {
        double value, lo, hi;
        const char *key;
    } row[] = {{d->radius_m, 0.0, half_m, "disc_radius_m"},
               {d->power_W, 0.0, 1000.0, "power_W"},
               {d->x_m, -off_m, off_m, "x_m"},
               {d->y_m, -off_m, off_m, "y_m"}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        snprintf(field, sizeof field, "%s.%s", list, row[i].key);
        ep_status s = in_range(row[i].value, row[i].lo, row[i].hi, field, err);
        if (s != EP_OK) {
            return s;
        }
    }
    snprintf(field, sizeof field, "%s.disc_radius_m", list);
    if (d->power_W > 0.0 && !(d->radius_m > 0.0)) {
        return ep_err_set(err, EP_E_ARG, field, "%s: 0 cannot carry %g W; it must be above 0",
                          field, d->power_W);
    }
    double room_m = c->in_vessel ? ep_vessel_gap_m(&c->vessel, 0.0, d->x_m, d->y_m) : half_m;
    if (d->radius_m > room_m + 1e-9) {
        return ep_err_set(err, EP_E_ARG, field,
                          "%s: %g is more than the %g m from its middle to the wall", field,
                          d->radius_m, room_m);
    }
    return EP_OK;
}

static ep_status check_discs(const ep_plain_case *c, ep_err *err)
{
    const int most = c->in_vessel ? EP_MAX_WICKS : 1;
    if (c->n_discs < 0 || c->n_discs > most) {
        return ep_err_set(err, EP_E_ARG, "heat", "heat: %d discs; 0 to %d are possible", c->n_discs,
                          most);
    }
    ep_status s = EP_OK;
    for (int n = 0; n < c->n_discs && s == EP_OK; n++) {
        s = check_disc(c, n, err);
    }
    return s;
}

// a straight vessel, by the names of the case file
static ep_status check_vessel(const ep_plain_case *c, ep_err *err)
{
    const ep_vessel *v = &c->vessel;
    const bool round = v->outline == EP_OUTLINE_ROUND;
    const struct {
        double value, lo, hi;
        const char *field;
    } row[] = {
        {2.0 * ep_vessel_radius_m(v, 0.0), EP_VESSEL_D_MIN_M, EP_VESSEL_D_MAX_M, "vessel.length_m"},
        {ep_vessel_height_m(v), EP_VESSEL_H_MIN_M, EP_VESSEL_H_MAX_M, "vessel.height_m"},
        {v->base_m, EP_VESSEL_WALL_MIN_M, EP_VESSEL_WALL_MAX_M, "vessel.base_m"},
        {round ? 1.0 : v->across_frac, 0.25, 1.0, "vessel.across_frac"},
        {v->corner_frac, 0.0, 1.0, "vessel.corner_frac"},
        {v->wall_m, EP_VESSEL_WALL_MIN_M, EP_VESSEL_WALL_MAX_M, "wall.thickness_m"},
        {c->wax_height_m, 0.002, ep_vessel_height_m(v), "wax.height_m"},
    };
    ep_status s = EP_OK;
    for (size_t i = 0; i < sizeof row / sizeof *row && s == EP_OK; i++) {
        s = in_range(row[i].value, row[i].lo, row[i].hi, row[i].field, err);
    }
    return s;
}

static double cells_of(const ep_plain_case *c)
{
    const double n = 1e3 * c->cells_per_mm;
    if (!c->in_vessel) {
        return (c->wax_radius_m + c->wall_m) * c->wax_height_m * n * n;
    }
    const ep_vessel *v = &c->vessel;
    const double long_m = 2.0 * (ep_vessel_radius_m(v, 0.0) + v->wall_m);
    const double across_m = ep_vessel_across_m(v, long_m);
    // two more on each side, as the grid has them
    return (long_m * n + 4.0) * (across_m * n + 4.0) * (ep_vessel_height_m(v) + v->base_m) * n;
}

ep_status ep_plain_check(const ep_plain_case *c, ep_err *err)
{
    const struct {
        double value, lo, hi;
        const char *field;
    } row[] = {
        {c->in_vessel ? 0.002 : c->wax_radius_m, 0.002, 0.5, "wax.radius_m"},
        {c->wax_height_m, 0.002, 0.5, "wax.height_m"},
        {c->k_W_mK, 0.01, 100.0, "wax.k_W_mK"},
        {c->rho_kg_m3, 10.0, 2e4, "wax.rho_kg_m3"},
        {c->cp_J_kgK, 50.0, 2e4, "wax.cp_J_kgK"},
        {c->latent_J_kg, 0.0, 1e6, "wax.latent_J_kg"},
        {c->solidus_C, -50.0, 400.0, "wax.solidus_C"},
        {c->liquidus_C, c->solidus_C, 400.0, "wax.liquidus_C"},
        {c->top_W_m2K, 0.0, 1e4, "film.top_W_m2K"},
        {c->side_W_m2K, 0.0, 1e4, "film.side_W_m2K"},
        {c->base_W_m2K, 0.0, 1e4, "film.base_W_m2K"},
        {c->ambient_C, -100.0, 400.0, "film.ambient_C"},
        {c->start_C, -100.0, 400.0, "start_C"},
        {c->cells_per_mm, 0.1, 8.0, "cells_per_mm"},
    };
    ep_status s = EP_OK;
    for (size_t i = 0; i < sizeof row / sizeof *row && s == EP_OK; i++) {
        s = in_range(row[i].value, row[i].lo, row[i].hi, row[i].field, err);
    }
    s = s == EP_OK ? check_wall(c, err) : s;
    s = s == EP_OK && c->in_vessel ? check_vessel(c, err) : s;
    s = s == EP_OK ? check_discs(c, err) : s;
    if (s == EP_OK && cells_of(c) > 4e6) {
        return ep_err_set(err, EP_E_ARG, "cells_per_mm",
                          "cells_per_mm: %g makes %.0f cells; at most 4000000", c->cells_per_mm,
                          cells_of(c));
    }
    return s == EP_OK ? check_hours(c, err) : s;
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
    plain_body b;
    s = c->in_vessel ? ep_plain_plan(c, &b) : ep_plain_rings(c, &b);
    if (s != EP_OK) {
        return ep_err_set(err, s, "cells_per_mm",
                          "cells_per_mm: %g needs more memory than there is", c->cells_per_mm);
    }
    ep_field *f = b.f;
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
            .stored_J = stored_J,
            .ledger = f->through_J > 0.0 ? fabs(stored_J - f->in_J) / f->through_J : 0.0,
        };
        b.read(&b, &answer[n]);
    }
    if (seconds) {
        *seconds = now_s() - start_s;
    }
    b.destroy(&b);
    return EP_OK;
}
