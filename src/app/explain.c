// Case: what was learned, from which burns, and what disagrees. Also rebuild, which does it for
// every recipe after dropping what was worked out before.
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/learn_int.h"
#include "base/text.h"
#include "burn/ensemble.h"

static const double Z90 = 1.6448536269514722;
enum { MOST_DOUBTS = 64 };

static int count_sessions(const ep_study *s)
{
    int n = 0;
    for (int i = 0; i < s->n_wicks; i++) {
        n += s->wick[i].book.d.n_burns;
    }
    return n;
}

json_t *ep_shape_study(const ep_study *s)
{
    json_t *o = json_object();
    const ep_belief *b = s->belief;
    int candles = 0;
    for (int i = 0; i < s->n_wicks; i++) {
        candles += s->wick[i].book.d.n_candles;
    }
    ep_out_int(o, "wicks", s->n_wicks);
    ep_out_int(o, "candles", candles);
    ep_out_int(o, "sessions", count_sessions(s));
    ep_out_int(o, "readings", b ? b->n_data : 0);
    ep_out_bool(o, "own", s->target_block >= 0);
    ep_out_text(o, "how", ep_belief_how_text(b ? b->how : EP_BELIEF_PRIOR));
    if (b) {
        ep_out_int(o, "engine_runs", b->engine_runs);
        ep_out_int(o, "steps", b->steps);
        ep_out_bool(o, "converged", b->converged);
        ep_out_real(o, "khat", b->diag.khat);
        ep_out_real(o, "effective_draws", b->how == EP_BELIEF_LAPLACE ? EP_NOT_KNOWN : b->diag.ess);
        ep_out_real(o, "candle_scatter_pct", 100.0 * b->scatter_sd);
        ep_out_real(o, "misfit", b->misfit);
    }
    return o;
}

json_t *ep_shape_doubts(const ep_study *s)
{
    json_t *list = json_array();
    if (!s->belief) {
        return list;
    }
    const ep_dossier *dossier[EP_STUDY_WICKS];
    for (int i = 0; i < s->n_wicks; i++) {
        dossier[i] = &s->wick[i].book.d;
    }
    ep_doubt *x = calloc(MOST_DOUBTS, sizeof *x);
    int n = x ? ep_doubts(&s->model, s->belief, dossier, x, MOST_DOUBTS) : 0;
    for (int i = 0; i < n; i++) {
        const ep_dossier *d = dossier[x[i].run];
        json_t *o = json_object();
        ep_out_text(o, "code", d->candle[x[i].candle].code);
        ep_out_int(o, "session", x[i].session);
        ep_out_text(o, "reading_id", x[i].ref >= 0 ? d->reading[x[i].ref].id : NULL);
        ep_out_text(o, "kind",
                    x[i].datum >= 0
                        ? ep_datum_def_of(s->wick[x[i].run].evidence.datum[x[i].datum].kind)->key
                        : "candle");
        ep_out_real(o, "seen", x[i].seen);
        ep_out_real(o, "expected", x[i].expected);
        ep_out_real(o, "sds", round(10.0 * x[i].score) / 10.0);
        ep_out_text(o, "text", x[i].text);
        json_array_append_new(list, o);
    }
    free(x);
    return list;
}

static json_t *band_of(const ep_burn_case *c, ep_uncertain u, double mean, double sd)
{
    return ep_shape_band((ep_band){ep_factor_at(c, u, mean - Z90 * sd), ep_factor_at(c, u, mean),
                                   ep_factor_at(c, u, mean + Z90 * sd)},
                         1.0, 0.0);
}

static json_t *shape_factor(const ep_study *s, const ep_burn_case *c, int p)
{
    const ep_study_param *q = &s->param[p];
    const double mean = s->belief->mean[p], sd = s->belief->sd[p];
    json_t *o = json_object();
    ep_out_text(o, "key", ep_uncertain_key(q->u));
    ep_out_text(o, "label", ep_uncertain_label(q->u));
    ep_out_text(o, "unit", q->u == EP_UNC_MELT_POINT ? "K" : "times");
    ep_out_new(o, "prior", band_of(c, q->u, 0.0, 1.0));
    ep_out_new(o, "now", band_of(c, q->u, mean, sd));
    ep_out_real(o, "moved_sds", round(100.0 * mean) / 100.0);
    ep_out_real(o, "narrowed_pct", round(1000.0 * (1.0 - fmin(sd, 1.0))) / 10.0);
    const char *word = sd > 0.9   ? "not told by these burns: still what the tables say"
                       : sd > 0.6 ? "told a little"
                       : sd > 0.3 ? "told well"
                                  : "told closely";
    ep_out_text(o, "text", word);
    return o;
}

static bool same_owner(const ep_study_param *a, const ep_study_param *b)
{
    return a->owner == b->owner && strcmp(a->id, b->id) == 0;
}

static bool of_target(const ep_study *s, int p)
{
    for (int i = 0; i < s->target.n_terms; i++) {
        if (same_owner(&s->param[s->target.term[i].param], &s->param[p])) {
            return true;
        }
    }
    return false;
}

static json_t *shape_materials(ep_app *app, const ep_study *s, const ep_burn_case *c)
{
    json_t *list = json_array();
    for (int p = 0; p < s->n_params && s->belief; p++) {
        bool seen = !of_target(s, p);
        for (int q = 0; q < p; q++) {
            seen = seen || same_owner(&s->param[q], &s->param[p]);
        }
        if (seen) {
            continue;
        }
        char name[80];
        json_t *o = json_object(), *factors = json_array();
        ep_out_text(o, "owner", ep_owner_key(s->param[p].owner));
        ep_out_text(o, "id", s->param[p].id);
        ep_app_lock(app);
        ep_out_text(o, "name", ep_app_name(app, s->param[p].id, name, sizeof name));
        ep_app_unlock(app);
        for (int q = p; q < s->n_params; q++) {
            if (same_owner(&s->param[q], &s->param[p])) {
                json_array_append_new(factors, shape_factor(s, c, q));
            }
        }
        ep_out_new(o, "factors", factors);
        json_array_append_new(list, o);
    }
    return list;
}

static json_t *shape_burns(const ep_study *s)
{
    json_t *list = json_array();
    for (int i = 0; i < s->n_wicks; i++) {
        const ep_study_wick *w = &s->wick[i];
        json_t *o = json_object(), *codes = json_array();
        for (int k = 0; k < w->book.d.n_candles; k++) {
            json_array_append_new(codes, json_string(w->book.d.candle[k].code));
        }
        ep_out_text(o, "recipe_id", w->f->recipe_id);
        ep_out_int(o, "revision", w->f->revision.number);
        ep_out_text(o, "size_name", w->f->series.size[w->size].name);
        ep_out_new(o, "candles", codes);
        ep_out_int(o, "sessions", w->book.d.n_burns);
        ep_out_int(o, "readings", w->evidence.n);
        json_array_append_new(list, o);
    }
    return list;
}

// the engine's own error as believed in this recipe, at a third of the wax burned, two hours in
static json_t *shape_misfits(const ep_study *s)
{
    json_t *list = json_array();
    if (!s->belief || s->target_block < 0) {
        return list;
    }
    const double *bias = s->belief->mode + ep_model_block_at(&s->model, s->target_block);
    for (int k = 0; k < EP_DATUM_COUNT_; k++) {
        const ep_datum_def *def = ep_datum_def_of((ep_datum_kind)k);
        double at = ep_model_bias((ep_datum_kind)k, bias, s->belief->misfit,
                                  (ep_place_in_life){0.3, 120.0, 0.0});
        bool relative = strcmp(def->scale, "LOG") == 0 || strcmp(def->scale, "LOGH") == 0;
        json_t *o = json_object();
        ep_out_text(o, "key", def->key);
        ep_out_text(o, "label", def->label);
        ep_out_text(o, "unit", relative ? "%" : (strcmp(def->scale, "K") == 0 ? "K" : "mm"));
        ep_out_real(o, "off", relative ? 100.0 * expm1(at) : at);
        if (strcmp(def->scale, "G") != 0 && strcmp(def->scale, "M") != 0) {
            json_array_append_new(list, o);
        } else {
            json_decref(o);
        }
    }
    return list;
}

static void explain_text(json_t *out, const ep_study *s)
{
    if (s->n_wicks == 0) {
        ep_out_text(out, "text",
                    "Nothing was burned yet that shares wax, wick series or container with this "
                    "recipe: every figure is still what the tables say.");
        return;
    }
    int told = 0, all = 0, best = -1;
    for (int p = 0; p < s->n_params; p++) {
        if (of_target(s, p)) {
            all++;
            told += s->belief->sd[p] < 0.9;
            best = best < 0 || s->belief->sd[p] < s->belief->sd[best] ? p : best;
        }
    }
    ep_out_textf(
        out, "text",
        "%d sessions of %d wicks that share materials were used. They tell something of %d of "
        "%d uncertain factors, most of %s; the rest stays what the tables say.%s",
        count_sessions(s), s->n_wicks, told, all,
        best >= 0 ? ep_uncertain_label(s->param[best].u) : "none",
        s->target_block < 0 ? " No candle of this recipe itself was burned yet." : "");
}

ep_status ep_case_explain(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_foresight *f = calloc(1, sizeof *f);
    ep_study *study = NULL;
    ep_burn_case c;
    ep_status s = f ? ep_foresight_load(app, in, f, err) : EP_E_MEMORY;
    s = s == EP_OK ? ep_study_load(app, f, &study, err) : s;
    s = s == EP_OK ? ep_foresight_case(f, f->series.n_sizes / 2, &c, err) : s;
    s = s == EP_OK ? ep_study_believe(app, f, study, ep_in_int(in, "seed", 1),
                                      ep_in_bool(in, "thorough", false), err)
                   : s;
    if (s == EP_OK) {
        json_t *o = json_object();
        ep_out_text(o, "recipe_id", f->recipe_id);
        ep_out_int(o, "revision", f->revision.number);
        ep_out_text(o, "engine", EP_ENGINE_VERSION);
        ep_out_text(o, "tables", ep_tables_version());
        ep_out_int(o, "seed", ep_in_int(in, "seed", 1));
        ep_out_new(o, "learned", ep_shape_study(study));
        ep_out_new(o, "materials", shape_materials(app, study, &c));
        ep_out_new(o, "burns", shape_burns(study));
        ep_out_new(o, "misfits", shape_misfits(study));
        ep_out_new(o, "doubts", ep_shape_doubts(study));
        explain_text(o, study);
        *out = o;
    }
    ep_study_free(study);
    free(f);
    return s;
}

static ep_status drop_derived(ep_app *app, json_t **rows, ep_err *err)
{
    ep_status s = ep_app_begin(app, true, "rebuild", err);
    if (s != EP_OK) {
        return s;
    }
    s = ep_store_run(app->store, EP_Q_KEPT_DROP, NULL, 0, err);
    s = s == EP_OK ? ep_store_run(app->store, EP_Q_FORECASTS_DROP, NULL, 0, err) : s;
    s = s == EP_OK ? ep_store_json(app->store, EP_Q_WICKS_BURNED, NULL, 0, rows, err) : s;
    return ep_app_end(app, s, err);
}

ep_status ep_case_rebuild(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    json_t *rows = NULL, *done = json_object(), *beliefs = json_array(), *row;
    ep_status s = drop_derived(app, &rows, err);
    size_t i;
    json_array_foreach(rows, i, row)
    {
        const char *recipe = ep_row_text(row, "recipe_id");
        if (s != EP_OK || json_object_get(done, recipe)) {
            continue;
        }
        json_object_set_new(done, recipe, json_true());
        json_t *ask = json_pack("{s:s, s:i}", "id", recipe, "seed", ep_in_int(in, "seed", 1));
        json_t *answer = NULL;
        s = ep_case_explain(app, ask, &answer, err);
        // a candle the engine cannot burn has no beliefs, and that is no failure of the rebuild
        s = s == EP_E_STATE ? EP_OK : s;
        if (answer) {
            json_array_append_new(beliefs, json_pack("{s:s, s:O, s:O}", "recipe_id", recipe,
                                                     "learned", json_object_get(answer, "learned"),
                                                     "text", json_object_get(answer, "text")));
        }
        json_decref(answer);
        json_decref(ask);
    }
    json_decref(rows);
    json_decref(done);
    if (s == EP_OK) {
        *out = json_pack("{s:o}", "beliefs", beliefs);
    } else {
        json_decref(beliefs);
    }
    return s;
}
