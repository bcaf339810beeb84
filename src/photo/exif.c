// The one thing worth reading in an EXIF block before all of it is thrown away.
#include <string.h>

#include "photo/photo_int.h"

enum { TAG_ORIENTATION = 0x0112, TYPE_SHORT = 3, ENTRY = 12, MOST_ENTRIES = 512 };

typedef struct tiff {
    const unsigned char *at;
    size_t len;
    bool big_end;
} tiff;

static unsigned get16(const tiff *t, size_t at)
{
    unsigned a = t->at[at], b = t->at[at + 1];
    return t->big_end ? a << 8 | b : b << 8 | a;
}

static size_t get32(const tiff *t, size_t at)
{
    size_t a = get16(t, at), b = get16(t, at + 2);
    return t->big_end ? a << 16 | b : b << 16 | a;
}

int ep_exif_orientation(const unsigned char *block, size_t len)
{
    if (len < 6 + 8 || memcmp(block, "Exif\0\0", 6) != 0) {
        return 1;
    }
    tiff t = {.at = block + 6, .len = len - 6, .big_end = block[6] == 'M'};
    size_t ifd = get32(&t, 4);
    if (get16(&t, 2) != 42 || ifd > t.len || t.len - ifd < 2) {
        return 1;
    }
    unsigned n = get16(&t, ifd);
    for (unsigned i = 0; i < n && i < MOST_ENTRIES; i++) {
        size_t entry = ifd + 2 + (size_t)i * ENTRY;
        if (entry > t.len || t.len - entry < ENTRY) {
            return 1;
        }
        if (get16(&t, entry) == TAG_ORIENTATION && get16(&t, entry + 2) == TYPE_SHORT) {
            unsigned value = get16(&t, entry + 8);
            return value >= 1 && value <= 8 ? (int)value : 1;
        }
    }
    return 1;
}
