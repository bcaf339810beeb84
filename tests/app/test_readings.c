// Readings: units and ranges, minutes, corrections, batches, and the ones that mean "put it out".
#include "workshop.h"

static char a[16], b[16], session[EP_ID_CAP];

static int open_workshop(void **state)
{
    workshop *w = workshop_open("2026-03-02T09:00:00Z", false);
    describe(w);
    pour_some(w, "2", 2);
    copy_text(a, sizeof a, w->last, "candles.0.code");
    copy_text(b, sizeof b, w->last, "candles.1.code");
    pass_hours(w, 15 * 24);
    call(w, "session_light", "{'candles': ['%s', '%s'], 'masses': {'%s': 446}}", a, b, a);
    copy_text(session, sizeof session, w->last, "id");
    pass_hours(w, 1);
    *state = w;
    return 0;
}

static int close_workshop(void **state)
{
    workshop_close(*state);
    return 0;
}

static void written_with_units(void **state)
{
    workshop *w = *state;
    const json_t *r = call(w, "reading_add",
                           "{'candle': '%s', 'kind': 'pool_wide', 'value': '2 in',"
                           " 'note': 'steel rule'}",
                           a);
    assert_near(real_at(r, "value"), 50.8, 1e-9);
    assert_string_equal(text_at(r, "unit"), "mm");
    assert_string_equal(text_at(r, "label"), "melt pool, widest");
    assert_string_equal(text_at(r, "code"), a);
    assert_string_equal(text_at(r, "session_id"), session);
    assert_near(real_at(r, "minute"), 60.0, 1e-9);
    assert_string_equal(text_at(r, "at"), "2026-03-17T10:00:00.000Z");
    assert_string_equal(text_at(r, "note"), "steel rule");
    assert_null(at(r, "stop"));
    r = call(w, "reading_add", "{'candle': '%s', 'kind': 'wall_temp', 'value': '131 F'}", a);
    assert_near(real_at(r, "value"), 55.0, 1e-9);
    r = call(w, "reading_add", "{'candle': '%s', 'kind': 'soot', 'value': 1, 'minute': '30 min'}",
             a);
    assert_near(real_at(r, "minute"), 30.0, 1e-9);
    r = call(w, "reading_add",
             "{'candle': '%s', 'kind': 'pool_at_wall', 'value': 'no', 'at': '2026-03-17T09:45Z'}",
             a);
    assert_near(real_at(r, "value"), 0.0, 1e-12);
    assert_near(real_at(r, "minute"), 45.0, 1e-9);
    r = call(w, "reading_add", "{'candle': '%s', 'kind': 'pool_at_wall', 'value': true}", a);
    assert_near(real_at(r, "value"), 1.0, 1e-12);
}

static void refusals_say_field_value_range(void **state)
{
    workshop *w = *state;
    refuse(w, EP_E_ARG, "kind", "is none of pool_wide", "reading_add",
           "{'candle': '%s', 'kind': 'pool', 'value': 50}", a);
    refuse(w, EP_E_ARG, "pool_wide", "does not fit a container 70 mm wide", "reading_add",
           "{'candle': '%s', 'kind': 'pool_wide', 'value': 75}", a);
    refuse(w, EP_E_PARSE, "pool_wide", "pool_wide", "reading_add",
           "{'candle': '%s', 'kind': 'pool_wide', 'value': '50 g'}", a);
    refuse(w, EP_E_ARG, "flame", "outside 0 mm to 300 mm (typed: 1 m)", "reading_add",
           "{'candle': '%s', 'kind': 'flame', 'value': '1 m'}", a);
    refuse(w, EP_E_ARG, "soot", "whole number", "reading_add",
           "{'candle': '%s', 'kind': 'soot', 'value': 1.5}", a);
    refuse(w, EP_E_ARG, "soot", "4 is outside 0 to 3", "reading_add",
           "{'candle': '%s', 'kind': 'soot', 'value': 4}", a);
    refuse(w, EP_E_PARSE, "went_out", "perhaps", "reading_add",
           "{'candle': '%s', 'kind': 'went_out', 'value': 'perhaps'}", a);
    refuse(w, EP_E_PARSE, "flame", "number", "reading_add",
           "{'candle': '%s', 'kind': 'flame', 'value': true}", a);
    refuse(w, EP_E_ARG, "value", "needed", "reading_add", "{'candle': '%s', 'kind': 'flame'}", a);
    refuse(w, EP_E_ARG, "minute", "90.0 min", "reading_add",
           "{'candle': '%s', 'kind': 'flame', 'value': 20, 'minute': 90}", a);
    refuse(w, EP_E_ARG, "at", "-60.0 min", "reading_add",
           "{'candle': '%s', 'kind': 'flame', 'value': 20, 'at': '2026-03-17T08:00Z'}", a);
    refuse(w, EP_E_ARG, "minute", "either", "reading_add",
           "{'candle': '%s', 'kind': 'flame', 'value': 20, 'minute': 5, 'at': '2026-03-17T09:05Z'}",
           a);
    refuse(w, EP_E_NOT_FOUND, "candle", "no candle", "reading_add",
           "{'candle': 'NONE', 'kind': 'flame', 'value': 20}");
    refuse(w, EP_E_NOT_FOUND, "session", "was not lit in", "reading_add",
           "{'candle': '%s', 'session': 'none', 'kind': 'flame', 'value': 20}", a);
    refuse(w, EP_E_ARG, "mass", "cannot weigh 44.0 g", "reading_add",
           "{'candle': '%s', 'kind': 'mass', 'value': 44}", a);
    pour_some(w, "1", 1);
    char fresh[16];
    copy_text(fresh, sizeof fresh, w->last, "candles.0.code");
    refuse(w, EP_E_STATE, "candle", "never lit", "reading_add",
           "{'candle': '%s', 'kind': 'flame', 'value': 20}", fresh);
    call(w, "reading_list", "{'session': '%s'}", session);
    assert_int_equal(json_array_size(at(w->last, "readings")), 0);
}

// written down after the session: pool and flame belong to its end, the rest to now
static void written_later(void **state)
{
    workshop *w = *state;
    pass_hours(w, 3);
    call(w, "session_end", "{'id': '%s'}", session);
    pass_hours(w, 1);
    call(w, "reading_add", "{'candle': '%s', 'kind': 'pool_depth', 'value': 6}", a);
    assert_near(real_at(w->last, "minute"), 240.0, 1e-9);
    call(w, "reading_add", "{'candle': '%s', 'kind': 'surface', 'value': 1}", a);
    assert_near(real_at(w->last, "minute"), 300.0, 1e-9);
    call(w, "reading_add", "{'candle': '%s', 'kind': 'afterglow', 'value': 7, 'minute': 240}", a);
    refuse(w, EP_E_ARG, "minute", "to 250.0 min (put out)", "reading_add",
           "{'candle': '%s', 'kind': 'flame', 'value': 20, 'minute': 260}", a);
}

static void corrected_by_a_new_row(void **state)
{
    workshop *w = *state;
    char wrong[EP_ID_CAP], right[EP_ID_CAP];
    call(w, "reading_add", "{'candle': '%s', 'kind': 'pool_wide', 'value': 25}", a);
    copy_text(wrong, sizeof wrong, w->last, "id");
    call(w, "reading_add", "{'candle': '%s', 'kind': 'pool_wide', 'value': 52, 'corrects': '%s'}",
         a, wrong);
    copy_text(right, sizeof right, w->last, "id");
    assert_string_equal(text_at(w->last, "corrects"), wrong);
    // both rows stand, the old one says what replaced it
    call(w, "reading_list", "{'session': '%s'}", session);
    assert_int_equal(json_array_size(at(w->last, "readings")), 2);
    size_t i;
    json_t *r;
    json_array_foreach(at(w->last, "readings"), i, r)
    {
        if (strcmp(text_at(r, "id"), wrong) == 0) {
            assert_near(real_at(r, "value"), 25.0, 1e-12);
            assert_string_equal(text_at(r, "corrected_by"), right);
        } else {
            assert_true(json_is_null(at(r, "corrected_by")));
        }
    }
    // a second correction of the same one: told in the maker's words, by no id
    refuse(w, EP_E_CONFLICT, "corrects", "melt pool, widest at 60 min was corrected already, from",
           "reading_add", "{'candle': '%s', 'kind': 'pool_wide', 'value': 51, 'corrects': '%s'}", a,
           wrong);
    assert_non_null(strstr(w->err.text, "from 25 mm to 52 mm"));
    assert_non_null(strstr(w->err.text, "entered 2026-03-17 10:00 UTC"));
    assert_null(strstr(w->err.text, right));
    refuse(w, EP_E_NOT_FOUND, "corrects", "no reading", "reading_add",
           "{'candle': '%s', 'kind': 'pool_wide', 'value': 51, 'corrects': 'none'}", a);
    // typed for the wrong candle: the correction may stand on the other one
    call(w, "reading_add", "{'candle': '%s', 'kind': 'pool_wide', 'value': 52, 'corrects': '%s'}",
         b, right);
    assert_string_equal(text_at(w->last, "code"), b);
    // but never in another session
    pass_hours(w, 3);
    call(w, "session_end", "{'id': '%s'}", session);
    pass_hours(w, 20);
    call(w, "session_light", "{'candles': ['%s']}", a);
    refuse(w, EP_E_ARG, "corrects", "another session", "reading_add",
           "{'candle': '%s', 'kind': 'pool_wide', 'value': 51, 'minute': 0, 'corrects': '%s'}", a,
           right);
}

#define OF_ONE_MOMENT "{'candle': '%s', 'kind': '%s', 'value': '%s', 'minute': %s}"

static void two_that_differ_are_kept_and_told(void **state)
{
    workshop *w = *state;
    char low[EP_ID_CAP], high[EP_ID_CAP];
    call(w, "reading_add", OF_ONE_MOMENT, a, "flame", "20 mm", "30");
    copy_text(low, sizeof low, w->last, "id");
    assert_null(at(w->last, "conflict"));
    call(w, "reading_add", OF_ONE_MOMENT, a, "flame", "27 mm", "30.4");
    copy_text(high, sizeof high, w->last, "id");
    // heat: the higher one counts until one is kept
    assert_string_equal(text_at(w->last, "conflict.counts"), high);
    // said alike twice, of another moment, of another candle, of another kind: no conflict
    call(w, "reading_add", OF_ONE_MOMENT, b, "flame", "20 mm", "30");
    call(w, "reading_add", OF_ONE_MOMENT, b, "flame", "20 mm", "30");
    call(w, "reading_add", OF_ONE_MOMENT, b, "flame", "27 mm", "31");
    call(w, "reading_add", OF_ONE_MOMENT, a, "pool_wide", "27 mm", "30");
    const char *of[][2] = {{"session", session}, {"candle", a}};
    for (int i = 0; i < 2; i++) {
        call(w, "reading_list", "{'%s': '%s'}", of[i][0], of[i][1]);
        assert_int_equal(json_array_size(at(w->last, "conflicts")), 1);
        assert_int_equal(json_array_size(at(w->last, "conflicts.0.readings")), 2);
        assert_string_equal(text_at(w->last, "conflicts.0.readings.0.id"), low);
        assert_non_null(strstr(text_at(w->last, "conflicts.0.text"),
                               "flame height at 30 min was written down as 20 mm and as 27 mm. "
                               "Until you keep one, 27 mm counts"));
    }
    call(w, "reading_list", "{'recipe': 'fig'}");
    assert_int_equal(json_array_size(at(w->last, "conflicts")), 1);
    call(w, "session_show", "{'id': '%s'}", session);
    assert_int_equal(json_array_size(at(w->last, "conflicts")), 1);
    call(w, "verdict", "{'id': 'fig'}");
    assert_true(any_text(at(w->last, "wicks.0.verdict.missing"), "as 20 mm and as 27 mm"));
    // settled by one press: nothing is removed, the other one gave way
    call(w, "reading_keep", "{'id': '%s'}", low);
    call(w, "reading_list", "{'candle': '%s'}", a);
    assert_int_equal(json_array_size(at(w->last, "readings")), 3);
    assert_int_equal(json_array_size(at(w->last, "conflicts")), 0);
    size_t i;
    json_t *r;
    json_array_foreach(at(w->last, "readings"), i, r)
    {
        bool gone = strcmp(text_at(r, "id"), high) == 0;
        assert_true(gone ? strcmp(text_at(r, "corrected_by"), low) == 0
                         : json_is_null(at(r, "corrected_by")));
    }
    refuse(w, EP_E_CONFLICT, "id", "from 27 mm to 20 mm", "reading_keep", "{'id': '%s'}", high);
    refuse(w, EP_E_STATE, "id", "in conflict with no other", "reading_keep", "{'id': '%s'}", low);
    refuse(w, EP_E_NOT_FOUND, "id", "no reading", "reading_keep", "{'id': 'none'}");
}

static void keeping_one_of_three_over_one(void **state)
{
    workshop *w = *state;
    char id[3][EP_ID_CAP];
    static const char *const value[] = {"50 mm", "52 mm", "54 mm"};
    for (int i = 0; i < 3; i++) {
        call(w, "reading_add", OF_ONE_MOMENT, a, "pool_wide", value[i], "60");
        copy_text(id[i], sizeof id[i], w->last, "id");
    }
    // a pool: the narrower one, so that no wick is called right on the wider
    assert_string_equal(text_at(w->last, "conflict.counts"), id[0]);
    refuse(w, EP_E_ARG, "over", "not one of the readings", "reading_keep",
           "{'id': '%s', 'over': ['%s']}", id[1], id[1]);
    call(w, "reading_keep", "{'id': '%s', 'over': ['%s']}", id[1], id[0]);
    call(w, "reading_list", "{'candle': '%s'}", a);
    assert_int_equal(json_array_size(at(w->last, "conflicts.0.readings")), 2);
    call(w, "reading_keep", "{'id': '%s'}", id[2]);
    call(w, "reading_list", "{'candle': '%s'}", a);
    assert_int_equal(json_array_size(at(w->last, "conflicts")), 0);
}

// A hazard somebody saw stands until it is settled, whichever of the two was sent first.
static void a_disputed_hazard_still_counts(void **state)
{
    workshop *w = *state;
    static const char *const order[][2] = {{"80 mm", "20 mm"}, {"20 mm", "80 mm"}};
    const char *candle[] = {a, b};
    char calm[EP_ID_CAP];
    for (int i = 0; i < 2; i++) {
        for (int k = 0; k < 2; k++) {
            call(w, "reading_add", OF_ONE_MOMENT, candle[i], "flame", order[i][k], "30");
            if (strcmp(order[i][k], "20 mm") == 0) {
                copy_text(calm, sizeof calm, w->last, "id");
            }
        }
        call(w, "verdict", "{'id': 'fig'}");
        assert_true(json_is_true(at(w->last, "wicks.0.verdict.stop_now")));
        call(w, "reading_keep", "{'id': '%s'}", calm);
        call(w, "verdict", "{'id': 'fig'}");
        assert_true(json_is_false(at(w->last, "wicks.0.verdict.stop_now")));
    }
}

#define READ_TWICE                                                                                 \
    "{'id': '01956a00-0000-7000-8000-0000000000d1', 'candle': '%s', 'kind': 'flame', 'value': %d}"
#define BATCH                                                                                      \
    "{'readings': ["                                                                               \
    "{'id': '01956a00-0000-7000-8000-0000000000d2', 'candle': '%s', 'kind': 'pool_wide', "         \
    "'value': 50},"                                                                                \
    "{'candle': '%s', 'kind': 'pool_wide', 'value': 500},"                                         \
    "{'candle': '%s', 'kind': 'flashover', 'value': 'yes'},"                                       \
    "{'candle': '%s', 'kind': 'flame', 'valu': 1},"                                                \
    "7]}"

static void the_same_reading_twice_is_one(void **state)
{
    workshop *w = *state;
    json_t *first = json_deep_copy(call(w, "reading_add", READ_TWICE, a, 22));
    pass_hours(w, 0.5);
    assert_true(json_equal(first, call(w, "reading_add", READ_TWICE, a, 22)));
    refuse(w, EP_E_CONFLICT, "id", "", "reading_add", READ_TWICE, a, 23);
    json_decref(first);
    call(w, "reading_list", "{'candle': '%s'}", a);
    assert_int_equal(json_array_size(at(w->last, "readings")), 1);
}

// EN 15493:2019: flame of a container candle at most 75 mm (second-hand, data/limits.bib)
static void stop_now(void **state)
{
    workshop *w = *state;
    const json_t *r =
        call(w, "reading_add", "{'candle': '%s', 'kind': 'flame', 'value': '80 mm'}", a);
    assert_int_equal(json_array_size(at(r, "stop")), 1);
    assert_string_equal(text_at(r, "stop.0.weight"), "stop");
    assert_string_equal(text_at(r, "stop.0.requirement"), "J8");
    assert_string_equal(text_at(r, "stop.0.candle"), a);
    assert_string_equal(text_at(r, "stop.0.readings.0"), text_at(r, "id"));
    assert_near(real_at(r, "stop.0.limit"), 75.0, 1e-9);
    char hot[EP_ID_CAP];
    copy_text(hot, sizeof hot, r, "id");
    // a quiet reading afterwards is no new alarm, and neither is one of the other candle
    r = call(w, "reading_add", "{'candle': '%s', 'kind': 'flicker', 'value': 0}", a);
    assert_null(at(r, "stop"));
    r = call(w, "reading_add", "{'candle': '%s', 'kind': 'flame', 'value': '20 mm'}", b);
    assert_null(at(r, "stop"));
    // it was 8.0 mm: corrected, the hazard is gone from the verdict
    call(w, "reading_add", "{'candle': '%s', 'kind': 'flame', 'value': 8, 'corrects': '%s'}", a,
         hot);
    assert_null(at(w->last, "stop"));
    call(w, "verdict", "{'id': 'fig'}");
    assert_true(json_is_false(at(w->last, "wicks.0.verdict.stop_now")));
}

static void a_batch_where_each_stands_alone(void **state)
{
    workshop *w = *state;
    const json_t *r = call(w, "reading_batch", BATCH, a, a, b, b);
    assert_int_equal(json_array_size(at(r, "readings")), 5);
    assert_near(real_at(r, "readings.0.value"), 50.0, 1e-12);
    assert_string_equal(text_at(r, "readings.1.error.field"), "pool_wide");
    assert_string_equal(text_at(r, "readings.1.error.status"), "EP_E_ARG");
    assert_string_equal(text_at(r, "readings.3.error.field"), "readings[4].valu");
    assert_string_equal(text_at(r, "readings.4.error.status"), "EP_E_PARSE");
    assert_int_equal(json_array_size(at(r, "stop")), 1);
    assert_string_equal(text_at(r, "stop.0.candle"), b);
    // sent again: the one with an id is known, the one without is another reading
    call(w, "reading_batch", BATCH, a, a, b, b);
    call(w, "reading_list", "{'candle': '%s'}", a);
    assert_int_equal(json_array_size(at(w->last, "readings")), 1);
    call(w, "reading_list", "{'recipe': 'fig'}");
    assert_int_equal(json_array_size(at(w->last, "readings")), 3);
    refuse(w, EP_E_ARG, "readings", "entries", "reading_batch", "{'readings': []}");
    refuse(w, EP_E_ARG, "candle", "one of", "reading_list", "{}");
}

// a cup that narrows upward: the pool may be as wide as the cup is below, not wider
static void the_jar_at_the_present_level(void **state)
{
    workshop *w = *state;
    call(w, "container_add",
         "{'name': 'cone', 'material': 'std-container-soda-lime', 'profile':"
         " [{'height': 0, 'inner_diameter': 50}, {'height': 80, 'inner_diameter': 90}], 'wall': 3,"
         " 'empty_mass': 240}");
    call(w, "recipe_add",
         "{'name': 'cone', 'container': 'cone', 'waxes': [{'id': 'std-wax-paraffin-container',"
         " 'share': '100 %%'}], 'series': 'flat', 'fill_height': '60 mm'}");
    call(w, "pour_add", "{'recipe': 'cone', 'set': [{'size': '2', 'candles': 1}]}");
    char code[16], id[EP_ID_CAP];
    copy_text(code, sizeof code, w->last, "candles.0.code");
    double full_g = 240.0 + real_at(w->last, "candles.0.wax_mass_g");
    pass_hours(w, 48);
    call(w, "session_light", "{'candles': ['%s'], 'masses': {'%s': %.1f}}", code, code, full_g);
    copy_text(id, sizeof id, w->last, "id");
    // 80 mm wide at the fill line
    call(w, "reading_add", "{'candle': '%s', 'kind': 'pool_wide', 'value': 79, 'minute': 0}", code);
    pass_hours(w, 4);
    call(w, "session_end", "{'id': '%s', 'masses': {'%s': %.1f}}", id, code, full_g - 120.0);
    pass_hours(w, 24);
    call(w, "session_light", "{'candles': ['%s'], 'masses': {'%s': %.1f}}", code, code,
         full_g - 120.0);
    refuse(w, EP_E_ARG, "pool_wide", "does not fit", "reading_add",
           "{'candle': '%s', 'kind': 'pool_wide', 'value': 79, 'minute': 0}", code);
}

int main(void)
{
#define T(f) cmocka_unit_test_setup_teardown(f, open_workshop, close_workshop)
    const struct CMUnitTest tests[] = {
        T(written_with_units),
        T(refusals_say_field_value_range),
        T(written_later),
        T(corrected_by_a_new_row),
        T(two_that_differ_are_kept_and_told),
        T(keeping_one_of_three_over_one),
        T(a_disputed_hazard_still_counts),
        T(the_same_reading_twice_is_one),
        T(stop_now),
        T(a_batch_where_each_stands_alone),
        T(the_jar_at_the_present_level),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
