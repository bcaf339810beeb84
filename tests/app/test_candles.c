// Candles: weighing, ending, the state each is in, how much wax is left.
#include "workshop.h"

#include "app/bench_int.h"

typedef struct bench {
    workshop *w;
    char code[16], id[EP_ID_CAP];
} bench;

static bench b;

static int open_workshop(void **state)
{
    workshop *w = workshop_open("2026-03-02T09:00:00Z", false);
    describe(w);
    pour_some(w, "2", 1);
    copy_text(b.code, sizeof b.code, w->last, "candles.0.code");
    copy_text(b.id, sizeof b.id, w->last, "candles.0.id");
    *state = b.w = w;
    return 0;
}

static int close_workshop(void **state)
{
    workshop_close(*state);
    return 0;
}

static void by_code_in_any_case_or_id(void **state)
{
    workshop *w = *state;
    char lower[16];
    for (size_t i = 0; i <= strlen(b.code); i++) {
        lower[i] = (char)(b.code[i] >= 'A' && b.code[i] <= 'Z' ? b.code[i] + 32 : b.code[i]);
    }
    assert_string_equal(text_at(call(w, "candle_show", "{'id': '%s'}", lower), "id"), b.id);
    assert_string_equal(text_at(call(w, "candle_show", "{'id': '%s'}", b.id), "code"), b.code);
    refuse(w, EP_E_NOT_FOUND, "id", "ZZZ", "candle_show", "{'id': 'ZZZ'}");
}

static void weighing(void **state)
{
    workshop *w = *state;
    call(w, "candle_show", "{'id': '%s'}", b.code);
    double fill_g = real_at(w->last, "wax_mass_g");
    assert_true(json_is_null(at(w->last, "mass_g")));
    assert_true(json_is_null(at(w->last, "left_pct")));
    call(w, "candle_weigh", "{'id': '%s', 'mass': '446.2 g'}", b.code);
    assert_near(real_at(w->last, "mass_g"), 446.2, 1e-9);
    // the empty glass weighs 240 g, so the fill is what is over
    assert_near(real_at(w->last, "wax_mass_g"), 206.2, 1e-9);
    assert_near(real_at(w->last, "left_pct"), 100.0, 1e-9);
    assert_true(fabs(fill_g - 206.2) < 15.0);
    pass_hours(w, 1);
    call(w, "candle_weigh", "{'id': '%s', 'mass': '446.0 g'}", b.code);
    assert_near(real_at(w->last, "mass_g"), 446.0, 1e-9);
    refuse(w, EP_E_ARG, "mass", "cannot weigh 100.0 g", "candle_weigh",
           "{'id': '%s', 'mass': '100 g'}", b.code);
    refuse(w, EP_E_ARG, "mass", "cannot weigh 4460.0 g", "candle_weigh",
           "{'id': '%s', 'mass': '4460 g'}", b.code);
    refuse(w, EP_E_ARG, "mass", "needed", "candle_weigh", "{'id': '%s'}", b.code);
    refuse(w, EP_E_ARG, "at", "outside", "candle_weigh",
           "{'id': '%s', 'mass': 446, 'at': '2026-03-01'}", b.code);
    call(w, "candle_show", "{'id': '%s'}", b.code);
    assert_near(real_at(w->last, "mass_g"), 446.0, 1e-9);
}

static void ending_a_candle(void **state)
{
    workshop *w = *state;
    refuse(w, EP_E_ARG, "reason", "lost", "candle_finish", "{'id': '%s', 'reason': 'lost'}",
           b.code);
    call(w, "candle_finish", "{'id': '%s', 'reason': 'given_up'}", b.code);
    assert_string_equal(text_at(w->last, "state"), "finished");
    assert_true(json_is_null(at(w->last, "ready_at")));
    // again is the same, otherwise is not
    call(w, "candle_finish", "{'id': '%s', 'reason': 'given_up'}", b.code);
    refuse(w, EP_E_STATE, "id", "finished already (given_up)", "candle_finish",
           "{'id': '%s', 'reason': 'end'}", b.code);
    refuse(w, EP_E_STATE, "candles", "finished", "session_light", "{'candles': ['%s']}", b.code);
}

#define WEIGH_TWICE "{'id': '%s', 'request_id': '01956a00-0000-7000-8000-0000000000b1', 'mass': %s}"

static void a_write_sent_twice(void **state)
{
    workshop *w = *state;
    json_t *first = json_deep_copy(call(w, "candle_weigh", WEIGH_TWICE, b.code, "446"));
    pass_hours(w, 2);
    assert_true(json_equal(first, call(w, "candle_weigh", WEIGH_TWICE, b.code, "446")));
    refuse(w, EP_E_CONFLICT, "id", "", "candle_weigh", WEIGH_TWICE, b.code, "440");
    json_decref(first);
}

// curing, ready, lit, resting, ready: each at its hour
static void the_states_of_a_life(void **state)
{
    workshop *w = *state;
    char session[EP_ID_CAP];
    assert_string_equal(text_at(call(w, "candle_show", "{'id': '%s'}", b.code), "state"), "curing");
    pass_hours(w, 14 * 24);
    assert_string_equal(text_at(call(w, "candle_show", "{'id': '%s'}", b.code), "state"), "ready");
    call(w, "session_light", "{'candles': ['%s'], 'masses': {'%s': 446}}", b.code, b.code);
    copy_text(session, sizeof session, w->last, "id");
    pass_hours(w, 4);
    call(w, "candle_show", "{'id': '%s'}", b.code);
    assert_string_equal(text_at(w->last, "state"), "lit");
    assert_near(real_at(w->last, "lit_h"), 4.0, 1e-9);
    refuse(w, EP_E_STATE, "id", "is lit", "candle_finish", "{'id': '%s'}", b.code);
    call(w, "session_end", "{'id': '%s', 'masses': {'%s': 428}}", session, b.code);
    call(w, "candle_show", "{'id': '%s'}", b.code);
    assert_string_equal(text_at(w->last, "state"), "resting");
    assert_near(real_at(w->last, "left_pct"), 100.0 * (206.0 - 18.0) / 206.0, 1e-6);
    // rest is 20 h until the workshop says otherwise
    assert_string_equal(text_at(w->last, "ready_at"), "2026-03-17T09:00:00.000Z");
    pass_hours(w, 20);
    assert_string_equal(text_at(call(w, "candle_show", "{'id': '%s'}", b.code), "state"), "ready");
    assert_int_equal((int)real_at(w->last, "sessions"), 1);
}

// the level of a cylinder falls with the share left; a cone's does not
static void level_from_the_wax_left(void **state)
{
    (void)state;
    ep_vessel straight = ep_vessel_straight(0.070, 0.080, 0.003, 0.006);
    ep_level l = ep_candle_level(&straight, 0.060, 0.25);
    assert_near(l.level_m, 0.015, 1e-9);
    assert_near(l.inner_m, 0.070, 1e-12);
    assert_near(ep_candle_level(&straight, 0.060, EP_NOT_KNOWN).level_m, 0.060, 1e-12);
    // frustum 40 to 80 mm over 60 mm: half its volume, V = pi h (a2 + ab + b2) / 12, solved by hand
    ep_vessel cone = {.n_stations = 2,
                      .station = {{0.0, 0.040}, {0.060, 0.080}},
                      .wall_m = 0.003,
                      .base_m = 0.006};
    double d = cbrt(0.5 * (pow(0.040, 3) + pow(0.080, 3)));  // d3 is linear in volume
    assert_near(ep_candle_level(&cone, 0.060, 0.5).inner_m, d, 1e-9);
}

static void wax_left_without_knowing_is_unknown(void **state)
{
    (void)state;
    ep_candle c = {.wax_kg = 0.2, .first_kg = EP_NOT_KNOWN, .empty_kg = EP_NOT_KNOWN};
    assert_true(isnan(ep_candle_left_kg(&c, 0.4)));
    c.empty_kg = 0.25;
    assert_near(ep_candle_left_kg(&c, 0.4), 0.15, 1e-12);
    c.first_kg = 0.46;
    assert_near(ep_candle_left_kg(&c, 0.4), 0.14, 1e-12);
    assert_true(isnan(ep_candle_left_kg(&c, EP_NOT_KNOWN)));
}

int main(void)
{
#define T(f) cmocka_unit_test_setup_teardown(f, open_workshop, close_workshop)
    const struct CMUnitTest tests[] = {
        T(by_code_in_any_case_or_id),
        T(weighing),
        T(ending_a_candle),
        T(a_write_sent_twice),
        T(the_states_of_a_life),
        cmocka_unit_test(level_from_the_wax_left),
        cmocka_unit_test(wax_left_without_knowing_is_unknown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
