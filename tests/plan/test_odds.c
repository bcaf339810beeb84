// Odds of a wick: every member judged once, shares that add up, bands in order, small wicks too
// small and large ones too hot; the same whatever the number of threads.
#include "plan/plan.h"

#include <stdlib.h>
#include <string.h>

#include "../burn/candle.h"
#include "learn/observe.h"
#include "learn/shift.h"

static ep_burn_case quick(double g_m)
{
    ep_burn_case c = candle_plain();
    c.wick = candle_braid(g_m);
    c.grid_m = 3e-3;
    c.step_s = 120.0;
    return c;
}

static ep_wick_odds odds(const ep_burn_case *c, int threads)
{
    ep_ensemble_opts opts = {.members = 24, .seed = 7, .threads = threads};
    ep_wick_odds o;
    ep_err err = {0};
    if (ep_odds_compute(c, &opts, ep_limits_default(), &o, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    return o;
}

static void in_order(ep_band b)
{
    assert_true(isnan(b.p50) || (b.p05 <= b.p50 && b.p50 <= b.p95));
}

static void check_shape(const ep_wick_odds *o)
{
    double sum = 0.0;
    for (int k = 0; k < EP_VERDICT_COUNT_; k++) {
        assert_true(o->verdict[k] >= 0.0);
        sum += o->verdict[k];
    }
    check_near(sum, 1.0, 1e-12);
    assert_int_equal(o->members, 24);
    assert_int_equal(o->judged, 24);
    assert_true(o->drowned >= 0.0 && o->drowned <= 1.0 + 1e-12);
    assert_true(o->n_sessions >= 1 && o->n_sessions <= EP_ODDS_SESSIONS);
    double before = 0.0;
    for (int n = 0; n < o->n_sessions; n++) {
        // once at the wall is at the wall: the chance by session n never falls
        assert_true(o->wall_by_session[n] >= before - 1e-12 &&
                    o->wall_by_session[n] <= 1.0 + 1e-12);
        before = o->wall_by_session[n];
        in_order(o->s_rate_kg_s[n]);
        in_order(o->s_reach_frac[n]);
        in_order(o->s_depth_mid_m[n]);
        in_order(o->s_wall_max_C[n]);
        in_order(o->s_flame_max_m[n]);
        in_order(o->s_hangup_kg[n]);
    }
    in_order(o->rate_kg_s);
    in_order(o->wall_max_C);
    in_order(o->flame_max_m);
    in_order(o->burn_total_s);
    in_order(o->burn_to_stop_s);
    assert_true(o->rate_kg_s.p05 > 0.0);
}

// Wilks 1941: the shortest of 59 covers 95 of 100 with 95 % confidence, the second of 93, the third
// of 124 (the sizes of one-sided tolerance bounds as tables print them); fewer leave doubt
static void a_claim_needs_fifty_nine(void **state)
{
    (void)state;
    check_near(ep_claim_confidence(59, 1), 1.0 - pow(0.95, 59.0), 1e-12);
    const int first[] = {59, 93, 124, 153, 181};
    for (int rank = 1; rank <= 5; rank++) {
        assert_true(ep_claim_confidence(first[rank - 1], rank) >= 0.95);
        assert_true(ep_claim_confidence(first[rank - 1] - 1, rank) < 0.95);
    }
    double x[EP_MAX_MEMBERS];
    for (int n = 1; n <= EP_MAX_MEMBERS; n++) {
        for (int i = 0; i < n; i++) {
            x[i] = (double)((i * 37) % n);  // in disorder
        }
        ep_claim c = ep_claim_of(x, n);
        assert_true((c.confidence >= 0.95) == (n >= 59));
        check_near(c.burn_s, x[n < 93 ? 0 : (n < 124 ? 1 : (int)c.burn_s)], 1e-12);
    }
}

// a candle that goes out early counts with what it burned, it is not left out
static void a_claim_counts_the_failures(void **state)
{
    (void)state;
    ep_burn_case c = quick(1.0);
    ep_wick_odds o = odds(&c, 2);
    assert_true(o.claim.burn_s > 0.0 && o.claim.burn_s <= o.burn_total_s.p50);
    check_near(o.claim.confidence, 1.0 - pow(0.95, 24.0), 1e-12);
    ep_trace drowned = {.burn_to_stop_s = (double)NAN, .burn_total_s = 7200.0};
    ep_trace whole = {.burn_to_stop_s = 3600.0, .burn_total_s = 7200.0};
    check_near(ep_claim_burn_s(&drowned), 7200.0, 0.0);
    check_near(ep_claim_burn_s(&whole), 3600.0, 0.0);
}

// every number of the odds comes back from the bytes, also one that is added later
static void bytes_hold_every_number(void **state)
{
    (void)state;
    enum { WORDS = sizeof(ep_wick_odds) / sizeof(double) };
    ep_wick_odds o, back;
    double word[WORDS], word_back[WORDS];
    unsigned char kind[EP_MAX_MEMBERS], kind_back[EP_MAX_MEMBERS], *bytes = NULL;
    size_t len = 0;
    for (int i = 0; i < WORDS; i++) {
        word[i] = 1.0 + 0.1 * i;
    }
    memcpy(&o, word, sizeof o);
    o.members = 24;
    o.judged = 96;
    o.n_sessions = EP_ODDS_SESSIONS;
    o.claim.unfinished = 3;
    for (int m = 0; m < o.judged; m++) {
        kind[m] = (unsigned char)(m % EP_VERDICT_COUNT_);
    }
    assert_int_equal(ep_odds_write(&o, kind, &bytes, &len), EP_OK);
    assert_int_equal(ep_odds_read(bytes, len, 24, &back, kind_back), EP_OK);
    assert_int_equal(back.members, 24);
    assert_int_equal(back.judged, 96);
    assert_int_equal(back.n_sessions, EP_ODDS_SESSIONS);
    assert_int_equal(back.claim.unfinished, 3);
    assert_memory_equal(kind, kind_back, 96);
    memcpy(word, &o, sizeof o);
    memcpy(word_back, &back, sizeof back);
    for (size_t i = 0; i < WORDS; i++) {
        const bool whole =
            i == offsetof(ep_wick_odds, members) / sizeof(double) ||
            i == offsetof(ep_wick_odds, n_sessions) / sizeof(double) ||
            i == (offsetof(ep_wick_odds, claim) + offsetof(ep_claim, unfinished)) / sizeof(double);
        if (!whole && memcmp(&word[i], &word_back[i], sizeof word[i]) != 0) {
            fail_msg("number %zu of the odds does not come back", i);
        }
    }
    assert_int_equal(ep_odds_read(bytes, len, 23, &back, kind_back), EP_E_PARSE);
    assert_int_equal(ep_odds_read(bytes, len - 1, 24, &back, kind_back), EP_E_PARSE);
    bytes[len / 3] ^= 0x80;
    assert_int_equal(ep_odds_read(bytes, len, 24, &back, kind_back), EP_E_PARSE);
    free(bytes);
}

static void shares_add_up(void **state)
{
    (void)state;
    double before_kg_s = 0.0, before_C = 0.0, small = 1.0;
    for (double g_m = 0.4; g_m < 3.0; g_m *= 1.8) {
        ep_burn_case c = quick(g_m);
        ep_wick_odds o = odds(&c, 2);
        check_shape(&o);
        // the same draw of materials for every size: more wick is more of everything
        assert_true(o.rate_kg_s.p50 > before_kg_s && o.wall_max_C.p50 > before_C);
        assert_true(o.verdict[EP_VERDICT_TOO_SMALL] <= small + 0.1);
        before_kg_s = o.rate_kg_s.p50;
        before_C = o.wall_max_C.p50;
        small = o.verdict[EP_VERDICT_TOO_SMALL];
    }
    assert_true(small < 0.6);
}

static void a_string_in_a_wide_jar_is_too_small(void **state)
{
    (void)state;
    ep_burn_case c = quick(0.4);
    ep_wick_odds o = odds(&c, 2);
    // of 24 draws of wide priors one or two have a wax that lets go of the wall early
    assert_true(o.verdict[EP_VERDICT_TOO_SMALL] > 0.8);
    check_near(o.verdict[EP_VERDICT_TOO_BIG], 0.0, 1e-12);
}

static void a_plank_in_a_narrow_glass_is_too_hot(void **state)
{
    (void)state;
    ep_burn_case c = quick(1.0);
    candle_jar(&c, "std-container-soda-lime", 52.0, 90.0, 3.0, 70.0);
    c.wick = candle_wick_of("std-wick-wooden", 7.0, 16.0, 0.8, 0.0);
    ep_wick_odds o = odds(&c, 2);
    assert_true(o.verdict[EP_VERDICT_TOO_BIG] > 0.6);
    check_near(o.verdict[EP_VERDICT_RIGHT], 0.0, 0.1);
}

static void same_over_threads(void **state)
{
    (void)state;
    ep_burn_case c = quick(1.2);
    ep_wick_odds a = odds(&c, 1), b = odds(&c, 3);
    check_near(a.rate_kg_s.p50, b.rate_kg_s.p50, 0.0);
    check_near(a.wall_max_C.p95, b.wall_max_C.p95, 0.0);
    check_near(a.verdict[EP_VERDICT_TOO_SMALL], b.verdict[EP_VERDICT_TOO_SMALL], 0.0);
}

// A misfit of nought in every way: the same odds as of the candles burned, each counted as often,
// and a label that stands on no more candles. Then ways that differ: each is judged by itself.
static void ways_of_reading(void **state)
{
    (void)state;
    enum { MEMBERS = 12, WAYS = EP_ODDS_WAYS, ALL = MEMBERS * WAYS };
    ep_burn_case c = quick(0.8);
    ep_factors factors[MEMBERS];
    ep_shift *shift = calloc(ALL, sizeof *shift);
    assert_non_null(shift);
    ep_factors_draw(&c, 7, MEMBERS, factors);
    const ep_ensemble_opts opts = {.members = MEMBERS, .seed = 7, .threads = 2};
    const ep_odds_draws once = {factors, NULL}, often = {factors, shift};
    unsigned char kind[EP_MAX_MEMBERS], kinds[EP_MAX_MEMBERS];
    ep_wick_odds a, b, d;
    ep_err err = {0};
    assert_int_equal(ep_odds_compute_drawn(&c, &opts, ep_limits_default(), &once, kind, &a, &err),
                     EP_OK);
    assert_int_equal(ep_odds_compute_drawn(&c, &opts, ep_limits_default(), &often, kinds, &b, &err),
                     EP_OK);
    assert_int_equal(a.judged, MEMBERS);
    assert_int_equal(b.members, MEMBERS);
    assert_int_equal(b.judged, ALL);
    for (int i = 0; i < ALL; i++) {
        assert_int_equal(kinds[i], kind[i / WAYS]);
    }
    for (int k = 0; k < EP_VERDICT_COUNT_; k++) {
        check_near(b.verdict[k], a.verdict[k], 1e-12);
    }
    check_near(b.claim.burn_s, a.claim.burn_s, 0.0);
    check_near(b.claim.confidence, a.claim.confidence, 0.0);
    assert_int_equal(b.claim.unfinished, a.claim.unfinished);
    // pools 20 mm narrower in one way of eight: at least these are too small, no other is touched
    for (int m = 0; m < MEMBERS; m++) {
        shift[m * WAYS + 3].misfit = 1.0;
        shift[m * WAYS + 3].bias[EP_DATUM_WIDTH * EP_BIAS_PARTS] = -20.0;
    }
    assert_int_equal(ep_odds_compute_drawn(&c, &opts, ep_limits_default(), &often, kinds, &d, &err),
                     EP_OK);
    int small = 0, too_big = 0;
    for (int i = 0; i < ALL; i++) {
        too_big += kinds[i] == EP_VERDICT_TOO_BIG;
        small += i % WAYS == 3 && kinds[i] == EP_VERDICT_TOO_SMALL;
        assert_true(i % WAYS == 3 || kinds[i] == kind[i / WAYS]);
    }
    assert_true(small >= MEMBERS - 1);
    check_near(d.verdict[EP_VERDICT_TOO_BIG], (double)too_big / ALL, 1e-12);
    free(shift);
}

static void as_many_ways_as_there_is_room(void **state)
{
    (void)state;
    for (int members = 2; members <= EP_MAX_MEMBERS; members++) {
        const int ways = ep_odds_ways(members);
        assert_true(ways >= 1 && ways <= EP_ODDS_WAYS && ways * members <= EP_MAX_MEMBERS);
        assert_true(ways == EP_ODDS_WAYS || (ways + 1) * members > EP_MAX_MEMBERS);
    }
}

// The last session of a jar is as long as what is left of the wax: half a millimetre of fill
// may not turn a wick that is right into one that is too small (J19).
static void fill_height_does_not_flip(void **state)
{
    (void)state;
    int ring = 0;  // last sessions too short for the pool to get to the wall
    for (int half_mm = 120; half_mm <= 132; half_mm++) {
        ep_burn_case c = quick(0.7);
        c.fill_height_m = half_mm * 0.5e-3;
        ep_trace *t = NULL;
        ep_observed *seen = NULL;
        ep_verdict v;
        ep_err err = {0};
        assert_int_equal(ep_burn_run(&c, &t, &err), EP_OK);
        assert_int_equal(ep_observe(t, &c, &seen), EP_OK);
        assert_int_equal(ep_judge(&seen->dossier, ep_limits_default(), &v, &err), EP_OK);
        const double last_s = t->session[t->n_sessions - 1].lit_s;
        ring += last_s > 1800.0 && last_s < 6000.0;
        if (v.kind != EP_VERDICT_RIGHT) {
            fail_msg("filled to %.1f mm: %s", 0.5 * half_mm, ep_verdict_text(v.kind));
        }
        ep_observed_destroy(seen);
        ep_trace_destroy(t);
    }
    assert_true(ring > 0);
}

static void refused(void **state)
{
    (void)state;
    ep_burn_case c = quick(1.2);
    c.fill_height_m = 0.5;
    ep_ensemble_opts opts = {.members = 4, .seed = 7, .threads = 1};
    ep_wick_odds o = {.members = 999};
    ep_err err = {0};
    assert_int_equal(ep_odds_compute(&c, &opts, ep_limits_default(), &o, &err), EP_E_ARG);
    assert_string_equal(err.field, "fill_height");
    assert_int_equal(o.members, 999);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_claim_needs_fifty_nine),
        cmocka_unit_test(a_claim_counts_the_failures),
        cmocka_unit_test(bytes_hold_every_number),
        cmocka_unit_test(ways_of_reading),
        cmocka_unit_test(as_many_ways_as_there_is_room),
        cmocka_unit_test(fill_height_does_not_flip),
        cmocka_unit_test(shares_add_up),
        cmocka_unit_test(a_string_in_a_wide_jar_is_too_small),
        cmocka_unit_test(a_plank_in_a_narrow_glass_is_too_hot),
        cmocka_unit_test(same_over_threads),
        cmocka_unit_test(refused),
    };
    return cmocka_run_group_tests_name("odds", tests, NULL, NULL);
}
