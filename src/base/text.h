/// A growing byte string for building output. Out of memory is remembered, not fatal:
/// `ok` turns false and later writes do nothing.
#pragma once
#include <stdbool.h>
#include <stddef.h>

typedef struct ep_text {
    char *data;  ///< owned, always terminated once anything was added; NULL when empty
    size_t len, cap;
    bool ok;
} ep_text;

void ep_text_init(ep_text *t);
void ep_text_clear(ep_text *t);  ///< frees
void ep_text_add(ep_text *t, const char *s);
void ep_text_add_n(ep_text *t, const char *s, size_t n);
void ep_text_addf(ep_text *t, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
const char *ep_text_str(const ep_text *t);  ///< never NULL

/// Bounded copy that always terminates; false when the text was cut. dst of cap >= 1.
bool ep_copy(char *dst, size_t cap, const char *src);

/// Is `s` well-formed UTF-8 without control characters other than tab and newline?
bool ep_text_clean(const char *s);

/// A short, printable form of what someone typed, to be quoted in an error: at most cap - 1 bytes,
/// whole characters, anything unprintable as '?', "..." at the end when cut. NULL reads as "".
/// cap >= 8. Returns dst.
const char *ep_text_excerpt(const char *src, char *dst, size_t cap);
