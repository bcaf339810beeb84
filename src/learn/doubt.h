/// Readings and candles that the rest of the burns do not explain, each as a question to the maker.
/// Nothing is thrown away: the likelihood lets such a reading say little, and here it is shown.
/// Needs: learn/belief. Allocates: nothing.
#pragma once
#include "learn/belief.h"

/// From this many sd on a reading is asked about; from the lower one when ten times or a tenth of
/// it would fit (a decimal point).
#define EP_DOUBT_SD      3.5
#define EP_DOUBT_SLIP_SD 2.0
/// A candle this many scatter sds from its like is asked about.
#define EP_DOUBT_CANDLE_SD 2.3

typedef struct ep_doubt {
    int run;
    int datum;              ///< index into the run's evidence; -1 = the whole candle
    int candle;             ///< of the run's dossier
    int session;            ///< 0 for a whole candle
    int ref;                ///< dossier.reading, -1 = a weighing or a whole candle
    double score;           ///< sd
    double seen, expected;  ///< in the unit of the bench
    bool slip;              ///< a decimal point would explain it
    char text[320];
} ep_doubt;

/// Worst first. @return how many were written, at most cap.
/// @param dossier  of each run, for the candles' codes
int ep_doubts(const ep_model *m, const ep_belief *b, const ep_dossier *const *dossier,
              ep_doubt *out, int cap);
