// How many members odds need: the same three wicks asked with 8 to 256 members under ten seeds
// each. Prints a table per wick, ready for docs/validation.md: the mean over the seeds of what is
// shown, and its standard deviation from seed to seed, which is what a maker would see move.
//   bench_members [-seeds 10] [-most 256] [-grid 3]
#include "bench.h"

#include <math.h>

#include "plan/plan.h"

enum { WICKS = 3, SIZES = 6, MAX_SEEDS = 40 };
static const double G_M[WICKS] = {0.9, 1.3, 1.8};

// soy in a 72 mm glass with a flat braid, as quick odds would burn it
static ep_burn_case candle(double g_m, double grid_mm)
{
    ep_err err = {0};
    ep_burn_case c = ep_burn_case_default();
    c.vessel = ep_vessel_straight(72e-3, 90e-3, 3e-3, 5e-3);
    c.wall = ep_builtin_find("std-container-soda-lime");
    c.fill_height_m = 60e-3;
    const ep_blend_part part = {ep_builtin_find("std-wax-soy"), 1.0};
    const ep_wick_size size = {.id = "s", .name = "s", .linear_density_kg_m = g_m * 1e-3};
    if (ep_melt_mix(&part, 1, &c.melt, &err) != EP_OK ||
        ep_wick_law_of(ep_builtin_find("std-wick-flat-braid"), &size, &c.wick, &err) != EP_OK) {
        fprintf(stderr, "%s: %s\n", err.field, err.text);
        exit(2);
    }
    c.grid_m = grid_mm * 1e-3;
    c.step_s = 120.0;
    return c;
}

typedef struct spread {
    double sum, squares;
    int n;
} spread;

static void note(spread *s, double x)
{
    s->sum += x;
    s->squares += x * x;
    s->n++;
}

static double mean(const spread *s)
{
    return s->sum / s->n;
}

static double sd(const spread *s)
{
    return s->n > 1 ? sqrt(fmax(0.0, s->squares - s->n * mean(s) * mean(s)) / (s->n - 1)) : 0.0;
}

// what a page shows of one wick: shares in per cent, then the bands of rate and wall
enum { RIGHT, SMALL, BIG, RATE_LO, RATE_MID, RATE_HI, WALL_HI, SHOWN };
static const char *const NAME[SHOWN] = {"right %",      "too small %",   "too big %",
                                        "rate 5 % g/h", "rate 50 % g/h", "rate 95 % g/h",
                                        "wall 95 % °C"};

static void read_odds(const ep_wick_odds *o, double *x)
{
    x[RIGHT] = 100.0 * o->verdict[EP_VERDICT_RIGHT];
    x[SMALL] = 100.0 * o->verdict[EP_VERDICT_TOO_SMALL];
    x[BIG] = 100.0 * o->verdict[EP_VERDICT_TOO_BIG];
    x[RATE_LO] = 3.6e6 * o->rate_kg_s.p05;
    x[RATE_MID] = 3.6e6 * o->rate_kg_s.p50;
    x[RATE_HI] = 3.6e6 * o->rate_kg_s.p95;
    x[WALL_HI] = o->wall_max_C.p95;
}

static void row(const ep_burn_case *c, int members, int seeds)
{
    spread shown[SHOWN] = {{0.0, 0.0, 0}};
    bench_time start = bench_now();
    for (int seed = 1; seed <= seeds; seed++) {
        const ep_ensemble_opts opts = {.members = members, .seed = (uint64_t)seed};
        ep_wick_odds o;
        ep_err err = {0};
        double x[SHOWN];
        if (ep_odds_compute(c, &opts, ep_limits_default(), &o, &err) != EP_OK) {
            fprintf(stderr, "%s: %s\n", err.field, err.text);
            exit(2);
        }
        read_odds(&o, x);
        for (int k = 0; k < SHOWN; k++) {
            note(&shown[k], x[k]);
        }
    }
    const double p = mean(&shown[RIGHT]) / 100.0;
    printf("| %d |", members);
    for (int k = 0; k < SHOWN; k++) {
        printf(k < RATE_LO ? " %.0f ± %.1f |" : " %.2f ± %.2f |", mean(&shown[k]), sd(&shown[k]));
    }
    printf(" %.1f | %.2f |\n", 100.0 * sqrt(p * (1.0 - p) / members),
           bench_since(start).cpu_s / seeds);
    fflush(stdout);
}

int main(int argc, char **argv)
{
    const int seeds = (int)bench_number(argc, argv, "-seeds", 10.0);
    const int most = (int)bench_number(argc, argv, "-most", 256.0);
    const double grid_mm = bench_number(argc, argv, "-grid", 3.0);
    if (seeds < 2 || seeds > MAX_SEEDS || most < 8 || most > EP_MAX_MEMBERS) {
        fprintf(stderr, "-seeds: 2 to %d; -most: 8 to %d\n", MAX_SEEDS, EP_MAX_MEMBERS);
        return 2;
    }
    for (int w = 0; w < WICKS; w++) {
        const ep_burn_case c = candle(G_M[w], grid_mm);
        printf(
            "\nFlat braid of %.1f g/m, %d seeds, mean ± standard deviation from seed to seed\n\n|"
            " members |",
            G_M[w], seeds);
        for (int k = 0; k < SHOWN; k++) {
            printf(" %s |", NAME[k]);
        }
        printf(" plain draws would scatter right %% by | s of processor |\n|---|");
        for (int k = 0; k < SHOWN + 2; k++) {
            printf("---|");
        }
        printf("\n");
        for (int members = 8; members <= most; members *= 2) {
            row(&c, members, seeds);
        }
    }
    return 0;
}
