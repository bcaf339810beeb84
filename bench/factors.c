// Which unknown moves which outcome: each uncertain factor of the engine moved by one standard
// deviation of its prior to both sides, all else nominal, for a few candles that differ in kind.
// Prints a table per candle, ready for docs/validation.md, the factor that moves most first; its
// last row adds all factors as if they were independent (root of the sum of squares).
//   bench_factors [-sessions 3] [-grid 2]
#include "bench.h"

#include <math.h>

#include "burn/ensemble.h"

enum { CANDLES = 4, FACTORS = EP_UNC_COUNT_, RUNS = 1 + 2 * FACTORS };

typedef struct kind {
    const char *name, *wall, *wax;
    double wide_mm, high_mm, wall_mm, fill_mm, g_m;
    int wicks;
} kind;

static const kind KIND[CANDLES] = {
    {"paraffin, 70 mm glass, braid 1.2 g/m", "std-container-soda-lime",
     "std-wax-paraffin-container", 70.0, 90.0, 3.0, 70.0, 1.2, 1},
    {"soy, 70 mm glass, braid 1.6 g/m", "std-container-soda-lime", "std-wax-soy", 70.0, 90.0, 3.0,
     70.0, 1.6, 1},
    {"soy, 70 mm tin, braid 1.2 g/m", "std-container-tinplate", "std-wax-soy", 70.0, 50.0, 0.25,
     40.0, 1.2, 1},
    {"soy, three braids of 1.0 g/m, 110 mm stoneware", "std-container-stoneware", "std-wax-soy",
     110.0, 80.0, 5.0, 60.0, 1.0, 3},
};

static void fail(const ep_err *err)
{
    fprintf(stderr, "%s: %s\n", err->field, err->text);
    exit(2);
}

static ep_burn_case candle(const kind *k, double grid_mm, int sessions)
{
    ep_err err = {0};
    ep_burn_case c = ep_burn_case_default();
    c.vessel = ep_vessel_straight(k->wide_mm * 1e-3, k->high_mm * 1e-3, k->wall_mm * 1e-3,
                                  fmax(k->wall_mm, 0.25) * 1e-3);
    c.wall = ep_builtin_find(k->wall);
    c.fill_height_m = k->fill_mm * 1e-3;
    const ep_blend_part part = {ep_builtin_find(k->wax), 1.0};
    const ep_wick_size size = {.id = "s", .name = "s", .linear_density_kg_m = k->g_m * 1e-3};
    if (ep_melt_mix(&part, 1, &c.melt, &err) != EP_OK ||
        ep_wick_law_of(ep_builtin_find("std-wick-flat-braid"), &size, &c.wick, &err) != EP_OK) {
        fail(&err);
    }
    c.n_wicks = k->wicks;
    ep_places_default(&c.vessel, c.fill_height_m, c.n_wicks, c.place);
    c.grid_m = (k->wicks > 1 ? fmax(grid_mm, 3.0) : grid_mm) * 1e-3;
    c.schedule.max_sessions = sessions;
    return c;
}

enum { RATE, REACH, DEPTH, BULK, WALL, FLAME, HANGUP, OUTCOMES };
static const char *const NAME[OUTCOMES] = {
    "rate %",         "reach, points",    "depth half-way mm", "mean melt K",
    "hottest wall K", "tallest flame mm", "hang-up, % of wax"};

static void outcome_of(const ep_trace *t, double *x)
{
    const ep_session_sum *last = &t->session[t->n_sessions - 1];
    x[RATE] = 3.6e6 * (t->fill_kg - t->left_kg) / fmax(t->burn_total_s, 1.0);
    x[REACH] = 100.0 * last->reach_end_frac;
    x[DEPTH] = 1e3 * last->depth_mid_m;
    x[BULK] = last->pool_bulk_C;
    x[HANGUP] = 100.0 * last->hangup_kg / t->fill_kg;
    x[WALL] = x[FLAME] = 0.0;
    for (int n = 0; n < t->n_sessions; n++) {
        x[WALL] = fmax(x[WALL], t->session[n].wall_max_C);
        x[FLAME] = fmax(x[FLAME], 1e3 * t->session[n].flame_max_m);
    }
}

typedef struct effect {
    int factor;
    double lo[OUTCOMES], hi[OUTCOMES], weight;
} effect;

// outcomes are added up in steps a maker would notice (from memory): 5 % of rate, 5 points of
// reach, 1 mm, 3 K, 3 K, 3 mm, 1 % of the wax
static const double NOTICED[OUTCOMES] = {5.0, 5.0, 1.0, 3.0, 3.0, 3.0, 1.0};

static int heavier_first(const void *a, const void *b)
{
    const effect *x = a, *y = b;
    return x->weight > y->weight ? -1 : (x->weight < y->weight ? 1 : x->factor - y->factor);
}

static void measure(const ep_ensemble *e, effect *out)
{
    double nominal[OUTCOMES];
    outcome_of(e->trace[0], nominal);
    for (int u = 0; u < FACTORS; u++) {
        effect *f = &out[u];
        *f = (effect){.factor = u};
        outcome_of(e->trace[1 + 2 * u], f->lo);
        outcome_of(e->trace[2 + 2 * u], f->hi);
        for (int k = 0; k < OUTCOMES; k++) {
            f->lo[k] -= nominal[k];
            f->hi[k] -= nominal[k];
            if (k == RATE) {
                f->lo[k] *= 100.0 / nominal[RATE];
                f->hi[k] *= 100.0 / nominal[RATE];
            }
            double step = 0.5 * (f->hi[k] - f->lo[k]) / NOTICED[k];
            f->weight += step * step;
        }
    }
    qsort(out, FACTORS, sizeof *out, heavier_first);
}

static void print_table(const effect *f)
{
    printf("| unknown |");
    for (int k = 0; k < OUTCOMES; k++) {
        printf(" %s |", NAME[k]);
    }
    printf("\n|---|");
    for (int k = 0; k < OUTCOMES; k++) {
        printf("---|");
    }
    double sum[OUTCOMES] = {0.0};
    for (int u = 0; u < FACTORS; u++) {
        printf("\n| %s |", ep_uncertain_label((ep_uncertain)f[u].factor));
        for (int k = 0; k < OUTCOMES; k++) {
            double half = 0.5 * (f[u].hi[k] - f[u].lo[k]);
            sum[k] += half * half;
            printf(" %+.1f, %+.1f |", f[u].lo[k], f[u].hi[k]);
        }
    }
    printf("\n| all, as if independent |");
    for (int k = 0; k < OUTCOMES; k++) {
        printf(" ±%.1f |", sqrt(sum[k]));
    }
    printf("\n");
}

int main(int argc, char **argv)
{
    const int sessions = (int)bench_number(argc, argv, "-sessions", 3.0);
    const double grid_mm = bench_number(argc, argv, "-grid", 2.0);
    for (int n = 0; n < CANDLES; n++) {
        ep_burn_case c = candle(&KIND[n], grid_mm, sessions);
        ep_factors x[RUNS];
        x[0] = c.factors;
        for (int u = 0; u < FACTORS; u++) {
            x[1 + 2 * u] = x[2 + 2 * u] = c.factors;
            x[1 + 2 * u].f[u] = ep_factor_at(&c, (ep_uncertain)u, -1.0);
            x[2 + 2 * u].f[u] = ep_factor_at(&c, (ep_uncertain)u, 1.0);
        }
        ep_ensemble *e = NULL;
        ep_err err = {0};
        const ep_ensemble_opts opts = {.members = RUNS};
        if (ep_ensemble_run_with(&c, &opts, x, &e, &err) != EP_OK) {
            fail(&err);
        }
        effect f[FACTORS];
        measure(e, f);
        double nominal[OUTCOMES];
        outcome_of(e->trace[0], nominal);
        printf(
            "\n%s, after %d sessions: %.2f g/h, reach %.0f %%, depth %.1f mm, melt %.0f °C, wall "
            "%.0f °C, flame %.0f mm, hang-up %.1f %%\n\n",
            KIND[n].name, sessions, nominal[RATE], nominal[REACH], nominal[DEPTH], nominal[BULK],
            nominal[WALL], nominal[FLAME], nominal[HANGUP]);
        print_table(f);
        ep_ensemble_destroy(e);
    }
    return 0;
}
