// The next test. Rules N1-N7 stand in next.h.
#include "plan/next.h"

#include <assert.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "plan/ahead.h"

static const double FUTILE = 1.0 / 12.0;  // N6
static const double HOPE = 0.05;          // below this a wick is out of the running
static const double WORTH_SAYING = 0.10;  // a share of draws
static const double LIKELY_SOME = 0.15;  // right in fewer draws, a wick is poured for what it shows

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

bool ep_next_hot(const ep_next_size *s)
{
    return s->stopped || s->verdict == EP_VERDICT_TOO_BIG;
}

int ep_next_ruled_out(const ep_next_size *size, int n, int i, bool *hot)
{
    for (int away = 0; away < n; away++) {
        *hot = i - away >= 0 && ep_next_hot(&size[i - away]);
        if (*hot) {
            return i - away;
        }
        if (i + away < n && size[i + away].verdict == EP_VERDICT_TOO_SMALL) {
            return i + away;
        }
    }
    return -1;
}

// N2: where real verdicts leave room
static bool in_running(const ep_next_in *in, int i)
{
    bool hot;
    if (ep_next_ruled_out(in->size, in->n, i, &hot) >= 0) {
        return false;
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

// Share of draws in which some wick still in the running is right; 95 % upper bound of it by the
// rule of three (Hanley and Lippman-Hand 1983, JAMA 249, 1743), a little wide when some are.
static double any_right(const ep_next_in *in, double *most_likely)
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
    *most_likely = in->kind ? (double)found / in->members : most;
    // several readings of one candle burned are no more candles
    const int burned = in->burned > 0 ? in->burned : in->members;
    return in->kind ? fmin((double)found / in->members + 3.0 / burned, 1.0) : most;
}

// of the draws, in which this is the verdict on a size; where only shares are known, of them
static double share_of(const ep_next_in *in, int i, ep_verdict_kind kind)
{
    const ep_next_size *s = &in->size[i];
    int n = 0;
    for (int m = 0; m < in->members && in->kind; m++) {
        n += in->kind[m * in->n + i] == kind;
    }
    return in->kind                       ? (double)n / in->members
           : kind == EP_VERDICT_RIGHT     ? s->right
           : kind == EP_VERDICT_TOO_SMALL ? s->small
           : kind == EP_VERDICT_TOO_BIG   ? s->hot
                                          : 1.0 - s->right - s->small - s->hot;
}

// what is neither right nor too small nor too hot: smoke, flicker, a flame that drowns
static const char *wrong_kind(const ep_next_in *in, int i, char *text, size_t size)
{
    const double share = share_of(in, i, EP_VERDICT_WRONG_KIND);
    text[0] = '\0';
    if (share >= WORTH_SAYING) {
        snprintf(text, size, ", %.0f %% the wrong kind", 100.0 * share);
    }
    return text;
}

static void add_pick(const ep_next_in *in, ep_next *out, int size, int candles, const char *why)
{
    char rest[40];
    out->pick[out->n].size = size;
    snprintf(out->pick[out->n].reason, sizeof out->pick[out->n].reason,
             "%s (%.0f %% right, %.0f %% too small, %.0f %% too hot%s)", why,
             100.0 * share_of(in, size, EP_VERDICT_RIGHT),
             100.0 * share_of(in, size, EP_VERDICT_TOO_SMALL),
             100.0 * share_of(in, size, EP_VERDICT_TOO_BIG),
             wrong_kind(in, size, rest, sizeof rest));
    out->candles[out->n++] = candles;
    out->total_candles += candles;
}

static void by_size(ep_ahead *s)
{
    for (int i = 1; i < s->n; i++) {
        for (int k = i; k > 0 && s->size[k] < s->size[k - 1]; k--) {
            int size = s->size[k], candles = s->candles[k];
            s->size[k] = s->size[k - 1];
            s->candles[k] = s->candles[k - 1];
            s->size[k - 1] = size;
            s->candles[k - 1] = candles;
        }
    }
}

static const char *why_pour(const ep_next_in *in, int size)
{
    return in->size[size].finished_right > 0                     ? "towards its proof"
           : share_of(in, size, EP_VERDICT_RIGHT) >= LIKELY_SOME ? "may be right"
                                                                 : "shows which way to go";
}

static void plan_pour(const ep_next_in *in, const bool *running, ep_next *out)
{
    ep_ahead a;
    char set[200] = "";
    ep_ahead_choose(in, running, &a);
    by_size(&a);
    out->status = EP_NEXT_POUR;
    for (int i = 0; i < a.n; i++) {
        add_pick(in, out, a.size[i], a.candles[i], why_pour(in, a.size[i]));
        size_t used = strlen(set);
        snprintf(set + used, sizeof set - used, "%s%d of %s",
                 i == 0           ? ""
                 : (i + 1 == a.n) ? " and "
                                  : ", ",
                 a.candles[i], in->size_name[a.size[i]]);
    }
    out->covered = a.covered;
    out->chance_wrong = 1.0 - a.covered;
    out->expected_candles = a.expected_candles;
    out->expected_days = a.expected_days;
    if (in->burned_sessions == 0 && !(a.covered > 0.0)) {
        say(out,
            "No size of this series looks right. Pour %s: there too small turns into too hot, so "
            "it shows which way to go (another series, jar or wax may be the answer).",
            set);
        return;
    }
    say(out,
        "Pour %s: %.0f %% that %s is right%s. Expect about %.0f candles and "
        "%.0f days from here to a proof.",
        set, 100.0 * a.covered, a.n > 1 ? "one of them" : "it",
        in->burned_sessions > 0 ? " after all burns so far" : " before any burn",
        ceil(a.expected_candles - 0.25), a.expected_days);
}

// The judge's candles count as passes of a wick the draws already believed in by `right`: each
// halves the doubt that is left, about what a wrong wick near the edge passes by luck.
static double doubt_of(const ep_next_size *s)
{
    double prior = fmin(fmax(1.0 - s->right, 0.01), 0.99);
    double odds = prior / (1.0 - prior) * pow(0.5, s->finished_right);
    return odds / (1.0 + odds);
}

// N1
static bool proven(const ep_next_in *in, ep_next *out)
{
    int best = -1;
    for (int i = 0; i < in->n; i++) {
        const ep_next_size *s = &in->size[i];
        bool enough = s->finished_right >= in->need || doubt_of(s) <= EP_NEXT_WRONG_MAX;
        if (s->verdict == EP_VERDICT_RIGHT && in_running(in, i) && enough &&
            (best < 0 || doubt_of(s) < doubt_of(&in->size[best]))) {
            best = i;
        }
    }
    if (best < 0) {
        return false;
    }
    const ep_next_size *s = &in->size[best];
    const char *plural = s->finished_right == 1 ? "" : "s";
    out->status = EP_NEXT_PROVEN;
    out->pick[0].size = best;
    out->n = 1;
    snprintf(out->pick[0].reason, sizeof out->pick[0].reason,
             "%d candle%s burned to the end with nothing against %s", s->finished_right, plural,
             s->finished_right == 1 ? "it" : "them");
    out->chance_wrong = doubt_of(s);
    out->covered = 1.0 - out->chance_wrong;
    say(out,
        "%s is proven by %d candle%s; the chance that it is not the right wick after all is "
        "about %.0f %%.",
        in->size_name[best], s->finished_right, plural, ceil(100.0 * out->chance_wrong));
    return true;
}

// the likeliest wick with candles to burn on that is not among the picks; -1 = none
static int likeliest_open(const ep_next_in *in, const ep_next *out)
{
    int most = -1;
    for (int i = 0; i < in->n; i++) {
        bool alive = in->size[i].open > 0 && in_running(in, i) && hope(in, i) >= HOPE;
        for (int k = 0; k < out->n; k++) {
            alive = alive && out->pick[k].size != i;
        }
        if (alive && (most < 0 || hope(in, i) > hope(in, most))) {
            most = i;
        }
    }
    return most;
}

// N3
static bool burn_on(const ep_next_in *in, ep_next *out)
{
    const int most = likeliest_open(in, out);
    if (most < 0) {
        return false;
    }
    out->status = EP_NEXT_BURN_ON;
    for (int i = most; i >= 0 && out->n < EP_PLAN_MAX; i = likeliest_open(in, out)) {
        add_pick(in, out, i, in->size[i].open, "burn these on");
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

// A wick with a candle under way that hardly looks right gets no second one before the first has
// told its story, unless there is nothing else to try.
static void leave_lit_ones(const ep_next_in *in, bool *running)
{
    bool other = false;
    for (int i = 0; i < in->n; i++) {
        other = other || (running[i] && !(in->size[i].open > 0 && hope(in, i) < HOPE));
    }
    for (int i = 0; i < in->n && other; i++) {
        running[i] = running[i] && !(in->size[i].open > 0 && hope(in, i) < HOPE);
    }
}

void ep_plan_next(const ep_next_in *in, ep_next *out)
{
    assert(in->n >= 1 && in->n <= EP_MAX_SIZES);
    *out = (ep_next){0};
    if (proven(in, out) || burn_on(in, out)) {
        return;
    }
    double any = 0.0;
    const double at_most = any_right(in, &any);
    bool running[EP_MAX_SIZES], some = false;
    for (int i = 0; i < in->n; i++) {
        running[i] = in_running(in, i);
        some = some || running[i];
    }
    leave_lit_ones(in, running);
    if (!some || (in->burned_sessions > 0 && at_most < FUTILE)) {
        none_fits(in, some ? any : 0.0, out);
    } else if (in->scatter_sd > EP_NEXT_SCATTER_MAX && in->burned_sessions >= 6) {
        out->status = EP_NEXT_NONE;
        out->chance_wrong = any;
        say(out,
            "These candles differ too much from each other to choose a size (%.0f %% in burn "
            "rate): "
            "look at the pour first: temperature, wick centring, stirring, then test again.",
            100.0 * in->scatter_sd);
    } else {
        plan_pour(in, running, out);
    }
}
