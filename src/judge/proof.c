// J30 to J32: what has been judged to the end, by what margin, on how many candles; and the
// sentence that says what this cannot prove.
#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>

#include "judge/judge_int.h"

static const char *const hot_name[EP_HOT_COUNT_] = {
    [EP_HOT_FLAME] = "flame", [EP_HOT_WALL] = "container", [EP_HOT_DEPTH] = "pool depth"};
static const char *const hot_unit[EP_HOT_COUNT_] = {
    [EP_HOT_FLAME] = "mm", [EP_HOT_WALL] = "C", [EP_HOT_DEPTH] = "mm"};

// No failure among n: the share p that could still fail has (1 - p)^n >= 0.05. This is the upper
// end of the one-sided 95 % interval of Clopper and Pearson (1934) at zero failures.
double ep_zero_failure_bound(int n)
{
    return n > 0 ? 1.0 - pow(0.05, 1.0 / n) : EP_NAN;
}

// Distribution function of Student's t, whole degrees of freedom: Abramowitz & Stegun (1964) 26.7.3
// and 26.7.4.
double ep_student_cdf(double t, int nu)
{
    const double theta = atan(t / sqrt((double)nu)), c2 = cos(theta) * cos(theta);
    double term = nu % 2 ? cos(theta) : 1.0, sum = nu > 1 ? term : 0.0;
    for (int k = nu % 2 ? 3 : 2; k <= nu - 2; k += 2) {
        term *= c2 * (k - 1) / k;
        sum += term;
    }
    const double half_pi = 1.5707963267948966;
    double within = nu % 2 ? (theta + sin(theta) * sum) / half_pi : sin(theta) * sum;
    return 0.5 * (1.0 + within);
}

// What candles of one make differ by in their hottest reading of the last quarter before any was
// seen, and how many candles that belief is worth: ours. 4.5 % of burn rate (docs/learning.md), and
// the reading.
enum { SCATTER_WORTH = 4 };
static double usual_sd(int quantity, double mean)
{
    return quantity == EP_HOT_FLAME ? 0.10 * mean : (quantity == EP_HOT_WALL ? 2.5 : 1.2);
}

// The next candle as foretold by those seen: normal with unknown mean and spread, nothing known of
// the mean, a scaled inverse chi-square on the spread (Gelman et al., Bayesian Data Analysis,
// section 3.3, from memory).
static double next_passes(const ep_spread *s, int quantity, double limit)
{
    const int nu = SCATTER_WORTH + s->n - 1;
    const double usual = usual_sd(quantity, s->mean);
    double sd = sqrt((SCATTER_WORTH * usual * usual + s->m2) / nu);
    return 1.0 - ep_student_cdf((limit - s->mean) / (sd * sqrt(1.0 + 1.0 / s->n)), nu);
}

static bool warned(const ep_work *w)
{
    static const int heat[] = {EP_J14, EP_J15, EP_J18, EP_J21, EP_J22, EP_J23};
    for (int i = 0; i < w->v->n_findings; i++) {
        for (size_t k = 0; k < sizeof heat / sizeof *heat; k++) {
            const ep_finding *f = &w->v->finding[i];
            if (f->requirement == heat[k] && f->weight >= EP_WARN) {
                return true;
            }
        }
    }
    return false;
}

// J31: clear of every hot limit by more than candles differ, and of the ring on the cold side
static bool wide(const ep_work *w)
{
    const double most = ep_limit_frac(w, EP_LIMIT_NEXT_PASSES);
    if (w->t.late_full || warned(w)) {
        return false;
    }
    for (int q = 0; q < EP_HOT_COUNT_; q++) {
        const ep_spread *s = &w->t.spread[q];
        bool needed = q != EP_HOT_DEPTH || !w->d->tea_light;
        if (needed && !(s->n >= w->t.right && next_passes(s, q, ep_hot_limit(w, q)) <= most)) {
            return false;
        }
    }
    return true;
}

int ep_min_candles(const ep_work *w)
{
    if (w->d->simulated) {
        return 1;  // a second run of the same equations is not a second candle
    }
    int usual = (int)ceil(ep_limit_value(w, EP_LIMIT_MIN_CANDLES));
    int least = (int)ceil(ep_limit_value(w, EP_LIMIT_MIN_CANDLES_WIDE));
    return least >= 1 && least < usual && (w->t.right == 0 || wide(w)) ? least : usual;
}

double ep_hot_limit(const ep_work *w, int quantity)
{
    switch (quantity) {
    case EP_HOT_FLAME:
        return ep_limit_value(w, w->d->tea_light ? EP_LIMIT_FLAME_TEA : EP_LIMIT_FLAME);
    case EP_HOT_WALL:
        return ep_limit_value(w, EP_LIMIT_WALL_STOP);
    default:
        return ep_limit_value(w, EP_LIMIT_DEPTH);
    }
}

ep_seen ep_hot_seen(const ep_work *w, const ep_burn_facts *f, int quantity)
{
    switch (quantity) {
    case EP_HOT_FLAME:
        return f->high[EP_READ_FLAME];
    case EP_HOT_WALL:
        return ep_outside_seen(w, f);
    default:
        return w->d->tea_light ? ep_seen_none() : f->depth;
    }
}

// read late in what was burned: the last session may be shorter than planned
static bool read_late(const ep_work *w, const ep_burn_facts *f, ep_seen last)
{
    double late_min = ep_limit_frac(w, EP_LIMIT_LATE) * fmin(f->planned_min, f->rec->lit_min);
    return ep_seen_any(last) && last.minute >= late_min - 1e-9;
}

// J19: the ring of a session put out early, after one that ended wall to wall, would have melted
static bool ring_of_short_session(const ep_work *w, const ep_candle_facts *c,
                                  const ep_burn_facts *f, ep_seen ring)
{
    return ring.minute < ep_late_minute(w, f) - 1e-9 && c->pool == EP_POOL_FULL;
}

static void take_ring(const ep_work *w, const ep_candle_facts *c, const ep_burn_facts *f,
                      ep_reading_kind kind, ep_seen *kept)
{
    const ep_seen ring = f->last[kind];
    if (ep_seen_any(ring) && !ring_of_short_session(w, c, f, ring)) {
        *kept = ring;
    }
}

void ep_proof_session(const ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    for (int q = 0; q < EP_HOT_COUNT_ && f->last_quarter && !f->excuse; q++) {
        ep_seen s = ep_hot_seen(w, f, q);
        c->hottest[q] = ep_seen_above(w->d, s, c->hottest[q]) ? s : c->hottest[q];
    }
    if (!f->counts || !f->last_quarter) {
        return;
    }
    bool wall =
        read_late(w, f, f->last[EP_READ_WALL_TEMP]) || read_late(w, f, f->last[EP_READ_RIM_TEMP]);
    c->quarter = true;
    c->quarter_pool = c->quarter_pool || (f->pool != EP_POOL_UNREAD && !f->may_close);
    c->quarter_full = c->quarter_full || f->pool == EP_POOL_FULL;
    c->quarter_flame = c->quarter_flame || read_late(w, f, f->last[EP_READ_FLAME]);
    c->quarter_wall = c->quarter_wall || wall;
    c->quarter_soot = c->quarter_soot || ep_seen_any(f->high[EP_READ_SOOT]) ||
                      ep_seen_any(f->high[EP_READ_SMOKE]);
    take_ring(w, c, f, EP_READ_HANGUP_THICK, &c->hang_thick);
    take_ring(w, c, f, EP_READ_HANGUP_SHARE, &c->hang_share);
}

static bool quarter_complete(const ep_candle_facts *c)
{
    return c->quarter && c->quarter_pool && c->quarter_flame && c->quarter_wall;
}

static void spread_add(const ep_work *w, ep_spread *s, ep_seen seen)
{
    if (!ep_seen_any(seen)) {
        return;
    }
    s->n++;
    double step = seen.value - s->mean;
    s->mean += step / s->n;
    s->m2 += step * (seen.value - s->mean);
    s->worst = ep_seen_above(w->d, seen, s->worst) ? seen : s->worst;
}

// J30
static void note_quarter(ep_work *w, const ep_candle_facts *c)
{
    ep_burn_facts at = {.candle = c->candle};
    const char *code = ep_code_of(w, c->candle);
    if (!c->finished) {
        ep_finding find = ep_finding_at(w, EP_J30, EP_NOTE, &at, ep_seen_none(),
                                        ep_limit_value(w, EP_LIMIT_LAST_QUARTER), EP_U_FRAC);
        find.value = c->end_left_frac;
        ep_find(w, find, 0.0, "%s: the last quarter of the wax is still to be judged", code);
        return;
    }
    const char *lacks = !c->quarter         ? "no session there counts"
                        : !c->quarter_pool  ? "no pool width was read at the end of a session"
                        : !c->quarter_flame ? "no flame height was read late in a session"
                                            : "no outside temperature was read late in a session";
    ep_find(w, ep_finding_at(w, EP_J30, EP_WARN, &at, ep_seen_none(), EP_NAN, EP_U_NONE), 1.0,
            "%s is burned to the end but its last quarter proves nothing: %s", code, lacks);
}

void ep_proof_candle(ep_work *w, ep_candle_facts *c)
{
    ep_tally *t = &w->t;
    t->burned += c->n_burns > 0;
    t->uncured += c->uncured;
    t->late_full = t->late_full || (c->n_burns > 0 && !c->early_full);
    t->uncured_wrong += c->uncured && c->against;
    for (int q = 0; q < EP_HOT_COUNT_; q++) {
        spread_add(w, &t->spread[q], c->hottest[q]);
    }
    if (c->against) {
        t->wrong++;
        return;
    }
    if (c->n_burns == 0 || c->uncured || c->excused_stop || (c->excused_mild && c->finished)) {
        return;
    }
    if (c->finished && quarter_complete(c)) {
        t->right++;
        if (!c->quarter_soot) {
            ep_burn_facts at = {.candle = c->candle};
            ep_find(w, ep_finding_at(w, EP_J22, EP_NOTE, &at, ep_seen_none(), EP_NAN, EP_U_NONE),
                    0.0, "%s: neither soot nor smoke was noted in the last quarter",
                    ep_code_of(w, c->candle));
        }
        return;
    }
    t->pending += !c->finished;
    note_quarter(w, c);
}

static double spread_sd(const ep_spread *s)
{
    return s->n > 1 ? sqrt(s->m2 / (s->n - 1)) : EP_NAN;
}

// J32: the least margin over the last quarter, and whether it stands clear of the scatter
void ep_proof_margin(ep_work *w)
{
    ep_tally *t = &w->t;
    ep_verdict *v = w->v;
    t->worst_quantity = -1;
    for (int q = 0; q < EP_HOT_COUNT_; q++) {
        ep_spread *s = &t->spread[q];
        s->limit = ep_hot_limit(w, q);
        double margin = (s->limit - s->worst.value) / s->limit;
        if (s->n > 0 && s->limit > 0.0 && !(margin >= v->worst_margin)) {
            v->worst_margin = margin;
            t->worst_quantity = q;
        }
    }
    if (t->worst_quantity < 0 || v->worst_margin < 0.0 || t->right == 0) {
        return;
    }
    const ep_spread *s = &t->spread[t->worst_quantity];
    const char *name = hot_name[t->worst_quantity], *unit = hot_unit[t->worst_quantity];
    double sd = spread_sd(s), times = ep_limit_value(w, EP_LIMIT_MARGIN_SDS);
    bool within_scatter = s->limit - s->worst.value < times * sd;
    if (!within_scatter && v->worst_margin >= ep_limit_frac(w, EP_LIMIT_MARGIN_MIN)) {
        return;
    }
    t->thin_margin = true;
    ep_unit u = t->worst_quantity == EP_HOT_WALL ? EP_U_DEG_C : EP_U_MM;
    ep_finding find = ep_finding_at(w, EP_J32, EP_WARN, NULL, s->worst, s->limit, u);
    if (within_scatter) {
        ep_find(w, find, 0.0,
                "%s within %.3g %s of its limit in the last quarter, and candles "
                "scatter by %.2g %s: the next one may pass it",
                name, s->limit - s->worst.value, unit, sd, unit);
    } else {
        ep_find(w, find, 0.0, "%s %.3g %s in the last quarter, only %.1f %% below its limit", name,
                s->worst.value, unit, v->worst_margin * 100.0);
    }
}

// "least margin in the last quarter 12 % (container 68 C of 77 C), ..."; the margin leads
static void margin_words(const ep_work *w, char *buf, size_t cap)
{
    int q = w->t.worst_quantity;
    if (q < 0) {
        snprintf(buf, cap,
                 "no margin known: no flame, depth or temperature was read in the last quarter");
        return;
    }
    const ep_spread *s = &w->t.spread[q];
    double margin_pct = w->v->worst_margin * 100.0;
    char scatter[64] = ", scatter between candles unknown";
    if (w->d->simulated) {
        scatter[0] = '\0';
    } else if (s->n > 1) {
        snprintf(scatter, sizeof scatter, ", candles scatter by %.2g %s", spread_sd(s),
                 hot_unit[q]);
    }
    if (margin_pct < 0.0) {
        snprintf(buf, cap, "limit passed by %.3g %% in the last quarter (%s %.3g of %.3g %s)%s",
                 -margin_pct, hot_name[q], s->worst.value, s->limit, hot_unit[q], scatter);
    } else {
        snprintf(buf, cap, "least margin in the last quarter %.3g %% (%s %.3g of %.3g %s)%s",
                 margin_pct, hot_name[q], s->worst.value, s->limit, hot_unit[q], scatter);
    }
}

static void say(ep_verdict *v, const char *fmt, ...) __attribute__((format(printf, 2, 3)));

static void say(ep_verdict *v, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    vsnprintf(v->proof, sizeof v->proof, fmt, args);
    va_end(args);
}

void ep_proof_sentence(ep_work *w)
{
    ep_verdict *v = w->v;
    char margin[160];
    margin_words(w, margin, sizeof margin);
    bool clean = v->candles_wrong == 0 && !v->stop_now && !w->t.glow_long;
    if (clean && v->candles_right > 0 && !w->d->simulated) {
        v->failure_bound_frac = ep_zero_failure_bound(v->candles_right);
    }
    if (w->d->simulated) {
        say(v, "Forecast, not a test: %s. It says nothing of how one candle differs from the next.",
            margin);
        return;
    }
    margin[0] = (char)toupper((unsigned char)margin[0]);
    if (v->candles_wrong > 0) {
        say(v, "%s; %d of %d candles failed, so no bound on failures can be given.", margin,
            v->candles_wrong, w->d->n_candles);
    } else if (!clean) {
        say(v, "%s; a %s stands, so no bound on failures can be given.", margin,
            v->stop_now ? "stop" : "failed requirement");
    } else if (v->candles_right == 0) {
        say(v, "%s; 0 of %d candles judged to the end: nothing is proven yet.", margin,
            ep_min_candles(w));
    } else {
        say(v,
            "%s; %d of %d judged to the end, none failed: up to %.0f %% of such candles could "
            "still "
            "fail (95 %% confidence).",
            margin, v->candles_right, v->candles_right, v->failure_bound_frac * 100.0);
    }
}
