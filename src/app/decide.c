// The maker's decision on a wick size. Proven only when the judge says right; the verdict as it
// stood is kept with the decision, and a revision that names the size follows.
#include <stdlib.h>
#include <string.h>

#include "app/bench_int.h"
#include "base/text.h"
#include "base/uuid.h"

typedef struct choice {
    const char *decision;
    ep_revision rev;  ///< that was judged
    char size_id[EP_ID_CAP], size_name[80];
    char named_id[EP_ID_CAP];  ///< revision that names the size; "" = none
    int n_candles;
    ep_verdict verdict;
    json_t *shape;
} choice;

static ep_status judge_size(ep_app *app, const char *recipe, choice *c, ep_err *err)
{
    json_t *rows = NULL;
    ep_candle *candles = NULL;
    ep_bind bind[] = {ep_bind_text("recipe", recipe), ep_bind_int("number", c->rev.number)};
    ep_status status = ep_store_json(app->store, EP_Q_CANDLES_OF_REVISION, bind, 2, &rows, err);
    if (status == EP_OK) {
        status = ep_candles_of_size(rows, c->size_id, &candles, &c->n_candles, err);
    }
    if (status == EP_OK && c->n_candles > 0) {
        status = ep_judge_candles(app, candles, c->n_candles, &c->verdict, &c->shape, err);
    }
    free(candles);
    json_decref(rows);
    return status;
}

// why it is not proven, in the judge's own words
static ep_status refuse(const choice *c, ep_err *err)
{
    if (c->n_candles == 0) {
        return ep_err_set(err, EP_E_STATE, "size",
                          "size: nothing with %s was poured of revision %d, so it cannot be proven",
                          c->size_name, c->rev.number);
    }
    const ep_verdict *v = &c->verdict;
    const char *reason = v->n_missing > 0 ? v->missing[0] : v->next_move;
    return ep_err_set(err, EP_E_STATE, "decision", "decision: %s is not proven; verdict: %s. %s",
                      c->size_name, ep_verdict_text(v->kind), reason);
}

// the judged revision or the newest may name the size already; else the next one does
static ep_status name_size(ep_app *app, choice *c, ep_err *err)
{
    ep_revision next = c->rev, newest;
    ep_copy(next.size_id, sizeof next.size_id, c->size_id);
    ep_status status = ep_app_revision_load(app, c->rev.recipe_id, 0, &newest, err);
    if (status != EP_OK) {
        return status;
    }
    const bool named = ep_revision_diff(&c->rev, &next) == 0;
    if (named || ep_revision_diff(&newest, &next) == 0) {
        ep_copy(c->named_id, sizeof c->named_id, named ? c->rev.id : newest.id);
        return EP_OK;
    }
    char note[160];
    snprintf(note, sizeof note, "%s proven by the candles of revision %d", c->size_name,
             c->rev.number);
    status = ep_revision_save(app, &next, note, err);
    ep_copy(c->named_id, sizeof c->named_id, next.id);
    return status;
}

// the last decision says the same of the same candles: nothing new to write down
static ep_status check_new(ep_app *app, const char *recipe, const choice *c, ep_err *err)
{
    json_t *row = NULL;
    ep_err none = {0};
    ep_bind bind[] = {ep_bind_text("recipe", recipe)};
    ep_status status = ep_store_one(app->store, EP_Q_DECISION_LAST, bind, 1, &row, &none);
    bool same = status == EP_OK && strcmp(ep_row_text(row, "decision"), c->decision) == 0 &&
                strcmp(ep_row_text(row, "size_id"), c->size_id) == 0 &&
                ep_row_int(row, "number", 0) == c->rev.number;
    json_decref(row);
    return same ? ep_err_set(err, EP_E_STATE, "decision",
                             "decision: %s is proven already by the candles of revision %d; open "
                             "it again before you decide anew",
                             c->size_name, c->rev.number)
                : EP_OK;
}

static ep_status check_reopen(ep_app *app, const char *recipe, const choice *c, ep_err *err)
{
    json_t *row = NULL;
    ep_bind bind[] = {ep_bind_text("recipe", recipe)};
    ep_status status = ep_store_one(app->store, EP_Q_DECISION_LAST, bind, 1, &row, err);
    bool decided = status == EP_OK && strcmp(ep_row_text(row, "decision"), "reopened") != 0;
    json_decref(row);
    if (status != EP_OK && status != EP_E_NOT_FOUND) {
        return status;
    }
    return decided
               ? EP_OK
               : ep_err_set(err, EP_E_STATE, "decision",
                            "decision: nothing was decided of %s yet, so nothing can be reopened",
                            c->size_name);
}

static ep_status decision_save(ep_app *app, const json_t *in, const char *recipe, const choice *c,
                               ep_err *err)
{
    ep_uuid id = ep_uuid_make(ep_app_now(app));
    char *verdict = c->shape ? json_dumps(c->shape, JSON_COMPACT) : NULL;
    ep_bind bind[] = {
        ep_bind_text("id", id.text),         ep_bind_text("recipe", recipe),
        ep_bind_text("revision", c->rev.id), ep_bind_text_or_null("named", c->named_id),
        ep_bind_text("size", c->size_id),    ep_bind_text("decision", c->decision),
        ep_bind_text("verdict", verdict),    ep_bind_text_or_null("note", ep_in_text(in, "note")),
        ep_bind_int("at", ep_app_now(app)),
    };
    ep_status status = ep_store_run(app->store, EP_Q_DECISION_ADD, bind, EP_COUNT_OF(bind), err);
    free(verdict);
    return status;
}

static ep_status decide(ep_app *app, const json_t *in, const char *recipe, choice *c, ep_err *err)
{
    int number = 0;
    ep_status status = ep_revision_judged(app, recipe, ep_in_int(in, "revision", 0), &number, err);
    if (status == EP_OK) {
        status = ep_app_revision_load(app, recipe, number, &c->rev, err);
    }
    if (status == EP_OK) {
        status =
            ep_find_size(app, c->rev.series_id, ep_in_text(in, "size"), "size", c->size_id, err);
    }
    if (status != EP_OK) {
        return status;
    }
    ep_app_name(app, c->size_id, c->size_name, sizeof c->size_name);
    status = judge_size(app, recipe, c, err);
    if (status == EP_OK && strcmp(c->decision, "proven") == 0) {
        bool right = c->n_candles > 0 && c->verdict.kind == EP_VERDICT_RIGHT;
        status = right ? check_new(app, recipe, c, err) : refuse(c, err);
        status = status == EP_OK ? name_size(app, c, err) : status;
    } else if (status == EP_OK && strcmp(c->decision, "reopened") == 0) {
        status = check_reopen(app, recipe, c, err);
    }
    return status == EP_OK ? decision_save(app, in, recipe, c, err) : status;
}

ep_status ep_case_decide(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char recipe[EP_ID_CAP];
    choice *c = calloc(1, sizeof *c);
    if (!c) {
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    c->decision = ep_in_text(in, "decision");
    ep_status status = ep_find_recipe(app, ep_in_text(in, "id"), "id", recipe, err);
    if (status == EP_OK) {
        status = decide(app, in, recipe, c, err);
    }
    json_decref(c->shape);
    free(c);
    return status == EP_OK ? ep_shape_recipe(app, recipe, out, err) : status;
}
