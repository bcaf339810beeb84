// A sliding minute.
#include "web/rate.h"

#include <assert.h>
#include <math.h>
#include <string.h>

static const double window_s = 60.0;

void ep_rate_init(ep_rate *r, int per_address, int total)
{
    assert(per_address > 0 && total >= per_address && total <= EP_RATE_MAX);
    memset(r, 0, sizeof *r);
    r->per_address = per_address;
    r->total = total;
    pthread_mutex_init(&r->lock, NULL);
}

void ep_rate_clear(ep_rate *r)
{
    pthread_mutex_destroy(&r->lock);
}

static void forget_old(ep_rate *r, double now_s)
{
    int old = 0;
    while (old < r->n && now_s - r->tries[old].at_s >= window_s) {
        old++;
    }
    r->n -= old;
    memmove(r->tries, r->tries + old, (size_t)r->n * sizeof r->tries[0]);
}

int ep_rate_take(ep_rate *r, uint32_t ip, double now_s)
{
    pthread_mutex_lock(&r->lock);
    forget_old(r, now_s);
    int own = 0;
    double oldest_s = r->n > 0 ? r->tries[0].at_s : now_s;
    for (int i = r->n - 1; i >= 0; i--) {
        if (r->tries[i].ip == ip && ++own == r->per_address) {
            oldest_s = r->tries[i].at_s;
        }
    }
    int wait_s = 0;
    if (own >= r->per_address || r->n >= r->total) {
        wait_s = (int)fmax(1.0, ceil(oldest_s + window_s - now_s));
    } else {
        r->tries[r->n].ip = ip;
        r->tries[r->n++].at_s = now_s;
    }
    pthread_mutex_unlock(&r->lock);
    return wait_s;
}
