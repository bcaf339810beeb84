// Proper scores.
#include "learn/score.h"

#include <math.h>
#include <stdlib.h>

#include "base/rng.h"

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

double ep_crps(double *x, int n, double fact)
{
    double miss = 0.0, spread = 0.0;
    qsort(x, (size_t)n, sizeof *x, by_value);
    for (int i = 0; i < n; i++) {
        miss += fabs(x[i] - fact) / n;
        // sum over pairs of a sorted list: each member counts with its rank
        spread += (2.0 * (i + 1) - n - 1.0) * x[i];
    }
    return miss - spread / ((double)n * n);
}

double ep_crps_interval(double p05, double p50, double p95, double fact)
{
    enum { N = 99 };
    double x[N];
    const double z90 = 1.6448536269514722;
    for (int i = 0; i < N; i++) {
        double z = ep_normal_quantile((i + 0.5) / N);
        x[i] = p50 + z / z90 * (z < 0.0 ? p50 - p05 : p95 - p50);
    }
    return ep_crps(x, N, fact);
}

double ep_interval_score(double p05, double p95, double fact)
{
    double miss = fmax(p05 - fact, 0.0) + fmax(fact - p95, 0.0);
    return p95 - p05 + 2.0 / 0.1 * miss;
}
