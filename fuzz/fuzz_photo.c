// Fuzz target: reading a photo (without the child, so that faults show). Invariants: what is
// accepted comes out as two JPEG pictures of the promised size; what is refused says why and leaves
// nothing.
#include <assert.h>
#include <stdint.h>

#include "photo/photo_int.h"

static void is_jpeg(const unsigned char *b, size_t n)
{
    assert(n >= 4 && b[0] == 0xFF && b[1] == 0xD8 && b[n - 2] == 0xFF && b[n - 1] == 0xD9);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    ep_photo p;
    ep_err err = {0};
    ep_status status = ep_photo_remake(data, size, &p, &err);
    if (status != EP_OK) {
        assert(err.text[0] && !p.jpeg && !p.small_jpeg);
        return 0;
    }
    assert(p.width >= 1 && p.width <= EP_PHOTO_LONGEST && p.height >= 1 &&
           p.height <= EP_PHOTO_LONGEST);
    assert(p.jpeg_len <= EP_PHOTO_OUT_MAX);
    is_jpeg(p.jpeg, p.jpeg_len);
    is_jpeg(p.small_jpeg, p.small_len);
    ep_photo_clear(&p);
    return 0;
}
