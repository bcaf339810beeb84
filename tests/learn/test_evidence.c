// Readings to data, and the likelihood of each kind: slopes against differences, intervals and
// grades against the normal distribution, slips losing their voice.
#include <stdlib.h>

#include "learn/evidence.h"
#include "learn/shift.h"

#include "maker.h"

typedef struct page {
    ep_candle_record candle[1];
    ep_burn_record burn[2];
    ep_reading reading[16];
    ep_dossier d;
} page;

static page *page_new(void)
{
    page *p = calloc(1, sizeof *p);
    assert_non_null(p);
    p->candle[0].wax_kg = 0.2;
    for (int i = 0; i < 2; i++) {
        p->burn[i] = (ep_burn_record){.session = i + 1,
                                      .planned_min = 240,
                                      .lit_min = 240,
                                      .over = true,
                                      .before_kg = (double)NAN,
                                      .after_kg = (double)NAN,
                                      .left_frac = (double)NAN,
                                      .room_C = 21,
                                      .draught = 0,
                                      .inner_m = 0.070};
    }
    p->d = (ep_dossier){
        .n_candles = 1, .candle = p->candle, .n_burns = 2, .burn = p->burn, .reading = p->reading};
    return p;
}

static void note(page *p, int session, double minute, ep_reading_kind kind, double value)
{
    p->reading[p->d.n_readings++] =
        (ep_reading){.session = session, .minute = minute, .kind = kind, .value = value};
}

static const ep_datum *first_of(const ep_evidence *e, ep_datum_kind k)
{
    for (int i = 0; i < e->n; i++) {
        if (e->datum[i].kind == k) {
            return &e->datum[i];
        }
    }
    return NULL;
}

static void test_an_empty_book_says_nothing(void **state)
{
    (void)state;
    page *p = page_new();
    ep_evidence e;
    assert_int_equal(ep_evidence_of(&p->d, &e), EP_OK);
    assert_int_equal(e.n, 0);
    ep_evidence_clear(&e);
    free(p);
}

static void test_interval_of_the_wall(void **state)
{
    (void)state;
    page *p = page_new();
    note(p, 1, 120, EP_READ_POOL_AT_WALL, 0);
    note(p, 1, 180, EP_READ_POOL_AT_WALL, 1);
    ep_evidence e;
    assert_int_equal(ep_evidence_of(&p->d, &e), EP_OK);
    const ep_datum *t = first_of(&e, EP_DATUM_TIME);
    assert_non_null(t);
    check_near(t->lo, log(2.0), 1e-12);
    check_near(t->hi, log(3.0), 1e-12);
    // best in the middle of the interval, and flat there
    double g, h, mid = ep_datum_cost(t, 0.5 * (t->lo + t->hi), &g, &h);
    check_near(g, 0.0, 1e-9);
    assert_true(h > 0.0);
    assert_true(mid < ep_datum_cost(t, t->lo - 0.5, &g, &h));
    assert_true(g < 0.0);  // later would fit better
    assert_true(mid < ep_datum_cost(t, t->hi + 0.5, &g, &h));
    assert_true(g > 0.0);
    ep_evidence_clear(&e);
    free(p);
}

static void test_a_full_pool_is_a_time_not_a_width(void **state)
{
    (void)state;
    page *p = page_new();
    note(p, 1, 120, EP_READ_POOL_WIDE, 50);
    note(p, 1, 120, EP_READ_POOL_NARROW, 46);
    note(p, 1, 240, EP_READ_POOL_WIDE, 70);
    note(p, 1, 240, EP_READ_POOL_NARROW, 70);
    ep_evidence e;
    assert_int_equal(ep_evidence_of(&p->d, &e), EP_OK);
    assert_int_equal(e.n, 2);
    check_near(first_of(&e, EP_DATUM_WIDTH)->value, 48.0, 1e-12);
    check_near(first_of(&e, EP_DATUM_TIME)->hi, log(4.0), 1e-12);
    ep_evidence_clear(&e);
    free(p);
}

static void test_a_draught_spoils_the_session(void **state)
{
    (void)state;
    page *p = page_new();
    note(p, 1, 60, EP_READ_FLAME, 20);
    note(p, 2, 60, EP_READ_FLAME, 25);
    p->burn[0].draught = 3;
    ep_evidence e;
    assert_int_equal(ep_evidence_of(&p->d, &e), EP_OK);
    assert_int_equal(e.n, 1);
    assert_int_equal(e.datum[0].session, 2);
    ep_evidence_clear(&e);
    free(p);
}

// readings alike within a session share one voice
static void test_many_readings_one_voice(void **state)
{
    (void)state;
    page *p = page_new();
    for (int i = 0; i < 4; i++) {
        note(p, 1, 60.0 * (i + 1), EP_READ_WALL_TEMP, 40.0 + i);
    }
    note(p, 2, 60, EP_READ_WALL_TEMP, 40);
    ep_evidence e;
    assert_int_equal(ep_evidence_of(&p->d, &e), EP_OK);
    check_rel(e.datum[0].sd, 2.0 * e.datum[4].sd, 1e-12);
    check_rel(e.datum[0].sd_one, e.datum[4].sd_one, 1e-12);
    ep_evidence_clear(&e);
    free(p);
}

static void test_slopes(void **state)
{
    (void)state;
    for (int k = 0; k < EP_DATUM_COUNT_; k++) {
        ep_datum d = {.kind = (ep_datum_kind)k, .value = 1.0, .lo = 0.3, .hi = 0.9, .sd = 0.7};
        for (double f = -3.0; f < 4.0; f += 0.37) {
            double g, h, u, w;
            ep_datum_cost(&d, f, &g, &h);
            assert_true(h >= 0.0);
            double hi = ep_datum_cost(&d, f + 1e-5, &u, &w),
                   lo = ep_datum_cost(&d, f - 1e-5, &u, &w);
            check_near(g, (hi - lo) / 2e-5, 1e-6);
        }
    }
}

// of numbers the second derivative, nothing where that is below nothing; of grades what a step uses
static void test_bend(void **state)
{
    (void)state;
    for (int k = 0; k < EP_DATUM_COUNT_; k++) {
        const bool graded =
            k == EP_DATUM_TIME || k == EP_DATUM_SOOT || k == EP_DATUM_MUSHROOM || k == EP_DATUM_OUT;
        ep_datum d = {.kind = (ep_datum_kind)k, .value = 1.0, .lo = 0.6, .hi = 1.2, .sd = 0.4};
        for (double f = -1.0; f < 3.0; f += 0.23) {
            const double e = 1e-4;
            double g, h, u, mid = ep_datum_cost(&d, f, &g, &h),
                            bend = (ep_datum_cost(&d, f + e, &u, &u) - 2.0 * mid +
                                    ep_datum_cost(&d, f - e, &u, &u)) /
                                   (e * e);
            check_near(ep_datum_bend(&d, f), graded ? h : fmax(bend, 0.0), 1e-4);
        }
    }
}

// a reading ten times off pulls less than one a little off
static void test_a_slip_loses_its_voice(void **state)
{
    (void)state;
    ep_datum d = {.kind = EP_DATUM_WALL, .value = 25.0, .sd = 3.0};
    double near, far, h;
    ep_datum_cost(&d, 25.0 + 5.0, &near, &h);
    ep_datum_cost(&d, 25.0 + 225.0, &far, &h);
    assert_true(fabs(far) < 0.2 * fabs(near));
}

// a trace read by the protocol gives back what it was made of, and a shift moves it by the bias
static void test_prediction_and_shift(void **state)
{
    (void)state;
    ep_burn_case c = maker_case(1.2, 2);
    ep_trace *t = candle_burn(&c);
    ep_observed *o = NULL;
    ep_evidence e;
    assert_int_equal(ep_observe(t, &c, &o), EP_OK);
    assert_int_equal(ep_evidence_of(&o->dossier, &e), EP_OK);
    double *f = malloc((size_t)e.n * sizeof *f);
    assert_non_null(f);
    ep_evidence_predict(&e, t, c.ambient_C, f);
    int compared = 0;
    for (int i = 0; i < e.n; i++) {
        if (e.datum[i].kind <= EP_DATUM_EXPOSED) {
            check_near(f[i], e.datum[i].value, e.datum[i].kind == EP_DATUM_RATE ? 0.02 : 0.3);
            compared++;
        }
    }
    assert_true(compared > 20);
    ep_shift s = {.misfit = 1.0};
    s.bias[EP_DATUM_WALL * EP_BIAS_PARTS] = 1.0;  // one misfit sd of level: 5 K
    double before = t->session[1].wall_max_C;
    ep_shift_trace(t, &s, c.ambient_C);
    check_near(t->session[1].wall_max_C - before, 5.0, 1e-9);
    s = (ep_shift){.misfit = 1.0};
    s.bias[EP_DATUM_WIDTH * EP_BIAS_PARTS] = 20.0;
    ep_shift_trace(t, &s, c.ambient_C);
    assert_true(t->session[1].reach_end_frac <= 1.0);
    assert_true(t->sample[5].pool_width_m <= t->session[0].inner_m + 1e-12);
    free(f);
    ep_evidence_clear(&e);
    ep_observed_destroy(o);
    ep_trace_destroy(t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_an_empty_book_says_nothing),
        cmocka_unit_test(test_interval_of_the_wall),
        cmocka_unit_test(test_a_full_pool_is_a_time_not_a_width),
        cmocka_unit_test(test_a_draught_spoils_the_session),
        cmocka_unit_test(test_many_readings_one_voice),
        cmocka_unit_test(test_slopes),
        cmocka_unit_test(test_bend),
        cmocka_unit_test(test_a_slip_loses_its_voice),
        cmocka_unit_test(test_prediction_and_shift),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
