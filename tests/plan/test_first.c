// The first set of test candles from odds made up here. Rules P1-P3 in docs/planning.md.
#include "plan/plan.h"

#include "../base/check.h"

enum { SIZES = 6 };
static const char *const NAME[SIZES] = {"N1", "N2", "N3", "N4", "N5", "N6"};

static ep_wick_odds odds_of(double small, double right, double hot)
{
    ep_wick_odds o = {.members = 64, .hot = hot, .sessions_p50 = 11.0};
    o.verdict[EP_VERDICT_TOO_SMALL] = small;
    o.verdict[EP_VERDICT_RIGHT] = right;
    o.verdict[EP_VERDICT_TOO_BIG] = 1.0 - small - right;
    return o;
}

static ep_plan plan(const ep_wick_odds *odds, int n)
{
    ep_plan_opts opts = {
        .candles_each = 2, .cure_s = 3.5 * 86400.0, .session_s = 4.0 * 3600.0, .size_name = NAME};
    ep_plan p = {.n = 999};
    ep_plan_first(odds, n, &opts, &p);
    // never empty, never too many, ascending neighbours, each once
    assert_true(p.n >= 1 && p.n <= EP_PLAN_MAX && p.n <= n);
    for (int i = 1; i < p.n; i++) {
        assert_int_equal(p.pick[i].size, p.pick[i - 1].size + 1);
    }
    double chance = 0.0;
    for (int i = 0; i < p.n; i++) {
        assert_true(p.pick[i].size >= 0 && p.pick[i].size < n);
        check_has(p.sentence, NAME[p.pick[i].size]);
        assert_true(p.pick[i].reason[0] != 0);
        chance += odds[p.pick[i].size].verdict[EP_VERDICT_RIGHT];
    }
    // the sentence and the costs say the same as the picks
    check_near(p.covered, fmin(chance, 1.0), 1e-12);
    assert_int_equal(p.candles_each, 2);
    assert_int_equal(p.candles, 2 * p.n);
    check_near(p.cure_s, 3.5 * 86400.0, 0.0);
    check_near(p.days, 4.0 + p.burn_days, 1e-12);
    check_near(p.bench_h, 4.0 * p.burn_days, 1e-12);
    return p;
}

static bool picks(const ep_plan *p, int size)
{
    for (int i = 0; i < p->n; i++) {
        if (p->pick[i].size == size) {
            return true;
        }
    }
    return false;
}

// P1, P2: the likeliest and the likelier of its neighbours; two are enough when they leave less
// than one chance in four open
static void the_likeliest_and_a_neighbour(void **state)
{
    (void)state;
    ep_wick_odds o[SIZES] = {odds_of(1.0, 0.0, 0.0),  odds_of(0.9, 0.1, 0.0),
                             odds_of(0.3, 0.5, 0.2),  odds_of(0.1, 0.35, 0.5),
                             odds_of(0.0, 0.05, 0.9), odds_of(0.0, 0.0, 1.0)};
    ep_plan p = plan(o, SIZES);
    assert_int_equal(p.n, 2);
    assert_true(picks(&p, 2) && picks(&p, 3));
    check_near(p.covered, 0.85, 1e-12);
    check_has(p.sentence, "85 %");
    check_near(p.burn_days, 11.0, 0.0);
}

// P3: a third while much is open
static void a_third_while_much_is_open(void **state)
{
    (void)state;
    ep_wick_odds o[SIZES] = {odds_of(0.9, 0.1, 0.0), odds_of(0.6, 0.2, 0.2),
                             odds_of(0.4, 0.3, 0.3), odds_of(0.3, 0.2, 0.5),
                             odds_of(0.1, 0.1, 0.8), odds_of(0.0, 0.0, 1.0)};
    ep_plan p = plan(o, SIZES);
    assert_int_equal(p.n, 3);
    assert_true(picks(&p, 1) && picks(&p, 2) && picks(&p, 3));
}

// a tie goes to the smaller, cooler wick
static void a_tie_goes_to_the_cooler(void **state)
{
    (void)state;
    ep_wick_odds o[3] = {odds_of(0.1, 0.8, 0.1), odds_of(0.1, 0.8, 0.1), odds_of(0.1, 0.8, 0.1)};
    ep_plan p = plan(o, 3);
    assert_true(picks(&p, 0));
    check_has(p.pick[0].reason, "likeliest");
}

// at either end of the series the set turns inward; a series of one is still a set
static void at_the_ends(void **state)
{
    (void)state;
    ep_wick_odds low[SIZES], high[SIZES], one = odds_of(0.2, 0.5, 0.3);
    for (int i = 0; i < SIZES; i++) {
        low[i] = odds_of(0.0, 0.5 / (i + 1), 1.0 - 0.5 / (i + 1));
        high[i] = odds_of(1.0 - 0.5 / (SIZES - i), 0.5 / (SIZES - i), 0.0);
    }
    ep_plan p = plan(low, SIZES);
    assert_true(picks(&p, 0) && picks(&p, 1));
    p = plan(high, SIZES);
    assert_true(picks(&p, SIZES - 1) && picks(&p, SIZES - 2));
    p = plan(&one, 1);
    assert_int_equal(p.n, 1);
    assert_int_equal(p.pick[0].size, 0);
}

// when no size looks right the set lies where too small turns into too hot, and says so
static void when_nothing_is_right(void **state)
{
    (void)state;
    ep_wick_odds o[SIZES] = {odds_of(1.0, 0.0, 0.0), odds_of(1.0, 0.0, 0.0),
                             odds_of(0.8, 0.0, 0.2), odds_of(0.3, 0.0, 0.7),
                             odds_of(0.0, 0.0, 1.0), odds_of(0.0, 0.0, 1.0)};
    ep_plan p = plan(o, SIZES);
    assert_true(picks(&p, 3));
    check_has(p.sentence, "No size");
    check_near(p.covered, 0.0, 0.0);
    // also when all are too small, or all too hot
    for (int i = 0; i < SIZES; i++) {
        o[i] = odds_of(1.0, 0.0, 0.0);
    }
    (void)plan(o, SIZES);
    for (int i = 0; i < SIZES; i++) {
        o[i] = odds_of(0.0, 0.0, 1.0);
    }
    p = plan(o, SIZES);
    assert_true(p.n >= 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_likeliest_and_a_neighbour),
        cmocka_unit_test(a_third_while_much_is_open),
        cmocka_unit_test(a_tie_goes_to_the_cooler),
        cmocka_unit_test(at_the_ends),
        cmocka_unit_test(when_nothing_is_right),
    };
    return cmocka_run_group_tests_name("first", tests, NULL, NULL);
}
