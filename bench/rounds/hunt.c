// A search and the habits of makers.
#include "hunt.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void hunt_open(hunt *h, uint64_t seed, const world_opts *o, const ep_limit *limits)
{
    *h = (hunt){.w = world_make(seed, o), .limits = limits, .out = {.approved = -1}};
    h->out.chance_wrong = (double)NAN;
    for (int i = 0; i < WORLD_SIZES; i++) {
        h->book[i] = calloc(1, sizeof *h->book[i]);
        if (!h->book[i]) {
            abort();
        }
    }
}

void hunt_close(hunt *h)
{
    for (int i = 0; i < WORLD_SIZES; i++) {
        free(h->book[i]);
    }
}

void hunt_round(hunt *h, const int *size, const int *n, int sizes)
{
    int longest = 0;
    for (int i = 0; i < sizes; i++) {
        world_burn(&h->w, size[i], n[i], h->book[size[i]]);
        h->out.candles += n[i];
        int last = h->book[size[i]]->sessions_last;
        longest = last > longest ? last : longest;
    }
    h->out.rounds++;
    h->out.days += CURE_DAYS + longest;
}

ep_verdict hunt_verdict(const hunt *h, int size)
{
    static _Thread_local ep_verdict v;
    memset(&v, 0, sizeof v);
    if (h->book[size]->d.n_candles > 0) {
        ep_judge(&h->book[size]->d, h->limits, &v, NULL);
    }
    return v;
}

// -1 too small, +1 too hot, 0 nothing against it
static int lean(const hunt *h, int size)
{
    ep_verdict v = hunt_verdict(h, size);
    if (v.stop_now || v.kind == EP_VERDICT_TOO_BIG || v.kind == EP_VERDICT_WRONG_KIND) {
        return 1;
    }
    return v.kind == EP_VERDICT_TOO_SMALL ? -1 : 0;
}

// a wick whose first candles passed: the rest of a proof in one round, unless they were enough
static bool confirmed(hunt *h, int size)
{
    ep_verdict v = hunt_verdict(h, size);
    int more = NEED - h->book[size]->d.n_candles;
    if (v.kind != EP_VERDICT_RIGHT && more > 0) {
        hunt_round(h, &size, &more, 1);
        v = hunt_verdict(h, size);
    }
    if (v.kind != EP_VERDICT_RIGHT) {
        return false;
    }
    h->out.approved = size;
    return true;
}

static void ladder(hunt *h, int candles)
{
    int at = WORLD_SIZES / 2, lo = -1, hi = WORLD_SIZES;
    while (h->out.rounds < MOST_ROUNDS && at > lo && at < hi) {
        hunt_round(h, &at, &candles, 1);
        if (lean(h, at) == 0 && confirmed(h, at)) {
            return;
        }
        if (lean(h, at) > 0) {
            hi = at--;
        } else {
            lo = at++;
        }
    }
}

void hunt_step(hunt *h)
{
    ladder(h, 1);
}

void hunt_identical(hunt *h)
{
    ladder(h, NEED);
}

void hunt_knowing(hunt *h)
{
    int right[WORLD_SIZES], n = 0, candles = NEED;
    for (int i = 0; i < WORLD_SIZES; i++) {
        if (world_truth(&h->w, i) == EP_VERDICT_RIGHT) {
            right[n++] = i;
        }
    }
    // from the middle outwards
    for (int i = 0; i < n && h->out.rounds < MOST_ROUNDS; i++) {
        int away = (i + 1) / 2, at = right[(n - 1) / 2 + (i % 2 ? away : -away)];
        hunt_round(h, &at, &candles, 1);
        if (confirmed(h, at)) {
            return;
        }
    }
}

void hunt_three(hunt *h)
{
    int middle = WORLD_SIZES / 2;
    bool tried[WORLD_SIZES] = {false};
    while (h->out.rounds < MOST_ROUNDS) {
        int size[3], n[3] = {1, 1, 1}, sizes = 0, sum = 0;
        for (int i = middle - 1; i <= middle + 1; i++) {
            if (i >= 0 && i < WORLD_SIZES && !tried[i]) {
                tried[i] = true;
                size[sizes++] = i;
            }
        }
        if (sizes == 0) {
            return;
        }
        hunt_round(h, size, n, sizes);
        for (int i = 0; i < sizes; i++) {
            if (lean(h, size[i]) == 0 && confirmed(h, size[i])) {
                return;
            }
            sum += lean(h, size[i]);
        }
        middle += sum > 0 ? -3 : 3;
        if (middle < -1 || middle > WORLD_SIZES) {
            return;
        }
    }
}
