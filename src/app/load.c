// Things by id, in the types the rooms below work with. Bench units become SI here.
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "app/app_int.h"
#include "base/text.h"

static ep_status missing(ep_err *err, const char *what, const char *id)
{
    char said[48];
    return ep_err_set(err, EP_E_NOT_FOUND, what, "%s: there is none with the id “%s”", what,
                      ep_text_excerpt(id, said, sizeof said));
}

static double si_or(const json_t *row, const char *key, ep_unit unit, double null)
{
    double value = ep_row_real(row, key);
    return isnan(value) ? null : ep_unit_to_si(unit, value);
}

/// Lay one stored property over the built-in one.
static void lay_over(ep_material *m, const json_t *row)
{
    int index, n;
    const ep_prop_def *def = ep_prop_defs(m->kind, &n);
    if (!ep_prop_find(m->kind, ep_row_text(row, "key"), &index)) {
        return;  // a property this version no longer knows stays in the file, unused
    }
    ep_unit unit = def[index].unit;
    ep_unit_find(ep_unit_dim(unit), ep_row_text(row, "unit"), &unit);
    ep_prop *p = &m->prop[index];
    p->value = ep_unit_to_si(unit, ep_row_real(row, "value"));
    p->lo = ep_unit_to_si(unit, ep_row_real(row, "lo"));
    p->hi = ep_unit_to_si(unit, ep_row_real(row, "hi"));
    ep_how_find(ep_row_text(row, "how"), &p->how);
    ep_copy(p->src, sizeof p->src, ep_row_text(row, "source"));
}

static ep_status load_own(ep_app *app, const json_t *row, ep_material *out, ep_err *err)
{
    const ep_material *base = ep_builtin_find(ep_row_text(row, "based_on"));
    if (!base) {
        return missing(err, "based_on", ep_row_text(row, "based_on"));
    }
    *out = *base;
    ep_copy(out->id, sizeof out->id, ep_row_text(row, "id"));
    ep_copy(out->name, sizeof out->name, ep_row_text(row, "name"));
    ep_bind bind[] = {ep_bind_text("material", out->id)};
    json_t *props = NULL;
    ep_status status = ep_store_json(app->store, EP_Q_MATERIAL_PROPS, bind, 1, &props, err);
    size_t i;
    json_t *prop;
    json_array_foreach(props, i, prop)
    {
        lay_over(out, prop);
    }
    json_decref(props);
    return status;
}

ep_status ep_app_material_load(ep_app *app, const char *id, ep_material *out, ep_err *err)
{
    const ep_material *builtin = ep_builtin_find(id);
    if (builtin) {
        *out = *builtin;
        return EP_OK;
    }
    ep_bind bind[] = {ep_bind_text("id", id)};
    json_t *row = NULL;
    ep_status status = ep_store_one(app->store, EP_Q_MATERIAL_GET, bind, 1, &row, err);
    if (status == EP_E_NOT_FOUND) {
        return missing(err, "material", id);
    }
    if (status == EP_OK) {
        status = load_own(app, row, out, err);
    }
    json_decref(row);
    return status;
}

static void size_of_row(const json_t *row, ep_wick_size *s)
{
    memset(s, 0, sizeof *s);
    ep_copy(s->id, sizeof s->id, ep_row_text(row, "id"));
    ep_copy(s->name, sizeof s->name, ep_row_text(row, "name"));
    s->linear_density_kg_m = si_or(row, "linear_density_g_m", EP_U_G_M, 0);
    s->width_m = si_or(row, "width_mm", EP_U_MM, 0);
    s->thickness_m = si_or(row, "thickness_mm", EP_U_MM, 0);
    s->core_m = si_or(row, "core_mm", EP_U_MM, 0);
}

ep_status ep_app_series_load(ep_app *app, const char *id, ep_wick_series *out, ep_err *err)
{
    ep_bind get[] = {ep_bind_text("id", id)}, of[] = {ep_bind_text("series", id)};
    json_t *row = NULL, *sizes = NULL;
    ep_status status = ep_store_one(app->store, EP_Q_SERIES_GET, get, 1, &row, err);
    if (status == EP_E_NOT_FOUND) {
        return missing(err, "series", id);
    }
    if (status == EP_OK) {
        status = ep_store_json(app->store, EP_Q_SERIES_SIZES, of, 1, &sizes, err);
    }
    if (status == EP_OK) {
        memset(out, 0, sizeof *out);
        ep_copy(out->id, sizeof out->id, ep_row_text(row, "id"));
        ep_copy(out->name, sizeof out->name, ep_row_text(row, "name"));
        ep_copy(out->construction_id, sizeof out->construction_id,
                ep_row_text(row, "construction_id"));
        size_t n = json_array_size(sizes);
        for (size_t i = 0; i < n && i < EP_MAX_SIZES; i++) {
            size_of_row(json_array_get(sizes, i), &out->size[out->n_sizes++]);
        }
    }
    json_decref(sizes);
    json_decref(row);
    return status;
}

ep_status ep_app_size_load(ep_app *app, const char *size_id, ep_wick_series *series, int *index,
                           ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("id", size_id)};
    json_t *row = NULL;
    ep_status status = ep_store_one(app->store, EP_Q_SIZE_GET, bind, 1, &row, err);
    if (status == EP_E_NOT_FOUND) {
        return missing(err, "size", size_id);
    }
    ep_wick_series found;
    if (status == EP_OK) {
        status = ep_app_series_load(app, ep_row_text(row, "series_id"), &found, err);
    }
    if (status == EP_OK) {
        *index = (int)ep_row_int(row, "position", 1) - 1;
        if (series) {
            *series = found;
        }
    }
    json_decref(row);
    return status;
}

static ep_status load_stations(ep_app *app, const char *id, ep_vessel *v, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("container", id)};
    json_t *rows = NULL;
    ep_status status = ep_store_json(app->store, EP_Q_CONTAINER_STATIONS, bind, 1, &rows, err);
    size_t n = json_array_size(rows);
    for (size_t i = 0; i < n && i < EP_VESSEL_MAX_STATIONS; i++) {
        const json_t *row = json_array_get(rows, i);
        v->station[v->n_stations++] = (ep_station){
            .height_m = si_or(row, "height_mm", EP_U_MM, 0),
            .inner_diameter_m = si_or(row, "inner_diameter_mm", EP_U_MM, 0),
        };
    }
    json_decref(rows);
    return status;
}

ep_status ep_app_container_load(ep_app *app, const char *id, ep_vessel *vessel, ep_material *wall,
                                ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("id", id)};
    json_t *row = NULL;
    ep_status status = ep_store_one(app->store, EP_Q_CONTAINER_GET, bind, 1, &row, err);
    if (status == EP_E_NOT_FOUND) {
        return missing(err, "container", id);
    }
    if (status == EP_OK) {
        memset(vessel, 0, sizeof *vessel);
        vessel->wall_m = si_or(row, "wall_mm", EP_U_MM, 0);
        vessel->base_m = si_or(row, "base_mm", EP_U_MM, 0);
        ep_outline_find(ep_row_text(row, "outline"), &vessel->outline);
        vessel->across_frac = ep_row_real(row, "across_frac");
        vessel->corner_frac = ep_row_real(row, "corner_frac");
        status = load_stations(app, id, vessel, err);
    }
    if (status == EP_OK && wall) {
        status = ep_app_material_load(app, ep_row_text(row, "material_id"), wall, err);
    }
    json_decref(row);
    return status;
}

static void revision_of_row(const json_t *row, ep_revision *r)
{
    memset(r, 0, sizeof *r);
    ep_copy(r->id, sizeof r->id, ep_row_text(row, "id"));
    ep_copy(r->recipe_id, sizeof r->recipe_id, ep_row_text(row, "recipe_id"));
    r->number = (int)ep_row_int(row, "number", 0);
    ep_copy(r->container_id, sizeof r->container_id, ep_row_text(row, "container_id"));
    r->fill_height_m = si_or(row, "fill_height_mm", EP_U_MM, 0);
    ep_copy(r->fragrance_id, sizeof r->fragrance_id, ep_row_text(row, "fragrance_id"));
    r->load_frac = si_or(row, "load_pct", EP_U_PCT, 0);
    ep_load_basis_find(ep_row_text(row, "load_basis"), &r->load_basis);
    ep_copy(r->dye_id, sizeof r->dye_id, ep_row_text(row, "dye_id"));
    r->dye_of_wax_frac = si_or(row, "dye_of_wax_pct", EP_U_PCT, 0);
    ep_copy(r->series_id, sizeof r->series_id, ep_row_text(row, "series_id"));
    ep_copy(r->size_id, sizeof r->size_id, ep_row_text(row, "size_id"));
    r->wick_count = (int)ep_row_int(row, "wick_count", 1);
    r->trim_m = si_or(row, "trim_mm", EP_U_MM, 0);
    r->session_s = si_or(row, "session_h", EP_U_H, 0);
    r->stop_height_m = si_or(row, "stop_height_mm", EP_U_MM, 0);
}

static void add_share(const json_t *row, ep_revision *r)
{
    bool wax = strcmp(ep_row_text(row, "role"), "wax") == 0;
    int *n = wax ? &r->n_waxes : &r->n_additives;
    ep_share *share = wax ? r->wax : r->additive;
    if (*n < EP_MAX_BLEND) {
        ep_copy(share[*n].id, sizeof share[*n].id, ep_row_text(row, "material_id"));
        share[*n].frac = si_or(row, "share_pct", EP_U_PCT, 0);
        (*n)++;
    }
}

static ep_status load_shares(ep_app *app, ep_revision *r, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("revision", r->id)};
    json_t *rows = NULL;
    ep_status status = ep_store_json(app->store, EP_Q_REVISION_SHARES, bind, 1, &rows, err);
    size_t i;
    json_t *row;
    json_array_foreach(rows, i, row)
    {
        add_share(row, r);
    }
    json_decref(rows);
    return status;
}

static ep_status load_places(ep_app *app, ep_revision *r, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("revision", r->id)};
    json_t *rows = NULL;
    ep_status status = ep_store_json(app->store, EP_Q_REVISION_PLACES, bind, 1, &rows, err);
    size_t i;
    json_t *row;
    json_array_foreach(rows, i, row)
    {
        if (r->n_places < EP_MAX_WICKS) {
            r->place[r->n_places++] = (ep_place){.x_m = si_or(row, "x_mm", EP_U_MM, 0),
                                                 .y_m = si_or(row, "y_mm", EP_U_MM, 0)};
        }
    }
    json_decref(rows);
    return status;
}

ep_status ep_app_revision_load(ep_app *app, const char *recipe_id, int number, ep_revision *out,
                               ep_err *err)
{
    int64_t newest = 0;
    ep_bind of[] = {ep_bind_text("recipe", recipe_id)};
    ep_status status = ep_store_int(app->store, EP_Q_REVISION_NEWEST, of, 1, 0, &newest, err);
    if (status != EP_OK) {
        return status;
    }
    if (newest == 0) {
        return missing(err, "recipe", recipe_id);
    }
    int wanted = number == 0 ? (int)newest : number;
    ep_bind bind[] = {ep_bind_text("recipe", recipe_id), ep_bind_int("number", wanted)};
    json_t *row = NULL;
    status = ep_store_one(app->store, EP_Q_REVISION_GET, bind, 2, &row, err);
    if (status == EP_E_NOT_FOUND) {
        return ep_err_set(err, EP_E_NOT_FOUND, "revision",
                          "revision: there is no number %d; they run from 1 to %d", wanted,
                          (int)newest);
    }
    if (status == EP_OK) {
        revision_of_row(row, out);
        status = load_shares(app, out, err);
    }
    if (status == EP_OK) {
        status = load_places(app, out, err);
    }
    json_decref(row);
    return status;
}

ep_status ep_app_revision_by_id(ep_app *app, const char *revision_id, ep_revision *out, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("id", revision_id)};
    json_t *row = NULL;
    ep_status status = ep_store_one(app->store, EP_Q_REVISION_BY_ID, bind, 1, &row, err);
    if (status == EP_E_NOT_FOUND) {
        return missing(err, "revision", revision_id);
    }
    if (status == EP_OK) {
        status = ep_app_revision_load(app, ep_row_text(row, "recipe_id"),
                                      (int)ep_row_int(row, "number", 0), out, err);
    }
    json_decref(row);
    return status;
}

const char *ep_app_name(ep_app *app, const char *id, char *buf, size_t cap)
{
    const ep_material *builtin = id ? ep_builtin_find(id) : NULL;
    ep_copy(buf, cap, builtin ? builtin->name : "");
    if (builtin || !id || !id[0]) {
        return buf;
    }
    ep_bind bind[] = {ep_bind_text("id", id)};
    json_t *row = NULL;
    if (ep_store_one(app->store, EP_Q_NAME_OF, bind, 1, &row, NULL) == EP_OK) {
        ep_copy(buf, cap, ep_row_text(row, "name"));
        json_decref(row);
    }
    return buf;
}

bool ep_app_archived(ep_app *app, const char *id)
{
    int64_t archived = 0;
    ep_bind bind[] = {ep_bind_text("id", id)};
    ep_store_int(app->store, EP_Q_ARCHIVE_GET, bind, 1, 0, &archived, NULL);
    return archived != 0;
}
