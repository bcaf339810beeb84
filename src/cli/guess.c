// "Did you mean": the candidate nearest to what was typed.
#include <string.h>
#include <strings.h>

#include "cli/args.h"

#define WORD_MAX 48

static int least(int a, int b, int c)
{
    int m = a < b ? a : b;
    return m < c ? m : c;
}

// optimal string alignment distance (Damerau 1964 with Levenshtein's edits): slips of the finger
// are a letter too many, too few, wrong, or two swapped
static int distance(const char *a, const char *b)
{
    int n = (int)strnlen(a, WORD_MAX);
    int m = (int)strnlen(b, WORD_MAX);
    int row[3][WORD_MAX + 1];
    int *before = row[0];
    int *last = row[1];
    int *now = row[2];
    for (int j = 0; j <= m; j++) {
        last[j] = j;
        before[j] = j;
    }
    for (int i = 1; i <= n; i++) {
        now[0] = i;
        for (int j = 1; j <= m; j++) {
            int cost = a[i - 1] != b[j - 1];
            now[j] = least(last[j] + 1, now[j - 1] + 1, last[j - 1] + cost);
            bool swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
            if (swapped && before[j - 2] + 1 < now[j]) {
                now[j] = before[j - 2] + 1;
            }
        }
        int *spare = before;
        before = last;
        last = now;
        now = spare;
    }
    return last[m];
}

const char *ep_args_guess(const char *typed, const char *const *candidates, int n)
{
    size_t len = strlen(typed);
    const char *best = NULL;
    int best_distance = (int)(len / 3) + 1;
    for (int i = 0; i < n; i++) {
        int d = distance(typed, candidates[i]);
        // the beginning of a longer word is what people type when they are in a hurry
        if (len >= 3 && strncasecmp(candidates[i], typed, len) == 0) {
            d = 1;
        }
        if (d <= best_distance && (!best || d < best_distance)) {
            best = candidates[i];
            best_distance = d;
        }
    }
    return best;
}
