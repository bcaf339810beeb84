// Bump allocator: a list of blocks, newest first; only the newest is filled.
#include "base/arena.h"

#include <assert.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { ALIGN = 64, BLOCK_BYTES = 64 * 1024 };

typedef struct ep_arena_block {
    struct ep_arena_block *next;
    size_t used, cap;  // bytes after the header
} ep_arena_block;

// the header takes one aligned unit, so that the bytes after it are aligned too
static_assert(sizeof(ep_arena_block) <= ALIGN, "arena header fits one aligned unit");

void ep_arena_init(ep_arena *a)
{
    memset(a, 0, sizeof *a);
}

static ep_arena_block *block_new(size_t bytes)
{
    size_t cap = bytes > BLOCK_BYTES ? bytes : BLOCK_BYTES;
    ep_arena_block *b = aligned_alloc(ALIGN, ALIGN + cap);
    if (b) {
        *b = (ep_arena_block){.cap = cap};
    }
    return b;
}

void *ep_arena_alloc(ep_arena *a, size_t n, size_t size)
{
    size_t bytes;
    if (__builtin_mul_overflow(n, size, &bytes) || bytes > SIZE_MAX - 2 * ALIGN) {
        return NULL;
    }
    // an empty request still gets a place of its own, so that NULL only ever means "no memory"
    bytes = bytes == 0 ? ALIGN : (bytes + ALIGN - 1) / ALIGN * ALIGN;
    if (!a->head || a->head->cap - a->head->used < bytes) {
        ep_arena_block *b = block_new(bytes);
        if (!b) {
            return NULL;
        }
        b->next = a->head;
        a->head = b;
    }
    unsigned char *p = (unsigned char *)a->head + ALIGN + a->head->used;
    a->head->used += bytes;
    a->used += bytes;
    if (a->used > a->high_water) {
        a->high_water = a->used;
    }
    return memset(p, 0, bytes);
}

void ep_arena_destroy(ep_arena *a)
{
    while (a->head) {
        ep_arena_block *next = a->head->next;
        free(a->head);
        a->head = next;
    }
    a->used = 0;
}
