/// The joint model of all burns that share materials. Unknowns, every one normal with mean 0 and
/// sd 1 before any reading (L4-L6 in docs/learning.md):
///   material parameters   place of a factor within its prior, owned by a wax, series, container
///   ... two widths            log of the candle-to-candle scatter and of the misfit's size per
///   block (recipe)    misfit of each kind of datum: level, drift with the wax burned, with the
///                         wick's size, and from the match to the end of a session; and each
///                         candle's own deviation
/// The engine knows only the first; everything below it enters its predictions in a straight line,
/// so that it can be summed out without further burns.
/// Needs: burn, judge, learn/evidence. Allocates: work space per call.
#pragma once
#include "burn/burn.h"
#include "learn/evidence.h"

enum { EP_MODEL_TERMS = 48, EP_BIAS_PARTS = 4, EP_MODEL_WIDTHS = 2 };
enum { EP_BIAS_COUNT = EP_DATUM_COUNT_ * EP_BIAS_PARTS };

/// Candle-to-candle sd of the burn rate before any reading: replicate burns of dyed cake candles,
/// 4.4 % within a cell (Dean & Voss 1999, table 10.20).
#define EP_CANDLE_SD 0.045

/// One parameter's part in one factor of a case: z of the factor += weight * parameter.
typedef struct ep_term {
    int param;
    ep_uncertain u;
    double weight;
} ep_term;

/// All candles of one wick in one recipe: one engine run stands for them.
typedef struct ep_model_run {
    ep_burn_case burn;  ///< its factors are not used
    int n_terms;
    ep_term term[EP_MODEL_TERMS];
    int block;         ///< recipe
    int first_candle;  ///< place of the dossier's candle 0 within the block
    double size_x;     ///< log of the wick's weight over the series' middle, / 0.3
    double room_C;
    ep_evidence evidence;  ///< borrowed
} ep_model_run;

typedef struct ep_model {
    int n_params;
    int n_blocks;
    const int *block_candles;  ///< candles of each block
    int n_runs;
    const ep_model_run *run;
    int threads;  ///< 0 = as many as processors
} ep_model;

/// Order of the unknowns: parameters, widths, block 0's biases and candles, block 1's, ...
int ep_model_unknowns(const ep_model *m);
int ep_model_outer(const ep_model *m);                ///< parameters and widths
int ep_model_block_at(const ep_model *m, int block);  ///< first unknown of a block
int ep_model_data(const ep_model *m);

/// Factors of a run at parameters x; log_scatter is the candle's own. Places are held within 4 sd.
ep_factors ep_model_factors(const ep_model_run *r, const double *x, double log_scatter);
/// Candle scatter sd and size of the misfit (1 = as tabled) at the unknowns.
double ep_model_scatter(const ep_model *m, const double *v);
double ep_model_misfit(const ep_model *m, const double *v);
double ep_misfit_at(double z);  ///< the same at its unknown, standard normal before any reading

/// Where a reading stands: what its misfit drifts with.
typedef struct ep_place_in_life {
    double life;    ///< share of the wax burned, 0..1
    double minute;  ///< since lighting
    double size_x;  ///< of the wick, as ep_model_run
} ep_place_in_life;

/// What a unit of each of a kind's four misfit unknowns adds to its prediction, on its scale.
void ep_model_bias_row(ep_datum_kind k, double misfit, ep_place_in_life at,
                       double part[EP_BIAS_PARTS]);
/// Shift of the prediction of a kind of datum, on its scale. bias: EP_BIAS_COUNT unknowns of a
/// block.
double ep_model_bias(ep_datum_kind k, const double *bias, double misfit, ep_place_in_life at);

/// Engine predictions of every datum (run by run) at `count` points: rows of n_params... stride
/// numbers. log_scatter: of each point's candle, NULL = 0. f: count x data.
ep_status ep_model_predict_many(const ep_model *m, int count, const double *x, int stride,
                                const double *log_scatter, double *f);

/// Sum out the blocks at outer unknowns `v` (parameters already in f): finds their mode, from 0.
/// @param f, slope  prediction of every datum and its slope with the log of the candle scatter
/// @param inner  unknowns of all blocks, written (ep_model_unknowns - ep_model_outer numbers)
/// @param draw_from  NULL, or as many standard normals: inner becomes a draw instead of the mode
/// @return log of the likelihood times the inner prior, integrated by Laplace
double ep_model_inner(const ep_model *m, const double *v, const double *f, const double *slope,
                      double *inner, const double *draw_from);
