// The bell against a long chain: what an invented maker's ten readings say of five materials,
// worked out as `explain` does (looks, joint mode, bell) and by random-walk Metropolis on the
// engine itself (Metropolis et al. 1953), misfit and candle summed out alike, the two widths held
// where the bell has them. Prints both, and their distance in sds of the chain.
//   bench_chain [-makers 3] [-first 0] [-steps 12000] [-readings 10]
#include <math.h>

#include "bench.h"

#include "../tests/learn/maker.h"

enum { FIVE = 5, MOST_READINGS = 40 };
static const ep_uncertain which[FIVE] = {EP_UNC_FEED, EP_UNC_FLAME_BASE, EP_UNC_MELT_POINT,
                                         EP_UNC_VISCOSITY, EP_UNC_LOSS_SIDE};

typedef struct study {
    maker_notes notes;
    ep_model_run run;
    ep_model m;
    double widths[EP_MODEL_WIDTHS], slope[MOST_READINGS], f[MOST_READINGS];
    double inner[EP_BIAS_COUNT + 1];
} study;

static const int one_candle = 1;

// readings alternate over the list, so that ten are of several kinds and both sessions
static void keep_some(ep_evidence *e, int keep)
{
    const int n = e->n < keep ? e->n : keep;
    for (int i = 0; i < n; i++) {
        e->datum[i] = e->datum[i * e->n / n];
    }
    e->n = n;
}

static void open_study(study *s, uint64_t seed, int readings, double *truth)
{
    ep_rng r = ep_rng_make(2026, seed);
    double all[MAKER_PARAMS] = {0};
    memset(s, 0, sizeof *s);
    s->run = (ep_model_run){.burn = maker_case(1.2, 2), .room_C = 21.0, .n_terms = FIVE};
    maker_terms(&s->run);
    for (int p = 0; p < FIVE; p++) {
        all[which[p]] = truth[p] = ep_rng_normal(&r);
    }
    const ep_factors x = ep_model_factors(&s->run, all, 0.0);
    maker_burn(&s->notes, &s->run.burn, &x, 1, 0.045, 1.0, seed);
    s->run.n_terms = FIVE;
    for (int p = 0; p < FIVE; p++) {
        s->run.term[p] = (ep_term){p, which[p], 1.0};
    }
    if (ep_evidence_of(&s->notes.d, &s->run.evidence) != EP_OK) {
        abort();
    }
    keep_some(&s->run.evidence, readings);
    s->m = (ep_model){FIVE, 1, &one_candle, 1, &s->run, 1};
}

static void predict(study *s, const double *x, double log_scatter, double *f)
{
    if (ep_model_predict_many(&s->m, 1, x, FIVE, &log_scatter, f) != EP_OK) {
        abort();
    }
}

static void take_slopes(study *s, const double *x)
{
    double hi[MOST_READINGS], lo[MOST_READINGS];
    predict(s, x, 0.1, hi);
    predict(s, x, -0.1, lo);
    for (int i = 0; i < s->run.evidence.n; i++) {
        const double slope = (hi[i] - lo[i]) / 0.2;
        s->slope[i] = isfinite(slope) ? slope : 0.0;
    }
}

static double level(study *s, const double *x)
{
    double v[FIVE + EP_MODEL_WIDTHS], prior = 0.0;
    for (int p = 0; p < FIVE; p++) {
        v[p] = x[p];
        prior += 0.5 * x[p] * x[p];
    }
    memcpy(v + FIVE, s->widths, sizeof s->widths);
    predict(s, x, 0.0, s->f);
    return ep_model_inner(&s->m, v, s->f, s->slope, s->inner, NULL) - prior;
}

typedef struct chain {
    double mean[FIVE], sd[FIVE], taken, error[FIVE];
} chain;

// error of the mean by batches of a twentieth each
static void walk(study *s, const ep_belief *b, int steps, chain *c)
{
    enum { BATCHES = 20 };
    double x[FIVE], batch[BATCHES][FIVE] = {{0}}, sum2[FIVE] = {0};
    ep_rng r = ep_rng_make(5, 1);
    memcpy(x, b->mean, sizeof x);
    double here = level(s, x);
    int taken = 0;
    const int warm = steps / 10;
    for (int i = -warm; i < steps; i++) {
        double y[FIVE];
        for (int p = 0; p < FIVE; p++) {
            y[p] = x[p] + 0.85 * b->sd[p] * ep_rng_normal(&r);
        }
        const double there = level(s, y);
        if (log(ep_rng_uniform(&r)) < there - here) {
            memcpy(x, y, sizeof x);
            here = there;
            taken += i >= 0;
        }
        for (int p = 0; p < FIVE && i >= 0; p++) {
            batch[(long)i * BATCHES / steps][p] += x[p] * BATCHES / steps;
            sum2[p] += x[p] * x[p] / steps;
        }
    }
    *c = (chain){.taken = (double)taken / steps};
    for (int p = 0; p < FIVE; p++) {
        double var = 0.0;
        for (int k = 0; k < BATCHES; k++) {
            c->mean[p] += batch[k][p] / BATCHES;
        }
        for (int k = 0; k < BATCHES; k++) {
            var += (batch[k][p] - c->mean[p]) * (batch[k][p] - c->mean[p]) / (BATCHES - 1);
        }
        c->sd[p] = sqrt(sum2[p] - c->mean[p] * c->mean[p]);
        c->error[p] = sqrt(var / BATCHES);
    }
}

static void one_maker(uint64_t seed, int readings, int steps, double off[2])
{
    study *s = calloc(1, sizeof *s);
    ep_belief *b = NULL;
    ep_belief_opts o = {.seed = 1, .draws = 16};
    double truth[FIVE];
    chain c;
    open_study(s, seed, readings, truth);
    if (ep_belief_learn(&s->m, &o, &b, NULL) != EP_OK) {
        abort();
    }
    memcpy(s->widths, b->mode + FIVE, sizeof s->widths);
    take_slopes(s, b->mean);
    const bench_time start = bench_now();
    walk(s, b, steps, &c);
    printf(
        "maker %d: %d readings, %d engine runs; chain of %d, %.0f %% taken, %.0f s of processor\n",
        (int)seed, s->run.evidence.n, b->engine_runs, steps, 100.0 * c.taken,
        bench_since(start).cpu_s);
    for (int p = 0; p < FIVE; p++) {
        const double mean = (b->mean[p] - c.mean[p]) / c.sd[p], sd = b->sd[p] / c.sd[p] - 1.0;
        printf("  %-12s truth %5.2f | bell %5.2f +- %.2f | chain %5.2f +- %.2f (+-%.2f) | apart "
               "%5.2f sd, %+4.0f %% wide\n",
               ep_uncertain_key(which[p]), truth[p], b->mean[p], b->sd[p], c.mean[p], c.sd[p],
               c.error[p], mean, 100.0 * sd);
        off[0] += mean * mean;
        off[1] += sd * sd;
    }
    ep_belief_destroy(b);
    ep_evidence_clear(&s->run.evidence);
    free(s);
}

int main(int argc, char **argv)
{
    const int makers = (int)bench_number(argc, argv, "-makers", 3.0),
              first = (int)bench_number(argc, argv, "-first", 0.0),
              steps = (int)bench_number(argc, argv, "-steps", 12000.0),
              readings = (int)bench_number(argc, argv, "-readings", 10.0);
    double off[2] = {0.0, 0.0};
    if (makers < 1 || steps < 100 || readings < 1 || readings > MOST_READINGS) {
        fprintf(stderr, "-makers from 1, -steps from 100, -readings 1 to %d\n", MOST_READINGS);
        return 2;
    }
    for (int i = 0; i < makers; i++) {
        one_maker((uint64_t)(first + i), readings, steps, off);
        fflush(stdout);
    }
    printf("root mean square over %d: means %.2f sd apart, sds %.0f %% apart\n", makers * FIVE,
           sqrt(off[0] / (makers * FIVE)), 100.0 * sqrt(off[1] / (makers * FIVE)));
    return 0;
}
