/// Numbers as bytes and back, bit for bit, the same on every machine. One function of the caller
/// walks over its numbers; whether they are written or read is the pack's matter, so that both
/// directions cannot disagree. What was written ends with its hash: changed bytes are refused.
/// Needs: base/status, base/hash. Allocates: the bytes written, owned by the pack until
/// ep_pack_take.
#pragma once
#include <stdbool.h>
#include <stddef.h>

#include "base/status.h"

typedef struct ep_pack {
    unsigned char *made;      ///< owned, writing
    const unsigned char *in;  ///< borrowed, reading
    size_t len, cap, at;
    bool reading;
    bool bad;  ///< no memory, changed bytes, or fewer than asked for; every later step does nothing
} ep_pack;

ep_pack ep_pack_writer(void);
ep_pack ep_pack_reader(const void *bytes, size_t len);  ///< borrowed

void ep_pack_real(ep_pack *p, double *x);
void ep_pack_reals(ep_pack *p, double *x, size_t n);
void ep_pack_int(ep_pack *p, int *x);
void ep_pack_bytes(ep_pack *p, unsigned char *x, size_t n);

/// Has everything gone well, and when reading: was every byte used?
bool ep_pack_done(const ep_pack *p);
/// Hand over what was written (free). EP_E_MEMORY when it could not all be kept.
ep_status ep_pack_take(ep_pack *p, unsigned char **bytes, size_t *len);
