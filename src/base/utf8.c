// UTF-8 decoding, strict as RFC 3629 section 4 has it.
#include "base/utf8.h"

int ep_utf8_next(const char *s, uint32_t *code)
{
    const unsigned char *u = (const unsigned char *)s;
    static const uint32_t least[5] = {0, 0, 0x80, 0x800, 0x10000};
    int n = 0;
    uint32_t c = u[0];
    if (c == 0) {
        return 0;
    }
    if (c < 0x80) {
        *code = c;
        return 1;
    }
    if (c >= 0xC2 && c < 0xE0) {
        n = 2;
        c &= 0x1F;
    } else if (c >= 0xE0 && c < 0xF0) {
        n = 3;
        c &= 0x0F;
    } else if (c >= 0xF0 && c < 0xF5) {
        n = 4;
        c &= 0x07;
    } else {
        return 0;
    }
    for (int i = 1; i < n; i++) {
        // the terminator is no continuation byte, so this never reads past the end
        if ((u[i] & 0xC0) != 0x80) {
            return 0;
        }
        c = (c << 6) | (uint32_t)(u[i] & 0x3F);
    }
    if (c < least[n] || c > 0x10FFFF || (c >= 0xD800 && c < 0xE000)) {
        return 0;
    }
    *code = c;
    return n;
}
