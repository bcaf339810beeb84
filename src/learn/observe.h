/// What a maker would have written down while the simulated candle burned: a trace as readings, so
/// that a forecast and a real test are judged by the same code (and, later, compared reading by
/// reading). Needs: burn, judge. Allocates: one block per call.
#pragma once
#include "burn/burn.h"
#include "judge/judge.h"

/// One simulated candle as a dossier. Owned; ep_observed_destroy.
typedef struct ep_observed {
    ep_candle_record candle;
    ep_burn_record burn[EP_MAX_SESSIONS];
    ep_reading *reading;
    int n_readings, cap_readings;
    ep_dossier dossier;  ///< borrows the above
} ep_observed;

/// Readings are taken as the bench protocol asks: 30, 60, 120, 180, 240 min and at the end of each
/// session. Grades come from the trace's own quantities (O1-O3 in docs/physics/observe.md).
ep_status ep_observe(const ep_trace *t, const ep_burn_case *c, ep_observed **out);
void ep_observed_destroy(ep_observed *o);

/// Soot grade of a margin to the smoke point, and mushroom grade of a cap index.
int ep_soot_grade(double soot_margin_m);
int ep_mushroom_grade(double cap_index);
