// Burn sessions: lighting several candles together, putting them out, weighing them after.
#include <stdio.h>
#include <string.h>

#include "app/bench_int.h"
#include "base/uuid.h"

enum { MOST_LIT = 60 };

static const double ms_per_h = 3600e3, ms_per_min = 60e3;
static const double scale_slack_kg = 0.0005;
// burns at the same hour every day come a little early now and then
static const double rest_slack_frac = 0.05;
// a cure is counted in days, from one evening to another day's morning (common practice, no source)
static const double cure_slack_frac = 0.05, cure_slack_ms = 12.0 * 3600e3;

// --- which candles ---

static ep_status candle_at(ep_app *app, const json_t *list, size_t i, ep_candle *out, ep_err *err)
{
    const json_t *key = json_array_get(list, i);
    char number[32];
    if (json_is_integer(key)) {
        snprintf(number, sizeof number, "%lld", (long long)json_integer_value(key));
        return ep_candle_load(app, number, "candles", out, err);
    }
    if (!json_is_string(key)) {
        return ep_err_set(err, EP_E_PARSE, "candles", "candles: codes or ids are needed here");
    }
    return ep_candle_load(app, json_string_value(key), "candles", out, err);
}

// the entry of `masses` for a candle, by code or id; NaN when there is none
static double mass_of(json_t *masses, const ep_candle *c)
{
    const char *key;
    json_t *value;
    json_object_foreach(masses, key, value)
    {
        if (strcasecmp(key, c->code) == 0 || strcmp(key, c->id) == 0) {
            return json_number_value(value);
        }
    }
    return EP_NOT_KNOWN;
}

// every mass must belong to one of these candles: a typed code that fits none must not be lost
static ep_status masses_belong(json_t *masses, const ep_candle *list, int n, ep_err *err)
{
    const char *key;
    json_t *value;
    json_object_foreach(masses, key, value)
    {
        bool known = false;
        for (int i = 0; i < n; i++) {
            known = known || strcasecmp(key, list[i].code) == 0 || strcmp(key, list[i].id) == 0;
        }
        if (!known) {
            return ep_err_set(err, EP_E_ARG, "masses",
                              "masses: “%.40s” is none of the candles of this session", key);
        }
    }
    return EP_OK;
}

// --- lighting ---

static ep_status may_light(ep_app *app, const ep_candle *c, ep_time_ms lit_ms, ep_err *err)
{
    if (c->finish_ms != 0) {
        return ep_err_set(err, EP_E_STATE, "candles", "candles: %s is finished (%s)", c->code,
                          c->finish_reason);
    }
    if (c->open_session[0]) {
        return ep_err_set(err, EP_E_STATE, "candles",
                          "candles: %s is lit already; put it out in its session first", c->code);
    }
    bool burned = c->last_end_ms > c->poured_ms;
    return ep_time_check(app, lit_ms, burned ? c->last_end_ms : c->poured_ms,
                         burned ? "last put out" : "poured", "lit_at", err);
}

static ep_status candles_to_light(ep_app *app, const json_t *in, ep_time_ms lit_ms, ep_candle *list,
                                  int *n, ep_err *err)
{
    const json_t *keys = ep_in_any(in, "candles");
    *n = 0;
    ep_status all = EP_OK;
    for (size_t i = 0; i < json_array_size(keys); i++) {
        ep_candle *c = &list[*n];
        ep_err_next(err);
        ep_status status = candle_at(app, keys, i, c, err);
        if (status == EP_OK) {
            status = may_light(app, c, lit_ms, err);
        }
        for (int k = 0; status == EP_OK && k < *n; k++) {
            if (strcmp(list[k].id, c->id) == 0) {
                status =
                    ep_err_set(err, EP_E_ARG, "candles", "candles: %s is named twice", c->code);
            }
        }
        all = ep_status_first(all, status);
        *n += status == EP_OK;
    }
    if (all != EP_OK) {
        return all;
    }
    return masses_belong(json_object_get(in, "masses"), list, *n, err);
}

// planned as the recipe of the first candle says, when nothing else was said
static ep_status planned_of(ep_app *app, const json_t *in, const ep_candle *first,
                            double *planned_h, ep_err *err)
{
    if (ep_in_has(in, "planned")) {
        *planned_h = ep_out_round(ep_in_real(in, "planned", 0.0) / 3600.0);
        return EP_OK;
    }
    ep_revision r;
    ep_status status = ep_app_revision_by_id(app, first->revision_id, &r, err);
    *planned_h = status == EP_OK ? ep_out_round(r.session_s / 3600.0) : 0.0;
    return status;
}

static ep_status session_save(ep_app *app, const json_t *in, const char *id, ep_time_ms lit_ms,
                              double planned_h, ep_err *err)
{
    double room_K = ep_in_real(in, "room_temp", EP_NOT_KNOWN);
    ep_bind bind[] = {
        ep_bind_text("id", id),
        ep_bind_int("lit", lit_ms),
        ep_bind_real("planned", planned_h),
        ep_bind_real("room_temp", ep_out_round(ep_unit_from_si(EP_U_DEG_C, room_K))),
        ep_in_has(in, "draught") ? ep_bind_int("draught", ep_in_int(in, "draught", 0))
                                 : ep_bind_null("draught"),
        ep_bind_real("trim", ep_out_round(ep_in_real(in, "trim", EP_NOT_KNOWN) * 1e3)),
        ep_bind_int("at", ep_app_now(app)),
    };
    return ep_store_run(app->store, EP_Q_SESSION_ADD, bind, EP_COUNT_OF(bind), err);
}

static bool before_rest(const ep_candle *c, ep_time_ms rested, ep_time_ms lit_ms)
{
    return (double)lit_ms < (double)rested - rest_slack_frac * (double)(rested - c->last_end_ms);
}

static bool before_cure(const ep_candle *c, ep_time_ms lit_ms)
{
    const double cure_ms = (double)(c->cure_burn_ms - c->poured_ms);
    const double slack_ms = fmin(cure_slack_frac * cure_ms, cure_slack_ms);
    return (double)lit_ms < (double)c->cure_burn_ms - slack_ms;
}

// the mass of one candle of several, so that a page can mark the one that is wrong
static const char *mass_field(const ep_candle *c, char field[48])
{
    snprintf(field, 48, "masses.%s", c->code);
    return field;
}

static ep_status masses_before_check(const json_t *in, const ep_candle *list, int n, ep_err *err)
{
    ep_status all = EP_OK;
    for (int i = 0; i < n; i++) {
        char field[48];
        double before_kg = mass_of(json_object_get(in, "masses"), &list[i]);
        if (!isnan(before_kg)) {
            ep_err_next(err);
            all = ep_status_first(
                all, ep_candle_mass_check(&list[i], before_kg, mass_field(&list[i], field), err));
        }
    }
    return all;
}

static ep_status lit_save(ep_app *app, const json_t *in, const char *session, ep_time_ms lit_ms,
                          const ep_candle *c, ep_err *err)
{
    double before_kg = mass_of(json_object_get(in, "masses"), c);
    ep_bind bind[] = {
        ep_bind_text("session", session),
        ep_bind_text("candle", c->id),
        ep_bind_int("number", c->sessions + 1),
        ep_bind_real("before", ep_out_round(before_kg * 1e3)),
        ep_bind_int("before_cure", before_cure(c, lit_ms)),
        ep_bind_int("before_rest", before_rest(c, ep_candle_rest_until(app, c), lit_ms)),
    };
    return ep_store_run(app->store, EP_Q_SESSION_CANDLE_ADD, bind, EP_COUNT_OF(bind), err);
}

ep_status ep_case_session_light(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_candle list[MOST_LIT] = {0};
    char id[EP_ID_CAP];
    int n = 0;
    double planned_h = 0.0;
    ep_time_ms lit_ms = ep_in_time(in, "lit_at", ep_app_now(app));
    ep_in_new_id(app, in, id);
    ep_status status = candles_to_light(app, in, lit_ms, list, &n, err);
    status = ep_status_first(status, masses_before_check(in, list, n, err));
    if (status == EP_OK) {
        status = planned_of(app, in, &list[0], &planned_h, err);
    }
    if (status == EP_OK) {
        status = session_save(app, in, id, lit_ms, planned_h, err);
    }
    for (int i = 0; status == EP_OK && i < n; i++) {
        status = lit_save(app, in, id, lit_ms, &list[i], err);
    }
    return status == EP_OK ? ep_shape_session(app, id, out, err) : status;
}

// --- putting out ---

typedef struct ending {
    const char *session, *reason;  ///< reason NULL: worked out from the length
    json_t *masses;
    ep_time_ms lit_ms, at_ms;
    double planned_h;
    int done;  ///< candles put out or weighed
} ending;

static const char *reason_of(const ending *e)
{
    double lit_h = (double)(e->at_ms - e->lit_ms) / ms_per_h;
    return e->reason ? e->reason : lit_h >= 0.9 * e->planned_h ? "planned" : "stopped";
}

static ep_status after_check(const json_t *burn, const ep_candle *c, double after_kg, ep_err *err)
{
    if (isnan(after_kg)) {
        return EP_OK;
    }
    double before_kg = ep_row_real(burn, "before_g") * 1e-3;
    char field[48];
    if (after_kg > before_kg + scale_slack_kg) {
        return ep_err_set(err, EP_E_ARG, mass_field(c, field),
                          "%s: %s weighs %.1f g after and %.1f g before; at most %.1f g (a wrong "
                          "mass before is corrected by a reading of mass at minute 0)",
                          field, c->code, after_kg * 1e3, before_kg * 1e3, before_kg * 1e3);
    }
    return ep_candle_mass_check(c, after_kg, mass_field(c, field), err);
}

// the judge hears of a flame that went out by a reading; the maker may have written it already
static ep_status tell_went_out(ep_app *app, const ending *e, const char *candle, ep_err *err)
{
    json_t *rows = NULL, *row;
    bool told = false;
    ep_bind bind[] = {ep_bind_text("candle", candle), ep_bind_text("session", e->session)};
    ep_status status = ep_store_json(app->store, EP_Q_READINGS_OF_CANDLE, bind, 2, &rows, err);
    size_t i;
    json_array_foreach(rows, i, row)
    {
        told = told || (strcmp(ep_row_text(row, "kind"), "went_out") == 0 &&
                        !ep_row_text(row, "corrected_by")[0] && ep_row_real(row, "value") >= 0.5);
    }
    json_decref(rows);
    return status != EP_OK || told
               ? status
               : ep_reading_note(app, e->session, candle, EP_READ_WENT_OUT, 1.0,
                                 (double)(e->at_ms - e->lit_ms) / ms_per_min, e->at_ms, err);
}

static ep_status put_out(ep_app *app, ending *e, const json_t *burn, const ep_candle *c,
                         ep_err *err)
{
    double after_kg = mass_of(e->masses, c);
    ep_status status = ep_time_check(app, e->at_ms, e->lit_ms, "lit", "at", err);
    if (status == EP_OK) {
        status = after_check(burn, c, after_kg, err);
    }
    if (status == EP_OK) {
        ep_bind bind[] = {
            ep_bind_text("session", e->session),
            ep_bind_text("candle", c->id),
            ep_bind_int("at", e->at_ms),
            ep_bind_text("reason", reason_of(e)),
            ep_bind_real("after", ep_out_round(after_kg * 1e3)),
        };
        status = ep_store_run(app->store, EP_Q_SESSION_END_ADD, bind, EP_COUNT_OF(bind), err);
    }
    if (status == EP_OK && strcmp(reason_of(e), "went_out") == 0) {
        status = tell_went_out(app, e, c->id, err);
    }
    e->done++;
    return status;
}

// a candle that is out already can still be weighed; that mass is a reading
static ep_status weigh_after(ep_app *app, ending *e, const json_t *burn, const ep_candle *c,
                             ep_err *err)
{
    double after_kg = mass_of(e->masses, c), known_g = ep_row_real(burn, "after_g");
    if (isnan(after_kg)) {
        return EP_OK;
    }
    if (!isnan(known_g)) {
        e->done++;
        return fabs(known_g - after_kg * 1e3) < 1e-6
                   ? EP_OK
                   : ep_err_set(
                         err, EP_E_CONFLICT, "masses",
                         "masses: %s was weighed at %.1f g after this session already; correct "
                         "it by a reading of mass",
                         c->code, known_g);
    }
    ep_status status = after_check(burn, c, after_kg, err);
    ep_time_ms now = ep_app_now(app);
    e->done++;
    return status == EP_OK
               ? ep_reading_note(app, e->session, c->id, EP_READ_MASS, ep_out_round(after_kg * 1e3),
                                 (double)(now - e->lit_ms) / ms_per_min, now, err)
               : status;
}

static ep_status end_row(ep_app *app, ending *e, const json_t *burn, bool named, const ep_candle *c,
                         ep_err *err)
{
    bool out_already = ep_row_int(burn, "end_ms", 0) != 0;
    if (out_already && named && isnan(mass_of(e->masses, c))) {
        return ep_err_set(err, EP_E_STATE, "candles", "candles: %s is out already", c->code);
    }
    return out_already ? weigh_after(app, e, burn, c, err) : put_out(app, e, burn, c, err);
}

static bool is_named(const ep_candle *c, const ep_candle *list, int n)
{
    for (int i = 0; i < n; i++) {
        if (strcmp(list[i].id, c->id) == 0) {
            return true;
        }
    }
    return false;
}

// the named candles, or all of the session
static ep_status end_rows(ep_app *app, ending *e, const json_t *burns, const ep_candle *named,
                          int n_named, ep_err *err)
{
    ep_candle list[MOST_LIT] = {0};
    int n = 0, matched = 0;
    size_t i;
    json_t *burn;
    ep_status status = EP_OK;
    json_array_foreach(burns, i, burn)
    {
        status = status == EP_OK
                     ? ep_candle_load(app, ep_row_text(burn, "candle_id"), "id", &list[n], err)
                     : status;
        n += status == EP_OK;
    }
    status = status == EP_OK ? masses_belong(e->masses, list, n, err) : status;
    for (int k = 0; k < n; k++) {
        bool mine = is_named(&list[k], named, n_named);
        matched += mine;
        if (mine || n_named == 0) {
            ep_err_next(err);
            status = ep_status_first(
                status, end_row(app, e, json_array_get(burns, (size_t)k), mine, &list[k], err));
        }
    }
    if (status == EP_OK && matched < n_named) {
        return ep_err_set(err, EP_E_ARG, "candles",
                          "candles: not all of them were lit in this session");
    }
    return status;
}

static ep_status named_candles(ep_app *app, const json_t *in, ep_candle *list, int *n, ep_err *err)
{
    const json_t *keys = ep_in_any(in, "candles");
    ep_status status = EP_OK;
    *n = 0;
    for (size_t i = 0; status == EP_OK && i < json_array_size(keys); i++) {
        status = candle_at(app, keys, i, &list[*n], err);
        *n += status == EP_OK && !is_named(&list[*n], list, *n);
    }
    return status;
}

ep_status ep_case_session_end(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_candle named[MOST_LIT] = {0};
    int n = 0;
    char id[EP_ID_CAP] = "";
    ep_candle by;
    json_t *row = NULL, *burns = NULL;
    ep_status status = ep_session_find(app, ep_in_text(in, "id"), id, &by, err);
    ep_bind by_id[] = {ep_bind_text("id", id)}, by_session[] = {ep_bind_text("session", id)};
    if (status == EP_OK) {
        status = ep_store_one(app->store, EP_Q_SESSION_GET, by_id, 1, &row, err);
    }
    if (status == EP_OK) {
        status = ep_store_json(app->store, EP_Q_SESSION_BURNS, by_session, 1, &burns, err);
    }
    if (status == EP_OK) {
        status = named_candles(app, in, named, &n, err);
    }
    if (n == 0 && by.id[0]) {
        named[n++] = by;
    }
    ending e = {.session = id,
                .reason = ep_in_text(in, "reason"),
                .masses = json_object_get(in, "masses"),
                .lit_ms = ep_row_int(row, "lit_ms", 0),
                .at_ms = ep_in_time(in, "at", ep_app_now(app)),
                .planned_h = ep_row_real(row, "planned_h")};
    if (status == EP_OK) {
        status = end_rows(app, &e, burns, named, n, err);
    }
    if (status == EP_OK && e.done == 0) {
        status = ep_err_set(err, EP_E_STATE, "id", "this session is over already");
    }
    json_decref(row);
    json_decref(burns);
    return status == EP_OK ? ep_shape_session(app, id, out, err) : status;
}

// --- looking ---

ep_status ep_case_session_show(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP];
    ep_candle by;
    ep_status status = ep_session_find(app, ep_in_text(in, "id"), id, &by, err);
    return status == EP_OK ? ep_shape_session(app, id, out, err) : status;
}

static ep_status rows_of(ep_app *app, const json_t *in, int limit, json_t **rows, ep_err *err)
{
    ep_time_ms before = ep_in_time(in, "before", INT64_MAX);
    if (ep_in_bool(in, "open", false)) {
        return ep_store_json(app->store, EP_Q_SESSIONS_OPEN, NULL, 0, rows, err);
    }
    if (!ep_in_has(in, "recipe")) {
        ep_bind bind[] = {ep_bind_int("before", before), ep_bind_int("limit", limit + 1)};
        return ep_store_json(app->store, EP_Q_SESSIONS_NEWEST, bind, 2, rows, err);
    }
    char recipe[EP_ID_CAP] = "";
    ep_status status = ep_find_recipe(app, ep_in_text(in, "recipe"), "recipe", recipe, err);
    ep_bind bind[] = {ep_bind_text("recipe", recipe), ep_bind_int("before", before),
                      ep_bind_int("limit", limit + 1)};
    return status == EP_OK ? ep_store_json(app->store, EP_Q_SESSIONS_OF_RECIPE, bind, 3, rows, err)
                           : status;
}

// sessions of other recipes among the open ones are left out here
static bool belongs(const json_t *session, const char *recipe)
{
    size_t i;
    json_t *candle;
    json_array_foreach(json_object_get(session, "candles"), i, candle)
    {
        if (strcmp(ep_row_text(candle, "recipe_id"), recipe) == 0) {
            return true;
        }
    }
    return recipe[0] == '\0';
}

ep_status ep_case_session_list(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    // the sessions of one recipe are looked at together
    int limit = ep_in_int(in, "limit", ep_in_has(in, "recipe") ? 500 : 20);
    bool open = ep_in_bool(in, "open", false);
    char recipe[EP_ID_CAP] = "";
    json_t *rows = NULL, *list = json_array(), *row;
    ep_status status = rows_of(app, in, limit, &rows, err);
    if (status == EP_OK && open && ep_in_has(in, "recipe")) {
        status = ep_find_recipe(app, ep_in_text(in, "recipe"), "recipe", recipe, err);
    }
    bool more = !open && json_array_size(rows) > (size_t)limit;
    size_t i;
    json_array_foreach(rows, i, row)
    {
        json_t *one = NULL;
        if (status != EP_OK || (more && i == (size_t)limit)) {
            break;
        }
        status = ep_shape_session(app, ep_row_text(row, "id"), &one, err);
        if (status == EP_OK && belongs(one, recipe)) {
            json_array_append(list, one);
        }
        json_decref(one);
    }
    json_decref(rows);
    if (status != EP_OK) {
        json_decref(list);
        return status;
    }
    *out = json_pack("{s:o, s:b}", "sessions", list, "more", more);
    return EP_OK;
}
