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

int main(void)
{
#define T(f) cmocka_unit_test_setup_teardown(f, open_workshop, close_workshop)
    const struct CMUnitTest tests[] = {
        T(not_before_its_time),
        T(a_wrong_wick_is_never_proven),
        T(proven_reopened_and_kept),
        T(a_hazard_seen_later_forbids),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
