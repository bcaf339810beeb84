// A revision as stored and as shown, and what differs between two of them.
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "app/recipe_int.h"
#include "base/text.h"
#include "base/uuid.h"

static ep_status save_shares(ep_app *app, const ep_revision *r, const char *role,
                             const ep_share *share, int n, ep_err *err)
{
    ep_status status = EP_OK;
    for (int i = 0; status == EP_OK && i < n; i++) {
        ep_bind bind[] = {ep_bind_text("revision", r->id), ep_bind_text("role", role),
                          ep_bind_int("position", i + 1), ep_bind_text("material", share[i].id),
                          ep_bind_real("share", ep_unit_from_si(EP_U_PCT, share[i].frac))};
        status = ep_store_run(app->store, EP_Q_SHARE_ADD, bind, EP_COUNT_OF(bind), err);
    }
    return status;
}

static ep_status save_places(ep_app *app, const ep_revision *r, ep_err *err)
{
    ep_status status = EP_OK;
    for (int i = 0; status == EP_OK && i < r->n_places; i++) {
        ep_bind bind[] = {ep_bind_text("revision", r->id), ep_bind_int("position", i + 1),
                          ep_bind_real("x", ep_unit_from_si(EP_U_MM, r->place[i].x_m)),
                          ep_bind_real("y", ep_unit_from_si(EP_U_MM, r->place[i].y_m))};
        status = ep_store_run(app->store, EP_Q_PLACE_ADD, bind, EP_COUNT_OF(bind), err);
    }
    return status;
}

static ep_status next_number(ep_app *app, ep_revision *r, ep_err *err)
{
    int64_t newest = 0;
    ep_bind bind[] = {ep_bind_text("recipe", r->recipe_id)};
    ep_status status = ep_store_int(app->store, EP_Q_REVISION_NEWEST, bind, 1, 0, &newest, err);
    r->number = (int)newest + 1;
    return status;
}

ep_status ep_revision_save(ep_app *app, ep_revision *r, const char *note, ep_err *err)
{
    ep_copy(r->id, sizeof r->id, ep_uuid_make(ep_app_now(app)).text);
    ep_status status = next_number(app, r, err);
    if (status != EP_OK) {
        return status;
    }
    ep_bind bind[] = {
        ep_bind_text("id", r->id),
        ep_bind_text("recipe", r->recipe_id),
        ep_bind_int("number", r->number),
        ep_bind_text("container", r->container_id),
        ep_bind_real("fill_height", ep_unit_from_si(EP_U_MM, r->fill_height_m)),
        ep_bind_text_or_null("fragrance", r->fragrance_id),
        ep_bind_real("load", ep_unit_from_si(EP_U_PCT, r->load_frac)),
        ep_bind_text("load_basis", ep_load_basis_key(r->load_basis)),
        ep_bind_text_or_null("dye", r->dye_id),
        ep_bind_real("dye_of_wax", ep_unit_from_si(EP_U_PCT, r->dye_of_wax_frac)),
        ep_bind_text("series", r->series_id),
        ep_bind_text_or_null("size", r->size_id),
        ep_bind_int("wick_count", r->wick_count),
        ep_bind_real("trim", ep_unit_from_si(EP_U_MM, r->trim_m)),
        ep_bind_real("session", ep_unit_from_si(EP_U_H, r->session_s)),
        ep_bind_real("stop_height", ep_unit_from_si(EP_U_MM, r->stop_height_m)),
        ep_bind_text_or_null("note", note),
        ep_bind_int("at", ep_app_now(app)),
    };
    status = ep_store_run(app->store, EP_Q_REVISION_ADD, bind, EP_COUNT_OF(bind), err);
    if (status == EP_OK) {
        status = save_shares(app, r, "wax", r->wax, r->n_waxes, err);
    }
    if (status == EP_OK) {
        status = save_places(app, r, err);
    }
    return status == EP_OK ? save_shares(app, r, "additive", r->additive, r->n_additives, err)
                           : status;
}

static json_t *shape_shares(ep_app *app, const ep_share *share, int n)
{
    json_t *list = json_array();
    for (int i = 0; i < n; i++) {
        char name[80];
        json_t *o = json_object();
        ep_out_text(o, "id", share[i].id);
        ep_out_text(o, "name", ep_app_name(app, share[i].id, name, sizeof name));
        ep_out_unit(o, "share_pct", share[i].frac, EP_U_PCT);
        json_array_append_new(list, o);
    }
    return list;
}

static void ref(ep_app *app, json_t *o, const char *key, const char *id)
{
    char name[80];
    ep_out_ref(o, key, id, ep_app_name(app, id, name, sizeof name));
}

static void shape_layout(const ep_revision *r, const ep_vessel *v, json_t *o)
{
    ep_place place[EP_MAX_WICKS];
    ep_revision_places(r, v, place);
    ep_shape_places(o, v, r->fill_height_m, r->wick_count, place);
    ep_out_bool(o, "places_default", r->n_places == 0);
}

/// Both loads, and the fill by geometry and the mix.
static ep_status shape_mass(ep_app *app, const ep_revision *r, json_t *o, ep_err *err)
{
    ep_vessel v;
    ep_melt melt;
    ep_mix mix;
    double additives = 0;
    for (int i = 0; i < r->n_additives; i++) {
        additives += r->additive[i].frac;
    }
    ep_status status = ep_app_container_load(app, r->container_id, &v, NULL, err);
    if (status == EP_OK) {
        status = ep_app_melt_of(app, r, &melt, err);
    }
    if (status == EP_OK) {
        status = ep_mix_make(r->load_frac, r->load_basis, r->dye_of_wax_frac, additives, &mix, err);
    }
    if (status != EP_OK) {
        return status;
    }
    shape_layout(r, &v, o);
    ep_out_unit(o, "headspace_mm", ep_vessel_height_m(&v) - r->fill_height_m, EP_U_MM);
    ep_out_unit(o, "fill_mass_g", ep_fill_mass_kg(&melt, &v, r->fill_height_m), EP_U_G);
    ep_out_unit(o, "fill_ml", ep_vessel_volume_m3(&v, r->fill_height_m), EP_U_ML);
    ep_out_unit(o, "load_of_wax_pct", mix.load_of_wax, EP_U_PCT);
    ep_out_unit(o, "load_of_total_pct", mix.load_of_total, EP_U_PCT);
    return EP_OK;
}

/// What only the stored row knows: when, the note, whether it was poured.
static ep_status shape_record(ep_app *app, const ep_revision *r, json_t *o, ep_err *err)
{
    int64_t poured = 0;
    json_t *row = NULL;
    ep_bind get[] = {ep_bind_text("recipe", r->recipe_id), ep_bind_int("number", r->number)};
    ep_bind of[] = {ep_bind_text("revision", r->id)};
    ep_status status = ep_store_one(app->store, EP_Q_REVISION_GET, get, 2, &row, err);
    if (status == EP_OK) {
        status = ep_store_int(app->store, EP_Q_REVISION_POURED, of, 1, 0, &poured, err);
    }
    if (status == EP_OK) {
        ep_out_text(o, "created", ep_row_text(row, "created"));
        ep_out_bool(o, "poured", poured > 0);
        ep_out_text(o, "note", ep_row_text(row, "note"));
        // a revision that a decision made carries the program's own words
        ep_out_text(o, "note_by",
                    !ep_row_text(row, "note")[0]                  ? NULL
                    : json_is_true(json_object_get(row, "named")) ? "program"
                                                                  : "maker");
    }
    json_decref(row);
    return status;
}

ep_status ep_shape_revision(ep_app *app, const ep_revision *r, json_t **out, ep_err *err)
{
    json_t *o = json_object();
    ep_out_text(o, "id", r->id);
    ep_out_int(o, "number", r->number);
    ref(app, o, "container", r->container_id);
    ep_out_unit(o, "fill_height_mm", r->fill_height_m, EP_U_MM);
    ep_out_new(o, "waxes", shape_shares(app, r->wax, r->n_waxes));
    ref(app, o, "fragrance", r->fragrance_id);
    ep_out_unit(o, "load_pct", r->load_frac, EP_U_PCT);
    ep_out_text(o, "load_basis", ep_load_basis_key(r->load_basis));
    ref(app, o, "dye", r->dye_id);
    ep_out_unit(o, "dye_share_pct", r->dye_of_wax_frac, EP_U_PCT);
    ep_out_new(o, "additives", shape_shares(app, r->additive, r->n_additives));
    ref(app, o, "series", r->series_id);
    ref(app, o, "size", r->size_id);
    ep_out_int(o, "wick_count", r->wick_count);
    ep_out_unit(o, "trim_mm", r->trim_m, EP_U_MM);
    ep_out_unit(o, "session_h", r->session_s, EP_U_H);
    ep_out_unit(o, "stop_height_mm", r->stop_height_m, EP_U_MM);
    ep_status status = shape_mass(app, r, o, err);
    if (status == EP_OK) {
        status = shape_record(app, r, o, err);
    }
    if (status != EP_OK) {
        json_decref(o);
        return status;
    }
    *out = o;
    return EP_OK;
}
