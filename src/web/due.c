// From the list of readings that wait to the event "due".
#include "web/due.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "app/devices.h"
#include "base/log.h"

// another program (a command) may write to the book and tells nobody: look again this often
enum { LOOK_AGAIN_S = 15, TICK_S = 1 };

struct ep_due_watch {
    ep_app *app;
    const ep_use_case *today;
    ep_events *events;
    pthread_t thread;
};

static ep_time_ms due_at(const json_t *entry)
{
    ep_time_ms t = 0;
    ep_err err = {0};
    const char *text = json_string_value(json_object_get(entry, "due_at"));
    return text && ep_time_parse(text, "due_at", &t, &err) == EP_OK ? t : 0;
}

static json_t *short_form(const json_t *entry)
{
    static const char *const keys[] = {"session_id", "candle", "code", "minute", "due_at"};
    json_t *o = json_object();
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        json_object_set(o, keys[i], json_object_get(entry, keys[i]));
    }
    return o;
}

char *ep_due_message(const json_t *today, ep_time_ms now, ep_time_ms *next_ms)
{
    char buf[32];
    json_t *list = json_array(), *entry;
    size_t i;
    *next_ms = 0;
    json_array_foreach(json_object_get(today, "due"), i, entry)
    {
        ep_time_ms at = due_at(entry);
        if (at <= now) {
            json_array_append_new(list, short_form(entry));
        } else if (*next_ms == 0 || at < *next_ms) {
            *next_ms = at;
        }
    }
    json_t *next = *next_ms ? json_string(ep_time_format(*next_ms, buf, sizeof buf)) : json_null();
    json_t *message = json_pack("{s:o, s:o}", "due", list, "next_at", next);
    char *text = message ? json_dumps(message, JSON_COMPACT | JSON_REAL_PRECISION(12)) : NULL;
    json_decref(message);
    return text;
}

// tells what is due; the time of the next one, 0 when there is none
static ep_time_ms tell(const ep_due_watch *w)
{
    json_t *in = json_object(), *today = NULL;
    ep_err err = {0};
    ep_time_ms next_ms = 0;
    ep_status s = in ? ep_app_call(w->app, w->today, in, &today, &err) : EP_E_MEMORY;
    json_decref(in);
    if (s == EP_OK) {
        char *text = ep_due_message(today, ep_app_time(w->app), &next_ms);
        if (text) {
            ep_events_due(w->events, text);
        }
        free(text);
    } else {
        ep_log(EP_LOG_WARN, "what is due could not be read: %s", err.text);
    }
    json_decref(today);
    return next_ms;
}

static void *watch(void *ctx)
{
    const ep_due_watch *w = ctx;
    uint64_t change = 0;
    bool on = ep_events_wait(w->events, &change, 0);
    while (on) {
        ep_time_ms next_ms = tell(w);
        // a computer that slept or a clock that runs fast for a trial: the app's clock is asked
        // every second, the book only when it was written, something came due, or now and then
        for (int waited_s = 0; on && waited_s < LOOK_AGAIN_S; waited_s++) {
            uint64_t before = change;
            on = ep_events_wait(w->events, &change, TICK_S);
            if (change != before || (next_ms && ep_app_time(w->app) >= next_ms)) {
                break;
            }
        }
    }
    return NULL;
}

ep_status ep_due_start(ep_app *app, const ep_use_case *cases, int n_cases, ep_events *events,
                       ep_due_watch **out, ep_err *err)
{
    *out = NULL;
    const ep_use_case *today = NULL;
    for (int i = 0; i < n_cases; i++) {
        today = strcmp(cases[i].name, "today") == 0 ? &cases[i] : today;
    }
    if (!today) {
        return EP_OK;
    }
    ep_due_watch *w = calloc(1, sizeof *w);
    if (w) {
        *w = (ep_due_watch){.app = app, .today = today, .events = events};
    }
    if (!w || pthread_create(&w->thread, NULL, watch, w) != 0) {
        free(w);
        return ep_err_set(err, EP_E_MEMORY, "", "no thread to watch what is due");
    }
    *out = w;
    return EP_OK;
}

void ep_due_stop(ep_due_watch *w)
{
    if (w) {
        pthread_join(w->thread, NULL);
        free(w);
    }
}
