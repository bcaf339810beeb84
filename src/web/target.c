// Takes a request target apart. Decoding happens after splitting, so an encoded '/' stays inside
// its segment: "a name/with a slash" is one parameter.
#include "web/target.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"

static int hex(char c)
{
    if (c >= '0' && c <= '9') {
        return c - '0';
    }
    if (c >= 'a' && c <= 'f') {
        return c - 'a' + 10;
    }
    return c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
}

// percent-decode in place; in a query '+' is a blank
static bool decode(char *s, bool query)
{
    char *to = s;
    for (const char *from = s; *from; from++) {
        char c = *from;
        if (c == '+' && query) {
            c = ' ';
        } else if (c == '%') {
            int hi = hex(from[1]);
            int lo = hi < 0 ? -1 : hex(from[2]);
            if (lo < 0 || hi < 2) {
                return false;  // no escape at all, or a control character
            }
            c = (char)(hi * 16 + lo);
            from += 2;
        }
        *to++ = c;
    }
    *to = '\0';
    return ep_text_clean(s);
}

static ep_status bad(ep_err *err, const char *text)
{
    return ep_err_set(err, EP_E_PARSE, "", "%s", text);
}

static ep_status split_path(char *path, ep_target *t, ep_err *err)
{
    char *rest = path + 1;
    while (rest) {
        if (t->n_segments == EP_TARGET_SEGMENTS_MAX) {
            return bad(err, "the address has too many parts");
        }
        char *segment = strsep(&rest, "/");
        if (!decode(segment, false)) {
            return bad(err, "the address is not well-formed");
        }
        t->segment[t->n_segments++] = segment;
    }
    return EP_OK;
}

static ep_status add_pair(char *pair, ep_target *t, ep_err *err)
{
    if (t->n_pairs == EP_TARGET_PAIRS_MAX) {
        return bad(err, "the query has too many fields");
    }
    char *value = strchr(pair, '=');
    if (value) {
        *value++ = '\0';
    } else {
        value = pair + strlen(pair);
    }
    if (!decode(pair, true) || !decode(value, true)) {
        return bad(err, "the query is not well-formed");
    }
    for (int i = 0; i < t->n_pairs; i++) {
        if (strcmp(t->key[i], pair) == 0) {
            return ep_err_set(err, EP_E_PARSE, pair, "%s: given twice in the query", pair);
        }
    }
    t->key[t->n_pairs] = pair;
    t->value[t->n_pairs++] = value;
    return EP_OK;
}

static ep_status split_query(char *query, ep_target *t, ep_err *err)
{
    while (query) {
        char *pair = strsep(&query, "&");
        ep_status s = *pair ? add_pair(pair, t, err) : EP_OK;
        if (s != EP_OK) {
            return s;
        }
    }
    return EP_OK;
}

ep_status ep_target_parse(const char *raw, ep_target *out, ep_err *err)
{
    ep_target t = {.store = strdup(raw)};
    if (!t.store) {
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    char *query = strchr(t.store, '?');
    if (query) {
        *query++ = '\0';
    }
    ep_status s = split_path(t.store, &t, err);
    if (s == EP_OK) {
        s = split_query(query, &t, err);
    }
    if (s != EP_OK) {
        ep_target_clear(&t);
        return s;
    }
    *out = t;
    return EP_OK;
}

void ep_target_clear(ep_target *t)
{
    free(t->store);
    memset(t, 0, sizeof *t);
}
