// JSON in, plain case through the field, JSON out.
#include "app/verify.h"

#include <jansson.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "burn/plain.h"

// one number of an object of the case file: its key and where it goes
typedef struct slot {
    const char *key;
    double *value;
    bool required;
} slot;

// an object of the case, and the name errors call it by ("" = the case itself)
typedef struct part {
    const json_t *object;
    const char *name;
    const char *const *others;  // keys in it that are read elsewhere, ended by NULL; or NULL
} part;

static void full_name(const part *p, const char *key, char *buf, size_t cap)
{
    snprintf(buf, cap, "%s%s%s", p->name, *p->name ? "." : "", key);
}

// a key nobody reads is a slip of the pen: say so instead of computing something else
static ep_status refuse_unknown(const part *p, const slot *slots, size_t n, ep_err *err)
{
    const char *key;
    const json_t *value;
    json_object_foreach((json_t *)(uintptr_t)p->object, key, value)
    {
        (void)value;
        bool known = false;
        for (size_t i = 0; p->others && p->others[i]; i++) {
            known = known || strcmp(p->others[i], key) == 0;
        }
        for (size_t i = 0; i < n && !known; i++) {
            known = strcmp(slots[i].key, key) == 0;
        }
        if (!known) {
            return ep_err_set(err, EP_E_ARG, key, "%s%s%s: is not a field of a case", p->name,
                              *p->name ? "." : "", key);
        }
    }
    return EP_OK;
}

static ep_status read_part(const part *p, const slot *slots, size_t n, ep_err *err)
{
    if (p->object && !json_is_null(p->object) && !json_is_object(p->object)) {
        return ep_err_set(err, EP_E_ARG, p->name, "%s: must be an object", p->name);
    }
    ep_status s = refuse_unknown(p, slots, n, err);
    for (size_t i = 0; i < n && s == EP_OK; i++) {
        const json_t *v = json_object_get(p->object, slots[i].key);
        char name[64];
        full_name(p, slots[i].key, name, sizeof name);
        if (!v || json_is_null(v)) {
            if (slots[i].required) {
                return ep_err_set(err, EP_E_ARG, name, "%s: is missing; a number is needed", name);
            }
        } else if (!json_is_number(v)) {
            return ep_err_set(err, EP_E_ARG, name, "%s: must be a number", name);
        } else {
            *slots[i].value = json_number_value(v);
        }
    }
    return s;
}
#define READ_PART(p, slots, err) read_part(&(p), slots, sizeof(slots) / sizeof *(slots), err)

static ep_status read_hours(const json_t *root, ep_plain_case *c, ep_err *err)
{
    const json_t *hours = json_object_get(root, "hours");
    if (!json_is_array(hours) || json_array_size(hours) < 1 ||
        json_array_size(hours) > EP_PLAIN_MAX_HOURS) {
        return ep_err_set(err, EP_E_ARG, "hours",
                          "hours: a list of 1 to %d rising numbers is needed", EP_PLAIN_MAX_HOURS);
    }
    c->n_hours = (int)json_array_size(hours);
    for (int i = 0; i < c->n_hours; i++) {
        const json_t *h = json_array_get(hours, (size_t)i);
        if (!json_is_number(h)) {
            return ep_err_set(err, EP_E_ARG, "hours", "hours: every entry must be a number");
        }
        c->hour[i] = json_number_value(h);
    }
    return EP_OK;
}

static ep_status read_wax(const json_t *root, ep_plain_case *c, ep_err *err)
{
    const part wax = {json_object_get(root, "wax"), "wax", NULL};
    if (c->in_vessel && json_object_get(wax.object, "radius_m")) {
        return ep_err_set(err, EP_E_ARG, "wax.radius_m",
                          "wax.radius_m: a case with a vessel has none; see vessel.length_m");
    }
    const slot slots[] = {
        {"radius_m", &c->wax_radius_m, !c->in_vessel},
        {"height_m", &c->wax_height_m, true},
        {"k_W_mK", &c->k_W_mK, true},
        {"rho_kg_m3", &c->rho_kg_m3, true},
        {"cp_J_kgK", &c->cp_J_kgK, true},
        {"latent_J_kg", &c->latent_J_kg, true},
        {"solidus_C", &c->solidus_C, true},
        {"liquidus_C", &c->liquidus_C, true},
    };
    return READ_PART(wax, slots, err);
}

static ep_status read_wall(const json_t *root, ep_plain_case *c, ep_err *err)
{
    const part wall = {json_object_get(root, "wall"), "wall", NULL};
    const slot slots[] = {
        {"thickness_m", &c->wall_m, c->in_vessel},
        {"k_W_mK", &c->wall_k_W_mK, c->in_vessel},
        {"rho_kg_m3", &c->wall_rho_kg_m3, c->in_vessel},
        {"cp_J_kgK", &c->wall_cp_J_kgK, c->in_vessel},
    };
    return READ_PART(wall, slots, err);
}

static ep_status read_vessel(const json_t *root, ep_plain_case *c, ep_err *err)
{
    static const char *const others[] = {"outline", NULL};
    const part vessel = {json_object_get(root, "vessel"), "vessel", others};
    double length_m = 0.0, height_m = 0.0, base_m = 0.0, across_frac = 1.0, corner_frac = 0.0;
    const slot slots[] = {
        {"length_m", &length_m, true},
        {"height_m", &height_m, true},
        {"base_m", &base_m, true},
        {"across_frac", &across_frac, false},
        {"corner_frac", &corner_frac, false},
    };
    ep_status s = READ_PART(vessel, slots, err);
    if (s != EP_OK) {
        return s;
    }
    c->vessel = ep_vessel_straight(length_m, height_m, c->wall_m, base_m);
    c->vessel.across_frac = across_frac;
    c->vessel.corner_frac = corner_frac;
    const json_t *outline = json_object_get(vessel.object, "outline");
    const char *key = outline ? json_string_value(outline) : "round";
    if (!key || !ep_outline_find(key, &c->vessel.outline)) {
        return ep_err_set(err, EP_E_ARG, "vessel.outline",
                          "vessel.outline: must be round, rectangle or oval");
    }
    return EP_OK;
}

static ep_status read_disc(const json_t *object, const char *name, bool placed, ep_plain_case *c,
                           ep_err *err)
{
    ep_plain_disc *d = &c->disc[c->n_discs++];
    const slot slots[] = {
        {"disc_radius_m", &d->radius_m, false},
        {"power_W", &d->power_W, false},
        {"x_m", &d->x_m, false},
        {"y_m", &d->y_m, false},
    };
    const part heat = {object, name, NULL};
    return read_part(&heat, slots, placed ? 4 : 2, err);
}

// one disc in the middle, or in a vessel a list of discs
static ep_status read_heat(const json_t *root, ep_plain_case *c, ep_err *err)
{
    const json_t *heat = json_object_get(root, "heat"), *one;
    if (!heat || json_is_null(heat)) {
        return EP_OK;
    }
    if (!c->in_vessel || !json_is_array(heat)) {
        return read_disc(heat, "heat", c->in_vessel, c, err);
    }
    if (json_array_size(heat) > EP_MAX_WICKS) {
        return ep_err_set(err, EP_E_ARG, "heat", "heat: %zu discs; at most %d are possible",
                          json_array_size(heat), EP_MAX_WICKS);
    }
    ep_status s = EP_OK;
    size_t n;
    json_array_foreach((json_t *)(uintptr_t)heat, n, one)
    {
        char name[32];
        snprintf(name, sizeof name, "heat[%zu]", n);
        s = s == EP_OK ? read_disc(one, name, true, c, err) : s;
    }
    return s;
}

static ep_status read_film(const json_t *root, ep_plain_case *c, ep_err *err)
{
    const part film = {json_object_get(root, "film"), "film", NULL};
    const slot slots[] = {
        {"top_W_m2K", &c->top_W_m2K, true},
        {"side_W_m2K", &c->side_W_m2K, true},
        {"base_W_m2K", &c->base_W_m2K, true},
        {"ambient_C", &c->ambient_C, true},
    };
    return READ_PART(film, slots, err);
}

static ep_status read_case(const json_t *root, ep_plain_case *c, ep_err *err)
{
    static const char *const others[] = {"wax", "wall", "vessel", "heat", "film", "hours", NULL};
    const part all = {root, "", others};
    const slot slots[] = {
        {"start_C", &c->start_C, true},
        {"cells_per_mm", &c->cells_per_mm, false},
    };
    const json_t *vessel = json_object_get(root, "vessel");
    c->in_vessel = vessel && !json_is_null(vessel);
    ep_status s = refuse_unknown(&all, slots, sizeof slots / sizeof *slots, err);
    s = s == EP_OK ? read_wax(root, c, err) : s;
    s = s == EP_OK ? read_wall(root, c, err) : s;
    s = s == EP_OK && c->in_vessel ? read_vessel(root, c, err) : s;
    s = s == EP_OK ? read_heat(root, c, err) : s;
    s = s == EP_OK ? read_film(root, c, err) : s;
    s = s == EP_OK ? READ_PART(all, slots, err) : s;
    return s == EP_OK ? read_hours(root, c, err) : s;
}

static json_t *shape_answer(const ep_plain_answer *a)
{
    return json_pack("{s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:f}", "hour", a->hour, "melt_radius_m",
                     a->melt_radius_m, "melt_depth_m", a->melt_depth_m, "melted_kg", a->melted_kg,
                     "wall_max_C", a->wall_max_C, "centre_C", a->centre_C, "stored_J", a->stored_J,
                     "ledger", a->ledger);
}

ep_status ep_verify_run(const char *text, char **out, ep_err *err)
{
    json_error_t where;
    json_t *root = json_loads(text, JSON_REJECT_DUPLICATES, &where);
    if (!root) {
        return ep_err_set(err, EP_E_PARSE, "", "the case is no JSON: line %d, column %d: %s",
                          where.line, where.column, where.text);
    }
    if (!json_is_object(root)) {
        json_decref(root);
        return ep_err_set(err, EP_E_PARSE, "", "the case must be one JSON object");
    }
    ep_plain_case c = {.cells_per_mm = 1.0};
    ep_plain_answer answer[EP_PLAIN_MAX_HOURS];
    double seconds = 0.0;
    ep_status s = read_case(root, &c, err);
    json_decref(root);
    s = s == EP_OK ? ep_plain_run(&c, answer, &seconds, err) : s;
    if (s != EP_OK) {
        return s;
    }
    json_t *hours = json_array();
    for (int i = 0; i < c.n_hours; i++) {
        json_array_append_new(hours, shape_answer(&answer[i]));
    }
    json_t *all = json_pack("{s:o, s:f}", "hours", hours, "seconds", seconds);
    *out = all ? json_dumps(all, JSON_INDENT(2)) : NULL;
    json_decref(all);
    return *out ? EP_OK : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
}
