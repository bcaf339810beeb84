// Byte by byte, lowest first, whatever the machine's own order is.
#include "base/hash.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

uint64_t ep_hash_start(void)
{
    return UINT64_C(14695981039346656037);
}

uint64_t ep_hash_bytes(uint64_t h, const void *bytes, size_t n)
{
    const unsigned char *b = bytes;
    for (size_t i = 0; i < n; i++) {
        h = (h ^ b[i]) * UINT64_C(1099511628211);
    }
    return h;
}

uint64_t ep_hash_text(uint64_t h, const char *text)
{
    return ep_hash_bytes(h, text, strlen(text) + 1);
}

uint64_t ep_hash_int(uint64_t h, int64_t x)
{
    for (int i = 0; i < 8; i++) {
        const unsigned char b = (unsigned char)((uint64_t)x >> (8 * i));
        h = ep_hash_bytes(h, &b, 1);
    }
    return h;
}

uint64_t ep_hash_real(uint64_t h, double x)
{
    int64_t bits;
    memcpy(&bits, &x, sizeof bits);
    return ep_hash_int(h, bits);
}

void ep_hash_write(uint64_t h, char out[EP_HASH_CAP])
{
    snprintf(out, EP_HASH_CAP, "%016" PRIx64, h);
}
