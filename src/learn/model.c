// Engine predictions of all data, in threads, and the part of the model that needs no engine.
#include "learn/model.h"

#include <math.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "burn/ensemble.h"
#include "learn/leastsq.h"

// parts of the misfit: level; drift from full to the end of the wax; per unit of size; from two
// hours to four within a session
static const double PART_SD[EP_BIAS_PARTS] = {1.0, 0.7, 0.4, 0.7};
static const double WIDTH_SD = 0.4;  // of the log of either width
// of a parameter, in prior sd: as wide as the spread it is to describe, so that the grid's
// roughness and small cliffs do not pass for slopes
static const double STEP = 0.5;
static const double SCATTER_STEP = 0.04;

int ep_model_outer(const ep_model *m)
{
    return m->n_params + EP_MODEL_WIDTHS;
}

int ep_model_block_at(const ep_model *m, int block)
{
    int at = ep_model_outer(m);
    for (int b = 0; b < block; b++) {
        at += EP_BIAS_COUNT + m->block_candles[b];
    }
    return at;
}

int ep_model_unknowns(const ep_model *m)
{
    return ep_model_block_at(m, m->n_blocks);
}

int ep_model_data(const ep_model *m)
{
    int n = 0;
    for (int r = 0; r < m->n_runs; r++) {
        n += m->run[r].evidence.n;
    }
    return n;
}

double ep_model_scatter(const ep_model *m, const double *v)
{
    return EP_CANDLE_SD * exp(WIDTH_SD * v[m->n_params]);
}

double ep_model_misfit(const ep_model *m, const double *v)
{
    return exp(WIDTH_SD * v[m->n_params + 1]);
}

ep_factors ep_model_factors(const ep_model_run *r, const double *x, double log_scatter)
{
    double z[EP_UNC_COUNT_] = {0};
    for (int i = 0; i < r->n_terms; i++) {
        z[r->term[i].u] += r->term[i].weight * x[r->term[i].param];
    }
    ep_factors out;
    for (int u = 0; u < EP_UNC_COUNT_; u++) {
        out.f[u] = ep_factor_at(&r->burn, (ep_uncertain)u, fmin(fmax(z[u], -4.0), 4.0));
    }
    out.f[EP_UNC_SCATTER] = exp(log_scatter);
    return out;
}

static void bias_row(ep_place_in_life at, double part[EP_BIAS_PARTS])
{
    part[0] = PART_SD[0];
    part[1] = PART_SD[1] * (at.life - 0.3) / 0.5;
    part[2] = PART_SD[2] * at.size_x;
    part[3] = PART_SD[3] * fmin(fmax(at.minute - 120.0, -120.0), 180.0) / 120.0;
}

double ep_model_bias(ep_datum_kind k, const double *bias, double misfit, ep_place_in_life at)
{
    double part[EP_BIAS_PARTS], sum = 0.0;
    bias_row(at, part);
    for (int p = 0; p < EP_BIAS_PARTS; p++) {
        sum += part[p] * bias[(int)k * EP_BIAS_PARTS + p];
    }
    return misfit * ep_datum_def_of(k)->misfit_sd * sum;
}

// --- burns in threads ---

typedef struct task {
    const ep_model_run *run;
    const double *x;
    int moved;  // parameter stepped, -1 none
    double log_scatter;
    double *f;
} task;

typedef struct crew {
    const task *task;
    int n, n_params;
    atomic_int next;
    atomic_int failed;
} crew;

static ep_status burn_task(const task *t, int n_params)
{
    const ep_model_run *r = t->run;
    double x[1024];
    memcpy(x, t->x, (size_t)n_params * sizeof *x);
    if (t->moved >= 0) {
        x[t->moved] += STEP;
    }
    ep_burn_case c = r->burn;
    c.factors = ep_model_factors(r, x, t->log_scatter);
    c.keep_frames = false;
    ep_trace *trace = NULL;
    ep_status s = ep_burn_run(&c, &trace, NULL);
    if (s == EP_OK) {
        ep_evidence_predict(&r->evidence, trace, r->room_C, t->f);
    } else if (s == EP_E_DIVERGED) {
        // no candle there: as one that died at once
        for (int i = 0; i < r->evidence.n; i++) {
            t->f[i] = (double)NAN;
        }
        s = EP_OK;
    }
    ep_trace_destroy(trace);
    return s;
}

static void *work(void *arg)
{
    crew *c = arg;
    for (;;) {
        int i = atomic_fetch_add(&c->next, 1);
        if (i >= c->n || atomic_load(&c->failed)) {
            return NULL;
        }
        ep_status s = burn_task(&c->task[i], c->n_params);
        if (s != EP_OK) {
            atomic_store(&c->failed, (int)s);
        }
    }
}

static ep_status burn_all(const ep_model *m, const task *tasks, int n)
{
    if (m->n_params > 1024) {
        return EP_E_ARG;
    }
    crew c = {.task = tasks, .n = n, .n_params = m->n_params};
    long wanted = m->threads > 0 ? m->threads : sysconf(_SC_NPROCESSORS_ONLN);
    pthread_t thread[64];
    int started = 0;
    while (started + 1 < wanted && started < 63 && started + 1 < n &&
           pthread_create(&thread[started], NULL, work, &c) == 0) {
        started++;
    }
    work(&c);
    for (int i = 0; i < started; i++) {
        pthread_join(thread[i], NULL);
    }
    return (ep_status)atomic_load(&c.failed);
}

ep_status ep_model_predict_many(const ep_model *m, int count, const double *x, int stride,
                                double *f)
{
    const int data = ep_model_data(m);
    task *tasks = malloc((size_t)(count * m->n_runs + 1) * sizeof *tasks);
    if (!tasks) {
        return EP_E_MEMORY;
    }
    int n = 0;
    for (int i = 0; i < count; i++) {
        double *at = f + (size_t)i * (size_t)data;
        for (int r = 0; r < m->n_runs; r++) {
            tasks[n++] = (task){&m->run[r], x + (size_t)i * (size_t)stride, -1, 0.0, at};
            at += m->run[r].evidence.n;
        }
    }
    ep_status s = burn_all(m, tasks, n);
    free(tasks);
    return s;
}

static bool uses(const ep_model_run *r, int param)
{
    for (int i = 0; i < r->n_terms; i++) {
        if (r->term[i].param == param) {
            return true;
        }
    }
    return false;
}

int ep_model_jacobian_runs(const ep_model *m)
{
    int n = 0;
    for (int r = 0; r < m->n_runs; r++) {
        n += 2;
        for (int p = 0; p < m->n_params; p++) {
            n += uses(&m->run[r], p);
        }
    }
    return n;
}

static double divided(double hi, double lo, double step)
{
    double d = (hi - lo) / step;
    return isfinite(d) ? d : 0.0;
}

static void gather(const ep_model *m, const double *stepped, const double *f, double *slope,
                   double *jac)
{
    int at = 0;
    for (int r = 0; r < m->n_runs; r++) {
        const int n = m->run[r].evidence.n;
        for (int i = 0; i < n && slope; i++) {
            slope[at + i] = divided(stepped[i], f[at + i], SCATTER_STEP);
        }
        stepped += slope ? n : 0;
        for (int p = 0; p < m->n_params && jac; p++) {
            bool mine = uses(&m->run[r], p);
            for (int i = 0; i < n; i++) {
                jac[(at + i) * m->n_params + p] = mine ? divided(stepped[i], f[at + i], STEP) : 0.0;
            }
            stepped += mine ? n : 0;
        }
        at += n;
    }
}

// base runs, then per run the scatter's step and one per parameter; results packed in that order
static ep_status sweep(const ep_model *m, const double *x, double *f, double *slope, double *jac)
{
    const int most = ep_model_jacobian_runs(m);
    size_t room = 0;
    for (int r = 0; r < m->n_runs; r++) {
        room += (size_t)m->run[r].evidence.n * (size_t)(m->n_params + 1);
    }
    task *tasks = malloc((size_t)(most + 1) * sizeof *tasks);
    double *stepped = malloc((room + 1) * sizeof *stepped), *to = stepped;
    ep_status s = tasks && stepped ? EP_OK : EP_E_MEMORY;
    int n = 0;
    double *base = f;
    for (int r = 0; r < m->n_runs && s == EP_OK; r++) {
        const ep_model_run *run = &m->run[r];
        tasks[n++] = (task){run, x, -1, 0.0, base};
        base += run->evidence.n;
        if (slope) {
            tasks[n++] = (task){run, x, -1, SCATTER_STEP, to};
            to += run->evidence.n;
        }
        for (int p = 0; p < m->n_params && jac; p++) {
            if (uses(run, p)) {
                tasks[n++] = (task){run, x, p, 0.0, to};
                to += run->evidence.n;
            }
        }
    }
    s = s == EP_OK ? burn_all(m, tasks, n) : s;
    if (s == EP_OK) {
        gather(m, stepped, f, slope, jac);
    }
    free(tasks);
    free(stepped);
    return s;
}

ep_status ep_model_predict(const ep_model *m, const double *x, double *f, double *slope)
{
    return sweep(m, x, f, slope, NULL);
}

ep_status ep_model_jacobian(const ep_model *m, const double *x, double *f, double *slope,
                            double *jac)
{
    return sweep(m, x, f, slope, jac);
}

// --- the part in straight lines ---

typedef struct row_of {
    double part[EP_BIAS_PARTS];  // times misfit sd and size
    int bias, candle;            // columns within the block
    double candle_slope;
} row_of;

static row_of make_row(const ep_model_run *r, const ep_datum *d, double slope, double scatter,
                       double misfit)
{
    row_of w = {.bias = (int)d->kind * EP_BIAS_PARTS,
                .candle = EP_BIAS_COUNT + r->first_candle + d->candle,
                .candle_slope = slope * scatter};
    bias_row((ep_place_in_life){d->life, d->minute, r->size_x}, w.part);
    for (int p = 0; p < EP_BIAS_PARTS; p++) {
        w.part[p] *= misfit * ep_datum_def_of(d->kind)->misfit_sd;
    }
    return w;
}

static double row_dot(const row_of *w, const double *inner)
{
    double sum = w->candle_slope * inner[w->candle];
    for (int p = 0; p < EP_BIAS_PARTS; p++) {
        sum += w->part[p] * inner[w->bias + p];
    }
    return sum;
}

typedef struct block_work {
    const ep_model *m;
    int block, n, rows;
    double scatter, misfit;
    const double *f, *slope;
    double *A, *b;  // rows x n and rows; after a factorisation R stands in A
} block_work;

// curvature rows and their right side at `inner`; returns cost plus prior
static double fill(block_work *k, const double *inner)
{
    const int n = k->n;
    double cost = 0.0;
    int row = 0, at = 0;
    memset(k->A, 0, (size_t)k->rows * (size_t)n * sizeof *k->A);
    for (int r = 0; r < k->m->n_runs; r++) {
        const ep_model_run *run = &k->m->run[r];
        for (int i = 0; i < run->evidence.n && run->block == k->block; i++) {
            const ep_datum *d = &run->evidence.datum[i];
            row_of w = make_row(run, d, k->slope[at + i], k->scatter, k->misfit);
            double g, h;
            cost += ep_datum_cost(d, k->f[at + i] + row_dot(&w, inner), &g, &h);
            double root = sqrt(fmax(h, 1e-10));
            for (int p = 0; p < EP_BIAS_PARTS; p++) {
                k->A[row * n + w.bias + p] = root * w.part[p];
            }
            k->A[row * n + w.candle] = root * w.candle_slope;
            k->b[row++] = -g / root;
        }
        at += run->evidence.n;
    }
    for (int i = 0; i < n; i++) {
        k->A[row * n + i] = 1.0;
        k->b[row++] = -inner[i];
        cost += 0.5 * inner[i] * inner[i];
    }
    return cost;
}

static double block_cost(const block_work *k, const double *inner)
{
    double cost = 0.0;
    int at = 0;
    for (int r = 0; r < k->m->n_runs; r++) {
        const ep_model_run *run = &k->m->run[r];
        for (int i = 0; i < run->evidence.n && run->block == k->block; i++) {
            const ep_datum *d = &run->evidence.datum[i];
            row_of w = make_row(run, d, k->slope[at + i], k->scatter, k->misfit);
            double g, h;
            cost += ep_datum_cost(d, k->f[at + i] + row_dot(&w, inner), &g, &h);
        }
        at += run->evidence.n;
    }
    for (int i = 0; i < k->n; i++) {
        cost += 0.5 * inner[i] * inner[i];
    }
    return cost;
}

// Newton with halving; leaves R of the curvature at the mode
static double settle_block(block_work *k, double *inner, double *step, double *tried)
{
    double cost = fill(k, inner);
    for (int round = 0; round < 12; round++) {
        ep_qr(k->A, k->rows, k->n, k->b);
        ep_qr_back(k->A, k->n, k->b, step);
        double share = 1.0, next = 0.0;
        for (int cut = 0; cut < 8; cut++, share *= 0.5) {
            for (int i = 0; i < k->n; i++) {
                tried[i] = inner[i] + share * step[i];
            }
            next = block_cost(k, tried);
            if (next <= cost) {
                break;
            }
        }
        double fall = cost - next;
        if (!(fall > 0.0)) {
            break;
        }
        memcpy(inner, tried, (size_t)k->n * sizeof *inner);
        cost = fill(k, inner);
        if (fall < 1e-5) {
            break;
        }
    }
    fill(k, inner);
    ep_qr(k->A, k->rows, k->n, k->b);
    return cost;
}

static int block_rows(const ep_model *m, int block, int n)
{
    int rows = n;
    for (int r = 0; r < m->n_runs; r++) {
        rows += m->run[r].block == block ? m->run[r].evidence.n : 0;
    }
    return rows;
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
        k.rows = block_rows(m, b, k.n);
        double *room = malloc(((size_t)k.rows * (n + 1) + 2 * n) * sizeof *room);
        if (!room) {
            return -(double)INFINITY;
        }
        k.A = room;
        k.b = k.A + (size_t)k.rows * n;
        double *step = k.b + k.rows, *tried = step + n;
        memset(inner, 0, n * sizeof *inner);
        total -= settle_block(&k, inner, step, tried);
        for (int i = 0; i < k.n; i++) {
            total -= log(fabs(k.A[i * k.n + i]));
        }
        if (draw_from) {
            ep_qr_back(k.A, k.n, draw_from, step);
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
