/// One maker's search for a wick: what was burned so far, what the judge says, what it cost; and
/// the habits the program is compared with. Every way burns and judges by this code alone.
#pragma once
#include "world.h"

enum { MOST_ROUNDS = 12, NEED = 3 };
/// Days of a round before its candles are lit.
#define CURE_DAYS 10.0

typedef struct outcome {
    int candles, rounds, approved;  ///< size, -1 = none found
    double days;
    double chance_wrong;  ///< as stated with the approval; NAN where nothing is stated
} outcome;

typedef struct hunt {
    world w;
    const ep_limit *limits;  ///< of the judge, borrowed
    world_book *book[WORLD_SIZES];
    outcome out;
} hunt;

void hunt_open(hunt *h, uint64_t seed, const world_opts *o, const ep_limit *limits);
void hunt_close(hunt *h);

/// One round: these candles are poured together, cured and burned side by side.
void hunt_round(hunt *h, const int *size, const int *n, int sizes);
ep_verdict hunt_verdict(const hunt *h, int size);

/// (a) One candle of the middle size; a step up or down as it fails; when it passes, what is
/// missing for a proof.
void hunt_step(hunt *h);
/// (b) Three neighbours at once about the middle; what is missing of the smallest that passes.
void hunt_three(hunt *h);
/// (c) Three identical candles of the middle size, a step as they fail.
void hunt_identical(hunt *h);
/// No habit: who knows which sizes are right, and pours a whole proof of the middle one, then of
/// the others. The least any way can need of a proof by as many candles.
void hunt_knowing(hunt *h);
