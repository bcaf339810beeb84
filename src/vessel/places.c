// Where wicks stand: the default layout of any plan, and the clearances of a layout. Eq. G13 in
// docs/physics/geometry.md.
#include <assert.h>
#include <math.h>

#include "vessel/vessel.h"
#include "vessel/vessel_int.h"

// Ring of a round plan, a little inside the middles of equal shares so that flames keep off the
// wall. Rounded far below what can be measured, so that mirror images are so to the last digit.
static void on_ring(double half_m, int n, ep_place *out)
{
    const double ring_m = half_m * (n <= 3 ? 0.50 : 0.56);
    for (int i = 0; i < n; i++) {
        double angle = 2.0 * EP_PI * i / n;
        out[i] = (ep_place){ep_rounded(ring_m * cos(angle), 1e12),
                            ep_rounded(ring_m * sin(angle), 1e12)};
    }
}

// a round plan, however it was entered
static bool is_circle(const ep_vessel *v)
{
    const bool square = ep_vessel_across_m(v, 1.0) >= 1.0;
    return v->outline == EP_OUTLINE_ROUND || (v->outline == EP_OUTLINE_OVAL && square) ||
           (v->outline == EP_OUTLINE_RECT && square && v->corner_frac >= 1.0);
}

void ep_places_default(const ep_vessel *v, double height_m, int n_wicks, ep_place *out)
{
    assert(n_wicks >= 1 && n_wicks <= EP_MAX_WICKS);
    if (n_wicks == 1) {
        out[0] = (ep_place){0.0, 0.0};
    } else if (is_circle(v)) {
        on_ring(ep_vessel_radius_m(v, height_m), n_wicks, out);
    } else {
        ep_layout_find(v, height_m, n_wicks, out);
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

ep_status ep_places_check(const ep_vessel *v, double fill_height_m, int n_wicks,
                          const ep_place *place, const char *field, ep_err *err)
{
    for (int n = 0; n < v->n_stations; n++) {
        double wall_m = 0.0, apart_m = 0.0, height_m = v->station[n].height_m;
        if (n > 0 && v->station[n - 1].height_m >= fill_height_m) {
            break;
        }
        ep_places_clearance(v, height_m, n_wicks, place, &wall_m, &apart_m);
        if (!(wall_m >= EP_PLACE_OFF_WALL_M)) {
            return ep_err_set(err, EP_E_ARG, field,
                              "%s: a wick stands %.1f mm from the wall at %.0f mm height; at "
                              "least %.0f mm are needed",
                              field, wall_m * 1e3, height_m * 1e3, EP_PLACE_OFF_WALL_M * 1e3);
        }
        if (!(apart_m >= EP_PLACE_APART_M)) {
            return ep_err_set(err, EP_E_ARG, field,
                              "%s: two wicks stand %.1f mm apart; at least %.0f mm are needed",
                              field, apart_m * 1e3, EP_PLACE_APART_M * 1e3);
        }
    }
    return EP_OK;
}
