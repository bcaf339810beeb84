// The hub of the event streams: a counter under a lock, and a condition to wait on.
#include "web/events.h"

#include <errno.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "web/web.h"

struct ep_events {
    pthread_mutex_t lock;
    pthread_cond_t changed;
    uint64_t count;    // writes so far
    const char *name;  // the last one
    int streams;
    bool quit;
};

ep_events *ep_events_create(void)
{
    ep_events *e = calloc(1, sizeof *e);
    if (!e) {
        return NULL;
    }
    // the monotonic clock: heartbeats must not depend on somebody setting the wall clock
    pthread_condattr_t attr;
    pthread_condattr_init(&attr);
    pthread_condattr_setclock(&attr, CLOCK_MONOTONIC);
    pthread_mutex_init(&e->lock, NULL);
    pthread_cond_init(&e->changed, &attr);
    pthread_condattr_destroy(&attr);
    e->name = "";
    return e;
}

void ep_events_destroy(ep_events *e)
{
    if (!e) {
        return;
    }
    pthread_cond_destroy(&e->changed);
    pthread_mutex_destroy(&e->lock);
    free(e);
}

void ep_events_post(ep_events *e, const char *name)
{
    pthread_mutex_lock(&e->lock);
    e->count++;
    e->name = name;
    pthread_cond_broadcast(&e->changed);
    pthread_mutex_unlock(&e->lock);
}

bool ep_events_join(ep_events *e, uint64_t *seen)
{
    pthread_mutex_lock(&e->lock);
    bool ok = !e->quit && e->streams < EP_WEB_STREAMS_MAX;
    e->streams += ok;
    *seen = e->count;
    pthread_mutex_unlock(&e->lock);
    return ok;
}

void ep_events_leave(ep_events *e)
{
    pthread_mutex_lock(&e->lock);
    e->streams--;
    pthread_mutex_unlock(&e->lock);
}

void ep_events_quit(ep_events *e)
{
    pthread_mutex_lock(&e->lock);
    e->quit = true;
    pthread_cond_broadcast(&e->changed);
    pthread_mutex_unlock(&e->lock);
}

size_t ep_events_next(ep_events *e, uint64_t *seen, int seconds, char *buf, size_t cap)
{
    struct timespec until;
    clock_gettime(CLOCK_MONOTONIC, &until);
    until.tv_sec += seconds;

    int n = 0;
    pthread_mutex_lock(&e->lock);
    int waited = 0;
    while (!e->quit && e->count == *seen && waited != ETIMEDOUT) {
        waited = pthread_cond_timedwait(&e->changed, &e->lock, &until);
    }
    if (!e->quit && e->count != *seen) {
        // changes that came together are told as one: the page reads everything anew anyway
        *seen = e->count;
        n = snprintf(buf, cap, "id: %llu\nevent: changed\ndata: {\"case\":\"%s\"}\n\n",
                     (unsigned long long)e->count, e->name);
    } else if (!e->quit) {
        n = snprintf(buf, cap, ": still here\n\n");
    }
    pthread_mutex_unlock(&e->lock);
    return n > 0 && (size_t)n < cap ? (size_t)n : 0;
}
