// Importance draws, their tail, and tempering.
#include "learn/sampling.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/rng.h"

double ep_log_sum_exp(const double *x, int n)
{
    double most = -(double)INFINITY, sum = 0.0;
    for (int i = 0; i < n; i++) {
        most = fmax(most, x[i]);
    }
    for (int i = 0; i < n; i++) {
        sum += exp(x[i] - most);
    }
    return most + log(sum);
}

static void normalise(double *logw, int n)
{
    double total = ep_log_sum_exp(logw, n);
    for (int i = 0; i < n; i++) {
        logw[i] -= total;
    }
}

static double effective(const double *logw, int n)
{
    double sum = 0.0;
    for (int i = 0; i < n; i++) {
        sum += exp(2.0 * logw[i]);
    }
    return sum > 0.0 ? 1.0 / sum : 0.0;
}

// profile log likelihood of the reparameterised law at theta
static double profile(const double *x, int n, double theta, double *k)
{
    double sum = 0.0;
    for (int i = 0; i < n; i++) {
        sum += log1p(-theta * x[i]);
    }
    *k = sum / n;
    return n * (log(-theta / *k) - *k - 1.0);
}

double ep_gpd_fit(const double *x, int n, double *sigma)
{
    const int grid = 30 + (int)sqrt((double)n);
    const double quarter = x[(int)floor(n / 4.0 + 0.5) - 1 < 0 ? 0 : (int)floor(n / 4.0 + 0.5) - 1];
    double theta[512], level[512], k = 0.0;
    const int m = grid < 512 ? grid : 512;
    for (int j = 0; j < m; j++) {
        theta[j] = 1.0 / x[n - 1] + (1.0 - sqrt(m / (j + 0.5))) / (3.0 * quarter);
        level[j] = profile(x, n, theta[j], &k);
    }
    double mean = 0.0;
    for (int j = 0; j < m; j++) {
        double against = 0.0;
        for (int i = 0; i < m; i++) {
            against += exp(level[i] - level[j]);
        }
        mean += theta[j] / against;
    }
    profile(x, n, mean, &k);
    *sigma = -k / mean;
    return (k * n + 0.5 * 10.0) / (n + 10.0);
}

typedef struct ranked {
    double logw;
    int at;
} ranked;

static int by_weight(const void *a, const void *b)
{
    const ranked *x = a, *y = b;
    return x->logw < y->logw ? -1 : (x->logw > y->logw ? 1 : x->at - y->at);
}

double ep_psis_limit(int n)
{
    return fmin(1.0 - 1.0 / log10((double)n), 0.7);
}

double ep_psis(double *logw, int n)
{
    const int tail = (int)fmin(0.2 * n, 3.0 * sqrt((double)n));
    ranked *r = n >= 25 ? malloc((size_t)n * sizeof *r) : NULL;
    double *x = r ? malloc((size_t)tail * sizeof *x) : NULL;
    double khat = (double)INFINITY;
    if (x) {
        for (int i = 0; i < n; i++) {
            r[i] = (ranked){isfinite(logw[i]) ? logw[i] : -1e300, i};
        }
        qsort(r, (size_t)n, sizeof *r, by_weight);
        const double top = r[n - 1].logw, cut = r[n - tail - 1].logw;
        for (int i = 0; i < tail; i++) {
            x[i] = exp(r[n - tail + i].logw - top) - exp(cut - top);
        }
        // equal weights have no tail at all
        if (x[tail - 1] > 1e-12 && x[0] >= 0.0 && cut > -1e299) {
            for (int i = 0; i < tail; i++) {
                x[i] = fmax(x[i], 1e-300);
            }
            double sigma = 0.0;
            khat = ep_gpd_fit(x, tail, &sigma);
            for (int i = 0; i < tail && isfinite(khat); i++) {
                double p = (i + 0.5) / tail;
                double q = fabs(khat) < 1e-12 ? -log1p(-p) * sigma
                                              : sigma / khat * expm1(-khat * log1p(-p));
                logw[r[n - tail + i].at] = fmin(log(q + exp(cut - top)) + top, top);
            }
        } else if (x[tail - 1] <= 1e-12) {
            khat = -(double)INFINITY;
        }
    }
    for (int i = 0; i < n; i++) {
        logw[i] = isfinite(logw[i]) ? logw[i] : -1e300;
    }
    normalise(logw, n);
    free(x);
    free(r);
    return khat;
}

// systematic: one uniform for all, so the count of each is within one of its expectation
static void resample(const double *logw, int n, int keep, double uniform, int *index)
{
    double total = exp(logw[0]);
    int at = 0;
    for (int i = 0; i < keep; i++) {
        double want = (i + uniform) / keep;
        while (total < want && at + 1 < n) {
            total += exp(logw[++at]);
        }
        index[i] = at;
    }
}

static double log_prior(const double *x, int n)
{
    double sum = 0.0;
    for (int i = 0; i < n; i++) {
        sum += x[i] * x[i];
    }
    return -0.5 * sum;
}

// chi-squared with 6 degrees of freedom is twice a gamma(3): a sum of three exponentials
static double chi2_6(ep_rng *r)
{
    return -2.0 * log(ep_rng_uniform(r) * ep_rng_uniform(r) * ep_rng_uniform(r));
}

static void propose(ep_rng *r, int n, const double *mean, const double *L, double *x, double *logq)
{
    double z2 = 0.0, z[1024];
    for (int i = 0; i < n; i++) {
        z[i] = ep_rng_normal(r);
    }
    double stretch = sqrt(6.0 / chi2_6(r));
    for (int i = 0; i < n; i++) {
        z[i] *= stretch;
        z2 += z[i] * z[i];
    }
    for (int i = 0; i < n; i++) {
        x[i] = mean[i];
        for (int j = 0; j < n; j++) {
            x[i] += L[i * n + j] * z[j];
        }
    }
    *logq = -0.5 * (6.0 + n) * log1p(z2 / 6.0);
}

ep_status ep_importance_run(ep_loglik_fn fn, void *ctx, int n, const double *mean, const double *L,
                            int tried, int keep, uint64_t seed, double *draws, ep_sample_diag *diag)
{
    if (n > 1024) {
        return EP_E_ARG;
    }
    double *x = malloc((size_t)tried * (size_t)n * sizeof *x);
    double *logw = malloc((size_t)tried * sizeof *logw),
           *logq = malloc((size_t)tried * sizeof *logq);
    int *index = malloc((size_t)keep * sizeof *index);
    ep_status s = x && logw && logq && index ? EP_OK : EP_E_MEMORY;
    ep_rng r = ep_rng_make(seed, 101);
    for (int i = 0; i < tried && s == EP_OK; i++) {
        propose(&r, n, mean, L, x + i * n, &logq[i]);
    }
    s = s == EP_OK ? fn(ctx, tried, x, logw) : s;
    if (s == EP_OK) {
        for (int i = 0; i < tried; i++) {
            logw[i] += log_prior(x + i * n, n) - logq[i];
        }
        diag->khat = ep_psis(logw, tried);
        diag->ess = effective(logw, tried);
        diag->temper_steps = 0;
        diag->accept = (double)NAN;
        resample(logw, tried, keep, ep_rng_uniform(&r), index);
        for (int i = 0; i < keep; i++) {
            memcpy(draws + i * n, x + index[i] * n, (size_t)n * sizeof *draws);
        }
    }
    free(x);
    free(logw);
    free(logq);
    free(index);
    return s;
}

typedef struct swarm {
    int n, keep;
    double *x, *loglik, *next, *next_loglik, *logw, *L, *mean;
    int *index;
} swarm;

static ep_status swarm_alloc(swarm *w)
{
    size_t n = (size_t)w->n, k = (size_t)w->keep;
    w->x = calloc(2 * k * n + 3 * k + n * n + n, sizeof *w->x);
    w->index = calloc(k, sizeof *w->index);
    if (!w->x || !w->index) {
        return EP_E_MEMORY;
    }
    w->next = w->x + k * n;
    w->loglik = w->next + k * n;
    w->next_loglik = w->loglik + k;
    w->logw = w->next_loglik + k;
    w->L = w->logw + k;
    w->mean = w->L + n * n;
    return EP_OK;
}

static double ess_at(swarm *w, double rise)
{
    for (int i = 0; i < w->keep; i++) {
        double l = rise * w->loglik[i];
        w->logw[i] = isfinite(l) ? l : -1e300;
    }
    normalise(w->logw, w->keep);
    return effective(w->logw, w->keep);
}

// largest rise of temperature that keeps half of the draws effective
static double next_rise(swarm *w, double left)
{
    if (ess_at(w, left) >= 0.5 * w->keep) {
        return left;
    }
    double lo = 0.0, hi = left;
    for (int i = 0; i < 60; i++) {
        double mid = 0.5 * (lo + hi);
        *(ess_at(w, mid) >= 0.5 * w->keep ? &lo : &hi) = mid;
    }
    double rise = fmax(lo, 1e-9 * left);
    ess_at(w, rise);
    return rise;
}

// lower Cholesky factor of the particles' covariance, a little prior added so that it never fails
static void swarm_factor(swarm *w)
{
    const int n = w->n;
    for (int i = 0; i < n; i++) {
        w->mean[i] = 0.0;
        for (int p = 0; p < w->keep; p++) {
            w->mean[i] += w->x[p * n + i] / w->keep;
        }
    }
    for (int i = 0; i < n; i++) {
        for (int j = 0; j <= i; j++) {
            double sum = i == j ? 1e-6 : 0.0;
            for (int p = 0; p < w->keep; p++) {
                sum += (w->x[p * n + i] - w->mean[i]) * (w->x[p * n + j] - w->mean[j]) / w->keep;
            }
            for (int k = 0; k < j; k++) {
                sum -= w->L[i * n + k] * w->L[j * n + k];
            }
            w->L[i * n + j] = i == j ? sqrt(fmax(sum, 1e-9)) : sum / w->L[j * n + j];
        }
    }
}

static ep_status move(swarm *w, ep_loglik_fn fn, void *ctx, double heat, double scale, ep_rng *r,
                      int *accepted)
{
    const int n = w->n;
    double z[1024];
    for (int p = 0; p < w->keep; p++) {
        for (int i = 0; i < n; i++) {
            z[i] = ep_rng_normal(r);
        }
        for (int i = 0; i < n; i++) {
            double sum = 0.0;
            for (int j = 0; j <= i; j++) {
                sum += w->L[i * n + j] * z[j];
            }
            w->next[p * n + i] = w->x[p * n + i] + scale * sum;
        }
    }
    ep_status s = fn(ctx, w->keep, w->next, w->next_loglik);
    for (int p = 0; p < w->keep && s == EP_OK; p++) {
        double now = heat * w->loglik[p] + log_prior(w->x + p * n, n);
        double then = heat * w->next_loglik[p] + log_prior(w->next + p * n, n);
        double u = ep_rng_uniform(r);
        if (isfinite(then) && (!isfinite(now) || log(u) < then - now)) {
            memcpy(w->x + p * n, w->next + p * n, (size_t)n * sizeof *w->x);
            w->loglik[p] = w->next_loglik[p];
            (*accepted)++;
        }
    }
    return s;
}

static void swarm_resample(swarm *w, double uniform)
{
    const size_t n = (size_t)w->n;
    resample(w->logw, w->keep, w->keep, uniform, w->index);
    for (int p = 0; p < w->keep; p++) {
        memcpy(w->next + (size_t)p * n, w->x + (size_t)w->index[p] * n, n * sizeof *w->x);
        w->next_loglik[p] = w->loglik[w->index[p]];
    }
    memcpy(w->x, w->next, (size_t)w->keep * n * sizeof *w->x);
    memcpy(w->loglik, w->next_loglik, (size_t)w->keep * sizeof *w->loglik);
}

static ep_status temper(swarm *w, ep_loglik_fn fn, void *ctx, int moves, ep_rng *r,
                        ep_sample_diag *diag)
{
    enum { MOST_STEPS = 60 };
    double heat = 0.0, scale = 2.38 / sqrt((double)w->n);
    int accepted = 0, tried = 0;
    ep_status s = fn(ctx, w->keep, w->x, w->loglik);
    while (heat < 1.0 && s == EP_OK && diag->temper_steps < MOST_STEPS) {
        double rise = next_rise(w, 1.0 - heat);
        heat = rise >= 1.0 - heat ? 1.0 : heat + rise;
        swarm_resample(w, ep_rng_uniform(r));
        swarm_factor(w);
        int here = 0;
        for (int m = 0; m < moves && s == EP_OK; m++) {
            s = move(w, fn, ctx, heat, scale, r, &here);
        }
        double share = (double)here / (moves * w->keep);
        // the optimal share falls from 0.44 to 0.23 with the number of unknowns
        scale *= exp(0.6 * (share - 0.25));
        accepted += here;
        tried += moves * w->keep;
        diag->temper_steps++;
    }
    diag->accept = tried ? (double)accepted / tried : (double)NAN;
    diag->ess = w->keep * fmax(diag->accept, 0.0);
    return s == EP_OK && heat < 1.0 ? EP_E_DIVERGED : s;
}

ep_status ep_temper_run(ep_loglik_fn fn, void *ctx, int n, int keep, int moves, uint64_t seed,
                        double *draws, ep_sample_diag *diag)
{
    if (n > 1024 || keep < 20) {
        return EP_E_ARG;
    }
    swarm w = {.n = n, .keep = keep};
    ep_rng r = ep_rng_make(seed, 202);
    diag->temper_steps = 0;
    ep_status s = swarm_alloc(&w);
    for (int i = 0; i < keep * n && s == EP_OK; i++) {
        w.x[i] = ep_rng_normal(&r);
    }
    s = s == EP_OK ? temper(&w, fn, ctx, moves, &r, diag) : s;
    if (s == EP_OK) {
        memcpy(draws, w.x, (size_t)keep * (size_t)n * sizeof *draws);
    }
    free(w.x);
    free(w.index);
    return s;
}
