/// Flames that stand near each other: which burn as one, how much taller, and whether the common
/// flame beats. Equations B24-B26 in docs/physics/burn.md. Pure functions of their arguments.
/// Needs: base, vessel (EP_MAX_WICKS). Allocates: nothing.
#pragma once
#include <stdbool.h>

#include "vessel/vessel.h"

/// Width of a candle's flame, m (7 to 10 mm at 30 to 45 mm height, from memory).
#define EP_FLAME_WIDE_M 8e-3

/// The flame one wick takes part in.
typedef struct ep_common_flame {
    int flames;         ///< that burn as one; 1 = stands alone, 0 = not lit
    double stretch;     ///< its height over that of one alone, 1..1.5
    double across_m;    ///< width of the whole
    double flicker_Hz;  ///< beat of a common flame of three or more, else 0
} ep_common_flame;

/// Sort n flames (1..EP_MAX_WICKS) at x, y into common flames; out[i] tells what flame i burns in.
/// Two merge where one envelope round both is shorter than the two outlines, Eq. B24 (a gap of
/// 0.57 widths, 4.6 mm; 3 to 5 mm seen). Height goes with flames over envelope, Eq. B25, up to
/// half as tall again (Fire 4 (2021) 51). Frequency 1.5/sqrt(across), Eq. B26 (Cetegen and Ahmed
/// 1993); one or two flames stand steady (Manoj et al. 2018).
void ep_flames_merge(const double *x_m, const double *y_m, const bool *lit, int n,
                     ep_common_flame *out);
