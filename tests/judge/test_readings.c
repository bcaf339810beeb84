// The check of what someone typed at the bench.
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "judge/judge.h"

static void refused(ep_reading_kind kind, double value, double inner_m, const char *says)
{
    ep_err err = {0};
    assert_int_equal(ep_reading_check(kind, value, inner_m, &err), EP_E_ARG);
    const char *key = ep_reading_def_of(kind)->key;
    assert_string_equal(err.field, key);
    assert_non_null(strstr(err.text, key));
    if (!strstr(err.text, says)) {
        fail_msg("\"%s\" does not say \"%s\"", err.text, says);
    }
}

static void taken(ep_reading_kind kind, double value, double inner_m)
{
    ep_err err = {0};
    if (ep_reading_check(kind, value, inner_m, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    assert_int_equal(err.status, EP_OK);
}

static void every_kind_takes_its_range_and_no_more(void **state)
{
    (void)state;
    for (int i = 0; i < EP_READ_COUNT_; i++) {
        ep_reading_kind kind = (ep_reading_kind)i, found;
        const ep_reading_def *def = ep_reading_def_of(kind);
        assert_true(def->min < def->max && strchr("NGFS", def->type) && def->label[0]);
        taken(kind, def->min, 0.0);
        taken(kind, def->max, 0.0);
        refused(kind, def->min - 1.0, 0.0, "is outside");
        refused(kind, def->max + 1.0, 0.0, "is outside");
        refused(kind, (double)NAN, 0.0, "is outside");
        refused(kind, (double)INFINITY, 0.0, "is outside");
        assert_true(ep_reading_find(def->key, &found) && found == kind);
    }
    ep_reading_kind found;
    assert_false(ep_reading_find("pool", &found));
    assert_false(ep_reading_find("", &found));
}

static void grades_are_whole_numbers(void **state)
{
    (void)state;
    for (int i = 0; i < EP_READ_COUNT_; i++) {
        if (ep_reading_def_of((ep_reading_kind)i)->type != 'N') {
            refused((ep_reading_kind)i, 0.5, 0.0, "whole number");
        }
    }
    refused(EP_READ_RELIGHTS, 1.5, 0.0, "whole number");
    taken(EP_READ_FLAME, 22.5, 0.0);
}

static void refusals_name_value_and_range(void **state)
{
    (void)state;
    refused(EP_READ_FLAME, 400.0, 0.0, "flame: 400 mm is outside 0 to 300 mm");
    refused(EP_READ_SOOT, 4.0, 0.0, "soot: 4 is outside 0 to 3");
    refused(EP_READ_WALL_TEMP, -4.0, 0.0, "wall_temp: -4 C is outside 0 to 300 C");
}

// slips makers make: the outside of the jar measured, inches taken for millimetres of depth
static void what_does_not_fit_the_container_is_refused(void **state)
{
    (void)state;
    refused(EP_READ_POOL_WIDE, 76.0, 0.075, "does not fit a container 75 mm wide");
    refused(EP_READ_POOL_NARROW, 90.0, 0.075, "0 to 75 mm");
    refused(EP_READ_LEAN, 40.0, 0.075, "0 to 37.5 mm");
    refused(EP_READ_WALL_GAP, 60.0, 0.075, "does not fit");
    refused(EP_READ_HANGUP_THICK, 45.0, 0.075, "does not fit");
    taken(EP_READ_POOL_WIDE, 75.0, 0.075);
    taken(EP_READ_POOL_WIDE, 75.5, 0.075);  // a ruler is read to the half millimetre
    taken(EP_READ_POOL_WIDE, 76.0, 0.0);    // width of the container not known
    taken(EP_READ_FLAME, 120.0, 0.075);     // taller than the jar is wide: a hazard, no slip
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_takes_its_range_and_no_more),
        cmocka_unit_test(grades_are_whole_numbers),
        cmocka_unit_test(refusals_name_value_and_range),
        cmocka_unit_test(what_does_not_fit_the_container_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
