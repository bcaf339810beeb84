/// FNV-1a, 64 bit (Fowler, Noll, Vo; offset and prime as in draft-eastlake-fnv). It tells whether
/// two things are the same; it is no defence against forgery.
/// Needs: nothing. Allocates: nothing.
#pragma once
#include <stddef.h>
#include <stdint.h>

enum { EP_HASH_CAP = 17 };  ///< room for a hash as text

uint64_t ep_hash_start(void);
uint64_t ep_hash_bytes(uint64_t h, const void *bytes, size_t n);
uint64_t ep_hash_text(uint64_t h, const char *text);  ///< with its end, so that "a","b" is not "ab"
uint64_t ep_hash_real(uint64_t h, double x);          ///< the same on every machine
uint64_t ep_hash_int(uint64_t h, int64_t x);
void ep_hash_write(uint64_t h, char out[EP_HASH_CAP]);  ///< 16 hex digits
