// Cases: odds of every size of the series, and the first set to pour.
#include <math.h>
#include <stdlib.h>

#include "app/foresee_int.h"

ep_status ep_foresight_odds(const ep_foresight *f, int members, int seed, ep_wick_odds *odds,
                            ep_err *err)
{
    ep_status s = EP_OK;
    for (int i = 0; i < f->series.n_sizes && s == EP_OK; i++) {
        ep_burn_case c;
        s = ep_foresight_case(f, i, &c, err);
        ep_foresight_coarsen(&c);
        ep_ensemble_opts opts = {.members = members, .seed = (uint64_t)seed};
        s = s == EP_OK ? ep_odds_compute(&c, &opts, f->limit, &odds[i], err) : s;
    }
    return s;
}

static void shape_head(json_t *out, const ep_foresight *f, int members, int seed)
{
    ep_out_text(out, "recipe_id", f->recipe_id);
    ep_out_int(out, "revision", f->revision.number);
    ep_out_text(out, "engine", EP_ENGINE_VERSION);
    ep_out_text(out, "tables", ep_tables_version());
    ep_out_int(out, "seed", seed);
    ep_out_int(out, "members", members);
    json_t *cautions = json_array();
    ep_cautions_add(cautions, EP_CAUTION_BURNING);
    ep_cautions_add(cautions, EP_CAUTION_GLASS);
    ep_out_new(out, "cautions", cautions);
}

ep_status ep_case_odds(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_foresight f = {0};
    const int members = ep_in_int(in, "members", EP_ODDS_MEMBERS), seed = ep_in_int(in, "seed", 1);
    ep_status s = ep_foresight_load(app, in, &f, err);
    s = s == EP_OK ? ep_foresight_find(app, &f, "odds", -1, seed, members, out, err) : s;
    if (s != EP_OK || *out) {
        return s;
    }
    ep_wick_odds *odds = calloc(EP_MAX_SIZES, sizeof *odds);
    s = odds ? ep_foresight_odds(&f, members, seed, odds, err) : EP_E_MEMORY;
    json_t *answer = NULL;
    if (s == EP_OK) {
        answer = json_object();
        shape_head(answer, &f, members, seed);
        ep_out_new(answer, "sizes", ep_shape_odds_list(&f, odds));
        s = ep_foresight_keep(app, &f, "odds", -1, seed, members, answer, err);
    }
    free(odds);
    if (s == EP_OK) {
        *out = answer;
    } else {
        json_decref(answer);
    }
    return s;
}

static void shape_plan(json_t *out, const ep_foresight *f, const ep_plan *p)
{
    json_t *set = json_array();
    for (int i = 0; i < p->n; i++) {
        const ep_wick_size *size = &f->series.size[p->pick[i].size];
        json_t *row = json_object();
        ep_out_text(row, "size_id", size->id);
        ep_out_text(row, "size_name", size->name);
        ep_out_int(row, "candles", p->candles_each);
        ep_out_text(row, "reason", p->pick[i].reason);
        json_array_append_new(set, row);
    }
    ep_out_new(out, "set", set);
    ep_out_int(out, "candles", p->candles);
    ep_out_real(out, "cure_days", ceil(p->cure_s / 86400.0));
    ep_out_real(out, "burn_days", p->burn_days);
    ep_out_real(out, "days", p->days);
    ep_out_real(out, "bench_hours", p->bench_h);
    ep_out_real(out, "covered_pct", 100.0 * p->covered);
    ep_out_text(out, "sentence", p->sentence);
}

ep_status ep_case_plan(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_foresight f = {0};
    const int members = ep_in_int(in, "members", EP_ODDS_MEMBERS), seed = ep_in_int(in, "seed", 1);
    ep_status s = ep_foresight_load(app, in, &f, err);
    if (s != EP_OK) {
        return s;
    }
    ep_wick_odds *odds = calloc(EP_MAX_SIZES, sizeof *odds);
    s = odds ? ep_foresight_odds(&f, members, seed, odds, err) : EP_E_MEMORY;
    json_t *answer = NULL;
    if (s == EP_OK) {
        const char *name[EP_MAX_SIZES];
        for (int i = 0; i < f.series.n_sizes; i++) {
            name[i] = f.series.size[i].name;
        }
        ep_plan_opts opts = {.candles_each = ep_in_int(in, "candles_each", 2),
                             .cure_s = f.melt.cure_burn_s,
                             .session_s = f.revision.session_s,
                             .size_name = name};
        ep_plan plan;
        ep_plan_first(odds, f.series.n_sizes, &opts, &plan);
        answer = json_object();
        shape_head(answer, &f, members, seed);
        shape_plan(answer, &f, &plan);
        ep_out_new(answer, "sizes", ep_shape_odds_list(&f, odds));
        s = ep_foresight_keep(app, &f, "plan", -1, seed, members, answer, err);
    }
    free(odds);
    if (s == EP_OK) {
        *out = answer;
    } else {
        json_decref(answer);
    }
    return s;
}
