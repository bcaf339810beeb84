// From a model to its posterior.
#include "learn/belief.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/rng.h"
#include "burn/ensemble.h"
#include "learn/leastsq.h"

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
    int data, unknowns, outer, rows;
    double *f, *slope, *jac;
    int runs;
    ep_status failed;
    const ep_belief_opts *opts;
    int looks;
} search;

// what the lower unknowns add to the prediction of a datum, and its derivative by all unknowns
static double shift(const search *s, const ep_model_run *r, const ep_datum *d, double slope,
                    const double *v, double *row)
{
    const int block = ep_model_block_at(s->m, r->block);
    const double scatter = ep_model_scatter(s->m, v), misfit = ep_model_misfit(s->m, v);
    const ep_place_in_life at = {d->life, d->minute, r->size_x};
    const int candle = block + EP_BIAS_COUNT + r->first_candle + d->candle;
    double bias = ep_model_bias(d->kind, v + block, misfit, at);
    double own = slope * scatter * v[candle];
    if (row) {
        double unit[EP_BIAS_COUNT] = {0};
        for (int p = 0; p < EP_BIAS_PARTS; p++) {
            int k = (int)d->kind * EP_BIAS_PARTS + p;
            unit[k] = 1.0;
            row[block + k] = ep_model_bias(d->kind, unit, misfit, at);
            unit[k] = 0.0;
        }
        row[candle] = slope * scatter;
    }
    return bias + own;
}

static void data_rows(search *s, const double *v, double *value, double *r, double *J)
{
    int at = 0;
    for (int k = 0; k < s->m->n_runs; k++) {
        const ep_model_run *run = &s->m->run[k];
        for (int i = 0; i < run->evidence.n; i++, at++) {
            const ep_datum *d = &run->evidence.datum[i];
            double *row = J ? J + (size_t)at * (size_t)s->unknowns : NULL;
            if (row) {
                memset(row, 0, (size_t)s->unknowns * sizeof *row);
            }
            double g, h, f = s->f[at] + shift(s, run, d, s->slope[at], v, row);
            *value += ep_datum_cost(d, f, &g, &h);
            if (!row) {
                continue;
            }
            memcpy(row, s->jac + (size_t)at * (size_t)s->m->n_params,
                   (size_t)s->m->n_params * sizeof *row);
            double root = sqrt(fmax(h, 1e-10));
            for (int j = 0; j < s->unknowns; j++) {
                row[j] *= root;
            }
            r[at] = g / root;
        }
    }
}

static ep_status objective(void *ctx, const double *v, double *value, double *r, double *J)
{
    search *s = ctx;
    // a trial value needs no derivatives: the candles' slopes of the last look serve
    ep_status status = J ? ep_model_jacobian(s->m, v, s->f, s->slope, s->jac)
                         : ep_model_predict_many(s->m, 1, v, s->unknowns, s->f);
    if (status != EP_OK) {
        return status;
    }
    s->runs += J ? ep_model_jacobian_runs(s->m) : s->m->n_runs;
    if (J && s->opts->progress) {
        s->opts->progress(s->opts->progress_ctx, 0.5 * (1.0 - 1.0 / (1.0 + 0.4 * s->looks++)));
    }
    *value = 0.0;
    data_rows(s, v, value, r, J);
    for (int i = 0; i < s->unknowns; i++) {
        *value += 0.5 * v[i] * v[i];
        if (J) {
            double *row = J + (size_t)(s->data + i) * (size_t)s->unknowns;
            memset(row, 0, (size_t)s->unknowns * sizeof *row);
            row[i] = 1.0;
            // the two widths stand still here: their joint mode is no good guess, see settle_widths
            r[s->data + i] = i < s->m->n_params || i >= s->outer ? v[i] : 0.0;
        }
    }
    return EP_OK;
}

static double width_level(search *s, const double *v, double *inner)
{
    const double a = v[s->m->n_params], b = v[s->m->n_params + 1];
    return ep_model_inner(s->m, v, s->f, s->slope, inner, NULL) - 0.5 * (a * a + b * b);
}

// The widths at the mode of their own posterior, everything that depends on them summed out: a few
// Newton steps by differences, one width at a time. *sd gets the spread of each.
static void settle_widths(search *s, double *v, double *inner, double *sd)
{
    const double d = 0.4;
    for (int round = 0; round < 3; round++) {
        for (int k = 0; k < EP_MODEL_WIDTHS; k++) {
            double *at = &v[s->m->n_params + k], here = *at;
            double mid = width_level(s, v, inner);
            *at = here - d;
            double lo = width_level(s, v, inner);
            *at = here + d;
            double hi = width_level(s, v, inner);
            double bend = fmax((2.0 * mid - lo - hi) / (d * d), 0.5);
            double step = (hi - lo) / (2.0 * d) / bend;
            *at = fmin(fmax(here + fmin(fmax(step, -1.0), 1.0), -3.0), 3.0);
            sd[k] = 1.0 / sqrt(fmax(bend, 1.0));
        }
    }
}

// X with X X' = covariance of all unknowns at the mode; s->f, slope, jac are those of the mode
// after
static ep_status curvature(search *s, const double *mode, double *X, double *rows, double *r)
{
    double value = 0.0;
    ep_status status = objective(s, mode, &value, r, rows);
    if (status == EP_OK) {
        ep_qr(rows, s->rows, s->unknowns, NULL);
        ep_qr_inverse(rows, s->unknowns, X);
    }
    return status;
}

static double row_covariance(const double *X, int n, int i, int j)
{
    double sum = 0.0;
    for (int k = i > j ? i : j; k < n; k++) {
        sum += X[i * n + k] * X[j * n + k];
    }
    return sum;
}

// lower Cholesky factor of the outer unknowns' covariance
static void outer_factor(const double *X, int n, int outer, double *L)
{
    memset(L, 0, (size_t)outer * (size_t)outer * sizeof *L);
    for (int i = 0; i < outer; i++) {
        for (int j = 0; j <= i; j++) {
            double sum = row_covariance(X, n, i, j);
            for (int k = 0; k < j; k++) {
                sum -= L[i * outer + k] * L[j * outer + k];
            }
            L[i * outer + j] = i == j ? sqrt(fmax(sum, 1e-12)) : sum / L[j * outer + j];
        }
    }
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
    const size_t outer = (size_t)d->s->outer, data = (size_t)d->s->data;
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
    ep_status status = ep_model_predict_many(d->s->m, count, x, d->s->outer, f);
    d->s->runs += count * d->s->m->n_runs;
    for (int i = 0; i < count && status == EP_OK; i++) {
        loglik[i] = ep_model_inner(d->s->m, x + (size_t)i * outer, f + (size_t)i * data,
                                   d->s->slope, d->inner, NULL);
    }
    d->n += count;
    return status;
}

static const double *known_prediction(const drawing *d, const double *x)
{
    const size_t outer = (size_t)d->s->outer;
    for (int i = d->n - 1; i >= 0; i--) {
        if (memcmp(d->x + (size_t)i * outer, x, outer * sizeof *x) == 0) {
            return d->f + (size_t)i * (size_t)d->s->data;
        }
    }
    return NULL;
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
        ep_model_inner(d->s->m, x, f, d->s->slope, row + b->n_outer, z);
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

static double square_sum(const double *x, int n)
{
    double sum = 0.0;
    for (int i = 0; i < n; i++) {
        sum += x[i] * x[i];
    }
    return sum;
}

// The bell shape is that of small steps, and the engine's answer is not straight: from a few pilot
// draws, by how much the bell must be stretched so that the fall of the target matches its own.
static ep_status bell_stretch(drawing *d, const double *mode, const double *L, uint64_t seed,
                              double *stretch)
{
    enum { PILOT = 49 };
    const int n = d->s->outer;
    double *x = malloc(PILOT * (size_t)n * sizeof *x), level[PILOT], bend[PILOT], z2[PILOT];
    if (!x) {
        return EP_E_MEMORY;
    }
    ep_rng r = ep_rng_make(seed, 303);
    memcpy(x, mode, (size_t)n * sizeof *x);
    for (int i = 1; i < PILOT; i++) {
        double *at = x + i * n;
        memcpy(at, mode, (size_t)n * sizeof *x);
        z2[i] = 0.0;
        for (int j = 0; j < n; j++) {
            double here = ep_rng_normal(&r);
            z2[i] += here * here;
            for (int k = j; k < n; k++) {
                at[k] += L[k * n + j] * here;
            }
        }
    }
    ep_status s = outer_loglik(d, PILOT, x, level);
    for (int i = 0; i < PILOT; i++) {
        level[i] -= 0.5 * square_sum(x + i * n, n);
    }
    for (int i = 1; i < PILOT; i++) {
        bend[i - 1] = isfinite(level[i]) ? 2.0 * (level[0] - level[i]) / z2[i] : (double)NAN;
    }
    double middle = ep_quantile(bend, PILOT - 1, 0.5);
    *stretch = isfinite(middle) ? 1.0 / sqrt(fmin(fmax(middle, 0.3), 2.0)) : 1.0;
    free(x);
    return s;
}

// kept outer draws in `kept` when the answer is EP_OK and b->how says they are good
static ep_status try_draws(drawing *d, const ep_belief_opts *o, ep_belief *b, const double *L,
                           double *kept)
{
    ep_status status = ep_importance_run(outer_loglik, d, d->s->outer, b->mode, L, o->tried,
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
            ep_temper_run(outer_loglik, d, d->s->outer, b->n_draws, 5, o->seed, kept, &b->diag);
        b->how = EP_BELIEF_TEMPERED;
    }
    return status;
}

static ep_status draw_outer(search *s, const ep_belief_opts *o, ep_belief *b, double *X)
{
    const size_t outer = (size_t)s->outer;
    double stretch = 1.0;
    drawing d = {.s = s, .inner = malloc((size_t)s->unknowns * sizeof(double))};
    double *L = malloc(outer * outer * sizeof *L);
    double *kept = malloc((size_t)b->n_draws * outer * sizeof *kept);
    ep_status status = d.inner && L && kept ? EP_OK : EP_E_MEMORY;
    if (status == EP_OK) {
        outer_factor(X, s->unknowns, s->outer, L);
        status = bell_stretch(&d, b->mode, L, o->seed, &stretch);
    }
    for (size_t i = 0; i < outer * outer && status == EP_OK; i++) {
        L[i] *= stretch;
    }
    for (size_t i = 0; i < outer * (size_t)s->unknowns && status == EP_OK; i++) {
        X[i] *= stretch;  // the outer rows: the bell's own draws, if it comes to them
    }
    b->stretch = stretch;
    if (status == EP_OK && o->tried > 0) {
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
    const int n = s->unknowns;
    double *row = malloc(2 * (size_t)n * sizeof *row), *xa = row + n;
    int at = 0;
    for (int k = 0; k < s->m->n_runs && row; k++) {
        const ep_model_run *run = &s->m->run[k];
        for (int i = 0; i < run->evidence.n; i++, at++) {
            const ep_datum *d = &run->evidence.datum[i];
            memset(row, 0, (size_t)n * sizeof *row);
            b->fit[at] = s->f[at] + shift(s, run, d, s->slope[at], b->mode, row);
            memcpy(row, s->jac + (size_t)at * (size_t)s->m->n_params,
                   (size_t)s->m->n_params * sizeof *row);
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

static ep_status learn(search *s, const ep_belief_opts *o, ep_belief *b)
{
    const size_t n = (size_t)s->unknowns, data = (size_t)s->data, rows = (size_t)s->rows;
    double *room = malloc((2 * data + data * (size_t)s->m->n_params + n * n + rows * n + rows + 1) *
                          sizeof *room);
    if (!room) {
        return EP_E_MEMORY;
    }
    s->f = room;
    s->slope = s->f + data;
    s->jac = s->slope + data;
    double *X = s->jac + data * (size_t)s->m->n_params, *J = X + n * n, *r = J + rows * n;
    ep_lsq_opts lsq = {.max_steps = o->max_steps > 0 ? o->max_steps : 20,
                       .step_rel = 1e-6,
                       .gain_abs = 0.05,
                       .noise = 0.15,
                       .damping = 1e-2};
    ep_lsq_out end = {0};
    double width_sd[EP_MODEL_WIDTHS] = {1.0, 1.0};
    ep_status status = EP_OK;
    for (int round = 0; round < 2 && status == EP_OK; round++) {
        status = ep_lsq_run(objective, s, s->rows, s->unknowns, &lsq, b->mode, &end);
        b->steps += end.steps;
        b->converged = end.converged;
        if (status == EP_OK) {
            status = curvature(s, b->mode, X, J, r);
            // the block's part of the mode is worked space here; the outer part is kept
            settle_widths(s, b->mode, b->draw, width_sd);
        }
    }
    for (int k = 0; k < EP_MODEL_WIDTHS && status == EP_OK; k++) {
        size_t at = (size_t)(s->m->n_params + k);
        X[at * n + at] = width_sd[k];
    }
    if (status == EP_OK) {
        b->how = EP_BELIEF_LAPLACE;
        b->diag.khat = (double)NAN;
        disagreements(s, b, X);
        if (o->progress) {
            o->progress(o->progress_ctx, 0.5);
        }
        status = draw_outer(s, o, b, X);
    }
    if (status == EP_OK && b->how == EP_BELIEF_LAPLACE) {
        laplace_draws(b, X, o->seed);
        memcpy(b->mean, b->mode, (size_t)s->outer * sizeof *b->mean);
        for (int i = 0; i < s->outer; i++) {
            b->sd[i] = sqrt(row_covariance(X, s->unknowns, i, i));
        }
    }
    free(room);
    return status;
}

static void prior_only(ep_belief *b, uint64_t seed)
{
    for (int i = 0; i < b->n_draws; i++) {
        ep_rng r = ep_rng_make(seed, 1000 + (uint64_t)i);
        for (int k = 0; k < b->n_unknowns; k++) {
            b->draw[(size_t)i * (size_t)b->n_unknowns + (size_t)k] = ep_rng_normal(&r);
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
    if (status != EP_OK) {
        return status;
    }
    ep_belief *b = NULL;
    status = ep_belief_make(m, opts->draws, &b);
    search s = {.m = m, .opts = opts};
    if (status == EP_OK && b->n_data > 0) {
        s.data = b->n_data;
        s.unknowns = b->n_unknowns;
        s.outer = b->n_outer;
        s.rows = s.data + s.unknowns;
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
