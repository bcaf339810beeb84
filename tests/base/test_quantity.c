// Reading what people type and writing numbers: accepted forms, refusals with their hints, locale.
#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "base/units.h"

#include "check.h"

static double read_ok(const char *text, ep_dim dim, ep_unit assumed)
{
    double si = (double)NAN;
    ep_err err = {0};
    if (ep_quantity_parse(text, dim, assumed, "field", &si, &err) != EP_OK) {
        fail_msg("\"%s\" was refused: %s", text, err.text);
    }
    assert_int_equal(err.status, EP_OK);
    return si;
}

// status, field, the text as typed and `hint` must all be told, and nothing written
static void refused(const char *text, ep_dim dim, ep_unit assumed, const char *hint)
{
    double si = 999.0;
    ep_err err = {0};
    assert_int_equal(ep_quantity_parse(text, dim, assumed, "fill_height", &si, &err), EP_E_PARSE);
    assert_true(si == 999.0);
    assert_string_equal(err.field, "fill_height");
    check_has(err.text, "fill_height: ");
    check_has(err.text, hint);
    if (text && text[0] > ' ' && strlen(text) < 30) {
        check_has(err.text, text);
    }
}

static void lengths(void **state)
{
    (void)state;
    const struct {
        const char *text;
        double m;
    } same[] = {
        {"12.5 mm", 0.0125},
        {"12.5mm", 0.0125},
        {" 12.5  MM ", 0.0125},
        {"12.5", 0.0125},
        {"3in", 0.0762},
        {"3\"", 0.0762},
        {"2 3/4 in", 0.06985},
        {"2-3/4 in", 0.06985},
        {"3/4in", 0.01905},
        {"2\xC2\xBE in", 0.06985},
        {"2 \xC2\xBE in", 0.06985},
        {"\xE2\x85\x9C in", 0.009525},
        {"2 3\xE2\x81\x84"
         "4 in",
         0.06985},
        {"7 cm", 0.07},
        {"0.07 m", 0.07},
        {"1e1 mm", 0.01},
        {"7.e0cm", 0.07},
        {"+7 cm", 0.07},
        {"70\xC2\xA0mm", 0.07},
        {"-3/4 in", -0.01905},
        {"-2 3/4 in", -0.06985},
    };
    for (size_t i = 0; i < sizeof same / sizeof same[0]; i++) {
        check_near(read_ok(same[i].text, EP_DIM_LENGTH, EP_U_MM), same[i].m, 1e-16);
    }
}

static void other_kinds(void **state)
{
    (void)state;
    check_near(read_ok("185 F", EP_DIM_TEMPERATURE, EP_U_DEG_C), 358.15, 1e-12);
    check_near(read_ok("185\xC2\xB0"
                       "F",
                       EP_DIM_TEMPERATURE, EP_U_DEG_C),
               358.15, 1e-12);
    check_near(read_ok("85", EP_DIM_TEMPERATURE, EP_U_DEG_C), 358.15, 1e-12);
    check_near(read_ok("\xE2\x88\x92"
                       "5 \xC2\xB0"
                       "C",
                       EP_DIM_TEMPERATURE, EP_U_DEG_C),
               268.15, 1e-12);
    check_rel(read_ok(".5 oz", EP_DIM_MASS, EP_U_G), 14.1747615625e-3, 1e-15);
    check_rel(read_ok("8 fl oz", EP_DIM_VOLUME, EP_U_ML), 236.5882365e-6, 1e-15);
    check_rel(read_ok("8 imp fl oz", EP_DIM_VOLUME, EP_U_ML), 227.3045e-6, 1e-15);
    check_rel(read_ok("8%", EP_DIM_FRACTION, EP_U_PCT), 0.08, 1e-15);
    check_rel(read_ok("8", EP_DIM_FRACTION, EP_U_PCT), 0.08, 1e-15);
    check_rel(read_ok("500 yd/lb", EP_DIM_LINEAR_DENSITY, EP_U_G_M), 0.992109296e-3, 1e-9);
    check_rel(read_ok("9 1e-6/K", EP_DIM_EXPANSION, EP_U_MICRO_PER_K), 9e-6, 1e-15);
    check_rel(read_ok("2 h", EP_DIM_TIME, EP_U_H), 7200.0, 0.0);
}

static void refusals(void **state)
{
    (void)state;
    refused("1,5", EP_DIM_LENGTH, EP_U_MM, "comma");
    refused("1,5", EP_DIM_LENGTH, EP_U_MM, "1.5");
    refused(",5 mm", EP_DIM_LENGTH, EP_U_MM, "comma");
    refused("1,500 g", EP_DIM_MASS, EP_U_G, "1500");
    refused("7.5 kg", EP_DIM_LENGTH, EP_U_MM, "is a mass; a length is needed");
    refused("7.5 kg", EP_DIM_LENGTH, EP_U_MM, "m, mm, cm, um, in");
    refused("7.5 smoots", EP_DIM_LENGTH, EP_U_MM, "unknown unit \"smoots\"");
    refused("7.5 smoots", EP_DIM_LENGTH, EP_U_MM, "m, mm, cm, um, in");
    refused("12 5 mm", EP_DIM_LENGTH, EP_U_MM, "more than one number");
    refused("1 000 g", EP_DIM_MASS, EP_U_G, "more than one number");
    refused("about 3 in", EP_DIM_LENGTH, EP_U_MM, "is no number");
    refused("-", EP_DIM_LENGTH, EP_U_MM, "is no number");
    refused(".", EP_DIM_LENGTH, EP_U_MM, "is no number");
    refused("--5 mm", EP_DIM_LENGTH, EP_U_MM, "is no number");
    refused("nan", EP_DIM_LENGTH, EP_U_MM, "is no number");
    refused("inf mm", EP_DIM_LENGTH, EP_U_MM, "is no number");
    refused("0x10", EP_DIM_LENGTH, EP_U_MM, "unknown unit");
    refused("mm", EP_DIM_LENGTH, EP_U_MM, "is no number");
    refused("", EP_DIM_LENGTH, EP_U_MM, "nothing is written");
    refused("  \t ", EP_DIM_LENGTH, EP_U_MM, "nothing is written");
    refused(NULL, EP_DIM_LENGTH, EP_U_MM, "nothing is written");
    refused("2 3/0 in", EP_DIM_LENGTH, EP_U_MM, "fraction");
    refused("2 5/4 in", EP_DIM_LENGTH, EP_U_MM, "fraction");
    refused("2.5 3/4 in", EP_DIM_LENGTH, EP_U_MM, "more than one number");
    refused("5 mm", EP_DIM_NONE, EP_U_NONE, "without a unit");
    refused("-300 C", EP_DIM_TEMPERATURE, EP_U_DEG_C, "absolute zero");
    refused("0 yd/lb", EP_DIM_LINEAR_DENSITY, EP_U_G_M, "above 0");
    refused("1e308 GPa", EP_DIM_PRESSURE, EP_U_MPA, "too large");
    refused("\xFF\xFE", EP_DIM_LENGTH, EP_U_MM, "??");
}

static void long_and_dirty_text_is_quoted_briefly(void **state)
{
    (void)state;
    char big[5000];
    memset(big, '9', sizeof big - 1);
    big[0] = '\n';
    big[sizeof big - 1] = '\0';
    double si = 999.0;
    ep_err err = {0};
    assert_int_equal(ep_quantity_parse(big, EP_DIM_MASS, EP_U_G, "wax", &si, &err), EP_E_PARSE);
    check_has(err.text, "...");
    assert_null(strchr(err.text, '\n'));
    assert_true(strlen(err.text) < 200);
}

static void ranges(void **state)
{
    (void)state;
    ep_err err = {0};
    assert_int_equal(ep_range_check(0.07, 0.01, 0.3, EP_U_MM, "inner_diameter", &err), EP_OK);
    assert_int_equal(ep_range_check(0.01, 0.01, 0.3, EP_U_MM, "inner_diameter", &err), EP_OK);
    assert_int_equal(ep_range_check(0.3, 0.01, 0.3, EP_U_MM, "inner_diameter", &err), EP_OK);
    assert_int_equal(err.status, EP_OK);
    assert_int_equal(ep_range_check(0.0075, 0.01, 0.3, EP_U_MM, "inner_diameter", &err), EP_E_ARG);
    assert_string_equal(err.field, "inner_diameter");
    assert_string_equal(err.text, "inner_diameter: 7.5 mm is outside 10 mm to 300 mm");

    const double bad[] = {(double)NAN, (double)INFINITY, -(double)INFINITY, 0.0099999999, 0.301};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        assert_int_equal(ep_range_check(bad[i], 0.01, 0.3, EP_U_MM, "d", NULL), EP_E_ARG);
    }
    ep_err_clear(&err);
    ep_range_check((double)NAN, 0.01, 0.3, EP_U_MM, "d", &err);
    assert_string_equal(err.text, "d: not a number is outside 10 mm to 300 mm");
    // a value a hair above the limit is not printed as the limit
    ep_err_clear(&err);
    ep_range_check(0.3000000001, 0.01, 0.3, EP_U_MM, "d", &err);
    check_has(err.text, "300.0000001");
    // an inverse unit keeps the smaller number first
    ep_err_clear(&err);
    ep_range_check(1.0, 0.1e-3, 20e-3, EP_U_YD_PER_LB, "linear_density", &err);
    check_has(err.text, "outside 24.8027 yd/lb to 4960.55 yd/lb");
}

// a limit typed in another unit is inside, whatever the conversion rounds to
static void limits_typed_in_inches(void **state)
{
    (void)state;
    for (int n = 1; n <= 400; n++) {
        double limit = 0.0254 * n / 16.0;
        char text[32];
        snprintf(text, sizeof text, "%d/16 in", n);
        double si = read_ok(text, EP_DIM_LENGTH, EP_U_MM);
        assert_int_equal(ep_range_check(si, limit, limit, EP_U_IN, "d", NULL), EP_OK);
    }
}

static void shown(double v, int digits, const char *want)
{
    char buf[64];
    assert_string_equal(ep_number_format(v, digits, buf, sizeof buf), want);
}

static void number_forms(void **state)
{
    (void)state;
    shown(0.0, 6, "0");
    shown(-0.0, 6, "0");
    shown(12.5, 6, "12.5");
    shown(12.0, 6, "12");
    shown(1200.0, 2, "1200");
    shown(123456.0, 3, "123000");
    shown(999.9996, 6, "1000");
    shown(0.1, 17, "0.10000000000000001");
    shown(-0.00025, 3, "-0.00025");
    shown(0.0000123, 3, "1.23e-5");
    shown(1e9, 3, "1e9");
    shown((double)NAN, 3, "not a number");
    shown(-(double)INFINITY, 3, "-infinity");
    char buf[64];
    assert_string_equal(ep_quantity_format(0.0125, EP_U_MM, 4, buf, sizeof buf), "12.5 mm");
    assert_string_equal(ep_quantity_format(0.08, EP_U_PCT, 4, buf, sizeof buf), "8 %");
    assert_string_equal(ep_quantity_format(3.0, EP_U_NONE, 4, buf, sizeof buf), "3");
    assert_string_equal(ep_quantity_format(0.0125, EP_U_MM, 4, buf, 5), "12.5");  // cut, terminated
}

static void seventeen_digits_come_back(void **state)
{
    (void)state;
    char buf[64];
    for (double v = 1.0 / 3.0e7; v < 1e12; v *= 1.9) {
        double back = 0.0;
        assert_true(ep_number_parse(ep_number_format(v, 17, buf, sizeof buf), &back));
        assert_true(back == v);
    }
}

static void strict_numbers(void **state)
{
    (void)state;
    const char *good[] = {"0", "-1", "+1.5", ".5", "5.", "1e3", "1E-3", "1.5e+10"};
    const char *bad[] = {"",   " 1",  "1 ",    "1,5", "0x1p3", "inf",  "nan",
                         "1e", "1e+", "1.2.3", "--1", "1e999", "1_000"};
    double v = 999.0;
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        assert_true(ep_number_parse(good[i], &v));
        assert_true(v == strtod(good[i], NULL));
    }
    v = 999.0;
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        assert_false(ep_number_parse(bad[i], &v));
    }
    assert_false(ep_number_parse(NULL, &v));
    assert_true(v == 999.0);
}

// a locale with a decimal comma is made for the test alone; skipped where the system cannot make
// one
static void comma_locales_change_nothing(void **state)
{
    (void)state;
    char dir[] = "/tmp/ep_locale_XXXXXX", command[160];
    assert_non_null(mkdtemp(dir));
    snprintf(command, sizeof command, "localedef -i de_DE -f UTF-8 %s/de_DE.UTF-8 2>/dev/null",
             dir);
    int made = system(command);
    setenv("LOCPATH", dir, 1);
    bool set = made == 0 && setlocale(LC_ALL, "de_DE.UTF-8") != NULL;
    char control[16] = "", buf[64] = "";
    double v = 0.0;
    if (set) {
        snprintf(control, sizeof control, "%.1f", 1.5);
        v = read_ok("12.5 mm", EP_DIM_LENGTH, EP_U_MM);
        ep_quantity_format(0.0125, EP_U_MM, 4, buf, sizeof buf);
    }
    setlocale(LC_ALL, "C");
    unsetenv("LOCPATH");
    snprintf(command, sizeof command, "rm -r %s", dir);
    assert_int_equal(system(command), 0);
    if (!set) {
        print_message("no locale with a decimal comma can be made here\n");
        skip();
    }
    assert_string_equal(control, "1,5");  // the locale is really the other kind
    check_near(v, 0.0125, 0.0);
    assert_string_equal(buf, "12.5 mm");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lengths),        cmocka_unit_test(other_kinds),
        cmocka_unit_test(refusals),       cmocka_unit_test(long_and_dirty_text_is_quoted_briefly),
        cmocka_unit_test(ranges),         cmocka_unit_test(limits_typed_in_inches),
        cmocka_unit_test(number_forms),   cmocka_unit_test(seventeen_digits_come_back),
        cmocka_unit_test(strict_numbers), cmocka_unit_test(comma_locales_change_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
