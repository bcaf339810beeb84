// Texts: growth, bounded copies, UTF-8 by RFC 3629.
#include "base/text.h"

#include "check.h"

static void grows(void **state)
{
    (void)state;
    ep_text t;
    ep_text_init(&t);
    assert_string_equal(ep_text_str(&t), "");
    for (int i = 0; i < 1000; i++) {
        ep_text_addf(&t, "%d,", i);
    }
    ep_text_add(&t, "end");
    ep_text_add_n(&t, "!!!", 1);
    ep_text_add_n(&t, "", 0);
    assert_true(t.ok);
    assert_int_equal(t.len, 10 * 2 + 90 * 3 + 900 * 4 + 4);
    assert_int_equal(strlen(ep_text_str(&t)), t.len);
    check_has(ep_text_str(&t), "998,999,end!");
    ep_text_clear(&t);
    assert_null(t.data);
    assert_string_equal(ep_text_str(&t), "");
    ep_text_add(&t, "again");
    assert_string_equal(ep_text_str(&t), "again");
    ep_text_clear(&t);
}

static void copies(void **state)
{
    (void)state;
    char buf[5];
    assert_true(ep_copy(buf, sizeof buf, "four"));
    assert_string_equal(buf, "four");
    assert_false(ep_copy(buf, sizeof buf, "fives"));
    assert_string_equal(buf, "five");
    assert_false(ep_copy(buf, sizeof buf, "caf\xC3\xA9"));  // the accent needs two bytes
    assert_string_equal(buf, "caf");
    assert_false(ep_copy(buf, 1, "x"));
    assert_string_equal(buf, "");
    assert_true(ep_copy(buf, 1, ""));
}

static void clean_text(void **state)
{
    (void)state;
    // RFC 3629 section 7: A<NOT IDENTICAL TO><ALPHA>., hangul, kanji, BOM + stump of tree
    const char *good[] = {"",
                          "Kitchen jar, 2nd\tpour\n",
                          "A\xE2\x89\xA2\xCE\x91.",
                          "\xED\x95\x9C\xEA\xB5\xAD\xEC\x96\xB4",
                          "\xE6\x97\xA5\xE6\x9C\xAC\xE8\xAA\x9E",
                          "\xEF\xBB\xBF\xF0\xA3\x8E\xB4",
                          "\xF4\x8F\xBF\xBF"};
    // overlong forms (RFC 3629 section 10), surrogates, past U+10FFFF, cut short, stray bytes,
    // controls: NUL cannot occur, ESC, DEL, CR, C1
    const char *bad[] = {"\xC0\x80",
                         "\xC0\xAF",
                         "\xE0\x80\xAF",
                         "\xF0\x80\x80\xAF",
                         "\xED\xA0\x80",
                         "\xED\xBF\xBF",
                         "\xF4\x90\x80\x80",
                         "\xF5\x80\x80\x80",
                         "\xE2\x89",
                         "\xC3",
                         "\x80",
                         "\xFF",
                         "a\x1B[31m",
                         "\x7F",
                         "a\r\n",
                         "\xC2\x85"};
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        assert_true(ep_text_clean(good[i]));
    }
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        if (ep_text_clean(bad[i])) {
            fail_msg("bad text %zu passed", i);
        }
    }
}

static void excerpts(void **state)
{
    (void)state;
    char buf[11];
    assert_string_equal(ep_text_excerpt("short", buf, sizeof buf), "short");
    assert_string_equal(ep_text_excerpt("1234567890", buf, sizeof buf), "1234567890");
    assert_string_equal(ep_text_excerpt("12345678901", buf, sizeof buf), "1234567...");
    assert_string_equal(ep_text_excerpt("a\nb\x1B\xFF", buf, sizeof buf), "a?b??");
    assert_string_equal(ep_text_excerpt(NULL, buf, sizeof buf), "");
    // never half a character, whatever the length
    const char *cafe = "\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9";
    for (size_t cap = 8; cap <= sizeof buf; cap++) {
        ep_text_excerpt(cafe, buf, cap);
        assert_true(strlen(buf) < cap);
        assert_true(ep_text_clean(buf));
        check_has(buf, "...");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(grows),
        cmocka_unit_test(copies),
        cmocka_unit_test(clean_text),
        cmocka_unit_test(excerpts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
