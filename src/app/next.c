// The plan: what to pour or burn next, from the odds and what stands of every wick.
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "app/learn_int.h"

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

void ep_next_shape(const ep_foresight *f, const ep_study *s, const ep_wick_odds *odds,
                   const ep_tested *tested, const unsigned char *kinds, int each, json_t *out)
{
    ep_next_size size[EP_MAX_SIZES];
    const char *name[EP_MAX_SIZES];
    double sessions = 0.0;
    for (int i = 0; i < f->series.n_sizes; i++) {
        size[i] = tested[i].stand;
        size[i].right = odds[i].verdict[EP_VERDICT_RIGHT];
        size[i].small = odds[i].verdict[EP_VERDICT_TOO_SMALL];
        size[i].hot = odds[i].verdict[EP_VERDICT_TOO_BIG];
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
}
