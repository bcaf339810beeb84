// Limits in time, by a clock that never goes back.
#include "web/watch.h"

#include <pthread.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/socket.h>
#include <time.h>

#include "base/log.h"

static const int64_t never = INT64_MAX;

typedef struct spot {
    int fd;  // -1 = free
    int64_t until_ms;
} spot;

struct ep_watch {
    pthread_mutex_t lock;
    pthread_cond_t changed;
    pthread_t thread;
    bool over;
    int64_t sleeps_until_ms;
    int n;
    spot at[];
};

static int64_t now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

// shuts down what is late; the next moment somebody will be
static int64_t sweep(ep_watch *w, int64_t now)
{
    int64_t next = never;
    for (int i = 0; i < w->n; i++) {
        spot *p = &w->at[i];
        if (p->fd < 0) {
            continue;
        }
        if (p->until_ms <= now) {
            ep_log(EP_LOG_DEBUG, "http: a connection took too long");
            shutdown(p->fd, SHUT_RDWR);
            p->until_ms = never;
        }
        next = p->until_ms < next ? p->until_ms : next;
    }
    return next;
}

static void *keep_watch(void *ctx)
{
    ep_watch *w = ctx;
    pthread_mutex_lock(&w->lock);
    while (!w->over) {
        w->sleeps_until_ms = sweep(w, now_ms());
        if (w->sleeps_until_ms == never) {
            pthread_cond_wait(&w->changed, &w->lock);
        } else {
            const struct timespec t = {.tv_sec = (time_t)(w->sleeps_until_ms / 1000),
                                       .tv_nsec = (long)(w->sleeps_until_ms % 1000) * 1000000};
            pthread_cond_timedwait(&w->changed, &w->lock, &t);
        }
    }
    pthread_mutex_unlock(&w->lock);
    return NULL;
}

ep_status ep_watch_start(int places, ep_watch **out, ep_err *err)
{
    ep_watch *w = calloc(1, sizeof *w + (size_t)places * sizeof w->at[0]);
    if (!w) {
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    w->n = places;
    for (int i = 0; i < places; i++) {
        w->at[i] = (spot){.fd = -1, .until_ms = never};
    }
    pthread_condattr_t attr;
    pthread_condattr_init(&attr);
    pthread_condattr_setclock(&attr, CLOCK_MONOTONIC);
    pthread_mutex_init(&w->lock, NULL);
    pthread_cond_init(&w->changed, &attr);
    pthread_condattr_destroy(&attr);
    if (pthread_create(&w->thread, NULL, keep_watch, w) != 0) {
        pthread_cond_destroy(&w->changed);
        pthread_mutex_destroy(&w->lock);
        free(w);
        return ep_err_set(err, EP_E_IO, "", "the system gave no thread to watch connections");
    }
    *out = w;
    return EP_OK;
}

void ep_watch_stop(ep_watch *w)
{
    if (!w) {
        return;
    }
    pthread_mutex_lock(&w->lock);
    w->over = true;
    pthread_cond_signal(&w->changed);
    pthread_mutex_unlock(&w->lock);
    pthread_join(w->thread, NULL);
    pthread_cond_destroy(&w->changed);
    pthread_mutex_destroy(&w->lock);
    free(w);
}

// with the lock held; the thread is woken only when it would sleep too long
static void set(ep_watch *w, spot *p, int seconds)
{
    p->until_ms = seconds > 0 ? now_ms() + (int64_t)seconds * 1000 : never;
    if (p->until_ms < w->sleeps_until_ms) {
        pthread_cond_signal(&w->changed);
    }
}

int ep_watch_add(ep_watch *w, int fd, int seconds)
{
    int found = -1;
    pthread_mutex_lock(&w->lock);
    for (int i = 0; i < w->n && found < 0; i++) {
        if (w->at[i].fd < 0) {
            w->at[i].fd = fd;
            set(w, &w->at[i], seconds);
            found = i;
        }
    }
    pthread_mutex_unlock(&w->lock);
    return found;
}

void ep_watch_set(ep_watch *w, int place, int seconds)
{
    if (place >= 0) {
        pthread_mutex_lock(&w->lock);
        set(w, &w->at[place], seconds);
        pthread_mutex_unlock(&w->lock);
    }
}

void ep_watch_remove(ep_watch *w, int place)
{
    if (place >= 0) {
        pthread_mutex_lock(&w->lock);
        w->at[place].fd = -1;
        w->at[place].until_ms = never;
        pthread_mutex_unlock(&w->lock);
    }
}
