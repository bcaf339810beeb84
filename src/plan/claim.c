// The burn time a label may claim: a lower bound that most such candles reach.
#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "plan/plan.h"

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

double ep_claim_confidence(int n, int rank)
{
    // 1 - P(fewer than `rank` of n fall into the lowest twentieth), term after term
    double term = pow(1.0 - EP_CLAIM_MISS, n), below = 0.0;
    for (int k = 0; k < rank; k++) {
        below += term;
        term *= (double)(n - k) / (k + 1) * EP_CLAIM_MISS / (1.0 - EP_CLAIM_MISS);
    }
    return 1.0 - below;
}

ep_claim ep_claim_of(double *burn_s, int n)
{
    assert(n >= 1);
    qsort(burn_s, (size_t)n, sizeof *burn_s, by_value);
    int rank = 1;
    while (rank < n && ep_claim_confidence(n, rank + 1) >= EP_CLAIM_CONFIDENCE) {
        rank++;
    }
    return (ep_claim){.burn_s = burn_s[rank - 1], .confidence = ep_claim_confidence(n, rank)};
}

double ep_claim_burn_s(const ep_trace *t)
{
    return isnan(t->burn_to_stop_s) ? t->burn_total_s : t->burn_to_stop_s;
}
