// Rules N1-N7 of the next test, each in a case that turns on it.
#include "plan/next.h"

#include "../base/check.h"

static const char *const NAMES[] = {"1", "2", "3", "4"};

static ep_next_in four(const ep_next_size *s)
{
    return (ep_next_in){.n = 4,
                        .size = s,
                        .need = 3,
                        .cure_days = 10,
                        .burn_days = 12,
                        .day_cost = EP_NEXT_DAY_COST,
                        .scatter_sd = 0.045,
                        .burned_sessions = 4,
                        .size_name = NAMES};
}

static bool pours(const ep_next *p, int size)
{
    for (int i = 0; i < p->n; i++) {
        if (p->pick[i].size == size) {
            return true;
        }
    }
    return false;
}

static void test_pours_the_likeliest(void **state)
{
    (void)state;
    const ep_next_size s[4] = {{.right = 0.1, .small = 0.9},
                               {.right = 0.7, .small = 0.2, .hot = 0.1},
                               {.right = 0.3, .hot = 0.7},
                               {.hot = 1.0}};
    ep_next_in in = four(s);
    ep_next out;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_POUR);
    assert_int_equal(out.pick[0].size, 1);
    check_near(out.chance_wrong, 1.0 - 0.7, 1.0 / 64);  // of 64 draws
    check_has(out.sentence, "2");
}

// what is said beside a number must account for it: where the rest of the odds is
static void test_says_what_the_numbers_leave_out(void **state)
{
    (void)state;
    ep_next_size s[4] = {{.small = 1.0}, {.right = 0.6, .small = 0.1}, {.hot = 1.0}, {.hot = 1.0}};
    ep_next_in in = four(s);
    ep_next out;
    ep_plan_next(&in, &out);
    check_has(out.pick[0].reason, ", 30 % the wrong kind)");
    s[1] = (ep_next_size){.right = 0.8, .hot = 0.15, .finished_right = 1};
    ep_plan_next(&in, &out);
    assert_int_equal(out.pick[0].size, 1);
    assert_null(strstr(out.pick[0].reason, "wrong kind"));
}

// while the odds are open one candle shows as much as three; where the draws are sure, or days are
// dear, all that a proof wants goes into one round, as it does once one passed
static void test_replicates_follow_the_odds(void **state)
{
    (void)state;
    ep_next_size s[4] = {{.small = 1.0}, {.right = 1.0}, {.hot = 1.0}, {.hot = 1.0}};
    ep_next_in in = four(s);
    ep_next out;
    ep_plan_next(&in, &out);
    assert_int_equal(out.candles[0], 3);
    s[1].right = 0.5;
    ep_plan_next(&in, &out);
    assert_int_equal(out.candles[0], 1);
    in.day_cost = 0.3;
    ep_plan_next(&in, &out);
    assert_int_equal(out.candles[0], 3);
    s[1].right = 0.2;
    ep_plan_next(&in, &out);
    assert_int_equal(out.candles[0], 1);
    in.day_cost = EP_NEXT_DAY_COST;
    s[1].right = 0.9;
    s[1].finished_right = 1;
    ep_plan_next(&in, &out);
    assert_int_equal(out.candles[0], 2);
    s[1].finished_right = 2;
    ep_plan_next(&in, &out);
    assert_int_equal(out.candles[0], 1);
}

static void test_real_verdicts_beat_odds(void **state)
{
    (void)state;
    ep_next_size s[4] = {{.right = 0.2}, {.right = 0.3}, {.right = 0.6}, {.right = 0.5}};
    s[2].verdict = EP_VERDICT_TOO_BIG;
    ep_next_in in = four(s);
    ep_next out;
    ep_plan_next(&in, &out);
    assert_true(pours(&out, 1) && !pours(&out, 2) && !pours(&out, 3));
    s[1].verdict = EP_VERDICT_TOO_SMALL;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_NONE);
    s[1].verdict = EP_VERDICT_UNKNOWN;
    s[1].stopped = true;  // put out in the middle of a burn
    ep_plan_next(&in, &out);
    assert_true(pours(&out, 0) && out.n == 1);
}

// a wick that had candles enough for a proof and failed with one of them is not poured for ever
static void test_a_wick_has_its_chance_once(void **state)
{
    (void)state;
    ep_next_size s[4] = {{.right = 0.2},
                         {.right = 0.6, .candles = 3, .finished_right = 2, .finished_wrong = 1},
                         {.right = 0.3},
                         {.right = 0.1}};
    ep_next_in in = four(s);
    ep_next out;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_POUR);
    assert_true(pours(&out, 2) && !pours(&out, 1));
    s[1].finished_wrong = 0;
    ep_plan_next(&in, &out);
    assert_true(pours(&out, 1));
    s[1].candles = 6;
    ep_plan_next(&in, &out);
    assert_true(pours(&out, 2) && !pours(&out, 1));
}

static void test_burns_on_first(void **state)
{
    (void)state;
    ep_next_size s[4] = {{.right = 0.1}, {.right = 0.5, .open = 2}, {.right = 0.6}, {.right = 0.1}};
    ep_next_in in = four(s);
    ep_next out;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_BURN_ON);
    assert_int_equal(out.pick[0].size, 1);
    assert_int_equal(out.total_candles, 0);
    // hopeless ones are not burned on
    s[1].right = 0.01;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_POUR);
    assert_int_equal(out.pick[0].size, 2);
}

// the picks begin with the wick the sentence names, however many are open
static void test_burns_on_the_likeliest_of_many(void **state)
{
    (void)state;
    ep_next_size s[4] = {{.right = 0.1, .small = 0.9, .candles = 1, .open = 1},
                         {.right = 0.2, .small = 0.8, .candles = 1, .open = 1},
                         {.right = 0.3, .small = 0.7, .candles = 1, .open = 1},
                         {.right = 0.8, .hot = 0.2, .candles = 1, .open = 1}};
    ep_next_in in = four(s);
    ep_next out;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_BURN_ON);
    assert_int_equal(out.n, EP_PLAN_MAX);
    const int order[] = {3, 2, 1};
    for (int i = 0; i < out.n; i++) {
        assert_int_equal(out.pick[i].size, order[i]);
    }
    check_has(out.sentence, "candles of 4 on");
}

// hardly right, and its candle still burns: another size is poured, not a second of it
static void test_no_second_candle_of_one_that_hardly_looks_right(void **state)
{
    (void)state;
    ep_next_size s[4] = {{.small = 1.0},
                         {.right = 0.1, .small = 0.9},
                         {.right = 0.04, .hot = 0.96, .candles = 1, .open = 1},
                         {.hot = 1.0}};
    ep_next_in in = four(s);
    ep_next out;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_POUR);
    assert_false(pours(&out, 2));
    assert_true(pours(&out, 1));
    check_has(out.pick[0].reason, "shows which way to go");
}

// the shares beside a pick are those of the draws: one of them each, even when a draw is too hot
// and something else besides
static void test_shares_of_a_pick_add_up(void **state)
{
    (void)state;
    enum {
        R = EP_VERDICT_RIGHT,
        S = EP_VERDICT_TOO_SMALL,
        B = EP_VERDICT_TOO_BIG,
        W = EP_VERDICT_WRONG_KIND
    };
    const unsigned char kind[4 * 4] = {S, R, B, B, S, S, B, B, S, B, B, B, S, W, B, B};
    ep_next_size s[4] = {
        {.small = 1.0}, {.right = 0.25, .small = 0.25, .hot = 0.5}, {.hot = 1.0}, {.hot = 1.0}};
    ep_next_in in = four(s);
    in.members = 4;
    in.kind = kind;
    ep_next out;
    ep_plan_next(&in, &out);
    assert_int_equal(out.pick[0].size, 1);
    check_has(out.pick[0].reason, "25 % right, 25 % too small, 25 % too hot, 25 % the wrong kind");
}

// draws that call a wick right that failed on the bench lose their say, and those that fail the
// other way too
static void test_a_failure_is_believed(void **state)
{
    (void)state;
    enum { R = EP_VERDICT_RIGHT, S = EP_VERDICT_TOO_SMALL, B = EP_VERDICT_TOO_BIG };
    // 1 failed as too small; the draws that said it was right say 2 is too hot
    unsigned char kind[20 * 4];
    for (int m = 0; m < 20; m++) {
        const unsigned char row[2][4] = {{R, B, B, B}, {S, S, R, B}};
        memcpy(kind + m * 4, row[m >= 14], 4);
    }
    ep_next_size s[4] = {{.right = 0.7,
                          .small = 0.3,
                          .verdict = EP_VERDICT_TOO_SMALL,
                          .candles = 1,
                          .finished_wrong = 1},
                         {.small = 0.3, .hot = 0.7},
                         {.right = 0.3, .hot = 0.7},
                         {.hot = 1.0}};
    ep_next_in in = four(s);
    in.members = 20;
    in.kind = kind;
    ep_next out;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_POUR);
    assert_int_equal(out.pick[0].size, 2);
    // 6 draws of weight 1 against 14 of a fifteenth
    check_near(out.covered, 6.0 / (6.0 + 14.0 / 15.0), 1e-9);
}

static void test_proven_states_its_doubt(void **state)
{
    (void)state;
    ep_next_size s[4] = {{.right = 0.1},
                         {.right = 0.8, .verdict = EP_VERDICT_RIGHT, .finished_right = 3},
                         {.right = 0.3},
                         {.right = 0.1}};
    ep_next_in in = four(s);
    ep_next out;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_PROVEN);
    assert_int_equal(out.pick[0].size, 1);
    check_near(out.chance_wrong, 0.25 / 8.0 / (1.0 + 0.25 / 8.0), 1e-12);
    s[1].right = 0.3;
    double before = out.chance_wrong;
    ep_plan_next(&in, &out);
    assert_true(out.chance_wrong > before);
}

// fewer candles than usual prove a wick only where the draws leave next to no doubt
static void test_fewer_candles_need_belief(void **state)
{
    (void)state;
    ep_next_size s[4] = {{.small = 1.0},
                         {.right = 0.98, .verdict = EP_VERDICT_RIGHT, .finished_right = 1},
                         {.hot = 1.0},
                         {.hot = 1.0}};
    ep_next_in in = four(s);
    in.least = 1;
    ep_next out;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_PROVEN);
    assert_true(out.chance_wrong <= EP_NEXT_WRONG_MAX);
    check_has(out.sentence, "by 1 candle;");
    s[1].right = 0.9;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_POUR);
    assert_true(pours(&out, 1));
}

// two sizes as likely, a dear day: both go into one round; days that cost nothing: one by one
static void test_a_round_costs_days(void **state)
{
    (void)state;
    ep_next_size s[4] = {
        {.small = 1.0}, {.right = 0.5, .small = 0.5}, {.right = 0.5, .hot = 0.5}, {.hot = 1.0}};
    unsigned char kind[10 * 4];
    for (int m = 0; m < 10; m++) {
        const bool needs_more = m % 2;
        kind[m * 4] = EP_VERDICT_TOO_SMALL;
        kind[m * 4 + 1] = needs_more ? EP_VERDICT_TOO_SMALL : EP_VERDICT_RIGHT;
        kind[m * 4 + 2] = needs_more ? EP_VERDICT_RIGHT : EP_VERDICT_TOO_BIG;
        kind[m * 4 + 3] = EP_VERDICT_TOO_BIG;
    }
    ep_next_in in = four(s);
    in.members = 10;
    in.kind = kind;
    in.day_cost = 0.3;
    ep_next out;
    ep_plan_next(&in, &out);
    assert_true(pours(&out, 1) && pours(&out, 2));
    check_near(out.covered, 1.0, 1e-12);  // one is right in every draw
    in.day_cost = 0.0;
    ep_plan_next(&in, &out);
    assert_int_equal(out.n, 1);
    assert_int_equal(out.total_candles, 1);
}

static void test_futility(void **state)
{
    (void)state;
    ep_next_size s[4] = {{.right = 0.05, .small = 0.95},
                         {.right = 0.04, .small = 0.96},
                         {.small = 1.0},
                         {.small = 1.0}};
    ep_next_in in = four(s);
    ep_next out;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_NONE);
    check_has(out.sentence, "even the largest is too small");
    // the same odds before any burn are no reason to give up
    in.burned_sessions = 0;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_POUR);
    // draws in which one or the other size is right add up
    unsigned char kind[10 * 4] = {0};
    for (int m = 0; m < 10; m++) {
        for (int i = 0; i < 4; i++) {
            kind[m * 4 + i] = EP_VERDICT_TOO_SMALL;
        }
        kind[m * 4 + m % 4] = m < 4 ? EP_VERDICT_RIGHT : EP_VERDICT_TOO_SMALL;
    }
    in.burned_sessions = 4;
    in.members = 10;
    in.kind = kind;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_POUR);
    // candles that differ too much
    in.scatter_sd = 0.2;
    in.burned_sessions = 8;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_NONE);
    check_has(out.sentence, "look at the pour");
}

// a candle that passed is worth more than draws that do not believe it
static void test_a_pass_beats_the_draws(void **state)
{
    (void)state;
    ep_next_size s[4] = {{.right = 0.3, .small = 0.7},
                         {.right = 0.1, .small = 0.1, .hot = 0.8},
                         {.hot = 1.0},
                         {.hot = 1.0}};
    unsigned char kind[32 * 4];
    for (int m = 0; m < 32; m++) {
        kind[m * 4] = m % 3 == 0 ? EP_VERDICT_RIGHT : EP_VERDICT_TOO_SMALL;
        kind[m * 4 + 1] = m % 11 == 5 ? EP_VERDICT_RIGHT : EP_VERDICT_TOO_BIG;
        kind[m * 4 + 2] = kind[m * 4 + 3] = EP_VERDICT_TOO_BIG;
    }
    ep_next_in in = four(s);
    ep_next out;
    in.kind = kind;
    in.members = 32;
    ep_plan_next(&in, &out);
    assert_int_equal(out.pick[0].size, 0);
    s[1].candles = s[1].finished_right = 1;
    ep_plan_next(&in, &out);
    assert_true(pours(&out, 1));
    assert_true(out.covered > 0.3);
    // also when no draw has it right
    for (int m = 0; m < 32; m++) {
        kind[m * 4 + 1] = EP_VERDICT_TOO_BIG;
    }
    s[1].right = 0.0;
    ep_plan_next(&in, &out);
    assert_true(pours(&out, 1));
}

// thirty draws with none right do not show that one in twelve is not; sixty do
static void test_few_draws_do_not_end_a_search(void **state)
{
    (void)state;
    const ep_next_size s[4] = {{.small = 1.0}, {.small = 1.0}, {.hot = 1.0}, {.hot = 1.0}};
    unsigned char kind[64 * 4];
    for (int i = 0; i < 64 * 4; i++) {
        kind[i] = i % 4 < 2 ? EP_VERDICT_TOO_SMALL : EP_VERDICT_TOO_BIG;
    }
    ep_next_in in = four(s);
    ep_next out;
    in.kind = kind;
    in.members = 30;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_POUR);
    in.members = 60;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_NONE);
}

// before any burn, with no size right in any draw: where too small turns into too hot
static void test_nothing_looks_right_before_a_burn(void **state)
{
    (void)state;
    const ep_next_size s[4] = {
        {.small = 1.0}, {.small = 0.9, .hot = 0.1}, {.small = 0.6, .hot = 0.4}, {.hot = 1.0}};
    ep_next_in in = four(s);
    ep_next out;
    in.burned_sessions = 0;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_POUR);
    assert_int_equal(out.n, 1);
    assert_int_equal(out.pick[0].size, 2);
    check_has(out.sentence, "No size of this series looks right. Pour 1 of 3");
    check_near(out.chance_wrong, 1.0, 0.0);
    // after burns the same odds end the search
    in.burned_sessions = 4;
    ep_plan_next(&in, &out);
    assert_int_equal(out.status, EP_NEXT_NONE);
}

static void test_a_tie_goes_to_the_middle_then_to_the_cooler(void **state)
{
    (void)state;
    ep_next_size s[4] = {{.right = 0.3, .small = 0.7},
                         {.right = 0.3, .small = 0.4, .hot = 0.3},
                         {.right = 0.3, .small = 0.3, .hot = 0.4},
                         {.right = 0.3, .hot = 0.7}};
    ep_next_in in = four(s);
    ep_next out;
    in.each = 1;
    in.day_cost = 0.0;
    // one draw of four is right for each size and for no other
    unsigned char kind[4 * 4];
    for (int m = 0; m < 16; m++) {
        kind[m] = m % 5 == 0 ? EP_VERDICT_RIGHT : EP_VERDICT_UNKNOWN;
    }
    in.members = 4;
    in.kind = kind;
    ep_plan_next(&in, &out);
    assert_int_equal(out.n, 1);
    assert_int_equal(out.pick[0].size, 1);
}

static void test_pours_as_many_as_the_maker_asks(void **state)
{
    (void)state;
    const ep_next_size s[4] = {
        {.small = 1.0}, {.right = 0.2, .small = 0.8}, {.hot = 1.0}, {.hot = 1.0}};
    ep_next_in in = four(s);
    ep_next out;
    for (int each = 1; each <= 5; each++) {
        in.each = each;
        ep_plan_next(&in, &out);
        for (int i = 0; i < out.n; i++) {
            assert_int_equal(out.candles[i], each);
        }
        assert_int_equal(out.total_candles, each * out.n);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_pours_the_likeliest),
        cmocka_unit_test(test_says_what_the_numbers_leave_out),
        cmocka_unit_test(test_replicates_follow_the_odds),
        cmocka_unit_test(test_real_verdicts_beat_odds),
        cmocka_unit_test(test_a_wick_has_its_chance_once),
        cmocka_unit_test(test_burns_on_first),
        cmocka_unit_test(test_burns_on_the_likeliest_of_many),
        cmocka_unit_test(test_no_second_candle_of_one_that_hardly_looks_right),
        cmocka_unit_test(test_shares_of_a_pick_add_up),
        cmocka_unit_test(test_a_failure_is_believed),
        cmocka_unit_test(test_proven_states_its_doubt),
        cmocka_unit_test(test_fewer_candles_need_belief),
        cmocka_unit_test(test_a_round_costs_days),
        cmocka_unit_test(test_futility),
        cmocka_unit_test(test_a_pass_beats_the_draws),
        cmocka_unit_test(test_few_draws_do_not_end_a_search),
        cmocka_unit_test(test_nothing_looks_right_before_a_burn),
        cmocka_unit_test(test_a_tie_goes_to_the_middle_then_to_the_cooler),
        cmocka_unit_test(test_pours_as_many_as_the_maker_asks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
