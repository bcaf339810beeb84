// A workshop in memory with a clock the test sets, and short ways to call its cases. JSON is
// written with ' for " so that it can stand in a C string.
#pragma once
// cmocka wants these four before it
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app_int.h"

typedef struct workshop {
    ep_app *app;
    ep_time_ms now;
    json_t *last;  ///< answer of the last good call
    ep_err err;    ///< of the last refused one
} workshop;

static inline ep_time_ms workshop_now(void *ctx)
{
    return ((const workshop *)ctx)->now;
}

static inline ep_time_ms time_of(const char *text)
{
    ep_time_ms t = 0;
    ep_err err = {0};
    if (ep_time_parse(text, "time", &t, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    return t;
}

static inline json_t *json_of(const char *fmt, va_list args) __attribute__((format(printf, 1, 0)));
static inline json_t *json_of(const char *fmt, va_list args)
{
    char text[4000];
    vsnprintf(text, sizeof text, fmt, args);
    for (char *c = text; *c; c++) {
        *c = *c == '\'' ? '"' : *c;
    }
    json_error_t bad;
    json_t *in = json_loads(text, 0, &bad);
    if (!in) {
        fail_msg("%s in %s", bad.text, text);
    }
    return in;
}

static inline ep_status try_json(workshop *w, const char *name, json_t *in)
{
    const ep_use_case *c = ep_use_case_find(name);
    if (!c) {
        fail_msg("there is no case %s", name);
        return EP_E_STATE;
    }
    json_t *out = NULL;
    w->err = (ep_err){0};
    ep_status status = ep_app_call(w->app, c, in, &out, &w->err);
    if (status == EP_OK) {
        json_decref(w->last);
        w->last = out;
    } else {
        // every refusal explains itself and gives nothing back
        assert_null(out);
        assert_true(w->err.text[0] != '\0');
    }
    json_decref(in);
    return status;
}

/// The case must go well; the answer stays in w->last.
static inline json_t *call(workshop *w, const char *name, const char *fmt, ...)
    __attribute__((format(printf, 3, 4)));
static inline json_t *call(workshop *w, const char *name, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    json_t *in = json_of(fmt, args);
    va_end(args);
    if (try_json(w, name, in) != EP_OK) {
        fail_msg("%s: %s", name, w->err.text);
    }
    return w->last;
}

/// The case must be refused with this status and field, and the text must hold `part`.
static inline void refuse(workshop *w, ep_status status, const char *field, const char *part,
                          const char *name, const char *fmt, ...)
    __attribute__((format(printf, 6, 7)));
static inline void refuse(workshop *w, ep_status status, const char *field, const char *part,
                          const char *name, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    json_t *in = json_of(fmt, args);
    va_end(args);
    ep_status got = try_json(w, name, in);
    if (got != status || strcmp(w->err.field, field) != 0 || !strstr(w->err.text, part)) {
        fail_msg("%s: wanted %s on %s with “%s”, got %s on %s: %s", name, ep_status_name(status),
                 field, part, ep_status_name(got), w->err.field, w->err.text);
    }
}

/// A call that must be refused; every mistake of it is in w->err and in `more`.
static inline void try_all(workshop *w, ep_mistakes *more, const char *name, const char *fmt, ...)
    __attribute__((format(printf, 4, 5), unused));
static inline void try_all(workshop *w, ep_mistakes *more, const char *name, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    json_t *in = json_of(fmt, args), *out = NULL;
    va_end(args);
    w->err = (ep_err){.more = more};
    assert_int_not_equal(ep_app_call(w->app, ep_use_case_find(name), in, &out, &w->err), EP_OK);
    assert_null(out);
    w->err.more = NULL;  // the list is the caller's
    json_decref(in);
}

/// Walk "candles.0.code" down an answer; NULL when it leads nowhere.
static inline json_t *at(const json_t *o, const char *path)
{
    char step[64];
    const json_t *here = o;
    while (here && *path) {
        size_t n = strcspn(path, ".");
        snprintf(step, sizeof step, "%.*s", (int)n, path);
        here = json_is_array(here) ? json_array_get(here, (size_t)strtoul(step, NULL, 10))
                                   : json_object_get(here, step);
        path += n + (path[n] == '.');
    }
    return (json_t *)(uintptr_t)here;
}

static inline const char *text_at(const json_t *o, const char *path)
{
    const char *text = json_string_value(at(o, path));
    if (!text) {
        fail_msg("no text at %s", path);
    }
    return text ? text : "";
}

static inline double real_at(const json_t *o, const char *path)
{
    const json_t *value = at(o, path);
    if (!json_is_number(value)) {
        fail_msg("no number at %s", path);
    }
    return json_number_value(value);
}

static inline void assert_near(double got, double want, double tolerance)
{
    if (!(fabs(got - want) <= tolerance)) {
        fail_msg("got %.9g, wanted %.9g within %.3g", got, want, tolerance);
    }
}

/// Does any text of an array hold this?
static inline bool any_text(const json_t *list, const char *part)
{
    size_t i;
    json_t *one;
    json_array_foreach(list, i, one)
    {
        const char *text = json_string_value(one);
        if (text && strstr(text, part)) {
            return true;
        }
    }
    return false;
}

static inline workshop *workshop_open(const char *start, bool demo)
{
    workshop *w = calloc(1, sizeof *w);
    ep_err err = {0};
    assert_non_null(w);
    w->now = time_of(start);
    ep_app_config config = {.db_path = ":memory:", .clock = {workshop_now, w}, .demo = demo};
    if (ep_app_open(&config, &w->app, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    return w;
}

static inline void workshop_close(workshop *w)
{
    json_decref(w->last);
    ep_app_close(w->app);
    free(w);
}

static inline void pass_hours(workshop *w, double hours)
{
    w->now += (ep_time_ms)llround(hours * 3600e3);
}

/// A straight glass of 70 x 80 mm, soy with 8 % of a scent, flat cotton in three sizes, filled to
/// 60 mm.
static inline void describe(workshop *w)
{
    call(w, "container_add",
         "{'name': 'glass', 'material': 'std-container-soda-lime', 'inner_diameter': '70 mm',"
         " 'height': '80 mm', 'wall': '3 mm', 'base': '6 mm', 'empty_mass': '240 g'}");
    call(w, "series_add",
         "{'name': 'flat', 'construction': 'std-wick-flat-braid', 'sizes': ["
         " {'name': '1', 'linear_density': '0.8 g/m'}, {'name': '2', 'linear_density': '1.1 g/m'},"
         " {'name': '3', 'linear_density': '1.5 g/m'}]}");
    call(
        w, "recipe_add",
        "{'name': 'fig', 'container': 'glass', 'waxes': [{'id': 'std-wax-soy', 'share': '100 %%'}],"
        " 'fragrance': 'std-fragrance-resin', 'load': '8 %%', 'series': 'flat',"
        " 'fill_height': '60 mm', 'trim': '5 mm', 'session': '4 h', 'stop_height': '10 mm'}");
}

/// Pour `n` candles of one size of that recipe; codes are in w->last "candles.i.code".
static inline void pour_some(workshop *w, const char *size, int n)
{
    call(w, "pour_add", "{'recipe': 'fig', 'set': [{'size': '%s', 'candles': %d}]}", size, n);
}

static inline const char *copy_text(char *dst, size_t cap, const json_t *o, const char *path)
{
    snprintf(dst, cap, "%s", text_at(o, path));
    return dst;
}
