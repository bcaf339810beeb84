/// Shared by the recipe files of the app room only.
#pragma once
#include "app/app_int.h"

typedef struct ep_recipe_state {
    const char *key;  ///< "described", "planned", "testing", "proven", "rejected"
    char text[240];
    int candles_poured;
} ep_recipe_state;

ep_status ep_recipe_state_of(ep_app *app, const ep_revision *newest, ep_recipe_state *out,
                             ep_err *err);

/// Write the fields given in `in` over *r; what is not given stays. `first` also fills in what a
/// new recipe leaves open (headspace, trim, session, stop height, number of wicks).
ep_status ep_revision_read(ep_app *app, const json_t *in, bool first, ep_revision *r, ep_err *err);

/// Places as given; another number of wicks without places goes back to equal shares.
void ep_revision_read_places(const json_t *in, int wicks_before, ep_revision *r);

/// The fill height as given or from the headspace; one of the two. Without either it is kept by its
/// headspace in the container `before`; NULL: a new recipe, filled as is common.
ep_status ep_revision_read_fill(const json_t *in, const ep_vessel *before, const ep_vessel *v,
                                ep_revision *r, ep_err *err);

/// Into `o`: where wicks stand, and how clear of the wall and of each other at a height.
void ep_shape_places(json_t *o, const ep_vessel *v, double height_m, int n_wicks,
                     const ep_place *place);

/// Would the engine burn this? What no forecast takes is no recipe: errors name the field typed,
/// value and range. Under the lock. EP_OK while the series has no sizes.
ep_status ep_revision_burnable(ep_app *app, const ep_revision *r, ep_err *err);
