// The part of the model in straight lines: misfit and candles of each block, summed out. A datum
// touches four misfit unknowns and one candle, so the curvature is gathered term by term; the prior
// adds one to every diagonal, which keeps the normal equations well posed.
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "learn/lower.h"
#include "learn/model.h"

static const double LEAST_PIVOT = 1e-300;
enum { TOUCHED = EP_BIAS_PARTS + 1 };

typedef struct touch {
    double by[TOUCHED];  // what a unit of each unknown adds to the prediction
    int at[TOUCHED];     // its place within the block
} touch;

typedef struct block_work {
    const ep_model *m;
    int block, n;
    double scatter, misfit;
    const double *f, *slope;
    double *H, *g;  // n x n curvature, its lower triangle; n slopes
    bool bell;      // curvature for the volume at the mode, not for a step
} block_work;

static touch touch_of(const block_work *k, const ep_model_run *r, const ep_datum *d, double slope)
{
    touch t;
    ep_model_bias_row(d->kind, k->misfit, (ep_place_in_life){d->life, d->minute, r->size_x}, t.by);
    for (int p = 0; p < EP_BIAS_PARTS; p++) {
        t.at[p] = (int)d->kind * EP_BIAS_PARTS + p;
    }
    t.by[EP_BIAS_PARTS] = slope * k->scatter;
    t.at[EP_BIAS_PARTS] = EP_BIAS_COUNT + r->first_candle + d->candle;
    return t;
}

static void gather(block_work *k, const touch *t, double slope, double curvature)
{
    for (int p = 0; p < TOUCHED; p++) {
        k->g[t->at[p]] += slope * t->by[p];
        // places rise, so this stays in the lower triangle
        for (int q = 0; q <= p; q++) {
            k->H[t->at[p] * k->n + t->at[q]] += curvature * t->by[p] * t->by[q];
        }
    }
}

// cost of data and prior at `inner`; curvature and slope too when asked for
static double level(block_work *k, const double *inner, bool bend)
{
    double cost = 0.0;
    int at = 0;
    if (bend) {
        memset(k->H, 0, (size_t)k->n * (size_t)k->n * sizeof *k->H);
        memset(k->g, 0, (size_t)k->n * sizeof *k->g);
    }
    for (int r = 0; r < k->m->n_runs; r++) {
        const ep_model_run *run = &k->m->run[r];
        for (int i = 0; i < run->evidence.n && run->block == k->block; i++) {
            const ep_datum *d = &run->evidence.datum[i];
            touch t = touch_of(k, run, d, k->slope[at + i]);
            double g, h, f = k->f[at + i];
            for (int p = 0; p < TOUCHED; p++) {
                f += t.by[p] * inner[t.at[p]];
            }
            cost += ep_datum_cost(d, f, &g, &h);
            if (bend) {
                gather(k, &t, g, k->bell ? ep_datum_bend(d, f) : h);
            }
        }
        at += run->evidence.n;
    }
    for (int i = 0; i < k->n; i++) {
        cost += 0.5 * inner[i] * inner[i];
        if (bend) {
            k->H[i * k->n + i] += 1.0;
            k->g[i] += inner[i];
        }
    }
    return cost;
}

// L L' x = -g
static void newton_step(const block_work *k, double *x, double *room)
{
    for (int i = 0; i < k->n; i++) {
        room[i] = -k->g[i];
    }
    ep_lower_forward(k->H, k->n, room, room);
    ep_lower_back(k->H, k->n, room, x);
}

// Newton with halving; leaves the factor of the curvature at the mode in H
static double settle(block_work *k, double *inner, double *step, double *tried)
{
    double cost = level(k, inner, true);
    for (int round = 0; round < 12; round++) {
        ep_lower_root(k->H, k->n, LEAST_PIVOT);
        newton_step(k, step, tried);
        double share = 1.0, next = 0.0;
        for (int cut = 0; cut < 8; cut++, share *= 0.5) {
            for (int i = 0; i < k->n; i++) {
                tried[i] = inner[i] + share * step[i];
            }
            next = level(k, tried, false);
            if (next <= cost) {
                break;
            }
        }
        double fall = cost - next;
        if (!(fall > 0.0)) {
            break;
        }
        memcpy(inner, tried, (size_t)k->n * sizeof *inner);
        cost = level(k, inner, true);
        if (fall < 1e-5) {
            break;
        }
    }
    k->bell = true;
    level(k, inner, true);
    ep_lower_root(k->H, k->n, LEAST_PIVOT);
    return cost;
}

double ep_model_inner(const ep_model *m, const double *v, const double *f, const double *slope,
                      double *inner, const double *draw_from)
{
    double total = 0.0;
    for (int b = 0; b < m->n_blocks; b++) {
        block_work k = {.m = m,
                        .block = b,
                        .n = EP_BIAS_COUNT + m->block_candles[b],
                        .scatter = ep_model_scatter(m, v),
                        .misfit = ep_model_misfit(m, v),
                        .f = f,
                        .slope = slope};
        const size_t n = (size_t)k.n;
        double *room = malloc((n * n + 3 * n) * sizeof *room);
        if (!room) {
            return -(double)INFINITY;
        }
        k.H = room;
        k.g = k.H + n * n;
        double *step = k.g + n, *tried = step + n;
        memset(inner, 0, n * sizeof *inner);
        total -= settle(&k, inner, step, tried);
        for (int i = 0; i < k.n; i++) {
            total -= log(k.H[i * k.n + i]);
        }
        if (draw_from) {
            ep_lower_back(k.H, k.n, draw_from, step);
            for (int i = 0; i < k.n; i++) {
                inner[i] += step[i];
            }
            draw_from += n;
        }
        inner += n;
        free(room);
    }
    return total;
}
