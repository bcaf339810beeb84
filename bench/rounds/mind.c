// Beliefs, odds and the next test of the program, on a virtual maker's book.
#include "mind.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "plan/next.h"
#include "reweigh.h"

enum { MEMBERS = 192, DRAWS = 64 };

struct stock {
    world w;
    ep_burn_case burn[WORLD_SIZES];
    ep_ensemble *all[WORLD_SIZES];
    ep_trace *middle[WORLD_SIZES], *brisk[WORLD_SIZES];
    ep_stock of[WORLD_SIZES];
};

static ep_burn_case case_of(const world *w, int size)
{
    ep_burn_case c = ep_burn_case_default();
    const ep_material *wax = ep_builtin_find("std-wax-soy");
    ep_blend_part part = {wax, 1.0};
    ep_wick_size s = {.id = "s", .name = "s", .linear_density_kg_m = w->density_g_m[size] * 1e-3};
    c.vessel = ep_vessel_straight(w->inner_m, w->fill_m + 0.02, 3e-3, 5e-3);
    c.wall = ep_builtin_find("std-container-soda-lime");
    c.fill_height_m = w->fill_m;
    c.grid_m = 4e-3;
    c.step_s = 120.0;
    if (ep_melt_mix(&part, 1, &c.melt, NULL) != EP_OK ||
        ep_wick_law_of(ep_builtin_find("std-wick-flat-braid"), &s, &c.wick, NULL) != EP_OK) {
        abort();
    }
    return c;
}

static ep_trace *burn_with(const ep_burn_case *c, double log_scatter)
{
    ep_burn_case one = *c;
    ep_trace *t = NULL;
    one.factors = ep_factors_nominal();
    one.factors.f[EP_UNC_SCATTER] = exp(log_scatter);
    if (ep_burn_run(&one, &t, NULL) != EP_OK) {
        abort();
    }
    return t;
}

stock *stock_make(int shelf)
{
    static ep_factors factors[MEMBERS];
    stock *s = calloc(1, sizeof *s);
    if (!s) {
        abort();
    }
    s->w = world_shelf(shelf);
    ep_ensemble_opts opts = {.members = MEMBERS, .seed = 1, .threads = 1};
    for (int i = 0; i < WORLD_SIZES; i++) {
        s->burn[i] = case_of(&s->w, i);
        ep_factors_draw(&s->burn[i], 1, MEMBERS, factors);
        for (int m = 0; m < MEMBERS; m++) {
            factors[m].f[EP_UNC_SCATTER] = 1.0;  // a candle's own, laid over the draws
        }
        if (ep_ensemble_run_with(&s->burn[i], &opts, factors, &s->all[i], NULL) != EP_OK) {
            abort();
        }
        s->middle[i] = burn_with(&s->burn[i], 0.0);
        s->brisk[i] = burn_with(&s->burn[i], EP_STOCK_BRISK);
        s->of[i] = (ep_stock){MEMBERS, s->all[i]->trace, s->middle[i], s->brisk[i]};
    }
    return s;
}

void stock_destroy(stock *s)
{
    for (int i = 0; i < WORLD_SIZES; i++) {
        ep_ensemble_destroy(s->all[i]);
        ep_trace_destroy(s->middle[i]);
        ep_trace_destroy(s->brisk[i]);
    }
    free(s);
}

typedef struct thinking {
    ep_model_run run[WORLD_SIZES];
    const ep_stock *of[WORLD_SIZES];
    int candles[1];
    ep_model model;
    ep_reweighed *belief;
} thinking;

static ep_model_run run_of(const stock *s, int size)
{
    ep_model_run r = {.burn = s->burn[size], .room_C = 21.0};
    r.size_x = log(s->w.density_g_m[size] / s->w.density_g_m[WORLD_SIZES / 2]) / 0.3;
    return r;
}

static void think(const hunt *h, const stock *s, thinking *t)
{
    memset(t, 0, sizeof *t);
    int n = 0;
    for (int i = 0; i < WORLD_SIZES; i++) {
        if (h->book[i]->d.n_candles == 0) {
            continue;
        }
        t->of[n] = &s->of[i];
        ep_model_run *r = &t->run[n++];
        *r = run_of(s, i);
        r->first_candle = t->candles[0];
        t->candles[0] += h->book[i]->d.n_candles;
        if (ep_evidence_of(&h->book[i]->d, &r->evidence) != EP_OK) {
            abort();
        }
    }
    t->model = (ep_model){EP_UNC_SCATTER, 1, t->candles, n, t->run, 1};
    ep_reweigh_opts o = {.seed = 1, .draws = DRAWS};
    if (ep_reweigh(&t->model, t->of, MEMBERS, &o, &t->belief, NULL) != EP_OK) {
        abort();
    }
}

static void forget(thinking *t)
{
    ep_reweighed_destroy(t->belief);
    for (int i = 0; i < t->model.n_runs; i++) {
        ep_evidence_clear(&t->run[i].evidence);
    }
}

static void odds_of(const stock *s, const thinking *t, int size, ep_wick_odds *odds,
                    unsigned char *kind)
{
    static ep_ensemble e;
    unsigned char column[DRAWS];
    ep_model_run target = run_of(s, size);
    e.members = DRAWS;
    for (int m = 0; m < DRAWS; m++) {
        ep_rng r = ep_rng_make(77, (uint64_t)m);
        e.factors[m] = s->all[size]->factors[t->belief->member[m]];
        if (ep_reweighed_trace(&t->model, t->belief, m, &s->of[size], &target, ep_rng_normal(&r),
                               &e.trace[m]) != EP_OK) {
            abort();
        }
    }
    if (ep_odds_of(&target.burn, &e, ep_limits_default(), column, odds, NULL) != EP_OK) {
        abort();
    }
    for (int m = 0; m < DRAWS; m++) {
        ep_trace_destroy(e.trace[m]);
        kind[m * WORLD_SIZES + size] = column[m];
    }
}

static ep_next next_of(const hunt *h, const stock *s, int least, double day_cost)
{
    static const char *const name[] = {"1", "2", "3", "4", "5", "6", "7", "8", "9", "10"};
    thinking t;
    ep_next_size size[WORLD_SIZES] = {0};
    unsigned char kind[DRAWS * WORLD_SIZES];
    int sessions = 0;
    think(h, s, &t);
    for (int i = 0; i < WORLD_SIZES; i++) {
        ep_wick_odds odds;
        ep_verdict v = hunt_verdict(h, i);
        odds_of(s, &t, i, &odds, kind);
        size[i] = (ep_next_size){.right = odds.verdict[EP_VERDICT_RIGHT],
                                 .small = odds.verdict[EP_VERDICT_TOO_SMALL],
                                 .hot = odds.verdict[EP_VERDICT_TOO_BIG],
                                 .verdict = v.kind,
                                 .stopped = v.stop_now,
                                 .candles = h->book[i]->d.n_candles,
                                 .finished_right = v.candles_right,
                                 .finished_wrong = v.candles_wrong};
        sessions += h->book[i]->d.n_burns;
    }
    ep_next_in in = {.n = WORLD_SIZES,
                     .size = size,
                     .members = DRAWS,
                     .kind = kind,
                     .need = NEED,
                     .least = least,
                     .cure_days = CURE_DAYS,
                     .burn_days = 12.0,
                     .day_cost = day_cost,
                     .scatter_sd = t.belief->scatter_sd,
                     .burned_sessions = sessions,
                     .size_name = name};
    ep_next next;
    ep_plan_next(&in, &next);
    if (getenv("EP_SHOW")) {
        printf("   %s\n     %.0f members, power %.2f, misfit %.2f, scatter %.3f; odds",
               next.sentence, t.belief->ess, t.belief->power, t.belief->misfit,
               t.belief->scatter_sd);
        for (int i = 0; i < WORLD_SIZES; i++) {
            printf(" %.0f/%.0f/%.0f", 100 * size[i].small, 100 * size[i].right, 100 * size[i].hot);
        }
        printf("\n");
    }
    forget(&t);
    return next;
}

void mind_hunt(hunt *h, const stock *s, int least, double day_cost)
{
    while (h->out.rounds < MOST_ROUNDS) {
        ep_next next = next_of(h, s, least, day_cost);
        if (next.status == EP_NEXT_PROVEN) {
            h->out.approved = next.pick[0].size;
            h->out.chance_wrong = next.chance_wrong;
            return;
        }
        if (next.status != EP_NEXT_POUR) {
            return;
        }
        int size[EP_PLAN_MAX];
        for (int i = 0; i < next.n; i++) {
            size[i] = next.pick[i].size;
        }
        hunt_round(h, size, next.candles, next.n);
    }
}
