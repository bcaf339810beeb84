// Clocks and the text form of a time. Calendar: proleptic Gregorian, UTC, no leap seconds.
#include "base/clock.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "base/text.h"

static const int64_t day_ms = 86400000;

static ep_time_ms wall_now(void *ctx)
{
    (void)ctx;
    struct timespec t;
    clock_gettime(CLOCK_REALTIME, &t);
    return (ep_time_ms)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

static ep_time_ms scaled_now(void *ctx)
{
    const ep_clock_scale *s = ctx;
    double passed_ms = (double)(wall_now(NULL) - s->wall_start_ms);
    return s->start_ms + (ep_time_ms)(passed_ms * s->speed);
}

ep_clock ep_clock_system(void)
{
    return (ep_clock){.now = wall_now, .ctx = NULL};
}

ep_clock ep_clock_scaled(ep_clock_scale *state)
{
    if (state->wall_start_ms == 0) {
        state->wall_start_ms = wall_now(NULL);
    }
    return (ep_clock){.now = scaled_now, .ctx = state};
}

ep_time_ms ep_clock_now(const ep_clock *clock)
{
    return clock->now(clock->ctx);
}

// days since 1970-01-01; years are counted from March so that the leap day comes last
static int64_t days_of(int y, int m, int d)
{
    int64_t year = m <= 2 ? y - 1 : y;
    int64_t era = (year >= 0 ? year : year - 399) / 400;
    int64_t yoe = year - era * 400;
    int64_t doy = (153 * (m + (m > 2 ? -3 : 9)) + 2) / 5 + d - 1;
    int64_t doe = yoe * 365 + yoe / 4 - yoe / 100 + doy;
    return era * 146097 + doe - 719468;
}

static void date_of(int64_t days, int *y, int *m, int *d)
{
    int64_t z = days + 719468;
    int64_t era = (z >= 0 ? z : z - 146096) / 146097;
    int64_t doe = z - era * 146097;
    int64_t yoe = (doe - doe / 1460 + doe / 36524 - doe / 146096) / 365;
    int64_t doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    int64_t mp = (5 * doy + 2) / 153;
    *d = (int)(doy - (153 * mp + 2) / 5 + 1);
    *m = (int)(mp < 10 ? mp + 3 : mp - 9);
    *y = (int)(yoe + era * 400 + (*m <= 2));
}

static int month_days(int y, int m)
{
    static const int days[12] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = (y % 4 == 0 && y % 100 != 0) || y % 400 == 0;
    return days[m - 1] + (m == 2 && leap);
}

const char *ep_time_format(ep_time_ms t, char *buf, size_t cap)
{
    // four-digit years only; anything else is a mistake upstream and is shown at the edge
    const ep_time_ms first = days_of(0, 1, 1) * day_ms;
    const ep_time_ms last = days_of(10000, 1, 1) * day_ms - 1;
    t = t < first ? first : t > last ? last : t;
    int64_t days = t / day_ms - (t % day_ms < 0);
    int ms = (int)(t - days * day_ms);
    int y, m, d;
    date_of(days, &y, &m, &d);
    char text[96];
    snprintf(text, sizeof text, "%04d-%02d-%02dT%02d:%02d:%02d.%03dZ", y, m, d, ms / 3600000,
             ms / 60000 % 60, ms / 1000 % 60, ms % 1000);
    if (cap > 0) {
        ep_copy(buf, cap, text);
    }
    return buf;
}

// exactly n digits; the cursor moves on only when they are there
static bool digits(const char **p, int n, int *out)
{
    int v = 0;
    for (int i = 0; i < n; i++) {
        if ((*p)[i] < '0' || (*p)[i] > '9') {
            return false;
        }
        v = v * 10 + ((*p)[i] - '0');
    }
    *p += n;
    *out = v;
    return true;
}

static bool take(const char **p, char c)
{
    if (**p != c) {
        return false;
    }
    (*p)++;
    return true;
}

typedef struct moment {
    int y, m, d, h, min, s, ms, zone_min;
} moment;

// digits past the millisecond are read and dropped
static bool read_fraction(const char **p, int *ms)
{
    int place = 100;
    if (**p < '0' || **p > '9') {
        return false;
    }
    while (**p >= '0' && **p <= '9') {
        *ms += (**p - '0') * place;
        place /= 10;
        (*p)++;
    }
    return true;
}

static bool read_zone(const char **p, int *zone_min)
{
    if (take(p, 'Z') || take(p, 'z')) {
        return true;
    }
    int sign = **p == '+' ? 1 : **p == '-' ? -1 : 0;
    if (sign == 0) {
        return true;
    }
    (*p)++;
    int h, min;
    if (!digits(p, 2, &h) || !take(p, ':') || !digits(p, 2, &min) || h > 14 || min > 59) {
        return false;
    }
    *zone_min = sign * (h * 60 + min);
    return true;
}

static bool read_moment(const char *p, moment *t)
{
    if (!digits(&p, 4, &t->y) || !take(&p, '-') || !digits(&p, 2, &t->m) || !take(&p, '-') ||
        !digits(&p, 2, &t->d)) {
        return false;
    }
    if (*p == '\0') {
        return true;
    }
    if (!take(&p, 'T') && !take(&p, 't') && !take(&p, ' ')) {
        return false;
    }
    if (!digits(&p, 2, &t->h) || !take(&p, ':') || !digits(&p, 2, &t->min)) {
        return false;
    }
    if (take(&p, ':')) {
        if (!digits(&p, 2, &t->s) || (take(&p, '.') && !read_fraction(&p, &t->ms))) {
            return false;
        }
    }
    return read_zone(&p, &t->zone_min) && *p == '\0';
}

// the first part that no calendar or clock has, with its limits; NULL when all is well
static const char *bad_part(const moment *t, int *value, int *lo, int *hi)
{
    const struct {
        const char *name;
        int value, lo, hi;
    } part[] = {
        {"month", t->m, 1, 12},
        {"day", t->d, 1, t->m >= 1 && t->m <= 12 ? month_days(t->y, t->m) : 31},
        {"hour", t->h, 0, 23},
        {"minute", t->min, 0, 59},
        {"second", t->s, 0, 59},
    };
    for (size_t i = 0; i < sizeof part / sizeof part[0]; i++) {
        if (part[i].value < part[i].lo || part[i].value > part[i].hi) {
            *value = part[i].value;
            *lo = part[i].lo;
            *hi = part[i].hi;
            return part[i].name;
        }
    }
    return NULL;
}

ep_status ep_time_parse(const char *text, const char *field, ep_time_ms *out, ep_err *err)
{
    moment t = {0};
    char shown[41];
    ep_text_excerpt(text, shown, sizeof shown);
    if (!text || !read_moment(text, &t)) {
        return ep_err_set(err, EP_E_PARSE, field,
                          "%s: \"%s\" is no date; write 2026-11-25 or 2026-11-25T14:30, with Z or "
                          "+02:00 after it when the zone is known",
                          field, shown);
    }
    int value, lo, hi;
    const char *bad = bad_part(&t, &value, &lo, &hi);
    if (bad) {
        return ep_err_set(err, EP_E_PARSE, field, "%s: \"%s\" has %s %d, allowed %d to %d", field,
                          shown, bad, value, lo, hi);
    }
    *out = days_of(t.y, t.m, t.d) * day_ms + ((t.h * 60 + t.min) * 60 + t.s) * (int64_t)1000 +
           t.ms - t.zone_min * (int64_t)60000;
    return EP_OK;
}
