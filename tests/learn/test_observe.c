// A simulated candle as a maker would have written it down, and judged by the same code as a real
// one. Rules O1-O3.
#include "learn/observe.h"

#include "../burn/candle.h"

static ep_observed *observe(const ep_trace *t, const ep_burn_case *c)
{
    ep_observed *o = NULL;
    assert_int_equal(ep_observe(t, c, &o), EP_OK);
    return o;
}

static const ep_reading *find(const ep_observed *o, ep_reading_kind kind, int session,
                              double minute)
{
    for (int n = 0; n < o->n_readings; n++) {
        const ep_reading *r = &o->reading[n];
        if (r->kind == kind && r->session == session && fabs(r->minute - minute) < 0.5) {
            return r;
        }
    }
    return NULL;
}

static double value(const ep_observed *o, ep_reading_kind kind, int session, double minute)
{
    const ep_reading *r = find(o, kind, session, minute);
    assert_non_null(r);
    return r->value;
}

// O1, O2: grades of soot and of the carbon head, at their borders
static void grades(void **state)
{
    (void)state;
    assert_int_equal(ep_soot_grade((double)NAN), 0);
    assert_int_equal(ep_soot_grade(3e-3), 0);
    assert_int_equal(ep_soot_grade(0.0), 0);
    assert_int_equal(ep_soot_grade(-1e-6), 1);
    assert_int_equal(ep_soot_grade(-5.9e-3), 1);
    assert_int_equal(ep_soot_grade(-6.1e-3), 2);
    assert_int_equal(ep_soot_grade(-12.1e-3), 3);
    assert_int_equal(ep_mushroom_grade(0.0), 0);
    assert_int_equal(ep_mushroom_grade(0.49), 0);
    assert_int_equal(ep_mushroom_grade(0.5), 1);
    assert_int_equal(ep_mushroom_grade(1.5), 2);
    assert_int_equal(ep_mushroom_grade(3.0), 3);
}

// a wick that never holds a flame melts nothing, touches nothing, and is too small
static void a_wick_that_cannot_burn(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    c.wick = candle_wick_of("std-wick-square-braid", 0.25, 0.0, 0.0, 0.0);
    ep_trace *t = candle_burn(&c);
    assert_true(t->burn_total_s == 0.0 && t->session[0].out == EP_OUT_STARVED);
    check_near(t->session[0].wall_max_C, c.ambient_C, 1e-9);
    ep_observed *o = observe(t, &c);
    ep_verdict *v = malloc(sizeof *v);
    assert_int_equal(ep_judge(&o->dossier, ep_limits_default(), v, NULL), EP_OK);
    assert_int_equal(v->kind, EP_VERDICT_TOO_SMALL);
    assert_false(v->stop_now);
    free(v);
    ep_observed_destroy(o);
    ep_trace_destroy(t);
}

// O5: melt as hot as its flash point is told once a session, and it stops the candle
static void hot_melt_is_a_flashover(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    c.schedule.max_sessions = 2;
    ep_trace *t = candle_burn(&c);
    double hottest_C = 0.0;
    for (int n = 0; n < t->n_samples; n++) {
        hottest_C = t->sample[n].lit ? fmax(hottest_C, t->sample[n].pool_bulk_C) : hottest_C;
    }
    for (int hot = 0; hot < 2; hot++) {
        c.melt.flash_K = hottest_C + 273.15 + (hot ? -1e-6 : 1e-6);
        ep_observed *o = observe(t, &c);
        int told = 0;
        for (int n = 0; n < o->n_readings; n++) {
            told += o->reading[n].kind == EP_READ_FLASHOVER;
        }
        assert_int_equal(told, hot);
        ep_verdict *v = malloc(sizeof *v);
        assert_int_equal(ep_judge(&o->dossier, ep_limits_default(), v, NULL), EP_OK);
        assert_int_equal(v->stop_now, hot);
        free(v);
        ep_observed_destroy(o);
    }
    ep_trace_destroy(t);
}

// O3: the bench protocol's minutes, each reading the trace's own number in the reading's unit
static void readings_follow_the_trace(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    c.schedule.max_sessions = 3;
    ep_trace *t = candle_burn(&c);
    ep_observed *o = observe(t, &c);
    const double due[] = {30.0, 60.0, 120.0, 180.0, 240.0};
    assert_int_equal(o->dossier.n_burns, 3);
    for (int s = 1; s <= 3; s++) {
        for (size_t i = 0; i < sizeof due / sizeof *due; i++) {
            const ep_sample *at = candle_at(t, s, due[i]);
            check_near(value(o, EP_READ_POOL_WIDE, s, due[i]), at->pool_width_m * 1e3, 1e-9);
            check_near(value(o, EP_READ_POOL_NARROW, s, due[i]), at->pool_narrow_m * 1e3, 1e-9);
            check_near(value(o, EP_READ_POOL_DEPTH, s, due[i]), at->depth_mid_m * 1e3, 1e-9);
            check_near(value(o, EP_READ_FLAME, s, due[i]), at->flame_m * 1e3, 1e-9);
            check_near(value(o, EP_READ_WALL_TEMP, s, due[i]), at->wall_max_C, 1e-9);
            check_near(value(o, EP_READ_POOL_AT_WALL, s, due[i]), at->reach_frac >= 0.995, 0.0);
        }
        // nothing is read between the protocol's minutes
        assert_null(find(o, EP_READ_POOL_WIDE, s, 90.0));
        const ep_session_sum *sum = &t->session[s - 1];
        check_near(value(o, EP_READ_HANGUP_THICK, s, 240.0),
                   0.5 * sum->inner_m * (1.0 - sum->reach_end_frac) * 1e3, 1e-9);
        check_near(value(o, EP_READ_WENT_OUT, s, 240.0), 0.0, 0.0);
        const ep_burn_record *b = &o->burn[s - 1];
        check_near((b->before_kg - b->after_kg) * 1e3, sum->burned_kg * 1e3, 1e-9);
        check_near(b->planned_min, 240.0, 1e-9);
        check_near(b->inner_m, 0.070, 1e-9);
        assert_true(isnan(b->rest_before_h) == (s == 1));
    }
    // every value could have been typed: inside its kind's range, inside the jar
    for (int n = 0; n < o->n_readings; n++) {
        ep_err err = {0};
        if (ep_reading_check(o->reading[n].kind, o->reading[n].value, 0.070, &err) != EP_OK) {
            fail_msg("%s", err.text);
        }
    }
    assert_true(o->dossier.simulated && !o->candle.finished);
    check_near(o->candle.wax_kg, t->fill_kg, 0.0);
    ep_observed_destroy(o);
    ep_trace_destroy(t);
}

// short sessions are read at the minutes they have, and at their end
static void short_sessions(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    c.schedule.lit_s = 100.0 * 60.0;
    c.schedule.max_sessions = 2;
    ep_trace *t = candle_burn(&c);
    ep_observed *o = observe(t, &c);
    assert_non_null(find(o, EP_READ_POOL_WIDE, 2, 60.0));
    assert_non_null(find(o, EP_READ_POOL_WIDE, 2, 100.0));
    assert_null(find(o, EP_READ_POOL_WIDE, 2, 120.0));
    ep_observed_destroy(o);
    ep_trace_destroy(t);
}

// the last flicker on the wick's neck is the end of the jar, not a session
static void the_end_of_the_jar(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    ep_trace *t = candle_burn(&c);
    assert_int_equal(t->end, EP_OUT_END);
    ep_observed *o = observe(t, &c);
    assert_true(o->candle.finished);
    const ep_session_sum *last = &t->session[t->n_sessions - 1];
    assert_int_equal(o->dossier.n_burns, t->n_sessions - (last->lit_s < 1800.0 ? 1 : 0));
    // a session that ended with the wax was as long as it was meant to be
    const ep_burn_record *b = &o->burn[o->dossier.n_burns - 1];
    assert_true(last->lit_s < 1800.0 || fabs(b->planned_min - b->lit_min) < 1e-9);
    ep_observed_destroy(o);
    ep_trace_destroy(t);
}

static void judge(const ep_burn_case *c, ep_verdict *v)
{
    ep_trace *t = candle_burn(c);
    ep_observed *o = observe(t, c);
    ep_err err = {0};
    if (ep_judge(&o->dossier, ep_limits_default(), v, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    for (int n = 0; n < v->n_findings; n++) {
        for (int i = 0; i < v->finding[n].n_refs; i++) {
            assert_true(v->finding[n].ref[i] >= 0 && v->finding[n].ref[i] < o->n_readings);
        }
    }
    ep_observed_destroy(o);
    ep_trace_destroy(t);
}

// the same judge, the same words: a wick too small, one too big, and neither too early
static void judged_like_a_real_candle(void **state)
{
    (void)state;
    ep_verdict *v = calloc(1, sizeof *v);
    ep_burn_case c = candle_plain();
    c.wick = candle_braid(0.4);
    judge(&c, v);
    assert_int_equal(v->kind, EP_VERDICT_TOO_SMALL);
    assert_false(v->stop_now);

    c = candle_plain();
    candle_jar(&c, "std-container-soda-lime", 52.0, 90.0, 3.0, 70.0);
    c.wick = candle_wick_of("std-wick-wooden", 7.0, 16.0, 0.8, 0.0);
    judge(&c, v);
    assert_true(v->stop_now || v->kind == EP_VERDICT_TOO_BIG);

    c = candle_plain();
    c.wick = candle_braid(0.4);
    c.schedule.max_sessions = 1;
    judge(&c, v);
    assert_int_equal(v->kind, EP_VERDICT_UNKNOWN);
    assert_true(v->n_missing > 0);
    free(v);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(grades),
        cmocka_unit_test(a_wick_that_cannot_burn),
        cmocka_unit_test(hot_melt_is_a_flashover),
        cmocka_unit_test(readings_follow_the_trace),
        cmocka_unit_test(short_sessions),
        cmocka_unit_test(the_end_of_the_jar),
        cmocka_unit_test(judged_like_a_real_candle),
    };
    return cmocka_run_group_tests_name("observe", tests, NULL, NULL);
}
