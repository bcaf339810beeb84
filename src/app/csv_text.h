/// Text of comma-separated values (RFC 4180) to cells and back. What the cells mean: csv_int.h.
/// Needs: base, libcsv. Allocates: the cells. Thread use: any.
///
/// A spreadsheet takes a cell that begins with = + - @ for a formula, and runs it. Such texts are
/// written with an apostrophe in front, which spreadsheets show as text; reading takes it away
/// again.
#pragma once
#include "base/status.h"
#include "base/text.h"

enum {
    EP_CSV_BYTES_MAX = 4 * 1024 * 1024,
    EP_CSV_ROWS_MAX = 20000,  ///< without the header
    EP_CSV_COLUMNS_MAX = 40,
    EP_CSV_CELL_MAX = 2000,  ///< bytes
};

typedef struct ep_csv {
    char **cell;  ///< owned, row after row; row 0 is the header
    int *line;    ///< owned: line of the file each row begins in, from 1
    int n_rows, n_columns;
} ep_csv;

/// Read a whole file: UTF-8 with or without a byte order mark, lines ended by CRLF or LF, commas,
/// quoted cells. Every row has as many cells as the header; empty lines are passed over. Blanks
/// around cells without quotes are left out.
/// @param text  borrowed; text[len] must be 0
/// @param out  owned by the caller, ep_csv_clear; empty after an error
/// @return EP_E_PARSE, EP_E_ARG (too large), EP_E_MEMORY; the text names the line
ep_status ep_csv_read(const char *text, size_t len, ep_csv *out, ep_err *err);
void ep_csv_clear(ep_csv *c);
const char *ep_csv_cell(const ep_csv *c, int row, int column);  ///< never NULL

/// Append one cell, in quotes where it needs them. `first` = no comma before it.
void ep_csv_put_text(ep_text *t, const char *cell, bool first);    ///< guarded as said above
void ep_csv_put_number(ep_text *t, const char *cell, bool first);  ///< as it is: -5 is no formula
void ep_csv_end_row(ep_text *t);
