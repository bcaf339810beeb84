// Table of readings, corrections among them: a correction follows the reading it corrects.
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "app/bench_int.h"
#include "app/csv_int.h"

static const ep_csv_column columns[] = {
    {"reading", "id", "its id; a new one is made when empty", false, false},
    {"session", "session",
     "id of the session; may be empty when the candle burned once, or with at", false, false},
    {"candle", "candle", "code", true, false},
    {"minute", "minute", "min since lighting, 0 to 100000; or a time in at", false, true},
    {"at", "at", "a time such as 2026-11-02T18:30:00Z, instead of the minute", false, true},
    {"kind", "kind", "what was read, such as pool_wide; evenpool limits readings lists them", true,
     false},
    {"value", "value", "a number in the unit beside it, a grade 0 to 3, yes or no", true, true},
    {"unit", NULL, "such as mm; the kind's own when empty", false, false},
    {"corrects", "corrects", "id of the reading this one replaces; may be empty", false, false},
    {"note", "note", "up to 2000 characters", false, false},
};

static ep_status give(ep_app *app, const json_t *in, json_t *rows, ep_err *err)
{
    char recipe[EP_ID_CAP] = "";
    json_t *list = NULL;
    ep_status status = EP_OK;
    if (ep_in_has(in, "recipe")) {
        status = ep_find_recipe(app, ep_in_text(in, "recipe"), "recipe", recipe, err);
    }
    ep_bind bind[] = {ep_bind_text_or_null("recipe", recipe)};
    if (status == EP_OK) {
        status = ep_store_json(app->store, EP_Q_CSV_READINGS, bind, 1, &list, err);
    }
    if (status == EP_OK) {
        json_array_extend(rows, list);
    }
    json_decref(list);
    return status;
}

/// What a row says, once it was checked.
typedef struct said {
    json_t *fields;
    ep_candle candle;
    ep_reading_kind kind;
    double value;
} said;

static ep_status read_row(ep_app *app, const json_t *row, said *s, ep_err *err)
{
    json_t *fields = ep_csv_fields(&ep_csv_readings, row, "");
    if (ep_row_text(row, "unit")[0]) {
        ep_out_textf(fields, "value", "%s %s", ep_row_text(row, "value"), ep_row_text(row, "unit"));
    }
    ep_status status = ep_csv_checked("reading_add", fields, &s->fields, err);
    if (status == EP_OK && !ep_in_has(s->fields, "minute") && !ep_in_has(s->fields, "at")) {
        status = ep_err_set(err, EP_E_ARG, "minute",
                            "minute: a value is needed, 0 min to 100000 min, or a time in at");
    }
    if (status == EP_OK) {
        status = ep_candle_load(app, ep_in_text(s->fields, "candle"), "candle", &s->candle, err);
    }
    if (status == EP_OK) {
        status = ep_reading_said(s->fields, &s->kind, &s->value, err);
    }
    return status;
}

/// A time says which burn it was; without one there must be no doubt.
static ep_status find_session(ep_app *app, said *s, ep_err *err)
{
    json_t *burns = NULL, *burn;
    const char *found = "";
    ep_bind bind[] = {ep_bind_text("candle", s->candle.id)};
    if (ep_in_has(s->fields, "session")) {
        return EP_OK;
    }
    ep_status status = ep_store_json(app->store, EP_Q_BURNS_OF_CANDLE, bind, 1, &burns, err);
    size_t i;
    json_array_foreach(burns, i, burn)
    {
        if (!ep_in_has(s->fields, "at") ||
            ep_row_int(burn, "lit_ms", 0) <= ep_in_time(s->fields, "at", 0)) {
            found = ep_row_text(burn, "session_id");
        }
    }
    if (status == EP_OK && !ep_in_has(s->fields, "at") && json_array_size(burns) > 1) {
        status = ep_err_set(err, EP_E_ARG, "session",
                            "session: %s burned %zu times; say which, or give the time in at",
                            s->candle.code, json_array_size(burns));
    } else if (status == EP_OK && found[0] == '\0') {
        status =
            ep_err_set(err, EP_E_STATE, "candle", "candle: %s was not lit then", s->candle.code);
    }
    if (status == EP_OK) {
        json_object_set_new(s->fields, "session", json_string(found));
    }
    json_decref(burns);
    return status;
}

/// Is this row of the book the reading the file tells of?
static bool is_told(const said *s, const json_t *row)
{
    ep_time_ms at = 0;
    bool when = false;
    if (ep_in_has(s->fields, "at")) {
        when = ep_time_parse(ep_row_text(row, "at"), "at", &at, NULL) == EP_OK &&
               llabs(at - ep_in_time(s->fields, "at", 0)) < 1000;
    } else {
        when = fabs(ep_row_real(row, "minute") - ep_in_real(s->fields, "minute", 0) / 60.0) < 1e-6;
    }
    double there = ep_row_real(row, "value");
    return when && strcmp(ep_row_text(row, "kind"), ep_reading_def_of(s->kind)->key) == 0 &&
           strcmp(ep_row_text(row, "candle_id"), s->candle.id) == 0 &&
           strcmp(ep_row_text(row, "session_id"), ep_in_text(s->fields, "session")) == 0 &&
           fabs(there - s->value) <= 1e-9 * fabs(there);
}

/// Putting a candle out notes that its flame went out, under an id of its own.
static bool may_have_other_id(const said *s)
{
    return !ep_in_has(s->fields, "id") || s->kind == EP_READ_WENT_OUT;
}

static ep_status is_there(ep_app *app, const said *s, bool *there, ep_err *err)
{
    json_t *row = NULL, *rows = NULL;
    const char *id = ep_in_text(s->fields, "id");
    ep_bind by_id[] = {ep_bind_text("id", id)};
    ep_status status =
        id ? ep_store_one(app->store, EP_Q_READING_GET, by_id, 1, &row, err) : EP_E_NOT_FOUND;
    if (status == EP_OK) {
        *there = is_told(s, row);
        json_decref(row);
        return *there ? EP_OK
                      : ep_csv_differs("reading", id, "id",
                                       "a reading is never changed: add a correction", err);
    }
    if (status != EP_E_NOT_FOUND || !may_have_other_id(s)) {
        return status == EP_E_NOT_FOUND ? EP_OK : status;
    }
    ep_bind of[] = {ep_bind_text("candle", s->candle.id),
                    ep_bind_text("session", ep_in_text(s->fields, "session"))};
    status = ep_store_json(app->store, EP_Q_READINGS_OF_CANDLE, of, 2, &rows, err);
    size_t i;
    json_array_foreach(rows, i, row)
    {
        *there = *there || is_told(s, row);
    }
    json_decref(rows);
    return status;
}

static ep_status take(ep_app *app, const json_t *rows, ep_csv_outcome *o, ep_err *err)
{
    said s = {0};
    bool there = false;
    ep_status status = read_row(app, json_array_get(rows, 0), &s, err);
    status = status == EP_OK ? find_session(app, &s, err) : status;
    status = status == EP_OK ? is_there(app, &s, &there, err) : status;
    if (status == EP_OK) {
        o->done = there ? EP_CSV_SAME : EP_CSV_ADDED;
        snprintf(o->text, sizeof o->text, "%s: %s %g", s.candle.code,
                 ep_reading_def_of(s.kind)->key, s.value);
    }
    if (status == EP_OK && !there) {
        ep_err inner = {0};
        status = ep_reading_put(app, s.fields, &inner);
        if (status != EP_OK) {
            // what is wrong with the value is told under the name of its kind
            bool value = strcmp(inner.field, ep_reading_def_of(s.kind)->key) == 0;
            ep_err_set(err, status, value ? "value" : inner.field, "%s", inner.text);
        }
    }
    json_decref(s.fields);
    return status;
}

const ep_csv_sheet ep_csv_readings = {
    .key = "readings",
    .label = "readings, a row for each",
    .column = columns,
    .n_columns = EP_COUNT_OF(columns),
    .give = give,
    .take = take,
};
