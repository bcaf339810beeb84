// Table of burn sessions: a row for each candle of each session. A session goes through lighting
// and putting out as at the bench, at the times the file gives.
#include <stdio.h>
#include <string.h>

#include "app/bench_int.h"
#include "app/csv_int.h"
#include "base/uuid.h"

static const ep_csv_column columns[] = {
    {"session", "id",
     "its id; or any word, or nothing: neighbouring rows with the same and the same lit_at are one "
     "session",
     false, false},
    {"lit_at", "lit_at", "a time such as 2026-11-02T18:00:00Z", true, true},
    {"candle", "candles", "code", true, false},
    {"planned_h", "planned", "h, 0.1 to 24; the recipe's when empty", false, true},
    {"room_temp_C", "room_temp", "C, -10 to 50; may be empty", false, true},
    {"draught", "draught", "0 none to 3 strong; may be empty", false, true},
    {"trim_mm", "trim", "mm, 1 to 15: wick when lit; may be empty", false, true},
    {"mass_before_g", "masses", "g, 1 to 20000, with container; may be empty", false, true},
    {"out_at", "at", "time it was put out; empty while it is lit", false, true},
    {"reason", "reason", "planned, went_out or stopped; worked out from the length when empty",
     false, false},
    {"mass_after_g", "after", "g, 1 to 20000, with container; may be empty", false, true},
};

static ep_status give(ep_app *app, const json_t *in, json_t *rows, ep_err *err)
{
    char recipe[EP_ID_CAP] = "";
    ep_status status = EP_OK;
    if (ep_in_has(in, "recipe")) {
        status = ep_find_recipe(app, ep_in_text(in, "recipe"), "recipe", recipe, err);
    }
    json_t *list = NULL, *row;
    ep_bind bind[] = {ep_bind_null("session"), ep_bind_text_or_null("recipe", recipe)};
    if (status == EP_OK) {
        status = ep_store_json(app->store, EP_Q_CSV_SESSIONS, bind, 2, &list, err);
    }
    size_t i;
    json_array_foreach(list, i, row)
    {
        char lit[40], out[40];
        snprintf(lit, sizeof lit, "%s", ep_row_text(row, "lit_at"));
        snprintf(out, sizeof out, "%s", ep_row_text(row, "out_at"));
        ep_csv_time(row, "lit_at", lit);
        ep_csv_time(row, "out_at", out);
        json_array_append(rows, row);
    }
    json_decref(list);
    return status;
}

// --- what a session's rows say ---

/// Codes as the book has them; what stands in every row must be the same.
static ep_status settle(ep_app *app, json_t *rows, ep_csv_outcome *o, ep_err *err)
{
    static const char *const shared[] = {"planned_h", "room_temp_C", "draught", "trim_mm"};
    json_t *row, *first = json_array_get(rows, 0);
    size_t i;
    json_array_foreach(rows, i, row)
    {
        ep_candle c = {0};
        o->row = (int)i;
        if (!json_object_get(row, "lit_at")) {
            return ep_err_set(err, EP_E_ARG, "lit_at", "lit_at: a time is needed here");
        }
        ep_status status = ep_candle_load(app, ep_row_text(row, "candle"), "candles", &c, err);
        if (status != EP_OK) {
            return status;
        }
        ep_out_text(row, "candle", c.code);
        for (int k = 0; k < EP_COUNT_OF(shared); k++) {
            if (json_object_get(row, shared[k]) && !ep_csv_same_text(first, row, shared[k])) {
                return ep_err_set(err, EP_E_ARG, shared[k],
                                  "%s: all candles of one session have the same", shared[k]);
            }
        }
        bool tells_end = json_object_get(row, "reason") || json_object_get(row, "mass_after_g");
        if (tells_end && !json_object_get(row, "out_at")) {
            return ep_err_set(err, EP_E_ARG, "at",
                              "at: a time is needed with a reason or a mass after");
        }
    }
    o->row = -1;
    return EP_OK;
}

static ep_status lighting_of(const json_t *rows, json_t **out, ep_err *err)
{
    json_t *fields = ep_csv_fields(&ep_csv_sessions, json_array_get(rows, 0), "");
    json_t *candles = json_array(), *masses = json_object(), *row;
    size_t i;
    json_array_foreach(rows, i, row)
    {
        json_array_append(candles, json_object_get(row, "candle"));
        json_t *mass = json_object_get(row, "mass_before_g");
        if (mass && !json_is_null(mass)) {
            json_object_set(masses, ep_row_text(row, "candle"), mass);
        }
    }
    if (!ep_uuid_valid(ep_row_text(fields, "id"))) {
        json_object_del(fields, "id");
    }
    json_object_del(fields, "at");
    json_object_del(fields, "reason");
    json_object_del(fields, "after");
    json_object_set_new(fields, "candles", candles);
    json_object_set_new(fields, "masses", masses);
    return ep_csv_checked("session_light", fields, out, err);
}

static ep_status ending_of(const char *session, const json_t *row, json_t **out, ep_err *err)
{
    json_t *fields =
        json_pack("{s:s, s:[O], s:O}", "id", session, "candles", json_object_get(row, "candle"),
                  "at", json_object_get(row, "out_at"));
    json_t *mass = json_object_get(row, "mass_after_g"), *reason = json_object_get(row, "reason");
    if (reason && !json_is_null(reason)) {
        json_object_set(fields, "reason", reason);
    }
    if (mass && !json_is_null(mass)) {
        json_object_set_new(fields, "masses", json_pack("{s:O}", ep_row_text(row, "candle"), mass));
    }
    return ep_csv_checked("session_end", fields, out, err);
}

// --- errors to rows and columns ---

static json_t *row_of_candle(const json_t *rows, const char *code)
{
    size_t i;
    json_t *row;
    json_array_foreach(rows, i, row)
    {
        if (strcasecmp(ep_row_text(row, "candle"), code) == 0) {
            return row;
        }
    }
    return NULL;
}

static void blame_row(const json_t *rows, const char *code, ep_csv_outcome *o)
{
    for (size_t i = 0; i < json_array_size(rows); i++) {
        if (strcmp(ep_row_text(json_array_get(rows, i), "candle"), code) == 0) {
            o->row = (int)i;
        }
    }
}

/// A refusal that names a candle belongs to its row.
static ep_status blame_candle(const json_t *rows, const ep_err *inner, ep_csv_outcome *o,
                              ep_err *err)
{
    size_t i;
    json_t *row;
    json_array_foreach(rows, i, row)
    {
        if (o->row < 0 && strstr(inner->text, ep_row_text(row, "candle"))) {
            o->row = (int)i;
        }
    }
    return ep_err_as(err, inner, inner->field);
}

static ep_status blame_after(const ep_err *inner, ep_err *err)
{
    bool masses = strncmp(inner->field, "masses", 6) == 0;
    const char *text = inner->text + (masses ? strlen(inner->field) : 0);
    return masses ? ep_err_set(err, inner->status, "after", "after%s", text)
                  : ep_err_as(err, inner, inner->field);
}

// --- in ---

static ep_status put_out(ep_app *app, const char *session, const json_t *row, ep_err *err)
{
    json_t *ending = NULL;
    ep_err inner = {0};
    ep_status status = ending_of(session, row, &ending, &inner);
    if (status == EP_OK) {
        status = ep_csv_call(app, "session_end", ending, &inner);
    }
    json_decref(ending);
    return status == EP_OK ? EP_OK : blame_after(&inner, err);
}

static ep_status light(ep_app *app, const json_t *rows, const json_t *lighting, ep_csv_outcome *o,
                       ep_err *err)
{
    json_t *answer = NULL, *row;
    ep_err inner = {0};
    ep_status status = ep_case_session_light(app, lighting, &answer, &inner);
    if (status != EP_OK) {
        return blame_candle(rows, &inner, o, err);
    }
    size_t i;
    json_array_foreach(rows, i, row)
    {
        if (status == EP_OK && json_object_get(row, "out_at")) {
            o->row = (int)i;
            status = put_out(app, ep_row_text(answer, "id"), row, err);
        }
    }
    json_decref(answer);
    o->done = EP_CSV_ADDED;
    return status;
}

/// The book's rows for the same candles in the same order.
static ep_status rows_there(ep_app *app, const char *session, const json_t *rows, json_t *there,
                            ep_csv_outcome *o, ep_err *err)
{
    json_t *list = NULL, *row;
    ep_bind bind[] = {ep_bind_text("session", session), ep_bind_null("recipe")};
    ep_status status = ep_store_json(app->store, EP_Q_CSV_SESSIONS, bind, 2, &list, err);
    size_t i;
    json_array_foreach(rows, i, row)
    {
        json_t *same = row_of_candle(list, ep_row_text(row, "candle"));
        if (status == EP_OK && !same) {
            o->row = (int)i;
            status =
                ep_err_set(err, EP_E_CONFLICT, "candles", "candles: %s was not lit in that session",
                           ep_row_text(row, "candle"));
        } else if (same) {
            json_array_append(there, same);
        }
    }
    json_decref(list);
    return status;
}

static ep_status end_agrees(ep_app *app, const char *session, const json_t *row,
                            const json_t *there, ep_csv_outcome *o, ep_err *err)
{
    json_t *said = NULL, *known = NULL;
    char field[64];
    if (!json_object_get(row, "out_at")) {
        return EP_OK;
    }
    if (!ep_row_text(there, "out_at")[0]) {
        o->done = EP_CSV_CHANGED;
        return put_out(app, session, row, err);
    }
    ep_status status = ending_of(session, row, &said, err);
    status = status == EP_OK ? ending_of(session, there, &known, err) : status;
    if (status == EP_OK && !ep_csv_agrees(said, known, field, sizeof field)) {
        const char *column =
            strcmp(field, "at") == 0 || strcmp(field, "reason") == 0 ? field : "after";
        status = ep_csv_differs("session with", ep_row_text(row, "candle"), column,
                                "correct it by readings", err);
    }
    json_decref(said);
    json_decref(known);
    return status;
}

static ep_status agree(ep_app *app, const char *session, const json_t *rows, const json_t *lighting,
                       ep_csv_outcome *o, ep_err *err)
{
    json_t *there = json_array(), *known = NULL;
    char field[64];
    ep_status status = rows_there(app, session, rows, there, o, err);
    status = status == EP_OK ? lighting_of(there, &known, err) : status;
    o->done = EP_CSV_SAME;
    if (status == EP_OK && !ep_csv_agrees(lighting, known, field, sizeof field)) {
        bool mass = strncmp(field, "masses.", 7) == 0;
        blame_row(rows, mass ? field + 7 : "", o);
        status = ep_csv_differs("session", session, mass ? "masses" : field,
                                "correct it by readings", err);
    }
    for (size_t i = 0; status == EP_OK && i < json_array_size(rows); i++) {
        o->row = (int)i;
        status =
            end_agrees(app, session, json_array_get(rows, i), json_array_get(there, i), o, err);
    }
    json_decref(there);
    json_decref(known);
    return status;
}

static ep_status take(ep_app *app, const json_t *given, ep_csv_outcome *o, ep_err *err)
{
    json_t *rows = json_deep_copy(given), *lighting = NULL, *row = NULL;
    ep_status status = settle(app, rows, o, err);
    if (status == EP_OK) {
        ep_err inner = {0};
        status = lighting_of(rows, &lighting, &inner);
        status = status == EP_OK ? status : blame_candle(rows, &inner, o, err);
    }
    if (status == EP_OK) {
        const char *id = ep_in_text(lighting, "id");
        snprintf(o->text, sizeof o->text, "%s, candles: %zu",
                 ep_row_text(json_array_get(rows, 0), "lit_at"), json_array_size(rows));
        ep_bind bind[] = {ep_bind_text("id", id)};
        status =
            id ? ep_store_one(app->store, EP_Q_SESSION_GET, bind, 1, &row, err) : EP_E_NOT_FOUND;
        status = status == EP_E_NOT_FOUND ? light(app, rows, lighting, o, err)
                 : status == EP_OK        ? agree(app, id, rows, lighting, o, err)
                                          : status;
    }
    json_decref(row);
    json_decref(rows);
    json_decref(lighting);
    return status;
}

const ep_csv_sheet ep_csv_sessions = {
    .key = "sessions",
    .label = "burn sessions, a row for each candle",
    .column = columns,
    .n_columns = EP_COUNT_OF(columns),
    .group = {"session", "lit_at"},
    .give = give,
    .take = take,
};
