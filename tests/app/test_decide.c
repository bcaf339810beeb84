// Decisions: proven only when the judge says right, kept with the verdict, followed by a revision
// that names the size.
#include "programme.h"

static int open_workshop(void **state)
{
    workshop *w = workshop_open("2026-03-02T09:00:00Z", false);
    describe(w);
    *state = w;
    return 0;
}

static int close_workshop(void **state)
{
    workshop_close(*state);
    return 0;
}

static void not_before_its_time(void **state)
{
    workshop *w = *state;
    const char *prove = "{'id': 'fig', 'size': '2', 'decision': 'proven'}";
    refuse(w, EP_E_STATE, "size", "nothing with 2 was poured of revision 1", "decide", "%s", prove);
    programme p = programme_pour(w, "2", 3, 14 * 24);
    programme_burn(w, &p, &fits, 3);
    refuse(w, EP_E_STATE, "decision", "verdict: not yet known", "decide", "%s", prove);
    refuse(w, EP_E_NOT_FOUND, "size", "9", "decide",
           "{'id': 'fig', 'size': '9', 'decision': 'proven'}");
    refuse(w, EP_E_ARG, "decision", "none of proven", "decide",
           "{'id': 'fig', 'size': '2', 'decision': 'good'}");
    refuse(w, EP_E_STATE, "decision", "nothing can be reopened", "decide",
           "{'id': 'fig', 'size': '2', 'decision': 'reopened'}");
    call(w, "recipe", "{'id': 'fig'}");
    assert_string_equal(text_at(w->last, "state"), "testing");
}

static void a_wrong_wick_is_never_proven(void **state)
{
    workshop *w = *state;
    programme p = programme_pour(w, "1", 1, 14 * 24);
    programme_burn(w, &p, &too_small, 4);
    refuse(w, EP_E_STATE, "decision", "too small", "decide",
           "{'id': 'fig', 'size': '1', 'decision': 'proven'}");
    call(w, "decide", "{'id': 'fig', 'size': '1', 'decision': 'rejected', 'note': 'ring stays'}");
    assert_int_equal((int)real_at(w->last, "revision.number"), 1);
}

static void proven_reopened_and_kept(void **state)
{
    workshop *w = *state;
    programme p = programme_pour(w, "2", 3, 14 * 24);
    programme_to_the_end(w, &p, &fits);
    const char *prove = "{'id': 'fig', 'size': '2', 'decision': 'proven', 'note': 'good',"
                        " 'request_id': '01956a00-0000-7000-8000-0000000000e1'}";
    json_t *first = json_deep_copy(call(w, "decide", "%s", prove));
    assert_string_equal(text_at(first, "state"), "proven");
    assert_int_equal((int)real_at(first, "revision.number"), 2);
    assert_string_equal(text_at(first, "revision.size.name"), "2");
    assert_true(json_equal(first, call(w, "decide", "%s", prove)));
    json_decref(first);
    // the only change is the size
    call(w, "recipe_diff", "{'id': 'fig', 'from': 1, 'to': 2}");
    assert_int_equal(json_array_size(at(w->last, "factors")), 1);
    assert_string_equal(text_at(w->last, "factors.0.key"), "size");
    // and the candles that proved it carried it
    assert_true(json_is_false(at(w->last, "factors.0.retest")));
    assert_non_null(strstr(text_at(w->last, "text"), "Nothing here calls for a new burn test"));
    // the note of that revision is the program's own
    assert_string_equal(text_at(call(w, "recipe", "{'id': 'fig'}"), "revision.note_by"), "program");
    // once more says nothing new
    pass_hours(w, 1);
    refuse(w, EP_E_STATE, "decision", "2 is proven already by the candles of revision 1", "decide",
           "{'id': 'fig', 'size': '2', 'decision': 'proven'}");
    assert_int_equal((int)real_at(call(w, "recipe", "{'id': 'fig'}"), "revision.number"), 2);
    // the verdict as it stood is kept with the decision
    json_t *rows = NULL;
    ep_err err = {0};
    ep_bind bind[] = {ep_bind_text("recipe", text_at(call(w, "recipe", "{'id': 'fig'}"), "id"))};
    assert_int_equal(ep_store_json(w->app->store, EP_Q_DECISIONS_OF_RECIPE, bind, 1, &rows, &err),
                     EP_OK);
    assert_int_equal(json_array_size(rows), 1);
    assert_string_equal(text_at(rows, "0.verdict.kind"), "right");
    assert_string_equal(text_at(rows, "0.note"), "good");
    json_decref(rows);
    pass_hours(w, 1);
    call(w, "decide", "{'id': 'fig', 'size': '2', 'decision': 'reopened'}");
    assert_string_not_equal(text_at(w->last, "state"), "proven");
    // proven anew: revision 2 names the size already
    pass_hours(w, 1);
    call(w, "decide", "{'id': 'fig', 'size': '2', 'decision': 'proven'}");
    assert_int_equal((int)real_at(w->last, "revision.number"), 2);
    // a change of the wick does call for a test, and a note of the maker is the maker's
    call(w, "recipe_revise", "{'id': 'fig', 'size': '3', 'note': 'try it'}");
    assert_string_equal(text_at(w->last, "revision.note_by"), "maker");
    call(w, "recipe_diff", "{'id': 'fig', 'from': 2, 'to': 3}");
    assert_true(json_is_true(at(w->last, "factors.0.retest")));
}

static void a_hazard_seen_later_forbids(void **state)
{
    workshop *w = *state;
    programme p = programme_pour(w, "2", 3, 14 * 24);
    programme_to_the_end(w, &p, &fits);
    call(w, "reading_add", "{'candle': '%s', 'kind': 'broken', 'value': 'yes'}", p.code[1]);
    refuse(w, EP_E_STATE, "decision", "not proven", "decide",
           "{'id': 'fig', 'size': '2', 'decision': 'proven'}");
}

// N2: what real candles decided is told beside the odds, of smaller sizes too, and no such size is
// called likely right, whatever share of the simulated candles would be.
static void what_was_burned_wins_over_odds(void **state)
{
    workshop *w = *state;
    programme p = programme_pour(w, "2", 2, 14 * 24);
    programme_burn(w, &p, &too_small, 4);
    call(w, "odds", "{'id': 'fig', 'members': 8}");
    assert_string_equal(text_at(w->last, "sizes.1.tested.text"), "your 2 candles: too small");
    assert_string_equal(text_at(w->last, "sizes.1.tested.decided"), "too_small");
    assert_true(json_is_true(at(w->last, "sizes.1.tested.against")));
    assert_string_equal(text_at(w->last, "sizes.0.tested.text"),
                        "your 2 candles of 2: too small, and this is smaller");
    assert_true(json_is_null(at(w->last, "sizes.2.tested")));
    for (int i = 0; i < 2; i++) {
        char path[32];
        snprintf(path, sizeof path, "sizes.%d.text", i);
        assert_non_null(strstr(text_at(w->last, path), ". Simulated candles alone: "));
        assert_null(strstr(text_at(w->last, path), "likely"));
    }
}

int main(void)
{
#define T(f) cmocka_unit_test_setup_teardown(f, open_workshop, close_workshop)
    const struct CMUnitTest tests[] = {
        T(not_before_its_time),
        T(a_wrong_wick_is_never_proven),
        T(proven_reopened_and_kept),
        T(a_hazard_seen_later_forbids),
        T(what_was_burned_wins_over_odds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
