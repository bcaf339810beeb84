// The built-in limits, from data/limits.def.
#include <assert.h>
#include <string.h>

#include "judge/judge.h"

static const ep_limit table[EP_LIMIT_COUNT_] = {
#define LIMIT(id, key, value, unit, min, max, grade, owner, src, text)                             \
    [EP_LIMIT_##id] = {key, value, EP_U_##unit, min, max, grade, owner, src, text},
#include "../../data/limits.def"
#undef LIMIT
};

const ep_limit *ep_limits_default(void)
{
    return table;
}

bool ep_limit_find(const char *key, ep_limit_id *out)
{
    assert(key && out);
    for (int i = 0; i < EP_LIMIT_COUNT_; i++) {
        if (strcmp(table[i].key, key) == 0) {
            *out = (ep_limit_id)i;
            return true;
        }
    }
    return false;
}
