// From the physical description of a wick size to what the flame and the melt feel of it.
// Equations W1-W4 in docs/physics/wick.md. Not here: how the wick feeds and trims itself in time.
#include "matter/wick.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#define PI         3.14159265358979323846
#define ZINC_KG_M3 7140.0
// capillary radius between cotton fibres, middle of 10..40 um
#define COTTON_PORE_M 15e-6

// porosities that a bundle of fibres or a strip of wood can have
#define POROSITY_MIN 0.2
#define POROSITY_MAX 0.95

static double disc_m2(double diameter_m)
{
    return PI * diameter_m * diameter_m / 4.0;
}

static double wire_kg_m(const ep_wick_size *s)
{
    return ZINC_KG_M3 * disc_m2(s->core_m);
}

// 0 means "not given"; anything else must lie in the range
static ep_status check_optional(double value_m, double lo_m, double hi_m, const char *field,
                                ep_err *err)
{
    if (value_m == 0.0) {
        return EP_OK;
    }
    return ep_range_check(value_m, lo_m, hi_m, EP_U_MM, field, err);
}

static ep_status check_ranges(const ep_wick_size *s, ep_err *err)
{
    ep_status status =
        ep_range_check(s->linear_density_kg_m, 0.1e-3, 20e-3, EP_U_G_M, "linear_density", err);
    if (status == EP_OK) {
        status = check_optional(s->width_m, 0.3e-3, 50e-3, "width", err);
    }
    if (status == EP_OK) {
        status = check_optional(s->thickness_m, 0.1e-3, 6e-3, "thickness", err);
    }
    if (status == EP_OK) {
        status = check_optional(s->core_m, 0.1e-3, 1.5e-3, "core", err);
    }
    return status;
}

ep_status ep_wick_size_check(const ep_wick_size *s, ep_err *err)
{
    assert(s);
    ep_status status = check_ranges(s, err);
    if (status != EP_OK) {
        return status;
    }
    if (s->thickness_m > 0.0 && s->width_m == 0.0) {
        return ep_err_set(err, EP_E_ARG, "width",
                          "width: none given, but a thickness of %.3g mm; a flat or wooden wick "
                          "needs 0.3 mm to 50 mm",
                          s->thickness_m * 1e3);
    }
    if (s->thickness_m > s->width_m) {
        return ep_err_set(err, EP_E_ARG, "thickness",
                          "thickness: %.3g mm is more than the width, allowed is up to %.3g mm",
                          s->thickness_m * 1e3, s->width_m * 1e3);
    }
    double body_m = s->thickness_m > 0.0 ? s->thickness_m : s->width_m;
    if (body_m > 0.0 && s->core_m >= body_m) {
        return ep_err_set(err, EP_E_ARG, "core",
                          "core: %.3g mm fills the wick, allowed is less than its %.3g mm",
                          s->core_m * 1e3, body_m * 1e3);
    }
    if (wire_kg_m(s) >= s->linear_density_kg_m) {
        return ep_err_set(err, EP_E_ARG, "core",
                          "core: a wire of %.3g mm alone weighs %.3g g/m, the whole wick is given "
                          "as %.3g g/m; allowed is less",
                          s->core_m * 1e3, wire_kg_m(s) * 1e3, s->linear_density_kg_m * 1e3);
    }
    return EP_OK;
}

double ep_kozeny_carman_m2(double porosity, double fibre_m)
{
    assert(porosity > 0.0 && porosity < 1.0 && fibre_m > 0.0);
    double solid = 1.0 - porosity;
    return porosity * porosity * porosity * fibre_m * fibre_m / (180.0 * solid * solid);
}

// the construction says whether there is a wire, the size says how thick: both or neither
static ep_status check_fit(const ep_material *c, const ep_wick_size *s, bool wooden, ep_err *err)
{
    if (wooden && (s->width_m == 0.0 || s->thickness_m == 0.0)) {
        const char *field = s->width_m == 0.0 ? "width" : "thickness";
        return ep_err_set(err, EP_E_ARG, field,
                          "%s: none given; a wooden wick needs width (0.3 mm to 50 mm) and "
                          "thickness (0.1 mm to 6 mm)",
                          field);
    }
    bool cored = c->prop[EP_WICK_CORE_K].value > 0.0;
    if (cored && s->core_m == 0.0) {
        return ep_err_set(err, EP_E_ARG, "core",
                          "core: none given; %s needs its diameter, 0.1 mm to 1.5 mm", c->name);
    }
    if (!cored && s->core_m > 0.0) {
        return ep_err_set(err, EP_E_ARG, "core",
                          "core: %.3g mm given, but %s has no metal core; allowed is 0",
                          s->core_m * 1e3, c->name);
    }
    return EP_OK;
}

// cross-section open to flow, Eq. W1 (from weight) or W2 (from measures)
static ep_status flow_area(const ep_material *c, const ep_wick_size *s, double *area_m2,
                           ep_err *err)
{
    double solid_kg_m3 = c->prop[EP_WICK_SOLID_DENSITY].value;
    double fibre_kg_m = s->linear_density_kg_m - wire_kg_m(s);
    if (s->width_m == 0.0) {
        *area_m2 = fibre_kg_m / (solid_kg_m3 * (1.0 - c->prop[EP_WICK_POROSITY].value));
        return EP_OK;
    }
    double whole_m2 = s->thickness_m > 0.0 ? s->width_m * s->thickness_m : disc_m2(s->width_m);
    *area_m2 = whole_m2 - disc_m2(s->core_m);

    // weight and measures must leave room for liquid, and not only liquid
    double porosity = 1.0 - fibre_kg_m / (solid_kg_m3 * *area_m2);
    if (porosity < POROSITY_MIN || porosity > POROSITY_MAX) {
        return ep_err_set(err, EP_E_ARG, "linear_density",
                          "linear_density: %.3g g/m in a section of %.3g mm2 gives a porosity of "
                          "%.2f, allowed is %.2f to %.2f; check width and thickness too",
                          s->linear_density_kg_m * 1e3, *area_m2 * 1e6, porosity, POROSITY_MIN,
                          POROSITY_MAX);
    }
    return EP_OK;
}

// diameter of the round rod with the same evaporating edge, Eq. W3
static double edge_diameter_m(const ep_wick_size *s, double area_m2, bool wooden)
{
    if (wooden) {
        return 2.0 * s->width_m / PI;  // both faces; the thin edges hardly count
    }
    if (s->thickness_m > 0.0) {
        return 2.0 * (s->width_m + s->thickness_m) / PI;
    }
    return sqrt(4.0 * (area_m2 + disc_m2(s->core_m)) / PI);
}

// Eq. W4: the range of the feed factor is the range of permeability
static ep_prop permeability(const ep_material *c)
{
    const ep_prop *feed = &c->prop[EP_WICK_FEED];
    const ep_prop *porosity = &c->prop[EP_WICK_POROSITY];
    const ep_prop *fibre = &c->prop[EP_WICK_FIBRE];
    double bundle_m2 = ep_kozeny_carman_m2(porosity->value, fibre->value);
    ep_prop k = *feed;
    k.value *= bundle_m2;
    k.lo *= bundle_m2;
    k.hi *= bundle_m2;
    k.how = porosity->how > k.how ? porosity->how : k.how;
    k.how = fibre->how > k.how ? fibre->how : k.how;
    return k;
}

ep_status ep_wick_law_of(const ep_material *construction, const ep_wick_size *s, ep_wick_law *out,
                         ep_err *err)
{
    assert(construction && s && out);
    if (construction->kind != EP_MAT_WICK) {
        return ep_err_set(err, EP_E_ARG, "construction",
                          "construction: %s is a %s, a wick construction is needed",
                          construction->name, ep_material_kind_key(construction->kind));
    }
    bool wooden = strncmp(construction->klass, "wooden", 6) == 0;
    double area_m2 = 0.0;
    ep_status status = ep_wick_size_check(s, err);
    if (status == EP_OK) {
        status = check_fit(construction, s, wooden, err);
    }
    if (status == EP_OK) {
        status = flow_area(construction, s, &area_m2, err);
    }
    if (status != EP_OK) {
        return status;
    }

    const ep_prop *p = construction->prop;
    *out = (ep_wick_law){
        .area_m2 = area_m2,
        .diameter_m = edge_diameter_m(s, area_m2, wooden),
        .width_m = s->thickness_m > 0.0 ? s->width_m : 0.0,
        .permeability_m2 = permeability(construction),
        .pore_radius_m = wooden ? p[EP_WICK_FIBRE].value / 2.0 : COTTON_PORE_M,
        .curl_m = p[EP_WICK_CURL],
        .trim_time_s = p[EP_WICK_TRIM_TIME],
        .core_W_m = p[EP_WICK_CORE_K].value * disc_m2(s->core_m),
        .default_trim_m = p[EP_WICK_TRIM].value,
        .wooden = wooden,
    };
    return EP_OK;
}
