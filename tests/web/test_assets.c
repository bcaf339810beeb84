// Packed pages: compressed for who takes it, unchanged for who has it, and an explanation when they
// were not built. The table of packed files is the test's own.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <stdio.h>
#include <string.h>

#include "web/assets.h"

static const unsigned char js[] = "let a = 1;";
static const unsigned char gz[] = "(compressed)";
static const unsigned char html[] = "<title>first</title>";

const ep_asset ep_assets_packed[] = {
    {"app.js", "\"aaa\"", js, js + sizeof js - 1, gz, gz + sizeof gz - 1},
    {"fonts/t.woff2", "\"bbb\"", js, js + 3, gz, gz},
    {"index.html", "\"ccc\"", html, html + sizeof html - 1, gz, gz},
};
const int ep_assets_packed_n = 3;

static ep_http_reply ask(const char *raw, const char *name, const char *value)
{
    ep_http_header h = {name, value, name ? strlen(name) : 0, value ? strlen(value) : 0};
    ep_http_req rq = {.method = "GET", .target = raw, .header = &h, .n_headers = name != NULL};
    ep_assets a = {.dir_fd = -1};
    ep_target t;
    ep_err err = {0};
    ep_http_reply reply = {0};
    assert_int_equal(ep_target_parse(raw, &t, &err), EP_OK);
    ep_assets_answer(&a, &rq, &t, &reply);
    ep_target_clear(&t);
    assert_null(reply.owned);
    return reply;
}

static void test_compressed_when_taken(void **state)
{
    (void)state;
    ep_http_reply r = ask("/app.js", NULL, NULL);
    assert_int_equal(r.status, 200);
    assert_false(r.gzip);
    assert_true(r.varies);
    assert_int_equal(r.len, sizeof js - 1);
    assert_string_equal(r.type, "text/javascript; charset=utf-8");
    // RFC 9110 12.5.3
    static const struct {
        const char *accept;
        bool gzip;
    } rows[] = {{"gzip", true},
                {"deflate, gzip;q=1.0, *;q=0.5", true},
                {"GZIP", true},
                {"*", true},
                {"gzip;q=0.001", true},
                {"gzip;q=0", false},
                {"gzip; q=0.000", false},
                {"br", false},
                {"", false},
                {"x-gzip-like", false}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        r = ask("/app.js", "Accept-Encoding", rows[i].accept);
        assert_int_equal(r.gzip, rows[i].gzip);
        assert_int_equal(r.len, rows[i].gzip ? sizeof gz - 1 : sizeof js - 1);
    }
    r = ask("/fonts/t.woff2", "Accept-Encoding", "gzip");
    assert_false(r.gzip);
    assert_false(r.varies);
    assert_int_equal(r.len, 3);
}

static void test_unchanged(void **state)
{
    (void)state;
    static const struct {
        const char *known;
        int status;
    } rows[] = {{"\"aaa\"", 304}, {"W/\"aaa\"", 304}, {"\"x\", \"aaa\"", 304}, {"\"ccc\"", 200}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ep_http_reply r = ask("/app.js", "If-None-Match", rows[i].known);
        assert_int_equal(r.status, rows[i].status);
        assert_string_equal(r.etag, "\"aaa\"");
    }
}

static void test_places_in_the_pages(void **state)
{
    (void)state;
    ep_http_reply r = ask("/recipes/0198c0de", NULL, NULL);
    assert_int_equal(r.status, 200);
    assert_int_equal(r.len, sizeof html - 1);
    r = ask("/app.css", NULL, NULL);
    assert_int_equal(r.status, 404);
    r = ask("/../app.js", NULL, NULL);
    assert_int_equal(r.status, 404);
}

static void test_types(void **state)
{
    (void)state;
    assert_string_equal(ep_assets_type("a/b.css"), "text/css; charset=utf-8");
    assert_string_equal(ep_assets_type("icon.svg"), "image/svg+xml");
    assert_string_equal(ep_assets_type("t.woff2"), "font/woff2");
    assert_string_equal(ep_assets_type("LICENSE"), "application/octet-stream");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_compressed_when_taken),
        cmocka_unit_test(test_unchanged),
        cmocka_unit_test(test_places_in_the_pages),
        cmocka_unit_test(test_types),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
