// Settings of the workshop: one table; the newest value of a key holds.
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app_int.h"
#include "base/text.h"

typedef enum setting_type { SETTING_CHOICE, SETTING_NUMBER, SETTING_MINUTES } setting_type;

typedef struct setting {
    const char *key;
    setting_type type;
    const char *value;  ///< until the maker says otherwise
    const char *label, *help;
    const char *choices;  ///< "a|b" of SETTING_CHOICE
    ep_unit unit;         ///< of SETTING_NUMBER, with its range
    double min, max;
} setting;

// session and rest are common practice; the minutes are when makers look (docs/store.md)
static const setting table[] = {
    {"units", SETTING_CHOICE, "metric", "units", "How lengths, masses and temperatures are shown.",
     "metric|us", EP_U_NONE, 0, 0},
    {"session_h", SETTING_NUMBER, "4", "burn session", "Lit time of one session, in hours.", NULL,
     EP_U_H, 0.25, 12},
    {"rest_h", SETTING_NUMBER, "20", "rest", "Rest between two sessions of a candle, in hours.",
     NULL, EP_U_H, 1, 168},
    {"due_minutes", SETTING_MINUTES, "5, 30, 60, 120, 180, 240", "when readings are due",
     "Minutes after lighting, rising, up to 12 of them.", NULL, EP_U_NONE, 1, 1440},
};

enum { N_SETTINGS = (int)(sizeof table / sizeof table[0]), MOST_MINUTES = 12, VALUE_CAP = 160 };

static const setting *find_setting(const char *key)
{
    for (int i = 0; i < N_SETTINGS; i++) {
        if (strcmp(table[i].key, key) == 0) {
            return &table[i];
        }
    }
    return NULL;
}

const char *ep_app_setting(ep_app *app, const char *key, char *buf, size_t cap)
{
    const setting *s = find_setting(key);
    ep_copy(buf, cap, s ? s->value : "");
    ep_bind bind[] = {ep_bind_text("key", key)};
    json_t *row = NULL;
    if (s && ep_store_one(app->store, EP_Q_SETTING_GET, bind, 1, &row, NULL) == EP_OK) {
        ep_copy(buf, cap, ep_row_text(row, "value"));
        json_decref(row);
    }
    return buf;
}

/// Key of a recipe's own minutes: a row of the same table, so that earlier ones stay on record.
static void due_key(const char *recipe_id, char key[80])
{
    snprintf(key, 80, "due_minutes %s", recipe_id);
}

bool ep_app_due_setting(ep_app *app, const char *recipe_id, char *buf, size_t cap)
{
    char key[80];
    json_t *row = NULL;
    due_key(recipe_id, key);
    ep_bind bind[] = {ep_bind_text("key", key)};
    bool own = ep_store_one(app->store, EP_Q_SETTING_GET, bind, 1, &row, NULL) == EP_OK &&
               ep_row_text(row, "value")[0];
    if (own) {
        ep_copy(buf, cap, ep_row_text(row, "value"));
    } else {
        ep_app_setting(app, "due_minutes", buf, cap);
    }
    json_decref(row);
    return own;
}

double ep_app_setting_number(ep_app *app, const char *key)
{
    char buf[VALUE_CAP];
    double value = (double)NAN;
    ep_number_parse(ep_app_setting(app, key, buf, sizeof buf), &value);
    return value;
}

static json_t *shape_choices(const setting *s)
{
    if (!s->choices) {
        return NULL;
    }
    json_t *list = json_array();
    for (const char *at = s->choices; *at;) {
        size_t n = strcspn(at, "|");
        json_array_append_new(list, json_stringn(at, n));
        at += n + (at[n] == '|');
    }
    return list;
}

static json_t *shape_setting(ep_app *app, const setting *s)
{
    char buf[VALUE_CAP];
    json_t *o = json_object();
    ep_out_text(o, "key", s->key);
    if (s->type == SETTING_NUMBER) {
        ep_out_real(o, "value", ep_app_setting_number(app, s->key));
    } else {
        ep_out_text(o, "value", ep_app_setting(app, s->key, buf, sizeof buf));
    }
    ep_out_text(o, "label", s->label);
    ep_out_text(o, "help", s->help);
    ep_out_new(o, "choices", shape_choices(s));
    if (s->type == SETTING_NUMBER) {
        ep_out_text(o, "unit", ep_unit_symbol(s->unit));
        ep_out_real(o, "min", s->min);
        ep_out_real(o, "max", s->max);
        ep_out_text(o, "usual", s->value);
    }
    return o;
}

ep_status ep_case_settings(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    (void)in;
    (void)err;
    json_t *list = json_array();
    for (int i = 0; i < N_SETTINGS; i++) {
        json_array_append_new(list, shape_setting(app, &table[i]));
    }
    *out = json_pack("{s:o}", "settings", list);
    return EP_OK;
}

static ep_status read_choice(const setting *s, const json_t *value, char *buf, ep_err *err)
{
    const char *text = json_string_value(value);
    for (const char *at = s->choices; text && *at;) {
        size_t n = strcspn(at, "|");
        if (n == strlen(text) && strncasecmp(at, text, n) == 0) {
            snprintf(buf, VALUE_CAP, "%.*s", (int)n, at);
            return EP_OK;
        }
        at += n + (at[n] == '|');
    }
    char said[40];
    return ep_err_set(err, EP_E_ARG, s->key, "%s: “%s” is none of %s", s->key,
                      ep_text_excerpt(text, said, sizeof said), s->choices);
}

static ep_status read_number(const setting *s, const json_t *value, char *buf, ep_err *err)
{
    double si;
    ep_status status = ep_value_si(value, s->unit, s->min, s->max, s->key, &si, err);
    if (status == EP_OK) {
        snprintf(buf, VALUE_CAP, "%.10g", ep_unit_from_si(s->unit, si));
    }
    return status;
}

/// "5, 30, 60": whole minutes, rising.
static ep_status read_minutes(const setting *s, const json_t *value, char *buf, ep_err *err)
{
    const char *at = json_string_value(value);
    double before = 0;
    size_t len = 0;
    for (int n = 0; at; n++) {
        char piece[16];
        size_t cut = strcspn(at, ",");
        at += strspn(at, " ");
        size_t digits = strspn(at, "0123456789");
        snprintf(piece, sizeof piece, "%.*s", (int)(digits < 8 ? digits : 8), at);
        double minute;
        const char *end = at + digits + strspn(at + digits, " ");
        if (!ep_number_parse(piece, &minute) || (*end != ',' && *end != '\0') || cut == 0 ||
            minute < s->min || minute > s->max || minute <= before || n >= MOST_MINUTES) {
            break;
        }
        len += (size_t)snprintf(buf + len, VALUE_CAP - len, "%s%.0f", len ? ", " : "", minute);
        before = minute;
        if (*end == '\0') {
            return EP_OK;
        }
        at = end + 1;
    }
    return ep_err_set(err, EP_E_ARG, s->key,
                      "%s: up to %d whole minutes from %.0f to %.0f are needed, each above the one "
                      "before, such as 5, 30, 60",
                      s->key, MOST_MINUTES, s->min, s->max);
}

static ep_status read_setting(const setting *s, const json_t *value, char *buf, ep_err *err)
{
    switch (s->type) {
    case SETTING_CHOICE:
        return read_choice(s, value, buf, err);
    case SETTING_NUMBER:
        return read_number(s, value, buf, err);
    case SETTING_MINUTES:
        return read_minutes(s, value, buf, err);
    }
    return EP_E_ARG;
}

static ep_status refuse_key(const char *key, ep_err *err)
{
    char known[160] = "", said[48];
    size_t len = 0;
    for (int i = 0; i < N_SETTINGS; i++) {
        len +=
            (size_t)snprintf(known + len, sizeof known - len, "%s%s", i ? ", " : "", table[i].key);
    }
    return ep_err_set(err, EP_E_ARG, "key", "key: there is no setting “%s”; there are: %s",
                      ep_text_excerpt(key, said, sizeof said), known);
}

ep_status ep_case_setting_set(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char buf[VALUE_CAP] = "";
    const setting *s = find_setting(ep_in_text(in, "key"));
    if (!s) {
        return refuse_key(ep_in_text(in, "key"), err);
    }
    ep_err inner = {0};
    ep_status status = read_setting(s, ep_in_any(in, "value"), buf, &inner);
    if (status != EP_OK) {
        return ep_err_as(err, &inner, "value");
    }
    ep_bind bind[] = {ep_bind_text("key", s->key), ep_bind_text("value", buf),
                      ep_bind_int("at", ep_app_now(app))};
    status = ep_store_run(app->store, EP_Q_SETTING_ADD, bind, EP_COUNT_OF(bind), err);
    return status == EP_OK ? ep_case_settings(app, in, out, err) : status;
}

/// Left out, the workshop's minutes hold again: an empty row says so.
ep_status ep_case_recipe_due(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP], key[80], buf[VALUE_CAP] = "";
    ep_status status = ep_find_recipe(app, ep_in_text(in, "id"), "id", id, err);
    if (status == EP_OK && ep_in_has(in, "minutes")) {
        ep_err inner = {0};
        status = read_minutes(find_setting("due_minutes"), ep_in_any(in, "minutes"), buf, &inner);
        status = status == EP_OK ? EP_OK : ep_err_as(err, &inner, "minutes");
    }
    if (status != EP_OK) {
        return status;
    }
    due_key(id, key);
    ep_bind bind[] = {ep_bind_text("key", key), ep_bind_text("value", buf),
                      ep_bind_int("at", ep_app_now(app))};
    status = ep_store_run(app->store, EP_Q_SETTING_ADD, bind, EP_COUNT_OF(bind), err);
    return status == EP_OK ? ep_shape_recipe(app, id, out, err) : status;
}
