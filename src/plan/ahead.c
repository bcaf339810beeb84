// The set with the least expected cost to a proof.
#include "plan/ahead.h"

#include <math.h>
#include <string.h>

enum { TRIED = 8, KINDS = EP_VERDICT_COUNT_, PATTERNS = KINDS * KINDS * KINDS };
_Static_assert(PATTERNS <= 256, "a pattern fits a byte");
// One candle in fifteen of a right wick is judged against by its own scatter or a reading, and one
// wick in two that passes has margins wide enough for fewer candles: ours.
static const double PASSES = 14.0 / 15.0;
static const double WIDE = 0.5;
// a search that starts again after the next try failed too: candles, and rounds
static const double AGAIN_CANDLES = 3.5, AGAIN_ROUNDS = 1.3;

typedef struct cost {
    double candles, days;
} cost;

typedef struct view {
    const ep_next_in *in;
    const bool *running;
    int draws;
    unsigned char kind[EP_AHEAD_DRAWS][EP_MAX_SIZES];
    int share[PATTERNS];               // draws that show this pattern on the set
    unsigned char of[EP_AHEAD_DRAWS];  // pattern of each draw
    cost later[PATTERNS];              // after the set failed so
} view;

static double round_days(const ep_next_in *in)
{
    return in->cure_days + in->burn_days;
}

static double sum_of(const ep_next_in *in, cost c)
{
    return c.candles + in->day_cost * c.days;
}

static cost mix(cost a, double p, cost b)
{
    return (cost){p * a.candles + (1.0 - p) * b.candles, p * a.days + (1.0 - p) * b.days};
}

// Draws as given. Where only shares are known one number orders them all: what the jar needs, from
// little (large wicks too hot) to much (small wicks too small).
static void fill_kinds(view *v)
{
    const ep_next_in *in = v->in;
    v->draws = in->kind ? in->members : 64;
    v->draws = v->draws < EP_AHEAD_DRAWS ? v->draws : EP_AHEAD_DRAWS;
    for (int m = 0; m < v->draws; m++) {
        const double need = (m + 0.5) / v->draws;
        for (int i = 0; i < in->n; i++) {
            const ep_next_size *s = &in->size[i];
            unsigned char k = in->kind                   ? in->kind[m * in->n + i]
                              : need < s->hot            ? EP_VERDICT_TOO_BIG
                              : need < s->hot + s->right ? EP_VERDICT_RIGHT
                                                         : EP_VERDICT_TOO_SMALL;
            v->kind[m][i] = !v->running[i] && k == EP_VERDICT_RIGHT ? EP_VERDICT_UNKNOWN : k;
        }
    }
}

// candles a proof of this wick may do with: once it had as many and was not proven, all of them
static int least_of(const ep_next_in *in, int size)
{
    const int least = in->least > 0 && in->least < in->need ? in->least : in->need;
    return in->size[size].finished_right >= least ? in->need : least;
}

// from `done` candles that passed to a proof
static cost finish(const ep_next_in *in, int size, int done)
{
    const int least = least_of(in, size);
    if (done >= in->need) {
        return (cost){0.0, 0.0};
    }
    cost rest = {in->need - (done > least ? done : least), round_days(in)};
    rest = least < in->need ? mix((cost){0.0, 0.0}, WIDE, rest) : (cost){0.0, 0.0};
    if (done < least) {
        rest.candles += least - done;
        rest.days += round_days(in);
    }
    return rest;
}

static bool in_set(const ep_ahead *s, int size)
{
    for (int i = 0; i < s->n; i++) {
        if (s->size[i] == size) {
            return true;
        }
    }
    return false;
}

static double right_within(const view *v, int pattern, int size)
{
    int n = 0, right = 0;
    for (int m = 0; m < v->draws; m++) {
        if (v->of[m] == pattern) {
            n++;
            right += v->kind[m][size] == EP_VERDICT_RIGHT;
        }
    }
    return (right + 0.25) / (n + 1.0);
}

// what follows once the set failed with this pattern: the likeliest of the others, and if that
// fails too the search goes on
static cost after(const view *v, const ep_ahead *s, int pattern)
{
    const ep_next_in *in = v->in;
    const cost again = {AGAIN_CANDLES, AGAIN_ROUNDS * round_days(in)};
    cost best = again;
    double least = (double)INFINITY;
    for (int i = 0; i < in->n; i++) {
        if (!v->running[i] || in_set(s, i)) {
            continue;
        }
        double p = PASSES * right_within(v, pattern, i);
        cost right = finish(in, i, in->size[i].finished_right);
        cost wrong = {1.0 + again.candles, round_days(in) + again.days};
        cost here = mix(right, p, wrong);
        if (sum_of(in, here) < least) {
            least = sum_of(in, here);
            best = here;
        }
    }
    return best;
}

static void sort_patterns(view *v, const ep_ahead *s)
{
    memset(v->share, 0, sizeof v->share);
    for (int m = 0; m < v->draws; m++) {
        int pattern = 0;
        for (int i = 0; i < s->n; i++) {
            pattern = pattern * KINDS + v->kind[m][s->size[i]];
        }
        v->of[m] = (unsigned char)pattern;
        v->share[pattern]++;
    }
    for (int p = 0; p < PATTERNS; p++) {
        if (v->share[p] > 0) {
            v->later[p] = after(v, s, p);
        }
    }
}

// expected cost of the set with its candles; patterns are sorted
static cost expected(const view *v, ep_ahead *s)
{
    const ep_next_in *in = v->in;
    cost sum = {0.0, 0.0};
    int covered = 0;
    for (int m = 0; m < v->draws; m++) {
        cost here = v->later[v->of[m]];
        double least = (double)INFINITY;
        cost proof = here;
        double passes = 0.0;
        for (int i = 0; i < s->n; i++) {
            if (v->kind[m][s->size[i]] != EP_VERDICT_RIGHT) {
                continue;
            }
            cost c = finish(in, s->size[i], in->size[s->size[i]].finished_right + s->candles[i]);
            if (sum_of(in, c) < least) {
                least = sum_of(in, c);
                proof = c;
            }
            // each of them is a chance that one passes
            passes += (1.0 - passes) * pow(PASSES, s->candles[i]);
        }
        here = mix(proof, passes, here);
        sum.candles += here.candles / v->draws;
        sum.days += here.days / v->draws;
        covered += passes > 0.0;
    }
    s->covered = (double)covered / v->draws;
    for (int i = 0; i < s->n; i++) {
        sum.candles += s->candles[i];
    }
    sum.days += round_days(in);
    return sum;
}

static int least_candles(const ep_next_in *in)
{
    return in->each > 0 ? in->each : 1;
}

static int most_candles(const ep_next_in *in, int size)
{
    if (in->each > 0) {
        return in->each;
    }
    int left = in->need - in->size[size].finished_right - in->size[size].open;
    return left < 1 ? 1 : (left > 5 ? 5 : left);
}

// every number of candles for the set
static void try_set(view *v, const ep_ahead *set, ep_ahead *best, double *least)
{
    ep_ahead s = *set;
    sort_patterns(v, &s);
    for (int i = 0; i < s.n; i++) {
        s.candles[i] = least_candles(v->in);
    }
    for (;;) {
        cost c = expected(v, &s);
        double here = sum_of(v->in, c);
        if (here < *least - 1e-9) {
            *least = here;
            *best = s;
            best->expected_candles = c.candles;
            best->expected_days = c.days;
        }
        int at = 0;
        while (at < s.n && ++s.candles[at] > most_candles(v->in, s.size[at])) {
            s.candles[at++] = least_candles(v->in);
        }
        if (at == s.n) {
            return;
        }
    }
}

// Among sizes as likely to be right, the nearest to where too small turns into too hot: there a
// candle says most about which way to go. Then the smaller, cooler one.
static bool likelier(const ep_next_size *a, const ep_next_size *b)
{
    if (fabs(a->right - b->right) > 1e-9) {
        return a->right > b->right;
    }
    return fabs(a->small - a->hot) < fabs(b->small - b->hot) - 1e-9;
}

// the likeliest sizes still in the running
static int hopefuls(const ep_next_in *in, const bool *running, int *out)
{
    int n = 0;
    bool taken[EP_MAX_SIZES] = {false};
    while (n < TRIED) {
        int best = -1;
        for (int i = 0; i < in->n; i++) {
            if (running[i] && !taken[i] && (best < 0 || likelier(&in->size[i], &in->size[best]))) {
                best = i;
            }
        }
        if (best < 0) {
            break;
        }
        taken[best] = true;
        out[n++] = best;
    }
    return n;
}

void ep_ahead_choose(const ep_next_in *in, const bool *running, ep_ahead *out)
{
    view v = {.in = in, .running = running};
    int may[TRIED];
    const int n = hopefuls(in, running, may);
    double least = (double)INFINITY;
    fill_kinds(&v);
    for (int a = 0; a < n; a++) {
        try_set(&v, &(ep_ahead){.n = 1, .size = {may[a]}}, out, &least);
        for (int b = a + 1; b < n; b++) {
            try_set(&v, &(ep_ahead){.n = 2, .size = {may[a], may[b]}}, out, &least);
            for (int c = b + 1; c < n; c++) {
                try_set(&v, &(ep_ahead){.n = 3, .size = {may[a], may[b], may[c]}}, out, &least);
            }
        }
    }
}
