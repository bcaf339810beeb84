// Reading the fields of a recipe over a revision: what is given replaces, what is null clears, what
// is not given stays.
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "app/app_int.h"
#include "app/recipe_int.h"
#include "base/text.h"
#include "burn/burn.h"

// what a new recipe starts with where nothing is said
#define HEADSPACE_M   0.010  // common practice: the lid clears the trimmed wick
#define STOP_HEIGHT_M 0.010  // EN 15426:2018 burns to 10 mm residual height

static ep_status read_container(ep_app *app, const json_t *in, ep_revision *r, ep_err *err)
{
    return ep_in_has(in, "container") ? ep_find_container(app, ep_in_text(in, "container"),
                                                          "container", r->container_id, err)
                                      : EP_OK;
}

/// Element `i` of a list of shares. A single wax is all of the wax.
static ep_status read_share(ep_app *app, const json_t *row, const char *key, size_t i, int kind,
                            bool alone, ep_share *share, ep_err *err)
{
    char field[48];
    snprintf(field, sizeof field, "%s[%zu].id", key, i + 1);
    ep_status status = ep_find_material(app, kind, ep_in_text(row, "id"), field, share->id, err);
    share->frac = ep_in_real(row, "share", alone && kind == EP_MAT_WAX ? 1.0 : (double)NAN);
    if (isnan(share->frac)) {
        const double most = kind == EP_MAT_WAX ? 1.0 : EP_ADDITIVE_MAX_FRAC;
        snprintf(field, sizeof field, "%s[%zu].share", key, i + 1);
        ep_err_next(err);
        status = ep_status_first(
            status, ep_err_set(err, EP_E_ARG, field,
                               "%s: a value is needed, share of the wax, %g %% to %g %%", field,
                               EP_SHARE_MIN_FRAC * 100.0, most * 100.0));
    }
    return status;
}

static ep_status read_shares(ep_app *app, const json_t *in, const char *key, int kind,
                             ep_share *share, int *n, ep_err *err)
{
    if (ep_in_cleared(in, key)) {
        *n = 0;
    }
    if (!ep_in_has(in, key)) {
        return EP_OK;
    }
    const json_t *list = ep_in_any(in, key);
    size_t count = json_array_size(list);
    ep_status all = EP_OK;
    *n = 0;
    for (size_t i = 0; i < count && i < EP_MAX_BLEND; i++) {
        const json_t *row = json_array_get(list, i);
        ep_err_next(err);
        all = ep_status_first(all, read_share(app, row, key, i, kind, count == 1, &share[i], err));
        (*n)++;
    }
    return all;
}

/// A material that may be taken away again with null or "none".
static ep_status read_optional(ep_app *app, const json_t *in, const char *key,
                               ep_material_kind kind, char id[EP_ID_CAP], ep_err *err)
{
    const char *text = ep_in_text(in, key);
    if (ep_in_cleared(in, key) || (text && ep_means_none(text))) {
        id[0] = '\0';
        return EP_OK;
    }
    return text ? ep_find_material(app, (int)kind, text, key, id, err) : EP_OK;
}

// a share without the material it is a share of
static ep_status refuse_share(double frac, const char *field, const char *why, ep_err *err)
{
    char shown[64];
    return ep_err_set(err, EP_E_ARG, field, "%s: %s is given, but %s", field,
                      ep_quantity_format(frac, EP_U_PCT, 6, shown, sizeof shown), why);
}

static ep_status read_scent(ep_app *app, const json_t *in, ep_revision *r, ep_err *err)
{
    ep_status status = read_optional(app, in, "fragrance", EP_MAT_FRAGRANCE, r->fragrance_id, err);
    if (status != EP_OK) {
        return status;
    }
    if (ep_in_text(in, "load_basis")) {
        ep_load_basis_find(ep_in_text(in, "load_basis"), &r->load_basis);
    }
    if (!r->fragrance_id[0]) {
        if (ep_in_real(in, "load", 0) > 0) {
            return refuse_share(ep_in_real(in, "load", 0), "load",
                                "there is no fragrance to load; name one or leave the load out",
                                err);
        }
        r->load_frac = 0;
        return EP_OK;
    }
    if (!ep_in_has(in, "load") && !(r->load_frac > 0)) {
        return ep_err_set(err, EP_E_ARG, "load",
                          "load: a value is needed with a fragrance, %g %% to %g %%",
                          EP_SHARE_MIN_FRAC * 100.0, EP_LOAD_MAX_FRAC * 100.0);
    }
    r->load_frac = ep_in_real(in, "load", r->load_frac);
    return ep_range_check(r->load_frac, EP_SHARE_MIN_FRAC, EP_LOAD_MAX_FRAC, EP_U_PCT, "load", err);
}

static ep_status read_dye(ep_app *app, const json_t *in, ep_revision *r, ep_err *err)
{
    char before[EP_ID_CAP];
    ep_copy(before, sizeof before, r->dye_id);
    ep_status status = read_optional(app, in, "dye", EP_MAT_DYE, r->dye_id, err);
    if (status != EP_OK) {
        return status;
    }
    if (!r->dye_id[0]) {
        if (ep_in_real(in, "dye_share", 0) > 0) {
            return refuse_share(ep_in_real(in, "dye_share", 0), "dye_share",
                                "there is no dye; name one or leave the share out", err);
        }
        r->dye_of_wax_frac = 0;
        return EP_OK;
    }
    bool other = strcmp(before, r->dye_id) != 0;
    if (other && !ep_in_has(in, "dye_share")) {
        ep_material dye;
        status = ep_app_material_load(app, r->dye_id, &dye, err);
        if (status == EP_OK) {
            r->dye_of_wax_frac = dye.prop[EP_DYE_TYPICAL].value;
        }
        return status;
    }
    r->dye_of_wax_frac = ep_in_real(in, "dye_share", r->dye_of_wax_frac);
    return ep_range_check(r->dye_of_wax_frac, EP_SHARE_MIN_FRAC, EP_DYE_MAX_FRAC, EP_U_PCT,
                          "dye_share", err);
}

void ep_revision_read_places(const json_t *in, int wicks_before, ep_revision *r)
{
    const json_t *list = ep_in_any(in, "places");
    if (list) {
        r->n_places = 0;
        size_t n = json_array_size(list);
        for (size_t i = 0; i < n && i < EP_MAX_WICKS; i++) {
            const json_t *row = json_array_get(list, i);
            r->place[r->n_places++] =
                (ep_place){.x_m = ep_in_real(row, "x", 0), .y_m = ep_in_real(row, "y", 0)};
        }
        if (!ep_in_has(in, "wick_count") && r->n_places > 0) {
            r->wick_count = r->n_places;
        }
    } else if (ep_in_cleared(in, "places") || r->wick_count != wicks_before) {
        r->n_places = 0;
    }
}

static ep_status read_wick(ep_app *app, const json_t *in, ep_revision *r, ep_err *err)
{
    char before[EP_ID_CAP];
    const char *size = ep_in_text(in, "size");
    ep_copy(before, sizeof before, r->series_id);
    ep_status status = EP_OK;
    if (ep_in_has(in, "series")) {
        status = ep_find_series(app, ep_in_text(in, "series"), "series", r->series_id, err);
    }
    if (status != EP_OK) {
        return status;
    }
    // sizes belong to their series
    if (strcmp(before, r->series_id) != 0 || ep_in_cleared(in, "size") ||
        (size && ep_means_none(size))) {
        r->size_id[0] = '\0';
    }
    if (size && !ep_means_none(size)) {
        status = ep_find_size(app, r->series_id, size, "size", r->size_id, err);
    }
    const int wicks_before = r->wick_count;
    r->wick_count = ep_in_int(in, "wick_count", r->wick_count);
    ep_revision_read_places(in, wicks_before, r);
    r->trim_m = ep_in_real(in, "trim", r->trim_m);
    return status;
}

/// What the engine could not burn is no recipe. Equal shares that are too tight are the count's
/// fault, or the container's.
static ep_status check_places(const ep_revision *r, const ep_vessel *v, ep_err *err)
{
    if (r->wick_count < 1 || (r->n_places > 0 && r->n_places != r->wick_count)) {
        return EP_OK;  // refused as a whole later
    }
    ep_place place[EP_MAX_WICKS];
    ep_revision_places(r, v, place);
    const char *field = r->n_places > 0 ? "places" : r->wick_count > 1 ? "wick_count" : "container";
    return ep_places_check(v, r->fill_height_m, r->wick_count, place, field, err);
}

ep_status ep_revision_read_fill(const json_t *in, const ep_vessel *before, const ep_vessel *v,
                                ep_revision *r, ep_err *err)
{
    double height_m = ep_vessel_height_m(v);
    if (ep_in_has(in, "headspace") && ep_in_has(in, "fill_height")) {
        return ep_err_set(err, EP_E_ARG, "fill_height",
                          "fill_height: give either fill_height or headspace, not both");
    }
    double fill_m =
        height_m - (before ? ep_vessel_height_m(before) - r->fill_height_m : HEADSPACE_M);
    const char *field = "headspace";
    if (ep_in_has(in, "fill_height")) {
        field = "fill_height";
        fill_m = ep_in_real(in, "fill_height", 0);
        ep_status status =
            ep_range_check(fill_m, EP_BURN_FILL_MIN_M, height_m, EP_U_MM, field, err);
        if (status != EP_OK) {
            return status;
        }
    } else {
        double headspace_m = ep_in_real(in, "headspace", height_m - fill_m);
        ep_status status =
            ep_range_check(headspace_m, 0, height_m - EP_BURN_FILL_MIN_M, EP_U_MM, field, err);
        if (status != EP_OK) {
            return status;
        }
        fill_m = height_m - headspace_m;
    }
    r->fill_height_m = fill_m;
    return EP_OK;
}

/// What a new recipe leaves open.
static ep_status fill_in(ep_app *app, ep_revision *r, ep_err *err)
{
    ep_wick_series series;
    ep_material construction;
    ep_status status = ep_app_series_load(app, r->series_id, &series, err);
    if (status == EP_OK) {
        status = ep_app_material_load(app, series.construction_id, &construction, err);
    }
    if (status != EP_OK) {
        return status;
    }
    r->trim_m = r->trim_m > 0 ? r->trim_m : construction.prop[EP_WICK_TRIM].value;
    r->session_s =
        r->session_s > 0 ? r->session_s : ep_app_setting_number(app, "session_h") * 3600.0;
    return EP_OK;
}

/// The recipe room names its own words; show the field the person filled in.
static ep_status check_revision(const ep_revision *r, ep_err *err)
{
    static const char *const names[][2] = {
        {"wax", "waxes"}, {"fill", "fill_height"}, {"dye", "dye_share"}};
    ep_err inner = {0};
    ep_status status = ep_revision_check(r, &inner);
    if (status == EP_OK) {
        return EP_OK;
    }
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        const size_t n = strlen(names[i][0]);
        if (strcmp(inner.field, names[i][0]) == 0) {
            const char *rest = strncmp(inner.text, names[i][0], n) == 0 ? inner.text + n : ":";
            return ep_err_set(err, inner.status, names[i][1], "%s%s", names[i][1], rest);
        }
    }
    return ep_err_as(err, &inner, inner.field);
}

static ep_status read_burn(ep_app *app, const json_t *in, bool first, const ep_revision *old,
                           ep_revision *r, ep_err *err)
{
    ep_vessel before, v;
    ep_status status = ep_app_container_load(app, r->container_id, &v, NULL, err);
    if (status == EP_OK && !first) {
        status = ep_app_container_load(app, old->container_id, &before, NULL, err);
    }
    if (status == EP_OK) {
        status = ep_revision_read_fill(in, first ? NULL : &before, &v, r, err);
    }
    r->session_s = ep_in_real(in, "session", r->session_s);
    // a shallow fill without a word about it stops half-way down
    const double stop_m = fmin(STOP_HEIGHT_M, 0.5 * r->fill_height_m);
    r->stop_height_m = ep_in_real(in, "stop_height", first ? stop_m : r->stop_height_m);
    if (status == EP_OK) {
        status =
            ep_range_check(r->stop_height_m, 0, fmin(EP_BURN_STOP_MAX_M, r->fill_height_m - 1e-3),
                           EP_U_MM, "stop_height", err);
    }
    return status == EP_OK ? check_places(r, &v, err) : status;
}

/// What is said about one part says nothing about another: all mistakes are told.
static ep_status read_parts(ep_app *app, const json_t *in, bool first, const ep_revision *old,
                            ep_revision *r, ep_err *err)
{
    ep_status jar = read_container(app, in, r, err);
    ep_err_next(err);
    ep_status all = read_shares(app, in, "waxes", EP_MAT_WAX, r->wax, &r->n_waxes, err);
    ep_err_next(err);
    all = ep_status_first(
        all, read_shares(app, in, "additives", EP_MAT_ADDITIVE, r->additive, &r->n_additives, err));
    ep_err_next(err);
    all = ep_status_first(all, read_scent(app, in, r, err));
    ep_err_next(err);
    all = ep_status_first(all, read_dye(app, in, r, err));
    ep_err_next(err);
    all = ep_status_first(all, read_wick(app, in, r, err));
    if (jar == EP_OK) {  // the fill is measured in the container
        ep_err_next(err);
        all = ep_status_first(all, read_burn(app, in, first, old, r, err));
    }
    return ep_status_first(jar, all);
}

ep_status ep_revision_read(ep_app *app, const json_t *in, bool first, ep_revision *r, ep_err *err)
{
    ep_revision old = *r;
    if (first) {
        r->wick_count = 1;
    }
    ep_status status = read_parts(app, in, first, &old, r, err);
    if (status == EP_OK) {
        status = fill_in(app, r, err);
    }
    if (status == EP_OK) {
        status = check_revision(r, err);
    }
    return status == EP_OK ? ep_revision_burnable(app, r, err) : status;
}
