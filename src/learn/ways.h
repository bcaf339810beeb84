/// Other misfits of one block, as likely beside the materials of a draw as the draw's own: one burn
/// of those materials can then be read in several ways. Needs: learn/belief, learn/lower.
/// Allocates: work space per call.
#pragma once
#include "learn/belief.h"

/// Standard normals of a draw's further way, 1..15.
void ep_way_normals(uint64_t seed, int draw, int way, double *z, int n);

/// From a bell: conditional draws of the unknowns at..at + EP_BIAS_COUNT given the outer unknowns
/// of each of b's draws, by Matheron's rule (Journel and Huijbregts 1978, Mining Geostatistics): a
/// fresh draw of all unknowns, moved by the regression of what it misses of the outer ones.
/// @param X   unknowns x unknowns, upper triangle: X X' is the covariance round b->mode
/// Written to b->way. EP_E_MEMORY.
ep_status ep_ways_bell(const ep_belief *b, const double *X, int at, uint64_t seed);
