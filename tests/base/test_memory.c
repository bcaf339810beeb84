// Memory: the arena's promises, and what happens when the n-th allocation fails.
// Linked with --wrap so that this program decides when the system is out of memory.
#include <stdbool.h>
#include <stdlib.h>

#include "base/arena.h"
#include "base/text.h"

#include "check.h"

static int left = -1;  // allocations still granted, -1 = all

void *__real_realloc(void *p, size_t n);
void *__wrap_realloc(void *p, size_t n);
void *__real_aligned_alloc(size_t align, size_t n);
void *__wrap_aligned_alloc(size_t align, size_t n);

static bool granted(void)
{
    if (left < 0) {
        return true;
    }
    return left > 0 && left-- > 0;
}

void *__wrap_realloc(void *p, size_t n)
{
    return granted() ? __real_realloc(p, n) : NULL;
}

void *__wrap_aligned_alloc(size_t align, size_t n)
{
    return granted() ? __real_aligned_alloc(align, n) : NULL;
}

static void arena_gives_zeroed_aligned_room(void **state)
{
    (void)state;
    ep_arena a;
    ep_arena_init(&a);
    unsigned char *last = NULL;
    for (size_t n = 0; n < 3000; n += 7) {
        unsigned char *p = ep_arena_alloc(&a, n, 3);
        assert_non_null(p);
        assert_int_equal((uintptr_t)p % 64, 0);
        assert_ptr_not_equal(p, last);
        for (size_t i = 0; i < 3 * n; i++) {
            assert_int_equal(p[i], 0);
        }
        memset(p, 0xAA, 3 * n);  // a neighbour's room would show up as not zero
        last = p;
    }
    double *big = ep_arena_alloc(&a, 1000000, sizeof *big);  // larger than a block
    assert_non_null(big);
    big[999999] = 1.0;
    assert_true(a.used >= 8000000 && a.high_water == a.used);
    size_t most = a.high_water;
    ep_arena_destroy(&a);
    assert_int_equal(a.used, 0);
    assert_int_equal(a.high_water, most);
    assert_non_null(ep_arena_alloc(&a, 1, 1));  // usable again
    ep_arena_destroy(&a);
}

static void arena_refuses_the_impossible(void **state)
{
    (void)state;
    ep_arena a;
    ep_arena_init(&a);
    assert_null(ep_arena_alloc(&a, SIZE_MAX / 2, 3));
    assert_null(ep_arena_alloc(&a, SIZE_MAX, 1));
    assert_null(ep_arena_alloc(&a, SIZE_MAX - 64, 1));
    assert_int_equal(a.used, 0);
    left = 0;
    assert_null(ep_arena_alloc(&a, 1, 1));
    left = -1;
    assert_non_null(ep_arena_alloc(&a, 1, 1));
    ep_arena_destroy(&a);
}

// whatever allocation fails, the text stays a whole string and remembers the failure
static void text_survives_each_failure(void **state)
{
    (void)state;
    bool whole = false;
    for (int n = 0; !whole && n < 50; n++) {
        ep_text t;
        ep_text_init(&t);
        left = n;
        for (int i = 0; i < 300; i++) {
            ep_text_addf(&t, "%03d", i);
        }
        left = -1;
        size_t kept = t.len;
        assert_int_equal(strlen(ep_text_str(&t)), kept);
        assert_int_equal(kept % 3, 0);
        whole = t.ok;
        assert_true(whole == (kept == 900));
        if (!whole) {
            ep_text_add(&t, "more");  // nothing is added after a hole
            assert_int_equal(t.len, kept);
        }
        ep_text_clear(&t);
    }
    assert_true(whole);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(arena_gives_zeroed_aligned_room),
        cmocka_unit_test(arena_refuses_the_impossible),
        cmocka_unit_test(text_survives_each_failure),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
