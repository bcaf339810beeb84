/// An invented revision, jar and mix, for the tests of this room.
#pragma once
#include "recipe/recipe.h"

static inline ep_revision sample_revision(void)
{
    return (ep_revision){
        .id = "rev-1",
        .recipe_id = "rec-1",
        .number = 1,
        .container_id = "jar-a",
        .fill_height_m = 0.070,
        .n_waxes = 2,
        .wax = {{"wax-a", 0.8}, {"wax-b", 0.2}},
        .fragrance_id = "scent-a",
        .load_frac = 0.08,
        .load_basis = EP_LOAD_OF_WAX,
        .dye_id = "dye-a",
        .dye_of_wax_frac = 0.001,
        .n_additives = 1,
        .additive = {{"add-a", 0.02}},
        .series_id = "series-a",
        .size_id = "size-3",
        .wick_count = 1,
        .trim_m = 0.006,
        .session_s = 4.0 * 3600.0,
        .stop_height_m = 0.010,
    };
}

static inline ep_vessel sample_vessel(void)
{
    ep_vessel v = ep_vessel_straight(0.070, 0.090, 0.003, 0.005);
    v.station[1].inner_diameter_m = 0.074;
    return v;
}

static inline ep_melt sample_melt(void)
{
    return (ep_melt){.rho_solid_kg_m3 = {.value = 905.0, .lo = 890.0, .hi = 920.0}};
}
