/// How often an address, and all together, may try something within a minute.
/// Needs: nothing. Allocates: nothing. Thread use: any.
#pragma once
#include <pthread.h>
#include <stdint.h>

#define EP_RATE_MAX 300  ///< largest `total`

typedef struct ep_rate {
    int per_address, total;  ///< tries a minute; total <= EP_RATE_MAX
    pthread_mutex_t lock;
    int n;
    struct {
        uint32_t ip;
        double at_s;
    } tries[EP_RATE_MAX];  ///< of the last minute, oldest first
} ep_rate;

void ep_rate_init(ep_rate *r, int per_address, int total);
void ep_rate_clear(ep_rate *r);

/// One more try at `now_s` (any clock that never goes back).
/// @return 0 when it may go on; else the seconds, at least 1, after which to come again. A refused
///         try does not count.
int ep_rate_take(ep_rate *r, uint32_t ip, double now_s);
