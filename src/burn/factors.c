// Names and owners of the uncertain factors.
#include <assert.h>

#include "burn/burn.h"

static const struct {
    const char *key, *owner, *label;
} ROW[EP_UNC_COUNT_] = {
#define X(id, key, owner, how, lo, hi, label) {key, owner, label},
    EP_FACTOR_PRIORS(X)
#undef X
};

const char *ep_uncertain_key(ep_uncertain u)
{
    assert(u < EP_UNC_COUNT_);
    return ROW[u].key;
}

const char *ep_uncertain_owner(ep_uncertain u)
{
    assert(u < EP_UNC_COUNT_);
    return ROW[u].owner;
}

const char *ep_uncertain_label(ep_uncertain u)
{
    assert(u < EP_UNC_COUNT_);
    return ROW[u].label;
}

ep_factors ep_factors_nominal(void)
{
    ep_factors x;
    for (int u = 0; u < EP_UNC_COUNT_; u++) {
        x.f[u] = u == EP_UNC_MELT_POINT ? 0.0 : 1.0;
    }
    return x;
}
