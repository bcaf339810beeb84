// Ready cases: what a candle did, and what is to be said of it. Each names the origin of its
// threshold or of its rule. The last test checks that every requirement is both met and failed.
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "builds.h"
#include "judge/judge_int.h"

#define PRACTICE "common practice, no source"
#define HOUSE    "house limit, the maker's own"

typedef struct expectation {
    const char *name, *origin;
    void (*build)(bench *b);
    ep_verdict_kind kind;
    bool stop;
    struct {
        int j;
        ep_weight weight;  // exactly
    } fires[6];
    int met[12];                 // no finding of these at a weight that means "not met"
    const char *next, *missing;  // words that must stand there; NULL: not looked at
} expectation;

static const expectation cases[] = {
#include "cases_verdict.def"

#include "cases_open.def"
};

enum { n_cases = sizeof cases / sizeof cases[0] };

static void judge(const expectation *e, bench *b, ep_verdict *v)
{
    bench_open(b);
    e->build(b);
    memset(v, 0x5a, sizeof *v);
    ep_err err = {0};
    if (ep_judge(&b->d, b->limit, v, &err) != EP_OK) {
        fail_msg("%s: %s", e->name, err.text);
    }
}

// heaviest finding of a requirement, -1 none
static int heaviest(const ep_verdict *v, int j)
{
    int weight = -1;
    for (int i = 0; i < v->n_findings; i++) {
        if (v->finding[i].requirement == j && (int)v->finding[i].weight > weight) {
            weight = (int)v->finding[i].weight;
        }
    }
    return weight;
}

static void show(const expectation *e, const ep_verdict *v)
{
    print_message("%s -> %s\n  next: %s\n  proof: %s\n", e->name, ep_verdict_key(v->kind),
                  v->next_move, v->proof);
    for (int i = 0; i < v->n_findings; i++) {
        print_message("  J%d %s: %s\n", v->finding[i].requirement,
                      ep_weight_key(v->finding[i].weight), v->finding[i].text);
    }
    for (int i = 0; i < v->n_missing; i++) {
        print_message("  missing: %s\n", v->missing[i]);
    }
}

static bool missing_says(const ep_verdict *v, const char *words)
{
    for (int i = 0; i < v->n_missing; i++) {
        if (strstr(v->missing[i], words)) {
            return true;
        }
    }
    return false;
}

static bool as_expected(const expectation *e, const ep_verdict *v)
{
    bool good = v->kind == e->kind && v->stop_now == e->stop;
    for (int i = 0; i < 6 && e->fires[i].j; i++) {
        good = good && heaviest(v, e->fires[i].j) == (int)e->fires[i].weight;
    }
    for (int i = 0; i < 12 && e->met[i]; i++) {
        good = good && heaviest(v, e->met[i]) < (int)ep_requirement_fails_at(e->met[i]);
    }
    good = good && (!e->next || strstr(v->next_move, e->next));
    return good && (!e->missing || missing_says(v, e->missing));
}

static void every_case_is_judged_as_told(void **state)
{
    (void)state;
    static bench b;
    ep_verdict v;
    int bad = 0;
    for (int i = 0; i < n_cases; i++) {
        judge(&cases[i], &b, &v);
        if (!as_expected(&cases[i], &v)) {
            show(&cases[i], &v);
            bad++;
        }
    }
    assert_int_equal(bad, 0);
}

static void every_requirement_is_met_and_failed_somewhere(void **state)
{
    (void)state;
    for (int j = EP_J1; j < EP_J_END_; j++) {
        bool met = false, failed = false;
        for (int i = 0; i < n_cases; i++) {
            for (int k = 0; k < 12; k++) {
                met = met || cases[i].met[k] == j;
            }
            for (int k = 0; k < 6; k++) {
                failed = failed || (cases[i].fires[k].j == j &&
                                    cases[i].fires[k].weight >= ep_requirement_fails_at(j));
            }
        }
        if (!met || !failed) {
            fail_msg("J%d: a case that meets it: %s; a case that fails it: %s", j,
                     met ? "yes" : "no", failed ? "yes" : "no");
        }
        assert_non_null(ep_requirement_text(j));
    }
    assert_null(ep_requirement_text(EP_J_END_));
    assert_null(ep_requirement_text(0));
}

static void every_case_names_its_origin(void **state)
{
    (void)state;
    for (int i = 0; i < n_cases; i++) {
        assert_true(cases[i].origin && strlen(cases[i].origin) > 4);
    }
}

// what holds of every verdict, whatever the case
static void verdicts_hold_together(void **state)
{
    (void)state;
    static bench b;
    ep_verdict v;
    for (int i = 0; i < n_cases; i++) {
        judge(&cases[i], &b, &v);
        assert_true(v.next_move[0] && v.proof[0]);
        assert_int_equal(v.n_missing > 0, v.kind == EP_VERDICT_UNKNOWN);
        for (int k = 0; k < v.n_findings; k++) {
            const ep_finding *f = &v.finding[k];
            assert_true(f->text[0] && strlen(f->text) < sizeof f->text - 1);
            for (int r = 0; r < f->n_refs; r++) {
                assert_in_range(f->ref[r], 0, b.d.n_readings - 1);
                assert_true(f->candle < 0 || b.reading[f->ref[r]].candle == f->candle);
            }
        }
        // no word of ours calls a candle safe
        assert_null(strstr(v.proof, "safe"));
        assert_null(strstr(v.next_move, "safe"));
        assert_true(strlen(v.proof) < sizeof v.proof - 1);
        assert_true(strlen(v.next_move) < sizeof v.next_move - 1);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_case_is_judged_as_told),
        cmocka_unit_test(every_requirement_is_met_and_failed_somewhere),
        cmocka_unit_test(every_case_names_its_origin),
        cmocka_unit_test(verdicts_hold_together),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
