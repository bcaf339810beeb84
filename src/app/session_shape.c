// A burn session as the doors show it: its candles with what they burned and what was expected of
// them, what is due, what to be careful about.
#include <string.h>

#include "app/bench_int.h"

static const double ms_per_h = 3600e3, ms_per_min = 60e3;
static const double scale_slack_g = 1.0;      // two weighings on a kitchen scale
static const double fast_g_h = 15.0;          // per wick; twice what container candles burn
static const double nearly_gone_frac = 0.35;  // below this the stop height is worth looking at
static const double long_trim_mm = 10.0;

typedef struct view {
    json_t *row, *burns, *readings;  ///< of the store
    json_t *warnings;
    ep_time_ms now, lit_ms, end_ms;  ///< end: of the last candle; 0 while one is lit
    double planned_h;
} view;

// --- one candle ---

static json_t *expected_of(ep_app *app, const ep_candle *c, int number)
{
    static const char *const key[][2] = {{"reach_pct", "reach_pct"},
                                         {"depth_mid_mm", "depth_mid_mm"},
                                         {"flame_mm", "flame_max_mm"},
                                         {"wall_max_C", "wall_max_C"},
                                         {"rate_g_h", "rate_g_h"}};
    json_t *row = NULL, *o = NULL;
    ep_err none = {0};
    ep_bind bind[] = {ep_bind_text("revision", c->revision_id), ep_bind_text("size", c->size_id)};
    if (ep_store_one(app->store, EP_Q_FORECAST_SESSIONS, bind, 2, &row, &none) == EP_OK) {
        const json_t *session =
            json_array_get(json_object_get(row, "sessions"), (size_t)(number - 1));
        for (int i = 0; json_is_object(session) && i < EP_COUNT_OF(key); i++) {
            o = o ? o : json_object();
            ep_out_real(o, key[i][0], ep_row_real(session, key[i][1]));
        }
    }
    json_decref(row);
    return o ? o : json_null();
}

static void warn_mass(const view *v, const ep_candle *c, const json_t *burn, const json_t *before,
                      double rate_g_h)
{
    double before_g = ep_row_real(burn, "before_g"), last_g = ep_row_real(before, "after_g");
    if (before_g > last_g + scale_slack_g) {
        ep_warn(v->warnings,
                "%s weighed %.1f g before this session and %.1f g after the last: a "
                "candle gains no mass.",
                c->code, before_g, last_g);
    }
    if (rate_g_h > fast_g_h * c->wick_count) {
        ep_warn(v->warnings,
                "%s: the masses say %.1f g/h, which is very fast; check the scale and "
                "its unit.",
                c->code, rate_g_h);
    }
    if (isnan(before_g)) {
        ep_warn(v->warnings, "%s was not weighed before: its rate stays unknown.", c->code);
    }
}

static void warn_order(const view *v, const ep_candle *c, const json_t *burn)
{
    if (json_is_true(json_object_get(burn, "before_cure"))) {
        ep_warn(v->warnings,
                "%s was lit %.1f h before its cure was out: young wax flatters a wick, "
                "and the judge will say so.",
                c->code, (double)(c->cure_burn_ms - v->lit_ms) / ms_per_h);
    }
    if (json_is_true(json_object_get(burn, "before_rest"))) {
        ep_warn(v->warnings, "%s was lit before it had rested.", c->code);
    }
}

// the wax is at the height the label says stop at
static ep_status warn_stop(ep_app *app, const view *v, const ep_candle *c, double left_frac,
                           ep_err *err)
{
    if (c->finish_ms != 0 || !(left_frac < nearly_gone_frac)) {
        return EP_OK;
    }
    ep_revision r;
    ep_vessel vessel;
    ep_status status = ep_app_revision_by_id(app, c->revision_id, &r, err);
    if (status == EP_OK) {
        status = ep_app_container_load(app, c->container_id, &vessel, NULL, err);
    }
    if (status != EP_OK) {
        return status;
    }
    double level_m = ep_candle_level(&vessel, c->fill_height_m, left_frac).level_m;
    if (level_m <= r.stop_height_m) {
        ep_warn(v->warnings,
                "%s has %.0f mm of wax left, the stop height is %.0f mm: do not light it "
                "again; finish it.",
                c->code, level_m * 1e3, r.stop_height_m * 1e3);
    }
    return EP_OK;
}

static ep_status burn_before(ep_app *app, const char *candle_id, int number, json_t **out,
                             ep_err *err)
{
    json_t *rows = NULL;
    ep_bind bind[] = {ep_bind_text("candle", candle_id)};
    ep_status status = ep_store_json(app->store, EP_Q_BURNS_OF_CANDLE, bind, 1, &rows, err);
    if (status == EP_OK && number > 1) {
        *out = json_incref(json_array_get(rows, (size_t)(number - 2)));
    }
    json_decref(rows);
    return status;
}

static void burn_masses(json_t *o, const view *v, const ep_candle *c, const json_t *burn,
                        const json_t *before, double *left_frac)
{
    double before_g = ep_row_real(burn, "before_g"), after_g = ep_row_real(burn, "after_g");
    double lit_h = (double)(ep_row_int(burn, "end_ms", 0) - v->lit_ms) / ms_per_h;
    double rate_g_h = lit_h > 0.0 ? (before_g - after_g) / lit_h : EP_NOT_KNOWN;
    double seen_g = isnan(after_g) ? before_g : after_g;
    *left_frac = ep_candle_left_kg(c, seen_g * 1e-3) / c->wax_kg;
    ep_out_real(o, "before_g", before_g);
    ep_out_real(o, "after_g", after_g);
    ep_out_real(o, "burned_g", before_g - after_g);
    ep_out_real(o, "rate_g_h", rate_g_h);
    ep_out_real(o, "wax_left_pct", 100.0 * *left_frac);
    warn_mass(v, c, burn, before, rate_g_h);
}

static ep_status burn_shape(ep_app *app, const view *v, const json_t *burn, json_t **out,
                            ep_err *err)
{
    ep_candle c = {0};
    json_t *before = NULL;
    int number = (int)ep_row_int(burn, "number", 1);
    ep_status status = ep_candle_load(app, ep_row_text(burn, "candle_id"), "candle", &c, err);
    if (status == EP_OK) {
        status = burn_before(app, c.id, number, &before, err);
    }
    if (status != EP_OK) {
        return status;
    }
    double left_frac = EP_NOT_KNOWN;
    json_t *o = json_object();
    ep_out_text(o, "candle_id", c.id);
    ep_out_text(o, "code", c.code);
    ep_out_text(o, "size_name", c.size_name);
    ep_out_text(o, "recipe_id", c.recipe_id);
    ep_out_text(o, "recipe_name", c.recipe_name);
    ep_out_int(o, "number", number);
    json_object_set(o, "before_cure", json_object_get(burn, "before_cure"));
    json_object_set(o, "before_rest", json_object_get(burn, "before_rest"));
    burn_masses(o, v, &c, burn, before, &left_frac);
    json_object_set(o, "ended_at", json_object_get(burn, "ended_at"));
    json_object_set(o, "reason", json_object_get(burn, "reason"));
    ep_out_new(o, "expected", expected_of(app, &c, number));
    warn_order(v, &c, burn);
    bool last = c.sessions == number;
    status = last ? warn_stop(app, v, &c, left_frac, err) : EP_OK;
    json_decref(before);
    *out = o;
    return status;
}

// --- the session ---

static ep_status view_load(ep_app *app, const char *id, view *v, ep_err *err)
{
    ep_bind by_id[] = {ep_bind_text("id", id)};
    ep_bind by_session[] = {ep_bind_text("session", id)};
    ep_status status = ep_store_one(app->store, EP_Q_SESSION_GET, by_id, 1, &v->row, err);
    if (status == EP_E_NOT_FOUND) {
        return ep_err_set(err, status, "id", "id: there is no burn session “%.60s”", id);
    }
    if (status == EP_OK) {
        status = ep_store_json(app->store, EP_Q_SESSION_BURNS, by_session, 1, &v->burns, err);
    }
    if (status == EP_OK) {
        status =
            ep_store_json(app->store, EP_Q_READINGS_OF_SESSION, by_session, 1, &v->readings, err);
    }
    if (status != EP_OK) {
        return status;
    }
    v->now = ep_app_now(app);
    v->lit_ms = ep_row_int(v->row, "lit_ms", 0);
    v->planned_h = ep_row_real(v->row, "planned_h");
    size_t i;
    json_t *burn;
    json_array_foreach(v->burns, i, burn)
    {
        ep_time_ms end = ep_row_int(burn, "end_ms", 0);
        if (end == 0) {
            v->end_ms = 0;
            break;
        }
        v->end_ms = end > v->end_ms ? end : v->end_ms;
    }
    return EP_OK;
}

static void warn_session(ep_app *app, const view *v)
{
    ep_limit limit[EP_LIMIT_COUNT_];
    ep_err none = {0};
    double room_C = ep_row_real(v->row, "room_temp_C"), trim_mm = ep_row_real(v->row, "trim_mm");
    if (ep_app_limits_load(app, limit, &none) != EP_OK) {
        return;
    }
    if (room_C < limit[EP_LIMIT_ROOM_LO].value || room_C > limit[EP_LIMIT_ROOM_HI].value) {
        ep_warn(v->warnings,
                "room %.1f C is outside %.0f to %.0f C: only the hazards of this session "
                "will count.",
                room_C, limit[EP_LIMIT_ROOM_LO].value, limit[EP_LIMIT_ROOM_HI].value);
    }
    if ((double)ep_row_int(v->row, "draught", 0) >= limit[EP_LIMIT_DRAUGHT].value) {
        ep_warn(v->warnings, "draught: this session must be repeated in still air before a size is "
                             "judged by it.");
    }
    if (trim_mm > long_trim_mm) {
        ep_warn(v->warnings, "trim %.1f mm is long: flames grow and soot with it; was it meant?",
                trim_mm);
    }
    if (trim_mm < 1e3 * EP_SHORT_TRIM_M) {
        ep_warn(v->warnings, "trim %.1f mm is short: melt can put such a wick out; was it meant?",
                trim_mm);
    }
    double lit_h = (double)((v->end_ms ? v->end_ms : v->now) - v->lit_ms) / ms_per_h;
    if (v->end_ms == 0 && lit_h > v->planned_h + 0.25) {
        ep_warn(v->warnings,
                "lit for %.1f h, %.1f h were planned: put it out, or write down when it "
                "was.",
                lit_h, v->planned_h);
    }
}

static void out_due(ep_app *app, json_t *o, const view *v)
{
    double minute[EP_MAX_DUE], soonest = EP_NOT_KNOWN;
    int n = ep_due_minutes_of_all(app, v->burns, v->planned_h, minute);
    json_t *list = json_array(), *burn;
    for (int i = 0; i < n; i++) {
        json_array_append_new(list, json_real(ep_out_round(minute[i])));
    }
    ep_out_new(o, "due_minutes", list);
    size_t i;
    json_array_foreach(v->burns, i, burn)
    {
        if (ep_row_int(burn, "end_ms", 0) == 0) {
            double own[EP_MAX_DUE];
            int n_own = ep_due_minutes(app, ep_row_text(burn, "recipe_id"), v->planned_h, own);
            double last = ep_last_read_minute(v->readings, ep_row_text(burn, "candle_id"));
            double now_min = (double)(v->now - v->lit_ms) / ms_per_min;
            soonest = fmin(soonest, ep_due_waiting(own, n_own, last, now_min));
        }
    }
    if (isnan(soonest)) {
        ep_out_null(o, "next_due_at");
    } else {
        ep_out_time(o, "next_due_at", v->lit_ms + (ep_time_ms)(soonest * ms_per_min));
    }
}

static void out_times(ep_app *app, json_t *o, const view *v)
{
    ep_time_ms until = v->end_ms ? v->end_ms : v->now;
    json_object_set(o, "lit_at", json_object_get(v->row, "lit_at"));
    ep_out_real(o, "planned_h", v->planned_h);
    ep_out_bool(o, "open", v->end_ms == 0);
    ep_out_real(o, "minute", (double)(until - v->lit_ms) / ms_per_min);
    if (v->end_ms) {
        double rest_h = ep_app_setting_number(app, "rest_h");
        ep_out_time(o, "ended_at", v->end_ms);
        ep_out_time(o, "rest_until", v->end_ms + (ep_time_ms)(rest_h * ms_per_h));
    } else {
        ep_out_null(o, "ended_at");
        ep_out_null(o, "rest_until");
    }
}

static ep_status out_candles(ep_app *app, json_t *o, const view *v, ep_err *err)
{
    json_t *candles = json_array(), *burn;
    ep_status status = EP_OK;
    size_t i;
    json_array_foreach(v->burns, i, burn)
    {
        json_t *one = NULL;
        status = status == EP_OK ? burn_shape(app, v, burn, &one, err) : status;
        if (one) {
            json_array_append_new(candles, one);
        }
    }
    ep_out_new(o, "candles", candles);
    return status;
}

ep_status ep_shape_session(ep_app *app, const char *session_id, json_t **out, ep_err *err)
{
    view v = {.warnings = json_array()};
    json_t *o = json_object(), *readings = json_array(),
           *cautions = ep_cautions(EP_CAUTION_BURNING);
    ep_status status = view_load(app, session_id, &v, err);
    if (status == EP_OK) {
        ep_out_text(o, "id", session_id);
        out_times(app, o, &v);
        json_object_set(o, "room_temp_C", json_object_get(v.row, "room_temp_C"));
        json_object_set(o, "draught", json_object_get(v.row, "draught"));
        json_object_set(o, "trim_mm", json_object_get(v.row, "trim_mm"));
        warn_session(app, &v);
        status = out_candles(app, o, &v, err);
        out_due(app, o, &v);
    }
    size_t i;
    json_t *row;
    json_array_foreach(v.readings, i, row)
    {
        json_array_append_new(readings, ep_shape_reading(row));
    }
    ep_cautions_add(cautions, EP_CAUTION_GLASS);
    ep_out_new(o, "readings", readings);
    ep_out_new(o, "conflicts", ep_conflicts_of(v.readings));
    ep_out_new(o, "warnings", v.warnings);
    ep_out_new(o, "cautions", cautions);
    json_decref(v.row);
    json_decref(v.burns);
    json_decref(v.readings);
    if (status != EP_OK) {
        json_decref(o);
        return status;
    }
    *out = o;
    return EP_OK;
}
