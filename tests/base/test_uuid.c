// Ids: layout of RFC 9562, order in time, no repeats; short codes.
#include "base/uuid.h"

#include <ctype.h>
#include <stdlib.h>

#include "check.h"

// RFC 9562 section 5.7: version 7 in the 13th hex digit, variant 8, 9, a or b in the 17th
static void layout(void **state)
{
    (void)state;
    for (int i = 0; i < 1000; i++) {
        ep_uuid id = ep_uuid_make(1764072000000 + i);
        assert_int_equal(strlen(id.text), EP_UUID_LEN);
        assert_true(ep_uuid_valid(id.text));
        assert_true(id.text[14] == '7');
        assert_non_null(strchr("89ab", id.text[19]));
        for (const char *p = id.text; *p; p++) {
            assert_false(isupper((unsigned char)*p));
        }
    }
}

// RFC 9562 appendix A.6: 2022-02-22 14:22:22 GMT-05:00 gives 017F22E2-79B0-7...
static void published_time_part(void **state)
{
    (void)state;
    ep_uuid id = ep_uuid_make(0x017F22E279B0);
    assert_memory_equal(id.text, "017f22e2-79b0-7", 15);
    assert_true(ep_uuid_valid("017F22E2-79B0-7CC3-98C4-DC0C0C07398F"));
}

static void order_follows_time(void **state)
{
    (void)state;
    ep_uuid last = ep_uuid_make(0);
    for (ep_time_ms t = 1; t < 281474976710655; t = t * 3 + 1) {
        ep_uuid id = ep_uuid_make(t);
        assert_true(strcmp(last.text, id.text) < 0);
        last = id;
    }
    // before 1970 there is no order to keep, only a valid id
    assert_memory_equal(ep_uuid_make(-5).text, "00000000-0000-7", 15);
}

static int by_text(const void *a, const void *b)
{
    return strcmp(a, b);
}

// 74 random bits: 20 000 ids of one millisecond repeat with odds of 1e-14
static void no_repeats(void **state)
{
    (void)state;
    enum { N = 20000 };
    ep_uuid *id = calloc(N, sizeof *id);
    assert_non_null(id);
    int ones = 0;
    for (int i = 0; i < N; i++) {
        id[i] = ep_uuid_make(1764072000000);
        ones += (id[i].text[35] >= '8');
    }
    qsort(id, N, sizeof *id, by_text);
    for (int i = 1; i < N; i++) {
        assert_true(strcmp(id[i - 1].text, id[i].text) < 0);
    }
    free(id);
    // half of the last digits are 8 or above ('a'..'f' sort after '8' in ASCII); 7 sd
    check_near(ones / (double)N, 0.5, 7.0 * 0.5 / sqrt((double)N));
}

static void validity(void **state)
{
    (void)state;
    assert_false(ep_uuid_valid(NULL));
    assert_false(ep_uuid_valid(""));
    assert_false(ep_uuid_valid("017f22e2-79b0-7cc3-98c4-dc0c0c07398"));
    assert_false(ep_uuid_valid("017f22e2-79b0-7cc3-98c4-dc0c0c07398ff"));
    assert_false(ep_uuid_valid("017f22e2x79b0-7cc3-98c4-dc0c0c07398f"));
    assert_false(ep_uuid_valid("g17f22e2-79b0-7cc3-98c4-dc0c0c07398f"));
    assert_false(ep_uuid_valid("017f22e2-79b0-7cc3-98c4-dc0c0c07398-"));
}

// every letter of the alphabet, none of the look-alikes 0 O 1 I L U, each as often as the others
static void short_codes(void **state)
{
    (void)state;
    const char *alphabet = "23456789ABCDEFGHJKMNPQRSTVWXYZ";
    int seen[128] = {0};
    enum { CODES = 5000, LONG = 6 };
    for (int i = 0; i < CODES; i++) {
        char code[LONG + 2];
        code[LONG + 1] = '!';
        ep_short_code(code, LONG);
        assert_int_equal(strlen(code), LONG);
        assert_true(code[LONG + 1] == '!');
        for (int k = 0; k < LONG; k++) {
            assert_non_null(strchr(alphabet, code[k]));
            seen[(int)code[k]]++;
        }
    }
    // 1000 expected each, sd 31; 7 sd
    for (const char *p = alphabet; *p; p++) {
        check_near(seen[(int)*p], 1000.0, 7.0 * 31.1);
    }
    char none[1] = {'!'};
    ep_short_code(none, 0);
    assert_true(none[0] == '\0');
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(layout),
        cmocka_unit_test(published_time_part),
        cmocka_unit_test(order_follows_time),
        cmocka_unit_test(no_repeats),
        cmocka_unit_test(validity),
        cmocka_unit_test(short_codes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
