// Table of the workshop's own materials: a row per property. A new value of a property is added as
// set-property would; what a row leaves open stays as it is.
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "app/csv_int.h"

static const ep_csv_column columns[] = {
    {"kind", "kind", "wax, fragrance, dye, additive, container or wick", true, false},
    {"material", "name", "name; its properties stand in rows below each other", true, false},
    {"based_on", "based_on", "the built-in material it starts from, by id or name", true, false},
    {"property", NULL, "such as liquidus; empty when it has none of its own", true, false},
    {"value", "value", "a number in the unit beside it", true, true},
    {"unit", NULL, "such as C; the property's own when empty", false, false},
    {"lo", "lo", "lowest plausible, in the same unit; may be empty", false, true},
    {"hi", "hi", "highest plausible, in the same unit; may be empty", false, true},
    {"how", "how", "measured, sheet, practice or memory; sheet when empty", false, false},
    {"source", "source", "up to 47 characters", false, false},
};

// --- out ---

static json_t *property_row(const json_t *material, const json_t *prop)
{
    static const char *const same[] = {"value", "unit", "lo", "hi", "how", "source"};
    json_t *row = json_object();
    ep_out_text(row, "kind", ep_row_text(material, "kind"));
    ep_out_text(row, "material", ep_row_text(material, "name"));
    ep_out_text(row, "based_on", ep_row_text(material, "based_on"));
    ep_out_text(row, "property", ep_row_text(prop, "key"));
    for (int i = 0; prop && i < EP_COUNT_OF(same); i++) {
        json_object_set(row, same[i], json_object_get(prop, same[i]));
    }
    return row;
}

/// The newest row of a property; NULL when it was never set.
static const json_t *newest(const json_t *props, const char *key)
{
    const json_t *found = NULL;
    for (size_t i = 0; i < json_array_size(props); i++) {
        const json_t *prop = json_array_get(props, i);
        found = strcmp(ep_row_text(prop, "key"), key) == 0 ? prop : found;
    }
    return found;
}

static ep_status give_one(ep_app *app, const json_t *material, json_t *rows, ep_err *err)
{
    json_t *props = NULL;
    ep_material_kind kind = EP_MAT_WAX;
    ep_bind bind[] = {ep_bind_text("material", ep_row_text(material, "id"))};
    ep_status status = ep_store_json(app->store, EP_Q_MATERIAL_PROPS, bind, 1, &props, err);
    size_t before = json_array_size(rows);
    int n = 0;
    bool known = ep_material_kind_find(ep_row_text(material, "kind"), &kind);
    const ep_prop_def *def = known ? ep_prop_defs(kind, &n) : NULL;
    for (int i = 0; status == EP_OK && i < n; i++) {
        const json_t *prop = newest(props, def[i].key);
        if (prop) {
            json_array_append_new(rows, property_row(material, prop));
        }
    }
    if (status == EP_OK && json_array_size(rows) == before) {
        json_array_append_new(rows, property_row(material, NULL));
    }
    json_decref(props);
    return status;
}

static ep_status give(ep_app *app, const json_t *in, json_t *rows, ep_err *err)
{
    (void)in;
    json_t *list = NULL, *material;
    ep_bind bind[] = {ep_bind_null("kind")};
    ep_status status = ep_store_json(app->store, EP_Q_MATERIAL_LIST, bind, 1, &list, err);
    size_t i;
    json_array_foreach(list, i, material)
    {
        bool own = ep_row_text(material, "based_on")[0] != '\0';
        if (status == EP_OK && own && !ep_app_archived(app, ep_row_text(material, "id"))) {
            status = give_one(app, material, rows, err);
        }
    }
    json_decref(list);
    return status;
}

// --- in ---

static const char *cell(const json_t *row, const char *column)
{
    return ep_row_text(row, column);
}

static void put_value(json_t *o, const json_t *row, const char *column)
{
    if (cell(row, column)[0]) {
        ep_out_textf(o, column, "%s %s", cell(row, column), cell(row, "unit"));
    }
}

static json_t *entry_of(const json_t *row)
{
    json_t *entry = json_object();
    put_value(entry, row, "value");
    put_value(entry, row, "lo");
    put_value(entry, row, "hi");
    if (cell(row, "how")[0]) {
        ep_out_text(entry, "how", cell(row, "how"));
    }
    if (cell(row, "source")[0]) {
        ep_out_text(entry, "source", cell(row, "source"));
    }
    return entry;
}

/// What the use case said of "props.liquidus.lo" belongs to the row of liquidus.
static ep_status blame(const json_t *rows, const ep_err *inner, ep_csv_outcome *o, ep_err *err)
{
    const char *field = inner->field, *key = strncmp(field, "props.", 6) == 0 ? field + 6 : field;
    size_t n = strcspn(key, "."), i;
    const char *column = key[n] == '.' ? key + n + 1 : "value";
    json_t *row;
    json_array_foreach(rows, i, row)
    {
        const char *property = cell(row, "property");
        if (property[0] && strlen(property) == n && strncmp(property, key, n) == 0) {
            o->row = (int)i;
            size_t said = strlen(field);
            bool named = strncmp(inner->text, field, said) == 0 && inner->text[said] == ':';
            return ep_err_set(err, inner->status, column, "%s:%s", column,
                              named ? inner->text + said + 1 : inner->text);
        }
    }
    return ep_err_as(err, inner, field);
}

static ep_status props_of(const json_t *rows, int kind, json_t *props, ep_csv_outcome *o,
                          ep_err *err)
{
    size_t i;
    int index;
    json_t *row;
    json_array_foreach(rows, i, row)
    {
        const char *key = cell(row, "property");
        o->row = (int)i;
        if (key[0] == '\0' && cell(row, "value")[0]) {
            return ep_err_set(err, EP_E_ARG, "property", "property: a value without a property");
        }
        if (key[0] && json_object_get(props, key)) {
            return ep_err_set(err, EP_E_ARG, "property", "property: “%.40s” stands there twice",
                              key);
        }
        if (key[0] && !cell(row, "value")[0]) {
            return ep_err_set(err, EP_E_ARG, "value", "value: a number is needed here");
        }
        if (key[0] && kind >= 0 && !ep_prop_find((ep_material_kind)kind, key, &index)) {
            return ep_err_set(err, EP_E_ARG, "property", "property: a %s has no “%.40s”",
                              ep_material_kind_key((ep_material_kind)kind), key);
        }
        if (key[0]) {
            json_object_set_new(props, key, entry_of(row));
        }
    }
    o->row = -1;
    return EP_OK;
}

static ep_status add_new(ep_app *app, const json_t *rows, json_t *props, ep_csv_outcome *o,
                         ep_err *err)
{
    json_t *fields = ep_csv_fields(&ep_csv_materials, json_array_get(rows, 0), "");
    json_t *checked = NULL;
    ep_err inner = {0};
    static const char *const of_property[] = {"value", "lo", "hi", "how", "source"};
    for (int i = 0; i < EP_COUNT_OF(of_property); i++) {
        json_object_del(fields, of_property[i]);
    }
    json_object_set(fields, "props", props);
    ep_status status = ep_csv_checked("material_add", fields, &checked, &inner);
    if (status == EP_OK) {
        status = ep_csv_call(app, "material_add", checked, &inner);
    }
    json_decref(checked);
    o->done = EP_CSV_ADDED;
    inner.status = status;
    return status == EP_OK ? EP_OK : blame(rows, &inner, o, err);
}

static bool near(double a, double b)
{
    return fabs(a - b) <= 1e-9 * fmax(fabs(a), fabs(b));
}

/// Did setting it change anything that the row says?
static bool is_news(const json_t *entry, const ep_prop *before, const ep_prop *after)
{
    return !near(before->value, after->value) ||
           (json_object_get(entry, "lo") && !near(before->lo, after->lo)) ||
           (json_object_get(entry, "hi") && !near(before->hi, after->hi)) ||
           (json_object_get(entry, "how") && before->how != after->how) ||
           (json_object_get(entry, "source") && strcmp(before->src, after->src) != 0);
}

static ep_status set_one(ep_app *app, const char *id, const char *key, const json_t *entry,
                         bool *changed, ep_err *err)
{
    ep_material before, after;
    json_t *checked = NULL, *fields = json_copy((json_t *)(uintptr_t)entry);
    int index = 0;
    json_object_set_new(fields, "id", json_string(id));
    json_object_set_new(fields, "key", json_string(key));
    ep_status status = ep_app_material_load(app, id, &before, err);
    status = status == EP_OK ? ep_csv_checked("material_set", fields, &checked, err) : status;
    status = status == EP_OK ? ep_store_begin(app->store, true, "one property", err) : status;
    if (status != EP_OK) {
        json_decref(checked);
        return status;
    }
    status = ep_csv_call(app, "material_set", checked, err);
    status = status == EP_OK ? ep_app_material_load(app, id, &after, err) : status;
    json_decref(checked);
    if (status == EP_OK && ep_prop_find(before.kind, key, &index) &&
        is_news(entry, &before.prop[index], &after.prop[index])) {
        *changed = true;
        return ep_store_commit(app->store, err);
    }
    // refused, or nothing new: no row of it stays
    ep_store_rollback(app->store);
    return status;
}

static ep_status set_all(ep_app *app, const char *id, const json_t *rows, json_t *props,
                         ep_csv_outcome *o, ep_err *err)
{
    const char *key;
    json_t *entry;
    bool changed = false;
    ep_err inner = {0};
    ep_status status = EP_OK;
    json_object_foreach(props, key, entry)
    {
        status = set_one(app, id, key, entry, &changed, &inner);
        if (status != EP_OK) {
            // set-property calls it value, whichever it is
            if (strcmp(inner.field, "value") == 0) {
                ep_copy(inner.field, sizeof inner.field, key);
            }
            return blame(rows, &inner, o, err);
        }
    }
    o->done = changed ? EP_CSV_CHANGED : EP_CSV_SAME;
    return EP_OK;
}

/// A row that names another start than the material has is about another material.
static ep_status same_start(ep_app *app, const json_t *rows, const json_t *there, int kind,
                            ep_err *err)
{
    char id[EP_ID_CAP];
    const char *said = cell(json_array_get(rows, 0), "based_on");
    if (said[0] == '\0') {
        return EP_OK;
    }
    ep_status status = ep_find_material(app, kind, said, "based_on", id, err);
    if (status == EP_OK && strcmp(id, ep_row_text(there, "based_on")) != 0) {
        status = ep_err_set(err, EP_E_CONFLICT, "based_on",
                            "based_on: the workshop's “%.60s” starts from %s",
                            ep_row_text(there, "name"), ep_row_text(there, "based_on"));
    }
    return status;
}

static ep_status take(ep_app *app, const json_t *rows, ep_csv_outcome *o, ep_err *err)
{
    const json_t *first = json_array_get(rows, 0);
    json_t *props = json_object(), *there = NULL;
    ep_material_kind kind = EP_MAT_WAX;
    bool known = ep_material_kind_find(cell(first, "kind"), &kind);
    snprintf(o->text, sizeof o->text, "%s", cell(first, "material"));
    ep_status status = props_of(rows, known ? (int)kind : -1, props, o, err);
    ep_bind bind[] = {ep_bind_text("name", cell(first, "material")),
                      ep_bind_text("kind", cell(first, "kind"))};
    if (status == EP_OK) {
        status = ep_store_one(app->store, EP_Q_MATERIAL_NAMED, bind, 2, &there, err);
    }
    if (status == EP_E_NOT_FOUND) {
        status = add_new(app, rows, props, o, err);
    } else if (status == EP_OK) {
        status = same_start(app, rows, there, (int)kind, err);
        status =
            status == EP_OK ? set_all(app, ep_row_text(there, "id"), rows, props, o, err) : status;
    }
    json_decref(props);
    json_decref(there);
    return status;
}

const ep_csv_sheet ep_csv_materials = {
    .key = "materials",
    .label = "the workshop's own materials, a row for each property",
    .column = columns,
    .n_columns = EP_COUNT_OF(columns),
    .group = {"kind", "material"},
    .give = give,
    .take = take,
};
