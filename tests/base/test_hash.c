// Hashes: the published values of FNV-1a.
#include "base/hash.h"

#include "check.h"

// test vectors of draft-eastlake-fnv (appendix C), 64 bit FNV-1a
static void published_values(void **state)
{
    (void)state;
    assert_true(ep_hash_start() == UINT64_C(0xcbf29ce484222325));
    assert_true(ep_hash_bytes(ep_hash_start(), "a", 1) == UINT64_C(0xaf63dc4c8601ec8c));
    assert_true(ep_hash_bytes(ep_hash_start(), "foobar", 6) == UINT64_C(0x85944171f73967e8));
    char text[EP_HASH_CAP];
    ep_hash_write(UINT64_C(0xaf63dc4c8601ec8c), text);
    assert_string_equal(text, "af63dc4c8601ec8c");
}

static void order_and_bounds_count(void **state)
{
    (void)state;
    const uint64_t h = ep_hash_start();
    assert_true(ep_hash_text(ep_hash_text(h, "a"), "b") !=
                ep_hash_bytes(ep_hash_bytes(h, "ab", 2), "", 1));
    assert_true(ep_hash_real(h, 1.0) != ep_hash_real(h, 1.0 + 1e-16 + 2.3e-16));
    assert_true(ep_hash_int(h, 1) != ep_hash_int(h, -1));
    // eight bytes, lowest first
    assert_true(ep_hash_int(h, 0x61) == ep_hash_bytes(h, "a\0\0\0\0\0\0\0", 8));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_values),
        cmocka_unit_test(order_and_bounds_count),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
