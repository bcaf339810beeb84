// Recipes: describing one, listing, showing, revising.
#include <stdio.h>
#include <string.h>

#include "app/app_int.h"
#include "app/recipe_int.h"
#include "base/text.h"
#include "base/uuid.h"

/// "Soy 80 %, Beeswax 20 %"
static void say_waxes(ep_app *app, const ep_revision *r, ep_text *t)
{
    for (int i = 0; i < r->n_waxes; i++) {
        char name[80], share[32];
        ep_text_addf(t, "%s%s", i ? ", " : "", ep_app_name(app, r->wax[i].id, name, sizeof name));
        if (r->n_waxes > 1) {
            ep_text_addf(t, " %s",
                         ep_quantity_format(r->wax[i].frac, EP_U_PCT, 4, share, sizeof share));
        }
    }
}

static void say_fragrance(ep_app *app, const ep_revision *r, json_t *o)
{
    char name[80], load[32];
    if (!r->fragrance_id[0]) {
        ep_out_text(o, "fragrance_text", "unscented");
        return;
    }
    ep_out_textf(o, "fragrance_text", "%s %s %s",
                 ep_app_name(app, r->fragrance_id, name, sizeof name),
                 ep_quantity_format(r->load_frac, EP_U_PCT, 4, load, sizeof load),
                 r->load_basis == EP_LOAD_OF_WAX ? "of wax" : "of total");
}

static ep_status updated(ep_app *app, const char *recipe_id, json_t *o, ep_err *err)
{
    int64_t at = 0;
    ep_bind bind[] = {ep_bind_text("recipe", recipe_id)};
    ep_status status = ep_store_int(app->store, EP_Q_RECIPE_UPDATED, bind, 1, 0, &at, err);
    if (status == EP_OK) {
        ep_out_time(o, "updated", at);
    }
    return status;
}

static void line_text(ep_app *app, const ep_revision *r, json_t *o)
{
    char name[80];
    ep_text waxes;
    ep_text_init(&waxes);
    say_waxes(app, r, &waxes);
    ep_out_ref(o, "container", r->container_id,
               ep_app_name(app, r->container_id, name, sizeof name));
    ep_out_text(o, "wax_text", ep_text_str(&waxes));
    say_fragrance(app, r, o);
    ep_out_text(o, "series_name", ep_app_name(app, r->series_id, name, sizeof name));
    ep_out_text(o, "size_name", ep_app_name(app, r->size_id, name, sizeof name));
    ep_out_int(o, "revision", r->number);
    ep_text_clear(&waxes);
}

ep_status ep_shape_recipe_line(ep_app *app, const char *recipe_id, json_t **out, ep_err *err)
{
    ep_revision r;
    ep_recipe_state state;
    char name[80];
    ep_status status = ep_app_revision_load(app, recipe_id, 0, &r, err);
    if (status == EP_OK) {
        status = ep_recipe_state_of(app, &r, &state, err);
    }
    if (status != EP_OK) {
        return status;
    }
    json_t *o = json_object();
    ep_out_text(o, "id", recipe_id);
    ep_out_text(o, "name", ep_app_name(app, recipe_id, name, sizeof name));
    ep_out_bool(o, "archived", ep_app_archived(app, recipe_id));
    line_text(app, &r, o);
    ep_out_text(o, "state", state.key);
    ep_out_text(o, "state_text", state.text);
    ep_out_int(o, "candles_poured", state.candles_poured);
    status = updated(app, recipe_id, o, err);
    if (status != EP_OK) {
        json_decref(o);
        return status;
    }
    *out = o;
    return EP_OK;
}

ep_status ep_case_recipes(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    return ep_give_list(app, EP_Q_RECIPE_LIST, ep_in_bool(in, "archived", false), "recipes",
                        ep_shape_recipe_line, out, err);
}

static ep_status all_revisions(ep_app *app, const ep_revision *newest, json_t *list, ep_err *err)
{
    ep_status status = EP_OK;
    for (int number = 1; status == EP_OK && number <= newest->number; number++) {
        ep_revision r;
        json_t *one = NULL;
        status = ep_app_revision_load(app, newest->recipe_id, number, &r, err);
        if (status == EP_OK) {
            status = ep_shape_revision(app, &r, &one, err);
        }
        if (status == EP_OK) {
            json_array_append_new(list, one);
        }
    }
    return status;
}

/// A revision that names more scent than its waxes take up, and what always holds.
static ep_status add_cautions(ep_app *app, const ep_revision *r, json_t *list, ep_err *err)
{
    ep_melt melt;
    ep_mix mix;
    double additives = 0;
    for (int i = 0; i < r->n_additives; i++) {
        additives += r->additive[i].frac;
    }
    ep_status status = ep_app_melt_of(app, r, &melt, err);
    if (status == EP_OK) {
        status = ep_mix_make(r->load_frac, r->load_basis, r->dye_of_wax_frac, additives, &mix, err);
    }
    if (status == EP_OK && mix.load_of_wax > melt.max_load_of_wax + 1e-9) {
        char text[240], load[32], most[32];
        snprintf(text, sizeof text,
                 "The load, %s of wax, is above the %s these waxes are said to hold: it may sweat, "
                 "clog the wick or burn too hot.",
                 ep_quantity_format(mix.load_of_wax, EP_U_PCT, 3, load, sizeof load),
                 ep_quantity_format(melt.max_load_of_wax, EP_U_PCT, 3, most, sizeof most));
        json_array_append_new(list, json_string(text));
    }
    ep_cautions_short_trim(list, r->trim_m);
    ep_cautions_add(list, EP_CAUTION_BURNING);
    return status;
}

static ep_status fill_recipe(ep_app *app, const ep_revision *newest, json_t *o, ep_err *err)
{
    ep_recipe_state state;
    json_t *revisions = json_array(), *cautions = json_array();
    ep_out_new(o, "revisions", revisions);
    ep_out_new(o, "cautions", cautions);
    ep_status status = ep_recipe_state_of(app, newest, &state, err);
    if (status == EP_OK) {
        status = all_revisions(app, newest, revisions, err);
    }
    if (status == EP_OK) {
        status = add_cautions(app, newest, cautions, err);
    }
    if (status == EP_OK) {
        char due[160];
        ep_out_bool(o, "due_own", ep_app_due_setting(app, newest->recipe_id, due, sizeof due));
        ep_out_text(o, "due_minutes", due);
        ep_out_text(o, "state", state.key);
        ep_out_text(o, "state_text", state.text);
        json_object_set(o, "revision", json_array_get(revisions, json_array_size(revisions) - 1));
    }
    return status;
}

ep_status ep_shape_recipe(ep_app *app, const char *recipe_id, json_t **out, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("id", recipe_id)};
    json_t *o = NULL;
    ep_revision newest;
    ep_status status = ep_store_one(app->store, EP_Q_RECIPE_GET, bind, 1, &o, err);
    if (status == EP_E_NOT_FOUND) {
        return ep_err_set(err, status, "recipe", "recipe: there is none with the id “%s”",
                          recipe_id);
    }
    if (status == EP_OK) {
        status = ep_app_revision_load(app, recipe_id, 0, &newest, err);
    }
    if (status == EP_OK) {
        ep_out_bool(o, "archived", ep_app_archived(app, recipe_id));
        status = fill_recipe(app, &newest, o, err);
    }
    if (status != EP_OK) {
        json_decref(o);
        return status;
    }
    *out = o;
    return EP_OK;
}

ep_status ep_case_recipe(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP];
    ep_status status = ep_find_recipe(app, ep_in_text(in, "id"), "id", id, err);
    return status == EP_OK ? ep_shape_recipe(app, id, out, err) : status;
}

static ep_status save_recipe(ep_app *app, const char *id, const char *name, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("id", id), ep_bind_text("name", name),
                      ep_bind_int("at", ep_app_now(app))};
    ep_err inner = {0};
    ep_status status = ep_store_run(app->store, EP_Q_RECIPE_ADD, bind, EP_COUNT_OF(bind), &inner);
    if (status == EP_E_CONFLICT) {
        return ep_err_set(err, status, "name", "name: there is already a recipe called “%s”", name);
    }
    return status == EP_OK ? EP_OK : ep_err_as(err, &inner, inner.field);
}

ep_status ep_case_recipe_add(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_revision r = {.number = 1};
    ep_in_new_id(app, in, r.recipe_id);
    ep_status status =
        ep_refuse_same_name(app, EP_Q_RECIPE_LIST, ep_in_text(in, "name"), "recipe", err);
    ep_err_next(err);
    status = ep_status_first(status, ep_revision_read(app, in, true, &r, err));
    if (status == EP_OK) {
        status = save_recipe(app, r.recipe_id, ep_in_text(in, "name"), err);
    }
    if (status == EP_OK) {
        status = ep_revision_save(app, &r, ep_in_text(in, "note"), err);
    }
    return status == EP_OK ? ep_shape_recipe(app, r.recipe_id, out, err) : status;
}

/// A form may send the name back; it cannot send another.
static ep_status keep_name(ep_app *app, const json_t *in, const char *id, ep_err *err)
{
    char name[80];
    ep_app_name(app, id, name, sizeof name);
    if (!ep_in_has(in, "name") || strcmp(ep_in_text(in, "name"), name) == 0) {
        return EP_OK;
    }
    return ep_err_set(err, EP_E_STATE, "name",
                      "name: this recipe is called “%s” and keeps that name; describe a new recipe "
                      "for another",
                      name);
}

ep_status ep_case_recipe_revise(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP];
    ep_revision before, r;
    ep_status status = ep_find_recipe(app, ep_in_text(in, "id"), "id", id, err);
    if (status == EP_OK) {
        status = ep_app_revision_load(app, id, 0, &before, err);
    }
    if (status == EP_OK) {
        status = keep_name(app, in, id, err);
    }
    if (status == EP_OK) {
        r = before;
        status = ep_revision_read(app, in, false, &r, err);
    }
    if (status == EP_OK && ep_revision_diff(&before, &r) == 0 && !ep_in_has(in, "note")) {
        status = ep_err_set(err, EP_E_STATE, "",
                            "nothing differs from revision %d; give at least one field a new value",
                            before.number);
    }
    if (status == EP_OK) {
        status = ep_revision_save(app, &r, ep_in_text(in, "note"), err);
    }
    return status == EP_OK ? ep_shape_recipe(app, id, out, err) : status;
}
