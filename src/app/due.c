// When readings are due in a session, and which ones are asked for then: early flame, growing pool,
// and at the end everything a verdict rests on. Times are the recipe's own or the workshop's
// setting; the choice of kinds follows common practice (5 and 30 minutes, then every hour), no
// source.
#include <stdlib.h>
#include <string.h>

#include "app/bench_int.h"

// a reading this much before the minute counts for it
static const double early_min = 3.0;

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

int ep_due_minutes(ep_app *app, const char *recipe_id, double planned_h, double minute[EP_MAX_DUE])
{
    char text[256];
    double planned_min = planned_h * 60.0;
    int n = 0;
    ep_app_due_setting(app, recipe_id, text, sizeof text);
    for (char *at = text; *at && n < EP_MAX_DUE - 1;) {
        char *end = at;
        double m = strtod(at, &end);
        // the end of the session stands for what would be due just before it
        if (end != at && m > 0.0 && m < planned_min - 5.0) {
            minute[n++] = m;
        }
        at = end == at ? at + 1 : end;
    }
    minute[n++] = planned_min;
    qsort(minute, (size_t)n, sizeof *minute, by_size);
    return n;
}

int ep_due_minutes_of_all(ep_app *app, const json_t *burns, double planned_h,
                          double minute[EP_MAX_DUE])
{
    int n = 0;
    size_t i;
    json_t *burn;
    json_array_foreach(burns, i, burn)
    {
        double own[EP_MAX_DUE];
        int n_own = ep_due_minutes(app, ep_row_text(burn, "recipe_id"), planned_h, own);
        for (int k = 0; k < n_own && n < EP_MAX_DUE; k++) {
            bool there = false;
            for (int j = 0; j < n; j++) {
                there = there || fabs(minute[j] - own[k]) < 0.5;
            }
            if (!there) {
                minute[n++] = own[k];
            }
        }
    }
    qsort(minute, (size_t)n, sizeof *minute, by_size);
    return n;
}

double ep_due_waiting(const double *minute, int n, double last_read_min, double now_min)
{
    for (int i = 0; i < n; i++) {
        bool read = last_read_min >= minute[i] - early_min;
        // only the latest can still be read; what was missed before it is gone
        bool gone = i + 1 < n && minute[i + 1] <= now_min;
        if (!read && !gone) {
            return minute[i];
        }
    }
    return EP_NOT_KNOWN;
}

// the end asks for all of these; 1e5 minutes is beyond every session
static const struct {
    double from_min, to_min;
    ep_reading_kind kind;
} asked[] = {
    {15.0, 1e5, EP_READ_POOL_WIDE},    {15.0, 1e5, EP_READ_POOL_NARROW},
    {45.0, 1e5, EP_READ_POOL_AT_WALL}, {0.0, 1e5, EP_READ_FLAME},
    {0.0, 15.0, EP_READ_FLICKER},      {0.0, 15.0, EP_READ_SMOKE},
    {45.0, 1e5, EP_READ_WALL_TEMP},    {110.0, 1e5, EP_READ_MUSHROOM},
    {110.0, 1e5, EP_READ_SOOT},        {1e5, 1e5, EP_READ_POOL_DEPTH},
    {1e5, 1e5, EP_READ_HANGUP_THICK},  {1e5, 1e5, EP_READ_HANGUP_SHARE},
};

json_t *ep_due_kinds(double minute, double planned_min)
{
    bool end = minute >= planned_min - 1.0;
    json_t *list = json_array();
    for (int i = 0; i < EP_COUNT_OF(asked); i++) {
        if (end || (minute >= asked[i].from_min && minute < asked[i].to_min)) {
            json_array_append_new(list, json_string(ep_reading_def_of(asked[i].kind)->key));
        }
    }
    return list;
}

json_t *ep_due_span(ep_reading_kind kind)
{
    for (int i = 0; i < EP_COUNT_OF(asked); i++) {
        if (asked[i].kind == kind) {
            return json_pack("{s:f, s:f}", "from_min", asked[i].from_min, "to_min",
                             asked[i].to_min);
        }
    }
    return json_null();
}

double ep_last_read_minute(const json_t *readings, const char *candle_id)
{
    double last = -1.0;
    size_t i;
    json_t *r;
    json_array_foreach(readings, i, r)
    {
        // a mass tells nothing of the pool and the flame
        if (strcmp(ep_row_text(r, "candle_id"), candle_id) == 0 &&
            strcmp(ep_row_text(r, "kind"), ep_reading_def_of(EP_READ_MASS)->key) != 0) {
            last = fmax(last, ep_row_real(r, "minute"));
        }
    }
    return last;
}
