// Routes of the table without a socket: which case, which input, which status; the OpenAPI page.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <stdio.h>
#include <string.h>

#include "tiny.h"
#include "web/api.h"

static ep_api api;

static int setup(void **state)
{
    (void)state;
    int n = 0;
    api = (ep_api){.cases = tiny_cases(&n), .events = ep_events_create()};
    api.n_cases = n;
    return api.events ? 0 : -1;
}

static int teardown(void **state)
{
    (void)state;
    ep_events_destroy(api.events);
    return 0;
}

// the reply to a request as JSON; *status gets the HTTP status
static json_t *ask(const char *method, const char *raw, const char *body, int *status,
                   ep_http_reply *reply)
{
    ep_http_req rq = {.method = method,
                      .version = "HTTP/1.1",
                      .target = raw,
                      .body = body,
                      .body_len = body ? strlen(body) : 0};
    ep_target target;
    ep_err err = {0};
    assert_int_equal(ep_target_parse(raw, &target, &err), EP_OK);
    memset(reply, 0, sizeof *reply);
    ep_api_answer(&api, &rq, &target, reply);
    ep_target_clear(&target);
    *status = reply->status;
    assert_string_equal(reply->type, "application/json");
    json_t *out = json_loadb(reply->body, reply->len, 0, NULL);
    assert_non_null(out);
    return out;
}

static void expect_in(const char *method, const char *raw, const char *body, const char *in)
{
    int status = 0;
    ep_http_reply reply;
    json_t *out = ask(method, raw, body, &status, &reply);
    json_t *want = json_loads(in, 0, NULL);
    assert_non_null(want);
    assert_int_equal(status, 200);
    assert_true(json_equal(json_object_get(out, "in"), want));
    json_decref(want);
    json_decref(out);
    ep_http_reply_clear(&reply);
}

static void expect_error(const char *method, const char *raw, const char *body, int want,
                         const char *status_name, const char *field)
{
    int status = 0;
    ep_http_reply reply;
    json_t *out = ask(method, raw, body, &status, &reply);
    json_t *error = json_object_get(out, "error");
    assert_int_equal(status, want);
    assert_string_equal(json_string_value(json_object_get(error, "status")), status_name);
    assert_string_equal(json_string_value(json_object_get(error, "field")), field);
    assert_true(json_string_length(json_object_get(error, "text")) > 0);
    json_decref(out);
    ep_http_reply_clear(&reply);
}

static void test_inputs(void **state)
{
    (void)state;
    expect_in("GET", "/api/things", NULL, "{}");
    expect_in("HEAD", "/api/things", NULL, "{}");
    expect_in("GET", "/api/things?kind=wax&count=3", NULL, "{\"kind\":\"wax\",\"count\":3}");
    expect_in("GET", "/api/things?kind=", NULL, "{}");
    expect_in("GET", "/api/things/My%20jar", NULL, "{\"id\":\"My jar\"}");
    expect_in("POST", "/api/things", "{\"name\":\"a\",\"wall\":\"4 mm\"}",
              "{\"name\":\"a\",\"wall\":\"4 mm\"}");
    expect_in("POST", "/api/things/7/rename", "{\"name\":\"b\"}", "{\"id\":\"7\",\"name\":\"b\"}");
    expect_in("POST", "/api/things/7/rename", "{\"id\":\"7\",\"name\":\"b\"}",
              "{\"id\":\"7\",\"name\":\"b\"}");
}

static void test_literal_wins_over_parameter(void **state)
{
    (void)state;
    ep_target t;
    ep_err err = {0};
    const char *allow = NULL;
    assert_int_equal(ep_target_parse("/api/things/batch", &t, &err), EP_OK);
    assert_string_equal(ep_api_find(&api, "POST", &t, &allow)->name, "thing_batch");
    assert_string_equal(ep_api_find(&api, "GET", &t, &allow)->name, "thing_show");
    assert_string_equal(allow, "GET, HEAD, POST");
    ep_target_clear(&t);
}

static void test_refused_inputs(void **state)
{
    (void)state;
    expect_error("GET", "/api/things?colour=red", NULL, 400, "EP_E_ARG", "colour");
    expect_error("GET", "/api/things?count=three", NULL, 400, "EP_E_PARSE", "count");
    expect_error("POST", "/api/things", NULL, 400, "EP_E_ARG", "name");
    expect_error("POST", "/api/things?name=a", "{}", 400, "EP_E_USAGE", "name");
    expect_error("POST", "/api/things/7/rename", "{\"id\":\"8\",\"name\":\"b\"}", 400, "EP_E_ARG",
                 "id");
    static const char *const bodies[] = {"",        "[]",          "3",    "{\"a\":1,\"a\":2}",
                                         "{\"a\":", "{\"a\":1} x", "nope", "{\"a\":\"\\u0000\"}",
                                         "\xff",    "{'a':1}"};
    for (size_t i = 1; i < sizeof bodies / sizeof bodies[0]; i++) {
        expect_error("POST", "/api/things", bodies[i], 400, "EP_E_PARSE", "");
    }
    static char deep[100001];
    memset(deep, '[', sizeof deep - 1);
    expect_error("POST", "/api/things", deep, 400, "EP_E_PARSE", "");
}

static void test_statuses(void **state)
{
    (void)state;
    // docs/api.md, "Errors"
    static const struct {
        int status;
        const char *name;
        int http;
    } rows[] = {
        {EP_E_ARG, "EP_E_ARG", 400},
        {EP_E_PARSE, "EP_E_PARSE", 400},
        {EP_E_NOT_FOUND, "EP_E_NOT_FOUND", 404},
        {EP_E_CONFLICT, "EP_E_CONFLICT", 409},
        {EP_E_STATE, "EP_E_STATE", 409},
        {EP_E_DENIED, "EP_E_DENIED", 403},
        {EP_E_IO, "EP_E_IO", 500},
        {EP_E_DIVERGED, "EP_E_DIVERGED", 500},
        {EP_E_DB, "EP_E_DB", 500},
        {EP_E_MEMORY, "EP_E_MEMORY", 500},
        {EP_E_USAGE, "EP_E_USAGE", 400},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char raw[32];
        snprintf(raw, sizeof raw, "/api/fail/%d", rows[i].status);
        expect_error("GET", raw, NULL, rows[i].http, rows[i].name, "a_field");
    }
}

static void test_methods_and_addresses(void **state)
{
    (void)state;
    static const struct {
        const char *method, *raw, *allow;
        int status;
    } rows[] = {
        {"POST", "/api/slow", "GET, HEAD", 405},
        {"GET", "/api/things/7/rename", "POST", 405},
        {"POST", "/api/events", "GET", 405},
        {"HEAD", "/api/events", "GET", 405},
        {"POST", "/api/openapi.json", "GET, HEAD", 405},
        {"GET", "/api/nothing", NULL, 404},
        {"GET", "/api", NULL, 404},
        {"GET", "/api/", NULL, 404},
        {"GET", "/api/things/", NULL, 404},
        {"GET", "/api/things/7/8", NULL, 404},
        {"GET", "/api/Things", NULL, 404},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        int status = 0;
        ep_http_reply reply;
        json_t *out = ask(rows[i].method, rows[i].raw, NULL, &status, &reply);
        assert_int_equal(status, rows[i].status);
        if (rows[i].allow) {
            assert_string_equal(reply.allow, rows[i].allow);
        } else {
            assert_null(reply.allow);
        }
        json_decref(out);
        ep_http_reply_clear(&reply);
    }
}

static void test_openapi(void **state)
{
    (void)state;
    int status = 0;
    ep_http_reply reply;
    json_t *doc = ask("GET", "/api/openapi.json", NULL, &status, &reply);
    assert_int_equal(status, 200);
    assert_string_equal(json_string_value(json_object_get(doc, "openapi")), "3.1.0");
    json_t *paths = json_object_get(doc, "paths");
    int n = 0;
    const ep_use_case *cases = tiny_cases(&n);
    for (int i = 0; i < n; i++) {
        json_t *item = json_object_get(paths, cases[i].path);
        json_t *op = json_object_get(item, strcmp(cases[i].method, "GET") == 0 ? "get" : "post");
        assert_string_equal(json_string_value(json_object_get(op, "operationId")), cases[i].name);
        assert_non_null(json_object_get(json_object_get(op, "responses"), "200"));
    }
    json_t *add = json_object_get(json_object_get(paths, "/api/things"), "post");
    json_t *schema = json_object_get(
        json_object_get(json_object_get(json_object_get(add, "requestBody"), "content"),
                        "application/json"),
        "schema");
    json_t *properties = json_object_get(schema, "properties");
    assert_int_equal(json_object_size(properties), 6);
    json_t *any = json_object_get(json_object_get(properties, "wall"), "anyOf");
    assert_true(json_number_value(json_object_get(json_array_get(any, 0), "maximum")) == 30);
    json_t *items = json_object_get(json_object_get(properties, "points"), "items");
    assert_non_null(json_object_get(json_object_get(items, "properties"), "height"));
    json_decref(doc);
    ep_http_reply_clear(&reply);
}

static void test_events_hub(void **state)
{
    (void)state;
    ep_events *e = ep_events_create();
    ep_events_mark mark[17];
    ep_text t;
    ep_text_init(&t);
    for (int i = 0; i < 16; i++) {
        assert_true(ep_events_join(e, true, &mark[i]));
    }
    assert_false(ep_events_join(e, true, &mark[16]));
    assert_true(ep_events_next(e, &mark[0], 0, &t));
    assert_int_equal(t.data[0], ':');
    ep_text_clear(&t);
    ep_events_post(e, "thing_add");
    ep_events_post(e, "thing_rename");
    assert_true(ep_events_next(e, &mark[0], 0, &t));
    assert_string_equal(t.data, "id: 2\nevent: changed\ndata: {\"case\":\"thing_rename\"}\n\n");
    ep_text_clear(&t);
    // what is due is told once, and again to whoever comes later
    ep_events_due(e, "{\"due\":[]}");
    ep_events_due(e, "{\"due\":[]}");
    assert_true(ep_events_next(e, &mark[0], 0, &t));
    assert_string_equal(t.data, "event: due\ndata: {\"due\":[]}\n\n");
    ep_text_clear(&t);
    assert_true(ep_events_next(e, &mark[0], 0, &t));
    assert_int_equal(t.data[0], ':');
    ep_text_clear(&t);
    ep_events_leave(e);
    assert_true(ep_events_join(e, true, &mark[16]));
    assert_int_equal(mark[16].change, 2);
    assert_true(ep_events_next(e, &mark[16], 0, &t));
    assert_string_equal(t.data, "event: due\ndata: {\"due\":[]}\n\n");
    ep_text_clear(&t);
    ep_events_quit(e);
    assert_false(ep_events_next(e, &mark[0], 5, &t));
    assert_false(ep_events_join(e, true, &mark[16]));
    ep_text_clear(&t);
    ep_events_destroy(e);
}

// what a stream is told next, at once
static const char *told(ep_events_mark *mark, char *buf, size_t cap)
{
    ep_text t;
    ep_text_init(&t);
    assert_true(ep_events_next(api.events, mark, 0, &t));
    snprintf(buf, cap, "%s", ep_text_str(&t));
    ep_text_clear(&t);
    return buf;
}

static void test_a_write_is_told(void **state)
{
    (void)state;
    ep_events_mark mark;
    char buf[256];
    assert_true(ep_events_join(api.events, true, &mark));
    expect_in("GET", "/api/things", NULL, "{}");
    assert_int_equal(told(&mark, buf, sizeof buf)[0], ':');
    expect_error("POST", "/api/things", "{}", 400, "EP_E_ARG", "name");
    assert_int_equal(told(&mark, buf, sizeof buf)[0], ':');
    expect_in("POST", "/api/things", "{\"name\":\"a\"}", "{\"name\":\"a\"}");
    assert_non_null(strstr(told(&mark, buf, sizeof buf), "event: changed"));
    ep_events_leave(api.events);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_inputs),
        cmocka_unit_test(test_literal_wins_over_parameter),
        cmocka_unit_test(test_refused_inputs),
        cmocka_unit_test(test_statuses),
        cmocka_unit_test(test_methods_and_addresses),
        cmocka_unit_test(test_openapi),
        cmocka_unit_test(test_events_hub),
        cmocka_unit_test(test_a_write_is_told),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
