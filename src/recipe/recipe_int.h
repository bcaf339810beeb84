/// Shared by the files of this room only.
#pragma once
#include "recipe/recipe.h"

// within these two revisions make the same candle
#define EP_SHARE_TOLERANCE    1e-6
#define EP_DYE_TOLERANCE      1e-8  // liquid dye starts at 0.005 % of wax
#define EP_LENGTH_TOLERANCE_M 1e-7
#define EP_TIME_TOLERANCE_S   1e-3

double ep_shares_sum(const ep_share *share, int n);
