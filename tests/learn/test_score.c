// Scores against closed forms.
#include "base/rng.h"
#include "learn/score.h"

#include "../base/check.h"

static void test_crps_of_a_normal(void **state)
{
    (void)state;
    // Gneiting & Raftery 2007: of N(0, 1) at y: y (2 Phi(y) - 1) + 2 phi(y) - 1/sqrt(pi)
    const double y = 0.7, phi = exp(-0.5 * y * y) / sqrt(2.0 * 3.14159265358979323846);
    double want = y * (2.0 * ep_normal_cdf(y) - 1.0) + 2.0 * phi - 1.0 / sqrt(3.14159265358979);
    static double x[20001];
    for (int i = 0; i < 20001; i++) {
        x[i] = ep_normal_quantile((i + 0.5) / 20001);
    }
    check_near(ep_crps(x, 20001, y), want, 1e-4);
    const double z = 1.6448536269514722;
    check_near(ep_crps_interval(-z, 0.0, z, y), want, 0.01);
    double one[1] = {3.0};
    check_near(ep_crps(one, 1, 5.0), 2.0, 1e-12);
}

static void test_interval_score(void **state)
{
    (void)state;
    check_near(ep_interval_score(2.0, 5.0, 3.0), 3.0, 1e-12);
    check_near(ep_interval_score(2.0, 5.0, 5.5), 3.0 + 20.0 * 0.5, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_crps_of_a_normal),
        cmocka_unit_test(test_interval_score),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
