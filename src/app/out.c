// Building answers: keys with their unit, unknown as null.
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#include "app/app_int.h"
#include "app/source_int.h"

enum { SHOWN_DIGITS = 10 };

double ep_out_round(double value)
{
    char buf[40];
    if (!isfinite(value)) {
        return value;
    }
    snprintf(buf, sizeof buf, "%.*g", SHOWN_DIGITS, value);
    return strtod(buf, NULL);
}

void ep_out_new(json_t *o, const char *key, json_t *value)
{
    json_object_set_new(o, key, value ? value : json_null());
}

void ep_out_null(json_t *o, const char *key)
{
    json_object_set_new(o, key, json_null());
}

void ep_out_real(json_t *o, const char *key, double value)
{
    ep_out_new(o, key, isfinite(value) ? json_real(ep_out_round(value)) : NULL);
}

void ep_out_unit(json_t *o, const char *key, double si, ep_unit unit)
{
    ep_out_real(o, key, isfinite(si) ? ep_unit_from_si(unit, si) : si);
}

void ep_out_int(json_t *o, const char *key, long long value)
{
    ep_out_new(o, key, json_integer(value));
}

void ep_out_bool(json_t *o, const char *key, bool value)
{
    ep_out_new(o, key, json_boolean(value));
}

void ep_out_text(json_t *o, const char *key, const char *text)
{
    ep_out_new(o, key, text && text[0] ? json_string(text) : NULL);
}

void ep_out_textf(json_t *o, const char *key, const char *fmt, ...)
{
    char buf[1024];
    va_list args;
    va_start(args, fmt);
    vsnprintf(buf, sizeof buf, fmt, args);
    va_end(args);
    ep_out_text(o, key, buf);
}

void ep_out_time(json_t *o, const char *key, ep_time_ms t)
{
    char buf[32];
    ep_out_text(o, key, ep_time_format(t, buf, sizeof buf));
}

void ep_out_ref(json_t *o, const char *key, const char *id, const char *name)
{
    json_t *ref = NULL;
    if (id && id[0]) {
        ref = json_object();
        ep_out_text(ref, "id", id);
        ep_out_text(ref, "name", name);
    }
    ep_out_new(o, key, ref);
}

double ep_row_real(const json_t *row, const char *key)
{
    const json_t *value = json_object_get(row, key);
    return json_is_number(value) ? json_number_value(value) : (double)NAN;
}

long long ep_row_int(const json_t *row, const char *key, long long null)
{
    const json_t *value = json_object_get(row, key);
    return json_is_integer(value) ? json_integer_value(value) : null;
}

void ep_out_source(json_t *o, const char *key)
{
    const ep_source *known = key ? ep_source_find(key) : NULL;
    ep_out_text(o, "source", key);
    ep_out_text(o, "source_text", known ? known->text : key);
    ep_out_text(o, "source_note", known ? known->note : NULL);
}
