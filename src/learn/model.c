// Engine predictions of all data, in threads, and the part of the model that needs no engine.
#include "learn/model.h"

#include <math.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "burn/ensemble.h"

// parts of the misfit: level; drift from full to the end of the wax; per unit of size; from two
// hours to four within a session
static const double PART_SD[EP_BIAS_PARTS] = {1.0, 0.7, 0.4, 0.7};
static const double WIDTH_SD = 0.4;  // of the log of either width

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
    return ep_misfit_at(v[m->n_params + 1]);
}

double ep_misfit_at(double z)
{
    return exp(WIDTH_SD * z);
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

void ep_model_bias_row(ep_datum_kind k, double misfit, ep_place_in_life at,
                       double part[EP_BIAS_PARTS])
{
    const double sd = misfit * ep_datum_def_of(k)->misfit_sd;
    part[0] = sd * PART_SD[0];
    part[1] = sd * PART_SD[1] * (at.life - 0.3) / 0.5;
    part[2] = sd * PART_SD[2] * at.size_x;
    part[3] = sd * PART_SD[3] * fmin(fmax(at.minute - 120.0, -120.0), 180.0) / 120.0;
}

double ep_model_bias(ep_datum_kind k, const double *bias, double misfit, ep_place_in_life at)
{
    double part[EP_BIAS_PARTS], sum = 0.0;
    ep_model_bias_row(k, misfit, at, part);
    for (int p = 0; p < EP_BIAS_PARTS; p++) {
        sum += part[p] * bias[(int)k * EP_BIAS_PARTS + p];
    }
    return sum;
}

// --- burns in threads ---

typedef struct task {
    const ep_model_run *run;
    const double *x;
    double log_scatter;
    double *f;
} task;

typedef struct crew {
    const task *task;
    int n;
    atomic_int next;
    atomic_int failed;
} crew;

static ep_status burn_task(const task *t)
{
    const ep_model_run *r = t->run;
    ep_burn_case c = r->burn;
    c.factors = ep_model_factors(r, t->x, t->log_scatter);
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
        ep_status s = burn_task(&c->task[i]);
        if (s != EP_OK) {
            atomic_store(&c->failed, (int)s);
        }
    }
}

static ep_status burn_all(const ep_model *m, const task *tasks, int n)
{
    crew c = {.task = tasks, .n = n};
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
                                const double *log_scatter, double *f)
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
            tasks[n++] = (task){&m->run[r], x + (size_t)i * (size_t)stride,
                                log_scatter ? log_scatter[i] : 0.0, at};
            at += m->run[r].evidence.n;
        }
    }
    ep_status s = burn_all(m, tasks, n);
    free(tasks);
    return s;
}
