// The benchmark of rounds (bench/rounds) at reduced size: invented makers of one shelf, whose
// candles do not burn by the engine, search for a wick the program's way and by two habits. A few
// makers say little about a mean, so what is held is coarse: no wrong wick approved, as many right
// as the habits find, fewer candles than three sizes at once, and less than half as many days again
// as a step at a time. docs/learning.md has the table of 600 makers.
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "mind.h"
#include "plan/next.h"

#include "../base/check.h"

enum { MAKERS = 10, SHELF = 3 };
typedef enum way { STEPPING, THREE_AT_ONCE, PROGRAM, WAYS } way;

typedef struct tally {
    int right, hot, small;
    double candles, days;
} tally;

static void search(const stock *s, uint64_t seed, const world_opts *o, way by, tally *t)
{
    hunt h;
    hunt_open(&h, seed, o, ep_limits_default());
    if (by == STEPPING) {
        hunt_step(&h);
    } else if (by == THREE_AT_ONCE) {
        hunt_three(&h);
    } else {
        mind_hunt(&h, s, NEED, EP_NEXT_DAY_COST);
    }
    if (h.out.approved >= 0) {
        const ep_verdict_kind truth = world_truth(&h.w, h.out.approved);
        t->right += truth == EP_VERDICT_RIGHT;
        t->hot += truth == EP_VERDICT_TOO_BIG;
        t->small += truth == EP_VERDICT_TOO_SMALL;
    }
    t->candles += h.out.candles;
    t->days += h.out.days;
    hunt_close(&h);
}

// a first guess off by 40 %, the row in which a step at a time approves what is too hot
static void test_makers_whose_first_guess_is_off(void **state)
{
    (void)state;
    static const world_opts off = {1.0, 0.045, 0.35, 0.01, 0.3};
    tally t[WAYS] = {{0}};
    stock *s = stock_make(SHELF);
    for (int i = 0; i < MAKERS; i++) {
        const uint64_t seed = 40000u + SHELF + (uint64_t)i * WORLD_SHELVES;
        assert_int_equal(seed % WORLD_SHELVES, SHELF);
        for (int by = 0; by < WAYS; by++) {
            search(s, seed, &off, (way)by, &t[by]);
        }
    }
    stock_destroy(s);
    for (int by = 0; by < WAYS && getenv("EP_SHOW"); by++) {
        printf("way %d: %d right, %d too hot, %d too small of %d; %.1f candles, %.0f days\n", by,
               t[by].right, t[by].hot, t[by].small, MAKERS, t[by].candles / MAKERS,
               t[by].days / MAKERS);
    }
    const tally *p = &t[PROGRAM];
    assert_int_equal(p->hot + p->small, 0);
    assert_true(p->right >= t[STEPPING].right && p->right >= t[THREE_AT_ONCE].right);
    assert_true(p->candles < t[THREE_AT_ONCE].candles);
    assert_true(p->days < 1.5 * t[STEPPING].days);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_makers_whose_first_guess_is_off)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
