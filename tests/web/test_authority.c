// The workshop's certificate authority and the certificates it signs: dates, names, limits, files.
// What other programs make of them: test_tls.sh; here only curl, for a certificate that is over.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tiny.h"
#include "web/keyfile.h"
#include "web/web.h"

#define IP(a, b, c, d) ((uint32_t)(a) << 24 | (uint32_t)(b) << 16 | (uint32_t)(c) << 8 | (d))
#define DAY            ((ep_time_ms)86400000)

static const ep_time_ms start = 1795694400000;  // 2026-11-26T12:00Z
static const ep_lan home = {.n = 2,
                            .address = {{IP(192, 168, 1, 5), 0xffffff00u, "192.168.1.5", "wlan0"},
                                        {IP(203, 0, 113, 4), 0xffffff00u, "203.0.113.4", "eth0"}},
                            .name = "bench.local"};
static char dir[64], path[96];

static int setup(void **state)
{
    (void)state;
    snprintf(dir, sizeof dir, "/tmp/ep-authority-XXXXXX");
    if (!mkdtemp(dir)) {
        return -1;
    }
    snprintf(path, sizeof path, "%s/w.authority.pem", dir);
    return 0;
}

static int teardown(void **state)
{
    (void)state;
    char command[96];
    snprintf(command, sizeof command, "rm -r '%s'", dir);
    return system(command);
}

static ep_authority *open_at(ep_time_ms now, bool made_now)
{
    ep_authority *a = NULL;
    ep_err err = {0};
    bool made = false;
    if (ep_authority_open(path, &home, now, &a, &made, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    assert_int_equal(made, made_now);
    return a;
}

static ep_leaf issue(const ep_authority *a, const ep_lan *lan, ep_time_ms now)
{
    ep_leaf leaf = {0};
    ep_err err = {0};
    if (ep_authority_issue(a, lan, now, &leaf, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    return leaf;
}

static void made_once(void **state)
{
    (void)state;
    unsigned char before[EP_AUTHORITY_SECRET], after[EP_AUTHORITY_SECRET];
    char number[EP_FINGERPRINT_LEN + 1];
    ep_authority *a = open_at(start, true);
    snprintf(number, sizeof number, "%s", ep_authority_fingerprint(a));
    ep_authority_secret(a, before);
    assert_string_equal(ep_authority_name(a), "Evenpool on bench (2026-11-26)");
    ep_authority_close(a);
    struct stat st;
    assert_int_equal(stat(path, &st), 0);
    assert_int_equal(st.st_mode & 07777, 0600);
    a = open_at(start + 40 * DAY, false);
    assert_string_equal(ep_authority_fingerprint(a), number);
    ep_authority_secret(a, after);
    assert_memory_equal(before, after, sizeof before);
    ep_authority_close(a);
    // a file that is there is never written over
    ep_err err = {0};
    assert_int_equal(ep_keyfile_make(path, "x", 1, &err), EP_E_CONFLICT);
    a = open_at(start, false);
    assert_string_equal(ep_authority_fingerprint(a), number);
    ep_authority_close(a);
}

// the most a common name may have is 64 characters (RFC 5280 A.1, ub-common-name)
static void a_long_host_name_still_fits(void **state)
{
    (void)state;
    ep_lan lan = {0};
    ep_authority *a = NULL;
    ep_err err = {0};
    bool made = false;
    memset(lan.name, 'n', 63);
    strcat(lan.name, ".local");
    assert_int_equal(ep_authority_open(path, &lan, start, &a, &made, &err), EP_OK);
    assert_int_equal(strlen(ep_authority_name(a)), 64);
    ep_leaf leaf = issue(a, &lan, start);
    assert_int_equal(leaf.left_out, 0);
    ep_leaf_clear(&leaf);
    ep_authority_close(a);
}

static void a_leaf_holds_a_year_and_a_month(void **state)
{
    (void)state;
    ep_authority *a = open_at(start, true);
    ep_leaf leaf = issue(a, &home, start);
    // 398 days at most (CA/Browser Forum, baseline requirements 6.3.2), both ends counted
    assert_int_equal(leaf.until + 1000 - leaf.from, 397 * DAY);
    assert_true(leaf.from <= start);
    assert_false(ep_leaf_is_stale(&leaf, a, &home, start + 300 * DAY));
    assert_false(ep_leaf_is_stale(&leaf, a, &home, leaf.until - 30 * DAY));
    assert_true(ep_leaf_is_stale(&leaf, a, &home, leaf.until - 30 * DAY + 1));
    assert_true(ep_leaf_is_stale(&leaf, a, &home, leaf.from - 1));
    ep_leaf_clear(&leaf);
    // the last one ends with its authority, and is not made anew for that
    ep_time_ms end = ep_authority_until(a);
    leaf = issue(a, &home, end - 40 * DAY);
    assert_int_equal(leaf.until, end);
    assert_false(ep_leaf_is_stale(&leaf, a, &home, end - DAY));
    ep_leaf_clear(&leaf);
    ep_authority_close(a);
}

static void other_addresses_want_another_leaf(void **state)
{
    (void)state;
    ep_authority *a = open_at(start, true);
    ep_leaf leaf = issue(a, &home, start);
    ep_lan lan = home;
    lan.address[0] = home.address[1];
    lan.address[1] = home.address[0];
    assert_false(ep_leaf_is_stale(&leaf, a, &lan, start));
    lan.n = 1;
    assert_true(ep_leaf_is_stale(&leaf, a, &lan, start));
    lan = home;
    lan.address[0].ip++;
    assert_true(ep_leaf_is_stale(&leaf, a, &lan, start));
    lan = home;
    lan.name[0] = 'w';
    assert_true(ep_leaf_is_stale(&leaf, a, &lan, start));
    ep_leaf_clear(&leaf);
    ep_authority_close(a);
}

static void only_names_within_the_limits(void **state)
{
    (void)state;
    ep_authority *a = open_at(start, true);
    static const struct {
        uint32_t ip;
        const char *name;
        int left_out;
    } rows[] = {
        {IP(10, 255, 0, 1), "bench.local", 0},  {IP(172, 31, 255, 254), "bench.local", 0},
        {IP(172, 32, 0, 1), "bench.local", 1},  {IP(169, 254, 3, 3), "other.local", 0},
        {IP(203, 0, 113, 4), "bench.local", 0},  // the machine had it when the authority was made
        {IP(203, 0, 113, 5), "bench.local", 1}, {IP(192, 168, 200, 1), "bench.example", 1},
        {IP(8, 8, 8, 8), "local.example", 2},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ep_lan lan = {.n = 1, .address = {{rows[i].ip, 0xffffff00u, "", ""}}};
        snprintf(lan.name, sizeof lan.name, "%s", rows[i].name);
        ep_leaf leaf = issue(a, &lan, start);
        if (leaf.left_out != rows[i].left_out) {
            fail_msg("row %zu: %d left out, not %d", i, leaf.left_out, rows[i].left_out);
        }
        ep_leaf_clear(&leaf);
    }
    ep_authority_close(a);
}

static void an_authority_has_its_time(void **state)
{
    (void)state;
    ep_authority *a = open_at(start, true);
    ep_time_ms end = ep_authority_until(a);
    ep_authority_close(a);
    bool made = false;
    ep_err err = {0};
    assert_int_equal(ep_authority_open(path, &home, end + 1000, &a, &made, &err), EP_E_IO);
    assert_non_null(strstr(err.text, "ended on 2036-11-22"));
    err = (ep_err){0};
    assert_int_equal(ep_authority_open(path, &home, start - 2 * DAY, &a, &made, &err), EP_E_IO);
    assert_non_null(strstr(err.text, "clock"));
}

// a program that runs for years reads the file again for each certificate
static void the_file_goes_or_changes_under_way(void **state)
{
    (void)state;
    char aside[128];
    ep_authority *a = open_at(start, true);
    ep_leaf leaf = {0};
    ep_err err = {0};
    snprintf(aside, sizeof aside, "%s.aside", path);
    assert_int_equal(rename(path, aside), 0);
    assert_int_equal(ep_authority_issue(a, &home, start, &leaf, &err), EP_E_IO);
    assert_non_null(strstr(err.text, "is gone"));
    ep_authority_close(open_at(start, true));  // another
    err = (ep_err){0};
    assert_int_equal(ep_authority_issue(a, &home, start, &leaf, &err), EP_E_IO);
    assert_non_null(strstr(err.text, "start it again"));
    assert_null(leaf.cert_pem);
    assert_int_equal(rename(aside, path), 0);
    leaf = issue(a, &home, start);
    ep_leaf_clear(&leaf);
    ep_authority_close(a);
}

static void folders_that_cannot_hold_it(void **state)
{
    (void)state;
    ep_authority *a = NULL;
    bool made = false;
    ep_err err = {0};
    assert_int_equal(ep_authority_open("/tmp", &home, start, &a, &made, &err), EP_E_IO);
    err = (ep_err){0};
    assert_int_equal(
        ep_authority_open("/no/such/folder/w.authority.pem", &home, start, &a, &made, &err),
        EP_E_IO);
    assert_non_null(strstr(err.text, "/no/such/folder"));
    assert_null(a);
}

static ep_time_ms fixed(void *ctx)
{
    return atomic_load((_Atomic ep_time_ms *)ctx);
}

static ep_time_ms now_here(void)
{
    const ep_clock clock = ep_clock_system();
    return ep_clock_now(&clock);
}

static ep_web *open_door(_Atomic ep_time_ms *clock)
{
    ep_web *web = NULL;
    ep_err err = {0};
    int n = 0;
    ep_web_config config = {.lan = true,
                            .tls = true,
                            .authority_path = path,
                            .tls_clock = {fixed, clock},
                            .assets_dir = dir,
                            .cases = tiny_cases(&n)};
    config.n_cases = n;
    if (ep_web_start(&config, &web, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    return web;
}

// exit status of curl that trusts the authority and asks the door by the machine's own name
static int curl_says(const ep_lan *lan, int port)
{
    char command[512];
    snprintf(command, sizeof command,
             "curl -s -S --noproxy '*' --max-time 20 --cacert '%s' --resolve '%s:%d:127.0.0.1' "
             "-o /dev/null 'https://%s:%d/' 2>'%s/said'",
             path, lan->name, port, lan->name, port, dir);
    int status = system(command);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

// 60: "peer certificate cannot be authenticated with given CA certificates"
static void a_certificate_that_is_over_is_refused(void **state)
{
    (void)state;
    ep_lan lan;
    ep_lan_read(&lan);
    if (!lan.name[0]) {
        skip();
    }
    const ep_time_ms now = now_here();
    const ep_time_ms rows[] = {now - 500 * DAY, now};
    static const int wanted[] = {60, 0};
    for (int i = 0; i < 2; i++) {
        _Atomic ep_time_ms clock = rows[i];
        ep_web *web = open_door(&clock);
        assert_int_equal(curl_says(&lan, ep_web_tls_port(web)), wanted[i]);
        ep_web_stop(web);
    }
}

// shown by a door that runs for more than a year: the certificate changes under way
static void renewed_while_the_door_is_open(void **state)
{
    (void)state;
    ep_lan lan;
    ep_lan_read(&lan);
    if (!lan.name[0]) {
        skip();
    }
    const ep_time_ms now = now_here();
    _Atomic ep_time_ms clock = now - 500 * DAY;
    ep_web *web = open_door(&clock);
    assert_int_equal(curl_says(&lan, ep_web_tls_port(web)), 60);
    atomic_store(&clock, now);
    assert_int_equal(curl_says(&lan, ep_web_tls_port(web)), 0);
    ep_web_stop(web);
}

#define T(f) cmocka_unit_test_setup_teardown(f, setup, teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        T(made_once),
        T(a_long_host_name_still_fits),
        T(a_leaf_holds_a_year_and_a_month),
        T(other_addresses_want_another_leaf),
        T(only_names_within_the_limits),
        T(an_authority_has_its_time),
        T(the_file_goes_or_changes_under_way),
        T(folders_that_cannot_hold_it),
        T(a_certificate_that_is_over_is_refused),
        T(renewed_while_the_door_is_open),
    };
    return cmocka_run_group_tests_name("authority", tests, NULL, NULL);
}
