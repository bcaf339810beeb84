/// Which candles to pour next, by looking one round ahead over the draws (N4, N5 in plan/next.h):
/// every set of one to three sizes with one to `need` candles of each is weighed by what it and
/// all that follows is expected to cost. Needs: plan. Allocates: nothing.
#pragma once
#include "plan/next.h"

enum { EP_AHEAD_DRAWS = 512 };

typedef struct ep_ahead {
    int n, size[EP_PLAN_MAX], candles[EP_PLAN_MAX];
    double covered;                          ///< share of draws with one of the set right
    double expected_candles, expected_days;  ///< to a proof, this round included
} ep_ahead;

/// @param running  in->n: may this size still be tried? At least one is true.
void ep_ahead_choose(const ep_next_in *in, const bool *running, ep_ahead *out);
