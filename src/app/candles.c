// Candles: how far each has come, weighing one, ending its life.
#include <string.h>

#include "app/bench_int.h"
#include "base/text.h"
#include "base/uuid.h"

static const double ms_per_h = 3600e3;

static void row_copy(char *dst, size_t cap, const json_t *row, const char *key)
{
    ep_copy(dst, cap, ep_row_text(row, key));
}

// the later of the last weighing in a session and the last one outside
static double last_mass_g(const json_t *row)
{
    double burn_g = ep_row_real(row, "burn_mass_g"), event_g = ep_row_real(row, "event_mass_g");
    if (isnan(burn_g)) {
        return event_g;
    }
    bool event_later = ep_row_int(row, "event_mass_ms", 0) > ep_row_int(row, "burn_mass_ms", 0);
    return !isnan(event_g) && event_later ? event_g : burn_g;
}

// a weighed fill is better than a planned one, unless the empty container was another's
static double fill_kg(const json_t *row)
{
    double planned_g = ep_row_real(row, "wax_mass_g");
    double weighed_g = ep_row_real(row, "first_mass_g") - ep_row_real(row, "empty_mass_g");
    if (isnan(planned_g)) {
        return weighed_g * 1e-3;
    }
    bool plausible = weighed_g > 0.7 * planned_g && weighed_g < 1.3 * planned_g;
    return (plausible ? weighed_g : planned_g) * 1e-3;
}

void ep_candle_read(const json_t *row, ep_candle *c)
{
    *c = (ep_candle){0};
    row_copy(c->id, sizeof c->id, row, "id");
    row_copy(c->code, sizeof c->code, row, "code");
    row_copy(c->pour_id, sizeof c->pour_id, row, "pour_id");
    row_copy(c->recipe_id, sizeof c->recipe_id, row, "recipe_id");
    row_copy(c->recipe_name, sizeof c->recipe_name, row, "recipe_name");
    row_copy(c->revision_id, sizeof c->revision_id, row, "revision_id");
    row_copy(c->container_id, sizeof c->container_id, row, "container_id");
    row_copy(c->size_id, sizeof c->size_id, row, "size_id");
    row_copy(c->size_name, sizeof c->size_name, row, "size_name");
    row_copy(c->open_session, sizeof c->open_session, row, "open_session_id");
    row_copy(c->finish_reason, sizeof c->finish_reason, row, "finish_reason");
    c->revision = (int)ep_row_int(row, "revision", 0);
    c->wick_count = (int)ep_row_int(row, "wick_count", 1);
    c->sessions = (int)ep_row_int(row, "sessions", 0);
    c->poured_ms = ep_row_int(row, "poured_ms", 0);
    c->cure_burn_ms = ep_row_int(row, "cure_burn_ms", 0);
    c->last_end_ms = ep_row_int(row, "last_end_ms", 0);
    c->open_lit_ms = ep_row_int(row, "open_lit_ms", 0);
    c->finish_ms = ep_row_int(row, "finish_ms", 0);
    c->fill_height_m = ep_row_real(row, "fill_height_mm") * 1e-3;
    c->wax_kg = fill_kg(row);
    c->first_kg = ep_row_real(row, "first_mass_g") * 1e-3;
    c->mass_kg = last_mass_g(row) * 1e-3;
    c->empty_kg = ep_row_real(row, "empty_mass_g") * 1e-3;
    c->lit_s = ep_row_real(row, "burned_ms") * 1e-3;
}

ep_status ep_candle_load(ep_app *app, const char *key, const char *field, ep_candle *out,
                         ep_err *err)
{
    json_t *found = NULL, *row = NULL;
    ep_bind by_key[] = {ep_bind_text("key", key)};
    ep_status status = ep_store_one(app->store, EP_Q_CANDLE_FIND, by_key, 1, &found, err);
    if (status == EP_E_NOT_FOUND) {
        return ep_err_set(err, status, field, "%s: there is no candle “%.60s”; use its code", field,
                          key);
    }
    if (status == EP_OK) {
        ep_bind by_id[] = {ep_bind_text("id", ep_row_text(found, "id"))};
        status = ep_store_one(app->store, EP_Q_CANDLE_GET, by_id, 1, &row, err);
    }
    if (status == EP_OK) {
        ep_candle_read(row, out);
    }
    json_decref(found);
    json_decref(row);
    return status;
}

double ep_candle_left_kg(const ep_candle *c, double mass_kg)
{
    double left_kg = EP_NOT_KNOWN;
    if (!isnan(c->first_kg)) {
        left_kg = c->wax_kg - (c->first_kg - mass_kg);
    } else if (!isnan(c->empty_kg)) {
        left_kg = mass_kg - c->empty_kg;
    }
    return isnan(left_kg) ? EP_NOT_KNOWN : fmin(fmax(left_kg, 0.0), c->wax_kg);
}

ep_time_ms ep_candle_rest_until(ep_app *app, const ep_candle *c)
{
    if (c->last_end_ms == 0) {
        return 0;
    }
    return c->last_end_ms + (ep_time_ms)(ep_app_setting_number(app, "rest_h") * ms_per_h);
}

ep_candle_stage ep_candle_stage_at(ep_app *app, const ep_candle *c, ep_time_ms now)
{
    if (c->finish_ms != 0) {
        return EP_CANDLE_FINISHED;
    }
    if (c->open_session[0]) {
        return EP_CANDLE_LIT;
    }
    if (now < c->cure_burn_ms) {
        return EP_CANDLE_CURING;
    }
    return now < ep_candle_rest_until(app, c) ? EP_CANDLE_RESTING : EP_CANDLE_READY;
}

static const char *stage_key(ep_candle_stage stage)
{
    static const char *const key[] = {"curing", "ready", "lit", "resting", "finished"};
    return key[stage];
}

json_t *ep_shape_candle(ep_app *app, const ep_candle *c)
{
    ep_time_ms now = ep_app_now(app);
    ep_candle_stage stage = ep_candle_stage_at(app, c, now);
    double lit_ms = c->lit_s * 1e3 + (c->open_session[0] ? (double)(now - c->open_lit_ms) : 0.0);
    ep_time_ms rested = ep_candle_rest_until(app, c);
    json_t *o = json_object();
    ep_out_text(o, "id", c->id);
    ep_out_text(o, "code", c->code);
    ep_out_text(o, "recipe_id", c->recipe_id);
    ep_out_text(o, "recipe_name", c->recipe_name);
    ep_out_int(o, "revision", c->revision);
    ep_out_text(o, "pour_id", c->pour_id);
    ep_out_text(o, "size_id", c->size_id);
    ep_out_text(o, "size_name", c->size_name);
    ep_out_int(o, "wick_count", c->wick_count);
    ep_out_time(o, "poured_at", c->poured_ms);
    ep_out_time(o, "cure_burn_at", c->cure_burn_ms);
    ep_out_bool(o, "cured", now >= c->cure_burn_ms);
    ep_out_real(o, "cure_left_h", fmax(0.0, (double)(c->cure_burn_ms - now) / ms_per_h));
    ep_out_text(o, "state", stage_key(stage));
    ep_out_unit(o, "wax_mass_g", c->wax_kg, EP_U_G);
    ep_out_unit(o, "mass_g", c->mass_kg, EP_U_G);
    ep_out_real(o, "left_pct", 100.0 * ep_candle_left_kg(c, c->mass_kg) / c->wax_kg);
    ep_out_int(o, "sessions", c->sessions);
    ep_out_real(o, "lit_h", lit_ms / ms_per_h);
    if (stage == EP_CANDLE_FINISHED || stage == EP_CANDLE_LIT) {
        ep_out_null(o, "ready_at");
    } else {
        ep_out_time(o, "ready_at", rested > c->cure_burn_ms ? rested : c->cure_burn_ms);
    }
    return o;
}

json_t *ep_shape_candles(ep_app *app, const json_t *rows, int stage)
{
    json_t *list = json_array();
    size_t i;
    json_t *row;
    json_array_foreach(rows, i, row)
    {
        ep_candle c = {0};
        ep_candle_read(row, &c);
        if (stage < 0 || (int)ep_candle_stage_at(app, &c, ep_app_now(app)) == stage) {
            json_array_append_new(list, ep_shape_candle(app, &c));
        }
    }
    return list;
}

ep_status ep_candle_mass_check(const ep_candle *c, double mass_kg, const char *field, ep_err *err)
{
    // more cannot be gone than there was
    double lo_kg = fmax(isnan(c->empty_kg) ? 0.0 : c->empty_kg * 0.9,
                        isnan(c->first_kg) ? 0.0 : c->first_kg - c->wax_kg * 1.1);
    double hi_kg = !isnan(c->first_kg)   ? c->first_kg * 1.1
                   : !isnan(c->empty_kg) ? (c->empty_kg + c->wax_kg) * 1.3
                                         : c->wax_kg + 10.0;
    if (mass_kg >= lo_kg && mass_kg <= hi_kg) {
        return EP_OK;
    }
    return ep_err_set(err, EP_E_ARG, field,
                      "%s: candle %s cannot weigh %.1f g with its container; %.0f g to %.0f g",
                      field, c->code, mass_kg * 1e3, lo_kg * 1e3, hi_kg * 1e3);
}

ep_level ep_candle_level(const ep_vessel *v, double fill_height_m, double left_frac)
{
    ep_level l = {.level_m = fill_height_m};
    if (left_frac < 1.0) {
        double left_m3 = ep_vessel_volume_m3(v, fill_height_m) * fmax(left_frac, 0.0);
        ep_err ignored = {0};
        if (ep_vessel_height_of(v, left_m3, &l.level_m, &ignored) != EP_OK) {
            l.level_m = fill_height_m;
        }
    }
    l.inner_m = 2.0 * ep_vessel_radius_m(v, l.level_m);
    return l;
}

// --- cases ---

ep_status ep_case_candle_list(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    static const char *const key[] = {"curing", "ready", "lit", "resting", "finished"};
    char recipe[EP_ID_CAP] = "";
    int stage = -1;
    for (int i = 0; ep_in_has(in, "state") && i < EP_COUNT_OF(key); i++) {
        stage = strcmp(ep_in_text(in, "state"), key[i]) == 0 ? i : stage;
    }
    ep_status status = EP_OK;
    if (ep_in_has(in, "recipe")) {
        status = ep_find_recipe(app, ep_in_text(in, "recipe"), "recipe", recipe, err);
    }
    json_t *rows = NULL;
    ep_bind bind[] = {ep_bind_text("recipe", recipe)};
    if (status == EP_OK && recipe[0]) {
        status = ep_store_json(app->store, EP_Q_CANDLES_OF_RECIPE, bind, 1, &rows, err);
    } else if (status == EP_OK) {
        bool living = stage >= 0 && stage != EP_CANDLE_FINISHED;
        ep_query query = living ? EP_Q_CANDLES_UNFINISHED : EP_Q_CANDLES_ALL;
        status = ep_store_json(app->store, query, NULL, 0, &rows, err);
    }
    if (status == EP_OK) {
        *out = json_pack("{s:o}", "candles", ep_shape_candles(app, rows, stage));
    }
    json_decref(rows);
    return status;
}

ep_status ep_case_candle_show(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_candle c = {0};
    ep_status status = ep_candle_load(app, ep_in_text(in, "id"), "id", &c, err);
    if (status == EP_OK) {
        *out = ep_shape_candle(app, &c);
    }
    return status;
}

static ep_status event_add(ep_app *app, const ep_candle *c, const char *kind, double mass_kg,
                           const char *reason, ep_time_ms at, ep_err *err)
{
    ep_uuid id = ep_uuid_make(ep_app_now(app));
    ep_bind bind[] = {ep_bind_text("id", id.text),
                      ep_bind_text("candle", c->id),
                      ep_bind_text("kind", kind),
                      ep_bind_real("mass", mass_kg * 1e3),
                      ep_bind_text("reason", reason),
                      ep_bind_int("at", at),
                      ep_bind_null("note")};
    return ep_store_run(app->store, EP_Q_CANDLE_EVENT_ADD, bind, EP_COUNT_OF(bind), err);
}

static ep_status show_again(ep_app *app, const ep_candle *c, json_t **out, ep_err *err)
{
    ep_candle now = {0};
    ep_status status = ep_candle_load(app, c->id, "id", &now, err);
    if (status == EP_OK) {
        *out = ep_shape_candle(app, &now);
    }
    return status;
}

ep_status ep_case_candle_weigh(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_candle c = {0};
    double mass_kg = ep_in_real(in, "mass", EP_NOT_KNOWN);
    ep_time_ms at = ep_in_time(in, "at", ep_app_now(app));
    ep_status status = ep_candle_load(app, ep_in_text(in, "id"), "id", &c, err);
    if (status == EP_OK) {
        status = ep_time_check(app, at, c.poured_ms, "poured", "at", err);
    }
    if (status == EP_OK) {
        status = ep_candle_mass_check(&c, mass_kg, "mass", err);
    }
    int64_t there = 0;
    if (status == EP_OK) {
        ep_bind bind[] = {ep_bind_text("candle", c.id), ep_bind_int("at", at),
                          ep_bind_real("mass", mass_kg * 1e3)};
        status =
            ep_store_int(app->store, EP_Q_CANDLE_WEIGHED, bind, EP_COUNT_OF(bind), 0, &there, err);
    }
    if (status == EP_OK && there == 0) {
        status = event_add(app, &c, "weigh", mass_kg, NULL, at, err);
    }
    return status == EP_OK ? show_again(app, &c, out, err) : status;
}

// a candle that broke while it was tested tells the judge so
static ep_status tell_broken(ep_app *app, const ep_candle *c, ep_err *err)
{
    json_t *rows = NULL;
    ep_bind bind[] = {ep_bind_text("candle", c->id)};
    ep_status status = ep_store_json(app->store, EP_Q_BURNS_OF_CANDLE, bind, 1, &rows, err);
    size_t n = json_array_size(rows);
    if (status == EP_OK && n > 0) {
        const json_t *last = json_array_get(rows, n - 1);
        ep_time_ms now = ep_app_now(app), lit = ep_row_int(last, "lit_ms", now);
        status = ep_reading_note(app, ep_row_text(last, "session_id"), c->id, EP_READ_BROKEN, 1.0,
                                 (double)(now - lit) / 60e3, now, err);
    }
    json_decref(rows);
    return status;
}

ep_status ep_case_candle_finish(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_candle c = {0};
    const char *reason = ep_in_has(in, "reason") ? ep_in_text(in, "reason") : "end";
    ep_status status = ep_candle_load(app, ep_in_text(in, "id"), "id", &c, err);
    if (status != EP_OK) {
        return status;
    }
    if (c.open_session[0]) {
        return ep_err_set(err, EP_E_STATE, "id", "candle %s is lit; put it out first", c.code);
    }
    if (c.finish_ms != 0) {
        return strcmp(reason, c.finish_reason) == 0
                   ? show_again(app, &c, out, err)
                   : ep_err_set(err, EP_E_STATE, "id", "candle %s is finished already (%s)", c.code,
                                c.finish_reason);
    }
    status = event_add(app, &c, "finish", EP_NOT_KNOWN, reason, ep_app_now(app), err);
    if (status == EP_OK && strcmp(reason, "broken") == 0) {
        status = tell_broken(app, &c, err);
    }
    return status == EP_OK ? show_again(app, &c, out, err) : status;
}
