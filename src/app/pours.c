// Pours: one pot of wax for some candles of one revision, as it was weighed and measured.
#include <stdlib.h>
#include <string.h>

#include "app/bench_int.h"
#include "base/hash.h"
#include "base/rng.h"
#include "base/uuid.h"

enum { MOST_CANDLES = 500, CODE_LEN = 4, MOST_TRIES = 1000 };

// the sheet as "recipe weigh" prints it when nothing else is said: loss and resolution of the bench
static const double plan_loss_frac = 0.03, plan_resolution_kg = 1e-4;

typedef struct pour {
    char id[EP_ID_CAP];
    ep_revision rev;
    ep_melt melt;
    ep_vessel vessel;
    ep_pour_facts facts;
    ep_pour_plan plan;
    ep_time_ms poured_ms, cure_burn_ms, cure_scent_ms;
} pour;

// --- what the recipe asks for ---

static double additive_of_wax(const ep_revision *r)
{
    double sum = 0.0;
    for (int i = 0; i < r->n_additives; i++) {
        sum += r->additive[i].frac;
    }
    return sum;
}

static double load_of_wax(const ep_revision *r)
{
    if (!r->fragrance_id[0]) {
        return 0.0;
    }
    return r->load_basis == EP_LOAD_OF_WAX ? r->load_frac
                                           : ep_load_to_wax(r->load_frac, additive_of_wax(r));
}

static ep_status plan_load(ep_app *app, pour *p, ep_err *err)
{
    ep_status status = ep_app_melt_of(app, &p->rev, &p->melt, err);
    if (status == EP_OK) {
        status = ep_app_container_load(app, p->rev.container_id, &p->vessel, NULL, err);
    }
    if (status != EP_OK) {
        return status;
    }
    p->plan = (ep_pour_plan){
        .fill_kg = ep_fill_mass_kg(&p->melt, &p->vessel, p->rev.fill_height_m),
        .load_of_wax = load_of_wax(&p->rev),
        .dye_of_wax = p->rev.dye_id[0] ? p->rev.dye_of_wax_frac : 0.0,
        .additive_of_wax = additive_of_wax(&p->rev),
        .pour_K = p->melt.pour_K,
        .add_K = p->melt.add_K,
        .solidus_K = p->melt.solidus_K.value,
        .flash_K = p->melt.flash_K,
        .max_load_of_wax = p->melt.max_load_of_wax,
    };
    return EP_OK;
}

// --- recording ---

// the set as size ids and counts, sizes found in the revision's series
static ep_status set_resolve(ep_app *app, const json_t *in, pour *p, json_t *sizes, ep_err *err)
{
    size_t i;
    json_t *entry;
    ep_status all = EP_OK;
    json_array_foreach(ep_in_any(in, "set"), i, entry)
    {
        char id[EP_ID_CAP];
        ep_err_next(err);
        ep_status status =
            ep_find_size(app, p->rev.series_id, ep_in_text(entry, "size"), "set", id, err);
        all = ep_status_first(all, status);
        if (status != EP_OK) {
            continue;
        }
        int n = ep_in_int(entry, "candles", 0);
        p->facts.candles += n;
        if (p->facts.candles > MOST_CANDLES) {
            return ep_err_set(err, EP_E_ARG, "set",
                              "set: %d candles are outside 1 to %d in one pour", p->facts.candles,
                              MOST_CANDLES);
        }
        for (int k = 0; k < n; k++) {
            json_array_append_new(sizes, json_string(id));
        }
    }
    return all;
}

static ep_status facts_read(const json_t *in, pour *p, ep_err *err)
{
    ep_pour_facts *f = &p->facts;
    f->wax_kg = ep_in_real(in, "wax_mass", EP_NOT_KNOWN);
    f->fragrance_kg = ep_in_real(in, "fragrance_mass", EP_NOT_KNOWN);
    f->dye_kg = ep_in_real(in, "dye_mass", EP_NOT_KNOWN);
    f->wax_peak_K = ep_in_real(in, "wax_peak", EP_NOT_KNOWN);
    f->add_K = ep_in_real(in, "add_temp", EP_NOT_KNOWN);
    f->pour_K = ep_in_real(in, "pour_temp", EP_NOT_KNOWN);
    f->vessel_K = ep_in_real(in, "vessel_temp", EP_NOT_KNOWN);
    f->room_K = ep_in_real(in, "room_temp", EP_NOT_KNOWN);
    if (f->fragrance_kg > 0.0 && !p->rev.fragrance_id[0]) {
        return ep_err_set(
            err, EP_E_ARG, "fragrance_mass",
            "fragrance_mass: %.1f g, but this revision is unscented; revise the recipe "
            "first",
            f->fragrance_kg * 1e3);
    }
    if (f->dye_kg > 0.0 && !p->rev.dye_id[0]) {
        return ep_err_set(err, EP_E_ARG, "dye_mass",
                          "dye_mass: %.2f g, but this revision is undyed; revise the recipe first",
                          f->dye_kg * 1e3);
    }
    if (f->fragrance_kg > f->wax_kg) {
        return ep_err_set(err, EP_E_ARG, "fragrance_mass",
                          "fragrance_mass: %.1f g is outside 0 g to the %.1f g of wax",
                          f->fragrance_kg * 1e3, f->wax_kg * 1e3);
    }
    return EP_OK;
}

static double humidity_pct(const json_t *in)
{
    return 100.0 * ep_in_real(in, "humidity", EP_NOT_KNOWN);
}

static double C_of(double T_K)
{
    return ep_out_round(ep_unit_from_si(EP_U_DEG_C, T_K));
}

static double g_of(double m_kg)
{
    return ep_out_round(m_kg * 1e3);
}

static ep_status pour_save(ep_app *app, const json_t *in, const pour *p, ep_err *err)
{
    const ep_pour_facts *f = &p->facts;
    json_t *planned = NULL;
    ep_status status = ep_shape_weighout(app, &p->rev, f->candles, plan_loss_frac, 0.0,
                                         plan_resolution_kg, &planned, err);
    char *planned_text = planned ? json_dumps(planned, JSON_COMPACT) : NULL;
    if (status == EP_OK) {
        ep_bind bind[] = {
            ep_bind_text("id", p->id),
            ep_bind_text("revision", p->rev.id),
            ep_bind_int("poured", p->poured_ms),
            ep_bind_real("wax_mass", g_of(f->wax_kg)),
            ep_bind_real("fragrance_mass", g_of(f->fragrance_kg)),
            ep_bind_real("dye_mass", g_of(f->dye_kg)),
            ep_bind_real("wax_peak", C_of(f->wax_peak_K)),
            ep_bind_real("add_temp", C_of(f->add_K)),
            ep_bind_real("pour_temp", C_of(f->pour_K)),
            ep_bind_real("vessel_temp", C_of(f->vessel_K)),
            ep_bind_real("room_temp", C_of(f->room_K)),
            ep_bind_real("humidity", ep_out_round(humidity_pct(in))),
            ep_bind_real("load_of_wax", ep_out_round(100.0 * f->fragrance_kg / f->wax_kg)),
            ep_bind_int("cure_burn", p->cure_burn_ms),
            ep_bind_int("cure_scent", p->cure_scent_ms),
            ep_bind_text("planned", planned_text),
            ep_bind_text_or_null("note", ep_in_text(in, "note")),
            ep_bind_int("at", ep_app_now(app)),
        };
        status = ep_store_run(app->store, EP_Q_POUR_ADD, bind, EP_COUNT_OF(bind), err);
    }
    free(planned_text);
    json_decref(planned);
    return status;
}

static ep_status lots_save(ep_app *app, const json_t *in, const char *pour_id, ep_err *err)
{
    size_t i;
    json_t *lot;
    json_t *seen = json_object();
    ep_status status = EP_OK;
    json_array_foreach(ep_in_any(in, "lots"), i, lot)
    {
        char id[EP_ID_CAP];
        if (!json_is_string(lot)) {
            status = ep_err_set(err, EP_E_PARSE, "lots", "lots: codes or ids are needed here");
            break;
        }
        status = ep_find_lot(app, json_string_value(lot), "lots", id, err);
        if (status == EP_OK && !json_object_get(seen, id)) {
            json_object_set_new(seen, id, json_true());
            ep_bind bind[] = {ep_bind_text("pour", pour_id), ep_bind_text("lot", id)};
            status = ep_store_run(app->store, EP_Q_POUR_LOT_ADD, bind, EP_COUNT_OF(bind), err);
        }
        if (status != EP_OK) {
            break;
        }
    }
    json_decref(seen);
    return status;
}

// Codes follow from the pour's id, so that the same pour always gets the same ones; a code that is
// taken makes way for the next.
static ep_status code_free(ep_app *app, ep_rng *rng, char code[CODE_LEN + 1], ep_err *err)
{
    static const char alphabet[] = "23456789ABCDEFGHJKMNPQRSTVWXYZ";
    for (int attempt = 0; attempt < MOST_TRIES; attempt++) {
        for (int i = 0; i < CODE_LEN; i++) {
            code[i] = alphabet[ep_rng_u64(rng) % (sizeof alphabet - 1)];
        }
        code[CODE_LEN] = '\0';
        json_t *taken = NULL;
        ep_bind bind[] = {ep_bind_text("key", code)};
        ep_status status = ep_store_one(app->store, EP_Q_CANDLE_FIND, bind, 1, &taken, err);
        json_decref(taken);
        // a code that reads as a number would be taken for one
        bool number = strspn(code, "0123456789E") == CODE_LEN;
        if (status == EP_E_NOT_FOUND && !number) {
            return EP_OK;
        }
        if (status != EP_OK && status != EP_E_NOT_FOUND) {
            return status;
        }
    }
    return ep_err_set(err, EP_E_STATE, "set", "no free candle code was found");
}

static ep_status candles_save(ep_app *app, const pour *p, const json_t *sizes, ep_err *err)
{
    ep_rng rng = ep_rng_make(ep_hash_bytes(ep_hash_start(), p->id, strlen(p->id)), 1);
    double wax_g = g_of(ep_pour_candle_kg(&p->facts, &p->plan));
    for (int i = 0; i < p->facts.candles; i++) {
        char code[CODE_LEN + 1];
        ep_status status = code_free(app, &rng, code, err);
        ep_uuid id = ep_uuid_make(ep_app_now(app));
        ep_bind bind[] = {
            ep_bind_text("id", id.text),
            ep_bind_text("pour", p->id),
            ep_bind_int("position", i + 1),
            ep_bind_text("code", code),
            ep_bind_text("size", json_string_value(json_array_get(sizes, (size_t)i))),
            ep_bind_int("wick_count", p->rev.wick_count),
            ep_bind_real("wax_mass", wax_g),
        };
        if (status == EP_OK) {
            status = ep_store_run(app->store, EP_Q_CANDLE_ADD, bind, EP_COUNT_OF(bind), err);
        }
        if (status != EP_OK) {
            return status;
        }
    }
    return EP_OK;
}

// --- showing ---

static double K_of(const json_t *row, const char *key)
{
    return ep_unit_to_si(EP_U_DEG_C, ep_row_real(row, key));
}

static ep_pour_facts facts_of(const json_t *row, int candles)
{
    return (ep_pour_facts){
        .candles = candles,
        .wax_kg = ep_row_real(row, "wax_mass_g") * 1e-3,
        .fragrance_kg = ep_row_real(row, "fragrance_mass_g") * 1e-3,
        .dye_kg = ep_row_real(row, "dye_mass_g") * 1e-3,
        .wax_peak_K = K_of(row, "wax_peak_C"),
        .add_K = K_of(row, "add_temp_C"),
        .pour_K = K_of(row, "pour_temp_C"),
        .vessel_K = K_of(row, "vessel_temp_C"),
        .room_K = K_of(row, "room_temp_C"),
    };
}

static bool lot_belongs(const ep_revision *r, const char *thing)
{
    bool fits = strcmp(thing, r->fragrance_id) == 0 || strcmp(thing, r->dye_id) == 0 ||
                strcmp(thing, r->series_id) == 0 || strcmp(thing, r->container_id) == 0;
    for (int i = 0; i < r->n_waxes; i++) {
        fits = fits || strcmp(thing, r->wax[i].id) == 0;
    }
    for (int i = 0; i < r->n_additives; i++) {
        fits = fits || strcmp(thing, r->additive[i].id) == 0;
    }
    return fits;
}

static void warn_lots(const ep_revision *r, const json_t *lots, json_t *warnings)
{
    size_t i;
    json_t *lot;
    json_array_foreach(lots, i, lot)
    {
        if (!lot_belongs(r, ep_row_text(lot, "material_id"))) {
            ep_warn(warnings,
                    "lot %s is %s, which is not in this revision: wrong one off the shelf?",
                    ep_row_text(lot, "code"), ep_row_text(lot, "material_name"));
        }
    }
}

static ep_status warnings_of(ep_app *app, const json_t *row, int candles, const json_t *lots,
                             json_t *warnings, ep_err *err)
{
    pour p = {.facts = facts_of(row, candles)};
    ep_status status = ep_app_revision_by_id(app, ep_row_text(row, "revision_id"), &p.rev, err);
    if (status == EP_OK) {
        status = plan_load(app, &p, err);
    }
    if (status == EP_OK) {
        ep_pour_warn(&p.facts, &p.plan, warnings);
        warn_lots(&p.rev, lots, warnings);
    }
    return status;
}

static void move(json_t *to, json_t *row, const char *key)
{
    json_object_set(to, key, json_object_get(row, key));
}

static json_t *shape(json_t *row, json_t *candles, json_t *lots, json_t *warnings)
{
    static const char *const weighed[] = {"wax_mass_g",    "fragrance_mass_g", "dye_mass_g",
                                          "wax_peak_C",    "add_temp_C",       "pour_temp_C",
                                          "vessel_temp_C", "room_temp_C",      "humidity_pct"};
    static const char *const plain[] = {
        "id",      "recipe_id", "recipe_name",  "revision",        "poured_at",
        "planned", "note",      "cure_burn_at", "load_of_wax_pct", "cure_scent_at"};
    json_t *o = json_object(), *actual = json_object();
    for (int i = 0; i < EP_COUNT_OF(plain); i++) {
        move(o, row, plain[i]);
    }
    for (int i = 0; i < EP_COUNT_OF(weighed); i++) {
        move(actual, row, weighed[i]);
    }
    ep_out_new(o, "actual", actual);
    ep_out_new(o, "candles", candles);
    ep_out_new(o, "lots", lots);
    ep_out_new(o, "warnings", warnings);
    return o;
}

static ep_status pour_shape(ep_app *app, const char *id, json_t **out, ep_err *err)
{
    json_t *row = NULL, *rows = NULL, *lots = NULL;
    json_t *warnings = json_array();
    ep_bind by_id[] = {ep_bind_text("id", id)};
    ep_bind by_pour[] = {ep_bind_text("pour", id)};
    ep_status status = ep_store_one(app->store, EP_Q_POUR_GET, by_id, 1, &row, err);
    if (status == EP_E_NOT_FOUND) {
        ep_err_set(err, status, "id", "id: there is no pour “%.60s”", id);
    }
    if (status == EP_OK) {
        status = ep_store_json(app->store, EP_Q_CANDLES_OF_POUR, by_pour, 1, &rows, err);
    }
    if (status == EP_OK) {
        status = ep_store_json(app->store, EP_Q_POUR_LOTS, by_pour, 1, &lots, err);
    }
    if (status == EP_OK) {
        status = warnings_of(app, row, (int)json_array_size(rows), lots, warnings, err);
    }
    if (status == EP_OK) {
        *out =
            shape(row, ep_shape_candles(app, rows, -1), json_incref(lots), json_incref(warnings));
    }
    json_decref(row);
    json_decref(rows);
    json_decref(lots);
    json_decref(warnings);
    return status;
}

// --- cases ---

static ep_status pour_prepare(ep_app *app, const json_t *in, pour *p, json_t *sizes, ep_err *err)
{
    char recipe[EP_ID_CAP];
    ep_in_new_id(app, in, p->id);
    p->poured_ms = ep_in_time(in, "poured_at", ep_app_now(app));
    ep_status status = ep_time_check(app, p->poured_ms, 0, "the earliest", "poured_at", err);
    if (status == EP_OK) {
        status = ep_find_recipe(app, ep_in_text(in, "recipe"), "recipe", recipe, err);
    }
    if (status == EP_OK) {
        status = ep_app_revision_load(app, recipe, ep_in_int(in, "revision", 0), &p->rev, err);
    }
    if (status == EP_OK) {
        status = plan_load(app, p, err);
    }
    if (status == EP_OK) {
        status = set_resolve(app, in, p, sizes, err);
    }
    if (status == EP_OK) {
        status = facts_read(in, p, err);
    }
    p->cure_burn_ms = p->poured_ms + (ep_time_ms)(p->melt.cure_burn_s * 1e3);
    p->cure_scent_ms = p->poured_ms + (ep_time_ms)(p->melt.cure_scent_s * 1e3);
    return status;
}

ep_status ep_case_pour_add(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    pour p = {0};
    json_t *sizes = json_array();
    ep_status status = pour_prepare(app, in, &p, sizes, err);
    if (status == EP_OK) {
        status = pour_save(app, in, &p, err);
    }
    if (status == EP_OK) {
        status = candles_save(app, &p, sizes, err);
    }
    if (status == EP_OK) {
        status = lots_save(app, in, p.id, err);
    }
    json_decref(sizes);
    return status == EP_OK ? pour_shape(app, p.id, out, err) : status;
}

ep_status ep_case_pour_show(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    return pour_shape(app, ep_in_text(in, "id"), out, err);
}

ep_status ep_case_pour_list(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char recipe[EP_ID_CAP] = "";
    size_t limit = (size_t)ep_in_int(in, "limit", 50);
    ep_status status = EP_OK;
    if (ep_in_has(in, "recipe")) {
        status = ep_find_recipe(app, ep_in_text(in, "recipe"), "recipe", recipe, err);
    }
    json_t *rows = NULL, *list = json_array(), *row;
    ep_bind bind[] = {ep_bind_text_or_null("recipe", recipe),
                      ep_bind_int("before", ep_in_time(in, "before", INT64_MAX)),
                      // one more, to know whether there is more
                      ep_bind_int("limit", (int64_t)limit + 1)};
    if (status == EP_OK) {
        status = ep_store_json(app->store, EP_Q_POUR_LIST, bind, EP_COUNT_OF(bind), &rows, err);
    }
    size_t i;
    json_array_foreach(rows, i, row)
    {
        json_t *one = NULL;
        if (status != EP_OK || i == limit) {
            break;
        }
        status = pour_shape(app, ep_row_text(row, "id"), &one, err);
        if (one) {
            json_array_append_new(list, one);
        }
    }
    bool more = json_array_size(rows) > limit;
    json_decref(rows);
    if (status != EP_OK) {
        json_decref(list);
        return status;
    }
    *out = json_pack("{s:o, s:b}", "pours", list, "more", more);
    return EP_OK;
}
