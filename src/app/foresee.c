// A revision made into a burn case, and answers kept for the next time.
#include "app/foresee_int.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "app/recipe_int.h"
#include "base/text.h"
#include "base/uuid.h"

// everything beside the revision, which is there
static ep_status load_parts(ep_app *app, ep_foresight *f, ep_err *err)
{
    const ep_revision *r = &f->revision;
    ep_status s = ep_app_container_load(app, r->container_id, &f->vessel, &f->wall, err);
    s = s == EP_OK ? ep_app_melt_of(app, r, &f->melt, err) : s;
    s = s == EP_OK ? ep_app_series_load(app, r->series_id, &f->series, err) : s;
    s = s == EP_OK ? ep_app_material_load(app, f->series.construction_id, &f->construction, err)
                   : s;
    s = s == EP_OK ? ep_app_limits_load(app, f->limit, err) : s;
    f->rest_s = ep_app_setting_number(app, "rest_h") * 3600.0;
    return s;
}

static ep_status load_locked(ep_app *app, const json_t *in, ep_foresight *f, ep_err *err)
{
    ep_status s = ep_find_recipe(app, ep_in_text(in, "id"), "id", f->recipe_id, err);
    s = s == EP_OK ? ep_app_revision_load(app, f->recipe_id, ep_in_int(in, "revision", 0),
                                          &f->revision, err)
                   : s;
    return s == EP_OK ? load_parts(app, f, err) : s;
}

static void hash_number(uint64_t *h, double x)
{
    *h = ep_hash_real(*h, x);
}

static void hash_prop(uint64_t *h, const ep_prop *p)
{
    hash_number(h, p->value);
    hash_number(h, p->lo);
    hash_number(h, p->hi);
}

static void hash_material(uint64_t *h, const ep_material *m)
{
    for (int i = 0; i < m->n_props; i++) {
        hash_prop(h, &m->prop[i]);
    }
}

static void hash_melt(uint64_t *h, const ep_melt *m)
{
    const ep_prop *prop[] = {&m->solidus_K,      &m->liquidus_K,      &m->latent_J_kg,
                             &m->cp_solid_J_kgK, &m->cp_liquid_J_kgK, &m->k_solid_W_mK,
                             &m->k_liquid_W_mK,  &m->rho_solid_kg_m3, &m->rho_liquid_kg_m3,
                             &m->mu80_Pas,       &m->lhv_J_kg,        &m->absorb_factor};
    for (size_t i = 0; i < sizeof prop / sizeof *prop; i++) {
        hash_prop(h, prop[i]);
    }
    const double plain[] = {m->rho_slope_kg_m3K, m->andrade_K,      m->sigma80_N_m,
                            m->sigma_slope_N_mK, m->air_fuel,       m->smoke_factor,
                            m->feed_factor,      m->fragrance_frac, m->p60_Pa,
                            m->p25_Pa,           m->flash_K};
    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++) {
        hash_number(h, plain[i]);
    }
}

static void hash_sizes(uint64_t *h, const ep_wick_series *s)
{
    hash_number(h, s->n_sizes);
    for (int i = 0; i < s->n_sizes; i++) {
        hash_number(h, s->size[i].linear_density_kg_m);
        hash_number(h, s->size[i].width_m);
        hash_number(h, s->size[i].thickness_m);
        hash_number(h, s->size[i].core_m);
    }
}

void ep_foresight_changed(ep_foresight *f)
{
    uint64_t h = ep_hash_start();
    const ep_revision *r = &f->revision;
    const double plain[] = {f->vessel.wall_m,
                            f->vessel.base_m,
                            r->fill_height_m,
                            r->trim_m,
                            r->session_s,
                            r->stop_height_m,
                            f->rest_s,
                            (double)f->vessel.outline,
                            f->vessel.across_frac,
                            f->vessel.corner_frac,
                            (double)r->wick_count};
    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++) {
        hash_number(&h, plain[i]);
    }
    hash_number(&h, f->vessel.n_stations);
    for (int i = 0; i < f->vessel.n_stations; i++) {
        hash_number(&h, f->vessel.station[i].height_m);
        hash_number(&h, f->vessel.station[i].inner_diameter_m);
    }
    hash_number(&h, r->n_places);
    for (int i = 0; i < r->n_places; i++) {
        hash_number(&h, r->place[i].x_m);
        hash_number(&h, r->place[i].y_m);
    }
    hash_material(&h, &f->wall);
    hash_material(&h, &f->construction);
    hash_melt(&h, &f->melt);
    hash_sizes(&h, &f->series);
    ep_hash_write(h, f->burns);
    for (int i = 0; i < EP_LIMIT_COUNT_; i++) {
        hash_number(&h, f->limit[i].value);
    }
    ep_hash_write(h, f->inputs);
}

ep_status ep_foresight_load(ep_app *app, const json_t *in, ep_foresight *out, ep_err *err)
{
    ep_status s = ep_app_begin(app, false, "foresee", err);
    if (s == EP_OK) {
        s = ep_app_end(app, load_locked(app, in, out, err), err);
    }
    if (s != EP_OK) {
        return s;
    }
    if (out->series.n_sizes < 1) {
        return ep_err_set(err, EP_E_STATE, "series", "series: it has no sizes yet; add one first");
    }
    ep_foresight_changed(out);
    out->waiter = ep_app_waiter(app);
    return EP_OK;
}

ep_status ep_foresight_case(const ep_foresight *f, int size, ep_burn_case *out, ep_err *err)
{
    ep_burn_case c = ep_burn_case_default();
    const ep_revision *r = &f->revision;
    ep_status s = ep_wick_law_of(&f->construction, &f->series.size[size], &c.wick, err);
    if (s != EP_OK) {
        return s;
    }
    c.vessel = f->vessel;
    c.wall = &f->wall;
    c.melt = f->melt;
    c.fill_height_m = r->fill_height_m;
    c.n_wicks = r->wick_count;
    ep_revision_places(r, &f->vessel, c.place);
    c.stop_height_m = r->stop_height_m;
    // who burns a candle lower than the usual neck has wick feet that are lower
    c.neck_m = fmin(c.neck_m, r->stop_height_m);
    c.schedule.lit_s = r->session_s;
    c.schedule.rest_s = f->rest_s;
    c.schedule.trim_m = r->trim_m;
    if (!ep_burn_case_rings(&c)) {
        c.grid_m = EP_PLAN_GRID_M;
    }
    if (f->waiter) {
        c.wanted = f->waiter->waits;
        c.wanted_ctx = f->waiter->ctx;
    }
    *out = c;
    return ep_burn_case_check(out, err);
}

int ep_foresight_members(const ep_foresight *f, const json_t *in)
{
    ep_burn_case c = {.vessel = f->vessel, .n_wicks = f->revision.wick_count};
    ep_revision_places(&f->revision, &f->vessel, c.place);
    bool quick = f->revision.wick_count < 1 || ep_burn_case_rings(&c);
    return ep_in_int(in, "members", quick ? EP_ODDS_MEMBERS : EP_ODDS_PLAN_MEMBERS);
}

void ep_foresight_coarsen(ep_burn_case *c)
{
    c->grid_m = ep_burn_case_rings(c) ? EP_ODDS_GRID_M : EP_ODDS_PLAN_GRID_M;
    c->step_s = EP_ODDS_STEP_S;
}

ep_status ep_foresight_size(const ep_foresight *f, const char *text, int *index, ep_err *err)
{
    const char *want = text && text[0] ? text : f->revision.size_id;
    if (!want[0]) {
        *index = f->series.n_sizes / 2;
        return EP_OK;
    }
    for (int i = 0; i < f->series.n_sizes; i++) {
        if (strcmp(f->series.size[i].id, want) == 0 ||
            strcasecmp(f->series.size[i].name, want) == 0) {
            *index = i;
            return EP_OK;
        }
    }
    ep_text names;
    ep_text_init(&names);
    for (int i = 0; i < f->series.n_sizes; i++) {
        ep_text_addf(&names, "%s%s", i ? ", " : "", f->series.size[i].name);
    }
    ep_err_set(err, EP_E_NOT_FOUND, "wick", "wick: %s has no size \"%s\"; it has %s",
               f->series.name, want, ep_text_str(&names));
    ep_text_clear(&names);
    return EP_E_NOT_FOUND;
}

// the engine's words for what a recipe calls otherwise
static ep_status say_unburnable(const ep_err *inner, const ep_revision *r, ep_err *err)
{
    const char *rest = strchr(inner->text, ':');
    if (strcmp(inner->field, "latent") == 0) {
        return ep_err_set(err, inner->status, "waxes", "waxes: heat of melting of the mix%s",
                          rest ? rest : "");
    }
    if (strcmp(inner->field, "wick") == 0) {
        const char *field = r->size_id[0] ? "size" : "series";
        return ep_err_set(err, inner->status, field, "%s: thickness of its wick%s", field,
                          rest ? rest : "");
    }
    return ep_err_as(err, inner, inner->field);
}

ep_status ep_revision_burnable(ep_app *app, const ep_revision *r, ep_err *err)
{
    ep_foresight f = {.revision = *r};
    ep_burn_case c;
    ep_err inner = {0};
    int size = 0;
    ep_status s = load_parts(app, &f, err);
    if (s != EP_OK || f.series.n_sizes < 1) {
        return s;
    }
    s = ep_foresight_size(&f, NULL, &size, &inner);
    s = s == EP_OK ? ep_foresight_case(&f, size, &c, &inner) : s;
    return s == EP_OK ? EP_OK : say_unburnable(&inner, r, err);
}

static const char *size_id_of(const ep_foresight *f, int size)
{
    return size < 0 ? NULL : f->series.size[size].id;
}

static ep_status keep(ep_app *app, const ep_foresight *f, const char *kind, int size, int seed,
                      int members, const char *body, ep_err *err)
{
    enum { SAME = 7 };
    ep_uuid id = ep_uuid_make(ep_app_now(app));
    const ep_bind bind[] = {ep_bind_text("revision_id", f->revision.id),
                            ep_bind_text("size_id", size_id_of(f, size)),
                            ep_bind_text("kind", kind),
                            ep_bind_text("engine", EP_ENGINE_VERSION),
                            ep_bind_text("tables", ep_tables_version()),
                            ep_bind_int("seed", seed),
                            ep_bind_int("members", members),
                            ep_bind_text("inputs", f->inputs),
                            ep_bind_text("id", id.text),
                            ep_bind_text("body", body),
                            ep_bind_int("created_ms", ep_app_now(app))};
    json_t *row = NULL;
    ep_status s = ep_store_one(app->store, EP_Q_FORECAST_NEWEST, bind, SAME, &row, err);
    const bool same = s == EP_OK && strcmp(ep_row_text(row, "inputs"), f->inputs) == 0;
    json_decref(row);
    if (same || (s != EP_OK && s != EP_E_NOT_FOUND)) {
        return s;
    }
    return ep_store_run(app->store, EP_Q_FORECAST_ADD, bind, EP_COUNT_OF(bind), err);
}

ep_status ep_foresight_keep(ep_app *app, const ep_foresight *f, const char *kind, int size,
                            int seed, int members, const json_t *body, ep_err *err)
{
    char *text = json_dumps(body, JSON_COMPACT);
    if (!text) {
        return ep_err_set(err, EP_E_MEMORY, "", "the forecast could not be written down");
    }
    ep_status s = ep_app_begin(app, true, "foresee", err);
    if (s == EP_OK) {
        s = ep_app_end(app, keep(app, f, kind, size, seed, members, text, err), err);
    }
    free(text);
    return s;
}
