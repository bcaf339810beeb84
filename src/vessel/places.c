// Where wicks stand: equal shares of the plan, and the clearances of a layout. Eq. G13.
#include <assert.h>
#include <math.h>

#include "vessel/vessel.h"
#include "vessel/vessel_int.h"

// ring through the middle of equal shares: the circle that halves the plan's area, drawn in a
// little for few wicks so that flames keep off the wall
static void on_ring(double half_m, int n, ep_place *out)
{
    double ring_m = half_m * (n == 3 ? 0.50 : 0.56);
    for (int i = 0; i < n; i++) {
        double angle = 2.0 * EP_PI * i / n;
        out[i] = (ep_place){ring_m * cos(angle), ring_m * sin(angle)};
    }
}

static void on_rows(double half_x_m, double half_y_m, int n, ep_place *out)
{
    // one row along the longer side, or two when that makes the shares squarer
    int rows = n >= 4 && half_y_m > 0.6 * half_x_m && n % 2 == 0 ? 2 : 1;
    int per_row = n / rows;
    for (int i = 0; i < n; i++) {
        int row = i / per_row, at = i % per_row;
        out[i] = (ep_place){half_x_m * (2.0 * at + 1.0 - per_row) / per_row,
                            rows == 1 ? 0.0 : half_y_m * (row == 0 ? 0.5 : -0.5)};
    }
}

void ep_places_default(const ep_vessel *v, double height_m, int n_wicks, ep_place *out)
{
    assert(n_wicks >= 1 && n_wicks <= EP_MAX_WICKS);
    const double half_x_m = ep_vessel_radius_m(v, height_m);
    const double half_y_m = ep_vessel_across_m(v, half_x_m);
    if (n_wicks == 1) {
        out[0] = (ep_place){0.0, 0.0};
    } else if (n_wicks == 2 && v->outline == EP_OUTLINE_ROUND) {
        out[0] = (ep_place){0.5 * half_x_m, 0.0};
        out[1] = (ep_place){-0.5 * half_x_m, 0.0};
    } else if (v->outline == EP_OUTLINE_ROUND || (n_wicks == 3 && half_y_m > 0.8 * half_x_m)) {
        on_ring(half_y_m, n_wicks, out);
    } else {
        on_rows(half_x_m, half_y_m, n_wicks, out);
    }
}

void ep_places_clearance(const ep_vessel *v, double height_m, int n_wicks, const ep_place *place,
                         double *wall_m, double *apart_m)
{
    *wall_m = (double)INFINITY;
    *apart_m = (double)INFINITY;
    for (int i = 0; i < n_wicks; i++) {
        *wall_m = fmin(*wall_m, ep_vessel_gap_m(v, height_m, place[i].x_m, place[i].y_m));
        for (int k = 0; k < i; k++) {
            *apart_m =
                fmin(*apart_m, hypot(place[i].x_m - place[k].x_m, place[i].y_m - place[k].y_m));
        }
    }
}
