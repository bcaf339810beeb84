// Burns that share materials, gathered from the book into one model.
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "app/learn_int.h"
#include "base/text.h"

// half-width of a 90 % interval in standard deviations
static const double Z90 = 1.6448536269514722;

const char *ep_owner_key(ep_owner o)
{
    static const char *const key[] = {"wax", "series", "container", "fragrance", "dye"};
    return key[o];
}

static int param_of(ep_study *s, ep_owner owner, const char *id, ep_uncertain u)
{
    for (int i = 0; i < s->n_params; i++) {
        const ep_study_param *p = &s->param[i];
        if (p->owner == owner && p->u == u && strcmp(p->id, id) == 0) {
            return i;
        }
    }
    if (s->n_params == EP_STUDY_PARAMS) {
        return -1;
    }
    ep_study_param *p = &s->param[s->n_params];
    p->owner = owner;
    p->u = u;
    ep_copy(p->id, sizeof p->id, id);
    return s->n_params++;
}

static void add_term(ep_study *s, ep_model_run *r, ep_owner owner, const char *id, ep_uncertain u,
                     double weight)
{
    int param = r->n_terms < EP_MODEL_TERMS ? param_of(s, owner, id, u) : -1;
    if (param >= 0) {
        r->term[r->n_terms++] = (ep_term){param, u, weight};
    }
}

// A fragrance or dye drags on the wick by a factor with a range of its own: in sds of the wick's
// feed.
static double feed_weight(const ep_prop *feed, double share, const ep_prop *permeability)
{
    double own = log(fmax(feed->hi, 1e-3) / fmax(feed->lo, 1e-3)) / (2.0 * Z90) * share;
    double wick = log(permeability->hi / permeability->lo) / (2.0 * Z90);
    return wick > 0.0 ? own / wick : 0.0;
}

static void add_scent(ep_app *app, ep_study *s, ep_model_run *r, const ep_foresight *f,
                      const ep_prop *permeability)
{
    const ep_revision *v = &f->revision;
    ep_material m;
    ep_app_lock(app);  // the book's statements are shared with every other request
    if (v->fragrance_id[0] && ep_app_material_load(app, v->fragrance_id, &m, NULL) == EP_OK) {
        add_term(s, r, EP_OWNER_FRAGRANCE, m.id, EP_UNC_FEED,
                 feed_weight(&m.prop[EP_FRAGRANCE_FEED], v->load_frac / 0.10, permeability));
    }
    if (v->dye_id[0] && ep_app_material_load(app, v->dye_id, &m, NULL) == EP_OK) {
        double usual = fmax(m.prop[EP_DYE_TYPICAL].value, 1e-5);
        add_term(s, r, EP_OWNER_DYE, m.id, EP_UNC_FEED,
                 feed_weight(&m.prop[EP_DYE_FEED], v->dye_of_wax_frac / usual, permeability));
    }
    ep_app_unlock(app);
}

// who owns what: the owners of EP_FACTOR_PRIORS. A blend's waxes share its factors so that a blend
// is as uncertain as one wax.
static ep_status add_terms(ep_app *app, ep_study *s, ep_model_run *r, const ep_foresight *f,
                           ep_err *err)
{
    const ep_revision *v = &f->revision;
    double square = 0.0;
    for (int i = 0; i < v->n_waxes; i++) {
        square += v->wax[i].frac * v->wax[i].frac;
    }
    for (int u = 0; u < EP_UNC_COUNT_; u++) {
        const char *owner = ep_uncertain_owner((ep_uncertain)u);
        if (strcmp(owner, "wax") == 0) {
            for (int i = 0; i < v->n_waxes; i++) {
                add_term(s, r, EP_OWNER_WAX, v->wax[i].id, (ep_uncertain)u,
                         v->wax[i].frac / sqrt(square));
            }
        } else if (strcmp(owner, "wick series") == 0) {
            add_term(s, r, EP_OWNER_SERIES, v->series_id, (ep_uncertain)u, 1.0);
        } else if (strcmp(owner, "container") == 0) {
            add_term(s, r, EP_OWNER_CONTAINER, v->container_id, (ep_uncertain)u, 1.0);
        }
    }
    ep_burn_case c;
    ep_status status = ep_foresight_case(f, f->series.n_sizes / 2, &c, err);
    if (status == EP_OK) {
        add_scent(app, s, r, f, &c.wick.permeability_m2);
    }
    return status;
}

double ep_foresight_size_x(const ep_foresight *f, int size)
{
    const ep_wick_series *w = &f->series;
    double middle = w->size[w->n_sizes / 2].linear_density_kg_m;
    return log(w->size[size].linear_density_kg_m / middle) / 0.3;
}

static bool shares(const ep_revision *a, const ep_revision *b)
{
    if (strcmp(a->series_id, b->series_id) == 0 || strcmp(a->container_id, b->container_id) == 0) {
        return true;
    }
    for (int i = 0; i < a->n_waxes; i++) {
        for (int k = 0; k < b->n_waxes; k++) {
            if (strcmp(a->wax[i].id, b->wax[k].id) == 0) {
                return true;
            }
        }
    }
    return false;
}

static int block_of(ep_study *s, const char *recipe_id)
{
    for (int i = 0; i < s->n_blocks; i++) {
        if (strcmp(s->block_recipe[i], recipe_id) == 0) {
            return i;
        }
    }
    ep_copy(s->block_recipe[s->n_blocks], EP_ID_CAP, recipe_id);
    return s->n_blocks++;
}

static ep_status load_book(ep_app *app, const ep_foresight *f, const char *size_id, ep_book *book,
                           ep_err *err)
{
    json_t *rows = NULL;
    ep_candle *candles = NULL;
    int n = 0;
    const ep_bind bind[] = {ep_bind_text("recipe", f->recipe_id),
                            ep_bind_int("number", f->revision.number)};
    ep_status status = ep_app_begin(app, false, "learn", err);
    if (status != EP_OK) {
        return status;
    }
    status = ep_store_json(app->store, EP_Q_CANDLES_OF_REVISION, bind, 2, &rows, err);
    status = status == EP_OK ? ep_candles_of_size(rows, size_id, &candles, &n, err) : status;
    status = status == EP_OK ? ep_book_load(app, candles, n, book, err) : status;
    json_decref(rows);
    free(candles);
    return ep_app_end(app, status, err);
}

// the case the evidence was burned under
static ep_status set_case(ep_study_wick *w, ep_model_run *r, ep_err *err)
{
    ep_status status = ep_foresight_case(w->f, w->size, &r->burn, err);
    r->burn.grid_m = EP_LEARN_GRID_M;
    r->burn.step_s = EP_LEARN_STEP_S;
    if (w->evidence.lit_s > 0.0) {
        r->burn.schedule.lit_s = fmin(fmax(w->evidence.lit_s, 900.0), 86400.0);
    }
    if (isfinite(w->evidence.room_C)) {
        r->burn.ambient_C = fmin(fmax(w->evidence.room_C, 5.0), 40.0);
    }
    r->room_C = r->burn.ambient_C;
    int last = w->evidence.sessions;
    r->burn.schedule.max_sessions =
        last < 1 ? 1 : (last > EP_MAX_SESSIONS ? EP_MAX_SESSIONS : last);
    return status;
}

// one burned wick into the study; what cannot be simulated is left out, not refused
static ep_status add_wick(ep_app *app, const ep_foresight *target, ep_study *s, const json_t *row,
                          bool own, ep_err *err)
{
    ep_foresight *f = calloc(1, sizeof *f);
    if (!f) {
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    json_t *in = json_pack("{s:s, s:i}", "id", ep_row_text(row, "recipe_id"), "revision",
                           (int)ep_row_int(row, "number", 1));
    ep_status status = ep_foresight_load(app, in, f, err);
    json_decref(in);
    const bool mine = status == EP_OK && strcmp(f->recipe_id, target->recipe_id) == 0;
    int size = -1;
    for (int i = 0; status == EP_OK && i < f->series.n_sizes; i++) {
        size = strcmp(f->series.size[i].id, ep_row_text(row, "size_id")) == 0 ? i : size;
    }
    if (status == EP_E_STATE || (status == EP_OK && (mine != own || size < 0 ||
                                                     !shares(&f->revision, &target->revision)))) {
        free(f);
        return EP_OK;
    }
    ep_study_wick *w = &s->wick[s->n_wicks];
    ep_model_run *r = &s->run[s->n_wicks];
    *w = (ep_study_wick){.f = f, .size = size};
    s->n_wicks++;  // from here on ep_study_free clears it
    status =
        status == EP_OK ? load_book(app, f, ep_row_text(row, "size_id"), &w->book, err) : status;
    status = status == EP_OK ? ep_evidence_of(&w->book.d, &w->evidence) : status;
    status = status == EP_OK ? set_case(w, r, err) : status;
    if (status != EP_OK) {
        return status;
    }
    if (w->evidence.n == 0) {
        s->n_wicks--;
        ep_evidence_clear(&w->evidence);
        ep_book_clear(&w->book);
        free(f);
        return EP_OK;
    }
    r->block = block_of(s, f->recipe_id);
    r->first_candle = s->block_candles[r->block];
    s->block_candles[r->block] += w->book.d.n_candles;
    r->size_x = ep_foresight_size_x(f, size);
    r->evidence = w->evidence;
    return add_terms(app, s, r, f, err);
}

static ep_status gather(ep_app *app, const ep_foresight *f, ep_study *s, ep_err *err)
{
    json_t *rows = NULL;
    ep_status status = ep_app_begin(app, false, "learn", err);
    if (status == EP_OK) {
        status =
            ep_app_end(app, ep_store_json(app->store, EP_Q_WICKS_BURNED, NULL, 0, &rows, err), err);
    }
    for (int pass = 0; pass < 2 && status == EP_OK; pass++) {
        size_t i;
        json_t *row;
        json_array_foreach(rows, i, row)
        {
            if (status == EP_OK && s->n_wicks < EP_STUDY_WICKS) {
                status = add_wick(app, f, s, row, pass == 0, err);
            }
        }
    }
    json_decref(rows);
    return status;
}

ep_status ep_study_load(ep_app *app, const ep_foresight *f, ep_study **out, ep_err *err)
{
    ep_study *s = calloc(1, sizeof *s);
    if (!s) {
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    s->target_block = -1;
    ep_status status = gather(app, f, s, err);
    status = status == EP_OK ? add_terms(app, s, &s->target, f, err) : status;
    if (status != EP_OK) {
        ep_study_free(s);
        return status;
    }
    for (int i = 0; i < s->n_blocks; i++) {
        s->target_block = strcmp(s->block_recipe[i], f->recipe_id) == 0 ? i : s->target_block;
    }
    s->model = (ep_model){.n_params = s->n_params,
                          .n_blocks = s->n_blocks,
                          .block_candles = s->block_candles,
                          .n_runs = s->n_wicks,
                          .run = s->run};
    *out = s;
    return EP_OK;
}

ep_status ep_study_aim(ep_app *app, ep_study *s, const ep_foresight *f, ep_err *err)
{
    s->target.n_terms = 0;
    s->n_params = s->model.n_params;  // what an earlier aim added is none of this one's
    return add_terms(app, s, &s->target, f, err);
}

ep_factors ep_study_factors(const ep_study *s, const ep_model_run *r, const double *x,
                            double log_scatter, ep_rng *rng)
{
    double at[EP_STUDY_PARAMS] = {0};
    memcpy(at, x, (size_t)s->model.n_params * sizeof *at);
    for (int i = s->model.n_params; i < s->n_params && rng; i++) {
        at[i] = ep_rng_normal(rng);
    }
    return ep_model_factors(r, at, log_scatter);
}

void ep_study_free(ep_study *s)
{
    if (s) {
        for (int i = 0; i < s->n_wicks; i++) {
            ep_evidence_clear(&s->wick[i].evidence);
            ep_book_clear(&s->wick[i].book);
            free(s->wick[i].f);
        }
        ep_belief_destroy(s->belief);
        free(s);
    }
}

// --- odds from draws ---

// the misfit of a draw in one of the ways it may be read
static ep_shift drawn_shift(const ep_study *s, int draw, int member, int way, int seed)
{
    const ep_belief *b = s->belief;
    // a recipe without burns of its own: as far off as the others of the book may have been
    ep_shift shift = ep_shift_prior((uint64_t)seed, member, way);
    const double *v = b->draw + (size_t)draw * (size_t)b->n_unknowns;
    if (s->target_block >= 0) {
        const int at = ep_model_block_at(&s->model, s->target_block);
        memcpy(shift.bias, way > 0 ? ep_belief_way(b, draw, way) : v + at, sizeof shift.bias);
    }
    shift.misfit = ep_model_misfit(&s->model, v);
    return shift;
}

static void fill_draws(const ep_study *s, ep_model_run *target, double x, int members, int seed,
                       ep_factors *factors, ep_shift *shift)
{
    const ep_belief *b = s->belief;
    const int ways = ep_odds_ways(members);
    for (int m = 0; m < members; m++) {
        const int draw = m % b->n_draws;
        const double *v = b->draw + (size_t)draw * (size_t)b->n_unknowns;
        ep_rng r = ep_rng_make((uint64_t)seed, 5000 + (uint64_t)m);
        const double scatter = ep_model_scatter(&s->model, v) * ep_rng_normal(&r);
        factors[m] = ep_study_factors(s, target, v, scatter, &r);
        for (int w = 0; w < ways; w++) {
            shift[m * ways + w] = drawn_shift(s, draw, m, w, seed);
            shift[m * ways + w].size_x = x;
        }
    }
}

ep_status ep_study_odds(ep_study *s, const ep_foresight *f, int size, int members, int seed,
                        unsigned char *kinds, ep_wick_odds *out, ep_err *err)
{
    ep_model_run target = s->target;
    ep_factors *factors = malloc((size_t)members * sizeof *factors);
    ep_shift *shift = malloc((size_t)(members * ep_odds_ways(members)) * sizeof *shift);
    ep_status status = factors && shift ? ep_foresight_case(f, size, &target.burn, err)
                                        : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    if (status == EP_OK) {
        target.burn.grid_m = EP_LEARN_GRID_M;
        target.burn.step_s = EP_LEARN_STEP_S;
        fill_draws(s, &target, ep_foresight_size_x(f, size), members, seed, factors, shift);
        ep_ensemble_opts opts = {.members = members, .seed = (uint64_t)seed};
        ep_odds_draws draws = {factors, shift};
        status = ep_odds_compute_drawn(&target.burn, &opts, f->limit, &draws, kinds, out, err);
    }
    free(factors);
    free(shift);
    return status;
}
