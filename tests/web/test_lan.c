// The door with --lan on the real app: who is refused, how a phone gets in, what it may do then.
//
// The phone is played from 127.0.0.2: the door takes only 127.0.0.1 for the computer itself, so
// every rule for strangers and devices holds for that address as for one of the network.
// tests/web/test_lan_net.sh does it once more between two network namespaces, where the system
// allows.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "lan.h"

// --- unpaired ---

static void expect_denied(const char *what, client_reply r, const char *field)
{
    if (r.status != 403 || !r.body || !strstr(r.body, "EP_E_DENIED") || !strstr(r.body, field)) {
        fail_msg("%s: %d %s", what, r.status, r.body ? r.body : "");
    }
    client_reply_clear(&r);
}

static void a_stranger_is_refused_on_every_route(void **state)
{
    lan_door *d = *state;
    int n = 0, refused = 0;
    const ep_use_case *c = ep_use_cases(&n);
    for (int i = 0; i < n; i++) {
        if (!c[i].path || strncmp(c[i].path, "/api/pair", 9) == 0) {
            continue;
        }
        char path[160];
        snprintf(path, sizeof path, "%.*sx", (int)strcspn(c[i].path, "{"), c[i].path);
        const char *route = strchr(c[i].path, '{') ? path : c[i].path;
        bool post = strcmp(c[i].method, "POST") == 0;
        expect_denied(c[i].name, phone_ask(d, c[i].method, route, "", post ? "{}" : NULL),
                      "\"device\"");
        if (!post) {
            client_reply head = phone_ask(d, "HEAD", route, "", NULL);
            assert_int_equal(head.status, 403);
            client_reply_clear(&head);
        }
        refused++;
    }
    assert_true(refused > 50);
    static const char *const others[] = {
        "/api/events",    "/api/openapi.json", "/api/nothing",  "/api",
        "/api/",          "/%61pi/today",      "/api/pair/me",  "/api/pair",
        "/api/pair/wait", "/api/%74oday",      "/api/today?x=1"};
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
        expect_denied(others[i], phone_ask(d, "GET", others[i], "", NULL), "\"device\"");
    }
}

static void a_strangers_upload_is_not_read(void **state)
{
    lan_door *d = *state;
    // a whole megabyte is announced and none of it sent: the answer comes all the same
    client_reply r = phone_raw(d, "127.0.0.2",
                               "POST /api/readings HTTP/1.1\r\nHost: 127.0.0.1\r\n"
                               "Content-Type: application/json\r\nContent-Length: 1000000\r\n\r\n");
    expect_denied("upload", r, "\"device\"");
    r = phone_raw(d, "127.0.0.2",
                  "POST /api/pair HTTP/1.1\r\nHost: 127.0.0.1\r\n"
                  "Content-Type: application/json\r\nContent-Length: 4097\r\n\r\n");
    assert_int_equal(r.status, 413);
    client_reply_clear(&r);
}

static void the_pages_themselves_are_open(void **state)
{
    lan_door *d = *state;
    static const char *const paths[] = {"/", "/pair", "/recipes"};
    for (size_t i = 0; i < sizeof paths / sizeof paths[0]; i++) {
        client_reply r = phone_ask(d, "GET", paths[i], "", NULL);
        char csp[512];
        assert_int_equal(r.status, 200);
        assert_non_null(strstr(r.body, "first page"));
        client_header(&r, "Content-Security-Policy", csp, sizeof csp);
        assert_non_null(strstr(csp, "default-src 'none'; script-src 'self'"));
        assert_null(strstr(csp, "unsafe"));
        client_reply_clear(&r);
    }
}

static void the_computer_needs_no_cookie(void **state)
{
    lan_door *d = *state;
    client_reply r = here_ask(d, "GET", "/api/meta", NULL);
    json_t *o = json_loads(r.body, 0, NULL);
    json_t *door = json_object_get(o, "door");
    assert_int_equal(r.status, 200);
    assert_string_equal(json_string_value(json_object_get(door, "who")), "here");
    assert_true(json_is_true(json_object_get(door, "lan")));
    assert_true(json_is_null(json_object_get(door, "device")));
    json_t *phone = json_object_get(o, "phone");
    assert_true(json_array_size(json_object_get(phone, "seen")) > 0);
    assert_true(json_array_size(json_object_get(phone, "without")) > 0);
    json_decref(o);
    client_reply_clear(&r);
    // the computer is the computer only when called by a loopback name: a page of another name that
    // was made to lead here would otherwise ride on its address
    ep_lan lan;
    ep_lan_read(&lan);
    if (lan.n > 0) {
        char raw[160];
        snprintf(raw, sizeof raw, "GET /api/meta HTTP/1.1\r\nHost: %s:%d\r\n\r\n",
                 lan.address[0].text, d->port);
        expect_denied("own address", phone_raw(d, "127.0.0.1", raw), "\"device\"");
    }
}

// --- pairing ---

static void a_phone_gets_in(void **state)
{
    lan_door *d = *state;
    char cookie[160], v[256];
    client_reply r = here_ask(d, "POST", "/api/devices/invite", "{\"role\":\"bench\"}");
    json_t *invite = json_loads(r.body, 0, NULL);
    assert_int_equal(r.status, 200);
    client_reply_clear(&r);

    json_t *asked = phone_asks_in(d, "127.0.0.2", lan_text(invite, "code"), "bench phone");
    r = phone_wait(d, lan_text(asked, "ticket"));
    assert_int_equal(r.status, 200);
    assert_string_equal(client_header(&r, "Set-Cookie", v, sizeof v), "");
    client_reply_clear(&r);

    assert_int_equal(here_confirm(d, lan_text(asked, "id"), lan_text(asked, "number")), 200);
    r = phone_wait(d, lan_text(asked, "ticket"));
    client_header(&r, "Set-Cookie", v, sizeof v);
    assert_int_equal(r.status, 200);
    // the cookie is in the header alone, and no script can read it
    assert_null(strstr(r.body, "token"));
    char name[40];
    snprintf(name, sizeof name, "evenpool_device_%d=", d->port);
    assert_int_equal(strncmp(v, name, strlen(name)), 0);
    assert_int_equal(strspn(v + strlen(name), "0123456789abcdef"), 64);
    assert_non_null(strstr(v, "; HttpOnly"));
    assert_non_null(strstr(v, "; SameSite=Strict"));
    assert_non_null(strstr(v, "; Path=/"));
    assert_null(strstr(v, "Domain"));
    assert_null(strstr(v, "Secure"));  // plain http would never send it back
    client_reply_clear(&r);

    snprintf(cookie, sizeof cookie, "Cookie: a=b; %.*s; c=d\r\n", (int)strcspn(v, ";"), v);
    r = phone_ask(d, "GET", "/api/meta", cookie, NULL);
    json_t *o = json_loads(r.body, 0, NULL);
    json_t *door = json_object_get(o, "door");
    assert_int_equal(r.status, 200);
    assert_string_equal(lan_text(door, "who"), "bench");
    assert_string_equal(lan_text(json_object_get(door, "device"), "name"), "bench phone");
    json_decref(o);
    client_reply_clear(&r);
    // another port's cookie of this host is not ours
    snprintf(cookie, sizeof cookie, "Cookie: evenpool_device_1=%.64s\r\n", v + strlen(name));
    expect_denied("other port", phone_ask(d, "GET", "/api/meta", cookie, NULL), "\"device\"");
    json_decref(invite);
    json_decref(asked);
}

static void bad_codes_open_nothing(void **state)
{
    lan_door *d = *state;
    char code[40], body[160];
    expect_denied("wrong",
                  phone_ask(d, "POST", "/api/pair", "",
                            "{\"code\":\"00000000000000000000000000000000\","
                            "\"name\":\"guess\"}"),
                  "\"code\"");
    lan_invite(d, "bench", code);
    json_decref(phone_asks_in(d, "127.0.0.2", code, "first"));
    snprintf(body, sizeof body, "{\"code\":\"%s\",\"name\":\"second\"}", code);
    expect_denied("used", phone_ask(d, "POST", "/api/pair", "", body), "\"code\"");
    lan_invite(d, "bench", code);
    d->now += 120 * 1000;
    snprintf(body, sizeof body, "{\"code\":\"%s\",\"name\":\"late\"}", code);
    expect_denied("expired", phone_ask(d, "POST", "/api/pair", "", body), "\"code\"");
    client_reply r = phone_ask(d, "POST", "/api/pair", "", "{\"code\":\"x\"}");
    assert_int_equal(r.status, 400);
    assert_non_null(strstr(r.body, "\"name\""));
    client_reply_clear(&r);
}

static void a_wrong_number_lets_nobody_in(void **state)
{
    lan_door *d = *state;
    char code[40], wrong[16], v[256];
    lan_invite(d, "bench", code);
    json_t *asked = phone_asks_in(d, "127.0.0.2", code, "phone");
    snprintf(wrong, sizeof wrong, "%s", lan_text(asked, "number"));
    wrong[5] = wrong[5] == '9' ? '0' : (char)(wrong[5] + 1);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(here_confirm(d, lan_text(asked, "id"), wrong), 403);
    }
    assert_int_equal(here_confirm(d, lan_text(asked, "id"), lan_text(asked, "number")), 409);
    client_reply r = phone_wait(d, lan_text(asked, "ticket"));
    assert_non_null(strstr(r.body, "refused"));
    assert_string_equal(client_header(&r, "Set-Cookie", v, sizeof v), "");
    client_reply_clear(&r);
    json_decref(asked);
}

static void the_phone_cannot_confirm_itself(void **state)
{
    lan_door *d = *state;
    char code[40], path[96], body[64];
    lan_invite(d, "bench", code);
    json_t *asked = phone_asks_in(d, "127.0.0.2", code, "phone");
    snprintf(path, sizeof path, "/api/devices/%s/confirm", lan_text(asked, "id"));
    snprintf(body, sizeof body, "{\"number\":\"%s\"}", lan_text(asked, "number"));
    expect_denied("confirm", phone_ask(d, "POST", path, "", body), "\"device\"");
    // nor may a device that is in already, whatever its role
    lan_pair(d, "all");
    expect_denied("confirm", phone_ask(d, "POST", path, d->cookie, body), "\"role\"");
    json_decref(asked);
}

static void tries_are_limited(void **state)
{
    lan_door *d = *state;
    const char *body = "{\"code\":\"0123\",\"name\":\"guess\"}";
    char v[32];
    for (int address = 2; address <= 5; address++) {
        for (int i = 0; i < 5; i++) {
            client_reply r = from_ask(d, address, "POST", "/api/pair", "", body);
            assert_int_equal(r.status, 403);
            client_reply_clear(&r);
        }
        // the sixth within a minute: of this address, and after twenty of any
        client_reply r = from_ask(d, address, "POST", "/api/pair", "", body);
        assert_int_equal(r.status, 429);
        int wait_s = atoi(client_header(&r, "Retry-After", v, sizeof v));
        assert_true(wait_s >= 1 && wait_s <= 60);
        client_reply_clear(&r);
    }
    client_reply r = from_ask(d, 6, "POST", "/api/pair", "", body);
    assert_int_equal(r.status, 429);
    client_reply_clear(&r);
    // a code that holds does not help then, and is not used up
    char code[40];
    lan_invite(d, "bench", code);
    assert_int_equal(here_status(d, "GET", "/api/today"), 200);
    // asking whether one was let in: sixty a minute
    int last = 0;
    for (int i = 0; i < 61; i++) {
        r = phone_wait(d, "nothing");
        last = r.status;
        assert_int_equal(last, i < 60 ? 403 : 429);
        client_reply_clear(&r);
    }
}

// --- paired ---

static void expect_status(const char *what, client_reply r, int status)
{
    if (r.status != status) {
        fail_msg("%s: %d instead of %d: %s", what, r.status, status, r.body ? r.body : "");
    }
    client_reply_clear(&r);
}

static void the_bench_may_read_and_write_readings(void **state)
{
    lan_door *d = *state;
    lan_pair(d, "bench");
    char code[16];
    lan_lit_candle(d, code);
    char body[128];
    static const char *const reads[] = {"/api/today",    "/api/recipes",     "/api/sessions",
                                        "/api/settings", "/api/limits",      "/api/reading-kinds",
                                        "/api/meta",     "/api/openapi.json"};
    for (size_t i = 0; i < sizeof reads / sizeof reads[0]; i++) {
        expect_status(reads[i], phone_ask(d, "GET", reads[i], d->cookie, NULL), 200);
    }
    snprintf(body, sizeof body, "{\"candle\":\"%s\",\"kind\":\"flame\",\"value\":20}", code);
    expect_status("reading", phone_ask(d, "POST", "/api/readings", d->cookie, body), 200);
    static const char *const writes[] = {
        "/api/settings",        "/api/limits",         "/api/recipes/fig/decide",
        "/api/recipes",         "/api/pours",          "/api/containers",
        "/api/archive",         "/api/devices/invite", "/api/devices/x/confirm",
        "/api/devices/x/revoke"};
    for (size_t i = 0; i < sizeof writes / sizeof writes[0]; i++) {
        expect_denied(writes[i], phone_ask(d, "POST", writes[i], d->cookie, "{}"), "\"role\"");
    }
    expect_denied("list", phone_ask(d, "GET", "/api/devices", d->cookie, NULL), "\"role\"");
    // a request that is allowed but wrong is refused for what is wrong with it
    expect_status("reading", phone_ask(d, "POST", "/api/readings", d->cookie, "{}"), 400);
    expect_status("nothing", phone_ask(d, "GET", "/api/nothing", d->cookie, NULL), 404);
}

static void all_may_do_all_but_let_others_in(void **state)
{
    lan_door *d = *state;
    lan_pair(d, "all");
    expect_status(
        "setting",
        phone_ask(d, "POST", "/api/settings", d->cookie, "{\"key\":\"units\",\"value\":\"us\"}"),
        200);
    expect_status("list", phone_ask(d, "GET", "/api/devices", d->cookie, NULL), 200);
    expect_denied("invite", phone_ask(d, "POST", "/api/devices/invite", d->cookie, "{}"),
                  "\"role\"");
}

static void a_revoked_phone_is_out_at_once(void **state)
{
    lan_door *d = *state;
    char path[96];
    lan_pair(d, "bench");
    expect_status("today", phone_ask(d, "GET", "/api/today", d->cookie, NULL), 200);
    int stream = phone_stream(d, d->cookie);
    assert_true(stream_reads(stream, "event: due"));
    snprintf(path, sizeof path, "/api/devices/%s/revoke", d->device);
    assert_int_equal(here_status(d, "POST", path), 200);
    expect_denied("today", phone_ask(d, "GET", "/api/today", d->cookie, NULL), "\"device\"");
    // and hears nothing more: the stream ends instead of telling of this
    assert_true(stream_ends_without(stream, "event: changed"));
    close(stream);
    expect_denied("events", phone_ask(d, "GET", "/api/events", d->cookie, NULL), "\"device\"");
}

// --- other sites ---

static void foreign_names_are_refused(void **state)
{
    lan_door *d = *state;
    lan_pair(d, "bench");
    static const char *const hosts[] = {
        "evil.example", "192.0.2.254", "127.0.0.2", "phone.local", "127.0.0.1.evil.example", ""};
    for (size_t i = 0; i < sizeof hosts / sizeof hosts[0]; i++) {
        char raw[400];
        snprintf(raw, sizeof raw, "GET /api/today HTTP/1.1\r\nHost: %s\r\n%s\r\n", hosts[i],
                 d->cookie);
        client_reply r = phone_raw(d, "127.0.0.2", raw);
        if (r.status != 403 || !strstr(r.body, "\"host\"")) {
            fail_msg("Host '%s': %d", hosts[i], r.status);
        }
        client_reply_clear(&r);
        r = phone_raw(d, "127.0.0.1", raw);
        assert_int_equal(r.status, 403);
        client_reply_clear(&r);
    }
    // the machine's own name and addresses are answered
    ep_lan lan;
    ep_lan_read(&lan);
    for (int i = 0; i <= lan.n; i++) {
        char raw[400], url[96];
        if (i == lan.n && !lan.name[0]) {
            break;
        }
        snprintf(raw, sizeof raw, "GET /api/today HTTP/1.1\r\nHost: %s\r\n%s\r\n",
                 ep_lan_url(&lan, i, false, d->port, url, sizeof url) + strlen("http://"),
                 d->cookie);
        expect_status(url, phone_raw(d, "127.0.0.2", raw), 200);
    }
}

static void other_sites_cannot_ride_on_the_cookie(void **state)
{
    lan_door *d = *state;
    lan_pair(d, "all");
    const char *body = "{\"key\":\"units\",\"value\":\"us\"}";
    char extra[400];
    static const char *const bad[] = {"Origin: http://evil.example",   "Origin: null",
                                      "Origin: http://127.0.0.1:3000", "Origin: https://127.0.0.1",
                                      "Sec-Fetch-Site: cross-site",    "Sec-Fetch-Site: same-site"};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        snprintf(extra, sizeof extra, "%s%s\r\n", d->cookie, bad[i]);
        expect_status(bad[i], phone_ask(d, "POST", "/api/settings", extra, body), 403);
        expect_status(bad[i], phone_ask(d, "GET", "/api/today", extra, NULL), 403);
    }
    snprintf(extra, sizeof extra, "%sOrigin: http://127.0.0.1\r\n", d->cookie);
    expect_status("own page", phone_ask(d, "POST", "/api/settings", extra, body), 200);
}

// --- what is listened on ---

static void only_with_lan_it_listens_outside(void **state)
{
    lan_door *d = *state;
    ep_lan lan;
    ep_lan_read(&lan);
    char raw[160];
    if (lan.n == 0) {
        skip();
    }
    // a connection to our own outside address comes from that address: a stranger of the network
    snprintf(raw, sizeof raw, "GET /api/today HTTP/1.1\r\nHost: %s:%d\r\n\r\n", lan.address[0].text,
             d->port);
    expect_denied("outside", raw_to(lan.address[0].text, NULL, d->port, raw), "\"device\"");
    lan_restart(d, false);
    snprintf(raw, sizeof raw, "GET /api/today HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n");
    client_reply r = raw_to(lan.address[0].text, NULL, d->port, raw);
    assert_int_equal(r.status, 0);  // nobody listens there
    client_reply_clear(&r);
    r = here_ask(d, "POST", "/api/devices/invite", "{}");
    assert_int_equal(r.status, 200);
    assert_non_null(strstr(r.body, "\"urls\":[]"));
    assert_non_null(strstr(r.body, "--lan"));
    client_reply_clear(&r);
}

// --- what is due ---

static void due_readings_are_told(void **state)
{
    lan_door *d = *state;
    char code[16], want[64], body[128];
    lan_pair(d, "bench");
    lan_lit_candle(d, code);
    int stream = phone_stream(d, d->cookie);
    assert_true(stream_reads(stream, "\"due\":[],\"next_at\":\"2026-12-10T12:05:00.000Z\"}"));
    // nobody wrote anything: the clock alone makes it due, and within seconds
    time_t from = time(NULL);
    d->now += 5 * 60 * 1000;
    snprintf(want, sizeof want, "\"code\":\"%s\",\"minute\":5.0", code);
    assert_true(stream_reads(stream, want));
    assert_true(time(NULL) - from <= 8);
    close(stream);
    // restarted: told anew from the book, at once
    lan_restart(d, true);
    stream = phone_stream(d, d->cookie);
    assert_true(stream_reads(stream, want));
    // read: nothing is due until minute 30
    snprintf(body, sizeof body, "{\"candle\":\"%s\",\"kind\":\"flame\",\"value\":20}", code);
    expect_status("reading", phone_ask(d, "POST", "/api/readings", d->cookie, body), 200);
    assert_true(stream_reads(stream, "\"due\":[],\"next_at\":\"2026-12-10T12:30:00.000Z\"}"));
    // the computer slept through two of them: the later one is due
    d->now += 90 * 60 * 1000;
    snprintf(want, sizeof want, "\"code\":\"%s\",\"minute\":60.0", code);
    assert_true(stream_reads(stream, want));
    close(stream);
}

int main(void)
{
#define T(f) cmocka_unit_test_setup_teardown(f, lan_setup, lan_teardown)
    const struct CMUnitTest tests[] = {
        T(a_stranger_is_refused_on_every_route),
        T(a_strangers_upload_is_not_read),
        T(the_pages_themselves_are_open),
        T(the_computer_needs_no_cookie),
        T(a_phone_gets_in),
        T(bad_codes_open_nothing),
        T(a_wrong_number_lets_nobody_in),
        T(the_phone_cannot_confirm_itself),
        T(tries_are_limited),
        T(the_bench_may_read_and_write_readings),
        T(all_may_do_all_but_let_others_in),
        T(a_revoked_phone_is_out_at_once),
        T(foreign_names_are_refused),
        T(other_sites_cannot_ride_on_the_cookie),
        T(only_with_lan_it_listens_outside),
        T(due_readings_are_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
