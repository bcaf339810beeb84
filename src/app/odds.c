// Cases: odds of every size of the series, and what to pour.
#include <math.h>
#include <stdlib.h>

#include "app/foresee_int.h"
#include "app/learn_int.h"

// *study is owned by the caller also when something went wrong; kinds: as ep_odds_known_all
static ep_status odds_as_known(ep_app *app, const ep_foresight *f, int members, int seed,
                               ep_wick_odds *odds, unsigned char *kinds, ep_study **study,
                               ep_err *err)
{
    ep_status s = ep_study_known(app, f, seed, study, err);
    return s == EP_OK ? ep_odds_known_all(app, f, *study, members, seed, kinds, odds, err) : s;
}

ep_status ep_case_odds(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_foresight f = {0};
    ep_study *study = NULL;
    ep_status s = ep_foresight_load(app, in, &f, err);
    const int members = ep_foresight_members(&f, in), seed = ep_in_int(in, "seed", 1);
    ep_wick_odds *odds = calloc(EP_MAX_SIZES, sizeof *odds);
    ep_tested tested[EP_MAX_SIZES];
    s = s == EP_OK && !odds ? EP_E_MEMORY : s;
    s = s == EP_OK ? odds_as_known(app, &f, members, seed, odds, NULL, &study, err) : s;
    s = s == EP_OK ? ep_tested_load(app, &f, tested, err) : s;
    if (s == EP_OK) {
        *out = json_object();
        ep_shape_foreseen_head(*out, &f, members, seed);
        ep_out_new(*out, "learned", ep_shape_study(study));
        ep_out_new(*out, "sizes", ep_shape_odds_list(&f, odds, tested));
    }
    ep_study_free(study);
    free(odds);
    return s;
}

// with the intervals of every size and session, so that the sessions to come can be scored
static ep_status keep_plan(ep_app *app, const ep_foresight *f, int seed, int members,
                           const ep_wick_odds *odds, const json_t *answer, ep_err *err)
{
    json_t *body = json_copy((json_t *)(uintptr_t)answer), *sizes = json_object();
    for (int i = 0; i < f->series.n_sizes; i++) {
        json_object_set_new(sizes, f->series.size[i].id, ep_shape_intervals(&odds[i]));
    }
    json_object_set_new(body, "intervals", sizes);
    ep_status s = ep_foresight_keep(app, f, "plan", -1, seed, members, body, err);
    json_decref(body);
    return s;
}

ep_status ep_case_plan(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_foresight f = {0};
    ep_study *study = NULL;
    ep_status s = ep_foresight_load(app, in, &f, err);
    const int members = ep_foresight_members(&f, in), seed = ep_in_int(in, "seed", 1);
    ep_wick_odds *odds = calloc(EP_MAX_SIZES, sizeof *odds);
    unsigned char *kinds = calloc(EP_MAX_MEMBERS, EP_MAX_SIZES);
    ep_tested tested[EP_MAX_SIZES];
    s = s == EP_OK && !(odds && kinds) ? EP_E_MEMORY : s;
    s = s == EP_OK ? odds_as_known(app, &f, members, seed, odds, kinds, &study, err) : s;
    s = s == EP_OK ? ep_tested_load(app, &f, tested, err) : s;
    json_t *answer = json_object();
    if (s == EP_OK) {
        ep_shape_foreseen_head(answer, &f, members, seed);
        ep_next_shape(&f, study, odds, tested, kinds, ep_in_int(in, "candles_each", 0), answer);
        ep_out_new(answer, "learned", ep_shape_study(study));
        ep_out_new(answer, "doubts", ep_shape_doubts(study));
        ep_out_new(answer, "sizes", ep_shape_odds_list(&f, odds, tested));
    }
    if (s == EP_OK && study->n_wicks > 0) {
        ep_foresight_rests_on(&f, study);
    }
    s = s == EP_OK ? keep_plan(app, &f, seed, members, odds, answer, err) : s;
    ep_study_free(study);
    free(odds);
    free(kinds);
    if (s == EP_OK) {
        *out = answer;
    } else {
        json_decref(answer);
    }
    return s;
}
