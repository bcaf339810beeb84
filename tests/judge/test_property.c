// What must hold for any dossier: 10 000 random ones, seeded; nothing here looks at one case.
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/rng.h"
#include "bench.h"

enum { trials = 10000 };

static const ep_reading_kind hot_kinds[] = {
    EP_READ_FLAME,      EP_READ_WALL_TEMP, EP_READ_RIM_TEMP,     EP_READ_BASE_TEMP,
    EP_READ_POOL_DEPTH, EP_READ_SMOKE,     EP_READ_SOOT,         EP_READ_MUSHROOM,
    EP_READ_FLICKER,    EP_READ_AFTERGLOW, EP_READ_SECOND_FLAME, EP_READ_FLASHOVER};
enum { n_hot = sizeof hot_kinds / sizeof hot_kinds[0] };

static int pick(ep_rng *r, int n)
{
    int i = (int)(ep_rng_uniform(r) * n);
    return i < n ? i : n - 1;
}

static bool chance(ep_rng *r, double p)
{
    return ep_rng_uniform(r) < p;
}

static double between(ep_rng *r, double lo, double hi)
{
    return lo + (hi - lo) * ep_rng_uniform(r);
}

// anything a maker may write: any kind, any session, any value of its range, now and then NAN
static void add_any_reading(ep_rng *r, bench *b)
{
    ep_reading_kind kind = (ep_reading_kind)pick(r, EP_READ_COUNT_);
    const ep_reading_def *def = ep_reading_def_of(kind);
    double value = between(r, def->min, def->max);
    value = def->type == 'N' ? value : floor(value + 0.5);
    value = chance(r, 0.01) ? NONE : value;
    double minute = chance(r, 0.02) ? NONE : between(r, 0.0, 700.0);
    bench_read(b, pick(r, b->d.n_candles), pick(r, 12), minute, kind, value);
}

static void spoil_some_burns(ep_rng *r, bench *b)
{
    for (int i = 0; i < b->d.n_burns; i++) {
        ep_burn_record *burn = &b->burn[i];
        burn->lit_min = chance(r, 0.1) ? between(r, 0.0, 700.0) : burn->lit_min;
        burn->over = !chance(r, 0.03);
        burn->left_frac = chance(r, 0.1) ? NONE : burn->left_frac;
        burn->draught = chance(r, 0.1) ? pick(r, 5) - 1 : burn->draught;
        burn->room_C = chance(r, 0.1) ? between(r, 5.0, 40.0) : burn->room_C;
        burn->before_cure = chance(r, 0.02);
        burn->after_kg = chance(r, 0.1) ? between(r, 0.1, 0.6) : burn->after_kg;
        burn->inner_m = chance(r, 0.02) ? between(r, 0.03, 0.12) : burn->inner_m;
        burn->session = chance(r, 0.01) ? 1 + pick(r, 12) : burn->session;
    }
}

// a wick too small for its jar, now and then
static void narrow_the_pools(ep_rng *r, bench *b)
{
    double share = between(r, 0.6, 1.0);
    for (int i = 0; i < b->d.n_readings; i++) {
        ep_reading_kind kind = b->reading[i].kind;
        if (kind == EP_READ_POOL_NARROW || kind == EP_READ_POOL_WIDE) {
            b->reading[i].value *= share;
        }
    }
}

// half of them nearly calm, so that every verdict comes up; half of them wild
static void random_dossier(ep_rng *r, bench *b)
{
    bench_open(b);
    b->d.simulated = chance(r, 0.1);
    b->d.tea_light = chance(r, 0.05);
    int candles = 1 + pick(r, 4);
    for (int i = 0; i < candles; i++) {
        bench_calm(b, chance(r, 0.5) ? 10 : pick(r, 11));
    }
    if (chance(r, 0.2)) {
        narrow_the_pools(r, b);
    }
    int strays = chance(r, 0.4) ? pick(r, 3) : pick(r, 60);
    for (int i = 0; i < strays; i++) {
        add_any_reading(r, b);
    }
    if (chance(r, 0.5)) {
        spoil_some_burns(r, b);
    }
}

static void judged(const bench *b, ep_verdict *v)
{
    ep_err err = {0};
    memset(v, 0x5a, sizeof *v);
    if (ep_judge(&b->d, b->limit, v, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
}

static void check_text(const char *s, size_t cap)
{
    assert_non_null(memchr(s, 0, cap));
    assert_true(s[0] != '\0');
    assert_null(strstr(s, "safe"));
    assert_null(strstr(s, "nan"));
}

static void check_verdict(const bench *b, const ep_verdict *v)
{
    bool stop = false, against = false;
    assert_in_range(v->n_findings, 0, EP_MAX_FINDINGS);
    assert_in_range(v->n_missing, 0, EP_MAX_MISSING);
    for (int i = 0; i < v->n_findings; i++) {
        const ep_finding *f = &v->finding[i];
        check_text(f->text, sizeof f->text);
        assert_non_null(ep_requirement_text(f->requirement));
        assert_in_range(f->n_refs, 0, EP_FINDING_REFS);
        assert_true(f->candle >= -1 && f->candle < b->d.n_candles);
        for (int k = 0; k < f->n_refs; k++) {
            assert_in_range(f->ref[k], 0, b->d.n_readings - 1);
        }
        assert_true(i == 0 || f->weight <= v->finding[i - 1].weight);
        stop = stop || f->weight == EP_STOP;
        against = against || f->weight >= EP_AGAINST;
    }
    assert_int_equal(v->stop_now, stop);
    if (v->kind == EP_VERDICT_RIGHT) {
        assert_false(against);
        assert_true(v->candles_right >= (b->d.simulated ? 1 : 3) && v->candles_wrong == 0);
    }
    assert_int_equal(v->n_missing > 0, v->kind == EP_VERDICT_UNKNOWN);
    assert_true(v->candles_right + v->candles_wrong <= b->d.n_candles);
    assert_true(isnan(v->failure_bound_frac) || (v->candles_wrong == 0 && v->candles_right > 0));
    check_text(v->next_move, sizeof v->next_move);
    check_text(v->proof, sizeof v->proof);
    for (int i = 0; i < v->n_missing; i++) {
        check_text(v->missing[i], sizeof v->missing[i]);
    }
}

static void any_dossier_gets_a_sound_verdict(void **state)
{
    (void)state;
    static bench b;
    static ep_verdict v;
    int seen[EP_VERDICT_COUNT_] = {0};
    for (int i = 0; i < trials; i++) {
        ep_rng r = ep_rng_make(1, (uint64_t)i);
        random_dossier(&r, &b);
        judged(&b, &v);
        check_verdict(&b, &v);
        seen[v.kind]++;
    }
    // the property means little unless every verdict was among them
    for (int k = 0; k < EP_VERDICT_COUNT_; k++) {
        if (seen[k] < trials / 200) {
            fail_msg("only %d of %d are %s", seen[k], trials, ep_verdict_key((ep_verdict_kind)k));
        }
    }
}

// Raise some hot readings of a dossier judged too big: it never becomes right, nor too small.
static void more_heat_never_turns_too_big_into_right(void **state)
{
    (void)state;
    static bench b;
    static ep_verdict v;
    int tried = 0;
    for (int i = 0; i < trials; i++) {
        ep_rng r = ep_rng_make(2, (uint64_t)i);
        random_dossier(&r, &b);
        judged(&b, &v);
        if (v.kind != EP_VERDICT_TOO_BIG) {
            continue;
        }
        for (int k = 0; k < b.d.n_readings; k++) {
            ep_reading *reading = &b.reading[k];
            for (int h = 0; h < n_hot; h++) {
                double most = ep_reading_def_of(hot_kinds[h])->max;
                if (reading->kind == hot_kinds[h] && chance(&r, 0.1) && reading->value < most) {
                    reading->value = ceil(between(&r, reading->value, most));
                }
            }
        }
        judged(&b, &v);
        assert_int_not_equal(v.kind, EP_VERDICT_RIGHT);
        assert_int_not_equal(v.kind, EP_VERDICT_TOO_SMALL);
        tried++;
    }
    assert_true(tried > trials / 20);
}

static void a_right_dossier_falls_with_one_hot_reading(void **state)
{
    (void)state;
    static bench b;
    static ep_verdict v;
    int tried = 0;
    for (int i = 0; i < trials / 2; i++) {
        ep_rng r = ep_rng_make(3, (uint64_t)i);
        random_dossier(&r, &b);
        judged(&b, &v);
        if (v.kind != EP_VERDICT_RIGHT || b.d.n_readings == 0) {
            continue;
        }
        int candle = pick(&r, b.d.n_candles);
        bench_read(&b, candle, 1 + pick(&r, 10), between(&r, 0.0, 239.0), EP_READ_WALL_TEMP,
                   between(&r, 77.1, 120.0));
        judged(&b, &v);
        assert_int_not_equal(v.kind, EP_VERDICT_RIGHT);
        assert_true(v.stop_now);
        tried++;
    }
    assert_true(tried > 100);
}

static void shuffle(ep_rng *r, bench *b)
{
    for (int i = b->d.n_readings - 1; i > 0; i--) {
        int j = pick(r, i + 1);
        ep_reading t = b->reading[i];
        b->reading[i] = b->reading[j];
        b->reading[j] = t;
    }
    for (int i = b->d.n_burns - 1; i > 0; i--) {
        int j = pick(r, i + 1);
        ep_burn_record t = b->burn[i];
        b->burn[i] = b->burn[j];
        b->burn[j] = t;
    }
}

static bool sessions_are_unique(const bench *b)
{
    for (int i = 0; i < b->d.n_burns; i++) {
        for (int j = 0; j < i; j++) {
            if (b->burn[i].candle == b->burn[j].candle &&
                b->burn[i].session == b->burn[j].session) {
                return false;
            }
        }
    }
    return true;
}

static bool same_double(double a, double b)
{
    return memcmp(&a, &b, sizeof a) == 0 || (isnan(a) && isnan(b));
}

static void assert_same_finding(const bench *b, const ep_finding *f, const bench *c,
                                const ep_finding *g)
{
    assert_int_equal(f->requirement, g->requirement);
    assert_int_equal(f->weight, g->weight);
    assert_int_equal(f->candle, g->candle);
    assert_int_equal(f->session, g->session);
    assert_true(same_double(f->value, g->value) && same_double(f->limit, g->limit));
    assert_string_equal(f->text, g->text);
    assert_int_equal(f->n_refs, g->n_refs);
    for (int k = 0; k < f->n_refs; k++) {
        assert_string_equal(b->reading[f->ref[k]].id, c->reading[g->ref[k]].id);
    }
}

static void the_order_of_readings_does_not_matter(void **state)
{
    (void)state;
    static bench b, c;
    static ep_verdict v, u;
    for (int i = 0; i < trials / 4; i++) {
        ep_rng r = ep_rng_make(4, (uint64_t)i);
        random_dossier(&r, &b);
        if (!sessions_are_unique(&b)) {
            continue;
        }
        c = b;
        c.d.candle = c.candle;
        c.d.burn = c.burn;
        c.d.reading = c.reading;
        shuffle(&r, &c);
        judged(&b, &v);
        judged(&c, &u);
        assert_int_equal(v.kind, u.kind);
        assert_int_equal(v.n_findings, u.n_findings);
        for (int k = 0; k < v.n_findings; k++) {
            assert_same_finding(&b, &v.finding[k], &c, &u.finding[k]);
        }
        assert_memory_equal(v.missing, u.missing, sizeof v.missing);
        assert_string_equal(v.next_move, u.next_move);
        assert_string_equal(v.proof, u.proof);
        assert_true(same_double(v.worst_margin, u.worst_margin));
    }
}

// more warnings than the list holds: the hazards stay at its head
static void hazards_are_never_crowded_out(void **state)
{
    (void)state;
    static bench b;
    static ep_verdict v;
    bench_open(&b);
    for (int i = 0; i < bench_candles; i++) {
        bench_calm(&b, 5);
        bench_find_burn(&b, i, 2)->lit_min = 100.0;
        bench_find_burn(&b, i, 3)->room_C = 30.0;
        bench_find_burn(&b, i, 4)->rest_before_h = 0.1;
        bench_find_burn(&b, i, 1)->before_cure = true;
        bench_set(&b, i, 5, EP_READ_MUSHROOM, 2.0);
        bench_set(&b, i, 5, EP_READ_SOOT, 1.0);
        bench_set(&b, i, 5, EP_READ_FLICKER, 2.0);
        bench_set(&b, i, 5, EP_READ_WALL_GAP, 3.0);
    }
    bench_set(&b, bench_candles - 1, 5, EP_READ_FLAME, 99.0);
    bench_set(&b, bench_candles - 1, 5, EP_READ_FLASHOVER, 1.0);
    judged(&b, &v);
    assert_int_equal(v.n_findings, EP_MAX_FINDINGS);
    assert_int_equal(v.finding[0].weight, EP_STOP);
    assert_int_equal(v.finding[0].requirement, 8);
    assert_int_equal(v.finding[1].requirement, 10);
    assert_int_equal(v.kind, EP_VERDICT_TOO_BIG);
}

static void expect_refused(const bench *b, const char *field)
{
    ep_err err = {0};
    static ep_verdict v, before;
    memset(&v, 0x5a, sizeof v);
    before = v;
    assert_int_equal(ep_judge(&b->d, b->limit, &v, &err), EP_E_ARG);
    assert_string_equal(err.field, field);
    assert_true(strlen(err.text) > 10);
    assert_memory_equal(&v, &before, sizeof v);  // out is written only when all is well
}

static void malformed_dossiers_are_refused(void **state)
{
    (void)state;
    static bench b;
    bench_open(&b);
    bench_calm(&b, 2);
    b.burn[1].candle = 1;
    expect_refused(&b, "burn.candle");
    b.burn[1].candle = 0;
    b.burn[1].session = 0;
    expect_refused(&b, "burn.session");
    b.burn[1].session = 2;
    b.reading[3].candle = -1;
    expect_refused(&b, "reading.candle");
    b.reading[3].candle = 0;
    b.reading[3].kind = EP_READ_COUNT_;
    expect_refused(&b, "reading.kind");
    b.reading[3].kind = EP_READ_FLAME;
    b.reading[3].session = -2;
    expect_refused(&b, "reading.session");
    b.reading[3].session = 1;
    b.d.n_burns = -1;
    expect_refused(&b, "dossier");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_dossier_gets_a_sound_verdict),
        cmocka_unit_test(more_heat_never_turns_too_big_into_right),
        cmocka_unit_test(a_right_dossier_falls_with_one_hot_reading),
        cmocka_unit_test(the_order_of_readings_does_not_matter),
        cmocka_unit_test(hazards_are_never_crowded_out),
        cmocka_unit_test(malformed_dossiers_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
