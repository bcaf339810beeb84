// Today: what is lit, what is due, what may be lit, what rests and cures, what waits to be poured.
#include <stdlib.h>
#include <string.h>

#include "app/bench_int.h"

static const double ms_per_min = 60e3;

// one entry per candle that is lit: the readings that wait
static void due_of(const json_t *session, ep_app *app, json_t *due)
{
    double planned_h = ep_row_real(session, "planned_h"), now_min = ep_row_real(session, "minute");
    ep_time_ms lit_ms = ep_app_now(app) - (ep_time_ms)(now_min * ms_per_min);
    size_t i;
    json_t *c;
    json_array_foreach(json_object_get(session, "candles"), i, c)
    {
        const char *id = ep_row_text(c, "candle_id");
        double minute[EP_MAX_DUE];
        int n = ep_due_minutes(app, ep_row_text(c, "recipe_id"), planned_h, minute);
        double last = ep_last_read_minute(json_object_get(session, "readings"), id);
        double waits = ep_due_waiting(minute, n, last, now_min);
        if (ep_row_text(c, "ended_at")[0] || isnan(waits)) {
            continue;
        }
        json_t *o = json_object();
        json_object_set(o, "session_id", json_object_get(session, "id"));
        ep_out_text(o, "candle", id);
        json_object_set(o, "code", json_object_get(c, "code"));
        ep_out_new(o, "kinds", ep_due_kinds(waits, planned_h * 60.0));
        ep_out_real(o, "minute", waits);
        ep_out_time(o, "due_at", lit_ms + (ep_time_ms)(waits * ms_per_min));
        ep_out_real(o, "overdue_min", fmax(0.0, now_min - waits));
        json_array_append_new(due, o);
    }
}

/// An entry of `due` with what it is sorted by.
typedef struct waits {
    const char *due_at, *code;
    json_t *entry;
} waits;

static int soonest_first(const void *a, const void *b)
{
    const waits *x = a, *y = b;
    int by_time = strcmp(x->due_at, y->due_at);
    return by_time ? by_time : strcmp(x->code, y->code);
}

static json_t *sorted(json_t *list)
{
    size_t n = json_array_size(list);
    waits *item = calloc(n + 1, sizeof *item);
    if (!item) {
        return list;
    }
    json_t *out = json_array();
    for (size_t i = 0; i < n; i++) {
        json_t *entry = json_array_get(list, i);
        item[i] = (waits){ep_row_text(entry, "due_at"), ep_row_text(entry, "code"), entry};
    }
    qsort(item, n, sizeof *item, soonest_first);
    for (size_t i = 0; i < n; i++) {
        json_array_append(out, item[i].entry);
    }
    free(item);
    json_decref(list);
    return out;
}

static ep_status out_lit(ep_app *app, json_t *o, ep_err *err)
{
    json_t *rows = NULL, *row, *lit = json_array(), *due = json_array();
    ep_status status = ep_store_json(app->store, EP_Q_SESSIONS_OPEN, NULL, 0, &rows, err);
    size_t i;
    json_array_foreach(rows, i, row)
    {
        json_t *session = NULL;
        status =
            status == EP_OK ? ep_shape_session(app, ep_row_text(row, "id"), &session, err) : status;
        if (session) {
            due_of(session, app, due);
            json_array_append_new(lit, session);
        }
    }
    json_decref(rows);
    ep_out_new(o, "lit", lit);
    ep_out_new(o, "due", sorted(due));
    return status;
}

static ep_status out_candles(ep_app *app, json_t *o, ep_err *err)
{
    json_t *rows = NULL;
    ep_status status = ep_store_json(app->store, EP_Q_CANDLES_UNFINISHED, NULL, 0, &rows, err);
    ep_out_new(o, "ready", ep_shape_candles(app, rows, EP_CANDLE_READY));
    ep_out_new(o, "resting", ep_shape_candles(app, rows, EP_CANDLE_RESTING));
    ep_out_new(o, "curing", ep_shape_candles(app, rows, EP_CANDLE_CURING));
    json_decref(rows);
    return status;
}

// described or planned, not archived, and nothing of it poured
static bool waits_for_pour(const json_t *line)
{
    const char *state = ep_row_text(line, "state");
    bool early = strcmp(state, "described") == 0 || strcmp(state, "planned") == 0;
    return early && !json_is_true(json_object_get(line, "archived")) &&
           ep_row_int(line, "candles_poured", 0) == 0;
}

static ep_status out_to_pour(ep_app *app, json_t *o, ep_err *err)
{
    json_t *rows = NULL, *row, *list = json_array();
    ep_status status = ep_store_json(app->store, EP_Q_RECIPES_NOT_POURED, NULL, 0, &rows, err);
    size_t i;
    json_array_foreach(rows, i, row)
    {
        json_t *line = NULL;
        status = status == EP_OK ? ep_shape_recipe_line(app, ep_row_text(row, "id"), &line, err)
                                 : status;
        if (line && waits_for_pour(line)) {
            json_array_append(list, line);
        }
        json_decref(line);
    }
    json_decref(rows);
    ep_out_new(o, "to_pour", list);
    return status;
}

ep_status ep_case_today(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    (void)in;
    json_t *o = json_object();
    ep_out_time(o, "now", ep_app_now(app));
    ep_status status = out_lit(app, o, err);
    if (status == EP_OK) {
        status = out_candles(app, o, err);
    }
    if (status == EP_OK) {
        status = out_to_pour(app, o, err);
    }
    // what burns now matters most
    json_t *cautions = json_array();
    if (json_array_size(json_object_get(o, "lit")) > 0) {
        ep_cautions_add(cautions, EP_CAUTION_BURNING);
        ep_cautions_add(cautions, EP_CAUTION_GLASS);
    }
    ep_out_new(o, "cautions", cautions);
    if (status != EP_OK) {
        json_decref(o);
        return status;
    }
    *out = o;
    return EP_OK;
}
