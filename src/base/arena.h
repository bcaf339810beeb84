/// Bump allocator for one run or one request: allocate freely, reset as a whole.
/// Never call free on a pointer from it. Blocks are 64-byte aligned (vector loads).
#pragma once
#include <stddef.h>

typedef struct ep_arena {
    struct ep_arena_block *head;
    size_t used, high_water;
} ep_arena;

void ep_arena_init(ep_arena *a);
/// Zeroed memory or NULL when the system has none. n * size is checked for overflow.
void *ep_arena_alloc(ep_arena *a, size_t n, size_t size);
void ep_arena_destroy(ep_arena *a);
