// A revision: is it possible at all? Every refusal names field, value and what is allowed.
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "base/units.h"
#include "recipe/recipe.h"
#include "recipe/recipe_int.h"

double ep_shares_sum(const ep_share *share, int n)
{
    double sum = 0.0;
    for (int i = 0; i < n; i++) {
        sum += share[i].frac;
    }
    return sum;
}

static ep_status check_count(int n, int lo, int hi, const char *field, ep_err *err)
{
    if (n >= lo && n <= hi) {
        return EP_OK;
    }
    return ep_err_set(err, EP_E_ARG, field, "%s: %d is outside %d to %d", field, n, lo, hi);
}

static ep_status check_id(const char *id, const char *field, ep_err *err)
{
    if (id[0] != '\0') {
        return EP_OK;
    }
    return ep_err_set(err, EP_E_ARG, field, "%s: none is chosen; choose one", field);
}

// one list of shares: each named, above 0, none twice
static ep_status check_shares(const ep_share *share, int n, double max_frac, const char *field,
                              ep_err *err)
{
    for (int i = 0; i < n; i++) {
        ep_status s = check_id(share[i].id, field, err);
        if (s == EP_OK) {
            s = ep_range_check(share[i].frac, EP_SHARE_MIN_FRAC, max_frac, EP_U_PCT, field, err);
        }
        if (s != EP_OK) {
            return s;
        }
        for (int k = 0; k < i; k++) {
            if (strcmp(share[k].id, share[i].id) == 0) {
                return ep_err_set(err, EP_E_ARG, field,
                                  "%s: \"%s\" stands in the list twice; give each once", field,
                                  share[i].id);
            }
        }
    }
    return EP_OK;
}

static ep_status check_waxes(const ep_revision *r, ep_err *err)
{
    ep_status s = check_count(r->n_waxes, 1, EP_MAX_BLEND, "wax", err);
    if (s == EP_OK) {
        s = check_shares(r->wax, r->n_waxes, 1.0, "wax", err);
    }
    if (s != EP_OK) {
        return s;
    }
    double sum = ep_shares_sum(r->wax, r->n_waxes);
    if (fabs(sum - 1.0) <= EP_SHARE_TOLERANCE) {
        return EP_OK;
    }
    char shown[64];
    return ep_err_set(err, EP_E_ARG, "wax", "wax: the shares sum to %s, allowed 100 %%",
                      ep_quantity_format(sum, EP_U_PCT, 8, shown, sizeof shown));
}

static ep_status check_additives(const ep_revision *r, ep_err *err)
{
    ep_status s = check_count(r->n_additives, 0, EP_MAX_BLEND, "additives", err);
    if (s == EP_OK) {
        s = check_shares(r->additive, r->n_additives, EP_ADDITIVE_MAX_FRAC, "additives", err);
    }
    if (s == EP_OK) {
        s = ep_range_check(ep_shares_sum(r->additive, r->n_additives), 0.0, EP_ADDITIVE_MAX_FRAC,
                           EP_U_PCT, "additives", err);
    }
    return s;
}

// a share needs a material and a material needs a share: half of the pair is a forgotten field
static ep_status check_pair(const char *id, double frac, double max_frac, const char *thing,
                            const char *field, ep_err *err)
{
    bool chosen = id[0] != '\0';
    if (chosen || frac != 0.0) {
        ep_status s = ep_range_check(frac, EP_SHARE_MIN_FRAC, max_frac, EP_U_PCT, field, err);
        if (s != EP_OK) {
            return s;
        }
    }
    if (!chosen && frac != 0.0) {
        char shown[64];
        return ep_err_set(err, EP_E_ARG, field,
                          "%s: %s is given but no %s is chosen; choose one or write 0", field,
                          ep_quantity_format(frac, EP_U_PCT, 6, shown, sizeof shown), thing);
    }
    return EP_OK;
}

static ep_status check_wick(const ep_revision *r, ep_err *err)
{
    if (r->size_id[0] != '\0') {
        ep_status s = check_id(r->series_id, "series", err);
        if (s != EP_OK) {
            return s;
        }
    }
    ep_status s = check_count(r->wick_count, 1, EP_WICKS_MAX, "wick_count", err);
    if (s == EP_OK && r->n_places != 0 && r->n_places != r->wick_count) {
        s = ep_err_set(err, EP_E_ARG, "places",
                       "places: %d are given for %d wicks; give one for each, or none for equal "
                       "shares",
                       r->n_places, r->wick_count);
    }
    if (s == EP_OK) {
        s = ep_range_check(r->trim_m, EP_TRIM_MIN_M, EP_TRIM_MAX_M, EP_U_MM, "trim", err);
    }
    return s;
}

static ep_status check_burn(const ep_revision *r, ep_err *err)
{
    ep_status s = ep_range_check(r->fill_height_m, EP_VESSEL_FILL_MIN_M, EP_VESSEL_H_MAX_M, EP_U_MM,
                                 "fill", err);
    if (s == EP_OK) {
        s = ep_range_check(r->session_s, EP_SESSION_MIN_S, EP_SESSION_MAX_S, EP_U_H, "session",
                           err);
    }
    if (s == EP_OK) {
        s = ep_range_check(r->stop_height_m, 0.0, r->fill_height_m, EP_U_MM, "stop_height", err);
    }
    return s;
}

ep_status ep_revision_check(const ep_revision *r, ep_err *err)
{
    ep_status s = check_count(r->number, 1, 9999, "number", err);
    if (s == EP_OK) {
        s = check_id(r->container_id, "container", err);
    }
    if (s == EP_OK) {
        s = check_waxes(r, err);
    }
    if (s == EP_OK && (int)r->load_basis != EP_LOAD_OF_WAX && r->load_basis != EP_LOAD_OF_TOTAL) {
        s = ep_err_set(err, EP_E_ARG, "load_basis", "load_basis: %d, allowed of_wax or of_total",
                       (int)r->load_basis);
    }
    if (s == EP_OK) {
        s = check_pair(r->fragrance_id, r->load_frac, EP_LOAD_MAX_FRAC, "fragrance", "load", err);
    }
    if (s == EP_OK) {
        s = check_pair(r->dye_id, r->dye_of_wax_frac, EP_DYE_MAX_FRAC, "dye", "dye", err);
    }
    if (s == EP_OK) {
        s = check_additives(r, err);
    }
    if (s == EP_OK) {
        s = check_burn(r, err);
    }
    if (s == EP_OK) {
        s = check_wick(r, err);
    }
    return s;
}

void ep_revision_places(const ep_revision *r, const ep_vessel *v, ep_place *out)
{
    if (r->n_places == r->wick_count) {
        for (int i = 0; i < r->n_places; i++) {
            out[i] = r->place[i];
        }
        return;
    }
    ep_places_default(v, r->fill_height_m, r->wick_count, out);
}
