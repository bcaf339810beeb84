// The command line: words to commands, options to fields, slips of the finger to guesses.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "../web/tiny.h"
#include "cli/args.h"
#include "cli/run.h"

static ep_commands commands;
static ep_args args;
static ep_err err;

static int setup(void **state)
{
    (void)state;
    commands.cases = tiny_cases(&commands.n_cases);
    commands.extra = ep_extra_commands(&commands.n_extra);
    return 0;
}

static int teardown(void **state)
{
    (void)state;
    ep_args_clear(&args);
    return 0;
}

// up to ten words; the first NULL ends them
static ep_status parse(const char *w1, const char *w2, const char *w3, const char *w4,
                       const char *w5, const char *w6, const char *w7, const char *w8)
{
    const char *words[] = {"evenpool", w1, w2, w3, w4, w5, w6, w7, w8, NULL};
    static char store[10][128];
    char *argv[11] = {0};
    int argc = 0;
    for (; words[argc]; argc++) {
        snprintf(store[argc], sizeof store[argc], "%s", words[argc]);
        argv[argc] = store[argc];
    }
    ep_args_clear(&args);
    memset(&err, 0, sizeof err);
    return ep_args_parse(&commands, argc, argv, &args, &err);
}
#define PARSE(...)                          PARSE_(__VA_ARGS__, NULL, NULL, NULL, NULL, NULL, NULL, NULL, NULL)
#define PARSE_(a, b, c, d, e, f, g, h, ...) parse(a, b, c, d, e, f, g, h)

static void expect_in(const char *json)
{
    json_t *want = json_loads(json, 0, NULL);
    assert_non_null(want);
    if (!json_equal(args.in, want)) {
        char *got = json_dumps(args.in, JSON_COMPACT);
        fail_msg("got %s, wanted %s", got, json);
    }
    json_decref(want);
}

static void test_commands(void **state)
{
    (void)state;
    assert_int_equal(PARSE("thing", "list"), EP_OK);
    assert_string_equal(args.c->name, "thing_list");
    expect_in("{}");
    assert_int_equal(PARSE("slow"), EP_OK);
    assert_string_equal(args.c->name, "slow");
    assert_int_equal(PARSE("fail", "3"), EP_OK);
    assert_string_equal(args.c->name, "fail");
    expect_in("{\"id\":\"3\"}");
    assert_int_equal(PARSE("help", "thing", "add"), EP_OK);
    expect_in("{\"group\":\"thing\",\"verb\":\"add\"}");
}

static void test_fields(void **state)
{
    (void)state;
    assert_int_equal(PARSE("thing", "add", "--name", "My jar", "--wall=4 mm", "--open"), EP_OK);
    expect_in("{\"name\":\"My jar\",\"wall\":\"4 mm\",\"open\":true}");
    assert_int_equal(PARSE("thing", "add", "--no-open", "--value", "-5"), EP_OK);
    expect_in("{\"open\":false,\"value\":\"-5\"}");
    assert_int_equal(PARSE("thing", "add", "--open=false"), EP_OK);
    expect_in("{\"open\":false}");
    assert_int_equal(PARSE("thing", "rename", "--name", "b", "My jar"), EP_OK);
    expect_in("{\"id\":\"My jar\",\"name\":\"b\"}");
    assert_int_equal(PARSE("thing", "rename", "--id", "My jar", "--name", "b"), EP_OK);
    expect_in("{\"id\":\"My jar\",\"name\":\"b\"}");
    assert_int_equal(PARSE("thing", "show", "--", "--odd name"), EP_OK);
    expect_in("{\"id\":\"--odd name\"}");
    assert_int_equal(PARSE("thing", "add", "--points", "1 mm", "--points", "2 mm"), EP_OK);
    expect_in("{\"points\":\"1 mm, 2 mm\"}");
}

static void test_switches(void **state)
{
    (void)state;
    assert_int_equal(PARSE("--db", "a.evenpool", "thing", "list", "--json", "--clock-speed", "60"),
                     EP_OK);
    assert_string_equal(args.on.db, "a.evenpool");
    assert_true(args.on.json);
    assert_true(args.on.clock_speed == 60);
    assert_false(args.on.help);
    assert_int_equal(PARSE("thing", "list", "--clock", "2026-01-01T08:00:00Z", "--units", "us"),
                     EP_OK);
    assert_string_equal(args.on.clock, "2026-01-01T08:00:00Z");
    assert_string_equal(args.on.units, "us");
    assert_int_equal(PARSE("thing", "add", "--help"), EP_OK);
    assert_true(args.on.help);
    assert_string_equal(args.c->name, "thing_add");
    assert_int_equal(PARSE("thing", "-h"), EP_OK);
    assert_true(args.on.help);
    assert_null(args.c);
    assert_int_equal(PARSE("--version"), EP_OK);
    assert_true(args.on.version);
    assert_int_equal(PARSE(NULL), EP_OK);
    assert_null(args.group);
}

static void expect_refused(ep_status want, ep_status got, const char *part)
{
    assert_int_equal(got, want);
    if (!strstr(err.text, part)) {
        fail_msg("'%s' does not say '%s'", err.text, part);
    }
}

static void test_guesses(void **state)
{
    (void)state;
    expect_refused(EP_E_USAGE, PARSE("thign", "list"), "did you mean 'thing'?");
    expect_refused(EP_E_USAGE, PARSE("thing", "lst"), "did you mean 'thing list'?");
    expect_refused(EP_E_USAGE, PARSE("thing", "frobnicate"), "only: list, add, add-many, show");
    expect_refused(EP_E_USAGE, PARSE("thing"), "needs one of: list");
    expect_refused(EP_E_USAGE, PARSE("zzzzzz"), "'evenpool help' lists them");
    expect_refused(EP_E_USAGE, PARSE("thing", "add", "--wal", "4"),
                   "write '--wal' in full: --wall");
    expect_refused(EP_E_USAGE, PARSE("thing", "add", "--nmae", "a"), "did you mean '--name'?");
    expect_refused(EP_E_USAGE, PARSE("thing", "add", "--zzzzzz", "a"), "no option '--zzzzzz'");
    expect_refused(EP_E_USAGE, PARSE("--jsn", "thing", "list"), "did you mean '--json'?");
    static const char *const words[] = {"container", "add-container", "lots"};
    assert_string_equal(ep_args_guess("contianer", words, 3), "container");
    assert_string_equal(ep_args_guess("add-con", words, 3), "add-container");
    assert_null(ep_args_guess("wick", words, 3));
    assert_null(ep_args_guess("", words, 3));
}

static void test_refusals(void **state)
{
    (void)state;
    expect_refused(EP_E_USAGE, PARSE("thing", "add", "--name"), "--name needs a value");
    expect_refused(EP_E_USAGE, PARSE("thing", "add", "--name", "a", "--name", "b"), "given twice");
    expect_refused(EP_E_USAGE, PARSE("thing", "list", "extra"), "one word too many");
    expect_refused(EP_E_USAGE, PARSE("thing", "show", "a", "b"), "one word too many");
    expect_refused(EP_E_USAGE, PARSE("thing", "show", "a", "--id", "b"), "given twice");
    expect_refused(EP_E_USAGE, PARSE("thing", "list", "--json=yes"), "takes no value");
    expect_refused(EP_E_PARSE, PARSE("thing", "list", "--count", "three"), "count");
    expect_refused(EP_E_ARG, PARSE("thing", "list", "--clock-speed", "0"), "above 0");
    expect_refused(EP_E_ARG, PARSE("thing", "list", "--clock-speed", "fast"), "fast");
    expect_refused(EP_E_ARG, PARSE("thing", "list", "--units", "feet"), "neither metric nor us");
}

static void test_input_file(void **state)
{
    (void)state;
    char path[] = "/tmp/ep-args-XXXXXX";
    int fd = mkstemp(path);
    const char *text = "{\"name\":\"from file\",\"wall\":3}";
    assert_int_equal(write(fd, text, strlen(text)), (ssize_t)strlen(text));
    close(fd);
    assert_int_equal(PARSE("thing", "add", "--input", path, "--wall", "4 mm"), EP_OK);
    expect_in("{\"name\":\"from file\",\"wall\":\"4 mm\"}");
    FILE *f = fopen(path, "w");
    fputs("[1, 2]", f);
    fclose(f);
    expect_refused(EP_E_PARSE, PARSE("thing", "add", "--input", path), "no JSON object");
    unlink(path);
    expect_refused(EP_E_PARSE, PARSE("thing", "add", "--input", path), "no JSON object");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_commands), cmocka_unit_test(test_fields),
        cmocka_unit_test(test_switches), cmocka_unit_test(test_guesses),
        cmocka_unit_test(test_refusals), cmocka_unit_test(test_input_file),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
