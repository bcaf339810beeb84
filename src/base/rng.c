// Counter-based random numbers: the n-th value is a hash of key and n, so any order gives the same.
#include "base/rng.h"

#include <assert.h>
#include <math.h>

static const uint64_t gamma64 = 0x9E3779B97F4A7C15u;

// SplitMix64 finaliser (Steele, Lea, Flood 2014, variant 13 of Stafford)
static uint64_t mix64(uint64_t z)
{
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

ep_rng ep_rng_make(uint64_t seed, uint64_t stream)
{
    // stream 0 keeps the plain SplitMix64 sequence of the seed; others are scattered far from it
    uint64_t key = stream == 0 ? seed : mix64(seed + gamma64) ^ mix64(stream * gamma64);
    return (ep_rng){.key = key, .counter = 0};
}

uint64_t ep_rng_u64(ep_rng *r)
{
    r->counter++;
    return mix64(r->key + r->counter * gamma64);
}

double ep_rng_uniform(ep_rng *r)
{
    // 52 bits and a half: with 53 the largest value would round to 1
    return ((double)(ep_rng_u64(r) >> 12) + 0.5) * 0x1p-52;
}

double ep_rng_normal(ep_rng *r)
{
    return ep_normal_quantile(ep_rng_uniform(r));
}

double ep_normal_cdf(double z)
{
    return 0.5 * erfc(-z * 0.70710678118654752440);
}

// Acklam's rational start for p <= 0.5, relative error 1.15e-9
static double quantile_start(double p)
{
    static const double a[6] = {-3.969683028665376e+01, 2.209460984245205e+02,
                                -2.759285104469687e+02, 1.383577518672690e+02,
                                -3.066479806614716e+01, 2.506628277459239e+00};
    static const double b[5] = {-5.447609879822406e+01, 1.615858368580409e+02,
                                -1.556989798598866e+02, 6.680131188771972e+01,
                                -1.328068155288572e+01};
    static const double c[6] = {-7.784894002430293e-03, -3.223964580411365e-01,
                                -2.400758277161838e+00, -2.549732539343734e+00,
                                4.374664141464968e+00,  2.938163982698783e+00};
    static const double d[4] = {7.784695709041462e-03, 3.224671290700398e-01, 2.445134137142996e+00,
                                3.754408661907416e+00};
    if (p < 0.02425) {
        double q = sqrt(-2.0 * log(p));
        return (((((c[0] * q + c[1]) * q + c[2]) * q + c[3]) * q + c[4]) * q + c[5]) /
               ((((d[0] * q + d[1]) * q + d[2]) * q + d[3]) * q + 1.0);
    }
    double q = p - 0.5;
    double r = q * q;
    return (((((a[0] * r + a[1]) * r + a[2]) * r + a[3]) * r + a[4]) * r + a[5]) * q /
           (((((b[0] * r + b[1]) * r + b[2]) * r + b[3]) * r + b[4]) * r + 1.0);
}

double ep_normal_quantile(double p)
{
    assert(p > 0.0 && p < 1.0);
    // the lower tail keeps its relative precision; the upper is its mirror (1 - p is exact there)
    if (p > 0.5) {
        return -ep_normal_quantile(1.0 - p);
    }
    double x = quantile_start(p);
    double e = ep_normal_cdf(x) - p;
    double u = e * 2.50662827463100050242 * exp(0.5 * x * x);
    return x - u / (1.0 + 0.5 * x * u);
}
