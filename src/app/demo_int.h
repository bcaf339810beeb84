/// The demo workshop: what its files share. All of it is invented. It is written through the same
/// use cases as a maker's own book, at a clock that is set to the day of each step.
/// Needs: app. Thread use: inside ep_app_open only.
#pragma once
#include "app/app_int.h"
#include "base/rng.h"

typedef struct ep_demo {
    ep_app *app;
    ep_time_ms today;  ///< the real now; days are counted back from it
    ep_time_ms now;    ///< of the demo's own clock
    ep_rng ids, scatter;
    json_t *drawings;  ///< of data/demo/drawings.json
} ep_demo;

/// Set the demo's clock.
void ep_demo_at(ep_demo *d, double days_ago, double hours_later);

/// The next of the demo's ids.
void ep_demo_id(ep_demo *d, char id[EP_ID_CAP]);

/// Call a case by name; `in` is taken over. With a client id when the case takes one. *out may be
/// NULL, else it is owned by the caller. An error names the case.
ep_status ep_demo_call(ep_demo *d, const char *name, json_t *in, json_t **out, ep_err *err);

/// Steps of data/demo/workshop.json: settings, containers, materials, series, lots, recipes.
ep_status ep_demo_shelf(ep_demo *d, ep_err *err);

/// Pours, burn sessions with their readings, the decision.
ep_status ep_demo_burns(ep_demo *d, ep_err *err);

/// Drawings of candles, as they are packed in; owned by the caller.
ep_status ep_demo_drawings_read(json_t **list, ep_err *err);

/// The drawing of a candle with this wick at this minute of its n-th session, when there is one,
/// kept as a photo taken with a reading (its id).
ep_status ep_demo_drawing(ep_demo *d, const char *size, int session, double minute,
                          const char *reading, ep_err *err);
