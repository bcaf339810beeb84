// The parts of the network door without a socket: addresses, names, rates, cookies, the picture,
// the message of what is due.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tiny.h"
#include "web/due.h"
#include "web/entry.h"
#include "web/guard.h"
#include "web/pair.h"

#define IP(a, b, c, d) ((uint32_t)(a) << 24 | (uint32_t)(b) << 16 | (uint32_t)(c) << 8 | (d))

// 192.0.2.0/24 and 198.51.100.0/24 stand in documents (RFC 5737) for networks like those at home
static const ep_lan lan = {
    .n = 2,
    .address = {{IP(192, 0, 2, 7), 0xffffff00u, "192.0.2.7", "wlan0"},
                {IP(198, 51, 100, 1), 0xffffffc0u, "198.51.100.1", "eth0"}},
    .name = "bench.local",
};

static void only_one_address_is_the_computer(void **state)
{
    (void)state;
    assert_true(ep_lan_is_self(IP(127, 0, 0, 1)));
    assert_false(ep_lan_is_self(IP(127, 0, 0, 2)));
    assert_false(ep_lan_is_self(IP(192, 0, 2, 7)));
    assert_false(ep_lan_is_self(0));
}

static void near_is_what_shares_a_network(void **state)
{
    (void)state;
    assert_true(ep_lan_is_near(&lan, IP(192, 0, 2, 200)));
    assert_true(ep_lan_is_near(&lan, IP(198, 51, 100, 63)));
    assert_true(ep_lan_is_near(&lan, IP(127, 0, 0, 2)));
    assert_false(ep_lan_is_near(&lan, IP(198, 51, 100, 64)));
    assert_false(ep_lan_is_near(&lan, IP(192, 0, 3, 7)));
    assert_false(ep_lan_is_near(&lan, IP(203, 0, 113, 9)));
    assert_false(ep_lan_is_near(&lan, 0));
    // a mask of nothing does not open the door to everybody
    ep_lan wide = {.n = 1, .address = {{IP(192, 0, 2, 7), 0, "192.0.2.7", "tun0"}}};
    assert_false(ep_lan_is_near(&wide, IP(203, 0, 113, 9)));
}

static int host_status(const ep_lan *nets, const char *host)
{
    ep_http_header h = {"Host", host, 4, strlen(host)};
    ep_http_req rq = {.method = "GET", .version = "HTTP/1.1", .target = "/", .header = &h};
    ep_err err = {0};
    rq.n_headers = 1;
    rq.lan = nets;
    return ep_guard_check(&rq, &err);
}

static void own_names_are_answered_with_lan_only(void **state)
{
    (void)state;
    static const char *const own[] = {"192.0.2.7", "192.0.2.7:8377", "198.51.100.1:1",
                                      "bench.local", "Bench.LOCAL:8377"};
    static const char *const other[] = {"192.0.2.70",   "192.0.2.7.evil.example",
                                        "192.0.2.8",    "bench.local.evil",
                                        "bench",        "192.0.2.7:",
                                        "192.0.2.7:x",  "192.0.2.7:123456",
                                        "evil.example", "[192.0.2.7]",
                                        "u@192.0.2.7",  ":8377"};
    for (size_t i = 0; i < sizeof own / sizeof own[0]; i++) {
        assert_int_equal(host_status(&lan, own[i]), 0);
        assert_int_equal(host_status(NULL, own[i]), 403);
    }
    for (size_t i = 0; i < sizeof other / sizeof other[0]; i++) {
        assert_int_equal(host_status(&lan, other[i]), 403);
    }
    assert_int_equal(host_status(&lan, "127.0.0.1:8377"), 0);
    assert_int_equal(host_status(&lan, "[::1]:8377"), 0);
}

static void a_minute_slides(void **state)
{
    (void)state;
    ep_rate r;
    ep_rate_init(&r, 2, 3);
    assert_int_equal(ep_rate_take(&r, 1, 100.0), 0);
    assert_int_equal(ep_rate_take(&r, 1, 110.0), 0);
    assert_int_equal(ep_rate_take(&r, 1, 120.0), 40);  // the first leaves at 160
    assert_int_equal(ep_rate_take(&r, 2, 120.0), 0);
    assert_int_equal(ep_rate_take(&r, 3, 130.0), 30);  // three in all
    assert_int_equal(ep_rate_take(&r, 1, 159.9), 1);
    assert_int_equal(ep_rate_take(&r, 1, 160.0), 0);
    assert_int_equal(ep_rate_take(&r, 1, 160.0), 10);  // those of 110 and 160 count
    ep_rate_clear(&r);
}

static int entry_status(ep_entry *e, uint32_t peer, const char *host, const char *target,
                        char field[64])
{
    ep_http_header h = {"Host", host, 4, strlen(host)};
    ep_http_req rq = {.method = "GET", .version = "HTTP/1.1", .target = target, .header = &h};
    ep_visitor who;
    ep_err err = {0};
    int retry_s = 0;
    rq.n_headers = 1;
    rq.lan = &lan;
    rq.peer_ip = peer;
    int status = ep_entry_check(e, &rq, 0, &who, &retry_s, &err);
    snprintf(field, 64, "%s", err.field);
    return status;
}

static void the_internet_is_not_answered(void **state)
{
    (void)state;
    int n = 0;
    ep_api api = {.cases = tiny_cases(&n), .port = 8377};
    api.n_cases = n;
    static ep_entry e;
    char field[64];
    ep_entry_init(&e, &api);
    // not even the pages
    assert_int_equal(entry_status(&e, IP(203, 0, 113, 9), "192.0.2.7", "/", field), 403);
    assert_string_equal(field, "network");
    assert_int_equal(entry_status(&e, 0, "127.0.0.1", "/", field), 403);
    assert_string_equal(field, "network");
    assert_int_equal(entry_status(&e, IP(192, 0, 2, 9), "192.0.2.7", "/", field), 0);
    assert_int_equal(entry_status(&e, IP(192, 0, 2, 9), "192.0.2.7", "/api/things", field), 403);
    assert_string_equal(field, "device");
    // the computer itself, but called by its name in the network
    assert_int_equal(entry_status(&e, IP(127, 0, 0, 1), "192.0.2.7", "/api/things", field), 403);
    assert_int_equal(entry_status(&e, IP(127, 0, 0, 1), "localhost", "/api/things", field), 0);
    ep_entry_clear(&e);
}

static void cookies_are_found_among_others(void **state)
{
    (void)state;
    static const struct {
        const char *text, *value;
    } rows[] = {
        {"evenpool_device_8377=abc", "abc"},
        {"a=b; evenpool_device_8377=abc; c=d", "abc"},
        {"a=b;evenpool_device_8377=abc", "abc"},
        {"evenpool_device_8377=", ""},
        {"xevenpool_device_8377=abc", NULL},
        {"evenpool_device_83770=abc", NULL},
        {"evenpool_device_8377", NULL},
        {"a=evenpool_device_8377=abc", NULL},
        {"", NULL},
        {"evenpool_device_8377=0123456789012345678901234567890123456789012345678901234567890123456",
         NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ep_http_header h = {"cookie", rows[i].text, 6, strlen(rows[i].text)};
        ep_http_req rq = {.header = &h, .n_headers = 1};
        const ep_api api = {.port = 8377};
        char buf[EP_TOKEN_LEN + 1] = "";
        assert_int_equal(ep_entry_cookie(&api, &rq, buf, sizeof buf), rows[i].value != NULL);
        if (rows[i].value) {
            assert_string_equal(buf, rows[i].value);
        }
    }
}

enum { SIDE_MAX = 80 };

// paints the runs "Mx yh<n>v1h-<n>z" of the dark path; returns the side from the viewBox
static int paint(const char *svg, bool dark[SIDE_MAX][SIDE_MAX])
{
    int side = 0, side2 = 0;
    memset(dark, 0, sizeof(bool[SIDE_MAX][SIDE_MAX]));
    assert_int_equal(sscanf(strstr(svg, "viewBox"), "viewBox=\"0 0 %d %d\"", &side, &side2), 2);
    assert_true(side == side2 && side <= SIDE_MAX);
    const char *p = strstr(svg, "#000");
    for (p = strchr(p, 'M'); p && *p == 'M'; p = strchr(p, 'z') + 1) {
        int x = 0, y = 0, n = 0, back = 0;
        assert_int_equal(sscanf(p, "M%d %dh%dv1h-%dz", &x, &y, &n, &back), 4);
        assert_true(n == back && n > 0 && x >= 0 && x + n <= side && y >= 0 && y < side);
        for (int i = 0; i < n; i++) {
            dark[y][x + i] = true;
        }
    }
    return side;
}

// a finder pattern of 7 x 7: dark ring, light ring, dark square of 3 (ISO/IEC 18004, 6.3.3)
static void expect_finder(bool dark[SIDE_MAX][SIDE_MAX], int x0, int y0)
{
    for (int y = 0; y < 7; y++) {
        for (int x = 0; x < 7; x++) {
            int ring = abs(x - 3) > abs(y - 3) ? abs(x - 3) : abs(y - 3);
            assert_int_equal(dark[y0 + y][x0 + x], ring != 2);
        }
    }
}

/// What ISO/IEC 18004 fixes whatever the text: side 17 + 4 x version, four light modules around,
/// finder patterns in three corners, timing patterns between them, and one module that is always
/// dark. That a phone reads it was tried with zbarimg (docs/decisions/008-phone-door.md).
static void the_picture_is_a_qr_code(void **state)
{
    (void)state;
    static bool dark[SIDE_MAX][SIDE_MAX];
    json_t *svg = ep_pair_qr("http://192.0.2.7:8377/pair#0123456789abcdef0123456789abcdef");
    assert_non_null(svg);
    int side = paint(json_string_value(svg), dark);
    int size = side - 8;
    assert_int_equal((size - 17) % 4, 0);
    assert_true(size >= 21);
    for (int i = 0; i < side; i++) {
        for (int k = 0; k < 4; k++) {
            assert_false(dark[k][i] || dark[side - 1 - k][i] || dark[i][k] ||
                         dark[i][side - 1 - k]);
        }
    }
    expect_finder(dark, 4, 4);
    expect_finder(dark, 4 + size - 7, 4);
    expect_finder(dark, 4, 4 + size - 7);
    for (int i = 8; i < size - 8; i++) {
        assert_int_equal(dark[4 + 6][4 + i], i % 2 == 0);
        assert_int_equal(dark[4 + i][4 + 6], i % 2 == 0);
    }
    assert_true(dark[4 + size - 8][4 + 8]);
    // nothing in it but shapes
    assert_null(strstr(json_string_value(svg), "script"));
    json_decref(svg);
    char longest[400];
    memset(longest, 'a', sizeof longest - 1);
    longest[sizeof longest - 1] = '\0';
    assert_null(ep_pair_qr(longest));
}

static void what_is_due_is_told_short(void **state)
{
    (void)state;
    json_t *today = json_loads(
        "{\"due\":[{\"session_id\":\"s\",\"candle\":\"c\",\"code\":\"K7QF\",\"kinds\":[\"flame\"],"
        "\"minute\":30.0,\"due_at\":\"2026-11-25T12:30:00.000Z\",\"overdue_min\":1.0},"
        "{\"code\":\"M2XA\",\"due_at\":\"2026-11-25T13:00:00.000Z\"},"
        "{\"code\":\"P4RT\",\"due_at\":\"2026-11-25T12:40:00.000Z\"}]}",
        0, NULL);
    ep_time_ms now = 0, next = 0;
    ep_err err = {0};
    ep_time_parse("2026-11-25T12:30", "now", &now, &err);
    char *text = ep_due_message(today, now, &next);
    assert_string_equal(text, "{\"due\":[{\"session_id\":\"s\",\"candle\":\"c\",\"code\":\"K7QF\","
                              "\"minute\":30.0,\"due_at\":\"2026-11-25T12:30:00.000Z\"}],"
                              "\"next_at\":\"2026-11-25T12:40:00.000Z\"}");
    assert_int_equal(next - now, 10 * 60 * 1000);
    free(text);
    text = ep_due_message(today, now - 1, &next);
    assert_non_null(strstr(text, "\"due\":[],\"next_at\":\"2026-11-25T12:30:00.000Z\""));
    free(text);
    json_decref(today);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(only_one_address_is_the_computer),
        cmocka_unit_test(near_is_what_shares_a_network),
        cmocka_unit_test(own_names_are_answered_with_lan_only),
        cmocka_unit_test(a_minute_slides),
        cmocka_unit_test(the_internet_is_not_answered),
        cmocka_unit_test(cookies_are_found_among_others),
        cmocka_unit_test(the_picture_is_a_qr_code),
        cmocka_unit_test(what_is_due_is_told_short),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
