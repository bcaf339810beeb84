// Readings to data, traces to predictions, and the likelihood between them. L1-L3,
// docs/learning.md.
#include "learn/evidence.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/rng.h"
#include "burn/ensemble.h"

static const ep_datum_def DEFS[EP_DATUM_COUNT_] = {
#define X(id, key, scale, sd, misfit, label) {key, scale, label, sd, misfit},
    EP_DATUM_LIST(X)
#undef X
};

const ep_datum_def *ep_datum_def_of(ep_datum_kind k)
{
    return &DEFS[k];
}

static bool add(ep_evidence *e, ep_datum d)
{
    if (!isfinite(d.value) || !isfinite(d.life)) {
        return true;
    }
    if (e->n == e->cap) {
        int cap = e->cap ? 2 * e->cap : 64;
        ep_datum *grown = realloc(e->datum, (size_t)cap * sizeof *grown);
        if (!grown) {
            return false;
        }
        e->datum = grown;
        e->cap = cap;
    }
    e->datum[e->n++] = d;
    e->sessions = d.session > e->sessions ? d.session : e->sessions;
    return true;
}

static const ep_burn_record *burn_of(const ep_dossier *d, int candle, int session)
{
    for (int i = 0; i < d->n_burns; i++) {
        if (d->burn[i].candle == candle && d->burn[i].session == session) {
            return &d->burn[i];
        }
    }
    return NULL;
}

static bool spoiled(const ep_burn_record *b)
{
    return !b || b->draught >= 3;
}

// wax burned by the middle of the session; by the session's number where nothing was weighed
static double life_at(const ep_dossier *d, const ep_burn_record *b)
{
    double after = b->left_frac, before = 1.0;
    const ep_burn_record *last = burn_of(d, b->candle, b->session - 1);
    if (last && isfinite(last->left_frac)) {
        before = last->left_frac;
    } else if (b->session > 1) {
        before = isfinite(after) ? after : 1.0 - fmin(0.9, 0.09 * (b->session - 1));
    }
    after = isfinite(after) ? after : before;
    return fmin(fmax(1.0 - 0.5 * (before + after), 0.0), 1.0);
}

static bool add_rate(ep_evidence *e, const ep_dossier *d, const ep_burn_record *b)
{
    double burned_g = (b->before_kg - b->after_kg) * 1e3;
    if (!b->over || !(b->lit_min >= 20.0) || !isfinite(burned_g)) {
        return true;
    }
    // a scale read to 0.1 g twice, a minute's doubt about the time, the flame's own restlessness
    double rel = hypot(0.15 / fmax(burned_g, 0.3), 1.0 / b->lit_min);
    double soak = b->session == 1 ? 2.0 : 1.0;  // the first burn's wick is not yet soaked
    double rate = fmax(burned_g, 0.05) / (b->lit_min / 60.0);
    return add(e, (ep_datum){.kind = EP_DATUM_RATE,
                             .candle = b->candle,
                             .session = b->session,
                             .minute = b->lit_min,
                             .value = log(rate),
                             .sd = hypot(soak * DEFS[EP_DATUM_RATE].sd, rel),
                             .life = life_at(d, b),
                             .ref = -1});
}

// width of the pool as one number: the mean of both ways where both were read
static double width_of(const ep_dossier *d, const ep_reading *r)
{
    if (r->kind != EP_READ_POOL_WIDE) {
        return r->value;
    }
    for (int i = 0; i < d->n_readings; i++) {
        const ep_reading *o = &d->reading[i];
        if (o->kind == EP_READ_POOL_NARROW && o->candle == r->candle && o->session == r->session &&
            fabs(o->minute - r->minute) < 1.5) {
            return 0.5 * (r->value + o->value);
        }
    }
    return r->value;
}

static bool has_wide(const ep_dossier *d, const ep_reading *r)
{
    for (int i = 0; i < d->n_readings; i++) {
        const ep_reading *o = &d->reading[i];
        if (o->kind == EP_READ_POOL_WIDE && o->candle == r->candle && o->session == r->session &&
            fabs(o->minute - r->minute) < 1.5) {
            return true;
        }
    }
    return false;
}

// a pool this wide is at the wall for anyone with a ruler
static bool full(double width_mm, const ep_burn_record *b)
{
    return width_mm >= 0.97 * b->inner_m * 1e3;
}

static bool add_reading(ep_evidence *e, const ep_dossier *d, int i)
{
    const ep_reading *r = &d->reading[i];
    const ep_burn_record *b = burn_of(d, r->candle, r->session);
    if (spoiled(b)) {
        return true;
    }
    ep_datum x = {.candle = r->candle,
                  .session = r->session,
                  .minute = r->minute,
                  .life = life_at(d, b),
                  .ref = i};
    double room_C = isfinite(b->room_C) ? b->room_C : 21.0;
    switch (r->kind) {
    case EP_READ_POOL_WIDE:
    case EP_READ_POOL_NARROW: {
        double mm = width_of(d, r);
        if ((r->kind == EP_READ_POOL_NARROW && has_wide(d, r)) || full(mm, b) || mm <= 0.0) {
            return true;
        }
        x.kind = EP_DATUM_WIDTH;
        x.value = mm;
        x.sd = hypot(DEFS[x.kind].sd, 0.02 * mm);
        break;
    }
    case EP_READ_POOL_DEPTH:
        x.kind = EP_DATUM_DEPTH;
        x.value = r->value;
        x.sd = hypot(DEFS[x.kind].sd, 0.10 * r->value);
        break;
    case EP_READ_FLAME:
        x.kind = EP_DATUM_FLAME;
        x.value = log(fmax(r->value, 1.0));
        x.sd = hypot(DEFS[x.kind].sd, 1.0 / fmax(r->value, 3.0));
        break;
    case EP_READ_WALL_TEMP:
        x.kind = EP_DATUM_WALL;
        x.value = r->value - room_C;
        x.sd = DEFS[x.kind].sd;
        break;
    case EP_READ_EXPOSED:
        x.kind = EP_DATUM_EXPOSED;
        x.value = r->value;
        x.sd = DEFS[x.kind].sd;
        break;
    case EP_READ_SOOT:
        x.kind = EP_DATUM_SOOT;
        x.value = r->value;
        x.sd = DEFS[x.kind].sd;
        break;
    case EP_READ_MUSHROOM:
        x.kind = EP_DATUM_MUSHROOM;
        x.value = r->value;
        x.sd = DEFS[x.kind].sd;
        break;
    case EP_READ_WENT_OUT:
        x.kind = EP_DATUM_OUT;
        // going out at the end of the wax is no news
        x.value = isfinite(b->left_frac) && b->left_frac < 0.1 ? (double)NAN : r->value;
        x.sd = DEFS[x.kind].sd;
        break;
    case EP_READ_POOL_AT_WALL:
    case EP_READ_HANGUP_THICK:
    case EP_READ_HANGUP_SHARE:
    case EP_READ_FLICKER:
    case EP_READ_SMOKE:
    case EP_READ_RIM_TEMP:
    case EP_READ_BASE_TEMP:
    case EP_READ_LEAN:
    case EP_READ_WALL_GAP:
    case EP_READ_RELIGHTS:
    case EP_READ_AFTERGLOW:
    case EP_READ_SECOND_FLAME:
    case EP_READ_FLASHOVER:
    case EP_READ_BROKEN:
    case EP_READ_TIPS:
    case EP_READ_MASS:
    case EP_READ_SURFACE:
    case EP_READ_THROW:
    case EP_READ_ROOM_TEMP:
    case EP_READ_DRAUGHT:
    case EP_READ_COUNT_:
        return true;
    }
    return add(e, x);
}

// when the pool came to the wall: after the last "not yet", before the first "yes"
static bool add_wall_time(ep_evidence *e, const ep_dossier *d, const ep_burn_record *b)
{
    double no_min = 0.0, yes_min = (double)INFINITY;
    int ref = -1;
    bool only_no = true;
    for (int i = 0; i < d->n_readings; i++) {
        const ep_reading *r = &d->reading[i];
        if (r->candle != b->candle || r->session != b->session || !(r->minute > 0.0)) {
            continue;
        }
        bool yes = false, no = false;
        if (r->kind == EP_READ_POOL_AT_WALL) {
            yes = r->value > 0.5;
            no = !yes;
        } else if (r->kind == EP_READ_POOL_WIDE || r->kind == EP_READ_POOL_NARROW) {
            yes = full(width_of(d, r), b);
            no = !yes && r->value > 0.0;
        }
        if (yes && r->minute < yes_min) {
            yes_min = r->minute;
            ref = i;
        } else if (no && r->minute > no_min) {
            no_min = r->minute;
            ref = ref < 0 ? i : ref;
            only_no = only_no && r->kind == EP_READ_POOL_AT_WALL;
        }
    }
    // "not yet" alone is already said by the widths where they were read
    if (ref < 0 || no_min >= yes_min || (isinf(yes_min) && !only_no)) {
        return true;
    }
    return add(e, (ep_datum){.kind = EP_DATUM_TIME,
                             .candle = b->candle,
                             .session = b->session,
                             .minute = isinf(yes_min) ? no_min : yes_min,
                             .value = 0.0,
                             .lo = no_min > 0.0 ? log(no_min / 60.0) : -(double)INFINITY,
                             .hi = isinf(yes_min) ? (double)INFINITY : log(yes_min / 60.0),
                             .sd = DEFS[EP_DATUM_TIME].sd,
                             .life = life_at(d, b),
                             .ref = ref});
}

static void settings_of(ep_evidence *e, const ep_dossier *d)
{
    double lit[512], room = 0.0;
    int n = 0, rooms = 0;
    for (int i = 0; i < d->n_burns; i++) {
        const ep_burn_record *b = &d->burn[i];
        if (b->over && b->lit_min >= 20.0 && b->lit_min >= 0.8 * b->planned_min && n < 512) {
            lit[n++] = b->lit_min * 60.0;
        }
        if (isfinite(b->room_C)) {
            room += b->room_C;
            rooms++;
        }
    }
    e->lit_s = n ? ep_quantile(lit, n, 0.5) : 0.0;
    e->room_C = rooms ? room / rooms : (double)NAN;
}

// A share of the misfit differs from reading to reading, and the readings of one kind within one
// session share most of their error: together they count as one (L1).
static void temper_sds(ep_evidence *e)
{
    for (int i = 0; i < e->n; i++) {
        ep_datum *x = &e->datum[i];
        int alike = 0;
        for (int k = 0; k < e->n; k++) {
            const ep_datum *o = &e->datum[k];
            alike += o->kind == x->kind && o->candle == x->candle && o->session == x->session;
        }
        double own = 0.7 * DEFS[x->kind].misfit_sd;
        x->sd_one = hypot(x->sd, own);
        x->sd = sqrt((double)alike) * x->sd_one;
    }
}

ep_status ep_evidence_of(const ep_dossier *d, ep_evidence *out)
{
    *out = (ep_evidence){0};
    bool ok = true;
    for (int i = 0; i < d->n_burns && ok; i++) {
        const ep_burn_record *b = &d->burn[i];
        ok = spoiled(b) || (add_rate(out, d, b) && add_wall_time(out, d, b));
    }
    for (int i = 0; i < d->n_readings && ok; i++) {
        ok = add_reading(out, d, i);
    }
    settings_of(out, d);
    temper_sds(out);
    if (!ok) {
        ep_evidence_clear(out);
        return EP_E_MEMORY;
    }
    return EP_OK;
}

void ep_evidence_clear(ep_evidence *e)
{
    free(e->datum);
    *e = (ep_evidence){0};
}

// --- predictions ---

typedef struct session_view {
    const ep_sample *first;
    int n;
    const ep_session_sum *sum;
    double start_kg;
} session_view;

static session_view view_of(const ep_trace *t, int session)
{
    session_view v = {0};
    if (session > t->n_sessions) {
        return v;
    }
    for (int i = 0; i < t->n_samples; i++) {
        const ep_sample *s = &t->sample[i];
        if (s->lit && s->session == session) {
            v.first = v.first ? v.first : s;
            v.n = (int)(s - v.first) + 1;
        }
    }
    v.sum = &t->session[session - 1];
    v.start_kg = session > 1 ? t->session[session - 2].left_frac * t->fill_kg : t->fill_kg;
    return v;
}

typedef double (*sample_value)(const ep_sample *s);
static double get_width(const ep_sample *s)
{
    return s->pool_width_m * 1e3;
}
static double get_depth(const ep_sample *s)
{
    return s->depth_mid_m * 1e3;
}
static double get_flame(const ep_sample *s)
{
    return log(fmax(s->flame_m * 1e3, 1.0));
}
static double get_wall(const ep_sample *s)
{
    return s->wall_max_C;
}
static double get_exposed(const ep_sample *s)
{
    return fmax(0.0, s->exposed_m * 1e3);
}

// between samples straight; before the first and up to a quarter of an hour after the last, that
// one
static double sample_at(const session_view *v, double minute, sample_value get)
{
    if (v->n < 1 || minute > v->first[v->n - 1].minute + 15.0) {
        return (double)NAN;
    }
    int i = 0;
    while (i + 1 < v->n && v->first[i + 1].minute < minute) {
        i++;
    }
    const ep_sample *a = &v->first[i], *b = i + 1 < v->n ? a + 1 : a;
    double span = b->minute - a->minute;
    double share = span > 0.0 ? fmin(fmax((minute - a->minute) / span, 0.0), 1.0) : 0.0;
    double x = get(a), y = get(b);
    x = isnan(x) ? 0.0 : x;
    y = isnan(y) ? x : y;
    return x + share * (y - x);
}

static double burned_rate(const session_view *v, double minute)
{
    if (v->n < 1 || v->first[v->n - 1].minute < 0.7 * minute) {
        return (double)NAN;
    }
    const ep_sample *s = &v->first[v->n - 1];
    for (int i = v->n - 1; i > 0 && v->first[i].minute > minute + 5.0; i--) {
        s = &v->first[i - 1];
    }
    double g = (v->start_kg - s->left_kg) * 1e3;
    return log(fmax(g, 0.05) / (s->minute / 60.0));
}

static double wall_time(const session_view *v)
{
    const double there = 0.985;
    double before = 0.0, at = 0.0;
    for (int i = 0; i < v->n; i++) {
        double reach = v->first[i].reach_frac;
        if (reach >= there) {
            double span = reach - before;
            double share = span > 0.0 ? (there - before) / span : 1.0;
            return log(fmax(at + share * (v->first[i].minute - at), 1.0) / 60.0);
        }
        before = reach;
        at = v->first[i].minute;
    }
    if (v->n < 1) {
        return (double)NAN;
    }
    // a pool that has stopped short needs ever longer: time grows as the cube of what is missing
    double reach = fmax(v->first[v->n - 1].reach_frac, 0.2);
    return log(v->first[v->n - 1].minute / 60.0) + 3.0 * log(there / reach);
}

// engine margins of wicks that cannot soot are infinite: clear of soot by a wide margin
static double soot_latent(const session_view *v)
{
    double mm = v->sum->soot_margin_min_m * 1e3;
    return isfinite(mm) ? fmin(fmax(mm, -40.0), 25.0) : 25.0;
}

static double out_latent(const session_view *v)
{
    if (v->sum->out == EP_OUT_DROWNED || v->sum->out == EP_OUT_STARVED) {
        return -1.0;
    }
    double least = 4.0;
    for (int i = 0; i < v->n; i++) {
        least = fmin(least, v->first[i].exposed_m * 1e3);
    }
    return fmax(least, -1.0);
}

static double predict_one(const ep_datum *d, const session_view *v, double room_C)
{
    if (!v->sum || v->n < 1) {
        return (double)NAN;
    }
    switch (d->kind) {
    case EP_DATUM_RATE:
        return burned_rate(v, d->minute);
    case EP_DATUM_WIDTH:
        return sample_at(v, d->minute, get_width);
    case EP_DATUM_DEPTH:
        return sample_at(v, d->minute, get_depth);
    case EP_DATUM_FLAME:
        return sample_at(v, d->minute, get_flame);
    case EP_DATUM_WALL:
        return sample_at(v, d->minute, get_wall) - room_C;
    case EP_DATUM_EXPOSED:
        return sample_at(v, d->minute, get_exposed);
    case EP_DATUM_TIME:
        return wall_time(v);
    case EP_DATUM_SOOT:
        return soot_latent(v);
    case EP_DATUM_MUSHROOM:
        return v->sum->cap_index;
    case EP_DATUM_OUT:
        return out_latent(v);
    case EP_DATUM_COUNT_:
        break;
    }
    return (double)NAN;
}

void ep_evidence_predict(const ep_evidence *e, const ep_trace *t, double room_C, double *f)
{
    session_view v = {0};
    int at = 0;
    for (int i = 0; i < e->n; i++) {
        if (e->datum[i].session != at) {
            at = e->datum[i].session;
            v = view_of(t, at);
        }
        f[i] = predict_one(&e->datum[i], &v, room_C);
    }
}

// --- likelihood ---

static double student(double z, double sd, double *slope, double *curvature, double *bend)
{
    const double nu = 4.0, w = (nu + 1.0) / (nu + z * z);
    *slope = w * z / sd;
    *curvature = w / (sd * sd);
    *bend = fmax(*curvature * (nu - z * z) / (nu + z * z), 0.0);
    return 0.5 * (nu + 1.0) * log1p(z * z / nu);
}

static double normal_pdf(double z)
{
    return isfinite(z) ? 0.3989422804014327 * exp(-0.5 * z * z) : 0.0;
}

// Which of the n + 1 ranges between rising cuts a normal about f falls in, with a lapse shared over
// them. The curvature is the expected one (Fisher), so that a satisfied grade still holds its
// place.
static double in_range(const double *cut, int n, int seen, double f, double sd, double *slope,
                       double *curvature)
{
    const double lapse = 0.02;
    double cost = 0.0, below = 0.0, density = 0.0;
    *curvature = 0.0;
    for (int k = 0; k <= n; k++) {
        double z = k < n ? (cut[k] - f) / sd : (double)INFINITY;
        double upto = isinf(z) ? (z > 0.0) : ep_normal_cdf(z), here = normal_pdf(z) / sd;
        double p = (1.0 - lapse) * fmax(upto - below, 0.0) + lapse / (n + 1);
        double dp = (1.0 - lapse) * (density - here);
        *curvature += dp * dp / p;
        if (k == seen) {
            cost = -log(p);
            *slope = -dp / p;
        }
        below = upto;
        density = here;
    }
    return cost;
}

// *bend is written for numbers alone: elsewhere the curvature of a step is the bell's too
static double cost_of(const ep_datum *d, double f, double *slope, double *curvature, double *bend)
{
    static const double soot_cut[3] = {0.0, 6.0, 12.0}, cap_cut[3] = {0.5, 1.5, 2.5};
    static const double out_cut[1] = {0.5};
    if (isnan(f)) {
        // a simulated candle that died before the real one: a dear miss, and no way to lean
        *slope = 0.0;
        *curvature = 0.0;
        return 4.0;
    }
    switch (d->kind) {
    case EP_DATUM_TIME: {
        const double cut[2] = {d->lo, d->hi};
        return in_range(cut, 2, 1, f, d->sd, slope, curvature);
    }
    case EP_DATUM_SOOT: {
        // the latent is a margin: less of it is a higher grade
        double cost = in_range(soot_cut, 3, (int)d->value, -f, d->sd, slope, curvature);
        *slope = -*slope;
        return cost;
    }
    case EP_DATUM_MUSHROOM:
        return in_range(cap_cut, 3, (int)d->value, f, d->sd, slope, curvature);
    case EP_DATUM_OUT:
        return in_range(out_cut, 1, d->value > 0.5 ? 0 : 1, f, d->sd, slope, curvature);
    case EP_DATUM_RATE:
    case EP_DATUM_WIDTH:
    case EP_DATUM_DEPTH:
    case EP_DATUM_FLAME:
    case EP_DATUM_WALL:
    case EP_DATUM_EXPOSED:
    case EP_DATUM_COUNT_:
        break;
    }
    return student((f - d->value) / d->sd, d->sd, slope, curvature, bend);
}

double ep_datum_cost(const ep_datum *d, double f, double *slope, double *curvature)
{
    double bend;
    return cost_of(d, f, slope, curvature, &bend);
}

double ep_datum_bend(const ep_datum *d, double f)
{
    double slope, curvature, bend = -1.0;
    cost_of(d, f, &slope, &curvature, &bend);
    return bend < 0.0 ? curvature : bend;
}
