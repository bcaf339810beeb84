// What a finding carries: its figure, its limit, the readings behind it.
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "bench.h"

static void findings_carry_their_readings(void **state)
{
    (void)state;
    static bench b;
    bench_open(&b);
    bench_calm(&b, 5);
    bench_calm(&b, 5);
    bench_set(&b, 1, 4, EP_READ_FLAME, 76.0);
    ep_verdict v;
    assert_int_equal(ep_judge(&b.d, b.limit, &v, NULL), EP_OK);
    const ep_finding *f = &v.finding[0];
    assert_int_equal(f->requirement, 8);
    assert_int_equal(f->candle, 1);
    assert_int_equal(f->session, 4);
    assert_true(f->n_refs >= 1);
    const ep_reading *r = &b.reading[f->ref[0]];
    assert_true(r->kind == EP_READ_FLAME && r->value == 76.0 && f->value == 76.0);
    assert_true(f->limit == 75.0 && f->unit == EP_U_MM);
}

static const ep_finding *finding_of(const ep_verdict *v, int j)
{
    for (int i = 0; i < v->n_findings; i++) {
        if (v->finding[i].requirement == j) {
            return &v->finding[i];
        }
    }
    fail_msg("no finding of J%d", j);
    return NULL;
}

// worked by hand: 51, 57, 63, 69 C at 19.2, 28.8, 38.4, 48 % burned is 62.5 C over the whole wax,
// so 69 + 0.52 * 62.5 = 101.5 C at its end; the first session is left out
static void the_trend_is_a_straight_line(void **state)
{
    (void)state;
    static bench b;
    bench_open(&b);
    bench_calm(&b, 5);
    for (int s = 2; s <= 5; s++) {
        bench_set(&b, 0, s, EP_READ_WALL_TEMP, 45.0 + 6.0 * (s - 1));
    }
    bench_set(&b, 0, 1, EP_READ_WALL_TEMP, 70.0);
    ep_verdict v;
    assert_int_equal(ep_judge(&b.d, b.limit, &v, NULL), EP_OK);
    const ep_finding *f = finding_of(&v, 21);
    assert_true(fabs(f->value - 101.5) < 1e-9 && f->limit == 77.0);
    assert_int_equal(b.reading[f->ref[0]].session, 5);
}

static void the_mean_afterglow_is_held_to_its_limit(void **state)
{
    (void)state;
    static bench b;
    bench_open(&b);
    bench_calm(&b, 3);
    const double glow_s[] = {20.0, 31.0, 45.0};  // mean 32
    for (int s = 1; s <= 3; s++) {
        bench_set(&b, 0, s, EP_READ_AFTERGLOW, glow_s[s - 1]);
    }
    ep_verdict v;
    assert_int_equal(ep_judge(&b.d, b.limit, &v, NULL), EP_OK);
    const ep_finding *f = finding_of(&v, 27);
    assert_true(f->value == 32.0 && f->limit == 30.0 && f->weight == EP_AGAINST);
    bench_set(&b, 0, 3, EP_READ_AFTERGLOW, 24.0);  // mean 25
    assert_int_equal(ep_judge(&b.d, b.limit, &v, NULL), EP_OK);
    f = finding_of(&v, 27);
    assert_true(f->value == 25.0 && f->limit == 20.0 && f->weight == EP_WARN);
}

// what was checked and passed is told with its highest figure
static void passed_checks_are_told(void **state)
{
    (void)state;
    static bench b;
    bench_open(&b);
    bench_calm(&b, 3);
    bench_set(&b, 0, 2, EP_READ_FLAME, 41.0);
    ep_verdict v;
    assert_int_equal(ep_judge(&b.d, b.limit, &v, NULL), EP_OK);
    const ep_finding *f = finding_of(&v, 8);
    assert_true(f->weight == EP_NOTE && f->value == 41.0 && f->limit == 75.0 && f->candle == -1);
    assert_int_equal(b.reading[f->ref[0]].session, 2);
    assert_int_equal(finding_of(&v, 13)->weight, EP_NOTE);
    assert_int_equal(finding_of(&v, 20)->weight, EP_NOTE);
}

// whose fault a flicker is cannot be told before the draught is known
static void flicker_asks_for_the_draught(void **state)
{
    (void)state;
    static bench b;
    bench_open(&b);
    bench_calm(&b, 2);
    bench_set(&b, 0, 2, EP_READ_FLICKER, 3.0);
    ep_verdict v;
    assert_int_equal(ep_judge(&b.d, b.limit, &v, NULL), EP_OK);
    assert_non_null(strstr(finding_of(&v, 24)->text, "the candle's own"));
    bench_find_burn(&b, 0, 2)->draught = -1;
    assert_int_equal(ep_judge(&b.d, b.limit, &v, NULL), EP_OK);
    assert_non_null(strstr(finding_of(&v, 24)->text, "note the draught"));
}

static void failed_candles_are_counted(void **state)
{
    (void)state;
    static bench b;
    bench_open(&b);
    for (int i = 0; i < 2; i++) {
        bench_calm(&b, 4);
        bench_set(&b, i, 4, EP_READ_POOL_NARROW, 48.0);
        bench_set(&b, i, 4, EP_READ_POOL_WIDE, 50.0);
    }
    ep_verdict v;
    assert_int_equal(ep_judge(&b.d, b.limit, &v, NULL), EP_OK);
    assert_int_equal(v.candles_wrong, 2);
    assert_int_equal(v.candles_right, 0);
}

// J4: a pool wider one way than the other asks to centre one wick; several have no centre
static void one_sided_means_one_wick(void **state)
{
    (void)state;
    static bench b;
    ep_verdict v;
    for (int n_wicks = 0; n_wicks <= 3; n_wicks++) {
        bench_open(&b);
        bench_calm(&b, 3);
        bench_set(&b, 0, 3, EP_READ_POOL_NARROW, 55.0);
        bench_set(&b, 0, 3, EP_READ_POOL_WIDE, 74.0);
        bench_find_burn(&b, 0, 3)->n_wicks = n_wicks;
        assert_int_equal(ep_judge(&b.d, b.limit, &v, NULL), EP_OK);
        bool told = false;
        for (int n = 0; n < v.n_findings; n++) {
            told = told || strstr(v.finding[n].text, "centre the wick") != NULL;
        }
        assert_int_equal(told, n_wicks <= 1);
    }
}

// exactly what is still to be seen, and no more
static void the_missing_list_is_exact(void **state)
{
    (void)state;
    static bench b;
    bench_open(&b);
    bench_calm(&b, 2);
    bench_calm(&b, 10);
    ep_verdict v;
    assert_int_equal(ep_judge(&b.d, b.limit, &v, NULL), EP_OK);
    assert_int_equal(v.n_missing, 3);
    assert_string_equal(v.missing[0], "K1: session 3 pool width at 3 h or later");
    assert_string_equal(v.missing[1], "K1: the last quarter of the wax (81 % is left)");
    assert_string_equal(v.missing[2], "1 more candle to the end");
}

// of two hazards the graver, lower number leads the next move; both candles have failed
static void hazards_fail_their_candles(void **state)
{
    (void)state;
    static bench b;
    bench_open(&b);
    bench_calm(&b, 3);
    bench_calm(&b, 3);
    bench_set(&b, 0, 2, EP_READ_BROKEN, 1.0);
    bench_set(&b, 1, 2, EP_READ_SECOND_FLAME, 60.0);
    bench_set(&b, 1, 1, EP_READ_TIPS, 1.0);
    ep_verdict v;
    assert_int_equal(ep_judge(&b.d, b.limit, &v, NULL), EP_OK);
    assert_true(v.stop_now);
    assert_int_equal(v.candles_wrong, 2);
    assert_non_null(strstr(v.next_move, "burned beside the wick"));
}

static void keys_and_texts_are_distinct(void **state)
{
    (void)state;
    assert_string_equal(ep_verdict_key(EP_VERDICT_UNKNOWN), "not_yet_known");
    assert_string_equal(ep_verdict_key(EP_VERDICT_TOO_SMALL), "too_small");
    assert_string_equal(ep_verdict_key(EP_VERDICT_RIGHT), "right");
    assert_string_equal(ep_verdict_key(EP_VERDICT_TOO_BIG), "too_big");
    assert_string_equal(ep_verdict_key(EP_VERDICT_WRONG_KIND), "wrong_kind");
    assert_string_equal(ep_verdict_text(EP_VERDICT_WRONG_KIND), "the wrong kind of wick");
    assert_string_equal(ep_weight_key(EP_NOTE), "note");
    assert_string_equal(ep_weight_key(EP_WARN), "warn");
    assert_string_equal(ep_weight_key(EP_AGAINST), "against");
    assert_string_equal(ep_weight_key(EP_STOP), "stop");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(findings_carry_their_readings),
        cmocka_unit_test(the_trend_is_a_straight_line),
        cmocka_unit_test(the_mean_afterglow_is_held_to_its_limit),
        cmocka_unit_test(passed_checks_are_told),
        cmocka_unit_test(flicker_asks_for_the_draught),
        cmocka_unit_test(failed_candles_are_counted),
        cmocka_unit_test(one_sided_means_one_wick),
        cmocka_unit_test(the_missing_list_is_exact),
        cmocka_unit_test(hazards_fail_their_candles),
        cmocka_unit_test(keys_and_texts_are_distinct),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
