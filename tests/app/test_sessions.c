// Burn sessions: lighting together, putting out one by one, masses before and after, what is warned
// of and what is refused.
#include "workshop.h"

static char a[16], b[16], c[16];  // three candles, cured

static int open_workshop(void **state)
{
    workshop *w = workshop_open("2026-03-02T09:00:00Z", false);
    describe(w);
    pour_some(w, "2", 3);
    copy_text(a, sizeof a, w->last, "candles.0.code");
    copy_text(b, sizeof b, w->last, "candles.1.code");
    copy_text(c, sizeof c, w->last, "candles.2.code");
    pass_hours(w, 15 * 24);
    *state = w;
    return 0;
}

static int close_workshop(void **state)
{
    workshop_close(*state);
    return 0;
}

// the entry of a candle in a session's answer
static const json_t *of(const json_t *session, const char *code)
{
    size_t i;
    json_t *one;
    json_array_foreach(at(session, "candles"), i, one)
    {
        if (strcmp(text_at(one, "code"), code) == 0) {
            return one;
        }
    }
    fail_msg("%s is not in the session", code);
    return NULL;
}

static void lit_together(void **state)
{
    workshop *w = *state;
    const json_t *s = call(w, "session_light",
                           "{'candles': ['%s', '%s'], 'room_temp': '70 F', 'draught': 0, 'trim':"
                           " '1/4 in', 'masses': {'%s': '15.8 oz', '%s': 447.5}}",
                           a, b, a, b);
    assert_true(json_is_true(at(s, "open")));
    assert_near(real_at(s, "planned_h"), 4.0, 1e-12);  // as the recipe says
    assert_near(real_at(s, "room_temp_C"), (70.0 - 32.0) / 1.8, 1e-6);
    assert_near(real_at(s, "trim_mm"), 6.35, 1e-9);
    assert_near(real_at(of(s, a), "before_g"), 15.8 * 28.349523125, 1e-6);
    assert_int_equal((int)real_at(of(s, b), "number"), 1);
    assert_true(json_is_false(at(of(s, a), "before_cure")));
    assert_true(json_is_null(at(of(s, a), "after_g")));
    assert_true(json_is_null(at(of(s, a), "expected")));
    assert_int_equal(json_array_size(at(s, "due_minutes")), 6);
    assert_string_equal(text_at(s, "next_due_at"), "2026-03-17T09:05:00.000Z");
    assert_int_equal(json_array_size(at(s, "warnings")), 0);
    assert_true(json_array_size(at(s, "cautions")) > 0);
}

static void out_one_by_one(void **state)
{
    workshop *w = *state;
    char id[EP_ID_CAP];
    call(w, "session_light", "{'candles': ['%s', '%s'], 'masses': {'%s': 446, '%s': 447}}", a, b, a,
         b);
    copy_text(id, sizeof id, w->last, "id");
    pass_hours(w, 2);
    const json_t *s = call(w, "session_end",
                           "{'id': '%s', 'candles': ['%s'], 'masses': {'%s': 438},"
                           " 'reason': 'went_out'}",
                           id, b, b);
    assert_true(json_is_true(at(s, "open")));
    assert_near(real_at(of(s, b), "burned_g"), 9.0, 1e-9);
    assert_near(real_at(of(s, b), "rate_g_h"), 4.5, 1e-9);
    assert_string_equal(text_at(of(s, b), "reason"), "went_out");
    // the judge is told by a reading
    call(w, "reading_list", "{'candle': '%s'}", b);
    assert_string_equal(text_at(w->last, "readings.0.kind"), "went_out");
    assert_near(real_at(w->last, "readings.0.minute"), 120.0, 1e-9);
    refuse(w, EP_E_STATE, "candles", "is out already", "session_end",
           "{'id': '%s', 'candles': ['%s']}", id, b);
    pass_hours(w, 2);
    s = call(w, "session_end", "{'id': '%s'}", id);
    assert_true(json_is_false(at(s, "open")));
    assert_string_equal(text_at(of(s, a), "reason"), "planned");
    assert_string_equal(text_at(s, "ended_at"), "2026-03-17T13:00:00.000Z");
    assert_string_equal(text_at(s, "rest_until"), "2026-03-18T09:00:00.000Z");
    assert_true(json_is_null(at(s, "next_due_at")));
    assert_true(json_is_null(at(of(s, a), "rate_g_h")));
    refuse(w, EP_E_STATE, "id", "over already", "session_end", "{'id': '%s'}", id);
    // weighed after it has cooled: only once
    pass_hours(w, 1);
    s = call(w, "session_end", "{'id': '%s', 'masses': {'%s': 428}}", id, a);
    assert_near(real_at(of(s, a), "rate_g_h"), 4.5, 1e-9);
    call(w, "session_end", "{'id': '%s', 'masses': {'%s': 428}}", id, a);
    refuse(w, EP_E_CONFLICT, "masses", "428.0 g", "session_end",
           "{'id': '%s', 'masses': {'%s': 427}}", id, a);
}

static void put_out_early_is_stopped(void **state)
{
    workshop *w = *state;
    char id[EP_ID_CAP];
    call(w, "session_light", "{'candles': ['%s'], 'planned': '3 h'}", a);
    copy_text(id, sizeof id, w->last, "id");
    pass_hours(w, 1);
    assert_string_equal(text_at(of(call(w, "session_end", "{'id': '%s'}", id), a), "reason"),
                        "stopped");
}

static void never_lit_twice_at_once(void **state)
{
    workshop *w = *state;
    call(w, "session_light", "{'candles': ['%s']}", a);
    refuse(w, EP_E_STATE, "candles", "is lit already", "session_light", "{'candles': ['%s', '%s']}",
           b, a);
    refuse(w, EP_E_ARG, "candles", "named twice", "session_light", "{'candles': ['%s', '%s']}", b,
           b);
    // nothing of the refused ones is left
    call(w, "candle_show", "{'id': '%s'}", b);
    assert_int_equal((int)real_at(w->last, "sessions"), 0);
    call(w, "session_list", "{}");
    assert_int_equal(json_array_size(at(w->last, "sessions")), 1);
}

static void before_cure_and_rest_are_marked(void **state)
{
    workshop *w = *state;
    char young[16], id[EP_ID_CAP];
    pour_some(w, "2", 1);
    copy_text(young, sizeof young, w->last, "candles.0.code");
    pass_hours(w, 24);
    const json_t *s = call(w, "session_light", "{'candles': ['%s', '%s']}", young, a);
    assert_true(json_is_true(at(of(s, young), "before_cure")));
    assert_true(json_is_false(at(of(s, a), "before_cure")));
    assert_true(any_text(at(s, "warnings"), "312.0 h before its cure was out"));
    copy_text(id, sizeof id, s, "id");
    pass_hours(w, 4);
    call(w, "session_end", "{'id': '%s'}", id);
    pass_hours(w, 2);
    s = call(w, "session_light", "{'candles': ['%s']}", a);
    assert_true(json_is_true(at(of(s, a), "before_rest")));
    assert_true(any_text(at(s, "warnings"), "before it had rested"));
    assert_int_equal((int)real_at(of(s, a), "number"), 2);
    // the same hour the next day, give or take
    copy_text(id, sizeof id, s, "id");
    pass_hours(w, 4);
    call(w, "session_end", "{'id': '%s'}", id);
    pass_hours(w, 19.5);
    s = call(w, "session_light", "{'candles': ['%s']}", a);
    assert_true(json_is_false(at(of(s, a), "before_rest")));
}

static void a_cure_is_counted_in_days(void **state)
{
    workshop *w = *state;
    char evening[16], early[16];
    pour_some(w, "2", 2);  // 14 days
    copy_text(evening, sizeof evening, w->last, "candles.0.code");
    copy_text(early, sizeof early, w->last, "candles.1.code");
    pass_hours(w, 14.0 * 24.0 - 12.5);
    const json_t *s = call(w, "session_light", "{'candles': ['%s']}", early);
    assert_true(json_is_true(at(of(s, early), "before_cure")));
    pass_hours(w, 1.0);
    s = call(w, "session_light", "{'candles': ['%s']}", evening);
    assert_true(json_is_false(at(of(s, evening), "before_cure")));
    assert_false(any_text(at(s, "warnings"), "before its cure"));
}

static void odd_conditions_are_warned_of(void **state)
{
    workshop *w = *state;
    const json_t *s = call(w, "session_light",
                           "{'candles': ['%s'], 'room_temp': 28, 'draught': 2, 'trim': 12,"
                           " 'planned': 3}",
                           a);
    assert_true(any_text(at(s, "warnings"), "room 28.0 C is outside 15 to 25 C"));
    assert_true(any_text(at(s, "warnings"), "draught"));
    assert_true(any_text(at(s, "warnings"), "trim 12.0 mm is long"));
    assert_true(any_text(at(s, "warnings"), "was not weighed before"));
    char id[EP_ID_CAP];
    copy_text(id, sizeof id, s, "id");
    pass_hours(w, 4);
    assert_true(any_text(at(call(w, "session_show", "{'id': '%s'}", id), "warnings"),
                         "lit for 4.0 h, 3.0 h were planned"));
    s = call(w, "session_light", "{'candles': ['%s'], 'trim': 2}", b);
    assert_true(any_text(at(s, "warnings"), "trim 2.0 mm is short"));
}

static void masses_that_cannot_be(void **state)
{
    workshop *w = *state;
    char id[EP_ID_CAP];
    refuse(w, EP_E_ARG, "masses", "none of the candles", "session_light",
           "{'candles': ['%s'], 'masses': {'%s': 446}}", a, b);
    char mass_a[40], mass_b[40];
    snprintf(mass_a, sizeof mass_a, "masses.%s", a);
    snprintf(mass_b, sizeof mass_b, "masses.%s", b);
    refuse(w, EP_E_ARG, mass_a, "cannot weigh 44.6 g", "session_light",
           "{'candles': ['%s'], 'masses': {'%s': 44.6}}", a, a);
    // both scales misread: both are told
    ep_mistakes more = {0};
    try_all(w, &more, "session_light",
            "{'candles': ['%s', '%s'], 'masses': {'%s': 44.6, '%s': 1.2}}", a, b, a, b);
    assert_string_equal(w->err.field, mass_a);
    assert_int_equal(more.n, 1);
    assert_string_equal(more.at[0].field, mass_b);
    assert_non_null(strstr(more.at[0].text, "cannot weigh 1.2 g"));
    refuse(w, EP_E_PARSE, "masses", "", "session_light", "{'candles': ['%s'], 'masses': 'x'}", a);
    call(w, "session_light", "{'candles': ['%s'], 'masses': {'%s': 446}}", a, a);
    copy_text(id, sizeof id, w->last, "id");
    pass_hours(w, 4);
    refuse(w, EP_E_ARG, mass_a, "at most 446.0 g", "session_end",
           "{'id': '%s', 'masses': {'%s': 460}}", id, a);
    refuse(w, EP_E_ARG, mass_a, "cannot weigh", "session_end",
           "{'id': '%s', 'masses': {'%s': 200}}", id, a);
    refuse(w, EP_E_ARG, "masses", "none of the candles", "session_end",
           "{'id': '%s', 'masses': {'%s': 428}}", id, b);
    // still lit: a refusal puts nothing out
    const json_t *s = call(w, "session_show", "{'id': '%s'}", id);
    assert_true(json_is_true(at(s, "open")));
    // implausibly fast is written down and warned of
    s = call(w, "session_end", "{'id': '%s', 'masses': {'%s': 366}}", id, a);
    assert_true(any_text(at(s, "warnings"), "20.0 g/h"));
}

static void a_wrong_mass_is_corrected_by_a_reading(void **state)
{
    workshop *w = *state;
    char id[EP_ID_CAP];
    call(w, "session_light", "{'candles': ['%s'], 'masses': {'%s': 464}}", a, a);
    copy_text(id, sizeof id, w->last, "id");
    pass_hours(w, 4);
    call(w, "session_end", "{'id': '%s', 'masses': {'%s': 428}}", id, a);
    call(w, "reading_add", "{'candle': '%s', 'kind': 'mass', 'value': 446, 'minute': 0}", a);
    call(w, "reading_add", "{'candle': '%s', 'kind': 'mass', 'value': 430, 'minute': 240}", a);
    const json_t *s = call(w, "session_show", "{'id': '%s'}", id);
    assert_near(real_at(of(s, a), "before_g"), 446.0, 1e-9);
    assert_near(real_at(of(s, a), "burned_g"), 16.0, 1e-9);
    call(w, "candle_show", "{'id': '%s'}", a);
    assert_near(real_at(w->last, "mass_g"), 430.0, 1e-9);
    // a candle gains no mass
    pass_hours(w, 24);
    s = call(w, "session_light", "{'candles': ['%s'], 'masses': {'%s': 440}}", a, a);
    assert_true(any_text(at(s, "warnings"), "gains no mass"));
}

static void times_in_order(void **state)
{
    workshop *w = *state;
    char id[EP_ID_CAP];
    refuse(w, EP_E_ARG, "lit_at", "poured", "session_light",
           "{'candles': ['%s'], 'lit_at': '2026-03-01'}", a);
    refuse(w, EP_E_ARG, "lit_at", "now", "session_light",
           "{'candles': ['%s'], 'lit_at': '2026-03-19'}", a);
    call(w, "session_light", "{'candles': ['%s'], 'lit_at': '2026-03-17T05:00Z'}", a);
    copy_text(id, sizeof id, w->last, "id");
    refuse(w, EP_E_ARG, "at", "(lit)", "session_end", "{'id': '%s', 'at': '2026-03-17T04:00Z'}",
           id);
    call(w, "session_end", "{'id': '%s', 'at': '2026-03-17T08:00Z'}", id);
    refuse(w, EP_E_ARG, "lit_at", "last put out", "session_light",
           "{'candles': ['%s'], 'lit_at': '2026-03-17T07:00Z'}", a);
    refuse(w, EP_E_NOT_FOUND, "id", "no burn session", "session_end", "{'id': 'none'}");
    refuse(w, EP_E_NOT_FOUND, "id", "no burn session", "session_show", "{'id': 'none'}");
    refuse(w, EP_E_NOT_FOUND, "candles", "no candle", "session_light", "{'candles': ['NONE']}");
    refuse(w, EP_E_ARG, "planned", "48 h is outside 0.1 h to 24 h", "session_light",
           "{'candles': ['%s'], 'planned': 48}", b);
}

static void the_end_of_the_wax_is_said(void **state)
{
    workshop *w = *state;
    char id[EP_ID_CAP];
    call(w, "session_light", "{'candles': ['%s'], 'masses': {'%s': 446}}", a, a);
    copy_text(id, sizeof id, w->last, "id");
    pass_hours(w, 20);
    call(w, "session_end", "{'id': '%s', 'masses': {'%s': 280}}", id, a);
    assert_false(any_text(at(w->last, "warnings"), "stop height"));
    pass_hours(w, 20);
    call(w, "session_light", "{'candles': ['%s'], 'masses': {'%s': 280}}", a, a);
    copy_text(id, sizeof id, w->last, "id");
    pass_hours(w, 4);
    // 206 g filled 60 mm; 24 g stand 7 mm high, the stop height is 10 mm
    const json_t *s = call(w, "session_end", "{'id': '%s', 'masses': {'%s': 264}}", id, a);
    assert_true(any_text(at(s, "warnings"), "the stop height is 10 mm"));
}

#define SESSION_ID  "01956a00-0000-7000-8000-0000000000c1"
#define LIGHT_TWICE "{'id': '" SESSION_ID "', 'candles': ['%s'], 'trim': %d}"
#define END_TWICE                                                                                  \
    "{'id': '" SESSION_ID "', 'request_id': '01956a00-0000-7000-8000-0000000000c2',"               \
    " 'masses': {'%s': %d}}"

static void the_same_session_twice_is_one(void **state)
{
    workshop *w = *state;
    json_t *first = json_deep_copy(call(w, "session_light", LIGHT_TWICE, a, 5));
    pass_hours(w, 1);
    assert_true(json_equal(first, call(w, "session_light", LIGHT_TWICE, a, 5)));
    refuse(w, EP_E_CONFLICT, "id", "", "session_light", LIGHT_TWICE, a, 6);
    json_decref(first);
    first = json_deep_copy(call(w, "session_end", END_TWICE, a, 440));
    pass_hours(w, 1);
    assert_true(json_equal(first, call(w, "session_end", END_TWICE, a, 440)));
    refuse(w, EP_E_CONFLICT, "id", "", "session_end", END_TWICE, a, 439);
    json_decref(first);
}

static void lists(void **state)
{
    workshop *w = *state;
    for (int i = 0; i < 3; i++) {
        char id[EP_ID_CAP];
        call(w, "session_light", "{'candles': ['%s']}", a);
        copy_text(id, sizeof id, w->last, "id");
        pass_hours(w, 4);
        call(w, "session_end", "{'id': '%s'}", id);
        pass_hours(w, 20);
    }
    call(w, "session_light", "{'candles': ['%s']}", b);
    call(w, "session_list", "{'limit': 2}");
    assert_int_equal(json_array_size(at(w->last, "sessions")), 2);
    assert_true(json_is_true(at(w->last, "more")));
    char before[40];
    copy_text(before, sizeof before, w->last, "sessions.1.lit_at");
    call(w, "session_list", "{'before': '%s', 'recipe': 'fig'}", before);
    assert_int_equal(json_array_size(at(w->last, "sessions")), 2);
    assert_true(json_is_false(at(w->last, "more")));
    call(w, "session_list", "{'open': 'yes'}");
    assert_int_equal(json_array_size(at(w->last, "sessions")), 1);
    assert_string_equal(text_at(w->last, "sessions.0.candles.0.code"), b);
    refuse(w, EP_E_NOT_FOUND, "recipe", "plum", "session_list", "{'recipe': 'plum'}");
}

int main(void)
{
#define T(f) cmocka_unit_test_setup_teardown(f, open_workshop, close_workshop)
    const struct CMUnitTest tests[] = {
        T(lit_together),
        T(out_one_by_one),
        T(put_out_early_is_stopped),
        T(never_lit_twice_at_once),
        T(before_cure_and_rest_are_marked),
        T(a_cure_is_counted_in_days),
        T(odd_conditions_are_warned_of),
        T(masses_that_cannot_be),
        T(a_wrong_mass_is_corrected_by_a_reading),
        T(times_in_order),
        T(the_end_of_the_wax_is_said),
        T(the_same_session_twice_is_one),
        T(lists),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
