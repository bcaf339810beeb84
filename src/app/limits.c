// Limits: the judge's table with the workshop's own choices laid over its house and practice rows;
// and the list of readings the judge knows.
#include <math.h>
#include <string.h>

#include "app/app_int.h"
#include "app/bench_int.h"
#include "base/text.h"

/// Standards and laws are not the maker's to move.
static bool is_own(const ep_limit *l)
{
    return strcmp(l->grade, "house") == 0 || strcmp(l->grade, "practice") == 0;
}

static void lay_choice(const json_t *row, ep_limit *limits, bool *changed)
{
    ep_limit_id id;
    if (!ep_limit_find(ep_row_text(row, "key"), &id) || !is_own(&limits[id])) {
        return;  // a row that became a standard's, or went away, no longer listens to the choice
    }
    ep_limit *l = &limits[id];
    ep_unit unit = l->unit;
    ep_unit_find(ep_unit_dim(unit), ep_row_text(row, "unit"), &unit);
    double value = ep_unit_from_si(l->unit, ep_unit_to_si(unit, ep_row_real(row, "value")));
    if (value >= l->min && value <= l->max) {
        l->value = ep_out_round(value);
        changed[id] = true;
    }
}

static ep_status load_limits(ep_app *app, ep_limit *limits, bool *changed, ep_err *err)
{
    memcpy(limits, ep_limits_default(), sizeof *limits * EP_LIMIT_COUNT_);
    memset(changed, 0, sizeof *changed * EP_LIMIT_COUNT_);
    json_t *rows = NULL;
    ep_status status = ep_store_json(app->store, EP_Q_LIMIT_LIST, NULL, 0, &rows, err);
    size_t i;
    json_t *row;
    json_array_foreach(rows, i, row)
    {
        lay_choice(row, limits, changed);
    }
    json_decref(rows);
    return status;
}

ep_status ep_app_limits_load(ep_app *app, ep_limit *out, ep_err *err)
{
    bool changed[EP_LIMIT_COUNT_];
    return load_limits(app, out, changed, err);
}

static json_t *shape_limit(const ep_limit *l, bool changed)
{
    json_t *o = json_object();
    ep_out_text(o, "key", l->key);
    ep_out_real(o, "value", l->value);
    ep_out_new(o, "unit", json_string(ep_unit_symbol(l->unit)));
    ep_out_real(o, "min", l->min);
    ep_out_real(o, "max", l->max);
    ep_out_text(o, "grade", l->grade);
    ep_out_text(o, "owner", l->owner);
    ep_out_source(o, l->src);
    ep_out_text(o, "text", l->text);
    ep_out_bool(o, "changed", changed);
    return o;
}

ep_status ep_case_limits(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    (void)in;
    ep_limit limits[EP_LIMIT_COUNT_];
    bool changed[EP_LIMIT_COUNT_];
    ep_status status = load_limits(app, limits, changed, err);
    if (status != EP_OK) {
        return status;
    }
    json_t *list = json_array();
    for (int i = 0; i < EP_LIMIT_COUNT_; i++) {
        json_array_append_new(list, shape_limit(&limits[i], changed[i]));
    }
    *out = json_pack("{s:o}", "limits", list);
    return EP_OK;
}

ep_status ep_case_limit_set(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_limit_id id;
    const char *key = ep_in_text(in, "key");
    char said[48];
    if (!ep_limit_find(key, &id)) {
        return ep_err_set(err, EP_E_NOT_FOUND, "key", "key: there is no limit “%s”",
                          ep_text_excerpt(key, said, sizeof said));
    }
    const ep_limit *l = &ep_limits_default()[id];
    if (!is_own(l)) {
        return ep_err_set(err, EP_E_STATE, "key", "key: %s is set by %s and stays as it is", l->key,
                          l->owner);
    }
    double si;
    ep_err inner = {0};
    ep_status status =
        ep_value_si(ep_in_any(in, "value"), l->unit, l->min, l->max, l->key, &si, &inner);
    if (status != EP_OK) {
        return ep_err_as(err, &inner, "value");
    }
    ep_bind bind[] = {
        ep_bind_text("key", l->key),
        ep_bind_real("value", ep_out_round(ep_unit_from_si(l->unit, si))),
        ep_bind_text("unit", ep_unit_symbol(l->unit)),
        ep_bind_int("at", ep_app_now(app)),
    };
    status = ep_store_run(app->store, EP_Q_LIMIT_ADD, bind, EP_COUNT_OF(bind), err);
    ep_limit limits[EP_LIMIT_COUNT_];
    bool changed[EP_LIMIT_COUNT_];
    if (status == EP_OK) {
        status = load_limits(app, limits, changed, err);
    }
    if (status == EP_OK) {
        *out = shape_limit(&limits[id], changed[id]);
    }
    return status;
}

static json_t *shape_kind(ep_reading_kind kind)
{
    const ep_reading_def *d = ep_reading_def_of(kind);
    const char *type = d->type == 'G'   ? "grade"
                       : d->type == 'F' ? "flag"
                       : d->type == 'S' ? "score"
                                        : "number";
    json_t *o = json_object();
    ep_out_text(o, "key", d->key);
    ep_out_text(o, "label", d->label);
    ep_out_new(o, "help", json_string(d->help));
    ep_out_new(o, "unit", json_string(ep_unit_symbol(d->unit)));
    ep_out_text(o, "type", type);
    ep_out_real(o, "min", d->min);
    ep_out_real(o, "max", d->max);
    ep_out_new(o, "due", ep_due_span(kind));
    return o;
}

ep_status ep_case_reading_kinds(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    (void)app;
    (void)in;
    (void)err;
    json_t *list = json_array();
    for (int i = 0; i < EP_READ_COUNT_; i++) {
        json_array_append_new(list, shape_kind((ep_reading_kind)i));
    }
    *out = json_pack("{s:o}", "kinds", list);
    return EP_OK;
}
