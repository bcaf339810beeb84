// UUID version 7 and short codes. Random bytes come from the kernel, never from a seeded generator:
// two phones must not make the same id.
#include "base/uuid.h"

#include <assert.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/random.h>

static void fill_random(unsigned char *buf, size_t n)
{
    // requests up to 256 bytes are never cut short or interrupted once the kernel pool is ready
    assert(n <= 256);
    if (getrandom(buf, n, 0) != (ssize_t)n) {
        abort();  // no randomness: an id that repeats would overwrite someone's reading
    }
}

ep_uuid ep_uuid_make(ep_time_ms now)
{
    unsigned char b[16];
    fill_random(b, sizeof b);
    uint64_t ms = now < 0 ? 0 : (uint64_t)now;
    for (int i = 0; i < 6; i++) {
        b[i] = (unsigned char)(ms >> (40 - 8 * i));
    }
    b[6] = (unsigned char)(0x70 | (b[6] & 0x0F));  // version 7, RFC 9562 section 5.7
    b[8] = (unsigned char)(0x80 | (b[8] & 0x3F));  // variant 10, section 4.1

    static const char hex[] = "0123456789abcdef";
    ep_uuid id;
    char *p = id.text;
    for (int i = 0; i < 16; i++) {
        if (i == 4 || i == 6 || i == 8 || i == 10) {
            *p++ = '-';
        }
        *p++ = hex[b[i] >> 4];
        *p++ = hex[b[i] & 0x0F];
    }
    *p = '\0';
    return id;
}

static bool is_hex(char c)
{
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f') || (c >= 'A' && c <= 'F');
}

bool ep_uuid_valid(const char *text)
{
    if (!text) {
        return false;
    }
    for (int i = 0; i < EP_UUID_LEN; i++) {
        bool hyphen = i == 8 || i == 13 || i == 18 || i == 23;
        if (hyphen ? text[i] != '-' : !is_hex(text[i])) {
            return false;
        }
    }
    return text[EP_UUID_LEN] == '\0';
}

void ep_short_code(char *buf, int n)
{
    static const char alphabet[] = "23456789ABCDEFGHJKMNPQRSTVWXYZ";
    enum { LETTERS = sizeof alphabet - 1, FAIR = 256 / LETTERS * LETTERS };
    for (int i = 0; i < n;) {
        unsigned char b[32];
        fill_random(b, sizeof b);
        for (size_t k = 0; k < sizeof b && i < n; k++) {
            // bytes past the last whole round would favour the first letters
            if (b[k] < FAIR) {
                buf[i++] = alphabet[b[k] % LETTERS];
            }
        }
    }
    buf[n] = '\0';
}
