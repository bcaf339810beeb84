// Request targets: splitting, percent-decoding (RFC 3986 sections 2.1 and 3.3), refusals.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <stdio.h>
#include <string.h>

#include "web/target.h"

static void test_splits_and_decodes(void **state)
{
    (void)state;
    ep_target t;
    ep_err err = {0};
    assert_int_equal(ep_target_parse("/api/things/My%20jar%2F2?kind=wax&note=a+b%26c&&x", &t, &err),
                     EP_OK);
    assert_int_equal(t.n_segments, 3);
    assert_string_equal(t.segment[0], "api");
    assert_string_equal(t.segment[2], "My jar/2");
    assert_int_equal(t.n_pairs, 3);
    assert_string_equal(t.key[0], "kind");
    assert_string_equal(t.value[0], "wax");
    assert_string_equal(t.value[1], "a b&c");
    assert_string_equal(t.key[2], "x");
    assert_string_equal(t.value[2], "");
    ep_target_clear(&t);
}

static void test_plus_is_a_plus_in_a_path(void **state)
{
    (void)state;
    ep_target t;
    ep_err err = {0};
    assert_int_equal(ep_target_parse("/api/things/a+b", &t, &err), EP_OK);
    assert_string_equal(t.segment[2], "a+b");
    ep_target_clear(&t);
}

static void test_slashes(void **state)
{
    (void)state;
    static const struct {
        const char *raw;
        int n;
    } rows[] = {{"/", 1}, {"//", 2}, {"/a/", 2}, {"/a/../b", 3}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ep_target t;
        ep_err err = {0};
        assert_int_equal(ep_target_parse(rows[i].raw, &t, &err), EP_OK);
        assert_int_equal(t.n_segments, rows[i].n);
        ep_target_clear(&t);
    }
}

static void test_refuses(void **state)
{
    (void)state;
    static const char *const bad[] = {
        "/a%",      "/a%2",         "/a%zz",
        "/a%00b",   "/a%0Ab",       "/%c3%28",
        "/%ff",     "/a?x=%",       "/a?x=1&x=2",
        "/a?x=%00", "/a?%78=1&x=2", "/1/2/3/4/5/6/7/8/9/10/11/12/13",
        "/%c0%af",  "/%ed%a0%80",   "/a?x=%f5%80%80%80",
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        ep_target t = {.n_segments = 999};
        ep_err err = {0};
        assert_int_equal(ep_target_parse(bad[i], &t, &err), EP_E_PARSE);
        assert_int_equal(t.n_segments, 999);
        assert_true(err.text[0] != '\0');
    }
    char many[512] = "/a?";
    for (int i = 0; i < EP_TARGET_PAIRS_MAX + 1; i++) {
        char pair[16];
        snprintf(pair, sizeof pair, "k%d=1&", i);
        strcat(many, pair);
    }
    ep_target t;
    ep_err err = {0};
    assert_int_equal(ep_target_parse(many, &t, &err), EP_E_PARSE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_splits_and_decodes),
        cmocka_unit_test(test_plus_is_a_plus_in_a_path),
        cmocka_unit_test(test_slashes),
        cmocka_unit_test(test_refuses),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
