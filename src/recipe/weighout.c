// The weigh-out of a batch: masses from geometry and density, rounded to what the scale can show.
// Identities R4-R6 in docs/physics/recipe.md.
#include <math.h>
#include <string.h>

#include "base/units.h"
#include "recipe/recipe.h"
#include "recipe/recipe_int.h"

double ep_fill_mass_kg(const ep_melt *melt, const ep_vessel *v, double fill_height_m)
{
    return melt->rho_solid_kg_m3.value * ep_vessel_volume_m3(v, fill_height_m);  // R4
}

// the scale: whole steps of its resolution, and how far the worst part was moved
typedef struct scale {
    double step_kg;
    double steps;  // of all parts so far; whole, so sums are exact
    double worst_frac;
} scale;

static double weigh(scale *s, double wanted_kg)
{
    double steps = round(wanted_kg / s->step_kg);
    double shown_kg = steps * s->step_kg;
    s->steps += steps;
    if (wanted_kg > 0.0) {
        s->worst_frac = fmax(s->worst_frac, fabs(shown_kg - wanted_kg) / wanted_kg);
    }
    return shown_kg;
}

static ep_status check_batch(const ep_revision *r, const ep_melt *melt, const ep_vessel *v,
                             int candles, double loss_frac, double residue_kg, double resolution_kg,
                             ep_err *err)
{
    ep_status s = ep_revision_check(r, err);
    if (s == EP_OK) {
        s = ep_vessel_check(v, err);
    }
    if (s == EP_OK) {
        s = ep_range_check(r->fill_height_m, EP_VESSEL_FILL_MIN_M, ep_vessel_height_m(v), EP_U_MM,
                           "fill", err);
    }
    if (s == EP_OK) {
        s = ep_range_check(melt->rho_solid_kg_m3.value, 500.0, 1500.0, EP_U_KG_M3, "density", err);
    }
    if (s == EP_OK && (candles < 1 || candles > EP_BATCH_MAX)) {
        s = ep_err_set(err, EP_E_ARG, "candles", "candles: %d is outside 1 to %d", candles,
                       EP_BATCH_MAX);
    }
    if (s == EP_OK) {
        s = ep_range_check(loss_frac, 0.0, EP_LOSS_MAX_FRAC, EP_U_PCT, "loss", err);
    }
    if (s == EP_OK) {
        s = ep_range_check(residue_kg, 0.0, EP_RESIDUE_MAX_KG, EP_U_G, "residue", err);
    }
    if (s == EP_OK) {
        s = ep_range_check(resolution_kg, EP_RESOLUTION_MIN_KG, EP_RESOLUTION_MAX_KG, EP_U_G,
                           "resolution", err);
    }
    return s;
}

// R6: every part on its own, so that what is written is what the scale can be made to show
static void round_parts(const ep_revision *r, const ep_mix *mix, double total_kg, ep_weighout *out)
{
    scale s = {.step_kg = out->resolution_kg};
    for (int i = 0; i < r->n_waxes; i++) {
        out->wax_kg[i] = weigh(&s, total_kg * mix->wax_frac * r->wax[i].frac);
    }
    double wax_kg = s.steps * s.step_kg;
    out->fragrance_kg = weigh(&s, total_kg * mix->fragrance_frac);
    out->dye_kg = weigh(&s, total_kg * mix->dye_frac);
    for (int i = 0; i < r->n_additives; i++) {
        out->additive_kg[i] = weigh(&s, total_kg * mix->wax_frac * r->additive[i].frac);
    }
    out->total_kg = s.steps * s.step_kg;
    out->rounding_frac = s.worst_frac;
    out->load_of_wax = wax_kg > 0.0 ? out->fragrance_kg / wax_kg : 0.0;
    out->load_of_total = wax_kg > 0.0 ? out->fragrance_kg / out->total_kg : 0.0;
}

ep_status ep_weighout_make(const ep_revision *r, const ep_melt *melt, const ep_vessel *v,
                           int candles, double loss_frac, double residue_kg, double resolution_kg,
                           ep_weighout *out, ep_err *err)
{
    ep_status s = check_batch(r, melt, v, candles, loss_frac, residue_kg, resolution_kg, err);
    ep_mix mix;
    if (s == EP_OK) {
        s = ep_mix_make(r->load_frac, r->load_basis, r->dye_of_wax_frac,
                        ep_shares_sum(r->additive, r->n_additives), &mix, err);
    }
    if (s != EP_OK) {
        return s;
    }
    ep_weighout w;
    memset(&w, 0, sizeof w);
    w.candles = candles;
    w.fill_kg = ep_fill_mass_kg(melt, v, r->fill_height_m);
    w.resolution_kg = resolution_kg;
    w.loss_frac = loss_frac;
    double total_kg = candles * w.fill_kg * (1.0 + loss_frac) + residue_kg;  // R5
    round_parts(r, &mix, total_kg, &w);
    for (int i = 0; i < r->n_waxes; i++) {
        if (w.wax_kg[i] <= 0.0) {
            char step[64], all[64];
            return ep_err_set(err, EP_E_ARG, "resolution",
                              "resolution: %s is too coarse for a batch of %s, the wax rounds to "
                              "nothing; allowed at most twice the smallest wax part",
                              ep_quantity_format(resolution_kg, EP_U_G, 4, step, sizeof step),
                              ep_quantity_format(total_kg, EP_U_G, 4, all, sizeof all));
        }
    }
    *out = w;
    return EP_OK;
}
