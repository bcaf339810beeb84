// Checking input against a case's fields: unknown names refused with the known ones close to them,
// quantities to SI, texts trimmed, ranges kept. Text forms of lists are in fieldtext.c.
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "app/app_int.h"
#include "base/text.h"
#include "base/uuid.h"

enum { NAME_CAP = 96, TEXT_MAX = 2000, ID_MAX = 120, LIST_MAX = 500 };

typedef struct scope {
    const ep_field *field;
    const char *name;  ///< with its prefix, as shown in errors
    ep_err *err;
} scope;

static ep_status refuse(const scope *s, ep_status status, const char *text)
{
    return ep_err_set(s->err, status, s->name, "%s: %s", s->name, text);
}

/// "0.1 mm to 30 mm", in the field's own unit; "" when anything goes.
static const char *range_words(ep_unit unit, double min, double max, char *buf, size_t cap)
{
    char low[64], high[64];
    buf[0] = '\0';
    if (min != 0 || max != 0) {
        ep_quantity_format(ep_unit_to_si(unit, min), unit, 6, low, sizeof low);
        ep_quantity_format(ep_unit_to_si(unit, max), unit, 6, high, sizeof high);
        snprintf(buf, cap, "%s to %s", low, high);
    }
    return buf;
}

static bool is_blank(const char *text)
{
    return text[strspn(text, " \t\r\n")] == '\0';
}

/// Trimmed copy as JSON; the length is what stands between the blanks.
static json_t *trimmed(const char *text, size_t *len)
{
    text += strspn(text, " \t\r\n");
    size_t n = strlen(text);
    while (n > 0 && strchr(" \t\r\n", text[n - 1])) {
        n--;
    }
    *len = n;
    return json_stringn(text, n);
}

static ep_status check_text(const scope *s, const json_t *in, size_t longest, json_t **out)
{
    if (!json_is_string(in)) {
        return refuse(s, EP_E_PARSE, "text is needed here");
    }
    size_t len = 0;
    json_t *text = trimmed(json_string_value(in), &len);
    if (!text || !ep_text_clean(json_string_value(text))) {
        json_decref(text);
        return refuse(s, EP_E_PARSE, "the text holds characters that cannot be shown");
    }
    if (len > longest) {
        json_decref(text);
        return ep_err_set(s->err, EP_E_ARG, s->name, "%s: %zu characters are too many, at most %zu",
                          s->name, len, longest);
    }
    *out = text;
    return EP_OK;
}

static ep_status check_id(const scope *s, const json_t *in, json_t **out)
{
    json_t *text = NULL;
    json_t *from_number = NULL;
    if (json_is_integer(in)) {  // a size or code that looks like a number
        char buf[32];
        snprintf(buf, sizeof buf, "%lld", (long long)json_integer_value(in));
        in = from_number = json_string(buf);
    }
    ep_status status = check_text(s, in, ID_MAX, &text);
    json_decref(from_number);
    if (status != EP_OK) {
        return status;
    }
    if (s->field->choices && !ep_uuid_valid(json_string_value(text))) {
        char said[48];
        status = ep_err_set(s->err, EP_E_ARG, s->name, "%s: “%s” is not a UUID (36 characters)",
                            s->name, ep_text_excerpt(json_string_value(text), said, sizeof said));
        json_decref(text);
        return status;
    }
    *out = text;
    return EP_OK;
}

static ep_status check_bool(const scope *s, const json_t *in, json_t **out)
{
    static const char *const yes[] = {"yes", "true", "1", "on", "y"};
    static const char *const no[] = {"no", "false", "0", "off", "n"};
    if (json_is_boolean(in)) {
        *out = json_boolean(json_is_true(in));
        return EP_OK;
    }
    const char *text = json_string_value(in);
    for (size_t i = 0; text && i < sizeof yes / sizeof yes[0]; i++) {
        if (strcasecmp(text, yes[i]) == 0 || strcasecmp(text, no[i]) == 0) {
            *out = json_boolean(strcasecmp(text, yes[i]) == 0);
            return EP_OK;
        }
    }
    return refuse(s, EP_E_PARSE, "yes or no is needed here");
}

static ep_status refuse_int(const scope *s, const json_t *in)
{
    const ep_field *f = s->field;
    char number[32] = "this", range[140], said[64];
    if (json_is_number(in)) {
        ep_number_format(json_number_value(in), 6, number, sizeof number);
    }
    range_words(EP_U_NONE, f->min, f->max, range, sizeof range);
    return ep_err_set(s->err, EP_E_PARSE, s->name, "%s: “%s” is not a whole number%s%s", s->name,
                      json_is_string(in) ? ep_text_excerpt(json_string_value(in), said, sizeof said)
                                         : number,
                      range[0] ? ", " : "", range);
}

static ep_status check_int(const scope *s, const json_t *in, json_t **out)
{
    const ep_field *f = s->field;
    double value = (double)NAN;
    if (json_is_number(in)) {
        value = json_number_value(in);
    } else if (json_is_string(in)) {
        ep_number_parse(json_string_value(in), &value);
    }
    if (!(fabs(value) < 9e15) || value != floor(value)) {
        return refuse_int(s, in);
    }
    if ((f->min != 0 || f->max != 0) && (value < f->min || value > f->max)) {
        return ep_err_set(s->err, EP_E_ARG, s->name, "%s: %.0f is outside %.0f to %.0f", s->name,
                          value, f->min, f->max);
    }
    *out = json_integer((json_int_t)value);
    return EP_OK;
}

/// What could not be read, with the range it should have been in.
static ep_status refuse_unread(const ep_err *inner, ep_unit unit, double min, double max,
                               const char *field, ep_err *err)
{
    char range[140];
    range_words(unit, min, max, range, sizeof range);
    return ep_err_set(err, inner->status, field, "%s%s%s", inner->text, range[0] ? "; " : "",
                      range);
}

/// What is out of range, also as it was typed when that was in another unit.
static ep_status refuse_far(const ep_err *inner, const json_t *value, ep_unit unit,
                            const char *field, ep_err *err)
{
    const char *typed = json_is_string(value) ? json_string_value(value) : "";
    const char *symbol = ep_unit_symbol(unit);
    size_t n = strlen(typed), m = strlen(symbol);
    bool bare = n == 0 || strchr("0123456789.", typed[n - 1]);
    bool own = n >= m && strcmp(typed + n - m, symbol) == 0;
    char said[48];
    if (bare || own) {
        return ep_err_as(err, inner, field);
    }
    return ep_err_set(err, inner->status, field, "%s (typed: %s)", inner->text,
                      ep_text_excerpt(typed, said, sizeof said));
}

ep_status ep_value_si(const json_t *value, ep_unit unit, double min, double max, const char *field,
                      double *si, ep_err *err)
{
    double x = (double)NAN;
    ep_err inner = {0};
    if (json_is_number(value)) {
        x = ep_unit_to_si(unit, json_number_value(value));
    } else if (json_is_string(value)) {
        ep_status status =
            ep_quantity_parse(json_string_value(value), ep_unit_dim(unit), unit, field, &x, &inner);
        if (status != EP_OK) {
            return refuse_unread(&inner, unit, min, max, field, err);
        }
    } else {
        return ep_err_set(err, EP_E_PARSE, field, "%s: a number is needed here, with a unit%s%s",
                          field, unit == EP_U_NONE ? " where it has one" : " such as ",
                          ep_unit_symbol(unit));
    }
    double lo = -HUGE_VAL, hi = HUGE_VAL;
    if (min != 0 || max != 0) {
        lo = ep_unit_to_si(unit, min);
        hi = ep_unit_to_si(unit, max);
        // yards per pound run the other way
        if (lo > hi) {
            double swap = lo;
            lo = hi;
            hi = swap;
        }
    }
    if (ep_range_check(x, lo, hi, unit, field, &inner) != EP_OK) {
        return refuse_far(&inner, value, unit, field, err);
    }
    *si = x;
    return EP_OK;
}

ep_status ep_err_as(ep_err *err, const ep_err *inner, const char *field)
{
    return ep_err_set(err, inner->status, field, "%s", inner->text);
}

static ep_status check_quantity(const scope *s, const json_t *in, json_t **out)
{
    const ep_field *f = s->field;
    double si;
    ep_status status = ep_value_si(in, f->unit, f->min, f->max, s->name, &si, s->err);
    if (status == EP_OK) {
        *out = json_real(si);
    }
    return status;
}

static ep_status check_choice(const scope *s, const json_t *in, json_t **out)
{
    const char *text = json_string_value(in);
    size_t len = text ? strlen(text) : 0;
    const char *choices = s->field->choices ? s->field->choices : "";
    const char *at = choices;
    while (text && *at) {
        size_t n = strcspn(at, "|");
        if (n == len && strncasecmp(at, text, n) == 0) {
            *out = json_stringn(at, n);
            return EP_OK;
        }
        at += n + (at[n] == '|');
    }
    char list[256];
    snprintf(list, sizeof list, "%s", choices);
    for (char *c = list; *c; c++) {
        *c = *c == '|' ? ',' : *c;
    }
    char said[64];
    return ep_err_set(s->err, EP_E_ARG, s->name, "%s: “%s” is none of %s", s->name,
                      ep_text_excerpt(text ? text : "this", said, sizeof said), list);
}

static ep_status check_time(const scope *s, const json_t *in, json_t **out)
{
    ep_time_ms t;
    if (json_is_integer(in)) {
        t = json_integer_value(in);
    } else if (json_is_string(in)) {
        ep_status status = ep_time_parse(json_string_value(in), s->name, &t, s->err);
        if (status != EP_OK) {
            return status;
        }
    } else {
        return refuse(s, EP_E_PARSE, "a time such as 2026-11-25T18:30 is needed here");
    }
    // 1970 to 2200: anything else is a slip of the keys
    if (t < 0 || t > 7258118400000) {
        return refuse(s, EP_E_ARG, "the time is outside the years 1970 to 2200");
    }
    *out = json_integer(t);
    return EP_OK;
}

/// `value` to the caller when all of it was right.
static ep_status handed(ep_status status, json_t *value, json_t **out)
{
    if (status != EP_OK) {
        json_decref(value);
        return status;
    }
    *out = value;
    return EP_OK;
}

/// One element of a list with item fields; a bare text or number is its first field.
static ep_status check_element(const scope *s, const json_t *in, const char *prefix, json_t **out)
{
    const ep_field *f = s->field;
    if (json_is_object(in)) {
        return ep_fields_check(f->item, f->n_items, in, prefix, out, s->err);
    }
    json_t *single = json_pack("{s:O}", f->item[0].name, in);
    ep_status status = ep_fields_check(f->item, f->n_items, single, prefix, out, s->err);
    json_decref(single);
    return status;
}

static ep_status check_array(const scope *s, const json_t *in, json_t **out)
{
    const ep_field *f = s->field;
    size_t n = json_array_size(in);
    size_t most = f->max > 0 ? (size_t)f->max : LIST_MAX;
    if (n > most || (f->min > 0 && n < (size_t)f->min)) {
        return ep_err_set(s->err, EP_E_ARG, s->name, "%s: %zu entries, allowed are %.0f to %zu",
                          s->name, n, f->min, most);
    }
    json_t *list = json_array();
    ep_status whole = EP_OK;
    for (size_t i = 0; i < n; i++) {
        json_t *element = json_array_get(in, i);
        json_t *checked = NULL;
        if (f->item) {
            char prefix[NAME_CAP];
            snprintf(prefix, sizeof prefix, "%s[%zu].", s->name, i + 1);
            ep_err_next(s->err);
            whole = ep_status_first(whole, check_element(s, element, prefix, &checked));
        } else {
            checked = json_incref(element);
        }
        json_array_append_new(list, checked ? checked : json_null());
    }
    return handed(whole, list, out);
}

static ep_status check_list(const scope *s, const json_t *in, json_t **out)
{
    if (json_is_array(in)) {
        return check_array(s, in, out);
    }
    if (!json_is_string(in)) {
        return refuse(s, EP_E_PARSE, "a list is needed here");
    }
    json_t *list = ep_field_from_text(s->field, json_string_value(in), s->err);
    if (!list) {
        return s->err ? s->err->status : EP_E_PARSE;
    }
    ep_status status = json_is_array(list) ? check_array(s, list, out)
                                           : refuse(s, EP_E_PARSE, "a list is needed here");
    json_decref(list);
    return status;
}

static ep_status check_members(const scope *s, const json_t *in, json_t **out)
{
    json_t *object = json_object();
    const char *key;
    json_t *value;
    ep_status whole = EP_OK;
    json_object_foreach((json_t *)(uintptr_t)in, key, value)
    {
        if (s->field->unit == EP_U_NONE) {
            json_object_set(object, key, value);
            continue;
        }
        char name[NAME_CAP];
        snprintf(name, sizeof name, "%s.%s", s->name, key);
        double si = 0;
        ep_err_next(s->err);
        whole = ep_status_first(whole, ep_value_si(value, s->field->unit, s->field->min,
                                                   s->field->max, name, &si, s->err));
        json_object_set_new(object, key, json_real(si));
    }
    return handed(whole, object, out);
}

static ep_status check_object(const scope *s, const json_t *in, json_t **out)
{
    if (json_is_object(in)) {
        return check_members(s, in, out);
    }
    if (!json_is_string(in)) {
        return refuse(s, EP_E_PARSE, "names with values are needed here");
    }
    json_t *object = ep_field_from_text(s->field, json_string_value(in), s->err);
    if (!object) {
        return s->err ? s->err->status : EP_E_PARSE;
    }
    ep_status status = json_is_object(object)
                           ? check_members(s, object, out)
                           : refuse(s, EP_E_PARSE, "names with values are needed here");
    json_decref(object);
    return status;
}

static ep_status check_value(const scope *s, const json_t *in, json_t **out)
{
    if (json_is_string(in)) {
        return check_text(s, in, TEXT_MAX, out);
    }
    if (!json_is_number(in) && !json_is_boolean(in)) {
        return refuse(s, EP_E_PARSE, "a value is needed here");
    }
    *out = json_incref((json_t *)(uintptr_t)in);
    return EP_OK;
}

static ep_status check_one(const scope *s, const json_t *in, json_t **out)
{
    switch (s->field->kind) {
    case EP_FIELD_TEXT:
        return check_text(s, in, s->field->max > 0 ? (size_t)s->field->max : TEXT_MAX, out);
    case EP_FIELD_ID:
        return check_id(s, in, out);
    case EP_FIELD_BOOL:
        return check_bool(s, in, out);
    case EP_FIELD_INT:
        return check_int(s, in, out);
    case EP_FIELD_QUANTITY:
        return check_quantity(s, in, out);
    case EP_FIELD_CHOICE:
        return check_choice(s, in, out);
    case EP_FIELD_TIME:
        return check_time(s, in, out);
    case EP_FIELD_LIST:
        return check_list(s, in, out);
    case EP_FIELD_OBJECT:
        return check_object(s, in, out);
    case EP_FIELD_VALUE:
        return check_value(s, in, out);
    case EP_FIELD_FILE:
    case EP_FIELD_BYTES:
        return ep_field_file_check(s->field, s->name, in, out, s->err);
    }
    return refuse(s, EP_E_ARG, "this kind of field is unknown");
}

static ep_status check_unknown(const ep_field *field, int n, const json_t *in, const char *prefix,
                               ep_err *err)
{
    const char *key;
    json_t *value;
    ep_status whole = EP_OK;
    json_object_foreach((json_t *)(uintptr_t)in, key, value)
    {
        int i = 0;
        while (i < n && strcmp(field[i].name, key) != 0) {
            i++;
        }
        if (i == n) {
            ep_err_next(err);
            whole = ep_status_first(whole, ep_field_unknown(field, n, prefix, key, err));
        }
    }
    return whole;
}

static ep_status refuse_missing(const ep_field *f, const char *name, ep_err *err)
{
    char range[140] = "";
    if (f->kind == EP_FIELD_QUANTITY || f->kind == EP_FIELD_INT) {
        range_words(f->kind == EP_FIELD_INT ? EP_U_NONE : f->unit, f->min, f->max, range,
                    sizeof range);
    } else if (f->kind == EP_FIELD_CHOICE) {
        size_t len = (size_t)snprintf(range, sizeof range, "one of ");
        for (const char *c = f->choices; *c && len + 3 < sizeof range; c++) {
            len += (size_t)snprintf(range + len, sizeof range - len, *c == '|' ? ", " : "%c", *c);
        }
    }
    // the label only where it says more than the name
    bool same = strcmp(f->name, f->label) == 0;
    return ep_err_set(err, EP_E_ARG, name, "%s: a value is needed%s%s%s%s%s", name,
                      same ? "" : " (", same ? "" : f->label, same ? "" : ")", range[0] ? ", " : "",
                      range);
}

/// One field into `checked`: absent, cleared or converted.
static ep_status check_field(const ep_field *f, const json_t *in, const char *prefix,
                             json_t *checked, ep_err *err)
{
    char name[NAME_CAP];
    snprintf(name, sizeof name, "%s%s", prefix, f->name);
    const json_t *value = json_object_get(in, f->name);
    bool blank =
        json_is_null(value) || (json_is_string(value) && is_blank(json_string_value(value)));
    if (!value || blank) {
        if (f->required) {
            return refuse_missing(f, name, err);
        }
        if (value) {
            json_object_set_new(checked, f->name, json_null());
        }
        return EP_OK;
    }
    json_t *converted = NULL;
    scope s = {.field = f, .name = name, .err = err};
    ep_status status = check_one(&s, value, &converted);
    if (status == EP_OK && json_object_set_new(checked, f->name, converted) != 0) {
        status = ep_err_set(err, EP_E_MEMORY, name, "out of memory");
    }
    return status;
}

ep_status ep_fields_check(const ep_field *field, int n, const json_t *in, const char *prefix,
                          json_t **out, ep_err *err)
{
    if (in && !json_is_object(in)) {
        return ep_err_set(err, EP_E_PARSE, "", "%s an object of fields is needed", prefix);
    }
    ep_status status = check_unknown(field, n, in, prefix, err);
    json_t *checked = json_object();
    for (int i = 0; i < n; i++) {
        ep_err_next(err);
        status = ep_status_first(status, check_field(&field[i], in, prefix, checked, err));
    }
    return handed(status, checked, out);
}
