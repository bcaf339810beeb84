// What n candles prove, the margin, the scatter, and forecasts.
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "bench.h"
#include "judge/judge_int.h"

static void near(double got, double want, double tolerance)
{
    if (!(fabs(got - want) <= tolerance)) {
        fail_msg("got %.12g, want %.12g", got, want);
    }
}

static void run(const bench *b, ep_verdict *v)
{
    ep_err err = {0};
    memset(v, 0x5a, sizeof *v);
    if (ep_judge(&b->d, b->limit, v, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
}

// One-sided 95 % Clopper-Pearson lower bounds for n passes of n, from R 4.2.2 binom.test
// (alternative "greater"): the share that could fail is the rest.
static void bound_matches_clopper_pearson(void **state)
{
    (void)state;
    near(ep_zero_failure_bound(3), 1.0 - 0.3684031499, 1e-10);
    near(ep_zero_failure_bound(5), 1.0 - 0.5492802717, 1e-10);
    near(ep_zero_failure_bound(8), 1.0 - 0.6876560219, 1e-10);
    near(ep_zero_failure_bound(22), 1.0 - 0.8726945683, 1e-10);
}

// Success-run theorem, as tabled for reliability demonstration: the least n that shows
// reliability R at 95 % confidence: 14 for 0.80, 29 for 0.90, 59 for 0.95, 299 for 0.99.
static void bound_matches_the_success_run_table(void **state)
{
    (void)state;
    static const struct {
        int n;
        double reliability;
    } table[] = {{14, 0.80}, {29, 0.90}, {59, 0.95}, {299, 0.99}};
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        double may_fail = 1.0 - table[i].reliability;
        assert_true(ep_zero_failure_bound(table[i].n) <= may_fail);
        assert_true(ep_zero_failure_bound(table[i].n - 1) > may_fail);
    }
}

// Rounded figures from the closed form 1 - 0.05^(1/n), worked by hand
static void bound_in_whole_percent(void **state)
{
    (void)state;
    near(ep_zero_failure_bound(1), 0.95, 1e-12);
    assert_int_equal(lround(100.0 * ep_zero_failure_bound(2)), 78);
    assert_int_equal(lround(100.0 * ep_zero_failure_bound(3)), 63);
    assert_int_equal(lround(100.0 * ep_zero_failure_bound(10)), 26);
    assert_int_equal(lround(100.0 * ep_zero_failure_bound(59)), 5);
    assert_true(isnan(ep_zero_failure_bound(0)) && isnan(ep_zero_failure_bound(-1)));
}

static void margin_is_the_least_of_the_last_quarter(void **state)
{
    (void)state;
    static bench b;
    ep_verdict v;
    bench_open(&b);
    for (int i = 0; i < 3; i++) {
        bench_calm(&b, 10);
        bench_set(&b, i, 4, EP_READ_WALL_TEMP, 76.9);      // mid-life: no part of the margin
        bench_set(&b, i, 9, EP_READ_WALL_TEMP, 66.0 + i);  // scatter 1 C, worst 68 C of 77 C
    }
    run(&b, &v);
    assert_int_equal(v.kind, EP_VERDICT_RIGHT);
    near(v.worst_margin, (77.0 - 68.0) / 77.0, 1e-12);
    assert_non_null(
        strstr(v.proof, "Least margin in the last quarter 11.7 % (container 68 of 77 C)"));
    assert_non_null(strstr(v.proof, "scatter by 1 C"));
    assert_non_null(strstr(v.proof, "up to 63 %"));
    near(v.failure_bound_frac, 1.0 - cbrt(0.05), 1e-12);
    assert_int_equal(v.candles_right, 3);
    assert_int_equal(v.candles_wrong, 0);
}

static void a_margin_within_the_scatter_is_warned_of(void **state)
{
    (void)state;
    static bench b;
    ep_verdict v;
    bench_open(&b);
    static const double wall_C[] = {54.0, 62.0, 70.0};  // sd 8, margin 7
    for (int i = 0; i < 3; i++) {
        bench_calm(&b, 10);
        bench_set(&b, i, 10, EP_READ_WALL_TEMP, wall_C[i]);
    }
    run(&b, &v);
    bool warned = false;
    for (int i = 0; i < v.n_findings; i++) {
        warned = warned || (v.finding[i].requirement == 32 && v.finding[i].weight == EP_WARN);
    }
    assert_true(warned);
}

static void one_failure_takes_the_bound_away(void **state)
{
    (void)state;
    static bench b;
    ep_verdict v;
    bench_open(&b);
    for (int i = 0; i < 6; i++) {
        bench_calm(&b, 10);
    }
    run(&b, &v);
    assert_int_equal(lround(100.0 * v.failure_bound_frac), 39);
    bench_set(&b, 3, 10, EP_READ_FLAME, 80.0);
    run(&b, &v);
    assert_int_equal(v.kind, EP_VERDICT_TOO_BIG);
    assert_true(isnan(v.failure_bound_frac));
    assert_int_equal(v.candles_right, 5);
    assert_int_equal(v.candles_wrong, 1);
    assert_non_null(strstr(v.proof, "no bound"));
}

static void a_failed_mean_takes_the_bound_away(void **state)
{
    (void)state;
    static bench b;
    ep_verdict v;
    bench_open(&b);
    for (int i = 0; i < 3; i++) {
        bench_calm(&b, 10);
        for (int s = 1; s <= 10; s++) {
            bench_set(&b, i, s, EP_READ_AFTERGLOW, 40.0);
        }
    }
    run(&b, &v);
    assert_int_equal(v.kind, EP_VERDICT_WRONG_KIND);
    assert_true(isnan(v.failure_bound_frac));
}

static void a_forecast_says_that_it_is_one(void **state)
{
    (void)state;
    static bench b;
    ep_verdict v;
    bench_open(&b);
    bench_calm(&b, 10);
    run(&b, &v);
    assert_int_equal(v.kind, EP_VERDICT_UNKNOWN);  // as a test, one candle is too few
    b.d.simulated = true;
    run(&b, &v);
    assert_int_equal(v.kind, EP_VERDICT_RIGHT);
    assert_non_null(strstr(v.proof, "Forecast"));
    assert_true(isnan(v.failure_bound_frac));
}

static void the_maker_may_ask_for_more_candles(void **state)
{
    (void)state;
    static bench b;
    ep_verdict v;
    bench_open(&b);
    for (int i = 0; i < 3; i++) {
        bench_calm(&b, 10);
    }
    b.limit[EP_LIMIT_MIN_CANDLES].value = 5.0;
    run(&b, &v);
    assert_int_equal(v.kind, EP_VERDICT_UNKNOWN);
    assert_string_equal(v.missing[0], "2 more candles to the end");
}

// as many as the margins need: one candle far from every limit, three near one
static void fewer_candles_where_margins_are_wide(void **state)
{
    (void)state;
    static bench b;
    ep_verdict v;
    bench_open(&b);
    bench_calm(&b, 10);
    run(&b, &v);
    assert_int_equal(v.kind, EP_VERDICT_UNKNOWN);
    b.limit[EP_LIMIT_MIN_CANDLES_WIDE].value = 1.0;
    run(&b, &v);
    assert_int_equal(v.kind, EP_VERDICT_RIGHT);
    assert_int_equal(v.candles_right, 1);
    // every limit by itself brought near the readings asks for all three again
    static const ep_limit_id hot[] = {EP_LIMIT_FLAME, EP_LIMIT_WALL_STOP, EP_LIMIT_DEPTH};
    for (int i = 0; i < 3; i++) {
        double was = b.limit[hot[i]].value;
        bool judged = false;
        for (double at = was; at > 0.2 * was && !judged; at -= 0.01 * was) {
            b.limit[hot[i]].value = at;
            run(&b, &v);
            judged = v.kind != EP_VERDICT_RIGHT;
        }
        // before it fails it is in doubt
        assert_int_equal(v.kind, EP_VERDICT_UNKNOWN);
        assert_string_equal(v.missing[0], "2 more candles to the end");
        b.limit[hot[i]].value = was;
    }
}

// Upper points of Student's t: Abramowitz & Stegun (1964), table 26.10, from memory
static void student_as_tabled(void **state)
{
    (void)state;
    static const struct {
        int nu;
        double t, p;
    } row[] = {{1, 6.314, 0.95}, {2, 2.920, 0.95}, {3, 2.353, 0.95},   {4, 2.132, 0.95},
               {5, 2.015, 0.95}, {4, 3.747, 0.99}, {10, 2.228, 0.975}, {30, 2.457, 0.99}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        assert_true(fabs(ep_student_cdf(row[i].t, row[i].nu) - row[i].p) < 5e-5);
        assert_true(fabs(ep_student_cdf(-row[i].t, row[i].nu) - 1.0 + row[i].p) < 5e-5);
    }
}

// a wick that leaves 23 % of the wax by its stop height has a last quarter all the same
static void the_last_quarter_is_of_the_wax_that_burns(void **state)
{
    (void)state;
    static bench b;
    ep_verdict v;
    bench_open(&b);
    for (int i = 0; i < 3; i++) {
        int candle = bench_candle(&b, true);
        for (int s = 1; s <= 7; s++) {
            bench_calm_session(&b, candle, s, 1.0 - 0.1 * s);  // ends at 30 %
        }
    }
    run(&b, &v);
    assert_int_equal(v.kind, EP_VERDICT_RIGHT);
    for (int i = 0; i < 3; i++) {
        b.candle[i].finished = false;
    }
    run(&b, &v);
    assert_int_equal(v.kind, EP_VERDICT_UNKNOWN);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bound_matches_clopper_pearson),
        cmocka_unit_test(bound_matches_the_success_run_table),
        cmocka_unit_test(bound_in_whole_percent),
        cmocka_unit_test(margin_is_the_least_of_the_last_quarter),
        cmocka_unit_test(a_margin_within_the_scatter_is_warned_of),
        cmocka_unit_test(one_failure_takes_the_bound_away),
        cmocka_unit_test(a_failed_mean_takes_the_bound_away),
        cmocka_unit_test(a_forecast_says_that_it_is_one),
        cmocka_unit_test(the_maker_may_ask_for_more_candles),
        cmocka_unit_test(fewer_candles_where_margins_are_wide),
        cmocka_unit_test(student_as_tabled),
        cmocka_unit_test(the_last_quarter_is_of_the_wax_that_burns),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
