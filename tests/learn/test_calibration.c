// Simulation-based calibration (Talts et al. 2018, arXiv:1804.06788) of the same mode, bell shape
// and importance draws on a cheap model with a straight and a bent part: truths from the prior,
// data from the model, ranks of the truth among the draws must be uniform and 90 % intervals must
// hold 90 %.
#include <stdio.h>
#include <stdlib.h>

#include "base/rng.h"
#include "learn/leastsq.h"
#include "learn/sampling.h"

#include "../base/check.h"
#include "ranks.h"

enum { PARAMS = 3, DATA = 8, REPEATS = 500, KEEP = 99, TRIED = 1500 };

typedef struct toy {
    double y[DATA];
} toy;

// a melt front that runs ahead with the root of time, bent by its own loss
static double predict(const double *x, int i)
{
    double t = 0.5 * (i + 1);
    double fast = exp(0.25 * x[0]), loss = exp(0.5 * x[1]);
    return 10.0 * fast * (1.0 - exp(-0.4 * loss * sqrt(t))) + 0.8 * x[2];
}

static const double NOISE = 0.5;

static ep_status rows(void *ctx, const double *x, double *value, double *r, double *J)
{
    const toy *t = ctx;
    *value = 0.0;
    for (int i = 0; i < DATA + PARAMS; i++) {
        double left = i < DATA ? (predict(x, i) - t->y[i]) / NOISE : x[i - DATA];
        *value += 0.5 * left * left;
        for (int p = 0; p < PARAMS && J; p++) {
            double moved[PARAMS];
            memcpy(moved, x, sizeof moved);
            moved[p] += 1e-5;
            J[i * PARAMS + p] =
                i < DATA ? (predict(moved, i) - predict(x, i)) / 1e-5 / NOISE : (i - DATA == p);
        }
        if (J) {
            r[i] = left;
        }
    }
    return EP_OK;
}

static ep_status loglik(void *ctx, int count, const double *x, double *out)
{
    const toy *t = ctx;
    for (int k = 0; k < count; k++) {
        out[k] = 0.0;
        for (int i = 0; i < DATA; i++) {
            double left = (predict(x + k * PARAMS, i) - t->y[i]) / NOISE;
            out[k] -= 0.5 * left * left;
        }
    }
    return EP_OK;
}

static void one_repeat(uint64_t seed, int bin[PARAMS][10], int inside[PARAMS])
{
    toy t;
    double truth[PARAMS], x[PARAMS] = {0}, value, r[DATA + PARAMS], J[(DATA + PARAMS) * PARAMS];
    double X[PARAMS * PARAMS], L[PARAMS * PARAMS] = {0}, draws[KEEP * PARAMS];
    ep_rng rng = ep_rng_make(31337, seed);
    for (int p = 0; p < PARAMS; p++) {
        truth[p] = ep_rng_normal(&rng);
    }
    for (int i = 0; i < DATA; i++) {
        t.y[i] = predict(truth, i) + NOISE * ep_rng_normal(&rng);
    }
    ep_lsq_opts o = {.max_steps = 100, .step_rel = 1e-7, .gain_abs = 1e-9};
    ep_lsq_out end;
    assert_int_equal(ep_lsq_run(rows, &t, DATA + PARAMS, PARAMS, &o, x, &end), EP_OK);
    rows(&t, x, &value, r, J);
    ep_qr(J, DATA + PARAMS, PARAMS, NULL);
    ep_qr_inverse(J, PARAMS, X);
    memcpy(L, X, sizeof L);
    ep_sample_diag d = {0};
    assert_int_equal(ep_importance_run(loglik, &t, PARAMS, x, L, TRIED, KEEP, seed, draws, &d),
                     EP_OK);
    for (int p = 0; p < PARAMS; p++) {
        int rank = 0;
        for (int k = 0; k < KEEP; k++) {
            rank += draws[k * PARAMS + p] < truth[p];
        }
        bin[p][rank * 10 / (KEEP + 1)]++;
        inside[p] += rank >= 5 && rank < 95;
    }
}

static void test_ranks_are_uniform(void **state)
{
    (void)state;
    int bin[PARAMS][10] = {{0}}, inside[PARAMS] = {0};
    for (uint64_t i = 0; i < REPEATS; i++) {
        one_repeat(i, bin, inside);
    }
    for (int p = 0; p < PARAMS; p++) {
        double chi2, tail = ranks_tail(bin[p], REPEATS, &chi2), cover = (double)inside[p] / REPEATS;
        if (getenv("EP_SHOW")) {
            printf("parameter %d: chi2 %.1f p %.3f, 90 %% interval holds %.3f\n", p, chi2, tail,
                   cover);
        }
        assert_true(tail > 0.001 / PARAMS);  // Bonferroni
        assert_true(cover >= 0.86 && cover <= 0.94);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_ranks_are_uniform),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
