// Time: text form against the examples of RFC 3339, calendar laws, scaled clock.
#include "base/clock.h"

#include <time.h>

#include "base/status.h"

#include "check.h"

static ep_time_ms read_ok(const char *text)
{
    ep_time_ms t = -1;
    ep_err err = {0};
    if (ep_time_parse(text, "lit_at", &t, &err) != EP_OK) {
        fail_msg("\"%s\" was refused: %s", text, err.text);
    }
    return t;
}

static void same_instant(const char *text, const char *want)
{
    char buf[25];
    assert_string_equal(ep_time_format(read_ok(text), buf, sizeof buf), want);
}

static void rfc_3339_examples(void **state)
{
    (void)state;
    // section 5.8
    same_instant("1985-04-12T23:20:50.52Z", "1985-04-12T23:20:50.520Z");
    same_instant("1996-12-19T16:39:57-08:00", "1996-12-20T00:39:57.000Z");
    same_instant("1937-01-01T12:00:27.87+00:20", "1937-01-01T11:40:27.870Z");
    // RFC 9562 appendix A.6 names this instant and its milliseconds
    assert_true(read_ok("2022-02-22T14:22:22-05:00") == 0x017F22E279B0);
}

static void short_forms(void **state)
{
    (void)state;
    same_instant("2026-11-25", "2026-11-25T00:00:00.000Z");
    same_instant("2026-11-25T12:05", "2026-11-25T12:05:00.000Z");
    same_instant("2026-11-25 12:05", "2026-11-25T12:05:00.000Z");
    same_instant("2026-11-25t12:05:06z", "2026-11-25T12:05:06.000Z");
    same_instant("2026-11-25T12:05:06.1239", "2026-11-25T12:05:06.123Z");
    same_instant("2026-11-25T00:30+02:00", "2026-11-24T22:30:00.000Z");
    same_instant("2024-02-29", "2024-02-29T00:00:00.000Z");
    same_instant("2000-02-29", "2000-02-29T00:00:00.000Z");
    assert_true(read_ok("1970-01-01") == 0);
    assert_true(read_ok("1969-12-31T23:59:59.999Z") == -1);
}

static void refused(const char *text, const char *hint)
{
    ep_time_ms t = 999;
    ep_err err = {0};
    assert_int_equal(ep_time_parse(text, "lit_at", &t, &err), EP_E_PARSE);
    assert_true(t == 999);
    assert_string_equal(err.field, "lit_at");
    check_has(err.text, "lit_at: ");
    check_has(err.text, text ? text : "");
    check_has(err.text, hint);
}

static void refusals(void **state)
{
    (void)state;
    refused("2026-13-01", "month 13, allowed 1 to 12");
    refused("2026-00-01", "month 0");
    refused("2026-02-29", "day 29, allowed 1 to 28");
    refused("1900-02-29", "day 29");
    refused("2026-04-31", "allowed 1 to 30");
    refused("2026-11-25T24:00", "hour 24, allowed 0 to 23");
    refused("2026-11-25T12:60", "minute 60");
    refused("2016-12-31T23:59:60Z", "second 60");  // no leap seconds here
    refused("25/11/2026", "write 2026-11-25");
    refused("2026-11-25T", "write");
    refused("2026-11-25T12", "write");
    refused("2026-11-25T12:05:06.", "write");
    refused("2026-11-25T12:05+2", "write");
    refused("2026-11-25T12:05+15:00", "write");
    refused("2026-11-25T12:05Z!", "write");
    refused("yesterday", "write");
    refused("", "write");
    refused(NULL, "write");
}

// against the system's own calendar, day by day over 400 years and at odd seconds
static void agrees_with_gmtime(void **state)
{
    (void)state;
    for (int64_t s = -6000000000; s < 6700000000; s += 86400 + 3671) {
        time_t t = (time_t)s;
        struct tm tm;
        assert_non_null(gmtime_r(&t, &tm));
        char want[64], got[25];
        strftime(want, sizeof want, "%Y-%m-%dT%H:%M:%S.000Z", &tm);
        assert_string_equal(ep_time_format(s * 1000, got, sizeof got), want);
        assert_true(read_ok(got) == s * 1000);
    }
}

static void edges_of_the_format(void **state)
{
    (void)state;
    char buf[25];
    assert_string_equal(ep_time_format(INT64_MAX, buf, sizeof buf), "9999-12-31T23:59:59.999Z");
    assert_string_equal(ep_time_format(INT64_MIN, buf, sizeof buf), "0000-01-01T00:00:00.000Z");
    assert_string_equal(ep_time_format(0, buf, 5), "1970");
}

static void clocks(void **state)
{
    (void)state;
    ep_clock wall = ep_clock_system();
    ep_time_ms now = ep_clock_now(&wall);
    assert_true(now > 1700000000000);  // after 2023

    ep_clock_scale fixed = {.start_ms = 5000, .speed = 0.0};
    ep_clock stopped = ep_clock_scaled(&fixed);
    assert_true(fixed.wall_start_ms >= now);
    assert_true(ep_clock_now(&stopped) == 5000);

    // began an hour ago at 60 times the pace: 60 hours have passed on it
    ep_clock_scale fast = {.start_ms = 0, .wall_start_ms = now - 3600000, .speed = 60.0};
    ep_clock quick = ep_clock_scaled(&fast);
    check_near((double)ep_clock_now(&quick), 60.0 * 3600000.0, 60.0 * 5000.0);
    ep_time_ms a = ep_clock_now(&quick);
    assert_true(ep_clock_now(&quick) >= a);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rfc_3339_examples),
        cmocka_unit_test(short_forms),
        cmocka_unit_test(refusals),
        cmocka_unit_test(agrees_with_gmtime),
        cmocka_unit_test(edges_of_the_format),
        cmocka_unit_test(clocks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
