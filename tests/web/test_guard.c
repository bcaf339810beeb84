// The guard, rule by rule (RFC 9110, RFC 9112; Fetch Metadata: W3C draft, Sec-Fetch-Site).
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <stdio.h>
#include <string.h>

#include "web/guard.h"
#include "web/web.h"

typedef struct request {
    ep_http_header header[EP_WEB_HEADERS_MAX + 1];
    ep_http_req rq;
} request;

static void add(request *r, const char *name, const char *value)
{
    r->header[r->rq.n_headers++] = (ep_http_header){name, value, strlen(name), strlen(value)};
}

static void make(request *r, const char *method, const char *target)
{
    memset(r, 0, sizeof *r);
    r->rq = (ep_http_req){
        .method = method, .version = "HTTP/1.1", .target = target, .header = r->header};
    add(r, "Host", "127.0.0.1:8377");
}

static int check(const request *r)
{
    ep_err err = {0};
    int status = ep_guard_check(&r->rq, &err);
    assert_int_equal(status == 0, err.status == EP_OK);
    assert_int_equal(status == 0, err.text[0] == '\0');
    return status;
}

static int check_with(const char *method, const char *target, const char *name, const char *value)
{
    request r;
    make(&r, method, target);
    add(&r, name, value);
    return check(&r);
}

// "/%61pi/" is "/api/" once it is decoded (RFC 3986 6.2.2.2)
static void test_escapes_hide_no_api(void **state)
{
    (void)state;
    static const char *const api[] = {"/api/today",   "/api",         "/api?x=1",   "/%61pi/today",
                                      "/a%70i/today", "/ap%69/today", "/%61%70%69", "/%61pi?x"};
    static const char *const page[] = {"/", "/apis/x", "/recipes/%61", "/app.js?v=%20", "/?%61"};
    for (size_t i = 0; i < sizeof api / sizeof api[0]; i++) {
        assert_int_equal(check_with("GET", api[i], "Sec-Fetch-Site", "cross-site"), 403);
        assert_int_equal(check_with("GET", api[i], "Sec-Fetch-Site", "same-origin"), 0);
    }
    for (size_t i = 0; i < sizeof page / sizeof page[0]; i++) {
        assert_int_equal(check_with("GET", page[i], "Sec-Fetch-Site", "cross-site"), 0);
    }
}

static void test_plain_requests_pass(void **state)
{
    (void)state;
    request r;
    make(&r, "GET", "/");
    assert_int_equal(check(&r), 0);
    make(&r, "HEAD", "/app.js");
    assert_int_equal(check(&r), 0);
    make(&r, "POST", "/api/things");
    add(&r, "Content-Type", "application/json; charset=utf-8");
    add(&r, "Content-Length", "17");
    add(&r, "Origin", "http://127.0.0.1:8377");
    add(&r, "Sec-Fetch-Site", "same-origin");
    assert_int_equal(check(&r), 0);
    assert_int_equal(ep_guard_body_len(&r.rq), 17);
}

static void test_request_line(void **state)
{
    (void)state;
    request r;
    make(&r, "PUT", "/api/things");
    assert_int_equal(check(&r), 405);
    make(&r, "get", "/");
    assert_int_equal(check(&r), 405);
    make(&r, "GET", "http://127.0.0.1/");
    assert_int_equal(check(&r), 400);
    make(&r, "GET", "*");
    assert_int_equal(check(&r), 400);
    make(&r, "GET", "/a b");
    assert_int_equal(check(&r), 400);
    make(&r, "GET", "/\xc3\xa9");
    assert_int_equal(check(&r), 400);
    make(&r, "GET", "/");
    r.rq.version = "HTTP/2.0";
    assert_int_equal(check(&r), 505);
    r.rq.version = "";
    assert_int_equal(check(&r), 505);

    static char longest[EP_WEB_URI_MAX + 2];
    memset(longest, 'a', EP_WEB_URI_MAX);
    longest[0] = '/';
    make(&r, "GET", longest);
    assert_int_equal(check(&r), 0);
    longest[EP_WEB_URI_MAX] = 'a';
    assert_int_equal(check(&r), 414);
}

static void test_headers(void **state)
{
    (void)state;
    assert_int_equal(check_with("GET", "/", "Content-Length ", "0"), 400);
    assert_int_equal(check_with("GET", "/", "", "x"), 400);
    assert_int_equal(check_with("GET", "/", "X-Thing", "a\tb"), 0);
    assert_int_equal(check_with("GET", "/", "X-Thing", "a\nb"), 400);
    request r;
    make(&r, "GET", "/");
    r.header[r.rq.n_headers++] = (ep_http_header){"X-Thing", "a\0b", 7, 3};
    assert_int_equal(check(&r), 400);
    make(&r, "GET", "/");
    while (r.rq.n_headers < EP_WEB_HEADERS_MAX) {
        add(&r, "X-Thing", "1");
    }
    assert_int_equal(check(&r), 0);
    add(&r, "X-Thing", "1");
    assert_int_equal(check(&r), 431);
}

static void test_host(void **state)
{
    (void)state;
    static const char *const ours[] = {"127.0.0.1", "localhost", "LocalHost:8377", "[::1]:80",
                                       "127.0.0.1:65535"};
    static const char *const theirs[] = {"example.org",
                                         "127.0.0.1.example.org",
                                         "localhost.example.org",
                                         "",
                                         "localhost:",
                                         "localhost:80a",
                                         "127.0.0.2",
                                         "evil:8377",
                                         "localhost:8377 x",
                                         "127.0.0.1@example.org",
                                         "0.0.0.0",
                                         "localhost:123456",
                                         "user@localhost:80",
                                         "[::1]x",
                                         "localhost/"};
    request r;
    for (size_t i = 0; i < sizeof ours / sizeof ours[0]; i++) {
        make(&r, "GET", "/");
        r.rq.n_headers = 0;
        add(&r, "host", ours[i]);
        assert_int_equal(check(&r), 0);
    }
    for (size_t i = 0; i < sizeof theirs / sizeof theirs[0]; i++) {
        make(&r, "GET", "/");
        r.rq.n_headers = 0;
        add(&r, "Host", theirs[i]);
        assert_int_equal(check(&r), 403);
    }
    make(&r, "GET", "/");
    r.rq.n_headers = 0;
    assert_int_equal(check(&r), 400);
    make(&r, "GET", "/");
    add(&r, "Host", "127.0.0.1:8377");
    assert_int_equal(check(&r), 400);
}

static void test_length(void **state)
{
    (void)state;
    static const struct {
        const char *value;
        int status;
    } rows[] = {{"0", 0},      {"00000", 0},
                {"", 400},     {"+3", 400},
                {"-1", 400},   {"3 ", 400},
                {"0x10", 400}, {"3,3", 400},
                {"1e3", 400},  {"99999999999999999999999999", 413}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_int_equal(check_with("POST", "/api/x", "Content-Length", rows[i].value),
                         rows[i].status);
    }
    request r;
    make(&r, "POST", "/api/x");
    add(&r, "Content-Type", "application/json");
    add(&r, "Content-Length", "1048576");
    assert_int_equal(check(&r), 0);
    make(&r, "POST", "/api/x");
    add(&r, "Content-Type", "application/json");
    add(&r, "Content-Length", "1048577");
    assert_int_equal(check(&r), 413);
    make(&r, "POST", "/api/x");
    add(&r, "Content-Length", "0");
    add(&r, "Content-Length", "0");
    assert_int_equal(check(&r), 400);
    assert_int_equal(check_with("GET", "/", "Content-Length", "5"), 400);
}

static void test_transfer_encoding(void **state)
{
    (void)state;
    assert_int_equal(check_with("POST", "/api/x", "Transfer-Encoding", "chunked"), 411);
    request r;
    make(&r, "POST", "/api/x");
    add(&r, "Transfer-Encoding", "chunked");
    add(&r, "Content-Length", "3");
    assert_int_equal(check(&r), 400);
}

static void test_other_sites(void **state)
{
    (void)state;
    static const char *const foreign[] = {
        "http://example.org",     "null",
        "https://127.0.0.1:8377", "http://127.0.0.1:3000",
        "http://localhost:8377",  "http://127.0.0.1:8377.example.org"};
    for (size_t i = 0; i < sizeof foreign / sizeof foreign[0]; i++) {
        assert_int_equal(check_with("POST", "/api/x", "Origin", foreign[i]), 403);
        assert_int_equal(check_with("GET", "/api/x", "Origin", foreign[i]), 403);
    }
    assert_int_equal(check_with("POST", "/api/x", "Origin", "http://127.0.0.1:8377"), 0);
    static const char *const sites[] = {"cross-site", "same-site", "something"};
    for (size_t i = 0; i < sizeof sites / sizeof sites[0]; i++) {
        assert_int_equal(check_with("POST", "/api/x", "Sec-Fetch-Site", sites[i]), 403);
        assert_int_equal(check_with("GET", "/api/x", "Sec-Fetch-Site", sites[i]), 403);
        // a link on another site may lead to the pages
        assert_int_equal(check_with("GET", "/recipes", "Sec-Fetch-Site", sites[i]), 0);
    }
    assert_int_equal(check_with("GET", "/api/x", "Sec-Fetch-Site", "none"), 0);
}

static void test_content_type(void **state)
{
    (void)state;
    static const struct {
        const char *type;
        int status;
    } rows[] = {{"application/json", 0},
                {"Application/JSON;charset=utf-8", 0},
                {"application/jsonx", 415},
                {"text/plain", 415},
                {"application/x-www-form-urlencoded", 415},
                {"multipart/form-data; boundary=x", 415}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        request r;
        make(&r, "POST", "/api/x");
        add(&r, "Content-Length", "2");
        add(&r, "Content-Type", rows[i].type);
        assert_int_equal(check(&r), rows[i].status);
    }
    assert_int_equal(check_with("POST", "/api/x", "Content-Length", "2"), 415);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_plain_requests_pass),
        cmocka_unit_test(test_escapes_hide_no_api),
        cmocka_unit_test(test_request_line),
        cmocka_unit_test(test_headers),
        cmocka_unit_test(test_host),
        cmocka_unit_test(test_length),
        cmocka_unit_test(test_transfer_encoding),
        cmocka_unit_test(test_other_sites),
        cmocka_unit_test(test_content_type),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
