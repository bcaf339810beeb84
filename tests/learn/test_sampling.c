// Draws against answers known otherwise: tail shapes of importance ratios in closed form, a normal
// posterior by conjugacy, and the eight schools by one-dimensional quadrature.
#include <stdlib.h>

#include "base/rng.h"
#include "learn/sampling.h"

#include "../base/check.h"

#define EP_PI 3.14159265358979323846

// Target exponential of rate b, proposal of rate a > b: the ratio's tail is Pareto of shape
// (a - b) / a (Vehtari et al. 2024, section 2: the tail index of the ratio decides its moments).
static double khat_of_exponentials(double a, double b, uint64_t seed)
{
    enum { N = 20000 };
    double *logw = malloc(N * sizeof *logw);
    assert_non_null(logw);
    ep_rng r = ep_rng_make(seed, 0);
    for (int i = 0; i < N; i++) {
        logw[i] = (a - b) * -log(ep_rng_uniform(&r)) / a;
    }
    double k = ep_psis(logw, N), sum = 0.0;
    for (int i = 0; i < N; i++) {
        sum += exp(logw[i]);
    }
    check_near(sum, 1.0, 1e-9);
    free(logw);
    return k;
}

static void test_tail_shape(void **state)
{
    (void)state;
    check_near(khat_of_exponentials(1.0, 0.8, 1), 0.2, 0.1);
    check_near(khat_of_exponentials(1.0, 0.5, 2), 0.5, 0.1);
    check_near(khat_of_exponentials(1.0, 0.2, 3), 0.8, 0.12);
    // thresholds as published for the R package loo: 100, 320, 1000, 2200 draws
    check_near(ep_psis_limit(100), 0.5, 1e-9);
    check_near(ep_psis_limit(320), 0.6, 0.01);
    check_near(ep_psis_limit(1000), 2.0 / 3.0, 1e-6);
    check_near(ep_psis_limit(2200), 0.7, 1e-9);
}

static void test_pareto_fit(void **state)
{
    (void)state;
    // exceedances at the exact plotting positions of a generalised Pareto of shape 0.3, scale 2
    enum { N = 1000 };
    double x[N], sigma;
    for (int i = 0; i < N; i++) {
        double p = (i + 0.5) / N;
        x[i] = 2.0 / 0.3 * (pow(1.0 - p, -0.3) - 1.0);
    }
    check_near(ep_gpd_fit(x, N, &sigma), 0.3, 0.02);
    check_near(sigma, 2.0, 0.05);
}

// y = x1 + 2 x2 + e, sd 0.5, y = 3; prior N(0, I): posterior mean g y / (g'g + s2), by conjugacy
static ep_status one_line(void *ctx, int count, const double *x, double *loglik)
{
    (void)ctx;
    for (int i = 0; i < count; i++) {
        double left = (x[2 * i] + 2.0 * x[2 * i + 1] - 3.0) / 0.5;
        loglik[i] = -0.5 * left * left;
    }
    return EP_OK;
}

static void check_plane(const double *x, int n, double tol)
{
    double m0 = 0.0, m1 = 0.0, v0 = 0.0, c01 = 0.0;
    for (int i = 0; i < n; i++) {
        m0 += x[2 * i] / n;
        m1 += x[2 * i + 1] / n;
    }
    for (int i = 0; i < n; i++) {
        v0 += (x[2 * i] - m0) * (x[2 * i] - m0) / n;
        c01 += (x[2 * i] - m0) * (x[2 * i + 1] - m1) / n;
    }
    check_near(m0, 3.0 / 5.25, tol);
    check_near(m1, 6.0 / 5.25, tol);
    check_near(v0, 1.0 - 1.0 / 5.25, tol);
    check_near(c01, -2.0 / 5.25, tol);
}

static void test_normal_by_importance(void **state)
{
    (void)state;
    enum { KEEP = 2000 };
    double *x = malloc(2 * KEEP * sizeof *x);
    const double mean[2] = {0.5, 1.0}, L[4] = {1.0, 0.0, -0.4, 0.5};
    ep_sample_diag d = {0};
    assert_non_null(x);
    assert_int_equal(ep_importance_run(one_line, NULL, 2, mean, L, 8000, KEEP, 7, x, &d), EP_OK);
    assert_true(d.khat < 0.5 && d.ess > 2000.0);
    check_plane(x, KEEP, 0.05);
    free(x);
}

static void test_normal_by_tempering(void **state)
{
    (void)state;
    enum { KEEP = 2000 };
    double *x = malloc(2 * KEEP * sizeof *x), *again = malloc(2 * KEEP * sizeof *x);
    ep_sample_diag d = {0};
    assert_true(x && again);
    assert_int_equal(ep_temper_run(one_line, NULL, 2, KEEP, 8, 5, x, &d), EP_OK);
    assert_true(d.temper_steps >= 1 && d.accept > 0.1 && d.accept < 0.9);
    check_plane(x, KEEP, 0.08);
    assert_int_equal(ep_temper_run(one_line, NULL, 2, KEEP, 8, 5, again, &d), EP_OK);
    assert_memory_equal(x, again, 2 * KEEP * sizeof *x);
    free(x);
    free(again);
}

// Eight schools (Rubin 1981; data as in Gelman et al., Bayesian Data Analysis, 5.5), mu ~ N(0, 5),
// tau ~ half-Cauchy(0, 5), whitened: x0 -> mu, x1 -> tau by quantiles, x2.. -> effects
static const double Y[8] = {28, 8, -3, 7, -1, 1, 18, 12}, S[8] = {15, 10, 16, 11, 9, 11, 10, 18};

static double tau_of(double z)
{
    return 5.0 * tan(0.5 * EP_PI * fmin(ep_normal_cdf(z), 1.0 - 1e-12));
}

static ep_status schools(void *ctx, int count, const double *x, double *loglik)
{
    (void)ctx;
    for (int i = 0; i < count; i++) {
        const double *p = x + 10 * i;
        loglik[i] = 0.0;
        for (int k = 0; k < 8; k++) {
            double left = (5.0 * p[0] + tau_of(p[1]) * p[2 + k] - Y[k]) / S[k];
            loglik[i] -= 0.5 * left * left;
        }
    }
    return EP_OK;
}

static void test_eight_schools(void **state)
{
    (void)state;
    enum { KEEP = 4000 };
    double *x = malloc(10 * KEEP * sizeof *x);
    ep_sample_diag d = {0};
    assert_non_null(x);
    assert_int_equal(ep_temper_run(schools, NULL, 10, KEEP, 40, 11, x, &d), EP_OK);
    double mu = 0.0, tau = 0.0, first = 0.0, seventh = 0.0, mu2 = 0.0;
    for (int i = 0; i < KEEP; i++) {
        const double *p = x + 10 * i;
        double m = 5.0 * p[0], t = tau_of(p[1]);
        mu += m / KEEP;
        mu2 += m * m / KEEP;
        tau += t / KEEP;
        first += (m + t * p[2]) / KEEP;
        seventh += (m + t * p[8]) / KEEP;
    }
    // exact values by quadrature over tau to 12 digits; four standard errors of 2000 draws
    check_near(mu, 4.396820713833, 4.0 * 3.3177 / sqrt(2000.0));
    check_near(sqrt(mu2 - mu * mu), 3.31770446313956, 0.3);
    check_near(tau, 3.59770548409766, 4.0 * 3.21995841466277 / sqrt(2000.0));
    check_near(first, 6.21188420405629, 4.0 * 5.5931261953307 / sqrt(2000.0));
    check_near(seventh, 6.29672412756813, 4.0 * 5.07784876 / sqrt(2000.0));
    free(x);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_tail_shape),           cmocka_unit_test(test_pareto_fit),
        cmocka_unit_test(test_normal_by_importance), cmocka_unit_test(test_normal_by_tempering),
        cmocka_unit_test(test_eight_schools),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
