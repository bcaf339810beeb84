// One workshop, many callers: a page and a phone at the same time lose nothing and see whole
// answers.
#include <pthread.h>
#include <unistd.h>

#include "workshop.h"

enum { THREADS = 4, WRITES = 40 };

typedef struct caller {
    workshop *w;
    int number, failed;
} caller;

static ep_status call_quietly(ep_app *app, const char *name, json_t *in, json_t **out)
{
    ep_err err = {0};
    ep_status status = ep_app_call(app, ep_use_case_find(name), in, out, &err);
    json_decref(in);
    return status;
}

static void *write_and_read(void *ctx)
{
    caller *c = ctx;
    for (int i = 0; i < WRITES; i++) {
        char code[32];
        json_t *out = NULL;
        snprintf(code, sizeof code, "L-%d-%d", c->number, i);
        json_t *in = json_pack("{s:s, s:s}", "material", "std-wax-soy", "code", code);
        c->failed += call_quietly(c->w->app, "lot_add", in, &out) != EP_OK;
        json_decref(out);
        out = NULL;
        c->failed +=
            call_quietly(c->w->app, "recipe", json_pack("{s:s}", "id", "fig"), &out) != EP_OK;
        c->failed += real_at(out, "revision.load_pct") != 8.0;
        json_decref(out);
    }
    return NULL;
}

static void many_callers_lose_nothing(void **state)
{
    (void)state;
    workshop *w = workshop_open("2026-11-25T12:00", false);
    describe(w);
    pthread_t thread[THREADS];
    caller c[THREADS];
    for (int i = 0; i < THREADS; i++) {
        c[i] = (caller){.w = w, .number = i};
        assert_int_equal(pthread_create(&thread[i], NULL, write_and_read, &c[i]), 0);
    }
    for (int i = 0; i < THREADS; i++) {
        pthread_join(thread[i], NULL);
        assert_int_equal(c[i].failed, 0);
    }
    assert_int_equal(json_array_size(at(call(w, "lots", "{}"), "lots")), THREADS * WRITES);
    assert_int_equal(ep_store_depth(w->app->store), 0);
    workshop_close(w);
}

/// Two workshops on one file, as a command beside a running server.
static void two_programs_share_a_file(void **state)
{
    (void)state;
    char path[] = "/tmp/ep-shared-XXXXXX";
    int fd = mkstemp(path);
    assert_true(fd >= 0);
    workshop a = {.now = 1795608000000}, b = {.now = 1795608000000};
    ep_err err = {0};
    ep_app_config ca = {.db_path = path, .clock = {workshop_now, &a}};
    ep_app_config cb = {.db_path = path, .clock = {workshop_now, &b}};
    assert_int_equal(ep_app_open(&ca, &a.app, &err), EP_OK);
    assert_int_equal(ep_app_open(&cb, &b.app, &err), EP_OK);
    call(&a, "lot_add", "{'material': 'std-wax-soy', 'code': 'A'}");
    call(&b, "lot_add", "{'material': 'std-wax-soy', 'code': 'B'}");
    assert_int_equal(json_array_size(at(call(&a, "lots", "{}"), "lots")), 2);
    assert_int_equal(json_array_size(at(call(&b, "lots", "{}"), "lots")), 2);
    refuse(&a, EP_E_CONFLICT, "code", "already entered", "lot_add",
           "{'material': 'std-wax-soy', 'code': 'B'}");
    json_decref(a.last);
    json_decref(b.last);
    ep_app_close(a.app);
    ep_app_close(b.app);
    close(fd);
    remove(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(many_callers_lose_nothing),
        cmocka_unit_test(two_programs_share_a_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
