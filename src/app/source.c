// Citation keys and their sources.
#include "app/source_int.h"

#include <stddef.h>
#include <string.h>

const ep_source *ep_source_find(const char *key)
{
    for (int i = 0; i < ep_n_sources; i++) {
        if (strcmp(ep_sources[i].key, key) == 0) {
            return &ep_sources[i];
        }
    }
    return NULL;
}
