// The door with real sockets on a make-believe app: malformed requests, limits, headers, files,
// event streams, many clients at once, a clean stop.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "client.h"
#include "tiny.h"
#include "web/web.h"

static ep_web *web;
static int port;
static char dir[64];

static void write_file(const char *name, const char *text)
{
    char path[128];
    snprintf(path, sizeof path, "%s/%s", dir, name);
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    fputs(text, f);
    assert_int_equal(fclose(f), 0);
}

static void start_door(void)
{
    ep_err err = {0};
    int n = 0;
    ep_web_config config = {.port = 0, .assets_dir = dir, .cases = tiny_cases(&n)};
    config.n_cases = n;
    assert_int_equal(ep_web_start(&config, &web, &err), EP_OK);
    port = ep_web_port(web);
}

static int setup(void **state)
{
    (void)state;
    snprintf(dir, sizeof dir, "/tmp/ep-door-XXXXXX");
    if (!mkdtemp(dir)) {
        return -1;
    }
    write_file("index.html", "<!doctype html><title>first page</title>");
    write_file("app.js", "let a = 1;\n");
    write_file(".hidden", "secret");
    char path[128];
    snprintf(path, sizeof path, "%s/fonts", dir);
    mkdir(path, 0700);
    write_file("fonts/text.woff2", "font");
    snprintf(path, sizeof path, "%s/out.js", dir);
    if (symlink("/etc/hostname", path) != 0) {
        return -1;
    }
    start_door();
    return 0;
}

static int teardown(void **state)
{
    (void)state;
    ep_web_stop(web);
    char command[128];
    snprintf(command, sizeof command, "rm -r '%s'", dir);
    return system(command);
}

static int status_of(const char *method, const char *path, const char *extra, const char *body)
{
    client_reply r = client_ask(port, method, path, extra, body);
    int status = r.status;
    client_reply_clear(&r);
    return status;
}

// what must not be answered with 200, whatever the library underneath makes of it; what it
// keeps from us is harmless without a proxy in front: lines that end in a bare LF, a NUL in a
// header value, a header without a name (docs/decisions/004-http-door.md)
static void test_malformed_requests(void **state)
{
    (void)state;
#define HEAD "POST /api/things HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
#define RAW(text)                                                                                  \
    {                                                                                              \
        text, sizeof(text) - 1                                                                     \
    }
    static const struct {
        const char *bytes;
        size_t n;
    } rows[] = {
        RAW(HEAD "Content-Length: 2\r\nContent-Length: 2\r\n\r\n{}"),
        RAW(HEAD "Content-Length: 2\r\nContent-Length: 3\r\n\r\n{}"),
        RAW(HEAD "Content-Length : 0\r\n\r\n"),
        RAW(HEAD "Content-Length: +2\r\n\r\n{}"),
        RAW(HEAD "Content-Length: -2\r\n\r\n{}"),
        RAW(HEAD "Content-Length: 2x\r\n\r\n{}"),
        RAW(HEAD "Content-Length: 0x2\r\n\r\n{}"),
        RAW(HEAD "Content-Length: 2, 2\r\n\r\n{}"),
        RAW(HEAD "Content-Length: 18446744073709551618\r\n\r\n{}"),
        RAW(HEAD "Content-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n2\r\n{}\r\n0\r\n\r\n"),
        RAW(HEAD "Transfer-Encoding: chunked\r\n\r\n2\r\n{}\r\n0\r\n\r\n"),
        RAW(HEAD "Transfer-Encoding: chunked\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n"),
        RAW(HEAD "Transfer-Encoding: xchunked\r\n\r\n0\r\n\r\n"),
        RAW("GET /api/things HTTP/1.1\r\n\r\n"),
        RAW("GET /api/things HTTP/1.1\r\nHost: localhost\r\nHost: localhost\r\n\r\n"),
        RAW("GET /api/things HTTP/1.1\r\nHost: localhost\r\nX Y: 1\r\n\r\n"),
        RAW("GET /api/things HTTP/1.1\r\nHost: evil.example\r\n\r\n"),
        RAW("GET /api/things HTTP/3.0\r\nHost: localhost\r\n\r\n"),
        RAW("GET /api/things\r\n\r\n"),
        RAW("GET http://localhost/api/things HTTP/1.1\r\nHost: localhost\r\n\r\n"),
        RAW("OPTIONS * HTTP/1.1\r\nHost: localhost\r\n\r\n"),
        RAW("G\x01T /api/things HTTP/1.1\r\nHost: localhost\r\n\r\n"),
        RAW("GET /api/things/%00 HTTP/1.1\r\nHost: localhost\r\n\r\n"),
        RAW("GET /api/things?x=%zz HTTP/1.1\r\nHost: localhost\r\n\r\n"),
        RAW("\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03\r\n\r\n"),
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        client_reply r = client_raw(port, rows[i].bytes, rows[i].n);
        if (r.status != 0 && (r.status < 400 || r.status > 505)) {
            fail_msg("request %zu was answered %d", i, r.status);
        }
        client_reply_clear(&r);
    }
    assert_int_equal(status_of("GET", "/api/things", "", NULL), 200);
}

static void test_methods(void **state)
{
    (void)state;
    static const char *const methods[] = {"PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT"};
    for (size_t i = 0; i < sizeof methods / sizeof methods[0]; i++) {
        client_reply r = client_ask(port, methods[i], "/api/things", "", NULL);
        char allow[64];
        assert_int_equal(r.status, 405);
        assert_string_equal(client_header(&r, "Allow", allow, sizeof allow), "GET, HEAD, POST");
        client_reply_clear(&r);
    }
    assert_int_equal(status_of("POST", "/", "", "{}"), 405);
    assert_int_equal(status_of("POST", "/api/slow", "", "{}"), 405);
}

static void test_too_many_headers(void **state)
{
    (void)state;
    char extra[64 * 64] = "";
    for (int i = 0; i < 70; i++) {
        strcat(extra, "X-Thing: 1\r\n");
    }
    assert_int_equal(status_of("GET", "/", extra, NULL), 431);
}

static void test_body_limits(void **state)
{
    (void)state;
    // one byte too many is refused before a byte of it was read
    int fd = client_connect(port);
    const char *head = "POST /api/things HTTP/1.1\r\nHost: localhost\r\n"
                       "Content-Type: application/json\r\nContent-Length: 1048577\r\n"
                       "Expect: 100-continue\r\n\r\n";
    assert_true(client_send(fd, head, strlen(head)));
    client_reply r = client_read(fd, false);
    assert_int_equal(r.status, 413);
    client_reply_clear(&r);
    close(fd);

    // the largest body passes whole
    size_t n = EP_WEB_BODY_MAX;
    char *body = malloc(n + 1);
    memset(body, 'a', n);
    memcpy(body, "{\"name\":\"", 9);
    memcpy(body + n - 2, "\"}", 3);
    r = client_ask(port, "POST", "/api/things", "", body);
    assert_int_equal(r.status, 200);
    assert_true(r.body_len > n);
    client_reply_clear(&r);
    free(body);
}

// jansson reads 2048 levels, which costs more stack than the thread of a connection has
static void test_deep_bodies(void **state)
{
    (void)state;
    static const struct {
        size_t depth;
        int status;
    } rows[] = {{EP_WEB_DEPTH_MAX - 1, 200}, {EP_WEB_DEPTH_MAX, 400}, {2040, 400}, {400000, 400}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        size_t n = rows[i].depth;
        char *body = calloc(1, 2 * n + 16);
        assert_non_null(body);
        strcpy(body, "{\"name\":");
        memset(body + strlen(body), '[', n);
        memset(body + strlen(body), ']', n);
        strcat(body, "}");
        assert_int_equal(status_of("POST", "/api/things", "", body), rows[i].status);
        free(body);
    }
    // what stands in a string is no depth; an escaped quote does not end it, a backslash before it
    // does
    static const struct {
        const char *body;
        int status;
    } quoted[] = {
        {"{\"name\":\"[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[\"}", 200},
        {"{\"name\":\"\\\"[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[\"}", 200},
        {"{\"name\":\"\\\\\",\"points\":[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[", 400},
    };
    for (size_t i = 0; i < sizeof quoted / sizeof quoted[0]; i++) {
        client_reply r = client_ask(port, "POST", "/api/things", "", quoted[i].body);
        assert_int_equal(r.status, quoted[i].status);
        assert_int_equal(strstr(r.body, "deeper") != NULL, quoted[i].status == 400);
        client_reply_clear(&r);
    }
    assert_int_equal(status_of("GET", "/api/things", "", NULL), 200);
}

static void test_security_headers(void **state)
{
    (void)state;
    static const char *const paths[] = {"/", "/api/things", "/nothing.js", "/api/nothing"};
    for (size_t i = 0; i < sizeof paths / sizeof paths[0]; i++) {
        client_reply r = client_ask(port, "GET", paths[i], "", NULL);
        char v[512];
        const char *csp = client_header(&r, "Content-Security-Policy", v, sizeof v);
        assert_non_null(strstr(csp, "default-src 'none'"));
        assert_non_null(strstr(csp, "frame-ancestors 'none'"));
        assert_null(strstr(csp, "unsafe"));
        assert_string_equal(client_header(&r, "X-Content-Type-Options", v, sizeof v), "nosniff");
        assert_string_equal(client_header(&r, "Referrer-Policy", v, sizeof v), "no-referrer");
        assert_string_equal(client_header(&r, "Access-Control-Allow-Origin", v, sizeof v), "");
        client_reply_clear(&r);
    }
    client_reply r = client_ask(port, "GET", "/api/things", "", NULL);
    char v[64];
    assert_string_equal(client_header(&r, "Cache-Control", v, sizeof v), "no-store");
    assert_string_equal(client_header(&r, "Content-Type", v, sizeof v), "application/json");
    client_reply_clear(&r);
}

static void test_other_sites(void **state)
{
    (void)state;
    assert_int_equal(
        status_of("POST", "/api/things", "Origin: http://evil.example\r\n", "{\"name\":\"a\"}"),
        403);
    assert_int_equal(
        status_of("POST", "/api/things", "Sec-Fetch-Site: cross-site\r\n", "{\"name\":\"a\"}"),
        403);
    assert_int_equal(
        status_of("POST", "/api/things", "Origin: http://127.0.0.1\r\n", "{\"name\":\"a\"}"), 200);
}

static void test_files(void **state)
{
    (void)state;
    client_reply r = client_ask(port, "GET", "/app.js", "", NULL);
    char type[64], etag[64], extra[128];
    assert_int_equal(r.status, 200);
    assert_string_equal(r.body, "let a = 1;\n");
    assert_string_equal(client_header(&r, "Content-Type", type, sizeof type),
                        "text/javascript; charset=utf-8");
    client_header(&r, "ETag", etag, sizeof etag);
    assert_true(etag[0] == '"');
    client_reply_clear(&r);

    snprintf(extra, sizeof extra, "If-None-Match: %s\r\n", etag);
    assert_int_equal(status_of("GET", "/app.js", extra, NULL), 304);
    assert_int_equal(status_of("HEAD", "/app.js", "", NULL), 200);
    assert_int_equal(status_of("GET", "/fonts/text.woff2", "", NULL), 200);
    assert_int_equal(status_of("GET", "/missing.js", "", NULL), 404);

    static const char *const places[] = {"/", "/recipes", "/recipes/0198c0de/test", "/a%20b"};
    for (size_t i = 0; i < sizeof places / sizeof places[0]; i++) {
        r = client_ask(port, "GET", places[i], "", NULL);
        assert_int_equal(r.status, 200);
        assert_non_null(strstr(r.body, "first page"));
        client_reply_clear(&r);
    }
}

static void test_no_way_out_of_the_folder(void **state)
{
    (void)state;
    static const char *const paths[] = {
        "/../../../../etc/hostname.txt",
        "/..%2f..%2f..%2fetc%2fhostname.txt",
        "/%2e%2e/%2e%2e/etc/passwd.txt",
        "/fonts/../../x.txt",
        "/.hidden",
        "/%2ehidden",
        "/fonts%2ftext.woff2",
        "/fonts%5c..%5cx.js",
        "//etc/passwd.txt",
        "/out.js",
        "/fonts.",
    };
    for (size_t i = 0; i < sizeof paths / sizeof paths[0]; i++) {
        client_reply r = client_ask(port, "GET", paths[i], "", NULL);
        assert_int_equal(r.status, 404);
        assert_non_null(strstr(r.body, "Nothing here"));
        client_reply_clear(&r);
    }
}

static void test_keep_alive(void **state)
{
    (void)state;
    int fd = client_connect(port);
    for (int i = 0; i < 20; i++) {
        char path[32];
        snprintf(path, sizeof path, "/api/things/%d", i);
        client_reply r = client_ask_on(fd, "GET", path, "", NULL);
        assert_int_equal(r.status, 200);
        assert_non_null(strstr(r.body, path + 12));
        client_reply_clear(&r);
    }
    close(fd);
}

typedef struct worker {
    int number, wrong;
} worker;

static void *hammer(void *ctx)
{
    worker *w = ctx;
    int fd = client_connect(port);
    for (int i = 0; i < 200; i++) {
        char body[64], want[64];
        snprintf(body, sizeof body, "{\"name\":\"w%d-%d\"}", w->number, i);
        snprintf(want, sizeof want, "{\"in\":{\"name\":\"w%d-%d\"}}", w->number, i);
        client_reply r = client_ask_on(fd, "POST", "/api/things", "", body);
        w->wrong += r.status != 200 || strcmp(r.body, want) != 0;
        client_reply_clear(&r);
    }
    close(fd);
    return NULL;
}

// 8 clients x 200 requests: everybody gets their own answer
static void test_many_clients(void **state)
{
    (void)state;
    enum { CLIENTS = 8 };
    pthread_t thread[CLIENTS];
    worker w[CLIENTS];
    for (int i = 0; i < CLIENTS; i++) {
        w[i] = (worker){.number = i};
        assert_int_equal(pthread_create(&thread[i], NULL, hammer, &w[i]), 0);
    }
    for (int i = 0; i < CLIENTS; i++) {
        pthread_join(thread[i], NULL);
        assert_int_equal(w[i].wrong, 0);
    }
}

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void *ask_slow(void *ctx)
{
    (void)ctx;
    client_reply r = client_ask(port, "GET", "/api/slow", "", NULL);
    client_reply_clear(&r);
    return NULL;
}

// a long calculation of one page holds nobody else up
static void test_slow_answers_block_nobody(void **state)
{
    (void)state;
    pthread_t thread[4];
    double start = now_s();
    for (int i = 0; i < 4; i++) {
        assert_int_equal(pthread_create(&thread[i], NULL, ask_slow, NULL), 0);
    }
    assert_int_equal(status_of("GET", "/api/things", "", NULL), 200);
    for (int i = 0; i < 4; i++) {
        pthread_join(thread[i], NULL);
    }
    // four answers of 0.2 s each, one after the other, would take 0.8 s
    assert_true(now_s() - start < 0.7);
}

static int open_stream(void)
{
    int fd = client_connect(port);
    const char *head = "GET /api/events HTTP/1.1\r\nHost: localhost\r\n\r\n";
    assert_true(client_send(fd, head, strlen(head)));
    return fd;
}

// read until `text` came by; false when the stream ended before
static bool read_until(int fd, const char *text)
{
    char all[4096] = "";
    size_t len = 0;
    while (!strstr(all, text) && len < sizeof all - 1) {
        ssize_t n = recv(fd, all + len, sizeof all - 1 - len, 0);
        if (n <= 0) {
            return false;
        }
        len += (size_t)n;
        all[len] = '\0';
    }
    return strstr(all, text) != NULL;
}

static void test_event_streams(void **state)
{
    (void)state;
    int fd[EP_WEB_STREAMS_MAX];
    for (int i = 0; i < EP_WEB_STREAMS_MAX; i++) {
        fd[i] = open_stream();
        assert_true(read_until(fd[i], "retry: 3000"));
    }
    assert_int_equal(status_of("GET", "/api/events", "", NULL), 503);
    assert_int_equal(status_of("POST", "/api/things", "", "{\"name\":\"a\"}"), 200);
    for (int i = 0; i < EP_WEB_STREAMS_MAX; i++) {
        assert_true(read_until(fd[i], "event: changed\ndata: {\"case\":\"thing_add\"}\n\n"));
    }
    // stopping with open streams is quick and ends them
    double start = now_s();
    ep_web_stop(web);
    assert_true(now_s() - start < 5);
    for (int i = 0; i < EP_WEB_STREAMS_MAX; i++) {
        assert_false(read_until(fd[i], "this text never comes"));
        close(fd[i]);
    }
    start_door();
}

static void test_a_taken_port_is_said(void **state)
{
    (void)state;
    ep_err err = {0};
    ep_web *second = NULL;
    int n = 0;
    ep_web_config config = {.port = port, .cases = tiny_cases(&n)};
    config.n_cases = n;
    assert_int_equal(ep_web_start(&config, &second, &err), EP_E_IO);
    assert_null(second);
    assert_string_equal(err.field, "port");
    assert_non_null(strstr(err.text, "in use"));

    ep_err_clear(&err);
    config.port = 65536;
    assert_int_equal(ep_web_start(&config, &second, &err), EP_E_ARG);
    ep_err_clear(&err);
    config = (ep_web_config){.assets_dir = "/no/such/folder", .cases = config.cases};
    assert_int_equal(ep_web_start(&config, &second, &err), EP_E_IO);
    assert_string_equal(err.field, "assets");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_malformed_requests),
        cmocka_unit_test(test_methods),
        cmocka_unit_test(test_too_many_headers),
        cmocka_unit_test(test_body_limits),
        cmocka_unit_test(test_deep_bodies),
        cmocka_unit_test(test_security_headers),
        cmocka_unit_test(test_other_sites),
        cmocka_unit_test(test_files),
        cmocka_unit_test(test_no_way_out_of_the_folder),
        cmocka_unit_test(test_keep_alive),
        cmocka_unit_test(test_many_clients),
        cmocka_unit_test(test_slow_answers_block_nobody),
        cmocka_unit_test(test_event_streams),
        cmocka_unit_test(test_a_taken_port_is_said),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
