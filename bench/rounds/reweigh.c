// A prior ensemble weighed by readings.
#include "reweigh.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/rng.h"
#include "learn/sampling.h"

enum { FOR_WIDTHS = 32 };  // best members that settle the two widths

typedef struct weighing {
    const ep_model *m;
    int members, data;
    double *f, *slope, *level, *inner, *v;  // f: members x data
} weighing;

static void predict(weighing *w, const ep_stock *const *stock)
{
    int at = 0;
    for (int r = 0; r < w->m->n_runs; r++) {
        const ep_model_run *run = &w->m->run[r];
        const ep_evidence *e = &run->evidence;
        double *quick = w->inner, *plain = w->slope + at;
        ep_evidence_predict(e, stock[r]->middle, run->room_C, plain);
        ep_evidence_predict(e, stock[r]->brisk, run->room_C, quick);
        for (int i = 0; i < e->n; i++) {
            double d = (quick[i] - plain[i]) / EP_STOCK_BRISK;
            plain[i] = isfinite(d) ? d : 0.0;
        }
        for (int k = 0; k < w->members; k++) {
            ep_evidence_predict(e, stock[r]->trace[k], run->room_C,
                                w->f + (size_t)k * (size_t)w->data + at);
        }
        at += e->n;
    }
}

static double level_of(weighing *w, int member)
{
    return ep_model_inner(w->m, w->v, w->f + (size_t)member * (size_t)w->data, w->slope, w->inner,
                          NULL);
}

static int best_members(const weighing *w, int *best)
{
    int n = w->members < FOR_WIDTHS ? w->members : FOR_WIDTHS;
    for (int i = 0; i < n; i++) {
        best[i] = -1;
        for (int k = 0; k < w->members; k++) {
            bool taken = false;
            for (int q = 0; q < i; q++) {
                taken = taken || best[q] == k;
            }
            if (!taken && (best[i] < 0 || w->level[k] > w->level[best[i]])) {
                best[i] = k;
            }
        }
    }
    return n;
}

// the widths at the best of a few places, one after the other, the members summed over
static void settle_widths(weighing *w)
{
    static const double place[] = {-1.5, -0.75, 0.0, 0.75, 1.5, 2.25};
    int best[FOR_WIDTHS];
    const int n = best_members(w, best);
    for (int k = EP_MODEL_WIDTHS - 1; k >= 0; k--) {
        double *at = &w->v[w->m->n_params + k], top = -(double)INFINITY, kept = 0.0;
        for (size_t p = 0; p < sizeof place / sizeof *place; p++) {
            double level[FOR_WIDTHS];
            *at = place[p];
            for (int i = 0; i < n; i++) {
                level[i] = level_of(w, best[i]);
            }
            double here = ep_log_sum_exp(level, n) - 0.5 * place[p] * place[p];
            if (here > top) {
                top = here;
                kept = place[p];
            }
        }
        *at = kept;
    }
}

static double effective(const double *level, int n, double power)
{
    double x[2] = {0.0, 0.0}, most = -(double)INFINITY;
    for (int i = 0; i < n; i++) {
        most = fmax(most, level[i]);
    }
    for (int i = 0; i < n; i++) {
        double p = exp(power * (level[i] - most));
        x[0] += p;
        x[1] += p * p;
    }
    return x[0] * x[0] / x[1];
}

static double flatten(const double *level, int n, double least)
{
    double lo = 0.0, hi = 1.0;
    if (effective(level, n, 1.0) >= least) {
        return 1.0;
    }
    for (int i = 0; i < 40; i++) {
        double mid = 0.5 * (lo + hi);
        *(effective(level, n, mid) >= least ? &lo : &hi) = mid;
    }
    return lo;
}

// systematic resampling (Kitagawa 1996), from the middle of each stratum
static void resample(const weighing *w, ep_reweighed *out)
{
    double most = -(double)INFINITY, total = 0.0, sum = 0.0;
    for (int k = 0; k < w->members; k++) {
        most = fmax(most, w->level[k]);
    }
    for (int k = 0; k < w->members; k++) {
        total += exp(out->power * (w->level[k] - most));
    }
    int i = 0;
    for (int k = 0; k < w->members; k++) {
        sum += exp(out->power * (w->level[k] - most)) / total;
        while (i < out->draws && (i + 0.5) / out->draws <= sum + 1e-12) {
            out->member[i++] = k;
        }
    }
    while (i < out->draws) {
        out->member[i++] = w->members - 1;
    }
}

static void fill_draws(weighing *w, ep_reweighed *out, uint64_t seed, double *z)
{
    for (int i = 0; i < out->draws; i++) {
        ep_rng r = ep_rng_make(seed, 1000 + (uint64_t)i);
        for (int k = 0; k < out->n_inner; k++) {
            z[k] = ep_rng_normal(&r);
        }
        double *inner = out->inner + (size_t)i * (size_t)out->n_inner;
        if (w->data == 0) {
            memcpy(inner, z, (size_t)out->n_inner * sizeof *z);
            continue;
        }
        ep_model_inner(w->m, w->v, w->f + (size_t)out->member[i] * (size_t)w->data, w->slope, inner,
                       z);
    }
}

static ep_status reweigh(weighing *w, const ep_stock *const *stock, const ep_reweigh_opts *o,
                         ep_reweighed *out)
{
    size_t inner = (size_t)out->n_inner + (size_t)w->data;
    double *room = malloc(((size_t)(w->members + 1) * (size_t)w->data + (size_t)w->members + inner +
                           (size_t)out->n_inner + 1) *
                          sizeof *room);
    if (!room) {
        return EP_E_MEMORY;
    }
    w->f = room;
    w->slope = w->f + (size_t)w->members * (size_t)w->data;
    w->level = w->slope + w->data;
    w->inner = w->level + w->members;
    double *z = w->inner + inner;
    w->v = out->widths;
    memset(w->level, 0, (size_t)w->members * sizeof *w->level);
    for (int round = 0; round < 2 && w->data > 0; round++) {
        if (round == 0) {
            predict(w, stock);
        } else {
            settle_widths(w);
        }
        for (int k = 0; k < w->members; k++) {
            w->level[k] = level_of(w, k);
        }
    }
    out->ess = effective(w->level, w->members, 1.0);
    out->power =
        flatten(w->level, w->members, fmin(o->least_ess > 0.0 ? o->least_ess : 12.0, w->members));
    resample(w, out);
    fill_draws(w, out, o->seed, z);
    free(room);
    return EP_OK;
}

void ep_reweighed_destroy(ep_reweighed *w)
{
    if (w) {
        free(w->member);
        free(w->inner);
        free(w->widths);
        free(w);
    }
}

ep_status ep_reweigh(const ep_model *m, const ep_stock *const *stock, int members,
                     const ep_reweigh_opts *opts, ep_reweighed **out, ep_err *err)
{
    ep_status s = ep_range_check(opts->draws, 16, 512, EP_U_NONE, "draws", err);
    if (s != EP_OK) {
        return s;
    }
    weighing w = {.m = m, .members = members, .data = ep_model_data(m)};
    ep_reweighed *r = calloc(1, sizeof *r);
    if (r) {
        r->draws = opts->draws;
        r->n_inner = ep_model_unknowns(m) - ep_model_outer(m);
        r->member = calloc((size_t)r->draws, sizeof *r->member);
        r->inner = calloc((size_t)r->draws * (size_t)r->n_inner + 1, sizeof *r->inner);
        r->widths = calloc((size_t)ep_model_outer(m), sizeof *r->widths);
    }
    s = r && r->member && r->inner && r->widths ? reweigh(&w, stock, opts, r) : EP_E_MEMORY;
    if (s != EP_OK) {
        ep_reweighed_destroy(r);
        return ep_err_set(err, s, "", "what the burns say could not be worked out: %s",
                          ep_status_text(s));
    }
    r->scatter_sd = ep_model_scatter(m, r->widths);
    r->misfit = ep_model_misfit(m, r->widths);
    *out = r;
    return EP_OK;
}

// --- a draw as a candle ---

static double log_ratio(double a, double b)
{
    return a > 0.0 && b > 0.0 ? log(a / b) : 0.0;
}

// what a unit of log scatter does to each kind half way through the candle
static void own_slopes(const ep_stock *s, double slope[EP_DATUM_COUNT_])
{
    memset(slope, 0, EP_DATUM_COUNT_ * sizeof *slope);
    int n =
        s->middle->n_sessions < s->brisk->n_sessions ? s->middle->n_sessions : s->brisk->n_sessions;
    if (n < 1) {
        return;
    }
    const ep_session_sum *a = &s->middle->session[(n - 1) / 2],
                         *b = &s->brisk->session[(n - 1) / 2];
    double inner_mm = 1e3 * a->inner_m;
    slope[EP_DATUM_RATE] = log_ratio(b->burned_kg, a->burned_kg);
    slope[EP_DATUM_WIDTH] = inner_mm * (b->reach_end_frac - a->reach_end_frac);
    slope[EP_DATUM_DEPTH] = 1e3 * (b->depth_mid_m - a->depth_mid_m);
    slope[EP_DATUM_FLAME] = log_ratio(b->flame_max_m, a->flame_max_m);
    slope[EP_DATUM_WALL] = b->wall_max_C - a->wall_max_C;
    slope[EP_DATUM_SOOT] = 1e3 * (b->soot_margin_min_m - a->soot_margin_min_m);
    slope[EP_DATUM_MUSHROOM] = b->cap_index - a->cap_index;
    for (int k = 0; k < EP_DATUM_COUNT_; k++) {
        slope[k] = isfinite(slope[k]) ? slope[k] / EP_STOCK_BRISK : 0.0;
    }
}

ep_status ep_reweighed_trace(const ep_model *m, const ep_reweighed *w, int draw,
                             const ep_stock *stock, const ep_model_run *target, double z,
                             ep_trace **out)
{
    const int block = ep_model_block_at(m, target->block) - ep_model_outer(m);
    const double *inner = w->inner + (size_t)draw * (size_t)w->n_inner + block;
    ep_shift shift = {.misfit = w->misfit, .size_x = target->size_x};
    double slope[EP_DATUM_COUNT_], part[EP_BIAS_PARTS];
    memcpy(shift.bias, inner, sizeof shift.bias);
    own_slopes(stock, slope);
    for (int k = 0; k < EP_DATUM_COUNT_; k++) {
        ep_model_bias_row((ep_datum_kind)k, w->misfit, (ep_place_in_life){0}, part);
        shift.bias[k * EP_BIAS_PARTS] += slope[k] * w->scatter_sd * z / part[0];
    }
    const ep_status status = ep_trace_copy(stock->trace[w->member[draw]], out);
    if (status == EP_OK) {
        ep_shift_trace(*out, &shift, target->room_C);
    }
    return status;
}
