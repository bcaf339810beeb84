// Wick series: sizes of one construction, each described by what it weighs and measures.
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "app/app_int.h"
#include "base/text.h"
#include "base/uuid.h"

/// 0 stands for "not given" in ep_wick_size.
static double mm_or_null(double value_m)
{
    return value_m > 0 ? value_m : (double)NAN;
}

static json_t *shape_size(const ep_material *construction, const ep_wick_size *s, int position)
{
    ep_wick_law law;
    double diameter_m = (double)NAN;
    if (ep_wick_law_of(construction, s, &law, NULL) == EP_OK) {
        diameter_m = law.diameter_m;
    }
    json_t *o = json_object();
    ep_out_text(o, "id", s->id);
    ep_out_text(o, "name", s->name);
    ep_out_int(o, "position", position);
    ep_out_unit(o, "linear_density_g_m", s->linear_density_kg_m, EP_U_G_M);
    ep_out_unit(o, "yield_yd_lb", s->linear_density_kg_m, EP_U_YD_PER_LB);
    ep_out_unit(o, "width_mm", mm_or_null(s->width_m), EP_U_MM);
    ep_out_unit(o, "thickness_mm", mm_or_null(s->thickness_m), EP_U_MM);
    ep_out_unit(o, "core_mm", mm_or_null(s->core_m), EP_U_MM);
    ep_out_unit(o, "diameter_mm", diameter_m, EP_U_MM);
    return o;
}

static ep_status give_series(ep_app *app, const char *id, json_t **out, ep_err *err)
{
    ep_wick_series s;
    ep_material construction;
    ep_status status = ep_app_series_load(app, id, &s, err);
    if (status == EP_OK) {
        status = ep_app_material_load(app, s.construction_id, &construction, err);
    }
    if (status != EP_OK) {
        return status;
    }
    json_t *sizes = json_array();
    for (int i = 0; i < s.n_sizes; i++) {
        json_array_append_new(sizes, shape_size(&construction, &s.size[i], i + 1));
    }
    json_t *o = json_object();
    ep_out_text(o, "id", s.id);
    ep_out_text(o, "name", s.name);
    ep_out_new(o, "construction",
               json_pack("{s:s, s:s, s:s}", "id", construction.id, "name", construction.name,
                         "klass", construction.klass));
    ep_out_bool(o, "archived", ep_app_archived(app, s.id));
    ep_out_bool(o, "builtin", false);
    ep_out_new(o, "sizes", sizes);
    *out = o;
    return EP_OK;
}

ep_status ep_give_list(ep_app *app, ep_query query, bool archived, const char *key, ep_give_fn give,
                       json_t **out, ep_err *err)
{
    json_t *rows = NULL;
    json_t *list = json_array();
    ep_status status = ep_store_json(app->store, query, NULL, 0, &rows, err);
    size_t n = json_array_size(rows);
    for (size_t i = 0; status == EP_OK && i < n; i++) {
        const char *id = ep_row_text(json_array_get(rows, i), "id");
        json_t *one = NULL;
        if (archived || !ep_app_archived(app, id)) {
            status = give(app, id, &one, err);
        }
        if (one) {
            json_array_append_new(list, one);
        }
    }
    json_decref(rows);
    if (status != EP_OK) {
        json_decref(list);
        return status;
    }
    *out = json_pack("{s:o}", key, list);
    return EP_OK;
}

ep_status ep_case_series_list(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    return ep_give_list(app, EP_Q_SERIES_LIST, ep_in_bool(in, "archived", false), "series",
                        give_series, out, err);
}

ep_status ep_case_series(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP];
    ep_status status = ep_find_series(app, ep_in_text(in, "id"), "id", id, err);
    return status == EP_OK ? give_series(app, id, out, err) : status;
}

/// Put the place in the list before the field a lower room named.
static ep_status blame_size(ep_status status, int i, const ep_err *inner, ep_err *err)
{
    char field[96];
    snprintf(field, sizeof field, "sizes[%d].%s", i + 1, inner->field);
    return ep_err_set(err, status, field, "sizes[%d].%s", i + 1, inner->text);
}

static ep_status check_order(const ep_wick_series *s, int i, ep_err *err)
{
    char field[48], a[32], b[32];
    for (int k = 0; k < i; k++) {
        if (strcasecmp(s->size[k].name, s->size[i].name) == 0) {
            snprintf(field, sizeof field, "sizes[%d].name", i + 1);
            return ep_err_set(err, EP_E_ARG, field, "%s: “%s” stands in the list twice", field,
                              s->size[i].name);
        }
    }
    if (i > 0 && s->size[i].linear_density_kg_m < s->size[i - 1].linear_density_kg_m) {
        snprintf(field, sizeof field, "sizes[%d].linear_density", i + 1);
        return ep_err_set(
            err, EP_E_ARG, field, "%s: %s is less than the %s before it; list from least to most",
            field, ep_quantity_format(s->size[i].linear_density_kg_m, EP_U_G_M, 5, a, sizeof a),
            ep_quantity_format(s->size[i - 1].linear_density_kg_m, EP_U_G_M, 5, b, sizeof b));
    }
    return EP_OK;
}

static ep_status check_size(const ep_material *construction, const ep_wick_series *s, int i,
                            ep_err *err)
{
    ep_err inner = {0};
    ep_wick_law law;
    ep_status status = ep_wick_size_check(&s->size[i], &inner);
    if (status == EP_OK) {
        status = ep_wick_law_of(construction, &s->size[i], &law, &inner);
    }
    if (status != EP_OK) {
        return blame_size(status, i, &inner, err);
    }
    return check_order(s, i, err);
}

static void read_sizes(ep_app *app, const json_t *list, ep_wick_series *s)
{
    size_t n = json_array_size(list);
    s->n_sizes = 0;
    for (size_t i = 0; i < n && i < EP_MAX_SIZES; i++) {
        const json_t *row = json_array_get(list, i);
        ep_wick_size *z = &s->size[s->n_sizes++];
        memset(z, 0, sizeof *z);
        ep_copy(z->id, sizeof z->id, ep_uuid_make(ep_app_now(app)).text);
        ep_copy(z->name, sizeof z->name, ep_in_text(row, "name"));
        z->linear_density_kg_m = ep_in_real(row, "linear_density", 0);
        z->width_m = ep_in_real(row, "width", 0);
        z->thickness_m = ep_in_real(row, "thickness", 0);
        z->core_m = ep_in_real(row, "core", 0);
    }
}

static ep_status save_size(ep_app *app, const ep_wick_series *s, int i, ep_err *err)
{
    const ep_wick_size *z = &s->size[i];
    ep_bind bind[] = {
        ep_bind_text("id", z->id),
        ep_bind_text("series", s->id),
        ep_bind_int("position", i + 1),
        ep_bind_text("name", z->name),
        ep_bind_real("linear_density", ep_unit_from_si(EP_U_G_M, z->linear_density_kg_m)),
        ep_bind_real("width", ep_unit_from_si(EP_U_MM, mm_or_null(z->width_m))),
        ep_bind_real("thickness", ep_unit_from_si(EP_U_MM, mm_or_null(z->thickness_m))),
        ep_bind_real("core", ep_unit_from_si(EP_U_MM, mm_or_null(z->core_m))),
    };
    return ep_store_run(app->store, EP_Q_SIZE_ADD, bind, EP_COUNT_OF(bind), err);
}

static ep_status save_series(ep_app *app, const ep_wick_series *s, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("id", s->id), ep_bind_text("name", s->name),
                      ep_bind_text("construction", s->construction_id),
                      ep_bind_int("at", ep_app_now(app))};
    ep_status status = ep_store_run(app->store, EP_Q_SERIES_ADD, bind, EP_COUNT_OF(bind), err);
    for (int i = 0; status == EP_OK && i < s->n_sizes; i++) {
        status = save_size(app, s, i, err);
    }
    return status;
}

ep_status ep_refuse_same_name(ep_app *app, ep_query query, const char *name, const char *noun,
                              ep_err *err)
{
    json_t *rows = NULL;
    ep_status status = ep_store_json(app->store, query, NULL, 0, &rows, err);
    size_t i;
    json_t *row;
    json_array_foreach(rows, i, row)
    {
        if (strcasecmp(ep_row_text(row, "name"), name) == 0 &&
            !ep_app_archived(app, ep_row_text(row, "id"))) {
            status = ep_err_set(err, EP_E_CONFLICT, "name",
                                "name: there is already a %s called “%s”", noun, name);
            break;
        }
    }
    json_decref(rows);
    return status;
}

ep_status ep_case_series_add(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_wick_series s = {0};
    ep_material construction;
    ep_status status = ep_find_material(app, EP_MAT_WICK, ep_in_text(in, "construction"),
                                        "construction", s.construction_id, err);
    if (status == EP_OK) {
        status = ep_app_material_load(app, s.construction_id, &construction, err);
    }
    if (status == EP_OK && construction.kind != EP_MAT_WICK) {
        status = ep_err_set(err, EP_E_ARG, "construction",
                            "construction: “%s” is a %s, not a wick construction",
                            construction.name, ep_material_kind_key(construction.kind));
    }
    if (status == EP_OK) {
        ep_in_new_id(app, in, s.id);
        ep_copy(s.name, sizeof s.name, ep_in_text(in, "name"));
        status = ep_refuse_same_name(app, EP_Q_SERIES_LIST, s.name, "wick series", err);
        read_sizes(app, ep_in_any(in, "sizes"), &s);
    }
    for (int i = 0; i < s.n_sizes; i++) {
        ep_err_next(err);
        status = ep_status_first(status, check_size(&construction, &s, i, err));
    }
    if (status == EP_OK) {
        status = save_series(app, &s, err);
    }
    return status == EP_OK ? give_series(app, s.id, out, err) : status;
}
