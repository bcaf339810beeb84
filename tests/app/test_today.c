// Today: everything in its place at its hour.
#include "workshop.h"

static size_t count(workshop *w, const char *key)
{
    return json_array_size(at(w->last, key));
}

static void an_empty_workshop_has_nothing_today(void **state)
{
    (void)state;
    workshop *w = workshop_open("2026-03-02T09:00:00Z", false);
    call(w, "today", "{}");
    static const char *const keys[] = {"lit",    "due",     "ready",   "resting",
                                       "curing", "to_pour", "cautions"};
    for (int i = 0; i < EP_COUNT_OF(keys); i++) {
        assert_true(json_is_array(at(w->last, keys[i])));
        assert_int_equal(count(w, keys[i]), 0);
    }
    assert_string_equal(text_at(w->last, "now"), "2026-03-02T09:00:00.000Z");
    workshop_close(w);
}

static void a_fortnight_and_a_day(void **state)
{
    (void)state;
    char a[16], b[16], id[EP_ID_CAP];
    workshop *w = workshop_open("2026-03-02T09:00:00Z", false);
    describe(w);
    call(w, "today", "{}");
    assert_string_equal(text_at(w->last, "to_pour.0.name"), "fig");
    pour_some(w, "2", 2);
    copy_text(a, sizeof a, w->last, "candles.0.code");
    copy_text(b, sizeof b, w->last, "candles.1.code");
    call(w, "today", "{}");
    assert_int_equal(count(w, "to_pour"), 0);
    assert_int_equal(count(w, "curing"), 2);
    pass_hours(w, 14 * 24);
    call(w, "today", "{}");
    assert_int_equal(count(w, "curing"), 0);
    assert_int_equal(count(w, "ready"), 2);
    call(w, "session_light", "{'candles': ['%s']}", a);
    copy_text(id, sizeof id, w->last, "id");
    pass_hours(w, 0.2);
    call(w, "today", "{}");
    assert_int_equal(count(w, "ready"), 1);
    assert_int_equal(count(w, "lit"), 1);
    assert_int_equal(count(w, "due"), 1);
    assert_string_equal(text_at(w->last, "due.0.code"), a);
    assert_string_equal(text_at(w->last, "due.0.session_id"), id);
    assert_near(real_at(w->last, "due.0.minute"), 5.0, 1e-9);
    assert_near(real_at(w->last, "due.0.overdue_min"), 7.0, 1e-9);
    assert_string_equal(text_at(w->last, "due.0.due_at"), "2026-03-16T09:05:00.000Z");
    assert_true(any_text(at(w->last, "due.0.kinds"), "flame"));
    assert_true(count(w, "cautions") > 0);
    call(w, "reading_add", "{'candle': '%s', 'kind': 'flame', 'value': 20}", a);
    call(w, "today", "{}");
    assert_near(real_at(w->last, "due.0.minute"), 30.0, 1e-9);
    assert_near(real_at(w->last, "due.0.overdue_min"), 0.0, 1e-9);
    // a second session is due first: soonest stands first
    call(w, "session_light", "{'candles': ['%s']}", b);
    call(w, "today", "{}");
    assert_string_equal(text_at(w->last, "due.0.code"), b);
    pass_hours(w, 4);
    call(w, "session_end", "{'id': '%s'}", id);
    call(w, "today", "{}");
    assert_int_equal(count(w, "lit"), 1);
    assert_int_equal(count(w, "resting"), 1);
    assert_string_equal(text_at(w->last, "resting.0.code"), a);
    call(w, "candle_finish", "{'id': '%s', 'reason': 'given_up'}", a);
    call(w, "today", "{}");
    assert_int_equal(count(w, "resting"), 0);
    workshop_close(w);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_empty_workshop_has_nothing_today),
        cmocka_unit_test(a_fortnight_and_a_day),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
