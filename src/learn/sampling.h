/// Draws from a posterior whose unknowns are whitened: before any reading each is normal, mean 0,
/// sd 1. Importance draws from a Student t with their tail diagnostic, and a tempered ensemble for
/// where that diagnostic fails. Deterministic by seed.
/// Needs: base. Allocates: work space, freed before it returns.
#pragma once
#include <stdint.h>

#include "base/status.h"

/// Log likelihood of `count` points (rows of n numbers); not finite = impossible.
typedef ep_status (*ep_loglik_fn)(void *ctx, int count, const double *x, double *loglik);

/// Pareto-smoothed importance sampling (Vehtari, Simpson, Gelman, Yao, Gabry 2024, JMLR 25:72; the
/// generalised Pareto fit of Zhang & Stephens 2009, Technometrics 51:316). logw: n log ratios,
/// replaced by smoothed normalised log weights. Returns k-hat; infinite below 25 draws.
double ep_psis(double *logw, int n);
/// log of the sum of exp(x) over n numbers, at least one of them finite, without overflow.
double ep_log_sum_exp(const double *x, int n);
/// Shape of a generalised Pareto distribution from n sorted exceedances, with the weak prior
/// (10 draws at 0.5) of the same paper; *sigma gets the scale.
double ep_gpd_fit(const double *x, int n, double *sigma);
/// Accept below min(1 - 1/log10(n), 0.7).
double ep_psis_limit(int n);

typedef struct ep_sample_diag {
    double khat;       ///< of the importance draws; NAN when tempered from the start
    double ess;        ///< effective draws
    int temper_steps;  ///< 0 = the importance draws were good
    double accept;     ///< share of moves accepted, tempering only
} ep_sample_diag;

/// Importance draws: t with 6 degrees of freedom about `mean` with scale L (n x n, covariance L
/// L'). `draws` gets `keep` equally weighted rows by systematic resampling of `tried` proposals.
ep_status ep_importance_run(ep_loglik_fn fn, void *ctx, int n, const double *mean, const double *L,
                            int tried, int keep, uint64_t seed, double *draws,
                            ep_sample_diag *diag);

/// Likelihood tempering (Del Moral, Doucet, Jasra 2006): next temperature at half the effective
/// draws, systematic resampling, `moves` random-walk moves of 2.38/sqrt(n) of the particles' own
/// covariance. draws: `keep` rows, keep >= 20.
ep_status ep_temper_run(ep_loglik_fn fn, void *ctx, int n, int keep, int moves, uint64_t seed,
                        double *draws, ep_sample_diag *diag);
