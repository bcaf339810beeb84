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
// A wrong wick passes a whole candle by luck one time in seven, all wrong wicks taken together:
// ours.
static const double LUCK = 1.0 / 7.0;
// a search that starts again after the next try failed too: candles, and rounds
static const double AGAIN_CANDLES = 3.5, AGAIN_ROUNDS = 1.3;

// Draws are few: sets that cost the same within a quarter of a candle are told apart by where they
// stand between too small and too hot.
static const double SAME = 0.25;

typedef struct cost {
    double candles, days;
} cost;

typedef struct view {
    const ep_next_in *in;
    const bool *running;
    int draws;
    unsigned char kind[EP_AHEAD_DRAWS][EP_MAX_SIZES];
    double weight[EP_AHEAD_DRAWS];     // by the real candles that passed; their sum is `draws`
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

// Draws are few and the engine may be off for this jar: a wick that passed a whole candle is right
// in one draw of eight at least.
static void allow_passed(view *v)
{
    const ep_next_in *in = v->in;
    for (int i = 0; i < in->n; i++) {
        int right = 0;
        for (int m = 0; m < v->draws; m++) {
            right += v->kind[m][i] == EP_VERDICT_RIGHT;
        }
        const bool passed = v->running[i] && in->size[i].finished_right > 0;
        for (int m = 0; m < v->draws && passed && 8 * right < v->draws; m += 8) {
            v->kind[m][i] = EP_VERDICT_RIGHT;
        }
    }
}

// how likely the real verdict on a size is where a draw judges it so: a wick that failed one way
// does not fail the other way, and is hardly right
static double likely_failed(const ep_next_size *s, ep_verdict_kind drawn)
{
    const bool hot = ep_next_hot(s);
    const bool small = !hot && s->verdict == EP_VERDICT_TOO_SMALL;
    const bool across =
        (hot && drawn == EP_VERDICT_TOO_SMALL) || (small && drawn == EP_VERDICT_TOO_BIG);
    return (hot || small) && (across || drawn == EP_VERDICT_RIGHT) ? 1.0 - PASSES : 1.0;
}

// A real candle says more of its wick than readings that a draw may follow and still judge the
// other way: draws that call a wick wrong that passed, or right that failed, count as such luck
// would have it.
static void weigh_draws(view *v)
{
    const ep_next_in *in = v->in;
    double sum = 0.0;
    for (int m = 0; m < v->draws; m++) {
        v->weight[m] = 1.0;
        for (int i = 0; i < in->n; i++) {
            const bool right = v->kind[m][i] == EP_VERDICT_RIGHT;
            const int passed = v->running[i] ? in->size[i].finished_right : 0;
            v->weight[m] *= pow(right ? PASSES : LUCK, passed);
            if (in->kind) {
                v->weight[m] *= likely_failed(&in->size[i], in->kind[m * in->n + i]);
            }
        }
        sum += v->weight[m];
    }
    for (int m = 0; m < v->draws; m++) {
        v->weight[m] *= v->draws / sum;
    }
}

// candles a proof of this wick may do with: once it had as many and was not proven, all of them
static int least_of(const ep_next_in *in, int size)
{
    const int least = in->least > 0 && in->least < in->need ? in->least : in->need;
    return in->size[size].finished_right >= least ? in->need : least;
}

static cost plus(cost a, cost b)
{
    return (cost){a.candles + b.candles, a.days + b.days};
}

static cost again(const ep_next_in *in)
{
    return (cost){AGAIN_CANDLES, AGAIN_ROUNDS * round_days(in)};
}

// from `done` candles that passed to a proof; those still wanted may be judged against too
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
    return mix(rest, pow(PASSES, rest.candles), plus(rest, again(in)));
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
    double n = 0.0, right = 0.0;
    for (int m = 0; m < v->draws; m++) {
        if (v->of[m] == pattern) {
            n += v->weight[m];
            right += v->kind[m][size] == EP_VERDICT_RIGHT ? v->weight[m] : 0.0;
        }
    }
    return (right + 0.25) / (n + 1.0);
}

// what follows once the set failed with this pattern: the likeliest of the others, and if that
// fails too the search goes on
static cost after(const view *v, const ep_ahead *s, int pattern)
{
    const ep_next_in *in = v->in;
    cost best = again(in);
    double least = (double)INFINITY;
    for (int i = 0; i < in->n; i++) {
        if (!v->running[i] || in_set(s, i)) {
            continue;
        }
        double p = PASSES * right_within(v, pattern, i);
        cost right = finish(in, i, in->size[i].finished_right);
        cost wrong = plus((cost){1.0, round_days(in)}, again(in));
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
    double covered = 0.0;
    for (int m = 0; m < v->draws; m++) {
        cost here = v->later[v->of[m]];
        double least = (double)INFINITY;
        cost proof = here;
        double passes = 0.0, cover = 0.0;
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
            cover = 1.0;
        }
        here = mix(proof, passes, here);
        const double share = v->weight[m] / v->draws;
        sum.candles += here.candles * share;
        sum.days += here.days * share;
        covered += cover * share;
    }
    s->covered = covered;
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

// what a search over the sets keeps
typedef struct found {
    ep_ahead best;
    double least;  // its cost; in the second search the most a set may cost
    double lean;   // of the best so far, second search; NaN in the first
} found;

// how far from where too small turns into too hot: there a candle says most about which way to go
static double lean_of(const ep_next_in *in, const ep_ahead *s)
{
    double sum = 0.0;
    for (int i = 0; i < s->n; i++) {
        sum += in->size[s->size[i]].small - in->size[s->size[i]].hot;
    }
    return fabs(sum) / s->n;
}

static int candles_of(const ep_ahead *s)
{
    int n = 0;
    for (int i = 0; i < s->n; i++) {
        n += s->candles[i];
    }
    return n;
}

static void weigh(view *v, ep_ahead *s, found *f)
{
    const cost c = expected(v, s);
    const double here = sum_of(v->in, c), lean = lean_of(v->in, s);
    const bool second = !isnan(f->lean);
    if (second && (s->n != f->best.n || candles_of(s) != candles_of(&f->best))) {
        return;
    }
    if (second ? here <= f->least && lean < f->lean - 1e-9 : here < f->least - 1e-9) {
        f->least = second ? f->least : here;
        f->lean = second ? lean : f->lean;
        f->best = *s;
        f->best.expected_candles = c.candles;
        f->best.expected_days = c.days;
    }
}

// every number of candles for the set
static void try_set(view *v, const ep_ahead *set, found *f)
{
    ep_ahead s = *set;
    sort_patterns(v, &s);
    for (int i = 0; i < s.n; i++) {
        s.candles[i] = least_candles(v->in);
    }
    for (;;) {
        weigh(v, &s, f);
        int at = 0;
        while (at < s.n && ++s.candles[at] > most_candles(v->in, s.size[at])) {
            s.candles[at++] = least_candles(v->in);
        }
        if (at == s.n) {
            return;
        }
    }
}

// the likeliest sizes still in the running, smaller first among equals
static int hopefuls(const ep_next_in *in, const bool *running, int *out)
{
    int n = 0;
    bool taken[EP_MAX_SIZES] = {false};
    while (n < TRIED) {
        int best = -1;
        for (int i = 0; i < in->n; i++) {
            if (running[i] && !taken[i] &&
                (best < 0 || in->size[i].right > in->size[best].right + 1e-9)) {
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

static void search(view *v, const int *may, int n, found *f)
{
    for (int a = 0; a < n; a++) {
        try_set(v, &(ep_ahead){.n = 1, .size = {may[a]}}, f);
        for (int b = a + 1; b < n; b++) {
            try_set(v, &(ep_ahead){.n = 2, .size = {may[a], may[b]}}, f);
            for (int c = b + 1; c < n; c++) {
                try_set(v, &(ep_ahead){.n = 3, .size = {may[a], may[b], may[c]}}, f);
            }
        }
    }
}

void ep_ahead_choose(const ep_next_in *in, const bool *running, ep_ahead *out)
{
    view v = {.in = in, .running = running};
    int may[TRIED];
    const int n = hopefuls(in, running, may);
    found f = {.least = (double)INFINITY, .lean = (double)NAN};
    fill_kinds(&v);
    allow_passed(&v);
    weigh_draws(&v);
    search(&v, may, n, &f);
    // only the same number of sizes and candles: how many is what the count is for
    f.lean = lean_of(in, &f.best);
    f.least += SAME;
    search(&v, may, n, &f);
    *out = f.best;
}
