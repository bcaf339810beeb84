// Looks at engine candles and the mode of straight lines.
#include <stdlib.h>

#include "learn/leastsq.h"
#include "learn/lines.h"

#include "maker.h"

typedef struct bench {
    maker_notes notes;
    ep_model_run run;
    ep_look *look;
} bench;

static bench *bench_new(double g_m, int candles)
{
    bench *b = calloc(1, sizeof *b);
    assert_non_null(b);
    double truth[MAKER_PARAMS] = {0};
    truth[EP_UNC_FEED] = 0.8;
    truth[EP_UNC_MELT_POINT] = -0.7;
    b->run = (ep_model_run){.burn = maker_case(g_m, 2)};
    maker_terms(&b->run);
    ep_factors x = ep_model_factors(&b->run, truth, 0.0);
    maker_burn(&b->notes, &b->run.burn, &x, candles, 0.03, 0.7, 8);
    assert_int_equal(ep_evidence_of(&b->notes.d, &b->run.evidence), EP_OK);
    assert_int_equal(ep_look_at(&b->run, 2, &b->look), EP_OK);
    return b;
}

static void bench_free(bench *b)
{
    ep_look_destroy(b->look);
    ep_evidence_clear(&b->run.evidence);
    free(b);
}

// Burns at points the look has not seen, drawn within a third of the prior about its centre: the
// engine is as far from the lines as the look says. Lines of another centre would be farther.
static void test_lines_hold_where_they_were_laid(void **state)
{
    (void)state;
    enum { POINTS = 24 };
    bench *b = bench_new(1.4, 1);
    const ep_look *k = b->look;
    const int n = k->n_params, data = k->n_data;
    assert_int_equal(n, MAKER_PARAMS);
    assert_in_range(k->rounds, 2, 4);
    assert_int_equal(k->burns, 32 * k->rounds);
    const int no_candle = 1;
    const ep_model m = {n, 1, &no_candle, 1, &b->run, 0};
    double x[POINTS * MAKER_PARAMS], *f = malloc(sizeof *f * POINTS * (size_t)data);
    ep_rng r = ep_rng_make(77, 1);
    for (int i = 0; i < POINTS * n; i++) {
        x[i] = k->at[i % n] + 0.33 * ep_rng_normal(&r);
    }
    assert_int_equal(ep_model_predict_many(&m, POINTS, x, n, NULL, f), EP_OK);
    double inside = 0.0, flat = 0.0;
    int seen = 0;
    for (int i = 0; i < POINTS * data; i++) {
        const int at = i % data;
        double line = k->f[at];
        for (int p = 0; p < n; p++) {
            line += k->jac[at * n + p] * (x[i / data * n + p] - k->at[p]);
        }
        if (isfinite(f[i]) && isfinite(line) && k->rough[at] > 0.0) {
            const double off = (f[i] - line) / k->rough[at],
                         bare = (f[i] - k->f[at]) / k->rough[at];
            inside += off * off;
            flat += bare * bare;
            seen++;
        }
    }
    assert_true(seen > POINTS * data / 2);
    assert_true(sqrt(inside / seen) < 1.5);  // as far off as it says
    assert_true(inside < flat);              // and better than no slopes at all
    free(f);
    bench_free(b);
}

static void test_bytes_and_threads(void **state)
{
    (void)state;
    bench *b = bench_new(1.0, 2);
    ep_look *one = NULL, *read = NULL;
    unsigned char *bytes = NULL, *again = NULL;
    size_t len = 0, len_again = 0;
    assert_int_equal(ep_look_at(&b->run, 1, &one), EP_OK);
    assert_int_equal(ep_look_write(b->look, &bytes, &len), EP_OK);
    assert_int_equal(ep_look_write(one, &again, &len_again), EP_OK);
    assert_int_equal(len, len_again);
    assert_memory_equal(bytes, again, len);  // 1 thread or 2
    free(again);
    again = NULL;
    assert_int_equal(ep_look_read(bytes, len, &b->run, &read), EP_OK);
    assert_int_equal(ep_look_write(read, &again, &len_again), EP_OK);
    assert_int_equal(len, len_again);
    assert_memory_equal(bytes, again, len);
    ep_look_destroy(read);
    read = NULL;
    assert_int_equal(ep_look_read(bytes, len - 8, &b->run, &read), EP_E_PARSE);
    bytes[len / 2] ^= 1;
    assert_int_equal(ep_look_read(bytes, len, &b->run, &read), EP_E_PARSE);
    bytes[len / 2] ^= 1;
    b->run.evidence.n--;  // a reading less: another wick's look
    assert_int_equal(ep_look_read(bytes, len, &b->run, &read), EP_E_PARSE);
    b->run.evidence.n++;
    assert_null(read);
    free(bytes);
    free(again);
    ep_look_destroy(one);
    bench_free(b);
}

static double level_of(const ep_lines *l, const double *v)
{
    double sum = 0.0, g, h;
    for (int i = 0; i < l->data; i++) {
        const ep_datum *d = &l->m.run[0].evidence.datum[i];
        sum += ep_datum_cost(d, ep_lines_fit(l, 0, i, i, v, NULL), &g, &h);
    }
    for (int i = 0; i < l->unknowns; i++) {
        sum += 0.5 * v[i] * v[i];
    }
    return sum;
}

// At the mode no unknown but the widths has a slope left, by differences; the covariance is that of
// a dense QR of all rows (closed form of a normal posterior).
static void test_mode_and_covariance(void **state)
{
    (void)state;
    bench *b = bench_new(1.0, 2);
    const ep_look *look = b->look;
    const int candles = 2;
    const ep_model m = {MAKER_PARAMS, 1, &candles, 1, &b->run, 0};
    ep_lines l;
    ep_mode end;
    assert_int_equal(ep_lines_of(&m, &look, &l), EP_OK);
    const size_t n = (size_t)l.unknowns, rows = n + (size_t)l.data;
    double *v = calloc(n, sizeof *v), *X = calloc(n * n, sizeof *X), *Y = calloc(n * n, sizeof *Y);
    double *A = calloc(rows * n, sizeof *A);
    assert_int_equal(ep_lines_mode(&l, 50, v, X, &end), EP_OK);
    assert_true(end.converged);
    for (int i = 0; i < l.unknowns; i++) {
        const double here = v[i], d = 1e-4;
        v[i] = here + d;
        double hi = level_of(&l, v);
        v[i] = here - d;
        double lo = level_of(&l, v);
        v[i] = here;
        if (i < l.m.n_params || i >= l.outer) {
            check_near((hi - lo) / (2.0 * d), 0.0, 0.05);
        }
    }
    for (int i = 0; i < l.data; i++) {
        double *row = A + (size_t)i * n;
        const double f = ep_lines_fit(&l, 0, i, i, v, row),
                     h = ep_datum_bend(&l.m.run[0].evidence.datum[i], f);
        for (size_t k = 0; k < n; k++) {
            row[k] *= sqrt(h);
        }
    }
    for (size_t i = 0; i < n; i++) {
        A[((size_t)l.data + i) * n + i] = 1.0;
    }
    ep_qr(A, (int)rows, (int)n, NULL);
    ep_qr_inverse(A, (int)n, Y);
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j <= i; j++) {
            double ours = 0.0, dense = 0.0;
            for (size_t k = 0; k < n; k++) {
                ours += X[i * n + k] * X[j * n + k];
                dense += Y[i * n + k] * Y[j * n + k];
            }
            const bool width = (int)i >= l.m.n_params && (int)i < l.outer;
            if (!width) {
                check_near(ours, dense, 1e-8);
            }
        }
    }
    free(A);
    free(Y);
    free(X);
    free(v);
    ep_lines_clear(&l);
    bench_free(b);
}

// looks handed in and looks worked out on the way give the same belief, byte for byte
static void test_handed_in(void **state)
{
    (void)state;
    bench *b = bench_new(1.0, 2);
    const ep_look *look = b->look;
    const int candles = 2;
    const ep_model m = {MAKER_PARAMS, 1, &candles, 1, &b->run, 0};
    ep_belief_opts o = {.seed = 3, .draws = 16};
    ep_belief *x = NULL, *y = NULL;
    unsigned char *bx = NULL, *by = NULL;
    size_t nx = 0, ny = 0;
    assert_int_equal(ep_belief_learn(&m, &o, &x, NULL), EP_OK);
    o.look = &look;
    assert_int_equal(ep_belief_learn(&m, &o, &y, NULL), EP_OK);
    assert_int_equal(ep_belief_write(x, &bx, &nx), EP_OK);
    assert_int_equal(ep_belief_write(y, &by, &ny), EP_OK);
    assert_int_equal(nx, ny);
    assert_memory_equal(bx, by, nx);
    free(bx);
    free(by);
    ep_belief_destroy(x);
    ep_belief_destroy(y);
    bench_free(b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_lines_hold_where_they_were_laid),
        cmocka_unit_test(test_bytes_and_threads),
        cmocka_unit_test(test_mode_and_covariance),
        cmocka_unit_test(test_handed_in),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
