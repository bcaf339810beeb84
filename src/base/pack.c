// Eight bytes a number, lowest first; the hash of them all stands last.
#include "base/pack.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/hash.h"

enum { WORD = 8 };

ep_pack ep_pack_writer(void)
{
    return (ep_pack){0};
}

static bool room(ep_pack *p, size_t n)
{
    if (p->bad || n <= p->cap - p->len) {
        return !p->bad;
    }
    size_t cap = p->cap ? p->cap : 1024;
    while (cap < p->len + n) {
        cap *= 2;
    }
    unsigned char *more = realloc(p->made, cap);
    p->bad = !more;
    p->made = more ? more : p->made;
    p->cap = more ? cap : p->cap;
    return !p->bad;
}

void ep_pack_bytes(ep_pack *p, unsigned char *x, size_t n)
{
    if (p->reading) {
        p->bad = p->bad || n > p->len - p->at;
        if (!p->bad) {
            memcpy(x, p->in + p->at, n);
            p->at += n;
        }
    } else if (room(p, n)) {
        memcpy(p->made + p->len, x, n);
        p->len += n;
    }
}

static void word(ep_pack *p, uint64_t *x)
{
    unsigned char b[WORD];
    for (int i = 0; i < WORD; i++) {
        b[i] = (unsigned char)(*x >> (8 * i));
    }
    ep_pack_bytes(p, b, sizeof b);
    if (p->reading && !p->bad) {
        *x = 0;
        for (int i = 0; i < WORD; i++) {
            *x |= (uint64_t)b[i] << (8 * i);
        }
    }
}

ep_pack ep_pack_reader(const void *bytes, size_t len)
{
    const unsigned char *in = bytes;
    if (len < WORD) {
        return (ep_pack){.reading = true, .bad = true};
    }
    uint64_t seal = 0;
    ep_pack last = {.in = in + len - WORD, .len = WORD, .reading = true};
    word(&last, &seal);
    return (ep_pack){.in = in,
                     .len = len - WORD,
                     .reading = true,
                     .bad = seal != ep_hash_bytes(ep_hash_start(), in, len - WORD)};
}

void ep_pack_real(ep_pack *p, double *x)
{
    uint64_t bits;
    memcpy(&bits, x, sizeof bits);
    word(p, &bits);
    memcpy(x, &bits, sizeof bits);
}

void ep_pack_reals(ep_pack *p, double *x, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        ep_pack_real(p, &x[i]);
    }
}

void ep_pack_int(ep_pack *p, int *x)
{
    uint64_t bits = (uint64_t)(int64_t)*x;
    word(p, &bits);
    *x = (int)(int64_t)bits;
}

bool ep_pack_done(const ep_pack *p)
{
    return !p->bad && (!p->reading || p->at == p->len);
}

ep_status ep_pack_take(ep_pack *p, unsigned char **bytes, size_t *len)
{
    uint64_t seal = ep_hash_bytes(ep_hash_start(), p->made, p->len);
    word(p, &seal);
    if (p->bad) {
        free(p->made);
        *p = (ep_pack){0};
        return EP_E_MEMORY;
    }
    *bytes = p->made;
    *len = p->len;
    *p = (ep_pack){0};
    return EP_OK;
}
