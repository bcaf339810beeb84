// Fragrance load on its two bases, and the mass fractions of the poured mix.
// Identities R1-R3 in docs/physics/recipe.md.
#include <string.h>

#include "base/units.h"
#include "recipe/recipe.h"

static const char *const basis_keys[] = {
    [EP_LOAD_OF_WAX] = "of_wax", [EP_LOAD_OF_TOTAL] = "of_total"};

const char *ep_load_basis_key(ep_load_basis basis)
{
    return basis_keys[basis];
}

bool ep_load_basis_find(const char *key, ep_load_basis *out)
{
    for (int i = 0; key && i < 2; i++) {
        if (strcmp(key, basis_keys[i]) == 0) {
            *out = (ep_load_basis)i;
            return true;
        }
    }
    return false;
}

double ep_load_to_total(double of_wax_frac, double additive_of_wax_frac)
{
    return of_wax_frac / (1.0 + of_wax_frac + additive_of_wax_frac);  // R1
}

double ep_load_to_wax(double of_total_frac, double additive_of_wax_frac)
{
    return of_total_frac * (1.0 + additive_of_wax_frac) / (1.0 - of_total_frac);  // R2
}

ep_status ep_mix_make(double load_frac, ep_load_basis basis, double dye_of_wax_frac,
                      double additive_of_wax_frac, ep_mix *out, ep_err *err)
{
    ep_status s = ep_range_check(load_frac, 0.0, EP_LOAD_MAX_FRAC, EP_U_PCT, "load", err);
    if (s == EP_OK) {
        s = ep_range_check(dye_of_wax_frac, 0.0, EP_DYE_MAX_FRAC, EP_U_PCT, "dye", err);
    }
    if (s == EP_OK) {
        s = ep_range_check(additive_of_wax_frac, 0.0, EP_ADDITIVE_MAX_FRAC, EP_U_PCT, "additives",
                           err);
    }
    if (s != EP_OK) {
        return s;
    }
    double a = dye_of_wax_frac + additive_of_wax_frac;
    double p = basis == EP_LOAD_OF_WAX ? load_frac : ep_load_to_wax(load_frac, a);
    double wax_frac = 1.0 / (1.0 + p + a);  // R3
    *out = (ep_mix){
        .wax_frac = wax_frac,
        .fragrance_frac = p * wax_frac,
        .dye_frac = dye_of_wax_frac * wax_frac,
        .additive_frac = additive_of_wax_frac * wax_frac,
        .load_of_wax = p,
        .load_of_total = basis == EP_LOAD_OF_TOTAL ? load_frac : ep_load_to_total(p, a),
    };
    return EP_OK;
}
