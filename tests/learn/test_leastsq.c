// Least squares against certified results: all 25 nonlinear sets of the NIST Statistical Reference
// Datasets in tests/learn/data/nist, from both of their starting points, with derivatives by a
// complex step. A logarithm of relative error of 8 in the worst parameter is asked for.
#include <complex.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/rng.h"
#include "learn/leastsq.h"

#include "../base/check.h"

#define EP_PI 3.14159265358979323846

typedef double complex cplx;
typedef cplx (*model_fn)(const cplx *b, double x);

static cplx bennett5(const cplx *b, double x)
{
    return b[0] * cpow(b[1] + x, -1.0 / b[2]);
}
static cplx boxbod(const cplx *b, double x)
{
    return b[0] * (1.0 - cexp(-b[1] * x));
}
static cplx chwirut(const cplx *b, double x)
{
    return cexp(-b[0] * x) / (b[1] + b[2] * x);
}
static cplx danwood(const cplx *b, double x)
{
    return b[0] * cpow(x, b[1]);
}
static cplx enso(const cplx *b, double x)
{
    double year = 2.0 * EP_PI * x / 12.0;
    return b[0] + b[1] * cos(year) + b[2] * sin(year) + b[4] * ccos(2.0 * EP_PI * x / b[3]) +
           b[5] * csin(2.0 * EP_PI * x / b[3]) + b[7] * ccos(2.0 * EP_PI * x / b[6]) +
           b[8] * csin(2.0 * EP_PI * x / b[6]);
}
static cplx eckerle4(const cplx *b, double x)
{
    cplx t = (x - b[2]) / b[1];
    return b[0] / b[1] * cexp(-0.5 * t * t);
}
static cplx gauss(const cplx *b, double x)
{
    cplx p = (x - b[3]) / b[4], q = (x - b[6]) / b[7];
    return b[0] * cexp(-b[1] * x) + b[2] * cexp(-p * p) + b[5] * cexp(-q * q);
}
static cplx hahn1(const cplx *b, double x)
{
    return (b[0] + x * (b[1] + x * (b[2] + x * b[3]))) / (1.0 + x * (b[4] + x * (b[5] + x * b[6])));
}
static cplx kirby2(const cplx *b, double x)
{
    return (b[0] + x * (b[1] + x * b[2])) / (1.0 + x * (b[3] + x * b[4]));
}
static cplx lanczos(const cplx *b, double x)
{
    return b[0] * cexp(-b[1] * x) + b[2] * cexp(-b[3] * x) + b[4] * cexp(-b[5] * x);
}
static cplx mgh09(const cplx *b, double x)
{
    return b[0] * (x * x + x * b[1]) / (x * x + x * b[2] + b[3]);
}
static cplx mgh10(const cplx *b, double x)
{
    return b[0] * cexp(b[1] / (x + b[2]));
}
static cplx mgh17(const cplx *b, double x)
{
    return b[0] + b[1] * cexp(-x * b[3]) + b[2] * cexp(-x * b[4]);
}
static cplx misra1b(const cplx *b, double x)
{
    cplx t = 1.0 + b[1] * x / 2.0;
    return b[0] * (1.0 - 1.0 / (t * t));
}
static cplx misra1c(const cplx *b, double x)
{
    return b[0] * (1.0 - 1.0 / csqrt(1.0 + 2.0 * b[1] * x));
}
static cplx misra1d(const cplx *b, double x)
{
    return b[0] * b[1] * x / (1.0 + b[1] * x);
}
static cplx rat42(const cplx *b, double x)
{
    return b[0] / (1.0 + cexp(b[1] - b[2] * x));
}
static cplx rat43(const cplx *b, double x)
{
    return b[0] / cpow(1.0 + cexp(b[1] - b[2] * x), 1.0 / b[3]);
}

static const struct {
    const char *name;
    model_fn fn;
} SETS[] = {
    {"Bennett5", bennett5}, {"BoxBOD", boxbod},    {"Chwirut1", chwirut},  {"Chwirut2", chwirut},
    {"DanWood", danwood},   {"ENSO", enso},        {"Eckerle4", eckerle4}, {"Gauss1", gauss},
    {"Gauss2", gauss},      {"Gauss3", gauss},     {"Hahn1", hahn1},       {"Kirby2", kirby2},
    {"Lanczos1", lanczos},  {"Lanczos2", lanczos}, {"Lanczos3", lanczos},  {"MGH09", mgh09},
    {"MGH10", mgh10},       {"MGH17", mgh17},      {"Misra1a", boxbod},    {"Misra1b", misra1b},
    {"Misra1c", misra1c},   {"Misra1d", misra1d},  {"Rat42", rat42},       {"Rat43", rat43},
    {"Thurber", hahn1},
};

enum { MOST_POINTS = 512, MOST_PARAMS = 9 };

typedef struct dataset {
    model_fn fn;
    int n_params, n;
    double start[2][MOST_PARAMS], certified[MOST_PARAMS], rss;
    double x[MOST_POINTS], y[MOST_POINTS];
} dataset;

static void load(const char *name, dataset *d)
{
    char path[512], line[256];
    snprintf(path, sizeof path, "%s/nist/%s.dat", EP_LEARN_DATA, name);
    FILE *f = fopen(path, "r");
    assert_non_null(f);
    bool data = false;
    for (int number = 1; fgets(line, sizeof line, f); number++) {
        double a, b, c, s;
        int k;
        if (sscanf(line, " b%d = %lf %lf %lf %lf", &k, &a, &b, &c, &s) == 5) {
            d->start[0][k - 1] = a;
            d->start[1][k - 1] = b;
            d->certified[k - 1] = c;
            d->n_params = k;
        }
        sscanf(line, "Residual Sum of Squares: %lf", &d->rss);
        data = data || (number > 55 && strncmp(line, "Data:", 5) == 0);
        if (data && sscanf(line, "%lf %lf", &a, &b) == 2) {
            d->y[d->n] = a;
            d->x[d->n++] = b;
        }
    }
    fclose(f);
}

// imaginary part as an object: C11 6.2.5 lays a complex number out as two reals
static double *cimag_of(cplx *z)
{
    return (double *)z + 1;
}

static ep_status residuals(void *ctx, const double *b, double *value, double *r, double *J)
{
    const dataset *d = ctx;
    *value = 0.0;
    for (int i = 0; i < d->n; i++) {
        cplx at[MOST_PARAMS];
        for (int k = 0; k < d->n_params; k++) {
            at[k] = b[k];
        }
        double left = creal(d->fn(at, d->x[i])) - d->y[i];
        *value += 0.5 * left * left;
        if (!J) {
            continue;
        }
        r[i] = left;
        for (int k = 0; k < d->n_params; k++) {
            const double h = 1e-30;
            at[k] = b[k];
            cimag_of(&at[k])[0] = h;
            J[i * d->n_params + k] = cimag(d->fn(at, d->x[i])) / h;
            at[k] = b[k];
        }
    }
    return EP_OK;
}

static double digits(const dataset *d, const double *b)
{
    double worst = 11.0;
    for (int k = 0; k < d->n_params; k++) {
        double off = fabs(b[k] - d->certified[k]) / fabs(d->certified[k]);
        worst = fmin(worst, off > 0.0 ? -log10(off) : 11.0);
    }
    return worst;
}

static void test_nist(void **state)
{
    (void)state;
    int short_of_it = 0;
    for (size_t i = 0; i < sizeof SETS / sizeof *SETS; i++) {
        dataset *d = calloc(1, sizeof *d);
        assert_non_null(d);
        d->fn = SETS[i].fn;
        load(SETS[i].name, d);
        assert_true(d->n >= 6 && d->n_params >= 2 && d->rss > 0.0);
        for (int s = 0; s < 2; s++) {
            double b[MOST_PARAMS];
            memcpy(b, d->start[s], sizeof b);
            ep_lsq_out out;
            ep_lsq_opts opts = {
                .max_steps = 200000, .step_rel = 1e-14, .damping = 100.0, .polish = true};
            assert_int_equal(ep_lsq_run(residuals, d, d->n, d->n_params, &opts, b, &out), EP_OK);
            double got = digits(d, b);
            if (getenv("EP_SHOW") || got < 8.0) {
                printf("%-9s start %d: %5.1f digits, %d steps\n", SETS[i].name, s + 1, got,
                       out.steps);
            }
            short_of_it += got < 8.0;
            // Lanczos1 is exact to rounding: its certified sum of squares is noise
            if (strcmp(SETS[i].name, "Lanczos1") != 0) {
                check_rel(2.0 * out.value, d->rss, 1e-7);
            }
        }
        free(d);
    }
    assert_int_equal(short_of_it, 0);
}

// two planes through points: the normal equations by hand
static ep_status line(void *ctx, const double *b, double *value, double *r, double *J)
{
    static const double x[4] = {0, 1, 2, 3}, y[4] = {1, 3, 4, 8};
    (void)ctx;
    *value = 0.0;
    for (int i = 0; i < 4; i++) {
        double left = b[0] + b[1] * x[i] - y[i];
        *value += 0.5 * left * left;
        if (J) {
            r[i] = left;
            J[2 * i] = 1.0;
            J[2 * i + 1] = x[i];
        }
    }
    return EP_OK;
}

static void test_line_and_covariance(void **state)
{
    (void)state;
    double b[2] = {10.0, -10.0}, value, r[4], J[8], X[4];
    ep_lsq_out out;
    ep_lsq_opts opts = {.max_steps = 100, .step_rel = 1e-14, .polish = true};
    assert_int_equal(ep_lsq_run(line, NULL, 4, 2, &opts, b, &out), EP_OK);
    assert_true(out.converged);
    check_near(b[0], 0.7, 1e-12);
    check_near(b[1], 2.2, 1e-12);
    // (X'X)^-1 of x = 0..3: [[0.7, -0.3], [-0.3, 0.2]]
    line(NULL, b, &value, r, J);
    ep_qr(J, 4, 2, r);
    ep_qr_inverse(J, 2, X);
    check_near(X[0] * X[0] + X[1] * X[1], 0.7, 1e-12);
    check_near(X[1] * X[3], -0.3, 1e-12);
    check_near(X[3] * X[3], 0.2, 1e-12);
}

// more columns than are mirrored at a time: R'R is A'A, and Q'b has the length of b
static void test_wide_factor(void **state)
{
    (void)state;
    enum { M = 340, N = 300 };
    double *A = malloc(2 * sizeof(double) * M * N), *R = A + (size_t)M * N, b[M], qb[M];
    assert_non_null(A);
    ep_rng r = ep_rng_make(7, 1);
    for (int i = 0; i < M * N; i++) {
        A[i] = R[i] = i % 7 == 0 ? 0.0 : ep_rng_normal(&r);
    }
    double before = 0.0, after = 0.0;
    for (int i = 0; i < M; i++) {
        b[i] = qb[i] = ep_rng_normal(&r);
        before += b[i] * b[i];
    }
    ep_qr(R, M, N, qb);
    for (int i = 0; i < M; i++) {
        after += qb[i] * qb[i];
    }
    check_near(after, before, 1e-9 * before);
    static const int column[] = {0, 1, 100, 255, 256, 257, 258, 299};
    for (size_t p = 0; p < sizeof column / sizeof *column; p++) {
        for (size_t q = 0; q <= p; q++) {
            double want = 0.0, got = 0.0;
            for (int i = 0; i < M; i++) {
                want += A[i * N + column[p]] * A[i * N + column[q]];
                got += i < N ? R[i * N + column[p]] * R[i * N + column[q]] : 0.0;
            }
            check_near(got, want, 1e-10 * M);
        }
    }
    free(A);
}

static ep_status nowhere(void *ctx, const double *b, double *value, double *r, double *J)
{
    (void)ctx, (void)b, (void)r, (void)J;
    *value = (double)NAN;
    return EP_OK;
}

static void test_refuses_a_start_without_value(void **state)
{
    (void)state;
    double b[2] = {0};
    ep_lsq_out out;
    ep_lsq_opts opts = {.max_steps = 5, .step_rel = 1e-8};
    assert_int_equal(ep_lsq_run(nowhere, NULL, 2, 2, &opts, b, &out), EP_E_DIVERGED);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_nist),
        cmocka_unit_test(test_line_and_covariance),
        cmocka_unit_test(test_wide_factor),
        cmocka_unit_test(test_refuses_a_start_without_value),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
