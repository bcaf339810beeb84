// Several misfits beside the materials of one draw: they follow the conditional normal
// distribution, whose mean and variance have a closed form (Johnson and Wichern, Applied
// Multivariate Statistical Analysis, result 4.6; from memory).
#include "learn/ways.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "../base/check.h"
#include "base/rng.h"

enum { OUTER = 2, N = OUTER + EP_BIAS_COUNT + 3, DRAWS = 500, WAYS = 8 };

typedef struct world {
    double X[N * N], C[N * N], mode[N];
    ep_belief b;
} world;

static void make_bell(world *w)
{
    ep_rng r = ep_rng_make(11, 1);
    for (int i = 0; i < N; i++) {
        w->mode[i] = ep_rng_normal(&r);
        for (int j = i; j < N; j++) {
            w->X[i * N + j] = i == j ? 0.5 + ep_rng_uniform(&r) : 0.15 * ep_rng_normal(&r);
        }
    }
    for (int i = 0; i < N; i++) {
        for (int j = 0; j < N; j++) {
            for (int k = 0; k < N; k++) {
                w->C[i * N + j] += w->X[i * N + k] * w->X[j * N + k];
            }
        }
    }
}

static void make_draws(world *w)
{
    w->b = (ep_belief){.n_outer = OUTER, .n_unknowns = N, .n_draws = DRAWS, .n_ways = WAYS};
    w->b.mode = w->mode;
    w->b.draw = calloc((size_t)DRAWS * N, sizeof(double));
    w->b.way = calloc((size_t)DRAWS * (WAYS - 1) * EP_BIAS_COUNT, sizeof(double));
    assert_non_null(w->b.draw);
    assert_non_null(w->b.way);
    for (int i = 0; i < DRAWS; i++) {
        ep_rng r = ep_rng_make(5, (uint64_t)i);
        double z[N];
        for (int k = 0; k < N; k++) {
            z[k] = ep_rng_normal(&r);
        }
        for (int k = 0; k < N; k++) {
            w->b.draw[i * N + k] = w->mode[k];
            for (int j = k; j < N; j++) {
                w->b.draw[i * N + k] += w->X[k * N + j] * z[j];
            }
        }
    }
}

// weights of the two outer unknowns in the conditional mean of unknown u, and its variance
static void closed_form(const world *w, int u, double weight[OUTER], double *variance)
{
    const double *C = w->C;
    const double det = C[0] * C[N + 1] - C[1] * C[N];
    const double a = C[u * N], b = C[u * N + 1];
    weight[0] = (a * C[N + 1] - b * C[N]) / det;
    weight[1] = (b * C[0] - a * C[1]) / det;
    *variance = C[u * N + u] - weight[0] * a - weight[1] * b;
}

static void conditional_mean_and_variance(void **state)
{
    (void)state;
    world *w = calloc(1, sizeof *w);
    assert_non_null(w);
    make_bell(w);
    make_draws(w);
    const int at = OUTER + 1;  // not the first of the lower unknowns
    assert_int_equal(ep_ways_bell(&w->b, w->X, at, 3), EP_OK);
    const double n = DRAWS * (WAYS - 1);
    for (int q = 0; q < EP_BIAS_COUNT; q++) {
        double weight[OUTER], variance, sum = 0.0, sq = 0.0, with[OUTER] = {0};
        closed_form(w, at + q, weight, &variance);
        for (int i = 0; i < DRAWS; i++) {
            const double *x = w->b.draw + i * N;
            const double off[OUTER] = {x[0] - w->mode[0], x[1] - w->mode[1]};
            const double mean = w->mode[at + q] + weight[0] * off[0] + weight[1] * off[1];
            for (int k = 1; k < WAYS; k++) {
                const double left = ep_belief_way(&w->b, i, k)[q] - mean;
                sum += left;
                sq += left * left;
                with[0] += left * off[0] / sqrt(w->C[0]);
                with[1] += left * off[1] / sqrt(w->C[N + 1]);
            }
        }
        // within five standard errors
        check_near(sum / n, 0.0, 5.0 * sqrt(variance / n));
        check_near(sq / n, variance, 5.0 * variance * sqrt(2.0 / n));
        check_near(with[0] / n, 0.0, 5.0 * sqrt(variance / n));
        check_near(with[1] / n, 0.0, 5.0 * sqrt(variance / n));
    }
    free(w->b.draw);
    free(w->b.way);
    free(w);
}

static void the_same_again(void **state)
{
    (void)state;
    double a[8], b[8], other[8];
    ep_way_normals(3, 4, 1, a, 8);
    ep_way_normals(3, 4, 1, b, 8);
    ep_way_normals(3, 4, 2, other, 8);
    assert_memory_equal(a, b, sizeof a);
    assert_true(memcmp(a, other, sizeof a) != 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(conditional_mean_and_variance),
        cmocka_unit_test(the_same_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
