// One factor at a time, two runs each.
#include "burn/sensitivity.h"

#include <math.h>
#include <stdlib.h>

#include "burn/wickburn.h"

// errors of a careful reading with a ruler, a scale and a contact thermometer: outcomes in these
// units can be added up
static const double RATE_kg_s = 0.2e-3 / 3600.0, REACH_frac = 0.03, DEPTH_m = 1e-3, WALL_K = 2.0,
                    FLAME_m = 2e-3;

static ep_status outcome_of(const ep_burn_case *c, ep_outcome *out, ep_err *err)
{
    ep_trace *t = NULL;
    ep_status s = ep_burn_run(c, &t, err);
    if (s != EP_OK) {
        return s;
    }
    const ep_session_sum *last = &t->session[t->n_sessions - 1];
    *out = (ep_outcome){.rate_kg_s = (t->fill_kg - t->left_kg) / fmax(t->burn_total_s, 1.0),
                        .reach_frac = last->reach_end_frac,
                        .depth_mid_m = last->depth_mid_m};
    for (int n = 0; n < t->n_sessions; n++) {
        out->wall_max_C = fmax(out->wall_max_C, t->session[n].wall_max_C);
        out->flame_max_m = fmax(out->flame_max_m, t->session[n].flame_max_m);
    }
    ep_trace_destroy(t);
    return EP_OK;
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

static ep_status one_factor(const ep_burn_case *c, ep_uncertain u, ep_sensitivity *out, ep_err *err)
{
    // 90 % of the prior lies between these places
    const double edge = 1.6448536269514722;
    ep_burn_case low = *c, high = *c;
    low.factors.f[u] = ep_factor_at(c, u, -edge);
    high.factors.f[u] = ep_factor_at(c, u, edge);
    *out = (ep_sensitivity){.factor = u, .lo = low.factors.f[u], .hi = high.factors.f[u]};
    ep_status s = outcome_of(&low, &out->at_lo, err);
    s = s == EP_OK ? outcome_of(&high, &out->at_hi, err) : s;
    out->weight = s == EP_OK ? weigh(&out->at_lo, &out->at_hi) : 0.0;
    return s;
}

ep_status ep_sensitivity_run(const ep_burn_case *base, int sessions, ep_outcome *nominal,
                             ep_sensitivity *out, ep_err *err)
{
    ep_burn_case c = *base;
    c.keep_frames = false;
    c.schedule.max_sessions = sessions;
    ep_status s = outcome_of(&c, nominal, err);
    for (int u = 0; u < EP_UNC_COUNT_ && s == EP_OK; u++) {
        s = one_factor(&c, (ep_uncertain)u, &out[u], err);
    }
    if (s == EP_OK) {
        qsort(out, EP_UNC_COUNT_, sizeof *out, heavier_first);
    }
    return s;
}

double ep_feed_share(const ep_burn_case *c, double exposed_m, double pool_C)
{
    ep_fuel fuel = ep_fuel_of(&c->melt);
    ep_wick_now now =
        ep_wick_burn(&fuel, &c->melt, &c->wick, exposed_m, pool_C, 0.232, &c->factors);
    return now.supply_kg_s > 0.0 ? now.demand_kg_s / now.supply_kg_s : (double)NAN;
}
