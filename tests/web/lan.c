// The workshop with its door open.
#include "lan.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

static const int64_t start_ms = 1795694400000;  // 2026-11-26T12:00Z

static ep_time_ms now_of(void *ctx)
{
    return atomic_load(&((lan_door *)ctx)->now);
}

static void open_door(lan_door *d, bool lan, int port)
{
    ep_err err = {0};
    int n = 0;
    char db[96], pages[96];
    snprintf(db, sizeof db, "%s/w.evenpool", d->dir);
    snprintf(pages, sizeof pages, "%s/pages", d->dir);
    ep_app_config ac = {.db_path = db, .clock = {now_of, d}};
    if (ep_app_open(&ac, &d->app, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    ep_web_config wc = {.app = d->app, .port = port, .lan = lan, .assets_dir = pages};
    wc.cases = ep_use_cases(&n);
    wc.n_cases = n;
    if (ep_web_start(&wc, &d->web, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    d->port = ep_web_port(d->web);
}

int lan_setup(void **state)
{
    lan_door *d = calloc(1, sizeof *d);
    char command[256];
    snprintf(d->dir, sizeof d->dir, "/tmp/ep-lan-XXXXXX");
    if (!mkdtemp(d->dir)) {
        return -1;
    }
    snprintf(command, sizeof command,
             "mkdir '%s/pages' && echo '<!doctype html>first page' >'%s/pages/index.html'", d->dir,
             d->dir);
    if (system(command) != 0) {
        return -1;
    }
    d->now = start_ms;
    open_door(d, true, 0);
    *state = d;
    return 0;
}

int lan_teardown(void **state)
{
    lan_door *d = *state;
    char command[96];
    ep_web_stop(d->web);
    ep_app_close(d->app);
    snprintf(command, sizeof command, "rm -r '%s'", d->dir);
    free(d);
    return system(command);
}

void lan_restart(lan_door *d, bool lan)
{
    ep_web_stop(d->web);
    ep_app_close(d->app);
    open_door(d, lan, d->port);
}

static int connect_to(const char *address, const char *from, int port)
{
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    struct sockaddr_in a = {.sin_family = AF_INET};
    struct timeval limit = {.tv_sec = 20};
    const void *any = &a;
    setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &limit, sizeof limit);
    setsockopt(fd, SOL_SOCKET, SO_SNDTIMEO, &limit, sizeof limit);
    if (from) {
        inet_pton(AF_INET, from, &a.sin_addr);
        assert_int_equal(bind(fd, any, sizeof a), 0);
    }
    inet_pton(AF_INET, address, &a.sin_addr);
    a.sin_port = htons((uint16_t)port);
    if (connect(fd, any, sizeof a) != 0) {
        close(fd);
        return -1;
    }
    return fd;
}

client_reply raw_to(const char *address, const char *from, int port, const char *bytes)
{
    client_reply r = {0};
    int fd = connect_to(address, from, port);
    if (fd >= 0) {
        client_send(fd, bytes, strlen(bytes));
        r = client_read(fd, strncmp(bytes, "HEAD", 4) == 0);
        close(fd);
    }
    return r;
}

client_reply phone_raw(const lan_door *d, const char *from, const char *bytes)
{
    return raw_to("127.0.0.1", from, d->port, bytes);
}

client_reply from_ask(const lan_door *d, int last, const char *method, const char *path,
                      const char *extra, const char *body)
{
    char from[16];
    client_reply r = {0};
    snprintf(from, sizeof from, "127.0.0.%d", last);
    int fd = connect_to("127.0.0.1", from, d->port);
    if (fd >= 0) {
        r = client_ask_on(fd, method, path, extra, body);
        close(fd);
    }
    return r;
}

client_reply phone_ask(const lan_door *d, const char *method, const char *path, const char *extra,
                       const char *body)
{
    return from_ask(d, 2, method, path, extra, body);
}

client_reply here_ask(const lan_door *d, const char *method, const char *path, const char *body)
{
    return client_ask(d->port, method, path, "", body);
}

int here_status(const lan_door *d, const char *method, const char *path)
{
    client_reply r = here_ask(d, method, path, strcmp(method, "POST") == 0 ? "{}" : NULL);
    int status = r.status;
    client_reply_clear(&r);
    return status;
}

int here_confirm(const lan_door *d, const char *id, const char *number)
{
    char path[96], body[64];
    snprintf(path, sizeof path, "/api/devices/%s/confirm", id);
    snprintf(body, sizeof body, "{\"number\":\"%s\"}", number);
    client_reply r = here_ask(d, "POST", path, body);
    int status = r.status;
    client_reply_clear(&r);
    return status;
}

const char *lan_text(const json_t *o, const char *key)
{
    const char *text = json_string_value(json_object_get(o, key));
    if (!text) {
        fail_msg("no text %s", key);
    }
    return text ? text : "";
}

void lan_invite(const lan_door *d, const char *role, char code[40])
{
    char body[48];
    snprintf(body, sizeof body, "{\"role\":\"%s\"}", role);
    client_reply r = here_ask(d, "POST", "/api/devices/invite", body);
    json_t *o = json_loads(r.body, 0, NULL);
    snprintf(code, 40, "%s", lan_text(o, "code"));
    json_decref(o);
    client_reply_clear(&r);
}

json_t *phone_asks_in(const lan_door *d, const char *from, const char *code, const char *name)
{
    char body[160];
    snprintf(body, sizeof body, "{\"code\":\"%s\",\"name\":\"%s\"}", code, name);
    client_reply r = from_ask(d, atoi(strrchr(from, '.') + 1), "POST", "/api/pair", "", body);
    if (r.status != 200) {
        fail_msg("asking in: %d %s", r.status, r.body);
    }
    json_t *o = json_loads(r.body, 0, NULL);
    client_reply_clear(&r);
    return o;
}

client_reply phone_wait(const lan_door *d, const char *ticket)
{
    char body[96];
    snprintf(body, sizeof body, "{\"ticket\":\"%s\"}", ticket);
    return phone_ask(d, "POST", "/api/pair/wait", "", body);
}

void lan_pair(lan_door *d, const char *role)
{
    char code[40], cookie[256];
    lan_invite(d, role, code);
    json_t *asked = phone_asks_in(d, "127.0.0.2", code, "phone");
    assert_int_equal(here_confirm(d, lan_text(asked, "id"), lan_text(asked, "number")), 200);
    client_reply r = phone_wait(d, lan_text(asked, "ticket"));
    client_header(&r, "Set-Cookie", cookie, sizeof cookie);
    cookie[strcspn(cookie, ";")] = '\0';
    snprintf(d->cookie, sizeof d->cookie, "Cookie: %.140s\r\n", cookie);
    snprintf(d->device, sizeof d->device, "%s", lan_text(asked, "id"));
    client_reply_clear(&r);
    json_decref(asked);
}

static json_t *here_must(const lan_door *d, const char *path, const char *body)
{
    client_reply r = here_ask(d, "POST", path, body);
    if (r.status != 200) {
        fail_msg("%s: %s", path, r.body);
    }
    json_t *o = json_loads(r.body, 0, NULL);
    client_reply_clear(&r);
    return o;
}

void lan_lit_candle(lan_door *d, char code[16])
{
    json_decref(here_must(d, "/api/containers",
                          "{\"name\":\"glass\",\"material\":\"std-container-soda-lime\","
                          "\"inner_diameter\":70,\"height\":80,\"wall\":3}"));
    json_decref(here_must(d, "/api/series",
                          "{\"name\":\"flat\",\"construction\":\"std-wick-flat-braid\","
                          "\"sizes\":[{\"name\":\"1\",\"linear_density\":\"1.1 g/m\"}]}"));
    json_decref(here_must(d, "/api/recipes",
                          "{\"name\":\"fig\",\"container\":\"glass\",\"series\":\"flat\","
                          "\"waxes\":[{\"id\":\"std-wax-soy\",\"share\":\"100 %\"}],"
                          "\"fill_height\":60}"));
    json_t *pour =
        here_must(d, "/api/pours", "{\"recipe\":\"fig\",\"set\":[{\"size\":\"1\",\"candles\":1}]}");
    json_t *candle = json_array_get(json_object_get(pour, "candles"), 0);
    snprintf(code, 16, "%s", lan_text(candle, "code"));
    json_decref(pour);
    d->now += (int64_t)14 * 24 * 3600 * 1000;
    char body[48];
    snprintf(body, sizeof body, "{\"candles\":[\"%s\"]}", code);
    json_decref(here_must(d, "/api/sessions", body));
}

int phone_stream(const lan_door *d, const char *cookie)
{
    char head[300];
    int fd = connect_to("127.0.0.1", "127.0.0.2", d->port);
    assert_true(fd >= 0);
    snprintf(head, sizeof head, "GET /api/events HTTP/1.1\r\nHost: 127.0.0.1\r\n%s\r\n", cookie);
    assert_true(client_send(fd, head, strlen(head)));
    return fd;
}

bool stream_reads(int fd, const char *text)
{
    char all[8192] = "";
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

bool stream_ends_without(int fd, const char *text)
{
    char all[8192] = "";
    size_t len = 0;
    ssize_t n = 1;
    while (len < sizeof all - 1 && !strstr(all, text) &&
           (n = recv(fd, all + len, sizeof all - 1 - len, 0)) > 0) {
        len += (size_t)n;
        all[len] = '\0';
    }
    return n == 0 && !strstr(all, text);
}
