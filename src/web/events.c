// The hub of the event streams: two counters under a lock, and a condition to wait on.
#include "web/events.h"

#include <errno.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "web/web.h"

struct ep_events {
    pthread_mutex_t lock;
    pthread_cond_t changed;
    uint64_t count;    // writes so far
    const char *name;  // the last one
    uint64_t due_count;
    char *due;  // owned; NULL until it was told
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
    free(e->due);
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

void ep_events_due(ep_events *e, const char *json)
{
    pthread_mutex_lock(&e->lock);
    if (!e->due || strcmp(e->due, json) != 0) {
        char *copy = strdup(json);
        if (copy) {
            free(e->due);
            e->due = copy;
            e->due_count++;
            pthread_cond_broadcast(&e->changed);
        }
    }
    pthread_mutex_unlock(&e->lock);
}

bool ep_events_join(ep_events *e, bool here, ep_events_mark *mark)
{
    int places = here ? EP_WEB_STREAMS_MAX : EP_WEB_STREAMS_MAX - EP_WEB_STREAMS_KEPT;
    pthread_mutex_lock(&e->lock);
    bool ok = !e->quit && e->streams < places;
    e->streams += ok;
    *mark = (ep_events_mark){.change = e->count};
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

static struct timespec in_seconds(int seconds)
{
    struct timespec until;
    clock_gettime(CLOCK_MONOTONIC, &until);
    until.tv_sec += seconds;
    return until;
}

static void add_news(ep_events *e, ep_events_mark *mark, ep_text *out)
{
    if (e->count != mark->change) {
        // changes that came together are told as one: the page reads everything anew anyway
        mark->change = e->count;
        ep_text_addf(out, "id: %llu\nevent: changed\ndata: {\"case\":\"%s\"}\n\n",
                     (unsigned long long)e->count, e->name);
    }
    if (e->due_count != mark->due) {
        mark->due = e->due_count;
        ep_text_add(out, "event: due\ndata: ");
        ep_text_add(out, e->due);
        ep_text_add(out, "\n\n");
    }
}

bool ep_events_next(ep_events *e, ep_events_mark *mark, int seconds, ep_text *out)
{
    struct timespec until = in_seconds(seconds);
    pthread_mutex_lock(&e->lock);
    int waited = 0;
    while (!e->quit && e->count == mark->change && e->due_count == mark->due &&
           waited != ETIMEDOUT) {
        waited = pthread_cond_timedwait(&e->changed, &e->lock, &until);
    }
    bool on = !e->quit;
    if (on && (e->count != mark->change || e->due_count != mark->due)) {
        add_news(e, mark, out);
    } else if (on) {
        ep_text_add(out, ": still here\n\n");
    }
    pthread_mutex_unlock(&e->lock);
    return on && out->ok;
}

bool ep_events_wait(ep_events *e, uint64_t *change, int seconds)
{
    struct timespec until = in_seconds(seconds);
    pthread_mutex_lock(&e->lock);
    int waited = 0;
    while (!e->quit && e->count == *change && waited != ETIMEDOUT) {
        waited = pthread_cond_timedwait(&e->changed, &e->lock, &until);
    }
    bool on = !e->quit;
    *change = e->count;
    pthread_mutex_unlock(&e->lock);
    return on;
}
