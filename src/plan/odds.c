// Judges every member of an ensemble and counts.
#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "learn/observe.h"
#include "learn/shift.h"
#include "plan/plan.h"

static ep_band band_of(double *x, int n)
{
    return (ep_band){ep_quantile(x, n, 0.05), ep_quantile(x, n, 0.50), ep_quantile(x, n, 0.95)};
}

int ep_odds_ways(int members)
{
    const int most = EP_MAX_MEMBERS / members;
    return most < 1 ? 1 : (most < EP_ODDS_WAYS ? most : EP_ODDS_WAYS);
}

static int copies_of(const ep_ensemble *e)
{
    return e->copies > 1 ? e->copies : 1;
}

typedef double (*session_value)(const ep_session_sum *s);

static double get_rate(const ep_session_sum *s)
{
    return s->lit_s > 0.0 ? s->burned_kg / s->lit_s : (double)NAN;
}

static double get_reach(const ep_session_sum *s)
{
    return s->reach_end_frac;
}

static double get_depth(const ep_session_sum *s)
{
    return s->depth_mid_m;
}

static double get_wall(const ep_session_sum *s)
{
    return s->wall_max_C;
}

static double get_flame(const ep_session_sum *s)
{
    return s->flame_max_m;
}

static double get_hangup(const ep_session_sum *s)
{
    return s->hangup_kg;
}

// a session cut short by the end of the wax says nothing about its like
static bool whole(const ep_session_sum *s)
{
    return s->lit_s > 1800.0;
}

static ep_band session_band(const ep_ensemble *e, int n, session_value get)
{
    double x[EP_MAX_MEMBERS];
    for (int m = 0; m < e->members; m++) {
        const ep_trace *t = e->trace[m];
        x[m] = n < t->n_sessions && whole(&t->session[n]) ? get(&t->session[n]) : (double)NAN;
    }
    return band_of(x, e->members);
}

static void session_bands(const ep_ensemble *e, ep_wick_odds *o)
{
    for (int n = 0; n < o->n_sessions; n++) {
        o->s_rate_kg_s[n] = session_band(e, n, get_rate);
        o->s_reach_frac[n] = session_band(e, n, get_reach);
        o->s_depth_mid_m[n] = session_band(e, n, get_depth);
        o->s_wall_max_C[n] = session_band(e, n, get_wall);
        o->s_flame_max_m[n] = session_band(e, n, get_flame);
        o->s_hangup_kg[n] = session_band(e, n, get_hangup);
    }
}

static double most(const ep_trace *t, session_value get)
{
    double worst = 0.0;
    for (int n = 0; n < t->n_sessions; n++) {
        worst = fmax(worst, get(&t->session[n]));
    }
    return worst;
}

static void life_bands(const ep_ensemble *e, ep_wick_odds *o)
{
    double rate[EP_MAX_MEMBERS], wall[EP_MAX_MEMBERS], flame[EP_MAX_MEMBERS];
    double total[EP_MAX_MEMBERS], stop[EP_MAX_MEMBERS], sessions[EP_MAX_MEMBERS];
    double burn[EP_MAX_MEMBERS];
    const int copies = copies_of(e);
    for (int m = 0; m < e->members; m++) {
        const ep_trace *t = e->trace[m];
        double burned_kg = t->fill_kg - t->left_kg;
        rate[m] = t->burn_total_s > 0.0 ? burned_kg / t->burn_total_s : (double)NAN;
        wall[m] = most(t, get_wall);
        flame[m] = most(t, get_flame);
        total[m] = t->burn_total_s;
        stop[m] = t->burn_to_stop_s;
        sessions[m] = t->n_sessions;
    }
    o->rate_kg_s = band_of(rate, e->members);
    o->wall_max_C = band_of(wall, e->members);
    o->flame_max_m = band_of(flame, e->members);
    o->burn_total_s = band_of(total, e->members);
    o->burn_to_stop_s = band_of(stop, e->members);
    // candles burned, each once: copies of one are no candles more to stand for a label
    int unfinished = 0;
    for (int m = 0; m < e->members; m += copies) {
        burn[m / copies] = ep_claim_burn_s(e->trace[m]);
        unfinished += isnan(e->trace[m]->burn_to_stop_s);
    }
    o->claim = ep_claim_of(burn, e->members / copies);
    o->claim.unfinished = unfinished;
    o->sessions_p50 = ep_quantile(sessions, e->members, 0.5);
}

static void count_sessions(const ep_ensemble *e, ep_wick_odds *o)
{
    for (int m = 0; m < e->members; m++) {
        const ep_trace *t = e->trace[m];
        o->n_sessions = t->n_sessions > o->n_sessions ? t->n_sessions : o->n_sessions;
    }
    o->n_sessions = o->n_sessions < EP_ODDS_SESSIONS ? o->n_sessions : EP_ODDS_SESSIONS;
    for (int m = 0; m < e->members; m++) {
        const ep_trace *t = e->trace[m];
        bool reached = false, lost = false;
        for (int n = 0; n < o->n_sessions; n++) {
            if (n < t->n_sessions) {
                reached = reached || !isnan(t->session[n].wall_reached_s);
                lost = lost || t->session[n].out == EP_OUT_DROWNED ||
                       t->session[n].out == EP_OUT_STARVED;
            }
            o->wall_by_session[n] += reached ? 1.0 / e->members : 0.0;
        }
        o->drowned += lost ? 1.0 / e->members : 0.0;
    }
}

static ep_status judge_members(const ep_burn_case *c, const ep_ensemble *e, const ep_limit *limits,
                               unsigned char *kinds, ep_wick_odds *o, ep_err *err)
{
    ep_verdict *v = malloc(sizeof *v);
    ep_status s = v ? EP_OK : EP_E_MEMORY;
    for (int m = 0; m < e->members && s == EP_OK; m++) {
        ep_burn_case member = *c;
        member.factors = e->factors[m];
        ep_observed *seen = NULL;
        s = ep_observe(e->trace[m], &member, &seen);
        s = s == EP_OK ? ep_judge(&seen->dossier, limits, v, err) : s;
        if (s == EP_OK) {
            // to be put out at any time is too hot, whatever else is against it
            const ep_verdict_kind kind = v->stop_now ? EP_VERDICT_TOO_BIG : v->kind;
            o->verdict[kind] += 1.0 / e->members;
            if (kinds) {
                kinds[m] = (unsigned char)kind;
            }
        }
        ep_observed_destroy(seen);
    }
    free(v);
    return s;
}

ep_status ep_odds_of(const ep_burn_case *c, const ep_ensemble *e, const ep_limit *limits,
                     unsigned char *kinds, ep_wick_odds *out, ep_err *err)
{
    ep_wick_odds o = {.members = e->members / copies_of(e), .judged = e->members};
    count_sessions(e, &o);
    session_bands(e, &o);
    life_bands(e, &o);
    ep_status s = judge_members(c, e, limits, kinds, &o, err);
    if (s == EP_OK) {
        *out = o;
    }
    return s;
}

ep_status ep_odds_compute(const ep_burn_case *c, const ep_ensemble_opts *opts,
                          const ep_limit *limits, ep_wick_odds *out, ep_err *err)
{
    return ep_odds_compute_drawn(c, opts, limits, NULL, NULL, out, err);
}

ep_status ep_odds_compute_drawn(const ep_burn_case *c, const ep_ensemble_opts *opts,
                                const ep_limit *limits, const ep_odds_draws *draws,
                                unsigned char *kinds, ep_wick_odds *out, ep_err *err)
{
    assert(c && opts && limits && out);
    ep_ensemble *e = NULL;
    ep_status s = ep_ensemble_run_with(c, opts, draws ? draws->factors : NULL, &e, err);
    if (s != EP_OK) {
        return s;
    }
    if (draws && draws->shift) {
        s = ep_ensemble_copy(e, ep_odds_ways(e->members), err);
        for (int m = 0; m < e->members && s == EP_OK; m++) {
            ep_shift_trace(e->trace[m], &draws->shift[m], c->ambient_C);
        }
    }
    s = s == EP_OK ? ep_odds_of(c, e, limits, kinds, out, err) : s;
    ep_ensemble_destroy(e);
    return s;
}
