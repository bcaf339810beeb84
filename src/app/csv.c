// Cases: tables of comma-separated values. A table is read whole, each thing in it is taken in
// under a savepoint of its own so that every wrong line is told at once, and all of it stands or
// falls together. A trial does the very same and then undoes it.
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/csv_int.h"

enum { ITEMS_SHOWN = 500, ERRORS_SHOWN = 100 };

static const ep_csv_sheet *const sheets[] = {&ep_csv_materials,  &ep_csv_series,
                                             &ep_csv_containers, &ep_csv_lots,
                                             &ep_csv_sessions,   &ep_csv_readings};

static ep_status find_sheet(const json_t *in, const ep_csv_sheet **out, ep_err *err)
{
    const char *key = ep_in_text(in, "what");
    char known[160] = "";
    size_t len = 0;
    for (int i = 0; i < EP_COUNT_OF(sheets); i++) {
        if (strcasecmp(sheets[i]->key, key) == 0) {
            *out = sheets[i];
            return EP_OK;
        }
        len += (size_t)snprintf(known + len, sizeof known - len, "%s%s", i ? ", " : "",
                                sheets[i]->key);
    }
    return ep_err_set(err, EP_E_NOT_FOUND, "what", "what: there is no table “%.40s”; there is: %s",
                      key, known);
}

// --- what there is ---

ep_status ep_case_csv_tables(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    (void)app;
    (void)in;
    (void)err;
    json_t *list = json_array();
    for (int i = 0; i < EP_COUNT_OF(sheets); i++) {
        json_array_append_new(
            list, json_pack("{s:s, s:s}", "key", sheets[i]->key, "label", sheets[i]->label));
    }
    *out = json_pack("{s:o}", "tables", list);
    return EP_OK;
}

ep_status ep_case_csv_columns(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    (void)app;
    const ep_csv_sheet *sheet = NULL;
    ep_status status = find_sheet(in, &sheet, err);
    if (status != EP_OK) {
        return status;
    }
    json_t *list = json_array();
    for (int i = 0; i < sheet->n_columns; i++) {
        const ep_csv_column *c = &sheet->column[i];
        json_array_append_new(list, json_pack("{s:s, s:b, s:s}", "name", c->name, "required",
                                              c->required, "says", c->help));
    }
    *out = json_pack("{s:s, s:s, s:o}", "key", sheet->key, "label", sheet->label, "columns", list);
    return EP_OK;
}

// --- out ---

static void put_cell(ep_text *t, const ep_csv_column *c, const json_t *cell, bool first)
{
    char number[40];
    if (json_is_number(cell)) {
        ep_csv_put_number(t, ep_number_format(json_number_value(cell), 10, number, sizeof number),
                          first);
    } else {
        const char *text = json_string_value(cell);
        (c->number ? ep_csv_put_number : ep_csv_put_text)(t, text ? text : "", first);
    }
}

static void put_rows(ep_text *t, const ep_csv_sheet *sheet, const json_t *rows)
{
    for (int i = 0; i < sheet->n_columns; i++) {
        ep_csv_put_text(t, sheet->column[i].name, i == 0);
    }
    ep_csv_end_row(t);
    size_t k;
    json_t *row;
    json_array_foreach(rows, k, row)
    {
        for (int i = 0; i < sheet->n_columns; i++) {
            const ep_csv_column *c = &sheet->column[i];
            put_cell(t, c, json_object_get(row, c->name), i == 0);
        }
        ep_csv_end_row(t);
    }
}

ep_status ep_case_csv_export(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    const ep_csv_sheet *sheet = NULL;
    json_t *rows = json_array();
    ep_status status = find_sheet(in, &sheet, err);
    if (status == EP_OK) {
        status = sheet->give(app, in, rows, err);
    }
    if (status == EP_OK) {
        ep_text t;
        char name[40];
        ep_text_init(&t);
        put_rows(&t, sheet, rows);
        snprintf(name, sizeof name, "%s.csv", sheet->key);
        *out = t.ok ? json_pack("{s:s, s:s}", "name", name, "text", ep_text_str(&t)) : NULL;
        ep_text_clear(&t);
        status = *out ? EP_OK : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    json_decref(rows);
    return status;
}

// --- in ---

typedef struct intake {
    ep_app *app;
    const ep_csv_sheet *sheet;
    ep_csv csv;
    int column[EP_CSV_COLUMNS_MAX];  ///< of the sheet, for each of the file
    json_t *items, *errors;
    int n_things, n_errors, n_done[3];
} intake;

static int column_of(const ep_csv_sheet *sheet, const char *name)
{
    for (int i = 0; i < sheet->n_columns; i++) {
        if (strcasecmp(sheet->column[i].name, name) == 0) {
            return i;
        }
    }
    return -1;
}

static ep_status unknown_column(const intake *t, int line, const char *name, ep_err *err)
{
    char known[400] = "", said[48];
    size_t len = 0;
    for (int i = 0; i < t->sheet->n_columns && len < sizeof known; i++) {
        len += (size_t)snprintf(known + len, sizeof known - len, "%s%s", i ? ", " : "",
                                t->sheet->column[i].name);
    }
    return ep_err_set(err, EP_E_ARG, "table", "line %d: %s has no column “%s”; its columns are: %s",
                      line, t->sheet->key, ep_text_excerpt(name, said, sizeof said), known);
}

static ep_status read_header(intake *t, ep_err *err)
{
    unsigned long seen = 0;
    int line = t->csv.line[0];
    for (int i = 0; i < t->csv.n_columns; i++) {
        const char *name = ep_csv_cell(&t->csv, 0, i);
        int k = t->column[i] = column_of(t->sheet, name);
        if (k < 0) {
            return unknown_column(t, line, name, err);
        }
        if (seen & (1ul << k)) {
            return ep_err_set(err, EP_E_ARG, "table", "line %d: the column %s stands there twice",
                              line, t->sheet->column[k].name);
        }
        seen |= 1ul << k;
    }
    for (int k = 0; k < t->sheet->n_columns; k++) {
        const ep_csv_column *c = &t->sheet->column[k];
        if (c->required && !(seen & (1ul << k))) {
            return ep_err_set(err, EP_E_ARG, "table", "line %d: the column %s is missing (%s)",
                              line, c->name, c->help);
        }
    }
    return EP_OK;
}

static json_t *row_of(const intake *t, int row)
{
    json_t *o = json_object();
    for (int i = 0; i < t->csv.n_columns; i++) {
        const char *cell = ep_csv_cell(&t->csv, row, i);
        if (cell[strspn(cell, " \t")] != '\0') {
            json_object_set_new(o, t->sheet->column[t->column[i]].name, json_string(cell));
        }
    }
    return o;
}

static bool is_one_thing(const intake *t, const json_t *a, const json_t *b)
{
    for (int g = 0; g < 2 && t->sheet->group[g]; g++) {
        if (!ep_csv_same_text(a, b, t->sheet->group[g])) {
            return false;
        }
    }
    return t->sheet->group[0] != NULL;
}

/// The column a use case's field stands for, and the row of the thing: "sizes[2].wall" is the
/// second.
static const ep_csv_column *blame(const ep_csv_sheet *sheet, const char *field, int *row)
{
    char plain[64];
    size_t len = 0;
    for (const char *c = field; *c && len + 1 < sizeof plain; c++) {
        if (*c == '[') {
            *row = *row < 0 ? (int)strtol(c + 1, NULL, 10) - 1 : *row;
            c += strcspn(c, "]");
            if (!*c) {
                break;
            }
            continue;
        }
        plain[len++] = *c;
    }
    plain[len] = '\0';
    const char *last = strrchr(plain, '.');
    for (int pass = 0; pass < 3; pass++) {
        // the whole of it, its last part, its first part
        const char *wanted = pass == 1 && last ? last + 1 : plain;
        if (pass == 2) {
            plain[strcspn(plain, ".")] = '\0';
        }
        for (int i = 0; i < sheet->n_columns; i++) {
            const ep_csv_column *c = &sheet->column[i];
            if (strcmp(c->field ? c->field : c->name, wanted) == 0) {
                return c;
            }
        }
    }
    // of a whole list, its first column
    size_t n = strlen(plain);
    for (int i = 0; i < sheet->n_columns; i++) {
        const char *name = sheet->column[i].field;
        if (name && strncmp(name, plain, n) == 0 && name[n] == '.') {
            return &sheet->column[i];
        }
    }
    return NULL;
}

static void note_error(intake *t, int first_row, int n_rows, const ep_csv_outcome *o,
                       const ep_mistake *why)
{
    int row = o->row;
    const ep_csv_column *c = blame(t->sheet, why->field, &row);
    row = row < 0 || row >= n_rows ? 0 : row;
    int line = t->csv.line[first_row + row];
    size_t n = strlen(why->field);
    // the case's own field is not what stands above the column
    const char *text = n > 0 && strncmp(why->text, why->field, n) == 0 && why->text[n] == ':'
                           ? why->text + n + 1
                           : why->text;
    text += strspn(text, " ");
    if (t->n_errors++ < ERRORS_SHOWN) {
        json_array_append_new(t->errors, json_pack("{s:i, s:s, s:s}", "line", line, "column",
                                                   c ? c->name : "", "text", text));
    }
}

/// All that was found wrong with one thing.
static void note_errors(intake *t, int first_row, int n_rows, const ep_csv_outcome *o,
                        const ep_err *why)
{
    ep_mistake first = {.status = why->status};
    ep_copy(first.field, sizeof first.field, why->field);
    ep_copy(first.text, sizeof first.text, why->text);
    note_error(t, first_row, n_rows, o, &first);
    for (int i = 0; i < why->more->n; i++) {
        note_error(t, first_row, n_rows, o, &why->more->at[i]);
    }
    t->n_errors += why->more->left_out;
}

static void note_item(intake *t, int row, const ep_csv_outcome *o)
{
    static const char *const words[] = {
        [EP_CSV_SAME] = "there already", [EP_CSV_ADDED] = "added", [EP_CSV_CHANGED] = "changed"};
    t->n_done[o->done]++;
    if (json_array_size(t->items) < ITEMS_SHOWN && o->done != EP_CSV_SAME) {
        json_array_append_new(t->items, json_pack("{s:i, s:s, s:s}", "line", t->csv.line[row],
                                                  "done", words[o->done], "what", o->text));
    }
}

static ep_status take_thing(intake *t, const json_t *rows, int first_row, ep_err *err)
{
    ep_mistakes more = {0};
    ep_err why = {.more = &more};
    ep_csv_outcome o = {.row = -1};
    ep_status status = ep_store_begin(t->app->store, true, "one thing of a table", err);
    if (status != EP_OK) {
        return status;
    }
    t->n_things++;
    ep_status mine = t->sheet->take(t->app, rows, &o, &why);
    if (mine == EP_OK) {
        note_item(t, first_row, &o);
        return ep_store_commit(t->app->store, err);
    }
    ep_store_rollback(t->app->store);
    if (mine == EP_E_DB || mine == EP_E_MEMORY || mine == EP_E_IO) {
        return ep_err_set(err, mine, why.field, "%s", why.text);
    }
    if (why.status == EP_OK) {
        ep_err_set(&why, mine, "", "%s", ep_status_text(mine));
    }
    note_errors(t, first_row, (int)json_array_size(rows), &o, &why);
    return EP_OK;
}

static ep_status take_all(intake *t, ep_err *err)
{
    ep_status status = EP_OK;
    int row = 1;
    while (status == EP_OK && row < t->csv.n_rows) {
        json_t *rows = json_pack("[o]", row_of(t, row));
        int next = row + 1;
        for (; next < t->csv.n_rows; next++) {
            json_t *more = row_of(t, next);
            bool same = is_one_thing(t, json_array_get(rows, 0), more);
            if (same) {
                json_array_append(rows, more);
            }
            json_decref(more);
            if (!same) {
                break;
            }
        }
        status = take_thing(t, rows, row, err);
        json_decref(rows);
        row = next;
    }
    return status;
}

static json_t *shape_of(const intake *t, bool kept)
{
    json_t *o = json_object();
    ep_out_text(o, "table", t->sheet->key);
    ep_out_int(o, "rows", t->csv.n_rows - 1);
    ep_out_int(o, "things", t->n_things);
    ep_out_int(o, "added", t->n_done[EP_CSV_ADDED]);
    ep_out_int(o, "changed", t->n_done[EP_CSV_CHANGED]);
    ep_out_int(o, "there_already", t->n_done[EP_CSV_SAME]);
    ep_out_int(o, "wrong", t->n_errors);
    ep_out_bool(o, "kept", kept);
    json_object_set(o, "items", t->items);
    json_object_set(o, "errors", t->errors);
    return o;
}

static ep_status first_error(const intake *t, ep_err *err)
{
    const json_t *e = json_array_get(t->errors, 0);
    char more[64] = "";
    if (t->n_errors > 1) {
        snprintf(more, sizeof more, "; %d more are wrong", t->n_errors - 1);
    }
    const char *column = ep_row_text(e, "column");
    return ep_err_set(err, EP_E_ARG, "table", "line %d%s%s: %.300s (nothing was taken in%s)",
                      (int)ep_row_int(e, "line", 0), column[0] ? ", " : "", column,
                      ep_row_text(e, "text"), more);
}

static ep_status run(ep_app *app, const json_t *in, bool keep, json_t **out, ep_err *err)
{
    intake t = {.app = app, .items = json_array(), .errors = json_array()};
    const json_t *text = ep_in_any(in, "table");
    ep_status status = find_sheet(in, &t.sheet, err);
    if (status == EP_OK) {
        status = ep_csv_read(json_string_value(text), json_string_length(text), &t.csv, err);
    }
    if (status == EP_OK) {
        status = read_header(&t, err);
    }
    if (status == EP_OK) {
        status = take_all(&t, err);
    }
    if (status == EP_OK && keep && t.n_errors > 0) {
        status = first_error(&t, err);
    }
    if (status == EP_OK) {
        *out = shape_of(&t, keep);
    }
    json_decref(t.items);
    json_decref(t.errors);
    ep_csv_clear(&t.csv);
    return status;
}

ep_status ep_case_csv_import(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    return run(app, in, true, out, err);
}

ep_status ep_case_csv_check(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_status status = ep_app_begin(app, true, "csv_check", err);
    if (status == EP_OK) {
        status = run(app, in, false, out, err);
        ep_store_rollback(app->store);
        ep_app_unlock(app);
    }
    return status;
}
