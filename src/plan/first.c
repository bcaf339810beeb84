// The first set of test candles. Rules P1-P3 in docs/planning.md.
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "plan/plan.h"

static double right(const ep_wick_odds *o)
{
    return o->verdict[EP_VERDICT_RIGHT];
}

static double small(const ep_wick_odds *o)
{
    return o->verdict[EP_VERDICT_TOO_SMALL];
}

// P1: the likeliest; a tie goes to the smaller, cooler wick
static int likeliest(const ep_wick_odds *odds, int n)
{
    int best = 0;
    for (int i = 1; i < n; i++) {
        best = right(&odds[i]) > right(&odds[best]) + 1e-9 ? i : best;
    }
    if (right(&odds[best]) > 0.0) {
        return best;
    }
    // nothing is likely right: start where too small turns into too hot
    double nearest = 2.0;
    for (int i = 0; i < n; i++) {
        double gap = fabs(small(&odds[i]) - odds[i].hot);
        if (gap < nearest - 1e-9) {
            nearest = gap;
            best = i;
        }
    }
    return best;
}

static bool holds(const ep_plan *p, int size)
{
    for (int i = 0; i < p->n; i++) {
        if (p->pick[i].size == size) {
            return true;
        }
    }
    return false;
}

static void pick(ep_plan *p, int size, const char *fmt, ...) __attribute__((format(printf, 3, 4)));
static void pick(ep_plan *p, int size, const char *fmt, ...)
{
    p->pick[p->n].size = size;
    va_list args;
    va_start(args, fmt);
    vsnprintf(p->pick[p->n].reason, sizeof p->pick[p->n].reason, fmt, args);
    va_end(args);
    p->n++;
}

// the likelier neighbour of the sizes held so far; -1 when the series ends on both sides
static int next_neighbour(const ep_wick_odds *odds, int n, const ep_plan *p)
{
    int lo = n, hi = -1;
    for (int i = 0; i < p->n; i++) {
        lo = p->pick[i].size < lo ? p->pick[i].size : lo;
        hi = p->pick[i].size > hi ? p->pick[i].size : hi;
    }
    bool down = lo > 0, up = hi + 1 < n;
    if (!down && !up) {
        return -1;
    }
    if (down && up) {
        // with equal odds go to the side the likeliest size errs on
        double gap = right(&odds[hi + 1]) - right(&odds[lo - 1]);
        if (fabs(gap) < 1e-9) {
            return small(&odds[p->pick[0].size]) > odds[p->pick[0].size].hot ? hi + 1 : lo - 1;
        }
        return gap > 0.0 ? hi + 1 : lo - 1;
    }
    return down ? lo - 1 : hi + 1;
}

// members share their draw of materials, but only shares are known here: the union is bounded by
// the sum, and by 1
static double coverage(const ep_wick_odds *odds, const ep_plan *p)
{
    double sum = 0.0;
    for (int i = 0; i < p->n; i++) {
        sum += right(&odds[p->pick[i].size]);
    }
    return fmin(sum, 1.0);
}

static void sort_by_size(ep_plan *p)
{
    for (int i = 1; i < p->n; i++) {
        for (int k = i; k > 0 && p->pick[k].size < p->pick[k - 1].size; k--) {
            ep_plan_pick swap = p->pick[k];
            p->pick[k] = p->pick[k - 1];
            p->pick[k - 1] = swap;
        }
    }
}

static void count_cost(const ep_wick_odds *odds, const ep_plan_opts *opts, ep_plan *p)
{
    double sessions = 0.0;
    for (int i = 0; i < p->n; i++) {
        sessions = fmax(sessions, odds[p->pick[i].size].sessions_p50);
    }
    p->candles_each = opts->candles_each;
    p->candles = p->n * opts->candles_each;
    p->cure_s = opts->cure_s;
    p->burn_days = ceil(sessions);
    p->days = ceil(opts->cure_s / 86400.0) + p->burn_days;
    // the set burns side by side, one session a day
    p->bench_h = p->burn_days * opts->session_s / 3600.0;
}

static void write_sentence(const ep_wick_odds *odds, const ep_plan_opts *opts, ep_plan *p)
{
    char names[160] = "";
    for (int i = 0; i < p->n; i++) {
        size_t used = strlen(names);
        const char *join = i == 0 ? "" : (i + 1 == p->n ? " and " : ", ");
        snprintf(names + used, sizeof names - used, "%s%s", join, opts->size_name[p->pick[i].size]);
    }
    double worst = 0.0;
    for (int i = 0; i < p->n; i++) {
        worst = fmax(worst, right(&odds[p->pick[i].size]));
    }
    if (!(worst > 0.0)) {
        snprintf(
            p->sentence, sizeof p->sentence,
            "No size of this series looks right; %s lie where too small turns into too hot, so "
            "pouring them shows which way to go (another series, another jar or another wax may "
            "be the answer).",
            names);
        return;
    }
    snprintf(
        p->sentence, sizeof p->sentence,
        "Pour %s first: the chances that each is right add up to %.0f %%, and burning them side "
        "by side shows which way to move if none is.",
        names, 100.0 * p->covered);
}

void ep_plan_first(const ep_wick_odds *odds, int n, const ep_plan_opts *opts, ep_plan *out)
{
    ep_plan p = {0};
    int best = likeliest(odds, n);
    pick(&p, best, "likeliest to be right (%.0f %%)", 100.0 * right(&odds[best]));
    // P2: always a neighbour, so that a trend can be seen; P3: a third while much is open
    while (p.n < EP_PLAN_MAX && (p.n < 2 || coverage(odds, &p) < 0.75)) {
        int next = next_neighbour(odds, n, &p);
        if (next < 0 || holds(&p, next)) {
            break;
        }
        const char *side = next < best ? "smaller" : "larger";
        pick(&p, next, "the next %s size (%.0f %% right, %.0f %% too small, %.0f %% too hot)", side,
             100.0 * right(&odds[next]), 100.0 * small(&odds[next]), 100.0 * odds[next].hot);
    }
    sort_by_size(&p);
    p.covered = coverage(odds, &p);
    count_cost(odds, opts, &p);
    write_sentence(odds, opts, &p);
    *out = p;
}
