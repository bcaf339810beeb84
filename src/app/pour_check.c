// What a maker should look at again after a pour: load, mass and temperatures that stray from the
// recipe and the waxes, and slips between C and F. Nothing here refuses; the pour is what it was.
// Bands are house rules of this program, common practice without a source.
#include <math.h>

#include "app/bench_int.h"

static const double load_band_frac = 0.005;  // of wax: half a point
static const double mass_band = 0.03;        // relative
static const double temp_band_K = 8.0;
static const double flash_margin_K = 30.0;
static const double zero_C_K = 273.15;

static double as_C(double T_K)
{
    return T_K - zero_C_K;
}

static double F_of_C(double C)
{
    return C * 1.8 + 32.0;
}

static double C_of_F(double F)
{
    return (F - 32.0) / 1.8;
}

// the same figure in the other scale would have been near what was wanted
static const char *slip(double seen_K, double wanted_K, double *meant_C)
{
    double seen_C = as_C(seen_K), wanted_C = as_C(wanted_K);
    if (fabs(C_of_F(seen_C) - wanted_C) <= 15.0) {
        *meant_C = C_of_F(seen_C);
        return "C";
    }
    if (fabs(F_of_C(seen_C) - wanted_C) <= 15.0) {
        *meant_C = F_of_C(seen_C);
        return "F";
    }
    return NULL;
}

static void temperature(double seen_K, double wanted_K, const char *what, json_t *warnings)
{
    if (isnan(seen_K) || !(wanted_K > 0.0) || fabs(seen_K - wanted_K) <= temp_band_K) {
        return;
    }
    double meant_C = 0.0;
    const char *unit = slip(seen_K, wanted_K, &meant_C);
    if (unit && *unit == 'C') {
        ep_warn(warnings, "%s %.0f C: did you mean %.0f F (%.0f C)? The wax asks for about %.0f C.",
                what, as_C(seen_K), as_C(seen_K), meant_C, as_C(wanted_K));
    } else if (unit) {
        ep_warn(warnings, "%s %.0f F (%.0f C): did you mean %.0f C? The wax asks for about %.0f C.",
                what, F_of_C(as_C(seen_K)), as_C(seen_K), meant_C, as_C(wanted_K));
    } else {
        ep_warn(warnings, "%s %.0f C is %.0f K %s than the %.0f C of the wax.", what, as_C(seen_K),
                fabs(seen_K - wanted_K), seen_K > wanted_K ? "hotter" : "colder", as_C(wanted_K));
    }
}

// the hottest the wax was has no wanted value; what matters is the flash point below it
static void peak(const ep_pour_facts *f, const ep_pour_plan *plan, json_t *warnings)
{
    if (isnan(f->wax_peak_K)) {
        return;
    }
    double meant_C = 0.0;
    const char *unit = slip(f->wax_peak_K, fmax(plan->add_K, plan->pour_K), &meant_C);
    if (unit && *unit == 'C') {
        ep_warn(warnings, "hottest wax %.0f C: did you mean %.0f F (%.0f C)?", as_C(f->wax_peak_K),
                as_C(f->wax_peak_K), meant_C);
    }
    if (f->wax_peak_K > plan->flash_K - flash_margin_K) {
        ep_warn(
            warnings,
            "hottest wax %.0f C is within %.0f K of its flash point (%.0f C): never leave melting "
            "wax alone, and follow the safety data sheet.",
            as_C(f->wax_peak_K), flash_margin_K, as_C(plan->flash_K));
    }
    if (f->wax_peak_K < plan->solidus_K) {
        ep_warn(warnings, "hottest wax %.0f C is below where it starts to melt (%.0f C).",
                as_C(f->wax_peak_K), as_C(plan->solidus_K));
    }
    double added_K = fmax(isnan(f->add_K) ? 0.0 : f->add_K, isnan(f->pour_K) ? 0.0 : f->pour_K);
    if (added_K > f->wax_peak_K + 1.0) {
        ep_warn(warnings, "hottest wax %.0f C is below another temperature of this pour (%.0f C).",
                as_C(f->wax_peak_K), as_C(added_K));
    }
}

static void load(const ep_pour_facts *f, const ep_pour_plan *plan, json_t *warnings)
{
    if (isnan(f->wax_kg) || isnan(f->fragrance_kg) || !(f->wax_kg > 0.0)) {
        return;
    }
    double load_of_wax = f->fragrance_kg / f->wax_kg;
    if (fabs(load_of_wax - plan->load_of_wax) > load_band_frac) {
        ep_warn(warnings,
                "load %.2f %% of wax as weighed, %.2f %% in the recipe: these candles test "
                "another load.",
                load_of_wax * 100.0, plan->load_of_wax * 100.0);
    }
    if (load_of_wax > plan->max_load_of_wax + 1e-9) {
        ep_warn(warnings, "load %.2f %% of wax is more than the %.1f %% these waxes hold.",
                load_of_wax * 100.0, plan->max_load_of_wax * 100.0);
    }
}

static void dye(const ep_pour_facts *f, const ep_pour_plan *plan, json_t *warnings)
{
    if (isnan(f->wax_kg) || isnan(f->dye_kg) || !(f->wax_kg > 0.0)) {
        return;
    }
    double share = f->dye_kg / f->wax_kg;
    // a pinch of dye is weighed coarsely
    if (fabs(share - plan->dye_of_wax) > fmax(0.0005, plan->dye_of_wax * 0.2)) {
        ep_warn(warnings, "dye %.3f %% of wax as weighed, %.3f %% in the recipe.", share * 100.0,
                plan->dye_of_wax * 100.0);
    }
}

// all that went into the pot, additives as the recipe says; NaN when the wax was not weighed
static double pot_kg(const ep_pour_facts *f, const ep_pour_plan *plan)
{
    if (isnan(f->wax_kg)) {
        return EP_NOT_KNOWN;
    }
    double fragrance_kg = isnan(f->fragrance_kg) ? f->wax_kg * plan->load_of_wax : f->fragrance_kg;
    double dye_kg = isnan(f->dye_kg) ? f->wax_kg * plan->dye_of_wax : f->dye_kg;
    return f->wax_kg * (1.0 + plan->additive_of_wax) + fragrance_kg + dye_kg;
}

double ep_pour_candle_kg(const ep_pour_facts *f, const ep_pour_plan *plan)
{
    double pot = pot_kg(f, plan);
    return isnan(pot) ? plan->fill_kg : fmin(plan->fill_kg, pot / f->candles);
}

static void fill(const ep_pour_facts *f, const ep_pour_plan *plan, json_t *warnings)
{
    double pot = pot_kg(f, plan), wanted = plan->fill_kg * f->candles;
    if (isnan(pot)) {
        return;
    }
    if (pot < wanted * (1.0 - mass_band)) {
        ep_warn(warnings,
                "%.0f g in the pot do not fill %d candles of %.0f g to the line (%.0f g).",
                pot * 1e3, f->candles, plan->fill_kg * 1e3, wanted * 1e3);
    } else if (pot > wanted * 1.25) {
        ep_warn(warnings, "%.0f g in the pot are far more than %d candles of %.0f g take (%.0f g).",
                pot * 1e3, f->candles, plan->fill_kg * 1e3, wanted * 1e3);
    }
}

static void around(const ep_pour_facts *f, json_t *warnings)
{
    if (!isnan(f->vessel_K) && as_C(f->vessel_K) < 15.0) {
        ep_warn(warnings, "containers at %.0f C: cold containers give wet spots and rough tops.",
                as_C(f->vessel_K));
    }
    if (!isnan(f->room_K) && (as_C(f->room_K) < 15.0 || as_C(f->room_K) > 30.0)) {
        ep_warn(warnings, "room at %.0f C: setting changes outside 15 to 30 C.", as_C(f->room_K));
    }
}

void ep_pour_warn(const ep_pour_facts *f, const ep_pour_plan *plan, json_t *warnings)
{
    load(f, plan, warnings);
    dye(f, plan, warnings);
    fill(f, plan, warnings);
    peak(f, plan, warnings);
    // an unscented wax has nothing to add
    temperature(f->add_K, plan->load_of_wax > 0.0 ? plan->add_K : 0.0, "fragrance added at",
                warnings);
    temperature(f->pour_K, plan->pour_K, "poured at", warnings);
    around(f, warnings);
}
