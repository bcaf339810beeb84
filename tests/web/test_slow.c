// Clients that take their time: what they hold is theirs for a while only, and nobody else waits.
// The limits are those of the door, made short: each test lasts until the door ends the connection,
// and fails when it does not.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <arpa/inet.h>
#include <cmocka.h>
#include <errno.h>
#include <netinet/in.h>
#include <poll.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include "client.h"
#include "tiny.h"
#include "web/watch.h"
#include "web/web.h"

enum { LIMIT_S = 1, PATIENCE_S = 20, LARGE = 24 * 1024 * 1024 };

static ep_web *web;
static char dir[64];

static ep_web *open_door(ep_web_limits limits)
{
    char authority[96];
    ep_web *w = NULL;
    ep_err err = {0};
    int n = 0;
    snprintf(authority, sizeof authority, "%s/authority.pem", dir);
    ep_web_config config = {.lan = true,
                            .tls = true,
                            .authority_path = authority,
                            .assets_dir = dir,
                            .cases = tiny_cases(&n),
                            .limits = limits};
    config.n_cases = n;
    return ep_web_start(&config, &w, &err) == EP_OK ? w : NULL;
}

static int setup(void **state)
{
    (void)state;
    char path[96];
    snprintf(dir, sizeof dir, "/tmp/ep-slow-XXXXXX");
    if (!mkdtemp(dir)) {
        return -1;
    }
    snprintf(path, sizeof path, "%s/large.js", dir);
    FILE *f = fopen(path, "w");
    if (!f || ftruncate(fileno(f), LARGE) != 0 || fclose(f) != 0) {
        return -1;
    }
    web = open_door((ep_web_limits){LIMIT_S, LIMIT_S, LIMIT_S});
    return web ? 0 : -1;
}

static int teardown(void **state)
{
    (void)state;
    char command[96];
    ep_web_stop(web);
    snprintf(command, sizeof command, "rm -r '%s'", dir);
    return system(command);
}

static void nap(long ms)
{
    const struct timespec t = {.tv_sec = ms / 1000, .tv_nsec = ms % 1000 * 1000000};
    nanosleep(&t, NULL);
}

// did the other end close, or does it close within `ms`?
static bool is_closed(int fd, int ms)
{
    struct pollfd p = {.fd = fd, .events = POLLRDHUP};
    return poll(&p, 1, ms) == 1 && (p.revents & (POLLRDHUP | POLLHUP | POLLERR));
}

// sends `text` byte by byte, over and over, never silent for long; true when the door ended it
static bool drips_until_closed(int fd, const char *text, size_t len)
{
    for (int i = 0; i < PATIENCE_S * 10; i++) {
        if (is_closed(fd, 0) ||
            send(fd, text + (size_t)i % len, 1, MSG_NOSIGNAL | MSG_DONTWAIT) < 0) {
            return true;
        }
        nap(100);
    }
    return false;
}

static void others_are_answered(void)
{
    client_reply r = client_ask(ep_web_port(web), "GET", "/api/things", "", NULL);
    assert_int_equal(r.status, 200);
    client_reply_clear(&r);
}

static void a_head_that_drips(void **state)
{
    (void)state;
    static const char begin[] = "GET /api/things HTTP/1.1\r\nHost: localhost\r\nX-Long: ";
    int fd = client_connect(ep_web_port(web));
    assert_true(client_send(fd, begin, sizeof begin - 1));
    assert_true(drips_until_closed(fd, "a", 1));
    close(fd);
    others_are_answered();
}

static void a_body_that_drips(void **state)
{
    (void)state;
    static const char begin[] = "POST /api/things HTTP/1.1\r\nHost: localhost\r\n"
                                "Content-Type: application/json\r\nContent-Length: 500000\r\n\r\n";
    int fd = client_connect(ep_web_port(web));
    assert_true(client_send(fd, begin, sizeof begin - 1));
    assert_true(drips_until_closed(fd, " ", 1));
    close(fd);
    others_are_answered();
}

// a record of a handshake (type 22, TLS 1.0 as the record's version) of 512 bytes, sent one by one
static void a_handshake_that_drips(void **state)
{
    (void)state;
    static const char record[] = "\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03";
    int fd = client_connect(ep_web_tls_port(web));
    assert_true(client_send(fd, record, sizeof record - 1));
    assert_true(drips_until_closed(fd, "\x11", 1));
    close(fd);
}

// twenty that connect to https and say nothing keep neither port from answering, and are sent away
static void silent_handshakes_block_nobody(void **state)
{
    (void)state;
    enum { N = 20 };
    int fd[N];
    for (int i = 0; i < N; i++) {
        fd[i] = client_connect(ep_web_tls_port(web));
        assert_true(fd[i] >= 0);
    }
    others_are_answered();
    client_reply r = client_ask(ep_web_tls_port(web), "GET", "/", "", NULL);
    assert_int_equal(r.status, 400);  // this port answers as well
    client_reply_clear(&r);
    for (int i = 0; i < N; i++) {
        assert_true(is_closed(fd[i], PATIENCE_S * 1000));
        close(fd[i]);
    }
}

// reads a little now and then, so that it is never silent
static void an_answer_that_is_not_fetched(void **state)
{
    (void)state;
    static const char ask[] = "GET /large.js HTTP/1.1\r\nHost: localhost\r\n\r\n";
    int fd = client_connect(ep_web_port(web));
    assert_true(client_send(fd, ask, sizeof ask - 1));
    bool ended = false;
    for (int i = 0; i < PATIENCE_S * 10 && !ended; i++) {
        char some[512];
        ssize_t n = recv(fd, some, sizeof some, MSG_DONTWAIT);
        // what the system holds for us can still be read; the end is seen beside it
        ended = n == 0 || (n < 0 && errno != EAGAIN) || is_closed(fd, 0);
        nap(100);
    }
    assert_true(ended);
    close(fd);
    others_are_answered();
}

// whoever keeps to the limits is not touched: requests on one connection for longer than any limit
static void a_kept_connection_goes_on(void **state)
{
    (void)state;
    int fd = client_connect(ep_web_port(web));
    for (int i = 0; i < 6; i++) {
        client_reply r = client_ask_on(fd, "GET", "/api/things", "", NULL);
        assert_int_equal(r.status, 200);
        client_reply_clear(&r);
        nap(LIMIT_S * 1000 / 2);
    }
    close(fd);
}

static void an_event_stream_goes_on(void **state)
{
    (void)state;
    static const char ask[] = "GET /api/events HTTP/1.1\r\nHost: localhost\r\n\r\n";
    int fd = client_connect(ep_web_port(web));
    assert_true(client_send(fd, ask, sizeof ask - 1));
    assert_false(is_closed(fd, LIMIT_S * 3000));
    close(fd);
}

static void plain_http_to_https_is_told_where_to_go(void **state)
{
    (void)state;
    char want[64];
    static const char *const asks[] = {"GET / HTTP/1.1\r\nHost: x\r\n\r\n",
                                       "POST /api/pair HTTP/1.1\r\n", "HEAD / HTTP/1.0\r\n\r\n",
                                       "G"};
    snprintf(want, sizeof want, "https://127.0.0.1:%d/", ep_web_tls_port(web));
    for (size_t i = 0; i < sizeof asks / sizeof asks[0]; i++) {
        client_reply r = client_raw(ep_web_tls_port(web), asks[i], strlen(asks[i]));
        assert_int_equal(r.status, 400);
        assert_non_null(strstr(r.body, want));
        client_reply_clear(&r);
    }
    // what is neither gets nothing
    client_reply r = client_raw(ep_web_tls_port(web), "\x01\x02\x03\x04\x05\x06\x07\x08", 8);
    assert_int_equal(r.status, 0);
    client_reply_clear(&r);
}

static int connect_from(int last, int port)
{
    struct sockaddr_in a = {.sin_family = AF_INET};
    const void *any = &a;
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_true(fd >= 0);
    a.sin_addr.s_addr = htonl(INADDR_LOOPBACK - 1 + (uint32_t)last);
    assert_int_equal(bind(fd, any, sizeof a), 0);
    a.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    a.sin_port = htons((uint16_t)port);
    assert_int_equal(connect(fd, any, sizeof a), 0);
    return fd;
}

// devices of the network take what places they can get: the computer still gets in, by both ports
static void the_computer_keeps_its_places(void **state)
{
    (void)state;
    enum { N = EP_WEB_CONNECTIONS - EP_WEB_KEPT, PER = EP_WEB_PER_ADDRESS / 2 };
    ep_web *w = open_door((ep_web_limits){0});
    assert_non_null(w);
    const int port[] = {ep_web_port(w), ep_web_tls_port(w)};
    const int answer[] = {200, 400};
    for (int k = 0; k < 2; k++) {
        int fd[N];
        for (int i = 0; i < N; i++) {
            fd[i] = connect_from(2 + i / PER, port[k]);
            // taken in before the next one comes: the library tells nobody but the port behind it
            if (k == 0) {
                client_reply r = client_ask_on(fd[i], "GET", "/", "", NULL);
                assert_int_equal(r.status, 200);
                client_reply_clear(&r);
            }
        }
        int late = connect_from(100, port[k]);
        assert_true(is_closed(late, PATIENCE_S * 1000));
        close(late);
        assert_false(is_closed(fd[0], 0));
        client_reply r = client_ask(port[k], "GET", "/", "", NULL);
        assert_int_equal(r.status, answer[k]);
        client_reply_clear(&r);
        for (int i = 0; i < N; i++) {
            close(fd[i]);
        }
    }
    ep_web_stop(w);
}

static bool pair_is_open(int fd)
{
    return send(fd, "x", 1, MSG_NOSIGNAL) == 1;
}

static void the_watch_by_itself(void **state)
{
    (void)state;
    ep_watch *w = NULL;
    ep_err err = {0};
    int a[2], b[2], c[2];
    assert_int_equal(socketpair(AF_UNIX, SOCK_STREAM, 0, a), 0);
    assert_int_equal(socketpair(AF_UNIX, SOCK_STREAM, 0, b), 0);
    assert_int_equal(socketpair(AF_UNIX, SOCK_STREAM, 0, c), 0);
    assert_int_equal(ep_watch_start(2, &w, &err), EP_OK);
    int first = ep_watch_add(w, a[0], 3600);
    int second = ep_watch_add(w, b[0], 0);
    assert_true(first >= 0 && second >= 0 && first != second);
    assert_int_equal(ep_watch_add(w, c[0], 1), -1);  // no place left: not watched
    ep_watch_set(w, -1, 1);
    ep_watch_remove(w, -1);
    ep_watch_set(w, first, 1);  // sooner than the watch meant to look
    assert_true(is_closed(a[1], PATIENCE_S * 1000));
    assert_true(pair_is_open(b[1]));
    ep_watch_remove(w, first);
    int third = ep_watch_add(w, c[0], 1);
    assert_int_equal(third, first);
    ep_watch_remove(w, third);  // given back in time
    ep_watch_set(w, second, 1);
    assert_true(is_closed(b[1], PATIENCE_S * 1000));
    assert_true(pair_is_open(c[1]));
    ep_watch_remove(w, second);
    ep_watch_stop(w);
    for (int i = 0; i < 2; i++) {
        close(a[i]);
        close(b[i]);
        close(c[i]);
    }
}

#define T(f) cmocka_unit_test(f)

int main(void)
{
    const struct CMUnitTest tests[] = {
        T(a_head_that_drips),
        T(a_body_that_drips),
        T(a_handshake_that_drips),
        T(silent_handshakes_block_nobody),
        T(an_answer_that_is_not_fetched),
        T(a_kept_connection_goes_on),
        T(an_event_stream_goes_on),
        T(plain_http_to_https_is_told_where_to_go),
        T(the_computer_keeps_its_places),
        T(the_watch_by_itself),
    };
    return cmocka_run_group_tests_name("slow", tests, setup, teardown);
}
