// Who asked may go away: burning stops then, nothing half done is kept, and the next who asks is
// answered as if nobody had asked before. Invented workshop.
#include <stdatomic.h>

#include "workshop.h"

static workshop *w;

static int setup(void **state)
{
    (void)state;
    w = workshop_open("2026-11-25T12:00", true);
    return 0;
}

static int teardown(void **state)
{
    (void)state;
    workshop_close(w);
    return 0;
}

// somebody who goes away after having been looked for so many times; asked by several threads
typedef struct somebody {
    atomic_int looks;
    int patience;
} somebody;

static bool waits(void *ctx)
{
    somebody *s = ctx;
    return atomic_fetch_add(&s->looks, 1) < s->patience;
}

static ep_status ask(const char *name, const char *recipe, somebody *who, json_t **out)
{
    const ep_waiter waiter = {waits, who};
    json_t *in = json_pack("{s:s, s:i}", "id", recipe, "seed", 7);
    if (strcmp(name, "why") != 0 && strcmp(name, "explain") != 0) {
        json_object_set_new(in, "members", json_integer(8));
    }
    w->err = (ep_err){0};
    ep_status s = ep_app_call_for(w->app, &waiter, ep_use_case_find(name), in, out, &w->err);
    json_decref(in);
    return s;
}

static void stops_and_starts_again(const char *name, const char *recipe)
{
    json_t *out = NULL, *whole = NULL, *again = NULL;
    somebody hasty = {.patience = 40};
    if (ask(name, recipe, &hasty, &out) != EP_E_STATE) {
        fail_msg("%s of %s went on for nobody", name, recipe);
    }
    assert_null(out);
    // two threads may each look once more before they hear of it; none starts another burn
    assert_true(hasty.looks <= 40 + 64);
    somebody patient = {.patience = INT32_MAX};
    if (ask(name, recipe, &patient, &whole) != EP_OK) {
        fail_msg("%s of %s: %s", name, recipe, w->err.text);
    }
    if (patient.looks <= 40) {
        fail_msg("%s of %s took up what was left half done", name, recipe);
    }
    somebody next = {.patience = INT32_MAX};
    assert_int_equal(ask(name, recipe, &next, &again), EP_OK);
    json_object_del(whole, "seconds");
    json_object_del(again, "seconds");
    assert_true(json_equal(whole, again));
    json_decref(whole);
    json_decref(again);
}

static void from_the_tables(void **state)
{
    (void)state;
    stops_and_starts_again("odds", "Pine cabin");
    stops_and_starts_again("forecast", "Pine cabin");
}

static void from_burns(void **state)
{
    (void)state;
    stops_and_starts_again("explain", "Orange kitchen");
    stops_and_starts_again("plan", "Orange kitchen");
}

// what was asked by command, or by a test, is asked by somebody who stays
static void a_plain_call_is_for_somebody_who_stays(void **state)
{
    (void)state;
    json_t *out = NULL;
    somebody gone = {.patience = 0};
    assert_int_equal(ask("forecast", "Fig evening", &gone, &out), EP_E_STATE);
    json_t *in = json_pack("{s:s}", "id", "Fig evening");
    assert_int_equal(ep_app_call(w->app, ep_use_case_find("forecast"), in, &out, &w->err), EP_OK);
    json_decref(in);
    json_decref(out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(from_the_tables),
        cmocka_unit_test(from_burns),
        cmocka_unit_test(a_plain_call_is_for_somebody_who_stays),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
