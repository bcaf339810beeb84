// Containers as measured at the bench: tape for the profile, water for the truth.
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "app/app_int.h"
#include "base/text.h"

enum { CURVE_STEPS = 20 };
#define WATER_TEMP_DEFAULT_K 293.15

/// What was weighed, in SI; NaN where it was not.
typedef struct weighing {
    double empty_kg, water_kg, temp_K, to_height_m;
} weighing;

static json_t *shape_profile(const ep_vessel *v)
{
    json_t *list = json_array();
    for (int i = 0; i < v->n_stations; i++) {
        json_t *o = json_object();
        ep_out_unit(o, "height_mm", v->station[i].height_m, EP_U_MM);
        ep_out_unit(o, "inner_diameter_mm", v->station[i].inner_diameter_m, EP_U_MM);
        json_array_append_new(list, o);
    }
    return list;
}

static json_t *shape_curve(const ep_vessel *v)
{
    json_t *list = json_array();
    double height_m = ep_vessel_height_m(v);
    for (int i = 0; i <= CURVE_STEPS; i++) {
        double h_m = height_m * i / CURVE_STEPS;
        json_t *o = json_object();
        ep_out_unit(o, "height_mm", h_m, EP_U_MM);
        ep_out_unit(o, "ml", ep_vessel_volume_m3(v, h_m), EP_U_ML);
        json_array_append_new(list, o);
    }
    return list;
}

static void say_water(json_t *o, const ep_water_check *c)
{
    double off_pct = fabs(c->ratio - 1.0) * 100.0;
    const char *more = c->ratio > 1.0 ? "more" : "less";
    if (c->mismatch) {
        ep_out_textf(o, "text",
                     "The water says %.1f %% %s than the tape. Measure again: all diameters off by "
                     "%.1f mm would explain it.",
                     off_pct, more, fabs(c->diameter_error_m) * 1e3);
    } else {
        ep_out_textf(o, "text", "Water and tape agree: the water says %.1f %% %s.", off_pct, more);
    }
}

static ep_status shape_water(const ep_vessel *v, const weighing *w, json_t **out, ep_err *err)
{
    *out = NULL;
    if (isnan(w->water_kg)) {
        return EP_OK;
    }
    double to_m = isnan(w->to_height_m) ? ep_vessel_height_m(v) : w->to_height_m;
    ep_water_check c;
    ep_status status = ep_vessel_water_check(v, w->water_kg, w->temp_K, to_m, &c, err);
    if (status != EP_OK) {
        return status;
    }
    json_t *o = json_object();
    ep_out_unit(o, "mass_g", w->water_kg, EP_U_G);
    ep_out_unit(o, "temp_C", w->temp_K, EP_U_DEG_C);
    ep_out_unit(o, "height_mm", to_m, EP_U_MM);
    ep_out_unit(o, "ml", c.water_m3, EP_U_ML);
    ep_out_unit(o, "profile_ml", c.profile_m3, EP_U_ML);
    ep_out_real(o, "ratio", c.ratio);
    ep_out_bool(o, "mismatch", c.mismatch != 0);
    ep_out_unit(o, "diameter_error_mm", c.diameter_error_m, EP_U_MM);
    say_water(o, &c);
    *out = o;
    return EP_OK;
}

static weighing weighing_of_row(const json_t *row)
{
    double temp_C = ep_row_real(row, "water_temp_C");
    return (weighing){
        .empty_kg = ep_unit_to_si(EP_U_G, ep_row_real(row, "empty_mass_g")),
        .water_kg = ep_unit_to_si(EP_U_G, ep_row_real(row, "water_mass_g")),
        .temp_K = isnan(temp_C) ? WATER_TEMP_DEFAULT_K : ep_unit_to_si(EP_U_DEG_C, temp_C),
        .to_height_m = ep_unit_to_si(EP_U_MM, ep_row_real(row, "water_height_mm")),
    };
}

static ep_status shape_container(ep_app *app, const json_t *row, json_t **out, ep_err *err)
{
    const char *id = ep_row_text(row, "id");
    ep_vessel v;
    ep_material wall;
    json_t *water = NULL;
    weighing w = weighing_of_row(row);
    ep_status status = ep_app_container_load(app, id, &v, &wall, err);
    if (status == EP_OK) {
        status = shape_water(&v, &w, &water, err);
    }
    if (status != EP_OK) {
        return status;
    }
    double height_m = ep_vessel_height_m(&v);
    json_t *o = json_object();
    ep_out_text(o, "id", id);
    ep_out_text(o, "name", ep_row_text(row, "name"));
    ep_out_ref(o, "material", wall.id, wall.name);
    ep_out_new(o, "profile", shape_profile(&v));
    ep_out_text(o, "outline", ep_outline_key(v.outline));
    double half_m = ep_vessel_radius_m(&v, ep_vessel_height_m(&v));
    ep_out_unit(o, "across_mm", 2.0 * half_m * v.across_frac, EP_U_MM);
    ep_out_unit(o, "corner_mm", half_m * v.across_frac * v.corner_frac, EP_U_MM);
    ep_out_unit(o, "wall_mm", v.wall_m, EP_U_MM);
    ep_out_unit(o, "base_mm", v.base_m, EP_U_MM);
    ep_out_unit(o, "height_mm", height_m, EP_U_MM);
    ep_out_unit(o, "brim_ml", ep_vessel_volume_m3(&v, height_m), EP_U_ML);
    ep_out_unit(o, "empty_mass_g", w.empty_kg, EP_U_G);
    ep_out_new(o, "water", water);
    ep_out_new(o, "curve", shape_curve(&v));
    ep_out_bool(o, "archived", ep_app_archived(app, id));
    *out = o;
    return EP_OK;
}

static ep_status give_container(ep_app *app, const char *id, json_t **out, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("id", id)};
    json_t *row = NULL;
    ep_status status = ep_store_one(app->store, EP_Q_CONTAINER_GET, bind, 1, &row, err);
    if (status == EP_OK) {
        status = shape_container(app, row, out, err);
    }
    json_decref(row);
    return status;
}

ep_status ep_case_containers(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    return ep_give_list(app, EP_Q_CONTAINER_LIST, ep_in_bool(in, "archived", false), "containers",
                        give_container, out, err);
}

ep_status ep_case_container(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP];
    ep_status status = ep_find_container(app, ep_in_text(in, "id"), "id", id, err);
    return status == EP_OK ? give_container(app, id, out, err) : status;
}

static void read_profile(const json_t *list, ep_vessel *v)
{
    size_t n = json_array_size(list);
    for (size_t i = 0; i < n && i < EP_VESSEL_MAX_STATIONS; i++) {
        const json_t *row = json_array_get(list, i);
        v->station[v->n_stations++] = (ep_station){
            .height_m = ep_in_real(row, "height", 0),
            .inner_diameter_m = ep_in_real(row, "inner_diameter", 0),
        };
    }
}

/// A side that this outline does not have; what is typed is not passed over in silence.
static ep_status refuse_side(const json_t *in, const char *field, const char *why, ep_err *err)
{
    char said[64];
    if (!ep_in_has(in, field)) {
        return EP_OK;
    }
    ep_quantity_format(ep_in_real(in, field, 0.0), EP_U_MM, 6, said, sizeof said);
    return ep_err_set(err, EP_E_ARG, field, "%s: %s is given, but %s", field, said, why);
}

/// Outline from above. The sides given are those at the brim; they scale with the profile.
static ep_status read_outline(const json_t *in, ep_vessel *v, ep_err *err)
{
    const char *key = ep_in_text(in, "outline");
    if (key) {
        ep_outline_find(key, &v->outline);
    }
    v->across_frac = 1.0;
    const double long_m = 2.0 * ep_vessel_radius_m(v, ep_vessel_height_m(v));
    const bool round = v->outline == EP_OUTLINE_ROUND;
    ep_status status = EP_OK;
    if (round) {
        status = refuse_side(in, "across",
                             "a round container has one width; choose rectangle or "
                             "oval, or leave it out",
                             err);
    }
    if (v->outline != EP_OUTLINE_RECT) {
        ep_err_next(err);
        status = ep_status_first(status,
                                 refuse_side(in, "corner",
                                             "only a rectangle has corners; choose it as outline "
                                             "or leave this out",
                                             err));
    }
    if (round || status != EP_OK) {
        return status;
    }
    const double across_m = ep_in_real(in, "across", long_m);
    status = ep_range_check(across_m, 0.25 * long_m, long_m, EP_U_MM, "across", err);
    if (status != EP_OK) {
        return status;
    }
    v->across_frac = fmin(across_m / long_m, 1.0);
    const double corner_m = ep_in_real(in, "corner", 0.0);
    status = ep_range_check(corner_m, 0.0, 0.5 * across_m, EP_U_MM, "corner", err);
    v->corner_frac = v->outline == EP_OUTLINE_RECT ? fmin(corner_m / (0.5 * across_m), 1.0) : 0.0;
    return status;
}

/// Either a profile, or a straight wall by diameter and height.
static ep_status read_sides(const json_t *in, ep_vessel *v, ep_err *err)
{
    double wall_m = ep_in_real(in, "wall", 0);
    double base_m = ep_in_real(in, "base", wall_m);
    bool straight = ep_in_has(in, "inner_diameter") || ep_in_has(in, "height");
    if (ep_in_has(in, "profile") && straight) {
        return ep_err_set(err, EP_E_ARG, "profile",
                          "profile: give either a profile, or inner_diameter and height, not both");
    }
    if (ep_in_has(in, "profile")) {
        *v = (ep_vessel){.wall_m = wall_m, .base_m = base_m};
        read_profile(ep_in_any(in, "profile"), v);
        return ep_vessel_check(v, err);
    }
    ep_status status = EP_OK;
    if (!ep_in_has(in, "inner_diameter")) {
        status = ep_err_set(err, EP_E_ARG, "inner_diameter",
                            "inner_diameter: a value is needed, 15 mm to 400 mm (or a profile)");
    }
    if (!ep_in_has(in, "height")) {
        ep_err_next(err);
        status = ep_err_set(err, EP_E_ARG, "height",
                            "height: a value is needed, 10 mm to 400 mm (or a profile)");
    }
    if (status != EP_OK) {
        return status;
    }
    *v = ep_vessel_straight(ep_in_real(in, "inner_diameter", 0), ep_in_real(in, "height", 0),
                            wall_m, base_m);
    return ep_vessel_check(v, err);
}

static ep_status read_vessel(const json_t *in, ep_vessel *v, ep_err *err)
{
    ep_status status = read_sides(in, v, err);
    return status == EP_OK ? read_outline(in, v, err) : status;
}

/// Temperature and height say nothing without the water they belong to.
static ep_status read_weighing(const json_t *in, const ep_vessel *v, weighing *w, ep_err *err)
{
    *w = (weighing){
        .empty_kg = ep_in_real(in, "empty_mass", (double)NAN),
        .water_kg = ep_in_real(in, "water_mass", (double)NAN),
        .temp_K = ep_in_real(in, "water_temp", (double)NAN),
        .to_height_m = ep_in_real(in, "water_height", (double)NAN),
    };
    if (isnan(w->water_kg)) {
        if (!isnan(w->temp_K) || !isnan(w->to_height_m)) {
            return ep_err_set(err, EP_E_ARG, "water_mass",
                              "water_mass: a value is needed with water_temp or water_height, "
                              "1 g to 20000 g");
        }
        return EP_OK;
    }
    if (isnan(w->temp_K)) {
        w->temp_K = WATER_TEMP_DEFAULT_K;
    }
    if (!isnan(w->to_height_m)) {
        ep_status status = ep_range_check(w->to_height_m, EP_VESSEL_FILL_MIN_M,
                                          ep_vessel_height_m(v), EP_U_MM, "water_height", err);
        if (status != EP_OK) {
            return status;
        }
    }
    json_t *water = NULL;
    ep_status status = shape_water(v, w, &water, err);
    json_decref(water);
    return status;
}

static ep_status save_stations(ep_app *app, const char *id, const ep_vessel *v, ep_err *err)
{
    ep_status status = EP_OK;
    for (int i = 0; status == EP_OK && i < v->n_stations; i++) {
        ep_bind bind[] = {
            ep_bind_text("container", id),
            ep_bind_int("position", i + 1),
            ep_bind_real("height", ep_unit_from_si(EP_U_MM, v->station[i].height_m)),
            ep_bind_real("inner_diameter",
                         ep_unit_from_si(EP_U_MM, v->station[i].inner_diameter_m)),
        };
        status = ep_store_run(app->store, EP_Q_STATION_ADD, bind, EP_COUNT_OF(bind), err);
    }
    return status;
}

static ep_status save_container(ep_app *app, const char *id, const char *name, const char *material,
                                const ep_vessel *v, const weighing *w, ep_err *err)
{
    ep_bind bind[] = {
        ep_bind_text("id", id),
        ep_bind_text("name", name),
        ep_bind_text("material", material),
        ep_bind_real("wall", ep_unit_from_si(EP_U_MM, v->wall_m)),
        ep_bind_real("base", ep_unit_from_si(EP_U_MM, v->base_m)),
        ep_bind_text("outline", ep_outline_key(v->outline)),
        ep_bind_real("across", v->across_frac),
        ep_bind_real("corner", v->corner_frac),
        ep_bind_real("empty_mass", ep_unit_from_si(EP_U_G, w->empty_kg)),
        ep_bind_real("water_mass", ep_unit_from_si(EP_U_G, w->water_kg)),
        ep_bind_real("water_temp", ep_unit_from_si(EP_U_DEG_C, w->temp_K)),
        ep_bind_real("water_height", ep_unit_from_si(EP_U_MM, w->to_height_m)),
        ep_bind_int("at", ep_app_now(app)),
    };
    ep_status status = ep_store_run(app->store, EP_Q_CONTAINER_ADD, bind, EP_COUNT_OF(bind), err);
    return status == EP_OK ? save_stations(app, id, v, err) : status;
}

ep_status ep_case_container_add(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP], material[EP_ID_CAP];
    const char *name = ep_in_text(in, "name");
    ep_vessel v;
    weighing w;
    ep_status status = ep_find_material(app, EP_MAT_CONTAINER, ep_in_text(in, "material"),
                                        "material", material, err);
    ep_err_next(err);
    status = ep_status_first(status,
                             ep_refuse_same_name(app, EP_Q_CONTAINER_LIST, name, "container", err));
    ep_err_next(err);
    ep_status sides = read_vessel(in, &v, err);
    if (sides == EP_OK) {  // the water is held against the sides
        ep_err_next(err);
        sides = read_weighing(in, &v, &w, err);
    }
    status = ep_status_first(status, sides);
    if (status == EP_OK) {
        ep_in_new_id(app, in, id);
        status = save_container(app, id, name, material, &v, &w, err);
    }
    return status == EP_OK ? give_container(app, id, out, err) : status;
}
