// Householder QR and the damped steps.
#include "learn/leastsq.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { MIRRORED = 256 };  // columns at a time

// Columns from..to of A below row k, mirrored. Row by row, as the matrix lies in memory; each
// column's sum runs down its rows all the same. The mirror's vector is v0 and column k below it.
static void mirror(double *A, int m, int n, int k, double v0, double beta, int from, int to)
{
    double dot[MIRRORED];
    for (int j = from; j < to; j++) {
        dot[j - from] = v0 * A[k * n + j];
    }
    for (int i = k + 1; i < m; i++) {
        const double v = A[i * n + k], *row = A + i * n;
        for (int j = from; j < to && v != 0.0; j++) {
            dot[j - from] += v * row[j];
        }
    }
    for (int j = from; j < to; j++) {
        dot[j - from] *= beta;
    }
    for (int i = k; i < m; i++) {
        const double v = i == k ? v0 : A[i * n + k];
        double *row = A + i * n;
        for (int j = from; j < to && v != 0.0; j++) {
            row[j] -= dot[j - from] * v;
        }
    }
}

static void mirror_right(const double *A, int m, int n, int k, double v0, double beta, double *b)
{
    double dot = v0 * b[k];
    for (int i = k + 1; i < m; i++) {
        dot += A[i * n + k] * b[i];
    }
    dot *= beta;
    b[k] -= dot * v0;
    for (int i = k + 1; i < m; i++) {
        b[i] -= dot * A[i * n + k];
    }
}

static void reflect(double *A, int m, int n, int k, double *b)
{
    double norm = 0.0;
    for (int i = k; i < m; i++) {
        norm = hypot(norm, A[i * n + k]);
    }
    if (!(norm > 0.0)) {
        return;
    }
    double alpha = A[k * n + k] > 0.0 ? -norm : norm;
    double v0 = A[k * n + k] - alpha, beta = -1.0 / (alpha * v0);
    for (int from = k + 1; from < n; from += MIRRORED) {
        mirror(A, m, n, k, v0, beta, from, from + MIRRORED < n ? from + MIRRORED : n);
    }
    if (b) {
        mirror_right(A, m, n, k, v0, beta, b);
    }
    A[k * n + k] = alpha;
    for (int i = k + 1; i < m; i++) {
        A[i * n + k] = 0.0;
    }
}

void ep_qr(double *A, int m, int n, double *b)
{
    for (int k = 0; k < n && k < m; k++) {
        reflect(A, m, n, k, b);
    }
}

void ep_qr_back(const double *R, int n, const double *b, double *x)
{
    for (int i = n - 1; i >= 0; i--) {
        double sum = b[i];
        for (int j = i + 1; j < n; j++) {
            sum -= R[i * n + j] * x[j];
        }
        x[i] = R[i * n + i] != 0.0 ? sum / R[i * n + i] : 0.0;
    }
}

void ep_qr_inverse(const double *R, int n, double *X)
{
    memset(X, 0, (size_t)n * (size_t)n * sizeof *X);
    for (int c = 0; c < n; c++) {
        for (int i = c; i >= 0; i--) {
            double sum = i == c ? 1.0 : 0.0;
            for (int j = i + 1; j <= c; j++) {
                sum -= R[i * n + j] * X[j * n + c];
            }
            X[i * n + c] = R[i * n + i] != 0.0 ? sum / R[i * n + i] : 0.0;
        }
    }
}

typedef struct lm {
    int m, n;
    double *r, *J;         // at the point
    double *R, *qr;        // factorised J and Q'r
    double *damped, *rhs;  // 2n x n and 2n
    double *scale, *step, *next;
} lm;

static void lm_free(lm *w)
{
    free(w->r);
}

static ep_status lm_alloc(lm *w)
{
    size_t m = (size_t)w->m, n = (size_t)w->n;
    // one block: r, J, R and its right side, the damped system, three vectors
    double *p = calloc(m + m * n + m * n + m + 2 * n * n + 2 * n + 3 * n, sizeof *p);
    if (!p) {
        return EP_E_MEMORY;
    }
    w->r = p;
    w->J = w->r + m;
    w->R = w->J + m * n;
    w->qr = w->R + m * n;
    w->damped = w->qr + m;
    w->rhs = w->damped + 2 * n * n;
    w->scale = w->rhs + 2 * n;
    w->step = w->scale + n;
    w->next = w->step + n;
    return EP_OK;
}

static void factorise(lm *w)
{
    memcpy(w->R, w->J, (size_t)w->m * (size_t)w->n * sizeof *w->R);
    memcpy(w->qr, w->r, (size_t)w->m * sizeof *w->qr);
    for (int j = 0; j < w->n; j++) {
        double norm = 0.0;
        for (int i = 0; i < w->m; i++) {
            norm = hypot(norm, w->J[i * w->n + j]);
        }
        // a slowly forgotten maximum: the plain one stalls where a column shrinks by decades
        w->scale[j] = fmax(0.5 * w->scale[j], norm);
        w->scale[j] = w->scale[j] > 0.0 ? w->scale[j] : 1.0;
    }
    ep_qr(w->R, w->m, w->n, w->qr);
}

// step = -argmin |J s + r|^2 + mu |D s|^2; returns the fall of value the model promises
static double damped_step(lm *w, double mu)
{
    const int n = w->n;
    memset(w->damped, 0, 2 * (size_t)n * (size_t)n * sizeof *w->damped);
    memset(w->rhs, 0, 2 * (size_t)n * sizeof *w->rhs);
    for (int i = 0; i < n; i++) {
        for (int j = i; j < n; j++) {
            w->damped[i * n + j] = i < w->m ? w->R[i * n + j] : 0.0;
        }
        w->rhs[i] = i < w->m ? -w->qr[i] : 0.0;
        w->damped[(n + i) * n + i] = sqrt(mu) * w->scale[i];
    }
    ep_qr(w->damped, 2 * n, n, w->rhs);
    ep_qr_back(w->damped, n, w->rhs, w->step);
    double linear = 0.0, damping = 0.0;
    for (int i = 0; i < n; i++) {
        double row = 0.0;
        for (int j = i; j < n; j++) {
            row += w->R[i * n + j] * w->step[j];
        }
        linear += row * row;
        double d = w->scale[i] * w->step[i];
        damping += d * d;
    }
    return 0.5 * linear + mu * damping;
}

static double largest_move(const lm *w, const double *x)
{
    double most = 0.0;
    for (int i = 0; i < w->n; i++) {
        most = fmax(most, fabs(w->step[i]) / fmax(fabs(x[i]), 1e-12));
    }
    return most;
}

static ep_status look(ep_lsq_fn fn, void *ctx, lm *w, const double *x, ep_lsq_out *out)
{
    ep_status s = fn(ctx, x, &out->value, w->r, w->J);
    if (s == EP_OK && !isfinite(out->value)) {
        s = EP_E_DIVERGED;
    }
    if (s == EP_OK) {
        factorise(w);
    }
    return s;
}

static void take(const lm *w, const double *x, double *next)
{
    for (int i = 0; i < w->n; i++) {
        next[i] = x[i] + w->step[i];
    }
}

// At the bottom rounding decides whether the value falls, so the last digits are won by undamped
// steps for as long as each is clearly shorter than the one before.
static ep_status polish(ep_lsq_fn fn, void *ctx, const ep_lsq_opts *opts, lm *w, double *x,
                        ep_lsq_out *out)
{
    double before = (double)INFINITY, value = 0.0;
    ep_status s = EP_OK;
    for (int i = 0; i < 40 && s == EP_OK; i++, out->steps++) {
        damped_step(w, 0.0);
        double here = largest_move(w, x);
        if (!(here < 0.9 * before)) {
            return EP_OK;
        }
        take(w, x, w->next);
        s = fn(ctx, w->next, &value, NULL, NULL);
        if (s != EP_OK || !(value <= out->value * (1.0 + 1e-9) + 1e-300)) {
            return s;
        }
        memcpy(x, w->next, (size_t)w->n * sizeof *x);
        s = look(fn, ctx, w, x, out);
        if (here <= opts->step_rel) {
            return s;
        }
        before = here;
    }
    return s;
}

static ep_status lm_steps(ep_lsq_fn fn, void *ctx, const ep_lsq_opts *opts, lm *w, double *x,
                          ep_lsq_out *out)
{
    ep_status s = look(fn, ctx, w, x, out);
    double mu = opts->damping > 0.0 ? opts->damping : 1e-3, grow = 2.0;
    while (s == EP_OK && out->steps < opts->max_steps && !out->converged) {
        double promise = damped_step(w, mu), value = 0.0;
        out->converged = promise <= fmax(opts->gain_abs, 1e-14 * fabs(out->value)) ||
                         largest_move(w, x) <= opts->step_rel;
        take(w, x, w->next);
        s = fn(ctx, w->next, &value, NULL, NULL);
        out->steps++;
        double gain = isfinite(value) && promise > 0.0 ? (out->value - value) / promise : -1.0;
        out->converged = out->converged || fabs(out->value - value) < opts->noise;
        if (s == EP_OK && gain > 1e-4) {
            memcpy(x, w->next, (size_t)w->n * sizeof *x);
            double t = 2.0 * gain - 1.0;
            mu = fmax(mu * fmax(0.2, 1.0 - t * t * t), 1e-16);
            grow = 2.0;
            s = look(fn, ctx, w, x, out);
        } else {
            mu *= grow;
            grow = fmin(grow * 2.0, 1e6);
        }
    }
    return s == EP_OK && out->converged && opts->polish ? polish(fn, ctx, opts, w, x, out) : s;
}

ep_status ep_lsq_run(ep_lsq_fn fn, void *ctx, int m, int n, const ep_lsq_opts *opts, double *x,
                     ep_lsq_out *out)
{
    lm w = {.m = m, .n = n};
    *out = (ep_lsq_out){0};
    ep_status s = lm_alloc(&w);
    s = s == EP_OK ? lm_steps(fn, ctx, opts, &w, x, out) : s;
    lm_free(&w);
    return s;
}
