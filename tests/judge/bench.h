// A test bench: builds dossiers in fixed arrays, candle by candle and session by session.
// Included by each test of the room; everything is static so that each program stands alone.
#pragma once
#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "judge/judge.h"

#define NONE ((double)NAN)

enum { bench_candles = 8, bench_burns = 120, bench_readings = 2400 };

typedef struct bench {
    ep_candle_record candle[bench_candles];
    ep_burn_record burn[bench_burns];
    ep_reading reading[bench_readings];
    ep_limit limit[EP_LIMIT_COUNT_];
    ep_dossier d;
} bench;

static inline void bench_open(bench *b)
{
    memset(b, 0, sizeof *b);
    memcpy(b->limit, ep_limits_default(), sizeof b->limit);
    b->d.candle = b->candle;
    b->d.burn = b->burn;
    b->d.reading = b->reading;
}

static inline int bench_candle(bench *b, bool finished)
{
    int i = b->d.n_candles++;
    assert(i < bench_candles);
    snprintf(b->candle[i].code, sizeof b->candle[i].code, "K%d", i + 1);
    b->candle[i].wax_kg = 0.220;
    b->candle[i].finished = finished;
    return i;
}

static inline ep_burn_record *bench_burn(bench *b, int candle, int session, double left_frac)
{
    assert(b->d.n_burns < bench_burns);
    ep_burn_record *r = &b->burn[b->d.n_burns++];
    *r = (ep_burn_record){.candle = candle,
                          .session = session,
                          .planned_min = 240.0,
                          .lit_min = 240.0,
                          .over = true,
                          .before_kg = NONE,
                          .after_kg = NONE,
                          .left_frac = left_frac,
                          .rest_before_h = session == 1 ? NONE : 20.0,
                          .room_C = 21.0,
                          .draught = 0,
                          .inner_m = 0.075};
    return r;
}

static inline ep_reading *bench_read(bench *b, int candle, int session, double minute,
                                     ep_reading_kind kind, double value)
{
    assert(b->d.n_readings < bench_readings);
    int i = b->d.n_readings++;
    ep_reading *r = &b->reading[i];
    snprintf(r->id, sizeof r->id, "r%04d", i);
    r->candle = candle;
    r->session = session;
    r->minute = minute;
    r->kind = kind;
    r->value = value;
    return r;
}

static inline ep_burn_record *bench_find_burn(bench *b, int candle, int session)
{
    for (int i = 0; i < b->d.n_burns; i++) {
        if (b->burn[i].candle == candle && b->burn[i].session == session) {
            return &b->burn[i];
        }
    }
    assert(false && "no such session");
    return NULL;
}

// replace every reading of a kind in a session, or add one at 230 min when there is none
static inline void bench_set(bench *b, int candle, int session, ep_reading_kind kind, double value)
{
    bool found = false;
    for (int i = 0; i < b->d.n_readings; i++) {
        ep_reading *r = &b->reading[i];
        if (r->candle == candle && r->session == session && r->kind == kind) {
            r->value = value;
            found = true;
        }
    }
    if (!found) {
        bench_read(b, candle, session, 230.0, kind, value);
    }
}

static inline void bench_drop(bench *b, ep_reading_kind kind)
{
    int n = 0;
    for (int i = 0; i < b->d.n_readings; i++) {
        if (b->reading[i].kind != kind) {
            b->reading[n++] = b->reading[i];
        }
    }
    b->d.n_readings = n;
}

// One session of a calm candle in a 75 mm jar: a ring in the first two sessions, gone by the
// third; warmer as the level drops, well below every limit. Invented.
static inline void bench_calm_session(bench *b, int candle, int session, double left_frac)
{
    static const double narrow_mm[] = {58.0, 68.0, 73.5};
    double reach_mm = session < 3 ? narrow_mm[session - 1] : narrow_mm[2];
    double offset = 0.4 * candle;  // candles are not copies of each other
    bench_burn(b, candle, session, left_frac);
    bench_read(b, candle, session, 60.0, EP_READ_FLAME, 22.0 + offset);
    bench_read(b, candle, session, 60.0, EP_READ_POOL_NARROW, 0.5 * reach_mm);
    bench_read(b, candle, session, 230.0, EP_READ_POOL_NARROW, reach_mm);
    bench_read(b, candle, session, 230.0, EP_READ_POOL_WIDE, fmin(reach_mm + 1.0, 75.0));
    bench_read(b, candle, session, 230.0, EP_READ_POOL_DEPTH,
               7.0 + 2.0 * (1.0 - left_frac) + 0.2 * candle);
    bench_read(b, candle, session, 230.0, EP_READ_FLAME, 24.0 + offset);
    bench_read(b, candle, session, 230.0, EP_READ_WALL_TEMP,
               42.0 + 14.0 * (1.0 - left_frac) + offset);
    bench_read(b, candle, session, 230.0, EP_READ_WALL_GAP, 30.0);
    bench_read(b, candle, session, 230.0, EP_READ_LEAN, 1.0);
    bench_read(b, candle, session, 230.0, EP_READ_SOOT, 0.0);
    bench_read(b, candle, session, 230.0, EP_READ_SMOKE, 0.0);
    bench_read(b, candle, session, 230.0, EP_READ_MUSHROOM, 1.0);
    bench_read(b, candle, session, 230.0, EP_READ_FLICKER, 0.0);
    bench_read(b, candle, session, 230.0, EP_READ_RELIGHTS, 0.0);
    bench_read(b, candle, session, 230.0, EP_READ_THROW, 3.0);
    bench_read(b, candle, session, 241.0, EP_READ_AFTERGLOW, 6.0);
    if (session == 1) {
        bench_read(b, candle, session, 0.0, EP_READ_TIPS, 0.0);
    }
}

// sessions 1 to `sessions` of a candle that takes ten of them to its end
static inline int bench_calm(bench *b, int sessions)
{
    int candle = bench_candle(b, sessions >= 10);
    for (int s = 1; s <= sessions; s++) {
        bench_calm_session(b, candle, s, 1.0 - 0.096 * s);
    }
    return candle;
}
