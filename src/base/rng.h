/// Counter-based random numbers: value number i of stream s under seed k depends on nothing else,
/// so results do not change with thread count or order. SplitMix64 mixing (Steele, Lea, Flood 2014,
/// OOPSLA, doi 10.1145/2660193.2660195); normals by the inverse cdf (Acklam's rational form,
/// from memory, with one Halley step; error below 1e-13, asserted in tests).
#pragma once
#include <stdint.h>

typedef struct ep_rng {
    uint64_t key;
    uint64_t counter;
} ep_rng;

ep_rng ep_rng_make(uint64_t seed, uint64_t stream);
uint64_t ep_rng_u64(ep_rng *r);
double ep_rng_uniform(ep_rng *r);     ///< open interval (0, 1)
double ep_rng_normal(ep_rng *r);      ///< mean 0, sd 1
double ep_normal_quantile(double p);  ///< p in (0,1)
double ep_normal_cdf(double z);
