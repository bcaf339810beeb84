// Case: where do wicks stand in a container that take equal shares of the wax?
#include "app/recipe_int.h"

void ep_shape_places(json_t *o, const ep_vessel *v, double height_m, int n_wicks,
                     const ep_place *place)
{
    json_t *list = json_array();
    for (int i = 0; i < n_wicks; i++) {
        json_t *row = json_object();
        ep_out_unit(row, "x_mm", place[i].x_m, EP_U_MM);
        ep_out_unit(row, "y_mm", place[i].y_m, EP_U_MM);
        json_array_append_new(list, row);
    }
    double wall_m = 0, apart_m = 0;
    ep_places_clearance(v, height_m, n_wicks, place, &wall_m, &apart_m);
    ep_out_new(o, "places", list);
    ep_out_unit(o, "wall_clearance_mm", wall_m, EP_U_MM);
    ep_out_unit(o, "wick_clearance_mm", apart_m, EP_U_MM);
}

// another width at the fill line; the widest and the narrowest place must still be a container's
static ep_status read_width(const json_t *in, double fill_m, ep_vessel *v, ep_err *err)
{
    if (!ep_in_has(in, "inner_diameter")) {
        return EP_OK;
    }
    const double inner_m = ep_in_real(in, "inner_diameter", 0.0);
    const double was_m = 2.0 * ep_vessel_radius_m(v, fill_m);
    double least_m = 0.0, most_m = 0.0;
    ep_vessel_width_range_m(v, ep_vessel_height_m(v), &least_m, &most_m);
    ep_vessel_widen(v, fill_m, inner_m);
    return ep_range_check(inner_m, EP_VESSEL_D_MIN_M * was_m / least_m,
                          EP_VESSEL_D_MAX_M * was_m / most_m, EP_U_MM, "inner_diameter", err);
}

static json_t *shape(const ep_vessel *v, double fill_m, int n_wicks)
{
    ep_place place[EP_MAX_WICKS];
    ep_err tight = {0};
    ep_places_default(v, fill_m, n_wicks, place);
    const double half_m = ep_vessel_radius_m(v, fill_m);
    json_t *o = json_object();
    ep_out_int(o, "wick_count", n_wicks);
    ep_out_unit(o, "fill_height_mm", fill_m, EP_U_MM);
    ep_out_unit(o, "inner_diameter_mm", 2.0 * half_m, EP_U_MM);
    ep_out_unit(o, "across_mm", 2.0 * ep_vessel_across_m(v, half_m), EP_U_MM);
    ep_shape_places(o, v, fill_m, n_wicks, place);
    // they are shown all the same: it is seen where room is missing
    const char *field = n_wicks > 1 ? "wick_count" : "inner_diameter";
    const bool fit = ep_places_check(v, fill_m, n_wicks, place, field, &tight) == EP_OK;
    ep_out_text(o, "problem", fit ? NULL : tight.text);
    return o;
}

ep_status ep_case_places(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP];
    ep_vessel v;
    ep_revision r = {0};
    ep_status status = ep_find_container(app, ep_in_text(in, "id"), "id", id, err);
    status = status == EP_OK ? ep_app_container_load(app, id, &v, NULL, err) : status;
    status = status == EP_OK ? ep_revision_read_fill(in, NULL, &v, &r, err) : status;
    status = status == EP_OK ? read_width(in, r.fill_height_m, &v, err) : status;
    if (status == EP_OK) {
        char name[80];
        *out = shape(&v, r.fill_height_m, ep_in_int(in, "wick_count", 1));
        ep_out_ref(*out, "container", id, ep_app_name(app, id, name, sizeof name));
    }
    return status;
}
