// Growing byte string, bounded copy, check of text that people typed.
#include "base/text.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"

void ep_text_init(ep_text *t)
{
    *t = (ep_text){.ok = true};
}

void ep_text_clear(ep_text *t)
{
    free(t->data);
    ep_text_init(t);
}

// room for n more bytes and the terminator
static bool reserve(ep_text *t, size_t n)
{
    if (!t->ok || n > SIZE_MAX / 2 - t->len - 1) {
        t->ok = false;
        return false;
    }
    size_t need = t->len + n + 1;
    if (need <= t->cap) {
        return true;
    }
    size_t cap = t->cap < 64 ? 64 : t->cap;
    while (cap < need) {
        cap *= 2;
    }
    char *data = realloc(t->data, cap);
    if (!data) {
        t->ok = false;
        return false;
    }
    t->data = data;
    t->cap = cap;
    return true;
}

void ep_text_add_n(ep_text *t, const char *s, size_t n)
{
    if (!reserve(t, n)) {
        return;
    }
    if (n > 0) {
        memcpy(t->data + t->len, s, n);
    }
    t->len += n;
    t->data[t->len] = '\0';
}

void ep_text_add(ep_text *t, const char *s)
{
    ep_text_add_n(t, s, strlen(s));
}

void ep_text_addf(ep_text *t, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    va_list again;
    va_copy(again, args);
    int n = vsnprintf(NULL, 0, fmt, args);
    va_end(args);
    if (n < 0) {
        t->ok = false;
    } else if (reserve(t, (size_t)n)) {
        vsnprintf(t->data + t->len, (size_t)n + 1, fmt, again);
        t->len += (size_t)n;
    }
    va_end(again);
}

const char *ep_text_str(const ep_text *t)
{
    return t->data ? t->data : "";
}

bool ep_copy(char *dst, size_t cap, const char *src)
{
    size_t n = strlen(src);
    bool whole = n < cap;
    if (!whole) {
        n = cap - 1;
        // never leave half a character behind
        while (n > 0 && ((unsigned char)src[n] & 0xC0) == 0x80) {
            n--;
        }
    }
    memcpy(dst, src, n);
    dst[n] = '\0';
    return whole;
}

bool ep_text_clean(const char *s)
{
    while (*s) {
        uint32_t c = 0;
        int n = ep_utf8_next(s, &c);
        bool control = (c < 0x20 && c != '\t' && c != '\n') || (c >= 0x7F && c < 0xA0);
        if (n == 0 || control) {
            return false;
        }
        s += n;
    }
    return true;
}

const char *ep_text_excerpt(const char *src, char *dst, size_t cap)
{
    size_t len = 0, cut = 0;  // cut: the last place where "..." still fits behind
    while (src && *src) {
        uint32_t c = 0;
        int n = ep_utf8_next(src, &c);
        bool shown = n > 0 && c >= 0x20 && !(c >= 0x7F && c < 0xA0);
        size_t width = shown ? (size_t)n : 1;
        if (len + width > cap - 1) {
            memcpy(dst + cut, "...", 4);
            return dst;
        }
        if (shown) {
            memcpy(dst + len, src, width);
        } else {
            dst[len] = '?';
        }
        src += n > 0 ? n : 1;
        len += width;
        if (len + 3 <= cap - 1) {
            cut = len;
        }
    }
    dst[len] = '\0';
    return dst;
}
