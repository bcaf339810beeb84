// JSON in, plain case through the field, JSON out.
#include "app/verify.h"

#include <jansson.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "burn/plain.h"

// one number of the case file: where it stands and where it goes
typedef struct slot {
    const char *group, *key;
    double *value;
    bool required;
} slot;

static const json_t *look(const json_t *root, const slot *s)
{
    const json_t *at = s->group ? json_object_get(root, s->group) : root;
    return json_object_get(at, s->key);
}

static void full_name(const slot *s, char *buf, size_t cap)
{
    snprintf(buf, cap, "%s%s%s", s->group ? s->group : "", s->group ? "." : "", s->key);
}

static ep_status read_slots(const json_t *root, const slot *slots, size_t n, ep_err *err)
{
    for (size_t i = 0; i < n; i++) {
        const json_t *v = look(root, &slots[i]);
        char name[64];
        full_name(&slots[i], name, sizeof name);
        if (!v || json_is_null(v)) {
            if (slots[i].required) {
                return ep_err_set(err, EP_E_ARG, name, "%s: is missing; a number is needed", name);
            }
            continue;
        }
        if (!json_is_number(v)) {
            return ep_err_set(err, EP_E_ARG, name, "%s: must be a number", name);
        }
        *slots[i].value = json_number_value(v);
    }
    return EP_OK;
}

// a key nobody reads is a slip of the pen: say so instead of computing something else
static ep_status refuse_unknown(const json_t *object, const char *group, const slot *slots,
                                size_t n, ep_err *err)
{
    const char *key;
    const json_t *value;
    json_object_foreach((json_t *)(uintptr_t)object, key, value)
    {
        (void)value;
        bool known = !group && strcmp(key, "hours") == 0;
        for (size_t i = 0; i < n && !known; i++) {
            const char *here = slots[i].group ? slots[i].group : "";
            known = group ? strcmp(here, group) == 0 && strcmp(slots[i].key, key) == 0
                          : strcmp(slots[i].group ? slots[i].group : slots[i].key, key) == 0;
        }
        if (!known) {
            return ep_err_set(err, EP_E_ARG, key, "%s%s%s: is not a field of a case",
                              group ? group : "", group ? "." : "", key);
        }
    }
    return EP_OK;
}

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

static ep_status read_case(const json_t *root, ep_plain_case *c, ep_err *err)
{
    const slot slots[] = {
        {"wax", "radius_m", &c->wax_radius_m, true},
        {"wax", "height_m", &c->wax_height_m, true},
        {"wax", "k_W_mK", &c->k_W_mK, true},
        {"wax", "rho_kg_m3", &c->rho_kg_m3, true},
        {"wax", "cp_J_kgK", &c->cp_J_kgK, true},
        {"wax", "latent_J_kg", &c->latent_J_kg, true},
        {"wax", "solidus_C", &c->solidus_C, true},
        {"wax", "liquidus_C", &c->liquidus_C, true},
        {"wall", "thickness_m", &c->wall_m, false},
        {"wall", "k_W_mK", &c->wall_k_W_mK, false},
        {"wall", "rho_kg_m3", &c->wall_rho_kg_m3, false},
        {"wall", "cp_J_kgK", &c->wall_cp_J_kgK, false},
        {"heat", "disc_radius_m", &c->disc_radius_m, false},
        {"heat", "power_W", &c->power_W, false},
        {"film", "top_W_m2K", &c->top_W_m2K, true},
        {"film", "side_W_m2K", &c->side_W_m2K, true},
        {"film", "base_W_m2K", &c->base_W_m2K, true},
        {"film", "ambient_C", &c->ambient_C, true},
        {NULL, "start_C", &c->start_C, true},
        {NULL, "cells_per_mm", &c->cells_per_mm, false},
    };
    const size_t n = sizeof slots / sizeof *slots;
    static const char *const group[] = {"wax", "wall", "heat", "film"};
    ep_status s = refuse_unknown(root, NULL, slots, n, err);
    for (size_t g = 0; g < sizeof group / sizeof *group && s == EP_OK; g++) {
        const json_t *object = json_object_get(root, group[g]);
        if (object && !json_is_null(object) && !json_is_object(object)) {
            return ep_err_set(err, EP_E_ARG, group[g], "%s: must be an object", group[g]);
        }
        s = object ? refuse_unknown(object, group[g], slots, n, err) : EP_OK;
    }
    s = s == EP_OK ? read_slots(root, slots, n, err) : s;
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
