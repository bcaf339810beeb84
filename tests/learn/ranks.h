// Where truths fall among draws, or within a bell, when both come from one model: evenly over ten
// bins. Shared by the simulation-based calibrations.
#pragma once
#include <math.h>

#include "base/rng.h"

enum { RANK_BINS = 10 };

/// How likely bins as uneven as these are, or more so, when truths fall evenly: upper tail of
/// chi-squared with 9 degrees of freedom by Wilson & Hilferty 1931.
static inline double ranks_tail(const int bin[RANK_BINS], int n, double *chi2)
{
    const double even = (double)n / RANK_BINS;
    *chi2 = 0.0;
    for (int k = 0; k < RANK_BINS; k++) {
        *chi2 += (bin[k] - even) * (bin[k] - even) / even;
    }
    const double z = (cbrt(*chi2 / 9.0) - (1.0 - 2.0 / 81.0)) / sqrt(2.0 / 81.0);
    return 1.0 - ep_normal_cdf(z);
}
