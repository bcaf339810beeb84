// The makers' own physics: power laws, not the engine's.
#include "world.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static double between(ep_rng *r, double lo, double hi)
{
    return lo + (hi - lo) * ep_rng_uniform(r);
}

static double spread(ep_rng *r, double middle, double log_sd)
{
    return middle * exp(log_sd * ep_rng_normal(r));
}

world world_shelf(int shelf)
{
    ep_rng r = ep_rng_make((uint64_t)shelf, 9000);
    world w = {.shelf = shelf};
    w.inner_m = 1e-3 * between(&r, 60.0, 80.0);
    w.fill_m = 1e-3 * between(&r, 55.0, 70.0);
    w.wax_kg = 900.0 * 3.14159265358979 * 0.25 * w.inner_m * w.inner_m * w.fill_m;
    double step = between(&r, 1.22, 1.34);
    for (int i = 0; i < WORLD_SIZES; i++) {
        w.density_g_m[i] = 0.45 * pow(step, i);
    }
    return w;
}

world world_make(uint64_t seed, const world_opts *opts)
{
    ep_rng r = ep_rng_make(seed, 9001);
    world w = world_shelf((int)(seed % WORLD_SHELVES));
    w.opts = *opts;
    w.seed = seed;
    w.rate_1 = spread(&r, 4.4, 0.15) * exp(opts->bias);
    w.power = between(&r, 0.55, 0.85);
    w.need = spread(&r, 6.2, 0.15) * pow(w.inner_m / 0.070, 1.5);
    w.wall_K = spread(&r, 27.0, 0.12);
    w.flame_mm = spread(&r, 5.2, 0.15);
    w.depth_mm = spread(&r, 17.0, 0.15);
    w.smoke_mm = between(&r, 38.0, 60.0);
    w.instrument_K = 1.5 * ep_rng_normal(&r);
    return w;
}

typedef struct state {
    double rate, x, life;
} state;

static state state_of(const world *w, int size, double scatter, double life)
{
    state s = {.life = life};
    s.rate = w->rate_1 * pow(w->density_g_m[size], w->power) * exp(scatter) * (1.0 + 0.12 * life);
    s.x = s.rate / w->need;
    return s;
}

static double reach_at(const state *s, int session, double minute)
{
    double grown = (1.0 - exp(-minute / 70.0)) / (1.0 - exp(-240.0 / 70.0));
    double seasoned = 0.84 + 0.16 * fmin(1.0, (session - 1) / 2.0);
    return fmin(1.0, sqrt(s->x) * seasoned * grown * (1.0 + 0.10 * s->life));
}

static double depth_at(const world *w, const state *s, double minute)
{
    double grown = 1.0 - exp(-minute / 100.0);
    return fmax(0.5, (3.0 + w->depth_mm * (s->x - 0.8)) * grown + 3.0 * s->life * s->x);
}

static double wall_at(const world *w, const state *s, double reach, double minute)
{
    return 21.0 + w->wall_K * pow(s->x, 0.9) * (0.5 + 0.5 * reach) * (1.0 + 0.30 * s->life) *
                      (1.0 - exp(-minute / 80.0));
}

static int soot_of(const world *w, const state *s)
{
    double over_mm = w->flame_mm * s->rate - w->smoke_mm;
    return over_mm < 0.0 ? 0 : (over_mm < 8.0 ? 1 : (over_mm < 16.0 ? 2 : 3));
}

typedef struct pen {
    world_book *b;
    ep_rng *r;
    const world_opts *o;
    bool perfect;
    int candle, session;
} pen;

static bool alarms(ep_reading_kind kind)
{
    return kind == EP_READ_FLAME || kind == EP_READ_WALL_TEMP || kind == EP_READ_POOL_DEPTH;
}

static void put(pen *p, double minute, ep_reading_kind kind, double value, double sd, double most)
{
    if (p->b->d.n_readings == WORLD_READINGS) {
        return;
    }
    if (!p->perfect) {
        value += sd * p->o->noise * ep_rng_normal(p->r);
        bool slip = ep_rng_uniform(p->r) < p->o->slip_frac;
        bool ten = ep_rng_uniform(p->r) < 0.5;
        if (ep_rng_uniform(p->r) < p->o->missing_frac) {
            return;
        }
        // ten times too much of anything sets off the alarm at the bench, and is put right there
        if (slip && !(ten && alarms(kind))) {
            value *= ten ? 10.0 : 0.1;
        }
    }
    // what the program would refuse at once never gets into the book
    const ep_reading_def *def = ep_reading_def_of(kind);
    value = fmin(fmax(value, def->min), fmin(def->max, most));
    ep_reading *x = &p->b->reading[p->b->d.n_readings++];
    *x = (ep_reading){.candle = p->candle, .session = p->session, .minute = minute, .kind = kind};
    x->value = value;
}

static void read_pool(pen *p, const world *w, const state *s, double minute)
{
    const double inner_mm = w->inner_m * 1e3;
    double reach = reach_at(s, p->session, minute);
    bool full = reach >= 0.995;
    put(p, minute, EP_READ_POOL_WIDE, inner_mm * reach, full ? 0.0 : 1.5, inner_mm);
    put(p, minute, EP_READ_POOL_NARROW, inner_mm * reach, full ? 0.0 : 1.5, inner_mm);
    put(p, minute, EP_READ_POOL_DEPTH, depth_at(w, s, minute), 1.0, 60.0);
    put(p, minute, EP_READ_FLAME, w->flame_mm * s->rate, 0.08 * w->flame_mm * s->rate, 300.0);
    put(p, minute, EP_READ_WALL_TEMP,
        wall_at(w, s, reach, minute) + (p->perfect ? 0.0 : w->instrument_K), 1.5, 300.0);
}

static void read_end(pen *p, const world *w, const state *s)
{
    const double ring_mm = 0.5 * w->inner_m * 1e3 * (1.0 - reach_at(s, p->session, 240.0));
    put(p, 240.0, EP_READ_SOOT, soot_of(w, s), 0.0, 3.0);
    put(p, 240.0, EP_READ_MUSHROOM, s->x > 1.5 ? 2.0 : (s->x > 1.15 ? 1.0 : 0.0), 0.0, 3.0);
    put(p, 240.0, EP_READ_SMOKE, soot_of(w, s) > 2 ? 2.0 : 0.0, 0.0, 3.0);
    put(p, 240.0, EP_READ_HANGUP_THICK, ring_mm, ring_mm > 0.5 ? 0.7 : 0.0, 0.5 * w->inner_m * 1e3);
    put(p, 240.0, EP_READ_HANGUP_SHARE, ring_mm > 0.5 ? 100.0 : 0.0, 0.0, 100.0);
}

// one session; returns the share of the wax left
static double burn_session(const world *w, pen *p, int size, double scatter, double left)
{
    state s = state_of(w, size, scatter, 1.0 - left);
    double burned_kg = fmin(s.rate * 4.0 * 1e-3, left * w->wax_kg);
    static const double minute[] = {60.0, 120.0, 180.0, 240.0};
    for (int i = 0; i < 4; i++) {
        read_pool(p, w, &s, minute[i]);
    }
    read_end(p, w, &s);
    double after = left - burned_kg / w->wax_kg;
    ep_burn_record *b = &p->b->burn[p->b->d.n_burns++];
    double slip_kg = p->perfect ? 0.0 : 3e-4 * p->o->noise * ep_rng_normal(p->r);
    *b = (ep_burn_record){.candle = p->candle,
                          .session = p->session,
                          .planned_min = 240.0,
                          .lit_min = 240.0,
                          .over = true,
                          .before_kg = 0.25 + left * w->wax_kg,
                          .after_kg = 0.25 + after * w->wax_kg + slip_kg,
                          .left_frac = after,
                          .rest_before_h = p->session > 1 ? 20.0 : (double)NAN,
                          .room_C = 21.0,
                          .inner_m = w->inner_m};
    return after;
}

static bool settled(const world_book *b, int candle)
{
    // the candle by itself, as the maker at the bench would see it
    world_book *one = malloc(sizeof *one);
    ep_verdict *v = malloc(sizeof *v);
    bool over = false;
    if (one && v) {
        *one = *b;
        int n = 0;
        for (int i = 0; i < b->d.n_readings; i++) {
            if (b->reading[i].candle == candle) {
                one->reading[n] = b->reading[i];
                one->reading[n++].candle = 0;
            }
        }
        one->d.n_readings = n;
        n = 0;
        for (int i = 0; i < b->d.n_burns; i++) {
            if (b->burn[i].candle == candle) {
                one->burn[n] = b->burn[i];
                one->burn[n++].candle = 0;
            }
        }
        one->candle[0] = b->candle[candle];
        one->d = (ep_dossier){.n_candles = 1,
                              .candle = one->candle,
                              .n_burns = n,
                              .burn = one->burn,
                              .n_readings = one->d.n_readings,
                              .reading = one->reading};
        ep_judge(&one->d, ep_limits_default(), v, NULL);
        over = v->stop_now || v->kind == EP_VERDICT_TOO_SMALL || v->kind == EP_VERDICT_TOO_BIG ||
               v->kind == EP_VERDICT_WRONG_KIND;
    }
    free(one);
    free(v);
    return over;
}

static int burn_candle(const world *w, world_book *b, int size, ep_rng *r, bool perfect)
{
    pen p = {.b = b, .r = r, .o = &w->opts, .perfect = perfect, .candle = b->d.n_candles};
    ep_candle_record *c = &b->candle[b->d.n_candles++];
    snprintf(c->code, sizeof c->code, "S%dC%d", size, p.candle);
    c->wax_kg = w->wax_kg;
    double scatter = perfect ? 0.0 : w->opts.scatter_sd * ep_rng_normal(r), left = 1.0;
    for (p.session = 1; left > 0.12 && p.session < 40 && b->d.n_burns < WORLD_BURNS; p.session++) {
        left = burn_session(w, &p, size, scatter, left);
        b->d.candle = b->candle;
        b->d.burn = b->burn;
        b->d.reading = b->reading;
        if (!perfect && settled(b, p.candle)) {
            return p.session;
        }
    }
    c->finished = true;
    return p.session - 1;
}

void world_burn(world *w, int size, int n, world_book *book)
{
    book->sessions_last = 0;
    for (int i = 0; i < n && book->d.n_candles < WORLD_CANDLES * 4; i++) {
        ep_rng r = ep_rng_make(w->seed, 10000 + (uint64_t)w->poured++);
        int sessions = burn_candle(w, book, size, &r, false);
        book->sessions_last = sessions > book->sessions_last ? sessions : book->sessions_last;
    }
}

ep_verdict_kind world_truth(const world *w, int size)
{
    world_book *b = calloc(1, sizeof *b);
    ep_verdict *v = calloc(1, sizeof *v);
    ep_verdict_kind kind = EP_VERDICT_UNKNOWN;
    if (b && v) {
        ep_rng r = ep_rng_make(0, 0);
        for (int i = 0; i < 3; i++) {
            burn_candle(w, b, size, &r, true);
        }
        ep_judge(&b->d, ep_limits_default(), v, NULL);
        kind = v->stop_now ? EP_VERDICT_TOO_BIG : v->kind;
    }
    free(b);
    free(v);
    return kind;
}
