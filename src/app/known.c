// Odds as they are known: from beliefs when something was burned that shares materials, else from
// the tables; worked out once and kept until what they rest on changes.
#include <stdlib.h>

#include "app/keep_int.h"
#include "app/learn_int.h"

// some kB each: the sizes of a series, a few revisions, with few members and with many
enum { MOST_ODDS = 96 };

ep_status ep_study_known(ep_app *app, const ep_foresight *f, int seed, ep_study **out, ep_err *err)
{
    ep_status s = ep_study_load(app, f, out, err);
    return s == EP_OK && (*out)->n_wicks > 0 ? ep_study_believe(app, f, *out, seed, false, err) : s;
}

void ep_foresight_rests_on(ep_foresight *f, const ep_study *s)
{
    ep_hash_write(ep_hash_text(ep_hash_text(ep_hash_start(), f->inputs), s->rests_on), f->inputs);
}

static void key_of(const ep_foresight *f, const ep_study *s, int size, int members, int seed,
                   ep_kept_key *key)
{
    *key = (ep_kept_key){.kind = "odds", .recipe_id = f->recipe_id, .seed = seed};
    ep_burn_case c = {.vessel = f->vessel, .n_wicks = f->revision.wick_count};
    ep_revision_places(&f->revision, &f->vessel, c.place);
    ep_foresight_coarsen(&c);
    uint64_t h = ep_hash_text(ep_hash_int(ep_hash_start(), EP_ODDS_METHOD), f->inputs);
    h = ep_hash_int(ep_hash_int(h, size), members);
    if (s->n_wicks > 0) {
        h = ep_hash_text(ep_hash_text(h, "burns"), s->rests_on);
        h = ep_study_hash_terms(ep_hash_int(h, s->target_block), s, &s->target);
    } else {
        h = ep_hash_real(ep_hash_real(ep_hash_text(h, "tables"), c.grid_m), c.step_s);
    }
    ep_hash_write(h, key->inputs);
}

// from the tables' ranges and as much misfit as the engine may have
static ep_status of_tables(const ep_foresight *f, int size, int members, int seed,
                           unsigned char *kinds, ep_wick_odds *out, ep_err *err)
{
    ep_burn_case c;
    const int ways = ep_odds_ways(members);
    ep_shift *shift = malloc((size_t)(members * ways) * sizeof *shift);
    ep_status s = shift ? ep_foresight_case(f, size, &c, err)
                        : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    for (int m = 0; m < members * ways && s == EP_OK; m++) {
        shift[m] = ep_shift_prior((uint64_t)seed, m / ways, m % ways);
        shift[m].size_x = ep_foresight_size_x(f, size);
    }
    if (s == EP_OK) {
        ep_foresight_coarsen(&c);
        const ep_ensemble_opts opts = {.members = members, .seed = (uint64_t)seed};
        const ep_odds_draws draws = {.shift = shift};
        s = ep_odds_compute_drawn(&c, &opts, f->limit, &draws, kinds, out, err);
    }
    free(shift);
    return s;
}

static ep_status work_out(ep_app *app, const ep_foresight *f, ep_study *s, int size, int members,
                          const ep_kept_key *key, unsigned char *kinds, ep_wick_odds *out,
                          ep_err *err)
{
    unsigned char *bytes = NULL;
    size_t len = 0;
    ep_status status = s->n_wicks > 0
                           ? ep_study_odds(s, f, size, members, key->seed, kinds, out, err)
                           : of_tables(f, size, members, key->seed, kinds, out, err);
    status = status == EP_OK ? ep_odds_write(out, kinds, &bytes, &len) : status;
    if (status == EP_OK) {
        ep_kept_add(app, key, bytes, len, MOST_ODDS);
    }
    free(bytes);
    return status;
}

ep_status ep_odds_known(ep_app *app, const ep_foresight *f, ep_study *s, int size, int members,
                        int seed, unsigned char *kinds, ep_wick_odds *out, ep_err *err)
{
    ep_kept_key key;
    key_of(f, s, size, members, seed, &key);
    unsigned char *bytes = NULL, own[EP_MAX_MEMBERS], *kind = kinds ? kinds : own;
    size_t len = 0;
    ep_status status = ep_kept_find(app, &key, &bytes, &len, err);
    const bool found =
        status == EP_OK && bytes && ep_odds_read(bytes, len, members, out, kind) == EP_OK;
    free(bytes);
    return status == EP_OK && !found ? work_out(app, f, s, size, members, &key, kind, out, err)
                                     : status;
}

ep_status ep_odds_known_all(ep_app *app, const ep_foresight *f, ep_study *s, int members, int seed,
                            unsigned char *kinds, ep_wick_odds *odds, ep_err *err)
{
    const int n = f->series.n_sizes;
    unsigned char column[EP_MAX_MEMBERS];
    ep_status status = EP_OK;
    for (int i = 0; i < n && status == EP_OK; i++) {
        status = ep_odds_known(app, f, s, i, members, seed, column, &odds[i], err);
        for (int m = 0; m < odds[i].judged && kinds && status == EP_OK; m++) {
            kinds[m * n + i] = column[m];
        }
    }
    return status;
}
