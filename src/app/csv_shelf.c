// Tables of the shelf: wick series with their sizes, containers, lots. What the book has is brought
// through the same columns as what the file says, so that the two can be held against each other.
#include <string.h>

#include "app/csv_int.h"

// built-in materials by id, which outlives a change of their names
static void put_material(json_t *row, const char *column, const json_t *ref)
{
    const char *id = ep_row_text(ref, "id");
    ep_out_text(row, column, ep_builtin_find(id) ? id : ep_row_text(ref, "name"));
}

static void copy_cell(json_t *row, const char *column, const json_t *from, const char *key)
{
    json_t *value = json_object_get(from, key);
    json_object_set(row, column, value ? value : json_null());
}

/// Put the id where a name stands.
static ep_status resolve_material(ep_app *app, int kind, json_t *checked, const char *field,
                                  ep_err *err)
{
    char id[EP_ID_CAP];
    ep_status status = ep_find_material(app, kind, ep_in_text(checked, field), field, id, err);
    if (status == EP_OK) {
        json_object_set_new(checked, field, json_string(id));
    }
    return status;
}

/// Add what is new; what is there already must say the same. `there` NULL = it is new.
static ep_status add_or_agree(ep_app *app, const char *use_case, const json_t *said,
                              const json_t *there, const char *noun, ep_csv_outcome *o, ep_err *err)
{
    char field[64];
    if (!there) {
        o->done = EP_CSV_ADDED;
        return ep_csv_call(app, use_case, said, err);
    }
    o->done = EP_CSV_SAME;
    return ep_csv_agrees(said, there, field, sizeof field)
               ? EP_OK
               : ep_csv_differs(noun, o->text, field,
                                "what was described is never changed: give this one another name",
                                err);
}

// --- wick series ---

static const ep_csv_column series_columns[] = {
    {"series", "name", "name of the series; its sizes stand in rows below each other", true, false},
    {"construction", "construction", "a material of kind wick, by name or id", true, false},
    {"size", "sizes.name", "name of the size; from least to most feed", true, false},
    {"linear_density_g_m", "sizes.linear_density", "g/m, 0.1 to 20; or with its unit: 450 yd/lb",
     true, true},
    {"width_mm", "sizes.width", "mm, 0.3 to 50: width or diameter; may be empty", false, true},
    {"thickness_mm", "sizes.thickness", "mm, 0.1 to 6; may be empty", false, true},
    {"core_mm", "sizes.core", "mm, 0.1 to 1.5: metal core; may be empty", false, true},
};

static void series_rows(const json_t *series, json_t *rows)
{
    size_t i;
    json_t *size;
    json_array_foreach(json_object_get(series, "sizes"), i, size)
    {
        json_t *row = json_object();
        copy_cell(row, "series", series, "name");
        put_material(row, "construction", json_object_get(series, "construction"));
        copy_cell(row, "size", size, "name");
        copy_cell(row, "linear_density_g_m", size, "linear_density_g_m");
        copy_cell(row, "width_mm", size, "width_mm");
        copy_cell(row, "thickness_mm", size, "thickness_mm");
        copy_cell(row, "core_mm", size, "core_mm");
        json_array_append_new(rows, row);
    }
}

static ep_status series_give(ep_app *app, const json_t *in, json_t *rows, ep_err *err)
{
    (void)in;
    json_t *none = json_object(), *answer = NULL, *one;
    ep_status status = ep_case_series_list(app, none, &answer, err);
    size_t i;
    json_array_foreach(json_object_get(answer, "series"), i, one)
    {
        series_rows(one, rows);
    }
    json_decref(none);
    json_decref(answer);
    return status;
}

static ep_status series_checked(ep_app *app, const json_t *rows, json_t **out, ep_err *err)
{
    json_t *fields = ep_csv_fields(&ep_csv_series, json_array_get(rows, 0), "");
    json_t *sizes = json_array(), *row;
    size_t i;
    json_array_foreach(rows, i, row)
    {
        json_array_append_new(sizes, ep_csv_fields(&ep_csv_series, row, "sizes."));
    }
    json_object_set_new(fields, "sizes", sizes);
    ep_status status = ep_csv_checked("series_add", fields, out, err);
    return status == EP_OK ? resolve_material(app, EP_MAT_WICK, *out, "construction", err) : status;
}

static ep_status one_construction(const json_t *rows, ep_csv_outcome *o, ep_err *err)
{
    const json_t *first = json_array_get(rows, 0);
    size_t i;
    json_t *row;
    json_array_foreach(rows, i, row)
    {
        if (json_object_get(row, "construction") && !ep_csv_same_text(first, row, "construction")) {
            o->row = (int)i;
            return ep_err_set(err, EP_E_ARG, "construction",
                              "construction: all sizes of one series have the same");
        }
    }
    return EP_OK;
}

static ep_status series_there(ep_app *app, const char *name, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP];
    ep_err quiet = {0};
    json_t *in = NULL, *answer = NULL, *rows = json_array();
    ep_status status = ep_find_series(app, name, "series", id, &quiet);
    if (status == EP_OK) {
        in = json_pack("{s:s}", "id", id);
        status = ep_case_series(app, in, &answer, err);
    } else if (status != EP_E_NOT_FOUND) {
        status = ep_err_as(err, &quiet, "name");
    }
    if (status == EP_OK) {
        series_rows(answer, rows);
        status = series_checked(app, rows, out, err);
    }
    json_decref(in);
    json_decref(answer);
    json_decref(rows);
    return status == EP_E_NOT_FOUND ? EP_OK : status;
}

static ep_status series_take(ep_app *app, const json_t *rows, ep_csv_outcome *o, ep_err *err)
{
    json_t *said = NULL, *there = NULL;
    ep_status status = one_construction(rows, o, err);
    if (status == EP_OK) {
        status = series_checked(app, rows, &said, err);
    }
    if (status == EP_OK) {
        ep_copy(o->text, sizeof o->text, ep_in_text(said, "name"));
        status = series_there(app, o->text, &there, err);
    }
    if (status == EP_OK) {
        status = add_or_agree(app, "series_add", said, there, "wick series", o, err);
    }
    json_decref(said);
    json_decref(there);
    return status;
}

const ep_csv_sheet ep_csv_series = {
    .key = "series",
    .label = "wick series with their sizes",
    .column = series_columns,
    .n_columns = EP_COUNT_OF(series_columns),
    .group = {"series"},
    .give = series_give,
    .take = series_take,
};

// --- containers ---

static const ep_csv_column container_columns[] = {
    {"container", "name", "name", true, false},
    {"material", "material", "a material of kind container, by name or id", true, false},
    {"outline", "outline", "round (also when empty), rectangle or oval", false, false},
    {"inner_diameter_mm", "inner_diameter",
     "mm, 15 to 400: of a straight wall; the longer side when not round", false, true},
    {"height_mm", "height", "mm, 10 to 400: inner height of a straight wall", false, true},
    {"profile_mm", "profile",
     "instead of the two before it: height: inner diameter, from the floor to the brim, as "
     "0: 70; 90: 74",
     false, true},
    {"across_mm", "across", "mm, 4 to 400: shorter inner side at the brim", false, true},
    {"corner_mm", "corner", "mm, 0 to 200: corner radius of a rectangle", false, true},
    {"wall_mm", "wall", "mm, 0.1 to 30", true, true},
    {"base_mm", "base", "mm, 0.1 to 30; the wall's when empty", false, true},
    {"empty_mass_g", "empty_mass", "g, 1 to 10000; may be empty", false, true},
    {"water_mass_g", "water_mass", "g, 1 to 20000: of the water alone; may be empty", false, true},
    {"water_temp_C", "water_temp", "C, 0 to 40; 20 when empty", false, true},
    {"water_height_mm", "water_height", "mm, 5 to 400: the brim when empty", false, true},
};

static void put_profile(json_t *row, const json_t *profile)
{
    const json_t *floor = json_array_get(profile, 0), *brim = json_array_get(profile, 1);
    bool straight = json_array_size(profile) == 2 && ep_row_real(floor, "height_mm") == 0 &&
                    json_equal(json_object_get(floor, "inner_diameter_mm"),
                               json_object_get(brim, "inner_diameter_mm"));
    if (straight) {
        copy_cell(row, "inner_diameter_mm", brim, "inner_diameter_mm");
        copy_cell(row, "height_mm", brim, "height_mm");
        return;
    }
    ep_text t;
    ep_text_init(&t);
    size_t i;
    json_t *s;
    json_array_foreach(profile, i, s)
    {
        char h[40], d[40];
        ep_text_addf(&t, "%s%s: %s", i ? "; " : "",
                     ep_number_format(ep_row_real(s, "height_mm"), 10, h, sizeof h),
                     ep_number_format(ep_row_real(s, "inner_diameter_mm"), 10, d, sizeof d));
    }
    ep_out_text(row, "profile_mm", ep_text_str(&t));
    ep_text_clear(&t);
}

static json_t *container_row(const json_t *c)
{
    json_t *row = json_object();
    const char *outline = ep_row_text(c, "outline");
    const json_t *water = json_object_get(c, "water");
    copy_cell(row, "container", c, "name");
    put_material(row, "material", json_object_get(c, "material"));
    copy_cell(row, "outline", c, "outline");
    put_profile(row, json_object_get(c, "profile"));
    if (strcmp(outline, "round") != 0) {
        copy_cell(row, "across_mm", c, "across_mm");
    }
    if (strcmp(outline, "rectangle") == 0) {
        copy_cell(row, "corner_mm", c, "corner_mm");
    }
    copy_cell(row, "wall_mm", c, "wall_mm");
    copy_cell(row, "base_mm", c, "base_mm");
    copy_cell(row, "empty_mass_g", c, "empty_mass_g");
    copy_cell(row, "water_mass_g", water, "mass_g");
    copy_cell(row, "water_temp_C", water, "temp_C");
    copy_cell(row, "water_height_mm", water, "height_mm");
    return row;
}

static ep_status container_give(ep_app *app, const json_t *in, json_t *rows, ep_err *err)
{
    (void)in;
    json_t *none = json_object(), *answer = NULL, *one;
    ep_status status = ep_case_containers(app, none, &answer, err);
    size_t i;
    json_array_foreach(json_object_get(answer, "containers"), i, one)
    {
        json_array_append_new(rows, container_row(one));
    }
    json_decref(none);
    json_decref(answer);
    return status;
}

static ep_status container_checked(ep_app *app, const json_t *row, json_t **out, ep_err *err)
{
    ep_status status =
        ep_csv_checked("container_add", ep_csv_fields(&ep_csv_containers, row, ""), out, err);
    return status == EP_OK ? resolve_material(app, EP_MAT_CONTAINER, *out, "material", err)
                           : status;
}

static ep_status container_there(ep_app *app, const char *name, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP];
    ep_err quiet = {0};
    json_t *in = NULL, *answer = NULL;
    ep_status status = ep_find_container(app, name, "container", id, &quiet);
    if (status == EP_OK) {
        in = json_pack("{s:s}", "id", id);
        status = ep_case_container(app, in, &answer, err);
    } else if (status != EP_E_NOT_FOUND) {
        status = ep_err_as(err, &quiet, "name");
    }
    if (status == EP_OK) {
        json_t *row = container_row(answer);
        status = container_checked(app, row, out, err);
        json_decref(row);
    }
    json_decref(in);
    json_decref(answer);
    return status == EP_E_NOT_FOUND ? EP_OK : status;
}

static ep_status container_take(ep_app *app, const json_t *rows, ep_csv_outcome *o, ep_err *err)
{
    json_t *said = NULL, *there = NULL;
    ep_status status = container_checked(app, json_array_get(rows, 0), &said, err);
    if (status == EP_OK) {
        ep_copy(o->text, sizeof o->text, ep_in_text(said, "name"));
        status = container_there(app, o->text, &there, err);
    }
    if (status == EP_OK) {
        status = add_or_agree(app, "container_add", said, there, "container", o, err);
    }
    json_decref(said);
    json_decref(there);
    return status;
}

const ep_csv_sheet ep_csv_containers = {
    .key = "containers",
    .label = "containers as measured",
    .column = container_columns,
    .n_columns = EP_COUNT_OF(container_columns),
    .give = container_give,
    .take = container_take,
};

// --- lots ---

enum { LOT_KINDS = 1u << EP_THING_MATERIAL | 1u << EP_THING_SERIES | 1u << EP_THING_CONTAINER };

static const ep_csv_column lot_columns[] = {
    {"lot", "code", "code on the label", true, false},
    {"of", "material", "the material, wick series or container it is of, by name or id", true,
     false},
    {"received", "received", "a date such as 2026-11-02; may be empty", false, true},
    {"quantity_g", "quantity", "g, 0 to 10000000; may be empty", false, true},
    {"note", "note", "up to 500 characters", false, false},
};

static json_t *lot_row(ep_app *app, const json_t *lot)
{
    json_t *row = json_object();
    char id[EP_ID_CAP];
    ep_thing kind;
    const char *of = ep_row_text(lot, "material_id"), *name = ep_row_text(lot, "material_name");
    bool by_name = !ep_builtin_find(of) &&
                   ep_find_thing(app, LOT_KINDS, name, "of", &kind, id, NULL) == EP_OK &&
                   strcmp(id, of) == 0;
    copy_cell(row, "lot", lot, "code");
    ep_out_text(row, "of", by_name ? name : of);
    ep_csv_time(row, "received", ep_row_text(lot, "received"));
    copy_cell(row, "quantity_g", lot, "quantity_g");
    copy_cell(row, "note", lot, "note");
    return row;
}

static ep_status lot_give(ep_app *app, const json_t *in, json_t *rows, ep_err *err)
{
    (void)in;
    json_t *lots = NULL, *lot;
    ep_status status = ep_store_json(app->store, EP_Q_CSV_LOTS, NULL, 0, &lots, err);
    size_t i;
    json_array_foreach(lots, i, lot)
    {
        json_array_append_new(rows, lot_row(app, lot));
    }
    json_decref(lots);
    return status;
}

static ep_status lot_checked(ep_app *app, const json_t *row, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP];
    ep_thing kind;
    ep_status status = ep_csv_checked("lot_add", ep_csv_fields(&ep_csv_lots, row, ""), out, err);
    if (status == EP_OK) {
        status =
            ep_find_thing(app, LOT_KINDS, ep_in_text(*out, "material"), "material", &kind, id, err);
    }
    if (status == EP_OK) {
        json_object_set_new(*out, "material", json_string(id));
    }
    return status;
}

static ep_status lot_there(ep_app *app, const json_t *said, json_t **out, ep_err *err)
{
    json_t *none = json_pack("{s:O}", "material", json_object_get(said, "material"));
    json_t *answer = NULL, *lot;
    ep_status status = ep_case_lots(app, none, &answer, err);
    size_t i;
    json_array_foreach(json_object_get(answer, "lots"), i, lot)
    {
        if (status == EP_OK && strcmp(ep_row_text(lot, "code"), ep_in_text(said, "code")) == 0) {
            json_t *row = lot_row(app, lot);
            status = lot_checked(app, row, out, err);
            json_decref(row);
        }
    }
    json_decref(none);
    json_decref(answer);
    return status;
}

static ep_status lot_take(ep_app *app, const json_t *rows, ep_csv_outcome *o, ep_err *err)
{
    json_t *said = NULL, *there = NULL;
    ep_status status = lot_checked(app, json_array_get(rows, 0), &said, err);
    if (status == EP_OK) {
        ep_copy(o->text, sizeof o->text, ep_in_text(said, "code"));
        status = lot_there(app, said, &there, err);
    }
    if (status == EP_OK) {
        status = add_or_agree(app, "lot_add", said, there, "lot", o, err);
    }
    json_decref(said);
    json_decref(there);
    return status;
}

const ep_csv_sheet ep_csv_lots = {
    .key = "lots",
    .label = "lots by the code on their label",
    .column = lot_columns,
    .n_columns = EP_COUNT_OF(lot_columns),
    .give = lot_give,
    .take = lot_take,
};
