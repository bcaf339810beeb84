// When readings are due, and what a pour is checked for: the pure parts, by hand.
#include "workshop.h"

#include "app/bench_int.h"

static const double minutes[] = {5, 30, 60, 120, 180, 240};

static double waiting(double last_read_min, double now_min)
{
    return ep_due_waiting(minutes, 6, last_read_min, now_min);
}

static void the_one_that_waits(void **state)
{
    (void)state;
    assert_near(waiting(-1, 0), 5, 0);     // just lit
    assert_near(waiting(-1, 7), 5, 0);     // late
    assert_near(waiting(-1, 31), 30, 0);   // 5 was missed and is gone
    assert_near(waiting(5, 10), 30, 0);    // the next one
    assert_near(waiting(58, 58), 120, 0);  // two minutes early counts
    assert_near(waiting(56, 56), 60, 0);   // four do not
    assert_near(waiting(60, 127), 120, 0);
    assert_near(waiting(121, 127), 180, 0);
    assert_near(waiting(200, 250), 240, 0);  // over time, the last still waits
    assert_true(isnan(waiting(240, 250)));
}

static bool asks(double minute, ep_reading_kind kind)
{
    json_t *list = ep_due_kinds(minute, 240);
    bool found = any_text(list, ep_reading_def_of(kind)->key);
    json_decref(list);
    return found;
}

static void what_is_asked_for(void **state)
{
    (void)state;
    assert_true(asks(5, EP_READ_FLAME) && asks(5, EP_READ_FLICKER));
    assert_false(asks(5, EP_READ_POOL_WIDE));
    assert_true(asks(30, EP_READ_POOL_WIDE) && asks(30, EP_READ_POOL_NARROW));
    assert_false(asks(30, EP_READ_SOOT) || asks(30, EP_READ_POOL_DEPTH));
    assert_true(asks(120, EP_READ_SOOT) && asks(120, EP_READ_WALL_TEMP));
    // the verdict rests on the end
    for (int k = 0; k < 4; k++) {
        static const ep_reading_kind end[] = {EP_READ_POOL_DEPTH, EP_READ_HANGUP_THICK,
                                              EP_READ_WALL_TEMP, EP_READ_SMOKE};
        assert_true(asks(240, end[k]));
    }
}

// the pages ask by the spans, the reminders by the list: both are one table
static void spans_say_the_same(void **state)
{
    (void)state;
    for (int kind = 0; kind < EP_READ_COUNT_; kind++) {
        json_t *span = ep_due_span((ep_reading_kind)kind);
        for (double minute = 0; minute < 239; minute += 5) {
            bool in = json_is_object(span) && minute >= real_at(span, "from_min") &&
                      minute < real_at(span, "to_min");
            assert_int_equal(in, asks(minute, (ep_reading_kind)kind));
        }
        assert_int_equal(json_is_object(span), asks(240, (ep_reading_kind)kind));
        json_decref(span);
    }
}

static void minutes_follow_setting_and_length(void **state)
{
    (void)state;
    workshop *w = workshop_open("2026-03-02T09:00:00Z", false);
    double m[EP_MAX_DUE];
    assert_int_equal(ep_due_minutes(w->app, "", 4.0, m), 6);
    assert_near(m[0], 5, 0);
    assert_near(m[5], 240, 0);
    // a short session ends where it ends
    assert_int_equal(ep_due_minutes(w->app, "", 1.5, m), 4);
    assert_near(m[3], 90, 0);
    call(w, "setting_set", "{'key': 'due_minutes', 'value': '10, 100'}");
    assert_int_equal(ep_due_minutes(w->app, "", 4.0, m), 3);
    assert_near(m[1], 100, 0);
    workshop_close(w);
}

static ep_pour_plan soy_plan(void)
{
    return (ep_pour_plan){.fill_kg = 0.200,
                          .load_of_wax = 0.08,
                          .pour_K = 330.15,
                          .add_K = 350.15,
                          .solidus_K = 306.15,
                          .flash_K = 563.15,
                          .max_load_of_wax = 0.10};
}

static ep_pour_facts nothing_known(void)
{
    return (ep_pour_facts){.candles = 3,
                           .wax_kg = EP_NOT_KNOWN,
                           .fragrance_kg = EP_NOT_KNOWN,
                           .dye_kg = EP_NOT_KNOWN,
                           .wax_peak_K = EP_NOT_KNOWN,
                           .add_K = EP_NOT_KNOWN,
                           .pour_K = EP_NOT_KNOWN,
                           .vessel_K = EP_NOT_KNOWN,
                           .room_K = EP_NOT_KNOWN};
}

static json_t *warned(const ep_pour_facts *f)
{
    ep_pour_plan plan = soy_plan();
    json_t *list = json_array();
    ep_pour_warn(f, &plan, list);
    return list;
}

static void what_is_not_known_is_not_warned_of(void **state)
{
    (void)state;
    ep_pour_facts f = nothing_known();
    json_t *list = warned(&f);
    assert_int_equal(json_array_size(list), 0);
    json_decref(list);
    ep_pour_plan plan = soy_plan();
    assert_near(ep_pour_candle_kg(&f, &plan), 0.200, 1e-12);
}

static void bands_of_a_pour(void **state)
{
    (void)state;
    ep_pour_facts f = nothing_known();
    f.wax_kg = 0.560;
    f.fragrance_kg = 0.0448;  // 8.00 %
    f.pour_K = 330.15 + 7.9;
    json_t *list = warned(&f);
    assert_int_equal(json_array_size(list), 0);
    json_decref(list);
    f.fragrance_kg = 0.0476;  // 8.50 %: the band is half a point
    f.pour_K = 330.15 + 8.1;
    f.wax_peak_K = 540.0;  // 23 K below the flash point
    list = warned(&f);
    assert_int_equal(json_array_size(list), 2);
    assert_true(any_text(list, "hotter than the 57 C"));
    assert_true(any_text(list, "flash point"));
    json_decref(list);
    f.wax_peak_K = 320.0;
    list = warned(&f);
    assert_true(any_text(list, "below another temperature of this pour"));
    json_decref(list);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_one_that_waits),
        cmocka_unit_test(what_is_asked_for),
        cmocka_unit_test(spans_say_the_same),
        cmocka_unit_test(minutes_follow_setting_and_length),
        cmocka_unit_test(what_is_not_known_is_not_warned_of),
        cmocka_unit_test(bands_of_a_pour),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
