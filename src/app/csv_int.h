/// Tables of comma-separated values: what their columns mean, and how a row becomes a thing of the
/// book. Rows go through the use cases a page calls, so every check and every sentence is theirs.
/// Expects the app's lock to be held.
#pragma once
#include "app/app_int.h"
#include "app/csv_text.h"

typedef struct ep_csv_column {
    const char *name;   ///< in the header, with its unit: "linear_density_g_m"
    const char *field;  ///< of the use case that checks it: "wall", "sizes.linear_density"
    const char *help;
    bool required;  ///< the header must name it
    bool number;    ///< written as it is: no text, so no formula
} ep_csv_column;

typedef enum ep_csv_done { EP_CSV_SAME, EP_CSV_ADDED, EP_CSV_CHANGED } ep_csv_done;

/// What became of one thing, and where a refusal belongs.
typedef struct ep_csv_outcome {
    ep_csv_done done;
    char text[160];  ///< what it is, for the list
    int row;         ///< of the thing's rows the refusal is about, from 0; -1 = its field tells
} ep_csv_outcome;

typedef struct ep_csv_sheet {
    const char *key;
    const char *label;
    const ep_csv_column *column;
    int n_columns;
    const char *group[2];  ///< columns: neighbouring rows that agree in them are one thing; none =
                           ///< each row is
    /// Append the book's rows: objects of column name to text, number or null. `in` is what export
    /// was asked.
    ep_status (*give)(ep_app *app, const json_t *in, json_t *rows, ep_err *err);
    /// Take in one thing: rows are objects of column name to text, empty cells left out. Runs
    /// inside a savepoint that is undone when it refuses. An error's field is the use case's.
    ep_status (*take)(ep_app *app, const json_t *rows, ep_csv_outcome *outcome, ep_err *err);
} ep_csv_sheet;

extern const ep_csv_sheet ep_csv_materials, ep_csv_series, ep_csv_containers, ep_csv_lots,
    ep_csv_sessions, ep_csv_readings;

// --- csv_rows.c ---
/// The cells of a row whose column's field begins with `prefix` ("", "sizes."), under what follows
/// it. New object.
json_t *ep_csv_fields(const ep_csv_sheet *sheet, const json_t *row, const char *prefix);
/// Check them as the use case would; takes over `fields`. *out is a new object.
ep_status ep_csv_checked(const char *use_case, json_t *fields, json_t **out, ep_err *err);
/// Run a use case on checked fields; its answer is dropped.
ep_status ep_csv_call(ep_app *app, const char *use_case, const json_t *checked, ep_err *err);
/// Does what was said agree with what is there? Fields that were not said do not count; numbers may
/// differ by the rounding of a cell. On false `differs` names the field, "sizes[2].width".
bool ep_csv_agrees(const json_t *said, const json_t *there, char *differs, size_t cap);
/// The refusal that goes with it: "wall: the workshop's container “x” says otherwise; <why>".
ep_status ep_csv_differs(const char *what, const char *name, const char *field, const char *why,
                         ep_err *err);
/// Is this cell the same text in both rows, or in neither?
bool ep_csv_same_text(const json_t *a, const json_t *b, const char *column);
/// A time as answers have it, shortened to what it says: "2026-11-02", "2026-11-02T18:00:00Z".
void ep_csv_time(json_t *row, const char *column, const char *time);
