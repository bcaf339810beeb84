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
#define HOUSE "house limit, the maker's own"

typedef struct expectation {
    const char *name, *origin;
    void (*build)(bench *b);
    ep_verdict_kind kind;
    bool stop;
    struct {
        int j;
        ep_weight weight;  // exactly
    } fires[6];
    int met[12];           // no finding of these at a weight that means "not met"
    const char *next, *missing;  // words that must stand there; NULL: not looked at
} expectation;

static const expectation cases[] = {
    {"right: early ring, calm to the end, three candles", PRACTICE, three_calm, EP_VERDICT_RIGHT,
     false, {{0}}, {1, 2, 3, 4, 5, 6, 7, 8, 13, 14, 17, 20}, "one size down", NULL},
    {"right: the rest of its checks", PRACTICE, three_calm, EP_VERDICT_RIGHT, false, {{0}},
     {15, 16, 18, 22, 23, 24, 26, 27, 29, 30, 31, 32}, "Keep", NULL},
    {"right: hang-up early, gone later", PRACTICE, early_hang_up, EP_VERDICT_RIGHT, false, {{0}},
     {19, 17}, "Keep", NULL},
    {"right: goes out with the last of the wax", HOUSE, out_at_the_end, EP_VERDICT_RIGHT, false,
     {{0}}, {25, 1}, NULL, NULL},
    {"right: share left known from weighings only", PRACTICE, weighed_only, EP_VERDICT_RIGHT,
     false, {{0}}, {30}, NULL, NULL},
    {"right: nothing weighed, but burned to the end", PRACTICE, nothing_weighed, EP_VERDICT_RIGHT,
     false, {{0}}, {30}, NULL, NULL},
    {"right: hot end read late in a short last session", HOUSE, short_last_session,
     EP_VERDICT_RIGHT, false, {{0}}, {30, 1}, NULL, NULL},
    {"right: only the widest pool read, and noted", HOUSE, widest_only, EP_VERDICT_RIGHT, false,
     {{17, EP_NOTE}}, {17}, NULL, NULL},
    {"right with a warning: a trace of soot", HOUSE, trace_of_soot, EP_VERDICT_RIGHT, false,
     {{22, EP_WARN}}, {23}, NULL, NULL},
    {"right with a warning: a head grows", HOUSE, growing_head, EP_VERDICT_RIGHT, false,
     {{23, EP_WARN}}, {22}, NULL, NULL},
    {"right: a draughty session made good by the next", PRACTICE, draught_made_good,
     EP_VERDICT_RIGHT, false, {{2, EP_WARN}, {20, EP_WARN}}, {0}, NULL, NULL},
    {"right: depth is judged at four hours", PRACTICE, deep_after_five_hours, EP_VERDICT_RIGHT,
     false, {{1, EP_WARN}}, {20}, NULL, NULL},
    {"right: weak scent is not the wick's fault first", PRACTICE, weak_scent, EP_VERDICT_RIGHT,
     false, {{28, EP_NOTE}}, {0}, "cure", NULL},
    {"right with a warning: thin margin", HOUSE, thin_margin, EP_VERDICT_RIGHT, false,
     {{32, EP_WARN}, {13, EP_WARN}}, {0}, "by little", NULL},
    {"right with a warning: flicker in still air", "EN 15426:2018, read second-hand", flickers,
     EP_VERDICT_RIGHT, false, {{24, EP_WARN}}, {2}, NULL, NULL},
    {"right with a warning: afterglow 24 s", "EN 15493:2007 20 s, EN 15493:2019 30 s, second-hand",
     afterglow_of_old_edition, EP_VERDICT_RIGHT, false, {{27, EP_WARN}}, {0}, NULL, NULL},
    {"right: one long afterglow, mean below the limit", "EN 15493:2019, read second-hand",
     one_long_afterglow, EP_VERDICT_RIGHT, false, {{0}}, {27}, NULL, NULL},
    {"right: flame exactly on the limit", "EN 15493:2019 75 mm, read second-hand",
     flame_on_the_limit, EP_VERDICT_RIGHT, false, {{0}}, {8}, NULL, NULL},
    {"right: a second flame of ten seconds is a warning",
     "EN 15493:2019 more than 10 s, read second-hand", second_flame_brief, EP_VERDICT_RIGHT, false,
     {{9, EP_WARN}}, {11}, NULL, NULL},
    {"right: what a power burn reads is judged apart", PRACTICE, power_burned, EP_VERDICT_RIGHT,
     false, {{16, EP_WARN}, {1, EP_WARN}}, {13, 8, 22, 23}, NULL, NULL},
    {"right: tea lights, liquid through", "EN 15493:2019 30 mm, read second-hand", tea_light_calm,
     EP_VERDICT_RIGHT, false, {{0}}, {8, 20, 18}, NULL, NULL},
    {"right: one forecast", HOUSE, forecast, EP_VERDICT_RIGHT, false, {{0}}, {31}, NULL, NULL},

    {"too big: over-wicked", PRACTICE, over_wicked, EP_VERDICT_TOO_BIG, true,
     {{13, EP_STOP}, {18, EP_WARN}, {20, EP_AGAINST}, {22, EP_AGAINST}}, {8, 17}, "One size down",
     NULL},
    {"too big: hot at session 1", HOUSE, hot_at_once, EP_VERDICT_TOO_BIG, true, {{13, EP_STOP}},
     {2, 3}, "Put it out now", NULL},
    {"too big: hot only in the last third", HOUSE, hot_at_the_end, EP_VERDICT_TOO_BIG, true,
     {{13, EP_STOP}}, {8, 17}, "One size down", NULL},
    {"too big: one candle of three", "a fire criterion passes only when all pass: " PRACTICE,
     one_of_three_hot, EP_VERDICT_TOO_BIG, true, {{13, EP_STOP}}, {17}, "One size down", NULL},
    {"too big: flame 76 mm", "EN 15493:2019 75 mm, read second-hand", tall_flame,
     EP_VERDICT_TOO_BIG, true, {{8, EP_STOP}}, {13}, "One size down", NULL},
    {"too big: flame 31 mm on a tea light", "EN 15493:2019 30 mm, read second-hand",
     tea_light_tall, EP_VERDICT_TOO_BIG, true, {{8, EP_STOP}}, {13}, NULL, NULL},
    {"too big: a reading without a session still counts", "EN 15493:2019, read second-hand",
     loose_reading, EP_VERDICT_TOO_BIG, true, {{8, EP_STOP}}, {13}, NULL, NULL},
    {"too big: flashover", "ASTM PS 59-02 definition 3.2.4", flashover, EP_VERDICT_TOO_BIG, true,
     {{10, EP_STOP}}, {9, 11, 12}, NULL, NULL},
    {"too big: smokes all the time over a full pool", HOUSE, smokes_always, EP_VERDICT_TOO_BIG,
     true, {{15, EP_STOP}}, {22}, NULL, NULL},
    {"too big: smokes often over a full pool", HOUSE, smokes_often, EP_VERDICT_TOO_BIG, false,
     {{15, EP_AGAINST}}, {22, 10}, NULL, NULL},
    {"too big: centred, yet the flame fills the jar", HOUSE, centred_at_the_wall,
     EP_VERDICT_TOO_BIG, true, {{14, EP_STOP}}, {3}, NULL, NULL},
    {"too big: hot even before the cure is out", HOUSE, hot_before_cure, EP_VERDICT_TOO_BIG, true,
     {{7, EP_WARN}, {13, EP_STOP}}, {0}, NULL, NULL},

    {"too small: under-wicked", PRACTICE, under_wicked, EP_VERDICT_TOO_SMALL, false,
     {{17, EP_AGAINST}}, {13, 8, 21}, "One size up", NULL},
    {"too small: wide jar", PRACTICE, wide_jar_under_wicked, EP_VERDICT_TOO_SMALL, false,
     {{17, EP_AGAINST}}, {0}, "two smaller wicks", NULL},
    {"too small: ring still thick in the last quarter", HOUSE, late_hang_up, EP_VERDICT_TOO_SMALL,
     false, {{19, EP_AGAINST}}, {13}, "One size up", NULL},
    {"too small: only yes and no and the ring read", HOUSE, flags_only_small, EP_VERDICT_TOO_SMALL,
     false, {{17, EP_AGAINST}}, {0}, NULL, NULL},
    {"too small: a thin ring past the middle", HOUSE, thin_ring_past_the_middle,
     EP_VERDICT_TOO_SMALL, false, {{17, EP_AGAINST}}, {0}, NULL, NULL},
    {"too small: a pool of session 1 is no vote", PRACTICE, early_pool_is_no_vote,
     EP_VERDICT_TOO_SMALL, false, {{17, EP_AGAINST}}, {29}, NULL, NULL},
    {"too small: tunnels and goes out", PRACTICE, tunnels_out, EP_VERDICT_TOO_SMALL, false,
     {{25, EP_AGAINST}, {17, EP_AGAINST}}, {0}, NULL, NULL},

    {"wrong kind: carbon and soot while the pool is short", PRACTICE, carbon_and_short,
     EP_VERDICT_WRONG_KIND, false, {{22, EP_AGAINST}, {23, EP_AGAINST}, {17, EP_AGAINST}}, {13},
     "construction", NULL},
    {"wrong kind: drowns though the width fits", PRACTICE, drowns, EP_VERDICT_WRONG_KIND, false,
     {{25, EP_AGAINST}}, {22}, "load", NULL},
    {"wrong kind: drowns, but was never cured", PRACTICE, drowns_uncured, EP_VERDICT_WRONG_KIND,
     false, {{25, EP_AGAINST}, {7, EP_WARN}}, {0}, "cure", NULL},
    {"wrong kind: must be lit again and again", HOUSE, many_relights, EP_VERDICT_WRONG_KIND, false,
     {{26, EP_AGAINST}}, {25}, "load", NULL},
    {"wrong kind: afterglow above 30 s in the mean", "EN 15493:2019, read second-hand",
     long_afterglow, EP_VERDICT_WRONG_KIND, false, {{27, EP_AGAINST}}, {8}, "Trim", NULL},
    {"wrong kind: hot and short at once, wide jar", PRACTICE, hot_and_short, EP_VERDICT_WRONG_KIND,
     true, {{8, EP_STOP}, {17, EP_AGAINST}}, {0}, "Two smaller wicks", NULL},
    {"too small: a forecast whose flame floods at once", PRACTICE, forecast_drowns,
     EP_VERDICT_TOO_SMALL, false,
     {{25, EP_AGAINST}}, {0}, NULL, NULL},

    {"not yet: too early", PRACTICE, too_early, EP_VERDICT_UNKNOWN, false,
     {{30, EP_NOTE}, {31, EP_NOTE}}, {13, 8, 28}, "Carry on",
     "K1: session 3 pool width at 3 h or later"},
    {"not yet: the last quarter is to come", PRACTICE, too_early, EP_VERDICT_UNKNOWN, false,
     {{30, EP_NOTE}}, {0}, "Carry on", "the last quarter of the wax (81 % is left)"},
    {"not yet: share left known from weighings", PRACTICE, weighed_half_way, EP_VERDICT_UNKNOWN,
     false, {{30, EP_NOTE}}, {0}, NULL, "(62 % is left)"},
    {"not yet: hot end of the sessions not read", HOUSE, read_too_early, EP_VERDICT_UNKNOWN, false,
     {{30, EP_WARN}}, {0}, NULL, "1 more candle"},
    {"not yet: draught at the very end", PRACTICE, draught_at_the_very_end, EP_VERDICT_UNKNOWN,
     false, {{2, EP_WARN}, {20, EP_WARN}}, {0}, "draught", "1 more candle"},
    {"not yet: pool never read", PRACTICE, pool_never_read, EP_VERDICT_UNKNOWN, false,
     {{30, EP_NOTE}}, {17}, "Carry on", "session 6 pool width at 3 h or later"},
    {"not yet: went out, pool never read", PRACTICE, out_with_pool_unread, EP_VERDICT_UNKNOWN,
     false, {{25, EP_AGAINST}}, {0}, "narrowest pool", "narrowest pool late in session 6"},
    {"not yet: soot in a warm room", "EN 15426:2018 (20 +/- 5) C, read second-hand",
     sooty_in_a_warm_room, EP_VERDICT_UNKNOWN, false, {{22, EP_WARN}, {5, EP_WARN}}, {0}, NULL,
     "with the room in its range"},
    {"not yet: only two candles", "three candles: EN 15426:2018 and " PRACTICE, two_calm,
     EP_VERDICT_UNKNOWN, false, {{31, EP_NOTE}}, {30}, "Pour", "1 more candle to the end"},
    {"not yet: ring nearly gone at session 3", PRACTICE, thin_ring, EP_VERDICT_UNKNOWN, false,
     {{17, EP_WARN}}, {13}, "Carry on", NULL},
    {"not yet: lit before the cure was out", PRACTICE, before_cure, EP_VERDICT_UNKNOWN, false,
     {{7, EP_WARN}, {31, EP_NOTE}}, {13, 17}, "cure", "3 more candles to the end, lit after"},
    {"not yet: draught", "EN 15426:2018 cl. 8, read second-hand", draughty_and_sooty,
     EP_VERDICT_UNKNOWN, false, {{2, EP_WARN}, {22, EP_WARN}}, {24}, "draught",
     "session 4 again, in still air"},
    {"not yet: draught noted as a reading", "EN 15426:2018 cl. 8, read second-hand",
     draught_as_a_reading, EP_VERDICT_UNKNOWN, false, {{2, EP_WARN}, {22, EP_WARN}}, {0}, "draught",
     "in still air"},
    {"not yet: a short pool in a cold room", "EN 15426:2018 (20 +/- 5) C, read second-hand",
     cold_room_as_a_reading, EP_VERDICT_UNKNOWN, false, {{5, EP_WARN}}, {17}, NULL,
     "with the room in its range"},
    {"not yet: goes out with little wax left", HOUSE, out_with_little_left, EP_VERDICT_UNKNOWN,
     false, {{0}}, {25}, "Carry on", "the rest of the wax, to the stop height (12.7 mm)"},
    {"not yet: off centre and hot on one side", PRACTICE, off_centre, EP_VERDICT_UNKNOWN, true,
     {{3, EP_WARN}, {13, EP_STOP}}, {2}, "straighten and centre", NULL},
    {"not yet: one-sided pool", PRACTICE, one_sided, EP_VERDICT_UNKNOWN, false, {{4, EP_WARN}},
     {17, 3}, "centre", "session 3 again"},
    {"not yet: room 29 C", "EN 15426:2018 (20 +/- 5) C, read second-hand; " HOUSE, warm_room,
     EP_VERDICT_UNKNOWN, false, {{5, EP_WARN}}, {13}, "Burn again", "with the room in its range"},
    {"not yet: half an hour of rest", "EN 15426:2018 60 min, read second-hand", short_rest,
     EP_VERDICT_UNKNOWN, false, {{6, EP_WARN}}, {1}, NULL, "after a full rest"},
    {"not yet: session broken off", HOUSE, broken_off, EP_VERDICT_UNKNOWN, false, {{1, EP_WARN}},
     {6}, NULL, "for its whole planned time"},
    {"not yet: went out once in session 1", PRACTICE, out_once_early, EP_VERDICT_UNKNOWN, false,
     {{25, EP_WARN}}, {26}, NULL, NULL},
    {"not yet: soot before the pool can be judged", PRACTICE, carbon_pool_unread,
     EP_VERDICT_UNKNOWN, false, {{22, EP_AGAINST}}, {23}, "narrowest pool", "narrowest pool"},
    {"not yet: candles differ", PRACTICE, candles_differ, EP_VERDICT_UNKNOWN, false,
     {{29, EP_AGAINST}}, {13}, "pour", "why these candles differ"},
    {"not yet: heading for the limit", HOUSE, heading_hot, EP_VERDICT_UNKNOWN, false,
     {{21, EP_WARN}}, {8}, "on its way", NULL},
    {"not yet: one candle's last quarter was not read", HOUSE, last_quarter_unread,
     EP_VERDICT_UNKNOWN, false, {{30, EP_WARN}, {31, EP_NOTE}}, {13}, NULL,
     "1 more candle to the end"},
    {"not yet: nothing burned", PRACTICE, nothing_yet, EP_VERDICT_UNKNOWN, false, {{0}}, {8},
     "first session", "3 candles"},
    {"stop: second flame of 11 s", "EN 15493:2019 more than 10 s, read second-hand", second_flame,
     EP_VERDICT_UNKNOWN, true, {{9, EP_STOP}}, {10}, "beside the wick", "the cause of J9"},
    {"stop: broken container", "EN 15493:2019 and EN 17885:2023, read second-hand", broken,
     EP_VERDICT_UNKNOWN, true, {{11, EP_STOP}}, {10}, "containers", "the cause of J11"},
    {"stop: tips, before it was ever lit", "EN 15493:2019 10 degrees, read second-hand", tips,
     EP_VERDICT_UNKNOWN, true, {{12, EP_STOP}}, {11}, "wider foot", "the cause of J12"},
    {"stop: flame at the wall, placement unknown", HOUSE, at_the_wall, EP_VERDICT_UNKNOWN, true,
     {{14, EP_STOP}}, {13}, "Centre", "the cause of J14"},
    {"warn: flame near the wall", HOUSE, near_the_wall, EP_VERDICT_UNKNOWN, false, {{14, EP_WARN}},
     {13}, NULL, NULL},
    {"stop: lit for eight hours", PRACTICE, power_burning, EP_VERDICT_UNKNOWN, true,
     {{16, EP_STOP}}, {13}, "Put it out now", "the cause of J16"},
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
