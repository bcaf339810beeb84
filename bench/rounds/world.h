/// Virtual makers for the benchmark of rounds. Their candles do not burn by the engine: rates,
/// pools, walls and flames follow plain power laws with other exponents, other noise, slips of the
/// pen and forgotten readings. Nothing of this is known to learn or plan. All of it is invented.
#pragma once
#include "base/rng.h"
#include "burn/burn.h"
#include "judge/judge.h"

/// Makers buy their jars and wicks on one of so many shelves; seed modulo this says which.
enum { WORLD_SHELVES = 8 };
enum { WORLD_SIZES = 10, WORLD_CANDLES = 6, WORLD_BURNS = 320, WORLD_READINGS = 6000 };

/// How the maker reads and how good the first guess is.
typedef struct world_opts {
    double noise;       ///< 1 = as the learner assumes about; 2 = twice
    double scatter_sd;  ///< candle to candle, of the log rate
    double bias;        ///< log factor on every wick's rate against what the tables make likely
    double slip_frac, missing_frac;
} world_opts;

typedef struct world {
    world_opts opts;
    double inner_m, fill_m, wax_kg;
    double density_g_m[WORLD_SIZES];
    double rate_1, power, need, wall_K, flame_mm, depth_mm, smoke_mm, instrument_K;
    uint64_t seed;
    int shelf;
    int poured;  ///< candles so far, each with its own noise
} world;

/// All candles of one size.
typedef struct world_book {
    ep_candle_record candle[WORLD_CANDLES * 4];
    ep_burn_record burn[WORLD_BURNS];
    ep_reading reading[WORLD_READINGS];
    ep_dossier d;
    int sessions_last;  ///< of the longest candle of the last round
} world_book;

/// A jar and a series as sold: only inner_m, fill_m, wax_kg, density_g_m and shelf are set.
world world_shelf(int shelf);
world world_make(uint64_t seed, const world_opts *opts);
/// Burn n more candles of a size, each until the judge calls it too small or too hot, or to the
/// end.
void world_burn(world *w, int size, int n, world_book *book);
/// The verdict on three perfect candles read without error: what is true of a size.
ep_verdict_kind world_truth(const world *w, int size);
