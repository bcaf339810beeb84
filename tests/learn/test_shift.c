// The engine's misfit as drawn before any burn, and as laid over a simulated candle.
#include <math.h>
#include <string.h>

#include "../base/check.h"
#include "learn/shift.h"

enum { MEMBERS = 4000 };

static void test_prior_is_standard_normal_and_the_same_again(void **state)
{
    (void)state;
    double sum = 0.0, square = 0.0, width = 0.0, width2 = 0.0;
    for (int m = 0; m < MEMBERS; m++) {
        const ep_shift s = ep_shift_prior(3, m, 0), again = ep_shift_prior(3, m, 0);
        assert_memory_equal(&s, &again, sizeof s);
        for (int i = 0; i < EP_BIAS_COUNT; i++) {
            sum += s.bias[i];
            square += s.bias[i] * s.bias[i];
        }
        width += log(s.misfit);
        width2 += log(s.misfit) * log(s.misfit);
        check_near(s.size_x, 0.0, 0.0);
    }
    const double n = (double)MEMBERS * EP_BIAS_COUNT;
    check_near(sum / n, 0.0, 4.0 / sqrt(n));
    check_near(square / n, 1.0, 4.0 * sqrt(2.0 / n));
    check_near(width / MEMBERS, 0.0, 4.0 * 0.4 / sqrt(MEMBERS));
    check_near(sqrt(width2 / MEMBERS), 0.4, 0.02);
}

static void test_members_and_seeds_differ(void **state)
{
    (void)state;
    const ep_shift a = ep_shift_prior(3, 0, 0), b = ep_shift_prior(3, 0, 1),
                   c = ep_shift_prior(4, 0, 0);
    assert_true(a.bias[0] != b.bias[0] && a.bias[0] != c.bias[0] && b.bias[0] != c.bias[0]);
}

// pool width: level 4 mm, two hours in and three tenths of the wax gone, where nothing drifts
static void test_shifts_a_pool_by_the_width_documented(void **state)
{
    (void)state;
    const double inner_m = 0.070;
    ep_sample sample = {.minute = 120.0, .lit = true, .session = 1, .left_kg = 0.07};
    ep_session_sum session = {.inner_m = inner_m, .lit_s = 7200.0, .left_frac = 0.4};
    double square = 0.0;
    for (int m = 0; m < MEMBERS; m++) {
        static ep_trace t;
        t.fill_kg = 0.1;
        t.n_samples = t.n_sessions = 1;
        t.sample = &sample;
        sample.reach_frac = 0.5;
        session.reach_end_frac = 0.5;
        t.session[0] = session;
        ep_shift s = ep_shift_prior(5, m, 0);
        s.misfit = 1.0;
        ep_shift_trace(&t, &s, 21.0);
        const double by_mm = 1e3 * inner_m * (t.session[0].reach_end_frac - 0.5);
        square += by_mm * by_mm;
    }
    check_near(sqrt(square / MEMBERS), 4.0, 0.2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_prior_is_standard_normal_and_the_same_again),
        cmocka_unit_test(test_members_and_seeds_differ),
        cmocka_unit_test(test_shifts_a_pool_by_the_width_documented),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
