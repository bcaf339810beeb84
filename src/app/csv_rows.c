// From cells to the fields of a use case, and whether what a file says is in the book already.
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "app/csv_int.h"

json_t *ep_csv_fields(const ep_csv_sheet *sheet, const json_t *row, const char *prefix)
{
    size_t n = strlen(prefix);
    json_t *fields = json_object();
    for (int i = 0; i < sheet->n_columns; i++) {
        const ep_csv_column *c = &sheet->column[i];
        json_t *cell = json_object_get(row, c->name);
        if (c->field && cell && !json_is_null(cell) && strncmp(c->field, prefix, n) == 0 &&
            !strchr(c->field + n, '.')) {
            json_object_set(fields, c->field + n, cell);
        }
    }
    return fields;
}

ep_status ep_csv_checked(const char *use_case, json_t *fields, json_t **out, ep_err *err)
{
    const ep_use_case *c = ep_use_case_find(use_case);
    ep_status status = ep_fields_check(c->field, c->n_fields, fields, "", out, err);
    json_decref(fields);
    return status;
}

ep_status ep_csv_call(ep_app *app, const char *use_case, const json_t *checked, ep_err *err)
{
    json_t *answer = NULL;
    ep_status status = ep_use_case_find(use_case)->fn(app, checked, &answer, err);
    json_decref(answer);
    return status;
}

static bool value_agrees(const json_t *said, const json_t *there, char *differs, size_t cap);

static bool numbers_agree(const json_t *a, const json_t *b)
{
    double x = json_number_value(a), y = json_number_value(b);
    // cells carry ten digits
    return fabs(x - y) <= 1e-9 * fmax(fabs(x), fabs(y)) + 1e-12;
}

/// Where in a list or object two values part, behind the name of the whole.
static void join_path(char *path, size_t cap, const char *head, const char *inner)
{
    snprintf(path, cap, "%s%s%s", head, inner[0] && inner[0] != '[' ? "." : "", inner);
}

static bool lists_agree(const json_t *said, const json_t *there, char *differs, size_t cap)
{
    if (json_array_size(said) != json_array_size(there)) {
        return false;
    }
    for (size_t i = 0; i < json_array_size(said); i++) {
        char head[24], inner[64] = "";
        if (!value_agrees(json_array_get(said, i), json_array_get(there, i), inner, sizeof inner)) {
            snprintf(head, sizeof head, "[%zu]", i + 1);
            join_path(differs, cap, head, inner);
            return false;
        }
    }
    return true;
}

static bool value_agrees(const json_t *said, const json_t *there, char *differs, size_t cap)
{
    if (json_is_object(said)) {
        return ep_csv_agrees(said, there, differs, cap);
    }
    if (json_is_array(said)) {
        return lists_agree(said, there, differs, cap);
    }
    if (json_is_number(said) && json_is_number(there)) {
        return numbers_agree(said, there);
    }
    return json_equal(said, there);
}

bool ep_csv_agrees(const json_t *said, const json_t *there, char *differs, size_t cap)
{
    const char *key;
    json_t *value;
    json_object_foreach((json_t *)(uintptr_t)said, key, value)
    {
        char inner[64] = "";
        if (!json_is_null(value) &&
            !value_agrees(value, json_object_get(there, key), inner, sizeof inner)) {
            join_path(differs, cap, key, inner);
            return false;
        }
    }
    return true;
}

ep_status ep_csv_differs(const char *what, const char *name, const char *field, const char *why,
                         ep_err *err)
{
    return ep_err_set(err, EP_E_CONFLICT, field, "%s: the workshop's %s “%.60s” says otherwise; %s",
                      field, what, name, why);
}

// --- cells of an export ---

void ep_csv_time(json_t *row, const char *column, const char *time)
{
    char text[40];
    snprintf(text, sizeof text, "%s", time);
    char *whole_seconds = strstr(text, ".000Z");
    if (whole_seconds) {
        strcpy(whole_seconds, "Z");
    }
    char *midnight = strstr(text, "T00:00:00Z");
    if (midnight) {
        *midnight = '\0';
    }
    ep_out_text(row, column, text);
}

bool ep_csv_same_text(const json_t *a, const json_t *b, const char *column)
{
    const char *x = json_string_value(json_object_get(a, column));
    const char *y = json_string_value(json_object_get(b, column));
    return x && y ? strcasecmp(x, y) == 0 : x == y;
}
