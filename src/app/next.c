// The plan: what stands of every wick, and the next test.
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "app/learn_int.h"

// candles of the revision; of the last one poured when this one only names the size it proved
static ep_status rows_of(ep_app *app, const ep_foresight *f, json_t **rows, ep_err *err)
{
    int number = 0;
    ep_revision poured;
    ep_status s = ep_revision_judged(app, f->recipe_id, 0, &number, err);
    s = s == EP_OK ? ep_app_revision_load(app, f->recipe_id, number, &poured, err) : s;
    if (s != EP_OK) {
        return s;
    }
    unsigned changed = ep_revision_diff(&poured, &f->revision);
    bool same = (changed & ~(1u << EP_FACTOR_SIZE)) == 0;
    const ep_bind bind[] = {ep_bind_text("recipe", f->recipe_id),
                            ep_bind_int("number", same ? number : f->revision.number)};
    return ep_store_json(app->store, EP_Q_CANDLES_OF_REVISION, bind, 2, rows, err);
}

// what really happened to the candles of one size
static ep_status stand_of(ep_app *app, const json_t *rows, const char *size_id, ep_next_size *out,
                          ep_err *err)
{
    ep_candle *candles = NULL;
    int n = 0;
    json_t *shape = NULL;
    ep_verdict *v = calloc(1, sizeof *v);
    ep_status s = v ? ep_candles_of_size(rows, size_id, &candles, &n, err)
                    : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    if (s == EP_OK && n > 0) {
        s = ep_judge_candles(app, candles, n, v, &shape, err);
    }
    if (s == EP_OK && n > 0) {
        out->verdict = v->kind;
        out->stopped = v->stop_now;
        out->finished_right = v->candles_right;
        out->finished_wrong = v->candles_wrong;
        out->candles = n;
    }
    for (int i = 0; i < n && s == EP_OK; i++) {
        // a candle down to its last tenth has told its story, said finished or not
        double left = ep_candle_left_kg(&candles[i], candles[i].mass_kg) / candles[i].wax_kg;
        out->open += candles[i].finish_ms == 0 && !(left < 0.05);
    }
    json_decref(shape);
    free(candles);
    free(v);
    return s;
}

static ep_status stands(ep_app *app, const ep_foresight *f, const ep_wick_odds *odds,
                        ep_next_size *size, ep_err *err)
{
    json_t *rows = NULL;
    ep_status s = ep_app_begin(app, false, "plan", err);
    if (s != EP_OK) {
        return s;
    }
    s = rows_of(app, f, &rows, err);
    for (int i = 0; i < f->series.n_sizes && s == EP_OK; i++) {
        size[i] = (ep_next_size){.right = odds[i].verdict[EP_VERDICT_RIGHT],
                                 .small = odds[i].verdict[EP_VERDICT_TOO_SMALL],
                                 .hot = odds[i].hot,
                                 .verdict = EP_VERDICT_UNKNOWN};
        s = stand_of(app, rows, f->series.size[i].id, &size[i], err);
    }
    json_decref(rows);
    return ep_app_end(app, s, err);
}

static void shape_next(json_t *out, const ep_foresight *f, const ep_next *p, const ep_next_in *in)
{
    json_t *set = json_array();
    for (int i = 0; i < p->n; i++) {
        const ep_wick_size *size = &f->series.size[p->pick[i].size];
        json_array_append_new(set, ep_shape_pour(size, p->candles[i], p->pick[i].reason));
    }
    bool pour = p->status == EP_NEXT_POUR;
    double burn_days = pour || p->status == EP_NEXT_BURN_ON ? in->burn_days : 0.0;
    double days = (pour ? in->cure_days : 0.0) + burn_days;
    ep_out_new(out, "set", set);
    ep_out_text(out, "status", ep_next_key(p->status));
    ep_out_int(out, "candles", pour ? p->total_candles : 0);
    ep_out_real(out, "cure_days", pour ? in->cure_days : 0.0);
    ep_out_real(out, "burn_days", burn_days);
    ep_out_real(out, "days", days);
    ep_out_real(out, "bench_hours", burn_days * f->revision.session_s / 3600.0);
    ep_out_real(out, "covered_pct", round(1000.0 * p->covered) / 10.0);
    ep_out_real(out, "chance_wrong_pct", round(1000.0 * p->chance_wrong) / 10.0);
    ep_out_real(out, "expected_candles", pour ? p->expected_candles : 0.0);
    ep_out_real(out, "expected_days", pour ? p->expected_days : days);
    ep_out_text(out, "sentence", p->sentence);
}

static int sessions_of(const ep_study *s)
{
    int n = 0;
    for (int i = 0; i < s->n_wicks; i++) {
        n += s->run[i].block == s->target_block ? s->wick[i].book.d.n_burns : 0;
    }
    return n;
}

ep_status ep_next_shape(ep_app *app, const ep_foresight *f, const ep_study *s,
                        const ep_wick_odds *odds, const unsigned char *kinds, int each, json_t *out,
                        ep_err *err)
{
    ep_next_size size[EP_MAX_SIZES];
    const char *name[EP_MAX_SIZES];
    ep_status status = stands(app, f, odds, size, err);
    if (status != EP_OK) {
        return status;
    }
    double sessions = 0.0;
    for (int i = 0; i < f->series.n_sizes; i++) {
        name[i] = f->series.size[i].name;
        sessions =
            fmax(sessions, odds[i].verdict[EP_VERDICT_RIGHT] > 0.05 ? odds[i].sessions_p50 : 0.0);
    }
    ep_next_in in = {.n = f->series.n_sizes,
                     .size = size,
                     .members = odds[0].judged,
                     .burned = odds[0].members,
                     .kind = kinds,
                     .each = each,
                     .need = (int)f->limit[EP_LIMIT_MIN_CANDLES].value,
                     .least = (int)f->limit[EP_LIMIT_MIN_CANDLES_WIDE].value,
                     .cure_days = ceil(f->melt.cure_burn_s / 86400.0),
                     .burn_days = ceil(sessions > 0.0 ? sessions : odds[0].sessions_p50),
                     .day_cost = EP_NEXT_DAY_COST,
                     .scatter_sd = s->belief ? s->belief->scatter_sd : EP_CANDLE_SD,
                     .burned_sessions = sessions_of(s),
                     .size_name = name};
    ep_next next;
    ep_plan_next(&in, &next);
    shape_next(out, f, &next, &in);
    return EP_OK;
}
