// Readings: what was seen at a burning candle, by kind and minute. Rows are only added; a
// correction is a new row that names the old one. Each new reading is judged at once for what means
// "put it out".
#include <string.h>

#include "app/bench_int.h"
#include "base/uuid.h"

// a pool is still liquid and a wall still hot for a moment after the flame is out
static const double grace_min = 10.0;
static const double ms_per_min = 60e3;
static const double most_minutes = 100000.0;

// --- which candle, which session ---

static ep_status session_of(ep_app *app, const json_t *in, ep_seen *s, ep_err *err)
{
    const char *given = ep_in_text(in, "session");
    const char *session = given ? given : s->candle.open_session;
    json_t *rows = NULL, *row;
    ep_bind bind[] = {ep_bind_text("candle", s->candle.id)};
    ep_status status = ep_store_json(app->store, EP_Q_BURNS_OF_CANDLE, bind, 1, &rows, err);
    bool found = false;
    size_t i;
    json_array_foreach(rows, i, row)
    {
        // without a session: the one it is lit in, else the last
        const char *id = ep_row_text(row, "session_id");
        if (session[0] == '\0' || strcmp(id, session) == 0) {
            snprintf(s->session, sizeof s->session, "%s", id);
            s->lit_ms = ep_row_int(row, "lit_ms", 0);
            s->end_ms = ep_row_int(row, "end_ms", 0);
            s->before_g = ep_row_real(row, "before_g");
            found = true;
        }
    }
    json_decref(rows);
    if (status != EP_OK || found) {
        return status;
    }
    return given ? ep_err_set(err, EP_E_NOT_FOUND, "session",
                              "session: candle %s was not lit in “%.60s”", s->candle.code, given)
                 : ep_err_set(err, EP_E_STATE, "candle", "candle: %s was never lit; light it first",
                              s->candle.code);
}

ep_status ep_seen_find(ep_app *app, const json_t *in, ep_seen *s, ep_err *err)
{
    ep_status status = ep_candle_load(app, ep_in_text(in, "candle"), "candle", &s->candle, err);
    return status == EP_OK ? session_of(app, in, s, err) : status;
}

// --- when ---

static bool only_while_lit(ep_reading_kind kind)
{
    static const bool lit[EP_READ_COUNT_] = {
        [EP_READ_POOL_WIDE] = true,    [EP_READ_POOL_NARROW] = true, [EP_READ_POOL_DEPTH] = true,
        [EP_READ_POOL_AT_WALL] = true, [EP_READ_FLAME] = true,       [EP_READ_FLICKER] = true,
        [EP_READ_SMOKE] = true,        [EP_READ_WALL_GAP] = true,    [EP_READ_WALL_TEMP] = true,
        [EP_READ_RIM_TEMP] = true,     [EP_READ_BASE_TEMP] = true,
    };
    return lit[kind];
}

ep_status ep_seen_minute(ep_app *app, const json_t *in, const ep_seen *s, bool lit, double *minute,
                         ep_err *err)
{
    double now_min = (double)(ep_app_now(app) - s->lit_ms) / ms_per_min;
    double end_min = s->end_ms ? (double)(s->end_ms - s->lit_ms) / ms_per_min : now_min;
    double last_min = lit ? fmin(end_min + grace_min, now_min + 1.0) : now_min + 1.0;
    last_min = fmin(last_min, most_minutes);
    if (ep_in_has(in, "minute") && ep_in_has(in, "at")) {
        return ep_err_set(err, EP_E_ARG, "minute", "minute: give either minute or at, not both");
    }
    double m = lit ? fmin(now_min, end_min) : now_min;
    const char *field = "minute";
    if (ep_in_has(in, "minute")) {
        m = ep_in_real(in, "minute", 0.0) / 60.0;
    } else if (ep_in_has(in, "at")) {
        m = (double)(ep_in_time(in, "at", 0) - s->lit_ms) / ms_per_min;
        field = "at";
    }
    if (!(m >= 0.0 && m <= last_min)) {
        return ep_err_set(err, EP_E_ARG, field,
                          "%s: %.1f min after lighting is outside 0 min to %.1f min (%s)", field, m,
                          fmax(last_min, 0.0), lit && s->end_ms ? "put out" : "now");
    }
    *minute = ep_out_round(m);
    return EP_OK;
}

// --- what ---

static ep_status kind_of(const json_t *in, ep_reading_kind *kind, ep_err *err)
{
    const char *key = ep_in_text(in, "kind");
    if (ep_reading_find(key, kind)) {
        return EP_OK;
    }
    char list[300] = "";
    size_t len = 0;
    for (int k = 0; k < EP_READ_COUNT_ && len < sizeof list - 1; k++) {
        int more = snprintf(list + len, sizeof list - len, "%s%s", k ? ", " : "",
                            ep_reading_def_of((ep_reading_kind)k)->key);
        len += (size_t)more;
    }
    return ep_err_set(err, EP_E_ARG, "kind", "kind: “%.40s” is none of %s", key, list);
}

static ep_status flag_of(const json_t *value, const char *field, double *out, ep_err *err)
{
    static const char *const yes[] = {"yes", "true", "y", "1"};
    static const char *const no[] = {"no", "false", "n", "0"};
    const char *text = json_string_value(value);
    if (json_is_boolean(value)) {
        *out = json_is_true(value) ? 1.0 : 0.0;
        return EP_OK;
    }
    for (int i = 0; text && i < EP_COUNT_OF(yes); i++) {
        if (strcasecmp(text, yes[i]) == 0 || strcasecmp(text, no[i]) == 0) {
            *out = strcasecmp(text, yes[i]) == 0 ? 1.0 : 0.0;
            return EP_OK;
        }
    }
    if (json_is_number(value)) {
        *out = json_number_value(value);
        return EP_OK;
    }
    return ep_err_set(err, EP_E_PARSE, field, "%s: “%.40s” is not yes or no", field,
                      text ? text : "");
}

static ep_status value_of(const json_t *in, ep_reading_kind kind, double inner_m, double *out,
                          ep_err *err)
{
    const ep_reading_def *def = ep_reading_def_of(kind);
    const json_t *value = ep_in_any(in, "value");
    ep_status status;
    if (def->type == 'F') {
        status = flag_of(value, def->key, out, err);
    } else if (json_is_boolean(value)) {
        status = ep_err_set(err, EP_E_PARSE, def->key, "%s: a number is needed here, %g to %g",
                            def->key, def->min, def->max);
    } else {
        double si = 0.0;
        status = ep_value_si(value, def->unit, def->min, def->max, def->key, &si, err);
        *out = ep_out_round(ep_unit_from_si(def->unit, si));
    }
    return status == EP_OK ? ep_reading_check(kind, *out, inner_m, err) : status;
}

// Widest inner diameter at or below the level the session began at: a wider pool cannot be.
static ep_status widest_of(ep_app *app, const ep_seen *s, double *inner_m, ep_err *err)
{
    ep_vessel v;
    ep_status status = ep_app_container_load(app, s->candle.container_id, &v, NULL, err);
    if (status != EP_OK) {
        return status;
    }
    double left_kg = ep_candle_left_kg(&s->candle, s->before_g * 1e-3);
    ep_level at = ep_candle_level(&v, s->candle.fill_height_m, left_kg / s->candle.wax_kg);
    double least_m = 0.0;
    ep_vessel_width_range_m(&v, at.level_m, &least_m, inner_m);
    return EP_OK;
}

// --- keeping ---

static ep_status reading_row(ep_app *app, const char *id, const char *field, json_t **row,
                             ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("id", id)};
    ep_status status = ep_store_one(app->store, EP_Q_READING_GET, bind, 1, row, err);
    return status == EP_E_NOT_FOUND
               ? ep_err_set(err, status, field, "%s: there is no reading “%.60s”", field, id)
               : status;
}

// the end of the chain of corrections that begins at `row`; new reference
static ep_status newest_of(ep_app *app, json_t *row, json_t **out, ep_err *err)
{
    json_t *at = json_incref(row);
    ep_status status = EP_OK;
    while (status == EP_OK && ep_row_text(at, "corrected_by")[0]) {
        json_t *next = NULL;
        status = reading_row(app, ep_row_text(at, "corrected_by"), "corrects", &next, err);
        json_decref(at);
        at = next;
    }
    *out = at;
    return status;
}

static ep_status already_corrected(ep_app *app, json_t *row, const char *field, ep_err *err)
{
    json_t *now = NULL;
    char was[40], is[40], at[40];
    ep_status status = newest_of(app, row, &now, err);
    if (status == EP_OK) {
        ep_time_format(ep_row_int(now, "created_ms", 0), at, sizeof at);
        status = ep_err_set(err, EP_E_CONFLICT, field,
                            "%s: %s, %s at %.0f min was corrected already, from %s to %s (%s at "
                            "%.0f min, entered %.10s %.5s UTC); correct that one instead",
                            field, ep_row_text(row, "code"), ep_reading_label(row),
                            ep_row_real(row, "minute"), ep_reading_words(row, was, sizeof was),
                            ep_reading_words(now, is, sizeof is), ep_row_text(now, "code"),
                            ep_row_real(now, "minute"), at, at + 11);
    }
    json_decref(now);
    return status;
}

ep_status ep_reading_standing(ep_app *app, const char *id, const char *field, json_t **row,
                              ep_err *err)
{
    ep_status status = reading_row(app, id, field, row, err);
    if (status == EP_OK && ep_row_text(*row, "corrected_by")[0]) {
        status = already_corrected(app, *row, field, err);
    }
    return status;
}

static ep_status corrects_check(ep_app *app, const char *id, const ep_seen *s, ep_err *err)
{
    json_t *row = NULL;
    ep_status status = reading_row(app, id, "corrects", &row, err);
    if (status == EP_OK && strcmp(ep_row_text(row, "session_id"), s->session) != 0) {
        status =
            ep_err_set(err, EP_E_ARG, "corrects",
                       "corrects: that reading belongs to another session; a correction stays in "
                       "its own");
    }
    if (status == EP_OK && ep_row_text(row, "corrected_by")[0]) {
        status = already_corrected(app, row, "corrects", err);
    }
    json_decref(row);
    return status;
}

static ep_status reading_insert(ep_app *app, const char *id, const char *session,
                                const char *candle, ep_reading_kind kind, double value,
                                double minute, ep_time_ms seen, const char *corrects,
                                const char *note, ep_err *err)
{
    const ep_reading_def *def = ep_reading_def_of(kind);
    ep_bind bind[] = {
        ep_bind_text("id", id),
        ep_bind_text("session", session),
        ep_bind_text("candle", candle),
        ep_bind_text("kind", def->key),
        ep_bind_text("unit", ep_unit_symbol(def->unit)),
        ep_bind_real("value", value),
        ep_bind_real("minute", minute),
        ep_bind_int("seen", seen),
        ep_bind_text("corrects", corrects),
        ep_bind_text_or_null("note", note),
        ep_bind_int("at", ep_app_now(app)),
    };
    return ep_store_run(app->store, EP_Q_READING_ADD, bind, EP_COUNT_OF(bind), err);
}

ep_status ep_reading_note(ep_app *app, const char *session_id, const char *candle_id,
                          ep_reading_kind kind, double value, double minute, ep_time_ms seen,
                          ep_err *err)
{
    ep_uuid id = ep_uuid_make(ep_app_now(app));
    return reading_insert(app, id.text, session_id, candle_id, kind, value,
                          fmin(fmax(minute, 0.0), most_minutes), seen, NULL, NULL, err);
}

json_t *ep_shape_reading(const json_t *row)
{
    static const char *const same[] = {"id",   "session_id", "candle_id", "code",
                                       "kind", "unit",       "value",     "minute",
                                       "at",   "note",       "corrects",  "corrected_by"};
    json_t *o = json_object();
    for (int i = 0; i < EP_COUNT_OF(same); i++) {
        json_object_set(o, same[i], json_object_get(row, same[i]));
    }
    ep_out_text(o, "label", ep_reading_label(row));
    return o;
}

// the reading as kept, and the conflict it is in, if any
static ep_status reading_show(ep_app *app, const char *id, json_t **out, ep_err *err)
{
    json_t *row = NULL, *conflicts = NULL;
    ep_status status = reading_row(app, id, "id", &row, err);
    if (status == EP_OK) {
        status = ep_conflicts_around(app, row, &conflicts, err);
    }
    if (status == EP_OK) {
        json_t *conflict = ep_conflict_with(conflicts, id);
        *out = ep_shape_reading(row);
        if (conflict) {
            json_object_set(*out, "conflict", conflict);
        }
    }
    json_decref(conflicts);
    json_decref(row);
    return status;
}

static ep_status reading_add(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_seen s = {0};
    ep_reading_kind kind = EP_READ_POOL_WIDE;
    double inner_m = 0.0, value = 0.0, minute = 0.0;
    char id[EP_ID_CAP];
    const char *corrects = ep_in_text(in, "corrects");
    ep_in_new_id(app, in, id);
    ep_status status = kind_of(in, &kind, err);
    if (status == EP_OK) {
        status = ep_seen_find(app, in, &s, err);
    }
    if (status == EP_OK) {
        status = widest_of(app, &s, &inner_m, err);
    }
    if (status == EP_OK) {
        status = value_of(in, kind, inner_m, &value, err);
    }
    if (status == EP_OK && kind == EP_READ_MASS) {
        status = ep_candle_mass_check(&s.candle, value * 1e-3, "mass", err);
    }
    if (status == EP_OK) {
        status = ep_seen_minute(app, in, &s, only_while_lit(kind), &minute, err);
    }
    if (status == EP_OK && corrects) {
        status = corrects_check(app, corrects, &s, err);
    }
    if (status == EP_OK) {
        ep_time_ms seen = s.lit_ms + (ep_time_ms)llround(minute * ms_per_min);
        status = reading_insert(app, id, s.session, s.candle.id, kind, value, minute, seen,
                                corrects, ep_in_text(in, "note"), err);
    }
    return status == EP_OK ? reading_show(app, id, out, err) : status;
}

ep_status ep_reading_said(const json_t *in, ep_reading_kind *kind, double *value, ep_err *err)
{
    // whether it fits the candle is asked when it is kept
    const double any_m = 10.0;
    ep_err inner = {0};
    ep_status status = kind_of(in, kind, err);
    if (status != EP_OK) {
        return status;
    }
    status = value_of(in, *kind, any_m, value, &inner);
    return status == EP_OK ? EP_OK : ep_err_set(err, status, "value", "%s", inner.text);
}

ep_status ep_reading_put(ep_app *app, const json_t *in, ep_err *err)
{
    json_t *shown = NULL;
    ep_status status = reading_add(app, in, &shown, err);
    json_decref(shown);
    return status;
}

// --- what means "put it out" ---

static bool cites(const json_t *finding, const json_t *readings)
{
    size_t i;
    json_t *reading;
    json_array_foreach(readings, i, reading)
    {
        size_t k;
        json_t *ref;
        json_array_foreach(json_object_get(finding, "readings"), k, ref)
        {
            if (json_equal(ref, json_object_get(reading, "id"))) {
                return true;
            }
        }
    }
    return false;
}

// stop-now findings of one candle that rest on any of these readings, added to `stop`
static ep_status stop_of(ep_app *app, const char *candle_id, const json_t *readings, json_t *stop,
                         ep_err *err)
{
    ep_candle c = {0};
    ep_verdict v;
    json_t *shape = NULL, *finding;
    ep_status status = ep_candle_load(app, candle_id, "candle", &c, err);
    if (status == EP_OK) {
        status = ep_judge_candles(app, &c, 1, &v, &shape, err);
    }
    size_t i;
    json_array_foreach(json_object_get(shape, "findings"), i, finding)
    {
        if (strcmp(ep_row_text(finding, "weight"), ep_weight_key(EP_STOP)) == 0 &&
            cites(finding, readings)) {
            json_array_append(stop, finding);
        }
    }
    json_decref(shape);
    return status;
}

static ep_status stop_of_all(ep_app *app, const json_t *readings, json_t *stop, ep_err *err)
{
    json_t *judged = json_object(), *reading;
    ep_status status = EP_OK;
    size_t i;
    json_array_foreach(readings, i, reading)
    {
        const char *candle = ep_row_text(reading, "candle_id");
        if (status == EP_OK && candle[0] && !json_object_get(judged, candle)) {
            json_object_set_new(judged, candle, json_true());
            status = stop_of(app, candle, readings, stop, err);
        }
    }
    json_decref(judged);
    return status;
}

// --- cases ---

ep_status ep_case_reading_add(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    json_t *reading = NULL, *stop = json_array();
    ep_status status = reading_add(app, in, &reading, err);
    if (status == EP_OK) {
        json_t *one = json_pack("[O]", reading);
        status = stop_of_all(app, one, stop, err);
        json_decref(one);
    }
    if (status == EP_OK && json_array_size(stop) > 0) {
        json_object_set(reading, "stop", stop);
    }
    json_decref(stop);
    if (status != EP_OK) {
        json_decref(reading);
        return status;
    }
    *out = reading;
    return EP_OK;
}

static json_t *error_shape(const ep_err *e)
{
    json_t *error = json_object();
    ep_out_text(error, "status", ep_status_name(e->status));
    ep_out_text(error, "field", e->field);
    ep_out_text(error, "text", e->text);
    return json_pack("{s:o}", "error", error);
}

// one element of a batch: its own check, its own receipt
static ep_status batch_one(ep_app *app, const json_t *item, size_t i, json_t **out, ep_err *err)
{
    const ep_use_case *one = ep_use_case_find("reading_add");
    char prefix[32];
    json_t *checked = NULL;
    snprintf(prefix, sizeof prefix, "readings[%zu].", i + 1);
    ep_status status = ep_fields_check(one->field, one->n_fields, item, prefix, &checked, err);
    const char *id = status == EP_OK ? ep_in_text(checked, "id") : NULL;
    if (id) {
        status = ep_receipt_find(app, id, "reading_add", checked, out, err);
    }
    if (status == EP_OK && !*out) {
        status = reading_add(app, checked, out, err);
        if (status == EP_OK && id) {
            status = ep_receipt_keep(app, id, "reading_add", checked, *out, err);
        }
    }
    json_decref(checked);
    return status;
}

ep_status ep_case_reading_batch(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    json_t *list = json_array(), *stop = json_array(), *item;
    ep_status status = EP_OK;
    size_t i;
    json_array_foreach(ep_in_any(in, "readings"), i, item)
    {
        ep_err own = {0};
        json_t *one = NULL;
        status = ep_store_begin(app->store, true, "one reading of a batch", err);
        if (status != EP_OK) {
            break;
        }
        ep_status mine = batch_one(app, item, i, &one, &own);
        if (mine == EP_OK) {
            status = ep_store_commit(app->store, err);
            json_array_append_new(list, one);
        } else {
            ep_store_rollback(app->store);
            json_decref(one);
            ep_err_set(&own, mine, "", "%s", ep_status_text(mine));
            json_array_append_new(list, error_shape(&own));
        }
    }
    if (status == EP_OK) {
        status = stop_of_all(app, list, stop, err);
    }
    if (status == EP_OK) {
        *out = json_pack("{s:O, s:O}", "readings", list, "stop", stop);
    }
    json_decref(list);
    json_decref(stop);
    return status;
}

ep_status ep_case_reading_list(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    json_t *rows = NULL, *list = json_array(), *row;
    const char *session = ep_in_text(in, "session");
    ep_status status;
    if (ep_in_has(in, "candle")) {
        ep_candle c = {0};
        status = ep_candle_load(app, ep_in_text(in, "candle"), "candle", &c, err);
        ep_bind bind[] = {ep_bind_text("candle", c.id), ep_bind_text("session", session)};
        status = status == EP_OK
                     ? ep_store_json(app->store, EP_Q_READINGS_OF_CANDLE, bind, 2, &rows, err)
                     : status;
    } else if (session) {
        ep_bind bind[] = {ep_bind_text("session", session)};
        status = ep_store_json(app->store, EP_Q_READINGS_OF_SESSION, bind, 1, &rows, err);
    } else if (ep_in_has(in, "recipe")) {
        char recipe[EP_ID_CAP] = "";
        status = ep_find_recipe(app, ep_in_text(in, "recipe"), "recipe", recipe, err);
        ep_bind bind[] = {ep_bind_text("recipe", recipe)};
        status = status == EP_OK
                     ? ep_store_json(app->store, EP_Q_READINGS_OF_RECIPE, bind, 1, &rows, err)
                     : status;
    } else {
        status =
            ep_err_set(err, EP_E_ARG, "candle", "candle: one of candle, session, recipe is needed");
    }
    json_t *conflicts = ep_conflicts_of(rows);
    size_t i;
    json_array_foreach(rows, i, row)
    {
        json_array_append_new(list, ep_shape_reading(row));
    }
    json_decref(rows);
    if (status == EP_OK) {
        *out = json_pack("{s:O, s:O}", "readings", list, "conflicts", conflicts);
    }
    json_decref(list);
    json_decref(conflicts);
    return status;
}
