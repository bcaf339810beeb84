// The next test. Rules N1-N7 stand in next.h.
#include "plan/next.h"

#include <assert.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { MOST_SIZES = 24 };
static const double FUTILE = 1.0 / 12.0;  // N6
static const double UNMET = 0.7;          // N5
static const double HOPE = 0.05;          // below this a wick is out of the running

const char *ep_next_key(ep_next_status s)
{
    static const char *const key[] = {"pour", "burn_on", "proven", "none"};
    return key[s];
}

static void say(ep_next *out, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
static void say(ep_next *out, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    vsnprintf(out->sentence, sizeof out->sentence, fmt, args);
    va_end(args);
}

// N2: where real verdicts leave room
static bool in_running(const ep_next_in *in, int i)
{
    for (int k = 0; k < in->n; k++) {
        const ep_next_size *s = &in->size[k];
        bool hot = s->stopped || s->verdict == EP_VERDICT_TOO_BIG;
        if ((hot && i >= k) || (s->verdict == EP_VERDICT_TOO_SMALL && i <= k)) {
            return false;
        }
    }
    const ep_next_size *s = &in->size[i];
    bool had_its_chance =
        s->verdict != EP_VERDICT_RIGHT &&
        ((s->finished_wrong > 0 && s->finished_right + s->finished_wrong >= in->need) ||
         s->candles - s->open >= 2 * in->need);
    return s->verdict != EP_VERDICT_WRONG_KIND && !had_its_chance;
}

static double hope(const ep_next_in *in, int i)
{
    return in_running(in, i) ? in->size[i].right : 0.0;
}

// share of draws in which some wick still in the running is right
static double any_right(const ep_next_in *in)
{
    double most = 0.0;
    int found = 0;
    for (int i = 0; i < in->n; i++) {
        most = fmax(most, hope(in, i));
    }
    for (int m = 0; m < in->members && in->kind; m++) {
        bool one = false;
        for (int i = 0; i < in->n; i++) {
            one = one || (in_running(in, i) && in->kind[m * in->n + i] == EP_VERDICT_RIGHT);
        }
        found += one;
    }
    return in->kind ? (double)found / in->members : most;
}

static int likeliest(const ep_next_in *in)
{
    int best = -1;
    for (int i = 0; i < in->n; i++) {
        // a tie goes to the smaller, cooler wick
        if (in_running(in, i) && (best < 0 || hope(in, i) > hope(in, best) + 1e-9)) {
            best = i;
        }
    }
    return best;
}

static void add_pick(const ep_next_in *in, ep_next *out, int size, int candles, const char *why)
{
    const ep_next_size *s = &in->size[size];
    out->pick[out->n].size = size;
    snprintf(out->pick[out->n].reason, sizeof out->pick[out->n].reason,
             "%s (%.0f %% right, %.0f %% too small, %.0f %% too hot)", why, 100.0 * s->right,
             100.0 * s->small, 100.0 * s->hot);
    out->candles[out->n++] = candles;
    out->total_candles += candles;
}

static int missing(const ep_next_in *in, int i)
{
    const ep_next_size *s = &in->size[i];
    int left = in->need - s->finished_right - s->open;
    return left > 0 ? left : 0;
}

// Expected cost, in candles, of reaching a proof when k candles of a wick that is right with chance
// p are poured now and m are missing. If it is wrong one candle would have shown it as well as k,
// and the search starts again with the next wick.
static double cost_of(const ep_next_in *in, double p, int k, int m, double *candles, double *days)
{
    const double round_days = in->cure_days + in->burn_days;
    const double again_candles = in->need + 0.5, again_days = 1.3 * round_days;
    double more = m > k ? 1.0 : 0.0;  // a second round even when right
    *candles = k + p * (m - k) + (1.0 - p) * again_candles;
    *days = round_days + p * more * round_days + (1.0 - p) * again_days;
    return *candles + in->day_cost * *days;
}

static void plan_pour(const ep_next_in *in, int best, ep_next *out)
{
    // before any burn the odds are the engine's alone, which has not met this workshop yet
    const double p = hope(in, best) * (in->burned_sessions > 0 ? 1.0 : UNMET);
    int m = missing(in, best), choice = m > 0 ? m : 1;
    double least = (double)INFINITY;
    for (int k = 1; k <= (m > 0 ? m : 1) && k <= 5; k++) {
        double candles, days, cost = cost_of(in, p, k, m, &candles, &days);
        if (cost < least - 1e-9) {
            least = cost;
            choice = k;
            out->expected_candles = candles;
            out->expected_days = days;
        }
    }
    out->status = EP_NEXT_POUR;
    add_pick(in, out, best, choice, "likeliest to be right");
    out->covered = p;
    out->chance_wrong = 1.0 - p;
    say(out,
        "Pour %d of %s: %.0f %% likely right%s. Expect about %.0f candles and "
        "%.0f days from here to a proof.",
        choice, in->size_name[best], 100.0 * p,
        in->burned_sessions > 0 ? " after all burns so far" : " before any burn",
        ceil(out->expected_candles - 0.25), out->expected_days);
}

static bool proven(const ep_next_in *in, ep_next *out)
{
    for (int i = 0; i < in->n; i++) {
        const ep_next_size *s = &in->size[i];
        if (s->verdict != EP_VERDICT_RIGHT || !in_running(in, i)) {
            continue;
        }
        out->status = EP_NEXT_PROVEN;
        out->pick[0].size = i;
        out->n = 1;
        snprintf(out->pick[0].reason, sizeof out->pick[0].reason,
                 "%d candles burned to the end with nothing against them", s->finished_right);
        // the judge's candles count as passes of a wick the draws already believed in by `right`:
        // each pass halves the doubt that is left, about what a wrong wick passes by luck
        double prior_wrong = fmin(fmax(1.0 - s->right, 0.01), 0.99);
        double odds_wrong = prior_wrong / (1.0 - prior_wrong) * pow(0.5, s->finished_right);
        out->chance_wrong = odds_wrong / (1.0 + odds_wrong);
        out->covered = 1.0 - out->chance_wrong;
        say(out,
            "%s is proven by %d candles; the chance that it is not the right wick after all is "
            "about "
            "%.0f %%.",
            in->size_name[i], s->finished_right, ceil(100.0 * out->chance_wrong));
        return true;
    }
    return false;
}

// N3
static bool burn_on(const ep_next_in *in, ep_next *out)
{
    int most = -1;
    for (int i = 0; i < in->n; i++) {
        bool alive = in->size[i].open > 0 && in_running(in, i) && hope(in, i) >= HOPE;
        if (alive && (most < 0 || hope(in, i) > hope(in, most))) {
            most = i;
        }
    }
    if (most < 0) {
        return false;
    }
    out->status = EP_NEXT_BURN_ON;
    for (int i = 0; i < in->n && out->n < EP_PLAN_MAX; i++) {
        if (in->size[i].open > 0 && in_running(in, i) && hope(in, i) >= HOPE) {
            add_pick(in, out, i, in->size[i].open, "burn these on");
        }
    }
    out->total_candles = 0;
    out->covered = hope(in, most);
    out->chance_wrong = 1.0 - out->covered;
    out->expected_days = in->burn_days;
    say(out, "Burn the candles of %s on before pouring more: it is %.0f %% likely right.",
        in->size_name[most], 100.0 * hope(in, most));
    return true;
}

// N6: which way it fails says what to change
static void none_fits(const ep_next_in *in, double any, ep_next *out)
{
    double small = 0.0, hot = 0.0;
    for (int i = 0; i < in->n; i++) {
        small += in->size[i].small / in->n;
        hot += in->size[i].hot / in->n;
    }
    const char *why = "between too small and too hot there is no room left: another construction, "
                      "two wicks, or another jar";
    if (in->size[in->n - 1].small > 0.6) {
        why = "even the largest is too small: a series with larger sizes, or two wicks";
    } else if (in->size[0].hot > 0.6) {
        why = "even the smallest is too hot: a series with smaller sizes";
    }
    out->status = EP_NEXT_NONE;
    // single candles stand behind some of these verdicts: never surer than nineteen in twenty
    any = fmax(any, 0.05);
    out->covered = any;
    out->chance_wrong = any;
    say(out,
        "No size of this series fits (%.0f %% sure), because %s. On average its sizes are %.0f %% "
        "too "
        "small and %.0f %% too hot.",
        100.0 * (1.0 - any), why, 100.0 * small, 100.0 * hot);
}

void ep_plan_next(const ep_next_in *in, ep_next *out)
{
    assert(in->n >= 1 && in->n <= MOST_SIZES);
    *out = (ep_next){0};
    if (proven(in, out) || burn_on(in, out)) {
        return;
    }
    double any = any_right(in);
    int best = likeliest(in);
    if (best < 0 || (in->burned_sessions > 0 && any < FUTILE)) {
        none_fits(in, best < 0 ? 0.0 : any, out);
    } else if (in->scatter_sd > EP_NEXT_SCATTER_MAX && in->burned_sessions >= 6) {
        out->status = EP_NEXT_NONE;
        out->chance_wrong = any;
        say(out,
            "These candles differ too much from each other to choose a size (%.0f %% in burn "
            "rate): "
            "look at the pour first: temperature, wick centring, stirring, then test again.",
            100.0 * in->scatter_sd);
    } else {
        plan_pour(in, best, out);
    }
}
