// Random numbers: known values, uniformity, normal moments, independence of order.
#include "base/rng.h"

#include "check.h"

enum { DRAWS = 1000000 };

// first values of SplitMix64 for seed 1234567, as commonly published for the algorithm (from
// memory)
static void known_sequence(void **state)
{
    (void)state;
    const uint64_t want[] = {6457827717110365317u, 3203168211198807973u, 9817491932198370423u,
                             4593380528125082431u, 16408922859458223821u};
    ep_rng r = ep_rng_make(1234567, 0);
    for (size_t i = 0; i < sizeof want / sizeof want[0]; i++) {
        assert_true(ep_rng_u64(&r) == want[i]);
    }
}

static void same_seed_same_bytes(void **state)
{
    (void)state;
    for (uint64_t stream = 0; stream < 50; stream++) {
        ep_rng a = ep_rng_make(42, stream), b = ep_rng_make(42, stream);
        ep_rng other_stream = ep_rng_make(42, stream + 1), other_seed = ep_rng_make(43, stream);
        for (int i = 0; i < 100; i++) {
            uint64_t v = ep_rng_u64(&a);
            assert_true(v == ep_rng_u64(&b));
            assert_true(v != ep_rng_u64(&other_stream));
            assert_true(v != ep_rng_u64(&other_seed));
        }
    }
}

// value i depends on key and counter alone: jumping gives what walking gives
static void order_does_not_matter(void **state)
{
    (void)state;
    ep_rng walk = ep_rng_make(7, 3);
    double walked[64];
    for (int i = 0; i < 64; i++) {
        walked[i] = ep_rng_normal(&walk);
    }
    for (int i = 63; i >= 0; i--) {
        ep_rng jump = ep_rng_make(7, 3);
        jump.counter = (uint64_t)i;
        assert_true(ep_rng_normal(&jump) == walked[i]);
    }
}

static uint64_t unshift(uint64_t z, int by)
{
    uint64_t x = z;
    for (int i = 0; i < 64; i += by) {
        x = z ^ (x >> by);
    }
    return x;
}

// inverse of an odd number modulo 2^64 by Newton's iteration
static uint64_t inverse(uint64_t odd)
{
    uint64_t x = odd;
    for (int i = 0; i < 6; i++) {
        x *= 2u - odd * x;
    }
    return x;
}

// a generator whose next word is `word`: the mixing run backwards
static ep_rng about_to_give(uint64_t word)
{
    uint64_t z = unshift(word, 31) * inverse(0x94D049BB133111EBu);
    z = unshift(z, 27) * inverse(0xBF58476D1CE4E5B9u);
    return (ep_rng){.key = unshift(z, 30) - 0x9E3779B97F4A7C15u};
}

// the extreme words come once in 2^64 draws, and even they stay inside the open interval
static void ends_of_the_interval(void **state)
{
    (void)state;
    ep_rng top = about_to_give(UINT64_MAX), again = top, bottom = about_to_give(0);
    assert_true(ep_rng_u64(&again) == UINT64_MAX);
    double u = ep_rng_uniform(&top);
    assert_true(u < 1.0 && u > 1.0 - 1e-15);
    u = ep_rng_uniform(&bottom);
    assert_true(u > 0.0 && u < 1e-15);
    top.counter = bottom.counter = 0;
    check_near(ep_rng_normal(&top), -ep_rng_normal(&bottom), 1e-9);
}

// n = 1e6: mean has sd sqrt(1/12n) = 2.9e-4, a bin count of 1000 sd 31.6; bounds at 5 sd.
// chi2 of 1000 bins has mean 999, sd 44.7. Fixed seed: the test is deterministic.
static void uniform(void **state)
{
    (void)state;
    static int bin[1000];
    ep_rng r = ep_rng_make(20261125, 1);
    double sum = 0.0, least = 1.0, most = 0.0, last = 0.5, lag = 0.0;
    for (int i = 0; i < DRAWS; i++) {
        double u = ep_rng_uniform(&r);
        assert_true(u > 0.0 && u < 1.0);
        bin[(int)(u * 1000.0)]++;
        sum += u;
        lag += (u - 0.5) * (last - 0.5);
        last = u;
        least = u < least ? u : least;
        most = u > most ? u : most;
    }
    check_near(sum / DRAWS, 0.5, 5.0 * 2.9e-4);
    check_near(lag / DRAWS * 12.0, 0.0, 5.0e-3);  // correlation of neighbours, sd 1e-3
    double chi2 = 0.0;
    for (int i = 0; i < 1000; i++) {
        chi2 += (bin[i] - 1000.0) * (bin[i] - 1000.0) / 1000.0;
    }
    check_near(chi2, 999.0, 5.0 * 44.7);
    assert_true(least < 2e-5 && most > 1.0 - 2e-5);
}

// n = 1e6: sd of mean 1e-3, of variance sqrt(2/n) = 1.41e-3, of skewness sqrt(6/n) = 2.45e-3,
// of kurtosis sqrt(24/n) = 4.9e-3; bounds at 5 sd
static void normal_moments(void **state)
{
    (void)state;
    ep_rng r = ep_rng_make(20261125, 2);
    double m1 = 0.0, m2 = 0.0, m3 = 0.0, m4 = 0.0;
    int beyond = 0;
    for (int i = 0; i < DRAWS; i++) {
        double z = ep_rng_normal(&r);
        m1 += z;
        m2 += z * z;
        m3 += z * z * z;
        m4 += z * z * z * z;
        beyond += fabs(z) > 1.959963984540054;
    }
    check_near(m1 / DRAWS, 0.0, 5.0e-3);
    check_near(m2 / DRAWS, 1.0, 7.1e-3);
    check_near(m3 / DRAWS, 0.0, 5.0 * 3.9e-3);  // raw third moment: sd sqrt(15/n)
    check_near(m4 / DRAWS, 3.0, 5.0 * 9.8e-3);  // raw fourth moment: sd sqrt(96/n)
    check_near((double)beyond / DRAWS, 0.05, 5.0 * 2.2e-4);
}

// reference: root of the normal integral at 60 digits (computed with the mpmath library)
static void quantiles(void **state)
{
    (void)state;
    const struct {
        double p, z;
    } want[] = {
        {1e-300, -37.047096299361199237},  {1e-100, -21.273453560965324294},
        {1e-20, -9.2623400897984075796},   {1e-9, -5.9978070150076868614},
        {0.0001, -3.7190164854556805523},  {0.02, -2.0537489106318230443},
        {0.02425, -1.9729610513118848376}, {0.025, -1.9599639845400542118},
        {0.1, -1.2815515655446004353},     {0.25, -0.6744897501960817432},
        {0.4, -0.25334710313579974132},    {0.49999, -0.000025066282748960008527},
    };
    for (size_t i = 0; i < sizeof want / sizeof want[0]; i++) {
        check_near(ep_normal_quantile(want[i].p), want[i].z, 1e-13);
        if (want[i].p > 1e-3) {
            // 1 - p is itself rounded by 1e-16, which the slope of the quantile enlarges
            check_near(ep_normal_quantile(1.0 - want[i].p), -want[i].z, 1e-13);
        }
    }
    check_near(ep_normal_quantile(0.5), 0.0, 1e-16);
}

// NIST/SEMATECH e-Handbook of Statistical Methods 1.3.6.7.1, area 0 to z, five digits
static void cumulative(void **state)
{
    (void)state;
    check_near(ep_normal_cdf(1.0) - 0.5, 0.34134, 5e-6);
    check_near(ep_normal_cdf(1.96) - 0.5, 0.47500, 5e-6);
    check_near(ep_normal_cdf(3.0) - 0.5, 0.49865, 5e-6);
    check_rel(ep_normal_cdf(-10.0), 7.619853024160526066e-24, 1e-13);  // mpmath, as above
    for (double p = 1e-6; p < 1.0; p += 0.00917) {
        check_near(ep_normal_cdf(ep_normal_quantile(p)), p, 1e-15);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(known_sequence),
        cmocka_unit_test(same_seed_same_bytes),
        cmocka_unit_test(order_does_not_matter),
        cmocka_unit_test(ends_of_the_interval),
        cmocka_unit_test(uniform),
        cmocka_unit_test(normal_moments),
        cmocka_unit_test(quantiles),
        cmocka_unit_test(cumulative),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
