// Mode and covariance of a model whose predictions are straight lines: no burns. A datum touches
// few unknowns, so the curvature is gathered term by term; the prior adds one to every diagonal,
// which keeps the normal equations well posed.
#include "learn/lines.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "learn/leastsq.h"

void ep_lines_clear(ep_lines *l)
{
    for (int r = 0; r < l->m.n_runs && l->run; r++) {
        free(l->run[r].evidence.datum);
    }
    free(l->run);
    free(l->f);
    *l = (ep_lines){0};
}

// the engine's stray counts as the datum's own error
static ep_status widen(ep_model_run *r, const ep_look *k)
{
    ep_evidence *e = &r->evidence;
    ep_datum *own = malloc((size_t)(e->n + 1) * sizeof *own);
    if (!own) {
        e->datum = NULL;
        return EP_E_MEMORY;
    }
    memcpy(own, e->datum, (size_t)e->n * sizeof *own);
    e->datum = own;
    for (int i = 0; i < e->n; i++) {
        const double wide = hypot(own[i].sd_one, k->rough[i]);
        own[i].sd *= wide / own[i].sd_one;
        own[i].sd_one = wide;
    }
    return EP_OK;
}

// one run's lines, moved from the look's centre to parameters 0
static void lay(ep_lines *l, const ep_model_run *r, const ep_look *k, int at)
{
    int param[EP_MODEL_TERMS];
    const int n = ep_look_params(r, param);
    for (int i = 0; i < k->n_data; i++) {
        double *row = l->jac + (size_t)(at + i) * (size_t)l->m.n_params;
        l->f[at + i] = k->f[i];
        l->slope[at + i] = k->slope[i];
        for (int p = 0; p < n; p++) {
            row[param[p]] = k->jac[i * n + p];
            l->f[at + i] -= k->jac[i * n + p] * k->at[p];
        }
    }
}

ep_status ep_lines_of(const ep_model *m, const ep_look *const *look, ep_lines *out)
{
    const size_t data = (size_t)ep_model_data(m);
    *out = (ep_lines){
        .m = *m, .data = (int)data, .unknowns = ep_model_unknowns(m), .outer = ep_model_outer(m)};
    ep_model_run *run = calloc((size_t)m->n_runs + 1, sizeof *run);
    out->m.run = out->run = run;
    out->f = calloc(data * (2 + (size_t)m->n_params) + 1, sizeof *out->f);
    ep_status s = run && out->f ? EP_OK : EP_E_MEMORY;
    out->slope = out->f + data;
    out->jac = out->slope + data;
    for (int r = 0, at = 0; r < m->n_runs && s == EP_OK; at += m->run[r++].evidence.n) {
        run[r] = m->run[r];
        s = widen(&run[r], look[r]);
        lay(out, &run[r], look[r], at);
    }
    if (s != EP_OK) {
        ep_lines_clear(out);
    }
    return s;
}

void ep_lines_predict(const ep_lines *l, const double *x, double *f)
{
    for (int i = 0; i < l->data; i++) {
        const double *row = l->jac + (size_t)i * (size_t)l->m.n_params;
        f[i] = l->f[i];
        for (int p = 0; p < l->m.n_params; p++) {
            f[i] += row[p] * x[p];
        }
    }
}

// --- what a datum touches ---

enum { MOST_TOUCHED = EP_MODEL_TERMS + EP_BIAS_PARTS + 1 };

typedef struct touched {
    int n, at[MOST_TOUCHED];  // rising
    double by[MOST_TOUCHED];
} touched;

// the parameters of a run, rising: they come before everything else
static int own_params(const ep_model_run *r, int *param)
{
    const int n = ep_look_params(r, param);
    for (int i = 1; i < n; i++) {
        for (int k = i; k > 0 && param[k] < param[k - 1]; k--) {
            int swap = param[k];
            param[k] = param[k - 1];
            param[k - 1] = swap;
        }
    }
    return n;
}

// t->at[0..n_params) are the run's parameters; prediction at v
static double touch(const ep_lines *l, const ep_model_run *r, const ep_datum *d, int at,
                    int n_params, const double *v, touched *t)
{
    const double misfit = ep_model_misfit(&l->m, v);
    const int block = ep_model_block_at(&l->m, r->block);
    double f = l->f[at];
    t->n = n_params;
    for (int p = 0; p < n_params; p++) {
        t->by[p] = l->jac[(size_t)at * (size_t)l->m.n_params + (size_t)t->at[p]];
    }
    ep_model_bias_row(d->kind, misfit, (ep_place_in_life){d->life, d->minute, r->size_x},
                      t->by + t->n);
    for (int p = 0; p < EP_BIAS_PARTS; p++) {
        t->at[t->n++] = block + (int)d->kind * EP_BIAS_PARTS + p;
    }
    t->by[t->n] = l->slope[at] * ep_model_scatter(&l->m, v);
    t->at[t->n++] = block + EP_BIAS_COUNT + r->first_candle + d->candle;
    for (int k = 0; k < t->n; k++) {
        f += t->by[k] * v[t->at[k]];
    }
    return f;
}

double ep_lines_fit(const ep_lines *l, int run, int datum, int at, const double *v, double *row)
{
    touched t;
    const ep_model_run *r = &l->m.run[run];
    const int n = own_params(r, t.at);
    double f = touch(l, r, &r->evidence.datum[datum], at, n, v, &t);
    if (row) {
        memset(row, 0, (size_t)l->unknowns * sizeof *row);
        for (int k = 0; k < t.n; k++) {
            row[t.at[k]] = t.by[k];
        }
    }
    return f;
}

// --- mode ---

typedef struct hunt {
    const ep_lines *l;
    double *H, *g;  // lower triangle of the curvature; slope
    bool bell;      // curvature for the covariance, not for a step
} hunt;

static void gather(hunt *h, const touched *t, double slope, double curvature)
{
    const int n = h->l->unknowns;
    for (int p = 0; p < t->n; p++) {
        h->g[t->at[p]] += slope * t->by[p];
        for (int q = 0; q <= p; q++) {
            h->H[t->at[p] * n + t->at[q]] += curvature * t->by[p] * t->by[q];
        }
    }
}

static double data_level(hunt *h, const double *v, bool bend)
{
    double value = 0.0;
    int at = 0;
    for (int k = 0; k < h->l->m.n_runs; k++) {
        const ep_model_run *r = &h->l->m.run[k];
        touched t;
        const int n = own_params(r, t.at);
        for (int i = 0; i < r->evidence.n; i++, at++) {
            const ep_datum *d = &r->evidence.datum[i];
            double slope, curvature, f = touch(h->l, r, d, at, n, v, &t);
            value += ep_datum_cost(d, f, &slope, &curvature);
            if (bend) {
                gather(h, &t, slope, h->bell ? ep_datum_bend(d, f) : curvature);
            }
        }
    }
    return value;
}

// H = R'R; R into the upper triangle of J, zeros below
static void root_of(const double *H, int n, double *J)
{
    memset(J, 0, (size_t)n * (size_t)n * sizeof *J);
    for (int i = 0; i < n; i++) {
        for (int j = i; j < n; j++) {
            J[i * n + j] = H[j * n + i];
        }
    }
    for (int i = 0; i < n; i++) {
        const double root = sqrt(fmax(J[i * n + i], 1e-300));
        for (int j = i; j < n; j++) {
            J[i * n + j] /= root;
        }
        for (int k = i + 1; k < n; k++) {
            const double c = J[i * n + k];
            for (int j = k; j < n && c != 0.0; j++) {
                J[k * n + j] -= c * J[i * n + j];
            }
        }
    }
}

// R' r = g
static void forward(const double *R, int n, const double *g, double *r)
{
    for (int i = 0; i < n; i++) {
        r[i] = g[i];
    }
    for (int i = 0; i < n; i++) {
        r[i] /= R[i * n + i];
        for (int j = i + 1; j < n; j++) {
            r[j] -= R[i * n + j] * r[i];
        }
    }
}

// what ep_lsq_run minimises: gradient and curvature as J'r and J'J with as many rows as unknowns
static ep_status level_at(void *ctx, const double *v, double *value, double *r, double *J)
{
    hunt *h = ctx;
    const int n = h->l->unknowns;
    if (J) {
        memset(h->H, 0, (size_t)n * (size_t)n * sizeof *h->H);
        memset(h->g, 0, (size_t)n * sizeof *h->g);
    }
    *value = data_level(h, v, J != NULL);
    for (int i = 0; i < n; i++) {
        *value += 0.5 * v[i] * v[i];
        if (J) {
            h->H[i * n + i] += 1.0;
            // the two widths stand still here: their joint mode is no good guess, see settle_widths
            h->g[i] += i < h->l->m.n_params || i >= h->l->outer ? v[i] : 0.0;
        }
    }
    if (J) {
        root_of(h->H, n, J);
        forward(J, n, h->g, r);
    }
    return EP_OK;
}

static double width_level(const ep_lines *l, const double *v, const double *f, double *inner)
{
    const double a = v[l->m.n_params], b = v[l->m.n_params + 1];
    return ep_model_inner(&l->m, v, f, l->slope, inner, NULL) - 0.5 * (a * a + b * b);
}

// The widths at the mode of their own posterior, everything that depends on them summed out: a few
// Newton steps by differences, one width at a time. *sd gets the spread of each. Returns the
// largest move.
static double settle_widths(const ep_lines *l, double *v, double *room, double *sd)
{
    const double d = 0.4;
    double *f = room, *inner = f + l->data, most = 0.0;
    ep_lines_predict(l, v, f);
    for (int k = 0; k < EP_MODEL_WIDTHS; k++) {
        double *at = &v[l->m.n_params + k], here = *at, before = here;
        for (int round = 0; round < 3; round++, here = *at) {
            double mid = width_level(l, v, f, inner);
            *at = here - d;
            double lo = width_level(l, v, f, inner);
            *at = here + d;
            double hi = width_level(l, v, f, inner);
            double bend = fmax((2.0 * mid - lo - hi) / (d * d), 0.5);
            double step = (hi - lo) / (2.0 * d) / bend;
            *at = fmin(fmax(here + fmin(fmax(step, -1.0), 1.0), -3.0), 3.0);
            sd[k] = 1.0 / sqrt(fmax(bend, 1.0));
        }
        most = fmax(most, fabs(*at - before));
    }
    return most;
}

static ep_status find_mode(hunt *h, int max_steps, double *v, double *room, ep_mode *out)
{
    enum { MOST_ROUNDS = 6 };
    const ep_lsq_opts o = {
        .max_steps = max_steps, .step_rel = 1e-9, .gain_abs = 1e-4, .damping = 1e-6};
    const int n = h->l->unknowns;
    double moved = 1.0;
    ep_status s = EP_OK;
    for (int round = 0; round < MOST_ROUNDS && moved > 0.03 && s == EP_OK; round++) {
        ep_lsq_out end = {0};
        s = ep_lsq_run(level_at, h, n, n, &o, v, &end);
        out->steps += end.steps;
        out->converged = end.converged;
        if (s == EP_OK) {
            moved = settle_widths(h->l, v, room, out->width_sd);
        }
    }
    return s;
}

ep_status ep_lines_mode(const ep_lines *l, int max_steps, double *v, double *X, ep_mode *out)
{
    const size_t n = (size_t)l->unknowns;
    double *room = malloc((2 * n * n + 3 * n + (size_t)l->data + 1) * sizeof *room), value = 0.0;
    if (!room) {
        return EP_E_MEMORY;
    }
    double *J = room + n * n, *r = J + n * n;
    hunt h = {.l = l, .H = room, .g = r + n};
    *out = (ep_mode){.width_sd = {1.0, 1.0}};
    ep_status s = find_mode(&h, max_steps, v, h.g + n, out);
    h.bell = true;
    s = s == EP_OK ? level_at(&h, v, &value, r, J) : s;
    if (s == EP_OK) {
        ep_qr_inverse(J, l->unknowns, X);
        for (int k = 0; k < EP_MODEL_WIDTHS; k++) {
            const size_t at = (size_t)(l->m.n_params + k);
            X[at * n + at] = out->width_sd[k];
        }
    }
    free(room);
    return s;
}

void ep_lines_covariance(const double *X, int unknowns, int n, double *C)
{
    for (int i = 0; i < n; i++) {
        for (int j = 0; j <= i; j++) {
            double sum = 0.0;
            for (int k = i; k < unknowns; k++) {
                sum += X[i * unknowns + k] * X[j * unknowns + k];
            }
            C[i * n + j] = sum;
        }
    }
}
