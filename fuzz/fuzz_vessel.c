// Any bytes as a vessel: what the check accepts obeys the laws of geometry.
#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "vessel/vessel.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(int holds)
{
    if (!holds) {
        abort();
    }
}

static void laws(const ep_vessel *v, double at_frac)
{
    double brim_m = ep_vessel_height_m(v), full_m3 = ep_vessel_volume_m3(v, brim_m);
    must(full_m3 > 0.0 && isfinite(full_m3));
    double h_m = at_frac * brim_m, volume_m3 = ep_vessel_volume_m3(v, h_m);
    must(volume_m3 >= 0.0 && volume_m3 <= full_m3);
    double lo_m, hi_m, d_m = 2.0 * ep_vessel_radius_m(v, h_m);
    ep_vessel_width_range_m(v, h_m, &lo_m, &hi_m);
    must(lo_m <= d_m && d_m <= hi_m);
    must(ep_vessel_wall_area_m2(v, h_m) >= 3.141592 * lo_m * h_m * (1.0 - 1e-6));
    double back_m = -1.0;
    must(ep_vessel_height_of(v, volume_m3, &back_m, NULL) == EP_OK);
    must(fabs(ep_vessel_volume_m3(v, back_m) - volume_m3) <= 1e-12 * full_m3);
    ep_water_check c;
    if (ep_vessel_water_check(v, at_frac, 293.15, brim_m, &c, NULL) == EP_OK) {
        must(isfinite(c.ratio) && c.ratio > 0.0 && isfinite(c.diameter_error_m));
    }
}

// the bytes as they are: mostly nonsense, which must be refused with its reason
static void raw(const uint8_t *data, size_t size)
{
    ep_vessel v;
    if (size < sizeof v) {
        return;
    }
    memcpy(&v, data, sizeof v);
    ep_err err = {0};
    if (ep_vessel_check(&v, &err) == EP_OK) {
        laws(&v, 0.37);
    } else {
        must(err.status == EP_E_ARG && err.field[0] != '\0' && err.text[0] != '\0');
    }
}

static double take(const uint8_t **p, const uint8_t *end)
{
    uint16_t bits = 0;
    if (end - *p >= 2) {
        memcpy(&bits, *p, 2);
        *p += 2;
    }
    return bits / 65535.0;
}

// two bytes per number, scaled so that most vessels are possible ones
static void scaled(const uint8_t *data, size_t size)
{
    const uint8_t *p = data, *end = data + size;
    double at_frac = take(&p, end);
    ep_vessel v = {.n_stations = 2 + (int)(take(&p, end) * 31.0),
                   .wall_m = 0.03 * take(&p, end),
                   .base_m = 0.03 * take(&p, end)};
    double h_m = 0.0;
    for (int i = 0; i < v.n_stations && i < EP_VESSEL_MAX_STATIONS; i++) {
        v.station[i].height_m = h_m;
        v.station[i].inner_diameter_m = 0.41 * take(&p, end);
        h_m += 0.05 * take(&p, end);
    }
    if (ep_vessel_check(&v, NULL) == EP_OK) {
        laws(&v, at_frac);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    raw(data, size);
    scaled(data, size);
    return 0;
}
