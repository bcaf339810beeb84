// Materials of the shelf: built-in ones with their sources, and the maker's own over them.
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "app/app_int.h"
#include "base/text.h"

// A value entered without a range of its own keeps this part of the built-in spread around it: a
// sheet describes this very stuff, a measurement this very lot. House rule, no source.
#define SPREAD_KEPT_SHEET    0.5
#define SPREAD_KEPT_MEASURED 0.25

static json_t *shape_prop(const ep_prop_def *def, const ep_prop *p)
{
    json_t *o = json_object();
    ep_out_text(o, "label", def->label);
    ep_out_text(o, "help", def->help);
    ep_out_new(o, "unit", json_string(ep_unit_symbol(def->unit)));
    ep_out_unit(o, "value", p->value, def->unit);
    ep_out_unit(o, "lo", p->lo, def->unit);
    ep_out_unit(o, "hi", p->hi, def->unit);
    ep_out_text(o, "how", ep_how_key(p->how));
    ep_out_text(o, "how_text", ep_how_text(p->how));
    ep_out_source(o, p->src);
    ep_out_real(o, "min", def->min);
    ep_out_real(o, "max", def->max);
    return o;
}

static json_t *shape_material(ep_app *app, const ep_material *m)
{
    int n;
    const ep_prop_def *def = ep_prop_defs(m->kind, &n);
    json_t *props = json_object();
    for (int i = 0; i < n && i < m->n_props; i++) {
        ep_out_new(props, def[i].key, shape_prop(&def[i], &m->prop[i]));
    }
    json_t *o = json_object();
    ep_out_text(o, "id", m->id);
    ep_out_text(o, "kind", ep_material_kind_key(m->kind));
    ep_out_text(o, "name", m->name);
    ep_out_text(o, "klass", m->klass);
    ep_out_bool(o, "builtin", ep_builtin_find(m->id) != NULL);
    ep_out_bool(o, "archived", ep_app_archived(app, m->id));
    ep_out_new(o, "props", props);
    return o;
}

static ep_status give_material(ep_app *app, const char *id, json_t **out, ep_err *err)
{
    ep_material m;
    ep_status status = ep_app_material_load(app, id, &m, err);
    if (status == EP_OK) {
        *out = shape_material(app, &m);
    }
    return status;
}

/// A built-in row whose id this version no longer has is passed over: nothing is known of it.
static bool is_known(const json_t *row)
{
    const char *based_on = ep_row_text(row, "based_on");
    return ep_builtin_find(based_on[0] ? based_on : ep_row_text(row, "id")) != NULL;
}

ep_status ep_case_materials(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    bool all = ep_in_bool(in, "archived", false);
    ep_bind bind[] = {ep_bind_text("kind", ep_in_text(in, "kind"))};
    json_t *rows = NULL;
    ep_status status = ep_store_json(app->store, EP_Q_MATERIAL_LIST, bind, 1, &rows, err);
    json_t *list = json_array();
    size_t i;
    json_t *row;
    json_array_foreach(rows, i, row)
    {
        const char *id = ep_row_text(row, "id");
        json_t *one = NULL;
        if (!is_known(row) || (!all && ep_app_archived(app, id))) {
            continue;
        }
        status = give_material(app, id, &one, err);
        if (status != EP_OK) {
            break;
        }
        json_array_append_new(list, one);
    }
    json_decref(rows);
    if (status != EP_OK) {
        json_decref(list);
        return status;
    }
    *out = json_pack("{s:o}", "materials", list);
    return EP_OK;
}

ep_status ep_case_material(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP];
    ep_status status = ep_find_material(app, -1, ep_in_text(in, "id"), "id", id, err);
    return status == EP_OK ? give_material(app, id, out, err) : status;
}

static double spread_kept(ep_how how)
{
    return how == EP_HOW_MEASURED ? SPREAD_KEPT_MEASURED
           : how == EP_HOW_SHEET  ? SPREAD_KEPT_SHEET
                                  : 1.0;
}

/// A plausible range around a new value, as wide as the old one was in proportion, inside the
/// property's limits.
static void give_range(const ep_prop_def *def, const ep_prop *old, ep_prop *p)
{
    double kept = spread_kept(p->how);
    p->lo = p->value - kept * (old->value - old->lo);
    p->hi = p->value + kept * (old->hi - old->value);
    p->lo = fmin(p->value, fmax(p->lo, ep_unit_to_si(def->unit, def->min)));
    p->hi = fmax(p->value, fmin(p->hi, ep_unit_to_si(def->unit, def->max)));
}

static ep_status end_of_range(const json_t *entry, const char *end, const ep_prop_def *def,
                              const char *field, double *value, ep_err *err)
{
    const json_t *given = ep_in_any(entry, end);
    if (!given) {
        return EP_OK;
    }
    char name[96];
    snprintf(name, sizeof name, "%s.%s", field, end);
    return ep_value_si(given, def->unit, def->min, def->max, name, value, err);
}

/// Read one entry {value, lo?, hi?, how?, source?} over the property it replaces.
static ep_status read_prop(const json_t *entry, const ep_prop_def *def, const char *field,
                           ep_prop *p, ep_err *err)
{
    ep_prop old = *p;
    ep_status status = ep_value_si(json_object_get(entry, "value"), def->unit, def->min, def->max,
                                   field, &p->value, err);
    if (status != EP_OK) {
        return status;
    }
    p->how = EP_HOW_SHEET;
    if (ep_in_text(entry, "how")) {
        ep_how_find(ep_in_text(entry, "how"), &p->how);
    }
    ep_copy(p->src, sizeof p->src, ep_in_text(entry, "source") ? ep_in_text(entry, "source") : "");
    give_range(def, &old, p);
    status = end_of_range(entry, "lo", def, field, &p->lo, err);
    if (status == EP_OK) {
        status = end_of_range(entry, "hi", def, field, &p->hi, err);
    }
    if (status == EP_OK && (p->lo > p->value || p->hi < p->value)) {
        char lo[40], hi[40], value[40];
        return ep_err_set(err, EP_E_ARG, field,
                          "%s: %s does not lie between its lowest %s and its "
                          "highest %s",
                          field, ep_quantity_format(p->value, def->unit, 6, value, sizeof value),
                          ep_quantity_format(p->lo, def->unit, 6, lo, sizeof lo),
                          ep_quantity_format(p->hi, def->unit, 6, hi, sizeof hi));
    }
    return status;
}

static ep_status find_prop(ep_material_kind kind, const char *key, const char *field, int *index,
                           ep_err *err)
{
    if (ep_prop_find(kind, key, index)) {
        return EP_OK;
    }
    char known[310] = "", said[48];
    size_t len = 0;
    int n;
    const ep_prop_def *def = ep_prop_defs(kind, &n);
    for (int i = 0; i < n && len < sizeof known; i++) {
        len += (size_t)snprintf(known + len, sizeof known - len, "%s%s", i ? ", " : "", def[i].key);
    }
    return ep_err_set(err, EP_E_ARG, field, "%s: a %s has no property “%s”; it has: %s", field,
                      ep_material_kind_key(kind), ep_text_excerpt(key, said, sizeof said), known);
}

static ep_status save_prop(ep_app *app, const ep_material *m, int index, ep_err *err)
{
    int n;
    const ep_prop_def *def = &ep_prop_defs(m->kind, &n)[index];
    const ep_prop *p = &m->prop[index];
    ep_bind bind[] = {
        ep_bind_text("material", m->id),
        ep_bind_text("key", def->key),
        ep_bind_text("unit", ep_unit_symbol(def->unit)),
        ep_bind_real("value", ep_unit_from_si(def->unit, p->value)),
        ep_bind_real("lo", ep_unit_from_si(def->unit, p->lo)),
        ep_bind_real("hi", ep_unit_from_si(def->unit, p->hi)),
        ep_bind_text("how", ep_how_key(p->how)),
        ep_bind_text("source", p->src),
        ep_bind_int("at", ep_app_now(app)),
    };
    return ep_store_run(app->store, EP_Q_MATERIAL_PROP_ADD, bind, EP_COUNT_OF(bind), err);
}

/// An entry of `props` may be a bare value; make it an object and check its names.
static ep_status entry_of(const json_t *given, const char *field, json_t **entry, ep_err *err)
{
    static const ep_field fields[] = {
        F(VALUE, "value", .required = true, .label = "value"),
        F(VALUE, "lo", .label = "lowest plausible"),
        F(VALUE, "hi", .label = "highest plausible"),
        F(CHOICE, "how", .choices = "measured|sheet|practice|memory", .label = "how it is known"),
        F(TEXT, "source", .max = 47, .label = "source"),
    };
    json_t *object = json_is_object(given) ? json_incref((json_t *)(uintptr_t)given)
                                           : json_pack("{s:O}", "value", given);
    char prefix[80];
    snprintf(prefix, sizeof prefix, "%s.", field);
    ep_status status = ep_fields_check(fields, EP_COUNT_OF(fields), object, prefix, entry, err);
    json_decref(object);
    return status;
}

/// Lay all entries of `props` over `m`; bit i of *changed is set for property i.
static ep_status read_props(const json_t *props, ep_material *m, unsigned *changed, ep_err *err)
{
    int n;
    const ep_prop_def *def = ep_prop_defs(m->kind, &n);
    const char *key;
    json_t *given;
    ep_status all = EP_OK;
    json_object_foreach((json_t *)(uintptr_t)props, key, given)
    {
        int index;
        char field[64];
        json_t *entry = NULL;
        ep_err_next(err);
        ep_status status = find_prop(m->kind, key, "props", &index, err);
        if (status == EP_OK) {
            snprintf(field, sizeof field, "props.%s", def[index].key);
            status = entry_of(given, field, &entry, err);
        }
        if (status == EP_OK) {
            status = read_prop(entry, &def[index], field, &m->prop[index], err);
            *changed |= 1u << index;
        }
        json_decref(entry);
        all = ep_status_first(all, status);
    }
    return all;
}

static ep_status refuse_same_name(ep_app *app, const ep_material *m, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("name", m->name),
                      ep_bind_text("kind", ep_material_kind_key(m->kind))};
    json_t *rows = NULL;
    ep_status status = ep_store_json(app->store, EP_Q_MATERIAL_NAMED, bind, 2, &rows, err);
    if (status == EP_OK && json_array_size(rows) > 0) {
        status = ep_err_set(err, EP_E_CONFLICT, "name", "name: there is already a %s called “%s”",
                            ep_material_kind_key(m->kind), m->name);
    }
    json_decref(rows);
    return status;
}

static ep_status save_material(ep_app *app, const ep_material *m, const char *root,
                               unsigned changed, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("id", m->id),
                      ep_bind_text("kind", ep_material_kind_key(m->kind)),
                      ep_bind_text("name", m->name), ep_bind_text("based_on", root),
                      ep_bind_int("at", ep_app_now(app))};
    ep_status status = ep_store_run(app->store, EP_Q_MATERIAL_ADD, bind, EP_COUNT_OF(bind), err);
    for (int i = 0; status == EP_OK && i < m->n_props; i++) {
        if (changed & (1u << i)) {
            status = save_prop(app, m, i, err);
        }
    }
    return status;
}

/// Built-in material at the root of `m`; properties that differ from it are marked for copying.
static ep_status root_of(ep_app *app, const ep_material *m, char root[EP_ID_CAP], unsigned *differ,
                         ep_err *err)
{
    ep_copy(root, EP_ID_CAP, m->id);
    if (ep_builtin_find(m->id)) {
        return EP_OK;
    }
    ep_bind bind[] = {ep_bind_text("id", m->id)};
    json_t *row = NULL;
    ep_status status = ep_store_one(app->store, EP_Q_MATERIAL_GET, bind, 1, &row, err);
    if (status != EP_OK) {
        return status;
    }
    ep_copy(root, EP_ID_CAP, ep_row_text(row, "based_on"));
    json_decref(row);
    const ep_material *base = ep_builtin_find(root);
    for (int i = 0; base && i < m->n_props; i++) {
        const ep_prop *a = &base->prop[i], *b = &m->prop[i];
        bool same = a->value == b->value && a->lo == b->lo && a->hi == b->hi && a->how == b->how &&
                    strcmp(a->src, b->src) == 0;
        *differ |= same ? 0 : 1u << i;
    }
    return EP_OK;
}

ep_status ep_case_material_add(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_material_kind kind;
    char base_id[EP_ID_CAP], root[EP_ID_CAP];
    unsigned changed = 0;
    ep_material m;
    ep_material_kind_find(ep_in_text(in, "kind"), &kind);
    ep_status status =
        ep_find_material(app, (int)kind, ep_in_text(in, "based_on"), "based_on", base_id, err);
    if (status == EP_OK) {
        status = ep_app_material_load(app, base_id, &m, err);
    }
    if (status == EP_OK && m.kind != kind) {
        status = ep_err_set(err, EP_E_ARG, "based_on", "based_on: “%s” is a %s, not a %s", m.name,
                            ep_material_kind_key(m.kind), ep_material_kind_key(kind));
    }
    if (status == EP_OK) {
        status = root_of(app, &m, root, &changed, err);
    }
    if (status != EP_OK) {
        return status;
    }
    ep_in_new_id(app, in, m.id);
    ep_copy(m.name, sizeof m.name, ep_in_text(in, "name"));
    status = refuse_same_name(app, &m, err);
    if (status == EP_OK && ep_in_has(in, "props")) {
        status = read_props(ep_in_any(in, "props"), &m, &changed, err);
    }
    if (status == EP_OK) {
        status = ep_material_check(&m, err);
    }
    if (status == EP_OK) {
        status = save_material(app, &m, root, changed, err);
    }
    return status == EP_OK ? give_material(app, m.id, out, err) : status;
}

ep_status ep_case_material_set(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP];
    int index, n;
    ep_material m;
    ep_status status = ep_find_material(app, -1, ep_in_text(in, "id"), "id", id, err);
    if (status == EP_OK) {
        status = ep_app_material_load(app, id, &m, err);
    }
    if (status == EP_OK && ep_builtin_find(id)) {
        status = ep_err_set(err, EP_E_STATE, "id",
                            "id: “%s” is built in and stays as it is; add a material of your own "
                            "based on it and set the property there",
                            m.name);
    }
    if (status == EP_OK) {
        status = find_prop(m.kind, ep_in_text(in, "key"), "key", &index, err);
    }
    if (status == EP_OK) {
        const ep_prop_def *def = &ep_prop_defs(m.kind, &n)[index];
        ep_err inner = {0};
        status = read_prop(in, def, def->key, &m.prop[index], &inner);
        if (status != EP_OK) {
            return ep_err_as(err, &inner, "value");
        }
    }
    if (status == EP_OK) {
        status = ep_material_check(&m, err);
    }
    if (status == EP_OK) {
        status = save_prop(app, &m, index, err);
    }
    return status == EP_OK ? give_material(app, id, out, err) : status;
}
