// The engine's misfit laid over a trace.
#include "learn/shift.h"

#include <math.h>

#include "base/rng.h"

ep_shift ep_shift_prior(uint64_t seed, int member, int way)
{
    ep_rng r = ep_rng_make(seed, 30000 + 16 * (uint64_t)member + (uint64_t)way);
    ep_shift s = {.misfit = ep_misfit_at(ep_rng_normal(&r))};
    for (int i = 0; i < EP_BIAS_COUNT; i++) {
        s.bias[i] = ep_rng_normal(&r);
    }
    return s;
}

static double moved(const ep_shift *s, ep_datum_kind k, double life, double minute)
{
    return ep_model_bias(k, s->bias, s->misfit, (ep_place_in_life){life, minute, s->size_x});
}

static double clamp(double x, double lo, double hi)
{
    return fmin(fmax(x, lo), hi);
}

static double new_reach(double reach, double inner_m, double by_m)
{
    double share = inner_m > 0.0 ? by_m / inner_m : 0.0;
    return reach > 0.0 ? clamp(reach + share, 0.02, 1.0) : reach;
}

// a ring grows by what the pool loses on one side, and is gone where the pool counts as at the wall
static double new_ring(double ring_m, double reach, double by_m)
{
    return reach >= EP_AT_WALL_FRAC ? 0.0 : fmax(ring_m - 0.5 * by_m, 0.0);
}

static void shift_sample(ep_sample *p, const ep_shift *s, double inner_m, double life,
                         double room_C)
{
    double wide_m = 1e-3 * moved(s, EP_DATUM_WIDTH, life, p->minute);
    double deep_m = 1e-3 * moved(s, EP_DATUM_DEPTH, life, p->minute);
    p->reach_frac = new_reach(p->reach_frac, inner_m, wide_m);
    p->ring_m = new_ring(p->ring_m, p->reach_frac, wide_m);
    p->pool_width_m =
        p->pool_width_m > 0.0 ? clamp(p->pool_width_m + wide_m, 0.0, inner_m) : p->pool_width_m;
    p->pool_narrow_m =
        p->pool_narrow_m > 0.0 ? clamp(p->pool_narrow_m + wide_m, 0.0, inner_m) : p->pool_narrow_m;
    p->depth_mid_m = p->depth_mid_m > 0.0 ? fmax(p->depth_mid_m + deep_m, 0.0) : p->depth_mid_m;
    p->depth_axis_m = p->depth_axis_m > 0.0 ? fmax(p->depth_axis_m + deep_m, 0.0) : p->depth_axis_m;
    p->flame_m *= exp(moved(s, EP_DATUM_FLAME, life, p->minute));
    double rise_K = p->wall_max_C - room_C;
    p->wall_max_C = room_C + fmax(rise_K + moved(s, EP_DATUM_WALL, life, p->minute), 0.2 * rise_K);
    p->exposed_m =
        p->exposed_m > 0.0
            ? fmax(p->exposed_m + 1e-3 * moved(s, EP_DATUM_EXPOSED, life, p->minute), 0.0)
            : p->exposed_m;
    p->soot_margin_m += 1e-3 * moved(s, EP_DATUM_SOOT, life, p->minute);
    p->cap_index = clamp(p->cap_index + moved(s, EP_DATUM_MUSHROOM, life, p->minute), 0.0, 3.0);
    p->rate_kg_s *= exp(moved(s, EP_DATUM_RATE, life, p->minute));
}

static void shift_session(ep_session_sum *u, const ep_shift *s, double life)
{
    double wide_m = 1e-3 * moved(s, EP_DATUM_WIDTH, life, u->lit_s / 60.0);
    u->reach_end_frac = new_reach(u->reach_end_frac, u->inner_m, wide_m);
    u->reach_max_frac = new_reach(u->reach_max_frac, u->inner_m, wide_m);
    u->ring_end_m = new_ring(u->ring_end_m, u->reach_end_frac, wide_m);
    u->ring_least_m = new_ring(u->ring_least_m, u->reach_max_frac, wide_m);
    u->depth_mid_m =
        u->depth_mid_m > 0.0
            ? fmax(u->depth_mid_m + 1e-3 * moved(s, EP_DATUM_DEPTH, life, u->lit_s / 60.0), 0.0)
            : u->depth_mid_m;
    u->soot_margin_min_m += 1e-3 * moved(s, EP_DATUM_SOOT, life, u->lit_s / 60.0);
    u->cap_index =
        clamp(u->cap_index + moved(s, EP_DATUM_MUSHROOM, life, u->lit_s / 60.0), 0.0, 3.0);
    u->burned_kg *= exp(moved(s, EP_DATUM_RATE, life, u->lit_s / 60.0));
    // found again from the samples: the drift within a session may move the moment of the most
    u->wall_reached_s = (double)NAN;
}

static bool of_a_session(const ep_trace *t, const ep_sample *p)
{
    return p->lit && p->session >= 1 && p->session <= t->n_sessions;
}

// the most of a session comes from its shifted samples; one without any keeps what it had
static void forget_the_most(ep_trace *t)
{
    for (int i = 0; i < t->n_samples; i++) {
        if (of_a_session(t, &t->sample[i])) {
            t->session[t->sample[i].session - 1].flame_max_m = (double)NAN;
            t->session[t->sample[i].session - 1].wall_max_C = (double)NAN;
        }
    }
}

void ep_shift_trace(ep_trace *t, const ep_shift *s, double room_C)
{
    for (int n = 0; n < t->n_sessions; n++) {
        ep_session_sum *u = &t->session[n];
        double before = n > 0 ? t->session[n - 1].left_frac : 1.0;
        shift_session(u, s, clamp(1.0 - 0.5 * (before + u->left_frac), 0.0, 1.0));
    }
    forget_the_most(t);
    for (int i = 0; i < t->n_samples; i++) {
        ep_sample *p = &t->sample[i];
        if (!of_a_session(t, p)) {
            continue;
        }
        ep_session_sum *u = &t->session[p->session - 1];
        double life = t->fill_kg > 0.0 ? clamp(1.0 - p->left_kg / t->fill_kg, 0.0, 1.0) : 0.0;
        shift_sample(p, s, u->inner_m, life, room_C);
        u->flame_max_m = fmax(u->flame_max_m, p->flame_m);
        u->wall_max_C = fmax(u->wall_max_C, p->wall_max_C);
        if (isnan(u->wall_reached_s) && p->reach_frac >= EP_AT_WALL_FRAC) {
            u->wall_reached_s = p->minute * 60.0;
        }
    }
}
