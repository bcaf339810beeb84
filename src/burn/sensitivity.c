// One factor at a time, two candles each, all of them burned over the processors there are.
#include "burn/sensitivity.h"

#include <math.h>
#include <stdlib.h>

#include "burn/wickburn.h"

// errors of a careful reading with a ruler, a scale and a contact thermometer: outcomes in these
// units can be added up
static const double RATE_kg_s = 0.2e-3 / 3600.0, REACH_frac = 0.03, DEPTH_m = 1e-3, WALL_K = 2.0,
                    FLAME_m = 2e-3;

static ep_outcome outcome_of(const ep_trace *t)
{
    const ep_session_sum *last = &t->session[t->n_sessions - 1];
    ep_outcome out = {.rate_kg_s = (t->fill_kg - t->left_kg) / fmax(t->burn_total_s, 1.0),
                      .reach_frac = last->reach_end_frac,
                      .depth_mid_m = last->depth_mid_m};
    for (int n = 0; n < t->n_sessions; n++) {
        out.wall_max_C = fmax(out.wall_max_C, t->session[n].wall_max_C);
        out.flame_max_m = fmax(out.flame_max_m, t->session[n].flame_max_m);
    }
    return out;
}

static double weigh(const ep_outcome *a, const ep_outcome *b)
{
    double sum = 0.0;
    const double step[] = {
        (a->rate_kg_s - b->rate_kg_s) / RATE_kg_s, (a->reach_frac - b->reach_frac) / REACH_frac,
        (a->depth_mid_m - b->depth_mid_m) / DEPTH_m, (a->wall_max_C - b->wall_max_C) / WALL_K,
        (a->flame_max_m - b->flame_max_m) / FLAME_m};
    for (size_t i = 0; i < sizeof step / sizeof *step; i++) {
        sum += step[i] * step[i];
    }
    return sqrt(sum);
}

static int heavier_first(const void *a, const void *b)
{
    const ep_sensitivity *x = a, *y = b;
    if (x->weight > y->weight || x->weight < y->weight) {
        return x->weight > y->weight ? -1 : 1;
    }
    return (int)x->factor - (int)y->factor;
}

// the nominal candle, then each factor at its low and its high end: 90 % of the prior lie between
static void lay_out(const ep_burn_case *c, ep_factors *x, ep_sensitivity *out)
{
    const double edge = 1.6448536269514722;
    x[0] = c->factors;
    for (int u = 0; u < EP_UNC_COUNT_; u++) {
        ep_factors *low = &x[1 + 2 * u], *high = &x[2 + 2 * u];
        *low = *high = c->factors;
        low->f[u] = ep_factor_at(c, (ep_uncertain)u, -edge);
        high->f[u] = ep_factor_at(c, (ep_uncertain)u, edge);
        out[u] = (ep_sensitivity){.factor = (ep_uncertain)u, .lo = low->f[u], .hi = high->f[u]};
    }
}

ep_status ep_sensitivity_run(const ep_burn_case *base, int sessions, ep_outcome *nominal,
                             ep_sensitivity *out, ep_err *err)
{
    enum { CANDLES = 1 + 2 * EP_UNC_COUNT_ };
    ep_factors x[CANDLES];
    ep_burn_case c = *base;
    c.schedule.max_sessions = sessions;
    lay_out(&c, x, out);
    ep_ensemble *e = NULL;
    const ep_ensemble_opts opts = {.members = CANDLES};
    ep_status s = ep_ensemble_run_with(&c, &opts, x, &e, err);
    if (s != EP_OK) {
        return s;
    }
    *nominal = outcome_of(e->trace[0]);
    for (int u = 0; u < EP_UNC_COUNT_; u++) {
        out[u].at_lo = outcome_of(e->trace[1 + 2 * u]);
        out[u].at_hi = outcome_of(e->trace[2 + 2 * u]);
        out[u].weight = weigh(&out[u].at_lo, &out[u].at_hi);
    }
    ep_ensemble_destroy(e);
    qsort(out, EP_UNC_COUNT_, sizeof *out, heavier_first);
    return EP_OK;
}

double ep_feed_share(const ep_burn_case *c, double exposed_m, double pool_C)
{
    ep_fuel fuel = ep_fuel_of(&c->melt);
    ep_wick_now now =
        ep_wick_burn(&fuel, &c->melt, &c->wick, exposed_m, pool_C, 0.232, &c->factors);
    return now.supply_kg_s > 0.0 ? now.demand_kg_s / now.supply_kg_s : (double)NAN;
}
