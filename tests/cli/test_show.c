// What the terminal shows, byte for byte where it is ours, and which answers end the program
// with 1.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "cli/show.h"
#include "cli/table.h"

static ep_show plain(int width)
{
    ep_show s = {.width = width};
    ep_text_init(&s.out);
    return s;
}

static void expect_shown(ep_show *s, const char *want)
{
    if (strcmp(ep_text_str(&s->out), want) != 0) {
        fail_msg("shown:\n%s\nwanted:\n%s", ep_text_str(&s->out), want);
    }
    ep_text_clear(&s->out);
}

static void expect_answer(const char *group, const char *verb, const char *json, const char *want)
{
    ep_use_case c = {.group = group, .verb = verb};
    json_t *answer = json_loads(json, 0, NULL);
    assert_non_null(answer);
    ep_show s = plain(80);
    ep_show_answer(&s, &c, answer);
    json_decref(answer);
    expect_shown(&s, want);
}

static void test_labels(void **state)
{
    (void)state;
    static const struct {
        const char *key, *label, *unit;
    } rows[] = {
        {"fill_mass_g", "fill mass", "g"},
        {"rate_g_h", "rate", "g/h"},
        {"wall_max_C", "wall max", "C"},
        {"load_pct", "load", "%"},
        {"linear_density_g_m", "linear density", "g/m"},
        {"yield_yd_lb", "yield", "yd/lb"},
        {"melt_radius_m", "melt radius", "m"},
        {"name", "name", ""},
        {"planned_h", "planned", "h"},
        {"_g", "_g", ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char label[64];
        const char *unit = ep_show_label(rows[i].key, label, sizeof label);
        if (rows[i].key[0] != '_') {
            assert_string_equal(label, rows[i].label);
        }
        assert_string_equal(unit, rows[i].unit);
    }
}

static void test_numbers(void **state)
{
    (void)state;
    ep_show s = plain(80);
    static const struct {
        double value;
        const char *unit, *metric, *us;
    } rows[] = {
        // NIST SP 811 B.8: 1 in = 25.4 mm, 1 oz = 28.349 523 125 g, 1 US fl oz = 29.573 53 ml
        {76.2, "mm", "76.2 mm", "3 in"},
        {283.49523125, "g", "283.5 g", "10 oz"},
        {236.588, "ml", "236.6 ml", "8 fl oz"},
        {0, "C", "0 C", "32 F"},
        {60, "C", "60 C", "140 F"},
        {8, "%", "8 %", "8 %"},
        {-0.0001, "%", "-0.0001 %", "-0.0001 %"},
        {0.87651, "", "0.877", "0.877"},
        {12345.67, "", "12346", "12346"},
        {3, "", "3", "3"},
        {-0.0, "", "0", "0"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char buf[64];
        s.us = false;
        assert_string_equal(ep_show_quantity(&s, rows[i].value, rows[i].unit, buf, sizeof buf),
                            rows[i].metric);
        s.us = true;
        assert_string_equal(ep_show_quantity(&s, rows[i].value, rows[i].unit, buf, sizeof buf),
                            rows[i].us);
    }
    char buf[64];
    s.us = true;
    assert_string_equal(ep_show_fixed(&s, 25.4, "mm", 1, buf, sizeof buf), "in");
    assert_string_equal(buf, "1.000");
    assert_string_equal(ep_show_fixed(&s, 100, "C", 0, buf, sizeof buf), "F");
    assert_string_equal(buf, "212");
}

static void test_columns(void **state)
{
    (void)state;
    assert_int_equal(ep_show_columns("wick"), 4);
    assert_int_equal(ep_show_columns("d\xc3\xa9j\xc3\xa0"), 4);
    assert_int_equal(ep_show_columns("e\xcc\x81"), 1);
    assert_int_equal(ep_show_columns("\033[1mbold\033[0m"), 4);
    assert_int_equal(ep_show_columns(""), 0);
}

static void test_wrap(void **state)
{
    (void)state;
    ep_show s = plain(20);
    ep_show_wrap(&s, 2, "- ", "never leave a lit candle alone");
    expect_shown(&s, "- never leave a lit\n  candle alone\n");
    s = plain(40);
    ep_show_wrap(&s, 4, "", "");
    expect_shown(&s, "    \n");
    s = plain(10);
    ep_show_wrap(&s, 0, "", "incomprehensibilities are long");
    expect_shown(&s, "incomprehensibilities\nare long\n");
}

// sentences speak metric until the reader asks otherwise; factors: NIST SP 811 App. B.8
static void test_sentences_follow_the_units(void **state)
{
    (void)state;
    static const struct {
        const char *said, *us;
    } rows[] = {
        {"flame 23 mm, outside 46 C", "flame 0.91 in, outside 115 F"},
        {"room 12.5 C is outside 15 to 25 C", "room 54 F is outside 59 to 77 F"},
        {"20 C give or take 5 K", "68 F give or take 9 F"},
        {"pool depth 8.5 of 12.7 mm", "pool depth 0.33 of 0.50 in"},
        {"container 50.9 of 77 C", "container 124 of 171 F"},
        {"2 of 3 candles", "2 of 3 candles"},
        {"Above 121 C (250 F) or 40 K", "Above 121 C (250 F) or 72 F"},
        {"4.1 to 5.3 g/h", "0.145 to 0.187 oz/h"},
        {"66 % in 4 h, 1.3 g/m, 3 mm2, J20 g", "66 % in 4 h, 1.3 g/m, 3 mm2, J20 g"},
        {"\"Tin 71 mm\" is 5 mm short", "\"Tin 71 mm\" is 0.20 in short"},
        {"60 C: did you mean 60 F (16 C)?", "60 C: did you mean 60 F (16 C)?"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char want[128];
        for (int us = 0; us < 2; us++) {
            ep_show s = plain(80);
            s.us = us;
            snprintf(want, sizeof want, "%s\n", us ? rows[i].us : rows[i].said);
            ep_show_say(&s, 0, "", rows[i].said);
            expect_shown(&s, want);
        }
    }
}

static void test_bars(void **state)
{
    (void)state;
    ep_show s = plain(80);
    ep_show_bar(&s, 0.5, 8);
    ep_show_bar(&s, -1, 2);
    ep_show_bar(&s, 7, 2);
    expect_shown(&s, "####......##");
}

static void test_tables(void **state)
{
    (void)state;
    ep_table t;
    ep_table_init(&t);
    ep_table_column(&t, "name", false);
    ep_table_column(&t, "mass, g", true);
    ep_table_cell(&t, "Jar");
    ep_table_cell(&t, "1.5");
    ep_table_cell(&t, "Taller jar");
    ep_table_cell(&t, "250");
    ep_show s = plain(80);
    ep_table_print(&t, &s, 2);
    expect_shown(&s, "  name        mass, g\n  Jar             1.5\n  Taller jar      250\n");

    // too narrow: text is cut, the last columns go, and the reader is told
    ep_table_column(&t, "more", true);
    ep_table_clear(&t);
    ep_table_init(&t);
    static const char *const heads[] = {"name", "what it is", "size", "what for"};
    for (int i = 0; i < 4; i++) {
        ep_table_column(&t, heads[i], i == 2);
    }
    ep_table_cell(&t, "A jar with quite a long name, really");
    ep_table_cell(&t, "straight glass with a heavy base");
    ep_table_cell(&t, "90");
    ep_table_cell(&t, "testing");
    s = plain(52);
    ep_table_print(&t, &s, 0);
    char *line = ep_text_str(&s.out)[0] ? strdup(ep_text_str(&s.out)) : NULL;
    assert_non_null(line);
    assert_non_null(strstr(line, "~"));
    assert_non_null(strstr(line, "(1 more column:"));
    for (char *p = strtok(line, "\n"); p && p[0] != '('; p = strtok(NULL, "\n")) {
        assert_true(ep_show_columns(p) <= 52);
    }
    free(line);
    ep_text_clear(&s.out);
    ep_table_clear(&t);
}

static void test_lists_and_objects(void **state)
{
    (void)state;
    expect_answer("thing", "list", "{\"things\":[]}", "no things\n");
    expect_answer("thing", "list",
                  "{\"things\":[{\"id\":\"1\",\"name\":\"A\",\"mass_g\":1.5,\"old\":false,"
                  "\"box\":{\"id\":\"2\",\"name\":\"B\"}},"
                  "{\"id\":\"3\",\"name\":\"C\",\"mass_g\":null,\"old\":true,\"box\":null}]}",
                  "name  mass, g  old  box\nA         1.5  no   B\nC           -  yes  -\n");
    expect_answer("thing", "show",
                  "{\"name\":\"A\",\"mass_g\":1.5,\"gone\":null,\"codes\":[\"K7\",\"M2\"],"
                  "\"cautions\":[\"hot glass\"],\"parts\":[{\"name\":\"p\",\"share_pct\":40}]}",
                  "name      A\nmass      1.5 g\ncodes     K7, M2\n"
                  "\nparts\n  name  share, %\n  p           40\n"
                  "\nCautions\n- hot glass\n");
}

static void test_times_are_local(void **state)
{
    (void)state;
    setenv("TZ", "XYZ-2", 1);  // two hours ahead of UTC
    tzset();
    expect_answer("thing", "show", "{\"at\":\"2026-11-25T12:00:00.000Z\"}",
                  "at  2026-11-25 14:00\n");
    unsetenv("TZ");
    tzset();
}

static void test_weighout(void **state)
{
    (void)state;
    expect_answer(
        "recipe", "weigh",
        "{\"candles\":2,\"resolution_g\":0.5,\"lines\":[{\"what\":\"wax\",\"name\":\"Soy\","
        "\"mass_g\":370},{\"what\":\"fragrance\",\"name\":\"Fig\",\"mass_g\":29.5}],"
        "\"total_g\":399.5,\"load_of_wax_pct\":8,\"pour_C\":57}",
        "Weigh out for 2 candles\n"
        "what       name      g\n"
        "wax        Soy   370.0\n"
        "fragrance  Fig    29.5\n"
        "total            399.5\n"
        "\n"
        "load of wax                8 %\n"
        "pour at                    57 C\n");
}

static void test_verdict(void **state)
{
    (void)state;
    expect_answer(
        "judge", "",
        "{\"text\":\"\",\"wicks\":[{\"size_name\":\"Flat 4\",\"candles\":[\"K7QF\"],\"verdict\":{"
        "\"kind\":\"too_big\",\"kind_text\":\"too big\",\"stop_now\":true,\"findings\":[{"
        "\"requirement\":\"J1\",\"weight\":\"stop\",\"candle\":\"K7QF\",\"session\":2,"
        "\"text\":\"the wall is at 92 C\"}],\"missing\":[\"mass after the last burn\"],"
        "\"next_move\":\"one size down\",\"proof\":\"\",\"candles_right\":0,\"candles_wrong\":1,"
        "\"failure_bound_pct\":95}}]}",
        "Flat 4: K7QF\n"
        "STOP NOW: put the candle out and do not light it again.\n"
        "too big\n"
        "  STOP NOW J1   K7QF, session 2: the wall is at 92 C\n"
        "  missing  mass after the last burn\n"
        "  next     one size down\n"
        "0 right, 1 wrong: up to 95 % of such candles could still fail\n");
}

static void test_odds_fit_eighty_columns(void **state)
{
    (void)state;
    ep_use_case c = {.group = "odds", .verb = ""};
    json_t *answer = json_loads(
        "{\"engine\":\"1\",\"tables\":\"t\",\"seed\":1,\"members\":8,\"sizes\":[{"
        "\"size_name\":\"Flat 4\",\"right_pct\":50,\"too_small_pct\":25,"
        "\"too_big_pct\":13,\"wrong_kind_pct\":12,\"unknown_pct\":0,\"text\":\"leans\"}]}",
        0, NULL);
    ep_show s = plain(80);
    ep_show_answer(&s, &c, answer);
    char *copy = strdup(ep_text_str(&s.out));
    assert_non_null(
        strstr(copy, "Flat 4  ############............  50 %      25 %      13 %      12 %"));
    for (char *p = strtok(copy, "\n"); p; p = strtok(NULL, "\n")) {
        assert_true(ep_show_columns(p) <= 80);
    }
    free(copy);
    ep_text_clear(&s.out);
    json_decref(answer);
}

static void test_today_is_quiet_when_nothing_is_on(void **state)
{
    (void)state;
    expect_answer("today", "", "{\"lit\":[],\"due\":[],\"cautions\":[\"x\"]}",
                  "nothing lit, due or curing\n");
    expect_answer("today", "",
                  "{\"due\":[{\"code\":\"K7QF\",\"minute\":60,\"overdue_min\":4,"
                  "\"kinds\":[\"flame\",\"pool_wide\"]}]}",
                  "Readings due\n"
                  "candle  minute  due         read\n"
                  "K7QF        60  4 min late  flame, pool_wide\n");
}

static void test_findings(void **state)
{
    (void)state;
    static const struct {
        const char *json;
        bool finding;
    } rows[] = {
        {"{}", false},
        {"{\"stop\":[]}", false},
        {"{\"stop\":[{\"text\":\"x\"}]}", true},
        {"{\"water\":null}", false},
        {"{\"water\":{\"mismatch\":false}}", false},
        {"{\"water\":{\"mismatch\":true}}", true},
        {"{\"verdict\":{\"stop_now\":true,\"simulated\":true}}", false},
        {"{\"verdict\":{\"stop_now\":true,\"simulated\":false}}", true},
        {"{\"wicks\":[{\"verdict\":{\"stop_now\":false}},{\"verdict\":{\"stop_now\":true}}]}",
         true},
        {"{\"wicks\":[{\"verdict\":{\"stop_now\":false}}]}", false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        json_t *answer = json_loads(rows[i].json, 0, NULL);
        assert_non_null(answer);
        assert_int_equal(ep_show_has_finding(answer), rows[i].finding);
        json_decref(answer);
    }
}

// readings that do not agree are told under the list, with the command that keeps one
static void test_conflicts(void **state)
{
    (void)state;
    expect_answer("burn", "readings",
                  "{\"readings\":[{\"code\":\"T1\",\"value\":20},{\"code\":\"T1\",\"value\":27}],"
                  "\"conflicts\":[{\"text\":\"T1: 20 mm and 27 mm.\",\"readings\":["
                  "{\"id\":\"r-1\",\"said\":\"20 mm\"},{\"id\":\"r-2\",\"said\":\"27 mm\"}]}]}",
                  "code  value\n"
                  "T1       20\n"
                  "T1       27\n"
                  "\nConflicts\n"
                  "  T1: 20 mm and 27 mm.\n"
                  "    to keep 20 mm: evenpool burn keep r-1\n"
                  "    to keep 27 mm: evenpool burn keep r-2\n");
    expect_answer("burn", "readings", "{\"readings\":[],\"conflicts\":[]}", "no readings\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_labels),
        cmocka_unit_test(test_conflicts),
        cmocka_unit_test(test_numbers),
        cmocka_unit_test(test_columns),
        cmocka_unit_test(test_wrap),
        cmocka_unit_test(test_sentences_follow_the_units),
        cmocka_unit_test(test_bars),
        cmocka_unit_test(test_tables),
        cmocka_unit_test(test_lists_and_objects),
        cmocka_unit_test(test_times_are_local),
        cmocka_unit_test(test_weighout),
        cmocka_unit_test(test_verdict),
        cmocka_unit_test(test_odds_fit_eighty_columns),
        cmocka_unit_test(test_today_is_quiet_when_nothing_is_on),
        cmocka_unit_test(test_findings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
