// Where the flames stand over the columns. Neither ever moves, so distances, and how the heat of a
// flame's foot spreads on the wax (Eq. B10), are worked out once.
#include <math.h>

#include "burn/jar_int.h"

// whole jar: the part's sum for a flame and for its images, which lie in different parts
static void add_images(ep_jar *j)
{
    double sum_m2[EP_MAX_WICKS] = {0.0};
    int images[EP_MAX_WICKS] = {0};
    for (int n = 0; n < j->n_flames; n++) {
        sum_m2[j->flame[n].wick] += j->flame[n].foot_m2;
        images[j->flame[n].wick]++;
    }
    for (int n = 0; n < j->n_flames; n++) {
        int w = j->flame[n].wick;
        j->flame[n].foot_m2 = sum_m2[w] * j->copies / images[w];
    }
}

static bool take_columns(ep_jar *j, jar_flame *f)
{
    f->away_m = ep_arena_alloc(&j->arena, (size_t)j->n_columns, sizeof *f->away_m);
    f->foot = ep_arena_alloc(&j->arena, (size_t)j->n_columns, sizeof *f->foot);
    return f->away_m && f->foot;
}

ep_status ep_jar_lay_feet(ep_jar *j)
{
    for (int n = 0; n < j->n_flames; n++) {
        jar_flame *f = &j->flame[n];
        if (!take_columns(j, f)) {
            return EP_E_MEMORY;
        }
        for (int c = 0; c < j->n_columns; c++) {
            f->away_m[c] = hypot(j->x_m[c] - f->x_m, j->y_m[c] - f->y_m);
            double r = f->away_m[c] / EP_FOOT_SPREAD_M;
            f->foot[c] = exp(-r * r);
            if (j->low[c] < j->nz) {
                f->foot_m2 += j->area_m2[c] * f->foot[c];
            }
        }
    }
    add_images(j);
    return EP_OK;
}
