// A belief is worked out once and found again while nothing it rests on has changed.
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/keep_int.h"
#include "app/learn_int.h"
#include "base/text.h"

// beliefs kept of a recipe, some hundred kB each; looks of a wick, some 60 kB after ten sessions
enum { MOST_BELIEFS = 6, MOST_LOOKS = 1 };

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

// what a look at the wick rests on: nothing of any other wick
static uint64_t hash_wick(uint64_t h, const ep_study *s, int k)
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
    uint64_t h = ep_hash_int(ep_hash_int(ep_hash_start(), EP_BELIEF_METHOD), EP_LOOK_METHOD);
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
        h = ep_hash_int(ep_hash_int(h, s->run[k].block), s->run[k].first_candle);
        h = hash_wick(h, s, k);
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

// the look at one wick: found, or burned and kept
static ep_status look(ep_app *app, const ep_study *s, int k, ep_look **out, ep_err *err)
{
    const ep_foresight *f = s->wick[k].f;
    char about[EP_ID_CAP + 16];
    snprintf(about, sizeof about, "%d %s", f->revision.number, f->series.size[s->wick[k].size].id);
    ep_kept_key key = {.kind = "look", .recipe_id = f->recipe_id, .about = about};
    ep_hash_write(hash_wick(ep_hash_int(ep_hash_start(), EP_LOOK_METHOD), s, k), key.inputs);
    unsigned char *bytes = NULL;
    size_t len = 0;
    ep_status status = ep_kept_find(app, &key, &bytes, &len, err);
    if (status == EP_OK && bytes && ep_look_read(bytes, len, &s->run[k], out) == EP_OK) {
        free(bytes);
        return EP_OK;
    }
    free(bytes);
    bytes = NULL;
    status = status == EP_OK ? ep_look_at(&s->run[k], s->model.threads, out) : status;
    if (status != EP_OK) {
        return ep_err_set(err, status, "", "what the burns say could not be worked out: %s",
                          ep_status_text(status));
    }
    if (ep_look_write(*out, &bytes, &len) == EP_OK) {
        ep_kept_add(app, &key, bytes, len, MOST_LOOKS);
    }
    free(bytes);
    return EP_OK;
}

static ep_status believe(ep_app *app, ep_study *s, const ep_kept_key *key, ep_belief_opts *o,
                         ep_look **found, ep_err *err)
{
    const ep_look *borrowed[EP_STUDY_WICKS];
    unsigned char *bytes = NULL;
    size_t len = 0;
    ep_status status = EP_OK;
    for (int k = 0; k < s->n_wicks && status == EP_OK; k++) {
        status = look(app, s, k, &found[k], err);
        borrowed[k] = found[k];
    }
    o->look = borrowed;
    status = status == EP_OK ? ep_belief_learn(&s->model, o, &s->belief, err) : status;
    status = status == EP_OK ? ep_belief_write(s->belief, &bytes, &len) : status;
    if (status == EP_OK) {
        ep_kept_add(app, key, bytes, len, MOST_BELIEFS);
    }
    free(bytes);
    return status;
}

static ep_status work_out(ep_app *app, ep_study *s, const ep_kept_key *key, bool thorough,
                          ep_err *err)
{
    ep_belief_opts o = {.seed = (uint64_t)key->seed,
                        .draws = EP_STUDY_DRAWS,
                        .ways = s->target_block >= 0 ? EP_ODDS_WAYS : 1,
                        .ways_of = s->target_block,
                        .tried = thorough ? 400 : 0,
                        .temper = thorough ? 64 : 0};
    ep_look *found[EP_STUDY_WICKS] = {0};
    ep_status status = believe(app, s, key, &o, found, err);
    for (int k = 0; k < s->n_wicks; k++) {
        ep_look_destroy(found[k]);
    }
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
