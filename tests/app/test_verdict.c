// The verdict through the cases: the dossier the judge gets is the book's, and what it says comes
// out whole. The rules themselves are tested in tests/judge.
#include "workshop.h"

#include "app/bench_int.h"
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

static void nothing_poured(void **state)
{
    workshop *w = *state;
    call(w, "verdict", "{'id': 'fig'}");
    assert_int_equal((int)real_at(w->last, "revision"), 1);
    assert_int_equal(json_array_size(at(w->last, "wicks")), 0);
    assert_non_null(strstr(text_at(w->last, "text"), "Nothing of this revision"));
    refuse(w, EP_E_NOT_FOUND, "id", "plum", "verdict", "{'id': 'plum'}");
    refuse(w, EP_E_NOT_FOUND, "revision", "", "verdict", "{'id': 'fig', 'revision': 7}");
    refuse(w, EP_E_NOT_FOUND, "size", "", "verdict", "{'id': 'fig', 'size': '9'}");
}

static void right_after_three_whole_jars(void **state)
{
    workshop *w = *state;
    programme p = programme_pour(w, "2", 3, 14 * 24);
    programme_burn(w, &p, &fits, 2);
    call(w, "verdict", "{'id': 'fig'}");
    assert_string_equal(text_at(w->last, "wicks.0.verdict.kind"), "not_yet_known");
    assert_true(json_array_size(at(w->last, "wicks.0.verdict.missing")) > 0);
    programme_to_the_end(w, &p, &fits);
    const json_t *v = at(call(w, "verdict", "{'id': 'fig', 'size': '2'}"), "wicks.0.verdict");
    assert_string_equal(text_at(v, "kind"), "right");
    assert_int_equal((int)real_at(v, "candles_right"), 3);
    // zero failures in 3: 1 - 0.05^(1/3)
    assert_near(real_at(v, "failure_bound_pct"), 100.0 * (1.0 - pow(0.05, 1.0 / 3.0)), 1e-6);
    assert_true(json_is_false(at(v, "simulated")));
    assert_true(json_is_false(at(v, "stop_now")));
    assert_true(real_at(v, "worst_margin_pct") > 10.0);
    assert_int_equal(json_array_size(at(w->last, "wicks.0.candles")), 3);
}

static void wicks_are_judged_apart(void **state)
{
    workshop *w = *state;
    programme small = programme_pour(w, "1", 1, 14 * 24);
    programme fit = programme_pour(w, "2", 1, 14 * 24);
    programme_burn(w, &small, &too_small, 4);
    programme_burn(w, &fit, &fits, 4);
    call(w, "verdict", "{'id': 'fig'}");
    assert_int_equal(json_array_size(at(w->last, "wicks")), 2);
    assert_string_equal(text_at(w->last, "wicks.0.size_name"), "1");
    assert_string_equal(text_at(w->last, "wicks.0.verdict.kind"), "too_small");
    assert_string_equal(text_at(w->last, "wicks.1.verdict.kind"), "not_yet_known");
    // the readings behind a finding are those of the book
    const json_t *refs = at(w->last, "wicks.0.verdict.findings.0.readings");
    assert_true(json_array_size(refs) > 0);
    char id[EP_ID_CAP];
    copy_text(id, sizeof id, w->last, "wicks.0.verdict.findings.0.readings.0");
    json_t *row = NULL;
    ep_err err = {0};
    ep_bind bind[] = {ep_bind_text("id", id)};
    assert_int_equal(ep_store_one(w->app->store, EP_Q_READING_GET, bind, 1, &row, &err), EP_OK);
    assert_string_equal(ep_row_text(row, "code"), small.code[0]);
    json_decref(row);
}

static void other_revisions_stay_apart(void **state)
{
    workshop *w = *state;
    programme p = programme_pour(w, "1", 1, 14 * 24);
    programme_burn(w, &p, &too_small, 4);
    call(w, "recipe_revise", "{'id': 'fig', 'load': '6 %%'}");
    // nothing of the new one was poured, so the last one poured is judged
    call(w, "verdict", "{'id': 'fig'}");
    assert_int_equal((int)real_at(w->last, "revision"), 1);
    pour_some(w, "1", 1);
    call(w, "verdict", "{'id': 'fig'}");
    assert_int_equal((int)real_at(w->last, "revision"), 2);
    assert_string_equal(text_at(w->last, "wicks.0.verdict.kind"), "not_yet_known");
    call(w, "verdict", "{'id': 'fig', 'revision': 1}");
    assert_string_equal(text_at(w->last, "wicks.0.verdict.kind"), "too_small");
}

// every figure of the dossier, worked out by hand
static void the_dossier_is_the_book(void **state)
{
    workshop *w = *state;
    char code[16], id[EP_ID_CAP];
    pour_some(w, "2", 1);
    copy_text(code, sizeof code, w->last, "candles.0.code");
    pass_hours(w, 24);
    call(w, "session_light", "{'candles': ['%s'], 'masses': {'%s': 440}, 'room_temp': 21}", code,
         code);
    copy_text(id, sizeof id, w->last, "id");
    pass_hours(w, 4);
    call(w, "reading_add", "{'candle': '%s', 'kind': 'flame', 'value': 20}", code);
    call(w, "session_end", "{'id': '%s', 'masses': {'%s': 420}}", id, code);
    pass_hours(w, 24 * 20);
    call(w, "session_light", "{'candles': ['%s'], 'planned': '3 h', 'draught': 1}", code);
    pass_hours(w, 1.5);
    call(w, "reading_add", "{'candle': '%s', 'kind': 'soot', 'value': 1}", code);
    ep_candle c;
    ep_book book = {0};
    ep_err err = {0};
    assert_int_equal(ep_candle_load(w->app, code, "candle", &c, &err), EP_OK);
    assert_int_equal(ep_book_load(w->app, &c, 1, &book, &err), EP_OK);
    const ep_dossier *d = &book.d;
    assert_int_equal(d->n_candles, 1);
    assert_int_equal(d->n_burns, 2);
    assert_int_equal(d->n_readings, 2);
    assert_false(d->simulated || d->tea_light || d->candle[0].finished);
    assert_near(d->candle[0].wax_kg, 0.200, 1e-12);  // 440 g less the empty glass
    const ep_burn_record *first = &d->burn[0], *second = &d->burn[1];
    assert_near(first->planned_min, 240.0, 1e-9);
    assert_near(first->lit_min, 240.0, 1e-9);
    assert_true(first->over && first->before_cure && isnan(first->rest_before_h));
    assert_near(first->left_frac, 0.9, 1e-12);
    assert_near(first->room_C, 21.0, 1e-12);
    assert_int_equal(first->draught, -1);
    assert_near(first->inner_m, 0.070, 1e-12);
    assert_false(second->over || second->before_cure);
    assert_near(second->rest_before_h, 480.0, 1e-9);
    assert_near(second->lit_min, 90.0, 1e-9);
    assert_near(second->planned_min, 180.0, 1e-9);
    assert_true(isnan(second->before_kg) && isnan(second->left_frac) && isnan(second->room_C));
    assert_int_equal(second->draught, 1);
    assert_int_equal(d->reading[1].session, 2);
    assert_near(d->reading[1].minute, 90.0, 1e-9);
    assert_int_equal(d->reading[1].kind, EP_READ_SOOT);
    ep_book_clear(&book);
}

static void a_broken_glass_is_told(void **state)
{
    workshop *w = *state;
    programme p = programme_pour(w, "2", 1, 14 * 24);
    programme_burn(w, &p, &fits, 1);
    call(w, "candle_finish", "{'id': '%s', 'reason': 'broken'}", p.code[0]);
    const json_t *v = at(call(w, "verdict", "{'id': 'fig'}"), "wicks.0.verdict");
    assert_true(json_is_true(at(v, "stop_now")));
    assert_string_equal(text_at(v, "findings.0.requirement"), "J11");
}

int main(void)
{
#define T(f) cmocka_unit_test_setup_teardown(f, open_workshop, close_workshop)
    const struct CMUnitTest tests[] = {
        T(nothing_poured),          T(right_after_three_whole_jars),
        T(wicks_are_judged_apart),  T(other_revisions_stay_apart),
        T(the_dossier_is_the_book), T(a_broken_glass_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
