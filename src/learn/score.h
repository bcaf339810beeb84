/// How good a forecast was, once the fact is known. Proper scores: no forecaster does better by
/// saying other than what is believed (Gneiting & Raftery 2007, JASA 102:359, from memory).
/// Needs: base. Allocates: nothing.
#pragma once
#include <stdbool.h>

/// Continuous ranked probability score of n equally likely members, in the unit of the fact; 0 is
/// perfect. Mean |x - y| less half the mean |x - x'|. Sorts x.
double ep_crps(double *x, int n, double fact);

/// The same for a forecast known only by a median and a 90 % interval, taken as two half-normals.
double ep_crps_interval(double p05, double p50, double p95, double fact);

/// Interval score of a 90 % interval (Winkler 1972): width, and 20 times the miss.
double ep_interval_score(double p05, double p95, double fact);
