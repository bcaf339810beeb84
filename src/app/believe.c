// A belief is worked out once and found again while nothing it rests on has changed.
#include <stdlib.h>
#include <string.h>

#include "app/keep_int.h"
#include "app/learn_int.h"
#include "base/text.h"

// beliefs kept of a recipe: some hundred kB each
enum { MOST_BELIEFS = 6 };

static uint64_t hash_datum(uint64_t h, const ep_datum *d)
{
    const double number[] = {d->minute, d->value, d->lo, d->hi, d->sd, d->sd_one, d->life};
    h = ep_hash_int(ep_hash_int(ep_hash_int(h, d->kind), d->candle), d->session);
    for (size_t i = 0; i < sizeof number / sizeof *number; i++) {
        h = ep_hash_real(h, number[i]);
    }
    return h;
}

uint64_t ep_study_hash_terms(uint64_t h, const ep_study *s, const ep_model_run *r)
{
    h = ep_hash_int(h, r->n_terms);
    for (int i = 0; i < r->n_terms; i++) {
        const ep_study_param *p = &s->param[r->term[i].param];
        h = ep_hash_text(ep_hash_int(h, p->owner), p->id);
        h = ep_hash_real(ep_hash_int(h, r->term[i].u), r->term[i].weight);
    }
    return h;
}

static uint64_t hash_run(uint64_t h, const ep_study *s, int k)
{
    const ep_study_wick *w = &s->wick[k];
    const ep_model_run *r = &s->run[k];
    const double number[] = {r->size_x,      r->room_C,      r->burn.ambient_C,
                             r->burn.grid_m, r->burn.step_s, r->burn.schedule.lit_s};
    h = ep_hash_text(h, w->f->burns);
    h = ep_hash_int(ep_hash_int(h, w->size), r->burn.schedule.max_sessions);
    for (size_t i = 0; i < sizeof number / sizeof *number; i++) {
        h = ep_hash_real(h, number[i]);
    }
    h = ep_hash_int(ep_hash_int(h, r->block), r->first_candle);
    h = ep_study_hash_terms(h, s, r);
    h = ep_hash_int(h, w->evidence.n);
    for (int i = 0; i < w->evidence.n; i++) {
        h = hash_datum(h, &w->evidence.datum[i]);
    }
    return h;
}

// all that the belief rests on, the seed apart
static void hash_study(const ep_study *s, bool thorough, char out[EP_HASH_CAP])
{
    uint64_t h = ep_hash_int(ep_hash_start(), EP_BELIEF_METHOD);
    h = ep_hash_int(ep_hash_int(h, EP_STUDY_DRAWS), thorough);
    h = ep_hash_int(h, s->n_params);
    for (int p = 0; p < s->n_params; p++) {
        h = ep_hash_text(ep_hash_int(h, s->param[p].owner), s->param[p].id);
        h = ep_hash_int(h, s->param[p].u);
    }
    h = ep_hash_int(h, s->n_blocks);
    for (int b = 0; b < s->n_blocks; b++) {
        h = ep_hash_int(h, s->block_candles[b]);
    }
    for (int k = 0; k < s->n_wicks; k++) {
        h = hash_run(h, s, k);
    }
    ep_hash_write(h, out);
}

// --- find, or work out and keep ---

static ep_status find(ep_app *app, ep_study *s, const ep_kept_key *key, ep_err *err)
{
    unsigned char *bytes = NULL;
    size_t len = 0;
    ep_status status = ep_kept_find(app, key, &bytes, &len, err);
    if (status == EP_OK && bytes) {
        status = ep_belief_read(bytes, len, &s->model, &s->belief);
        status = status == EP_E_PARSE ? EP_OK : status;  // not one of ours: worked out again
    }
    free(bytes);
    return status;
}

static ep_status work_out(ep_app *app, ep_study *s, const ep_kept_key *key, bool thorough,
                          ep_err *err)
{
    const ep_belief_opts o = {.seed = (uint64_t)key->seed,
                              .draws = EP_STUDY_DRAWS,
                              .tried = thorough ? 400 : 0,
                              .temper = thorough ? 64 : 0};
    unsigned char *bytes = NULL;
    size_t len = 0;
    ep_status status = ep_belief_learn(&s->model, &o, &s->belief, err);
    status = status == EP_OK ? ep_belief_write(s->belief, &bytes, &len) : status;
    if (status == EP_OK) {
        ep_kept_add(app, key, bytes, len, MOST_BELIEFS);
    }
    free(bytes);
    return status;
}

static void key_of(const ep_foresight *f, ep_study *s, int seed, bool thorough, ep_kept_key *key)
{
    *key = (ep_kept_key){.kind = "belief", .recipe_id = f->recipe_id, .seed = seed};
    hash_study(s, thorough, key->inputs);
    ep_copy(s->rests_on, sizeof s->rests_on, key->inputs);
}

ep_status ep_study_recall(ep_app *app, const ep_foresight *f, ep_study *s, int seed, ep_err *err)
{
    ep_kept_key key;
    key_of(f, s, seed, false, &key);
    return s->n_wicks > 0 ? find(app, s, &key, err) : EP_OK;
}

ep_status ep_study_believe(ep_app *app, const ep_foresight *f, ep_study *s, int seed, bool thorough,
                           ep_err *err)
{
    ep_kept_key key;
    key_of(f, s, seed, thorough, &key);
    if (s->n_wicks == 0) {
        const ep_belief_opts o = {.seed = (uint64_t)seed, .draws = EP_STUDY_DRAWS};
        return ep_belief_learn(&s->model, &o, &s->belief, err);
    }
    ep_status status = find(app, s, &key, err);
    if (status != EP_OK || s->belief) {
        return status;
    }
    // one at a time: it takes every processor there is, and the next in line may find it done
    pthread_mutex_lock(&app->thinking);
    status = find(app, s, &key, err);
    if (status == EP_OK && !s->belief) {
        status = work_out(app, s, &key, thorough, err);
    }
    pthread_mutex_unlock(&app->thinking);
    return status;
}
