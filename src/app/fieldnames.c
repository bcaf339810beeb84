// A field name nobody knows, and the known ones close to it.
#include <stdio.h>
#include <string.h>

#include "app/app_int.h"
#include "base/text.h"

/// Levenshtein distance, for "did you mean"; names are short.
static int distance(const char *a, const char *b)
{
    enum { MAX = 40 };
    int n = (int)strnlen(a, MAX), m = (int)strnlen(b, MAX);
    int row[MAX + 1];
    for (int j = 0; j <= m; j++) {
        row[j] = j;
    }
    for (int i = 1; i <= n; i++) {
        int diagonal = row[0];
        row[0] = i;
        for (int j = 1; j <= m; j++) {
            int above = row[j];
            int best = diagonal + (a[i - 1] != b[j - 1]);
            best = above + 1 < best ? above + 1 : best;
            best = row[j - 1] + 1 < best ? row[j - 1] + 1 : best;
            diagonal = above;
            row[j] = best;
        }
    }
    return row[m];
}

static bool is_close(const char *typed, const char *known)
{
    size_t n = strlen(typed);
    return distance(typed, known) <= (n > 5 ? 3 : 2) || (n >= 3 && strstr(known, typed)) ||
           (strlen(known) >= 4 && strstr(typed, known));
}

ep_status ep_field_unknown(const ep_field *field, int n, const char *prefix, const char *key,
                           ep_err *err)
{
    char name[192], list[256] = "", said[64];
    snprintf(name, sizeof name, "%s%s", prefix, ep_text_excerpt(key, said, sizeof said));
    bool any = false;
    for (int pass = 0; pass < 2 && !any; pass++) {
        size_t len = 0;
        for (int i = 0; i < n; i++) {
            if (pass == 0 && !is_close(key, field[i].name)) {
                continue;
            }
            any = true;
            int more =
                snprintf(list + len, sizeof list - len, "%s%s", len ? ", " : "", field[i].name);
            len += (size_t)more < sizeof list - len ? (size_t)more : sizeof list - len - 1;
        }
    }
    return ep_err_set(err, EP_E_ARG, name, "%s: there is no such field%s%s", name,
                      any ? "; known here: " : "", list);
}
