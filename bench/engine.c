// The engine's own figures: ensembles, whole lives, a three-wick bowl, and how time grows. Prints
// CSV rows, or with `-hash 1` a fingerprint of every number of some runs on one thread and on two.
#include "bench.h"

#include <inttypes.h>
#include <math.h>
#include <stdint.h>

#include "burn/ensemble.h"
#include "burn/plain.h"

static void fail(const ep_err *err)
{
    fprintf(stderr, "%s: %s\n", err->field, err->text);
    exit(2);
}

// soy in soda-lime glass with a flat braid; lengths in mm
static ep_burn_case candle(double wide_mm, double high_mm, double fill_mm, double braid_g_m)
{
    ep_err err = {0};
    ep_burn_case c = ep_burn_case_default();
    c.vessel = ep_vessel_straight(wide_mm * 1e-3, high_mm * 1e-3, 3e-3, 5e-3);
    c.wall = ep_builtin_find("std-container-soda-lime");
    c.fill_height_m = fill_mm * 1e-3;
    const ep_blend_part part = {ep_builtin_find("std-wax-soy"), 1.0};
    const ep_wick_size size = {.id = "s", .name = "s", .linear_density_kg_m = braid_g_m * 1e-3};
    if (ep_melt_mix(&part, 1, &c.melt, &err) != EP_OK ||
        ep_wick_law_of(ep_builtin_find("std-wick-flat-braid"), &size, &c.wick, &err) != EP_OK) {
        fail(&err);
    }
    return c;
}

// the first burn of a 72 mm jar on the grid and steps of quick odds
static ep_burn_case first_burn(double hours)
{
    ep_burn_case c = candle(72.0, 90.0, 70.0, 1.2);
    c.grid_m = 3e-3;
    c.step_s = 120.0;
    c.schedule.lit_s = hours * 3600.0;
    c.schedule.rest_s = 0.0;
    c.schedule.max_sessions = 1;
    return c;
}

// 220 g of wax in a 76 mm jar, burned 4 h a day to its end
static ep_burn_case whole_life(void)
{
    ep_burn_case c = candle(76.0, 90.0, 50.0, 1.2);
    const double area_m2 = ep_vessel_area_m2(&c.vessel, 0.01);
    c.fill_height_m = 0.220 / c.melt.rho_solid_kg_m3.value / area_m2;
    c.grid_m = 3e-3;
    c.step_s = 120.0;
    return c;
}

// the same in thin metal, whose wall is treated apart from the wax
static ep_burn_case life_in_tin(void)
{
    ep_burn_case c = whole_life();
    c.vessel.wall_m = c.vessel.base_m = 0.25e-3;
    c.wall = ep_builtin_find("std-container-tinplate");
    return c;
}

static ep_burn_case bowl(double grid_mm, int threads)
{
    ep_burn_case c = candle(110.0, 80.0, 60.0, 1.0);
    c.n_wicks = 3;
    ep_places_default(&c.vessel, c.fill_height_m, c.n_wicks, c.place);
    c.grid_m = grid_mm * 1e-3;
    c.step_s = 120.0;
    c.schedule.rest_s = 0.0;
    c.schedule.max_sessions = 1;
    c.threads = threads;
    return c;
}

static ep_trace *burn(const ep_burn_case *c)
{
    ep_trace *t = NULL;
    ep_err err = {0};
    if (ep_burn_run(c, &t, &err) != EP_OK) {
        fail(&err);
    }
    return t;
}

static ep_ensemble *burn_all(const ep_burn_case *c, int members, int threads)
{
    ep_ensemble *e = NULL;
    ep_err err = {0};
    ep_ensemble_opts opts = {.members = members, .seed = 1, .threads = threads};
    if (ep_ensemble_run(c, &opts, &e, &err) != EP_OK) {
        fail(&err);
    }
    return e;
}

// FNV-1a over the bytes of each number, so that padding plays no part
static uint64_t mix(uint64_t hash, double value)
{
    unsigned char byte[sizeof value];
    memcpy(byte, &value, sizeof value);
    for (size_t n = 0; n < sizeof value; n++) {
        hash = (hash ^ byte[n]) * 1099511628211u;
    }
    return hash;
}

static uint64_t mix_trace(uint64_t hash, const ep_trace *t)
{
    for (int n = 0; n < t->n_samples; n++) {
        const ep_sample *s = &t->sample[n];
        hash = mix(mix(mix(hash, s->t_s), s->lit_s), s->session);
#define X(name) hash = mix(hash, s->name);
        EP_SAMPLE_LIST(X)
#undef X
    }
    for (int n = 0; n < t->n_sessions; n++) {
        const ep_session_sum *s = &t->session[n];
        hash = mix(mix(mix(hash, s->burned_kg), s->wall_reached_s), s->out);
    }
    const ep_heat_sums *h = &t->heat;
    hash = mix(mix(mix(hash, h->flame_J), h->room_J), h->stored_J);
    return mix(mix(hash, t->ledger_energy_rel), t->ledger_mass_rel);
}

static const uint64_t HASH_START = 14695981039346656037u;

static void hash_ensemble(const char *name, const ep_burn_case *c, int members, int threads)
{
    ep_ensemble *e = burn_all(c, members, threads);
    uint64_t hash = HASH_START;
    for (int m = 0; m < e->members; m++) {
        hash = mix_trace(hash, e->trace[m]);
    }
    ep_ensemble_destroy(e);
    printf("hash %s threads %d %016" PRIx64 "\n", name, threads, hash);
}

static void hash_all(void)
{
    const ep_burn_case first = first_burn(4.0), life = whole_life(), tin = life_in_tin();
    for (int threads = 1; threads <= 2; threads++) {
        hash_ensemble("first-burns", &first, 16, threads);
        hash_ensemble("whole-lives", &life, 4, threads);
        hash_ensemble("lives-in-tin", &tin, 4, threads);
        const ep_burn_case c = bowl(3.0, threads);
        ep_trace *t = burn(&c);
        printf("hash bowl threads %d %016" PRIx64 "\n", threads, mix_trace(HASH_START, t));
        ep_trace_destroy(t);
    }
}

static void row(const char *what, double value, const char *unit, const char *bar)
{
    printf("engine,%s,%.4g,%s,%s\n", what, value, unit, bar);
    fflush(stdout);
}

static void row_time(const char *what, bench_time t, int threads, const char *bar)
{
    char text[128];
    snprintf(text, sizeof text, "%s: wall clock", what);
    row(text, t.wall_s, "s", bar);
    // what the wall clock would show if nothing else ran
    snprintf(text, sizeof text, "%s: processor time by threads", what);
    row(text, t.cpu_s / threads, "s", bar);
}

static bench_time time_ensemble(const ep_burn_case *c, int members, int threads, int runs)
{
    bench_time best = BENCH_NEVER;
    for (int n = 0; n < runs; n++) {
        bench_time start = bench_now();
        ep_ensemble *e = burn_all(c, members, threads);
        bench_keep_least(&best, bench_since(start));
        ep_ensemble_destroy(e);
    }
    return best;
}

static bench_time time_burn(const ep_burn_case *c, int runs, ep_trace **last)
{
    bench_time best = BENCH_NEVER;
    *last = NULL;
    for (int n = 0; n < runs; n++) {
        ep_trace_destroy(*last);
        bench_time start = bench_now();
        *last = burn(c);
        bench_keep_least(&best, bench_since(start));
    }
    return best;
}

static void the_bars(void)
{
    const ep_burn_case first = first_burn(4.0), life = whole_life();
    row_time("256 members of a first 4 h burn", time_ensemble(&first, 256, 2, 4), 2, "<=0.5");
    row_time("64 whole lives of a 220 g candle", time_ensemble(&life, 64, 2, 3), 2, "<=2");
    const ep_burn_case c = bowl(1.5, 2);
    ep_trace *t = NULL;
    row_time("three-wick bowl 4 h on 1.5 mm", time_burn(&c, 2, &t), 2, "<=2");
    ep_trace_destroy(t);
}

static void ledgers(const ep_trace *t)
{
    row("whole life: sessions", t->n_sessions, "", "");
    row("whole life: ledger of energy", t->ledger_energy_rel, "", "<=1e-9");
    row("whole life: ledger of mass", t->ledger_mass_rel, "", "<=1e-9");
}

// the same candle on finer grids, and in a wall of tin, whose thin metal asks for many more stages
static void whole_lives(void)
{
    char what[96];
    ep_trace *t = NULL;
    const double grid_mm[] = {3.0, 2.0, 1.5, 1.0};
    for (size_t n = 0; n < sizeof grid_mm / sizeof *grid_mm; n++) {
        ep_burn_case c = whole_life();
        c.grid_m = grid_mm[n] * 1e-3;
        bench_time took = time_burn(&c, 3, &t);
        snprintf(what, sizeof what, "whole life in glass on %g mm", grid_mm[n]);
        row(what, took.cpu_s * 1e3, "ms", "");
        if (n == 0) {
            ledgers(t);
        }
        ep_trace_destroy(t);
    }
    const ep_burn_case tin = life_in_tin();
    bench_time took = time_burn(&tin, 2, &t);
    row("whole life in tin on 3 mm", took.cpu_s * 1e3, "ms", "");
    ep_trace_destroy(t);
}

static void growth(void)
{
    char what[96];
    ep_trace *t = NULL;
    const double grid_mm[] = {4.0, 3.0, 2.0, 1.5, 1.0, 0.75};
    for (size_t n = 0; n < sizeof grid_mm / sizeof *grid_mm; n++) {
        ep_burn_case c = first_burn(4.0);
        c.grid_m = grid_mm[n] * 1e-3;
        bench_time took = time_burn(&c, 3, &t);
        snprintf(what, sizeof what, "first 4 h burn on %g mm", grid_mm[n]);
        row(what, took.cpu_s * 1e3, "ms", "");
        snprintf(what, sizeof what, "pool width after it on %g mm", grid_mm[n]);
        row(what, t->sample[t->n_samples - 1].pool_width_m * 1e3, "mm", "");
        ep_trace_destroy(t);
    }
    const int members[] = {16, 64, 256};
    for (size_t n = 0; n < sizeof members / sizeof *members; n++) {
        const ep_burn_case c = first_burn(4.0);
        snprintf(what, sizeof what, "first 4 h burn: a member of %d", members[n]);
        row(what, time_ensemble(&c, members[n], 2, 2).cpu_s / members[n] * 1e3, "ms", "");
    }
    const double hours[] = {1.0, 2.0, 4.0, 8.0, 16.0};
    for (size_t n = 0; n < sizeof hours / sizeof *hours; n++) {
        ep_burn_case c = first_burn(hours[n]);
        snprintf(what, sizeof what, "one burn of %g h", hours[n]);
        row(what, time_burn(&c, 5, &t).cpu_s * 1e3, "ms", "");
        ep_trace_destroy(t);
    }
    const double bowl_mm[] = {4.0, 3.0, 2.0};
    for (size_t n = 0; n < sizeof bowl_mm / sizeof *bowl_mm; n++) {
        ep_burn_case c = bowl(bowl_mm[n], 1);
        snprintf(what, sizeof what, "three-wick bowl 4 h on %g mm", bowl_mm[n]);
        row(what, time_burn(&c, 1, &t).cpu_s, "s", "");
        ep_trace_destroy(t);
    }
}

int main(int argc, char **argv)
{
    if (bench_number(argc, argv, "-hash", 0.0) > 0.0) {
        hash_all();
        return 0;
    }
    the_bars();
    whole_lives();
    growth();
    return 0;
}
