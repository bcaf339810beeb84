// One factor at a time, two candles each, all of them burned over the processors there are; dear
// candles by way of a cheap one.
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

// 90 % of the prior lie between both ends
static void lay_out(const ep_burn_case *c, ep_sensitivity *out)
{
    const double edge = 1.6448536269514722;
    for (int u = 0; u < EP_UNC_COUNT_; u++) {
        out[u] = (ep_sensitivity){.factor = (ep_uncertain)u,
                                  .lo = ep_factor_at(c, (ep_uncertain)u, -edge),
                                  .hi = ep_factor_at(c, (ep_uncertain)u, edge)};
    }
}

// burns the nominal candle (nominal not NULL) and both ends of n rows
static ep_status burn_rows(const ep_burn_case *c, ep_outcome *nominal, ep_sensitivity *const *row,
                           int n, ep_err *err)
{
    enum { CANDLES = 1 + 2 * EP_UNC_COUNT_ };
    ep_factors x[CANDLES];
    const int first = nominal ? 1 : 0;
    x[0] = c->factors;
    for (int i = 0; i < n; i++) {
        ep_factors *low = &x[first + 2 * i], *high = &x[first + 2 * i + 1];
        *low = *high = c->factors;
        low->f[row[i]->factor] = row[i]->lo;
        high->f[row[i]->factor] = row[i]->hi;
    }
    ep_ensemble *e = NULL;
    const ep_ensemble_opts opts = {.members = first + 2 * n};
    ep_status s = ep_ensemble_run_with(c, &opts, x, &e, err);
    if (s != EP_OK) {
        return s;
    }
    if (nominal) {
        *nominal = outcome_of(e->trace[0]);
    }
    for (int i = 0; i < n; i++) {
        row[i]->at_lo = outcome_of(e->trace[first + 2 * i]);
        row[i]->at_hi = outcome_of(e->trace[first + 2 * i + 1]);
        row[i]->weight = weigh(&row[i]->at_lo, &row[i]->at_hi);
        row[i]->estimated = false;
    }
    ep_ensemble_destroy(e);
    return EP_OK;
}

static ep_status burn_all(const ep_burn_case *c, ep_outcome *nominal, ep_sensitivity *out,
                          ep_err *err)
{
    ep_sensitivity *row[EP_UNC_COUNT_];
    lay_out(c, out);
    for (int u = 0; u < EP_UNC_COUNT_; u++) {
        row[u] = &out[u];
    }
    ep_status s = burn_rows(c, nominal, row, EP_UNC_COUNT_, err);
    qsort(out, EP_UNC_COUNT_, sizeof *out, heavier_first);
    return s;
}

bool ep_share_case(const ep_burn_case *c, ep_burn_case *out)
{
    *out = *c;
    out->n_wicks = 1;
    out->place[0] = (ep_place){0.0, 0.0};
    out->threads = 1;
    out->vessel.outline = EP_OUTLINE_ROUND;
    for (int i = 0; i < c->vessel.n_stations; i++) {
        double area_m2 = ep_vessel_area_m2(&c->vessel, c->vessel.station[i].height_m);
        out->vessel.station[i].inner_diameter_m = 2.0 * sqrt(area_m2 / c->n_wicks / acos(-1.0));
    }
    return ep_burn_case_check(out, NULL) == EP_OK;
}

// the large candle's outcome where the share's went from its nominal one to `to`
static ep_outcome carried(const ep_outcome *large, const ep_outcome *share, const ep_outcome *to)
{
    double reach = large->reach_frac + to->reach_frac - share->reach_frac;
    return (ep_outcome){
        .rate_kg_s = large->rate_kg_s * to->rate_kg_s / fmax(share->rate_kg_s, 1e-12),
        .reach_frac = fmin(fmax(reach, 0.0), 1.0),
        .depth_mid_m = fmax(0.0, large->depth_mid_m + to->depth_mid_m - share->depth_mid_m),
        .wall_max_C = large->wall_max_C + to->wall_max_C - share->wall_max_C,
        .flame_max_m = fmax(0.0, large->flame_max_m + to->flame_max_m - share->flame_max_m)};
}

// the estimated rows among the heaviest, at most EP_SENSITIVITY_FULL
static int heaviest_estimated(ep_sensitivity *out, ep_sensitivity **row)
{
    int n = 0;
    for (int i = 0; i < EP_SENSITIVITY_FULL; i++) {
        if (out[i].estimated) {
            row[n++] = &out[i];
        }
    }
    return n;
}

static ep_status burn_heaviest(const ep_burn_case *c, const ep_burn_case *share,
                               ep_outcome *nominal, ep_sensitivity *out, ep_err *err)
{
    ep_outcome of_share;
    ep_status s = burn_all(share, &of_share, out, err);
    ep_sensitivity *row[EP_SENSITIVITY_FULL];
    for (int u = 0; u < EP_UNC_COUNT_; u++) {
        out[u].estimated = true;
    }
    int n = heaviest_estimated(out, row);
    s = s == EP_OK ? burn_rows(c, nominal, row, n, err) : s;
    for (int u = 0; u < EP_UNC_COUNT_ && s == EP_OK; u++) {
        if (out[u].estimated) {
            out[u].at_lo = carried(nominal, &of_share, &out[u].at_lo);
            out[u].at_hi = carried(nominal, &of_share, &out[u].at_hi);
            out[u].weight = weigh(&out[u].at_lo, &out[u].at_hi);
        }
    }
    for (n = 1; s == EP_OK && n > 0;) {
        qsort(out, EP_UNC_COUNT_, sizeof *out, heavier_first);
        n = heaviest_estimated(out, row);
        s = n > 0 ? burn_rows(c, NULL, row, n, err) : EP_OK;
    }
    return s;
}

ep_status ep_sensitivity_run(const ep_burn_case *base, int sessions, ep_outcome *nominal,
                             ep_sensitivity *out, ep_err *err)
{
    ep_burn_case c = *base, share;
    c.schedule.max_sessions = sessions;
    ep_status s = ep_burn_case_check(&c, err);
    if (s != EP_OK) {
        return s;
    }
    return ep_burn_case_rings(&c) || !ep_share_case(&c, &share)
               ? burn_all(&c, nominal, out, err)
               : burn_heaviest(&c, &share, nominal, out, err);
}

double ep_feed_share(const ep_burn_case *c, double exposed_m, double pool_C)
{
    ep_fuel fuel = ep_fuel_of(&c->melt);
    ep_wick_now now =
        ep_wick_burn(&fuel, &c->melt, &c->wick, exposed_m, pool_C, 0.232, &c->factors);
    return now.supply_kg_s > 0.0 ? now.demand_kg_s / now.supply_kg_s : (double)NAN;
}
