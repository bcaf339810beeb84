// Case: forecasts made before a session against what was then read. A forecast counts when it was
// stored before the candle was lit and holds intervals; the newest such one is scored.
#include <math.h>
#include <string.h>

#include "app/learn_int.h"
#include "learn/score.h"

typedef struct tally {
    const char *key, *label, *unit;
    int n, hits;
    double crps, width, miss, interval;
} tally;

enum { KINDS = 5 };

static const tally KIND[KINDS] = {
    {.key = "rate_g_h", .label = "burn rate", .unit = "g/h"},
    {.key = "reach_pct", .label = "pool at the end, share of the width", .unit = "%"},
    {.key = "depth_mid_mm", .label = "pool depth at the end", .unit = "mm"},
    {.key = "wall_max_C", .label = "hottest outside", .unit = "C"},
    {.key = "flame_max_mm", .label = "tallest flame", .unit = "mm"},
};

static const json_t *band_for(const json_t *intervals, const char *key, int session)
{
    size_t i;
    json_t *row;
    json_array_foreach(json_object_get(intervals, key), i, row)
    {
        if (json_integer_value(json_object_get(row, "session")) == session) {
            return row;
        }
    }
    return NULL;
}

static void score_one(tally *t, const json_t *band, double fact, json_t *out)
{
    double lo = json_number_value(json_object_get(band, "p05"));
    double mid = json_number_value(json_object_get(band, "p50"));
    double hi = json_number_value(json_object_get(band, "p95"));
    bool hit = fact >= lo && fact <= hi;
    double crps = ep_crps_interval(lo, mid, hi, fact);
    t->n++;
    t->hits += hit;
    t->crps += crps;
    t->width += hi - lo;
    t->miss += fabs(fact - mid);
    t->interval += ep_interval_score(lo, hi, fact);
    json_t *o = json_object();
    ep_out_text(o, "key", t->key);
    ep_out_real(o, "p05", lo);
    ep_out_real(o, "p50", mid);
    ep_out_real(o, "p95", hi);
    ep_out_real(o, "fact", fact);
    ep_out_bool(o, "hit", hit);
    ep_out_real(o, "crps", crps);
    json_array_append_new(out, o);
}

// the last pool, and the extremes of the rest, of one session of one candle
static void facts_of(const json_t *row, const json_t *readings, double fact[KINDS])
{
    double minute = -1.0, depth_at = -1.0, wide_mm = EP_NOT_KNOWN;
    double before = ep_row_real(row, "before_g"), after = ep_row_real(row, "after_g");
    double hours = (double)(ep_row_int(row, "end_ms", 0) - ep_row_int(row, "lit_ms", 0)) / 3600e3;
    for (int k = 0; k < KINDS; k++) {
        fact[k] = EP_NOT_KNOWN;
    }
    fact[0] = hours > 0.3 ? (before - after) / hours : EP_NOT_KNOWN;
    size_t i;
    json_t *r;
    json_array_foreach((json_t *)(uintptr_t)readings, i, r)
    {
        if (ep_row_int(r, "session", 0) != ep_row_int(row, "number", -1)) {
            continue;
        }
        const char *kind = ep_row_text(r, "kind");
        double value = ep_row_real(r, "value"), at = ep_row_real(r, "minute");
        if (strcmp(kind, "pool_narrow") == 0 && at > minute) {
            minute = at;
            wide_mm = value;
        } else if (strcmp(kind, "pool_depth") == 0 && at > depth_at) {
            depth_at = at;
            fact[2] = value;
        } else if (strcmp(kind, "wall_temp") == 0) {
            fact[3] = isnan(fact[3]) ? value : fmax(fact[3], value);
        } else if (strcmp(kind, "flame") == 0) {
            fact[4] = isnan(fact[4]) ? value : fmax(fact[4], value);
        }
    }
    double inner_mm = ep_row_real(row, "inner_mm");
    fact[1] = 100.0 * wide_mm / inner_mm;
}

static ep_status score_session(ep_app *app, const json_t *row, tally *t, json_t *sessions,
                               ep_err *err)
{
    const ep_bind find[] = {ep_bind_text("revision", ep_row_text(row, "revision_id")),
                            ep_bind_text("size", ep_row_text(row, "size_id")),
                            ep_bind_int("before", ep_row_int(row, "lit_ms", 0))};
    json_t *forecast = NULL, *readings = NULL;
    ep_status s = ep_store_one(app->store, EP_Q_FORECAST_BEFORE, find, 3, &forecast, err);
    if (s == EP_E_NOT_FOUND) {
        return EP_OK;
    }
    const ep_bind of[] = {ep_bind_text("candle", ep_row_text(row, "candle_id"))};
    s = s == EP_OK ? ep_store_json(app->store, EP_Q_READINGS_THAT_HOLD, of, 1, &readings, err) : s;
    if (s == EP_OK) {
        ep_conflicts_yield(readings);
        double fact[KINDS];
        json_t *scores = json_array();
        int number = (int)ep_row_int(row, "number", 0);
        facts_of(row, readings, fact);
        for (int k = 0; k < KINDS; k++) {
            const json_t *band =
                band_for(json_object_get(forecast, "intervals"), KIND[k].key, number);
            if (band && isfinite(fact[k])) {
                score_one(&t[k], band, fact[k], scores);
            }
        }
        if (json_array_size(scores)) {
            json_t *o = json_object();
            ep_out_text(o, "session_id", ep_row_text(row, "session_id"));
            ep_out_text(o, "code", ep_row_text(row, "code"));
            ep_out_int(o, "number", number);
            ep_out_time(o, "lit_at", ep_row_int(row, "lit_ms", 0));
            ep_out_new(o, "scores", json_incref(scores));
            json_array_append_new(sessions, o);
        }
        json_decref(scores);
    }
    json_decref(forecast);
    json_decref(readings);
    return s;
}

static json_t *shape_tallies(const tally *t, int *scored, int *hits)
{
    json_t *list = json_array();
    for (int k = 0; k < KINDS; k++) {
        if (t[k].n == 0) {
            continue;
        }
        json_t *o = json_object();
        ep_out_text(o, "key", t[k].key);
        ep_out_text(o, "label", t[k].label);
        ep_out_text(o, "unit", t[k].unit);
        ep_out_int(o, "scored", t[k].n);
        ep_out_real(o, "inside_pct", 100.0 * t[k].hits / t[k].n);
        ep_out_real(o, "crps", t[k].crps / t[k].n);
        ep_out_real(o, "interval_score", t[k].interval / t[k].n);
        ep_out_real(o, "mean_width", t[k].width / t[k].n);
        ep_out_real(o, "mean_miss", t[k].miss / t[k].n);
        json_array_append_new(list, o);
        *scored += t[k].n;
        *hits += t[k].hits;
    }
    return list;
}

ep_status ep_case_record(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char recipe[EP_ID_CAP] = "";
    ep_status s = EP_OK;
    if (ep_in_has(in, "recipe")) {
        s = ep_find_recipe(app, ep_in_text(in, "recipe"), "recipe", recipe, err);
    }
    const ep_bind bind[] = {ep_bind_text("recipe", recipe[0] ? recipe : NULL)};
    json_t *rows = NULL, *sessions = json_array(), *row;
    s = s == EP_OK ? ep_store_json(app->store, EP_Q_SESSIONS_OVER, bind, 1, &rows, err) : s;
    tally t[KINDS];
    memcpy(t, KIND, sizeof t);
    size_t i;
    json_array_foreach(rows, i, row)
    {
        s = s == EP_OK ? score_session(app, row, t, sessions, err) : s;
    }
    json_decref(rows);
    if (s != EP_OK) {
        json_decref(sessions);
        return s;
    }
    int scored = 0, hits = 0;
    json_t *o = json_object();
    ep_out_new(o, "kinds", shape_tallies(t, &scored, &hits));
    ep_out_new(o, "sessions", sessions);
    ep_out_int(o, "scored", scored);
    if (scored) {
        ep_out_textf(o, "text",
                     "%d of %d readings fell inside their 90 %% interval (%.0f %%). Intervals are "
                     "honest when that is near 90.",
                     hits, scored, 100.0 * hits / scored);
    } else {
        ep_out_text(o, "text",
                    "No session had a forecast with intervals stored before it was lit. Plan, or "
                    "predict with members, before the next burn.");
    }
    *out = o;
    return EP_OK;
}
