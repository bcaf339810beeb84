// From a model to its posterior.
#include "learn/belief.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/rng.h"
#include "learn/lines.h"
#include "learn/lower.h"
#include "learn/ways.h"

const char *ep_belief_how_text(ep_belief_how how)
{
    switch (how) {
    case EP_BELIEF_PRIOR:
        return "from the tables alone: nothing was burned";
    case EP_BELIEF_LAPLACE:
        return "the bell shape round the likeliest values";
    case EP_BELIEF_IMPORTANCE:
        return "weighted draws, their check passed";
    case EP_BELIEF_TEMPERED:
        return "a tempered ensemble, because weighted draws failed their check";
    }
    return "";
}

typedef struct search {
    const ep_model *m;
    ep_lines l;
    int runs;
    const ep_belief_opts *opts;
} search;

// sd of unknown i, X X' being the covariance
static double sd_of(const double *X, int n, int i)
{
    double sum = 0.0;
    for (int k = i; k < n; k++) {
        sum += X[i * n + k] * X[i * n + k];
    }
    return sqrt(sum);
}

// lower Cholesky factor of the outer unknowns' covariance
static void outer_factor(const double *X, int n, int outer, double *L)
{
    memset(L, 0, (size_t)outer * (size_t)outer * sizeof *L);
    ep_lines_covariance(X, n, outer, L);
    ep_lower_root(L, outer, 1e-12);
}

// --- draws ---

typedef struct drawing {
    search *s;
    double *x, *f;  // every point tried and its engine predictions
    int n, cap;
    double *inner;
} drawing;

static ep_status outer_loglik(void *ctx, int count, const double *x, double *loglik)
{
    drawing *d = ctx;
    const size_t outer = (size_t)d->s->l.outer, data = (size_t)d->s->l.data;
    if (d->n + count > d->cap) {
        int cap = d->n + count;
        double *nx = realloc(d->x, (size_t)cap * outer * sizeof *nx);
        d->x = nx ? nx : d->x;
        double *nf = realloc(d->f, (size_t)cap * data * sizeof *nf);
        d->f = nf ? nf : d->f;
        if (!nx || !nf) {
            return EP_E_MEMORY;
        }
        d->cap = cap;
    }
    double *f = d->f + (size_t)d->n * data;
    memcpy(d->x + (size_t)d->n * outer, x, (size_t)count * outer * sizeof *x);
    ep_status status = ep_model_predict_many(d->s->m, count, x, d->s->l.outer, NULL, f);
    d->s->runs += count * d->s->m->n_runs;
    for (int i = 0; i < count && status == EP_OK; i++) {
        loglik[i] = ep_model_inner(d->s->m, x + (size_t)i * outer, f + (size_t)i * data,
                                   d->s->l.slope, d->inner, NULL);
    }
    d->n += count;
    return status;
}

static const double *known_prediction(const drawing *d, const double *x)
{
    const size_t outer = (size_t)d->s->l.outer;
    for (int i = d->n - 1; i >= 0; i--) {
        if (memcmp(d->x + (size_t)i * outer, x, outer * sizeof *x) == 0) {
            return d->f + (size_t)i * (size_t)d->s->l.data;
        }
    }
    return NULL;
}

// the misfits beside a draw's own
static void fill_ways(drawing *d, ep_belief *b, int draw, const double *x, const double *f,
                      uint64_t seed)
{
    const int inner = b->n_unknowns - b->n_outer;
    const int at = b->n_ways > 1 ? ep_model_block_at(d->s->m, d->s->opts->ways_of) - b->n_outer : 0;
    double z[4096];
    for (int w = 1; w < b->n_ways; w++) {
        ep_way_normals(seed, draw, w, z, inner < 4096 ? inner : 4096);
        ep_model_inner(d->s->m, x, f, d->s->l.slope, d->inner, z);
        memcpy(ep_belief_way(b, draw, w), d->inner + at, EP_BIAS_COUNT * sizeof *d->inner);
    }
}

// the lower unknowns of each outer draw, from what the engine said there
static void fill_inner(drawing *d, ep_belief *b, const double *outer_draws, uint64_t seed)
{
    const int inner = b->n_unknowns - b->n_outer;
    double z[4096];
    for (int i = 0; i < b->n_draws; i++) {
        double *row = b->draw + (size_t)i * (size_t)b->n_unknowns;
        const double *x = outer_draws + (size_t)i * (size_t)b->n_outer;
        const double *f = known_prediction(d, x);
        ep_rng r = ep_rng_make(seed, 1000 + (uint64_t)i);
        for (int k = 0; k < inner && k < 4096; k++) {
            z[k] = ep_rng_normal(&r);
        }
        memcpy(row, x, (size_t)b->n_outer * sizeof *row);
        assert(f);
        ep_model_inner(d->s->m, x, f, d->s->l.slope, row + b->n_outer, z);
        fill_ways(d, b, i, x, f, seed);
    }
}

static void laplace_draws(ep_belief *b, const double *X, uint64_t seed)
{
    const int n = b->n_unknowns;
    for (int i = 0; i < b->n_draws; i++) {
        ep_rng r = ep_rng_make(seed, 1000 + (uint64_t)i);
        double *row = b->draw + (size_t)i * (size_t)n, z[4096];
        for (int k = 0; k < n && k < 4096; k++) {
            z[k] = ep_rng_normal(&r);
        }
        for (int k = 0; k < n; k++) {
            row[k] = b->mode[k];
            for (int j = k; j < n; j++) {
                row[k] += X[(size_t)k * (size_t)n + (size_t)j] * z[j];
            }
        }
    }
}

static void moments(ep_belief *b)
{
    for (int k = 0; k < b->n_outer; k++) {
        double sum = 0.0, sq = 0.0;
        for (int i = 0; i < b->n_draws; i++) {
            sum += b->draw[(size_t)i * (size_t)b->n_unknowns + (size_t)k];
        }
        b->mean[k] = sum / b->n_draws;
        for (int i = 0; i < b->n_draws; i++) {
            double off = b->draw[(size_t)i * (size_t)b->n_unknowns + (size_t)k] - b->mean[k];
            sq += off * off;
        }
        b->sd[k] = sqrt(sq / (b->n_draws - 1));
    }
}

// kept outer draws in `kept` when the answer is EP_OK and b->how says they are good
static ep_status try_draws(drawing *d, const ep_belief_opts *o, ep_belief *b, const double *L,
                           double *kept)
{
    ep_status status = ep_importance_run(outer_loglik, d, d->s->l.outer, b->mode, L, o->tried,
                                         b->n_draws, o->seed, kept, &b->diag);
    if (status != EP_OK) {
        return status;
    }
    if (b->diag.khat < ep_psis_limit(o->tried)) {
        b->how = EP_BELIEF_IMPORTANCE;
    } else if (o->temper >= 20) {
        b->n_draws = o->temper < b->n_draws ? o->temper : b->n_draws;
        d->n = 0;
        status =
            ep_temper_run(outer_loglik, d, d->s->l.outer, b->n_draws, 5, o->seed, kept, &b->diag);
        b->how = EP_BELIEF_TEMPERED;
    }
    return status;
}

static ep_status draw_outer(search *s, const ep_belief_opts *o, ep_belief *b, const double *X)
{
    const size_t outer = (size_t)s->l.outer;
    drawing d = {.s = s, .inner = malloc((size_t)s->l.unknowns * sizeof(double))};
    double *L = malloc(outer * outer * sizeof *L);
    double *kept = malloc((size_t)b->n_draws * outer * sizeof *kept);
    ep_status status = d.inner && L && kept ? EP_OK : EP_E_MEMORY;
    if (status == EP_OK) {
        outer_factor(X, s->l.unknowns, s->l.outer, L);
        status = try_draws(&d, o, b, L, kept);
    }
    if (status == EP_OK && b->how != EP_BELIEF_LAPLACE) {
        fill_inner(&d, b, kept, o->seed);
        moments(b);
    }
    free(d.x);
    free(d.f);
    free(d.inner);
    free(L);
    free(kept);
    return status;
}

// --- how badly the rest predicts each datum ---

static void disagreements(const search *s, ep_belief *b, const double *X)
{
    const int n = s->l.unknowns;
    double *row = malloc(2 * (size_t)n * sizeof *row), *xa = row + n;
    int at = 0;
    for (int k = 0; k < s->m->n_runs && row; k++) {
        const ep_model_run *run = &s->l.m.run[k];
        for (int i = 0; i < run->evidence.n; i++, at++) {
            const ep_datum *d = &run->evidence.datum[i];
            b->fit[at] = ep_lines_fit(&s->l, k, i, at, b->mode, row);
            double doubt = 0.0;  // variance of the fit itself
            for (int j = 0; j < n; j++) {
                xa[j] = 0.0;
                for (int q = 0; q <= j; q++) {
                    xa[j] += row[q] * X[(size_t)q * (size_t)n + (size_t)j];
                }
                doubt += xa[j] * xa[j];
            }
            double g, h, cost = ep_datum_cost(d, b->fit[at], &g, &h);
            bool number = d->kind <= EP_DATUM_EXPOSED;
            double z = number ? fabs(b->fit[at] - d->value) / sqrt(d->sd_one * d->sd_one + doubt)
                              : sqrt(2.0 * fmax(cost, 0.0));
            b->disagree[at] = isnan(b->fit[at]) ? (double)NAN : z;
        }
    }
    free(row);
}

static ep_status bell(const search *s, const ep_belief_opts *o, ep_belief *b, const double *X)
{
    laplace_draws(b, X, o->seed);
    memcpy(b->mean, b->mode, (size_t)s->l.outer * sizeof *b->mean);
    for (int i = 0; i < s->l.outer; i++) {
        b->sd[i] = sd_of(X, s->l.unknowns, i);
    }
    return b->n_ways > 1 ? ep_ways_bell(b, X, ep_model_block_at(s->m, o->ways_of), o->seed) : EP_OK;
}

static ep_status from_lines(search *s, const ep_belief_opts *o, ep_belief *b)
{
    const size_t n = (size_t)s->l.unknowns;
    double *X = malloc((n * n + 1) * sizeof *X);
    ep_mode end = {0};
    ep_status status =
        X ? ep_lines_mode(&s->l, o->max_steps > 0 ? o->max_steps : 30, b->mode, X, &end)
          : EP_E_MEMORY;
    if (status == EP_OK) {
        b->how = EP_BELIEF_LAPLACE;
        b->diag.khat = (double)NAN;
        b->steps = end.steps;
        b->converged = b->converged && end.converged;
        disagreements(s, b, X);
        status = o->tried > 0 ? draw_outer(s, o, b, X) : EP_OK;
    }
    if (status == EP_OK && b->how == EP_BELIEF_LAPLACE) {
        status = bell(s, o, b, X);
    }
    free(X);
    return status;
}

// the looks handed in, and those that were not
static ep_status look_at_all(search *s, const ep_belief_opts *o, ep_belief *b, const ep_look **look,
                             ep_look **own)
{
    ep_status status = EP_OK;
    b->converged = true;
    for (int r = 0; r < s->m->n_runs && status == EP_OK; r++) {
        look[r] = o->look ? o->look[r] : NULL;
        if (!look[r]) {
            status = ep_look_at(&s->m->run[r], s->m->threads, &own[r]);
            look[r] = own[r];
        }
        if (status == EP_OK) {
            s->runs += look[r]->burns;
            b->converged = b->converged && look[r]->settled;
        }
        if (o->progress) {
            o->progress(o->progress_ctx, 0.5 * (r + 1) / s->m->n_runs);
        }
    }
    return status;
}

static ep_status learn(search *s, const ep_belief_opts *o, ep_belief *b)
{
    const size_t runs = (size_t)s->m->n_runs;
    const ep_look **look = calloc(runs + 1, sizeof *look);
    ep_look **own = calloc(runs + 1, sizeof *own);
    ep_status status = look && own ? look_at_all(s, o, b, look, own) : EP_E_MEMORY;
    status = status == EP_OK ? ep_lines_of(s->m, look, &s->l) : status;
    if (status == EP_OK) {
        status = from_lines(s, o, b);
        ep_lines_clear(&s->l);
    }
    for (size_t r = 0; r < runs && own; r++) {
        ep_look_destroy(own[r]);
    }
    free(own);
    free(look);
    return status;
}

static void prior_only(ep_belief *b, uint64_t seed)
{
    for (int i = 0; i < b->n_draws; i++) {
        ep_rng r = ep_rng_make(seed, 1000 + (uint64_t)i);
        for (int k = 0; k < b->n_unknowns; k++) {
            b->draw[(size_t)i * (size_t)b->n_unknowns + (size_t)k] = ep_rng_normal(&r);
        }
        for (int w = 1; w < b->n_ways; w++) {
            ep_way_normals(seed, i, w, ep_belief_way(b, i, w), EP_BIAS_COUNT);
        }
    }
    for (int k = 0; k < b->n_outer; k++) {
        b->sd[k] = 1.0;
    }
    b->how = EP_BELIEF_PRIOR;
    b->converged = true;
    b->diag.khat = (double)NAN;
}

ep_status ep_belief_learn(const ep_model *m, const ep_belief_opts *opts, ep_belief **out,
                          ep_err *err)
{
    ep_status status = ep_range_check(opts->draws, 16, 512, EP_U_NONE, "draws", err);
    status = status == EP_OK ? ep_range_check(opts->ways, 0, 16, EP_U_NONE, "ways", err) : status;
    if (status != EP_OK) {
        return status;
    }
    ep_belief *b = NULL;
    status = ep_belief_make(m, opts->draws, opts->ways, &b);
    search s = {.m = m, .opts = opts};
    if (status == EP_OK && b->n_data > 0) {
        status = learn(&s, opts, b);
    } else if (status == EP_OK) {
        prior_only(b, opts->seed);
    }
    if (status != EP_OK) {
        ep_belief_destroy(b);
        return ep_err_set(err, status, "", "what the burns say could not be worked out: %s",
                          ep_status_text(status));
    }
    b->engine_runs = s.runs;
    b->scatter_sd = ep_model_scatter(m, b->mode);
    b->misfit = ep_model_misfit(m, b->mode);
    if (opts->progress) {
        opts->progress(opts->progress_ctx, 1.0);
    }
    *out = b;
    return EP_OK;
}
