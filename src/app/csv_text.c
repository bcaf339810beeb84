// Comma-separated values: libcsv finds the cells, this file keeps count of lines and limits.
#include "app/csv_text.h"

#include <csv.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"

typedef struct reader {
    ep_csv *csv;
    ep_err *err;
    ep_status status;
    size_t cap_rows, n_cells, cap_cells;
    int line;      // of the byte being read
    int row_line;  // the row under way began in
    int width;     // cells of the row under way
    bool fresh;    // between two rows
} reader;

static ep_status refuse(reader *r, ep_status status, const char *text)
{
    if (r->status == EP_OK) {
        r->status = ep_err_set(r->err, status, "text", "line %d: %s", r->row_line, text);
    }
    return r->status;
}

// --- the apostrophe before what a spreadsheet would run ---

static bool is_formula_start(char c)
{
    return c == '=' || c == '+' || c == '-' || c == '@' || c == '\t' || c == '\r';
}

static bool looks_like_formula(const char *cell)
{
    return is_formula_start(cell[strspn(cell, "'")]);
}

// --- reading ---

static bool grow(void **array, size_t *cap, size_t needed, size_t each)
{
    if (needed <= *cap) {
        return true;
    }
    size_t more = *cap ? *cap * 2 : 256;
    void *bigger = realloc(*array, more * each);
    if (bigger) {
        *array = bigger;
        *cap = more;
    }
    return bigger != NULL;
}

static void on_cell(void *data, size_t len, void *ctx)
{
    reader *r = ctx;
    const char *cell = data ? data : "";
    if (r->status != EP_OK) {
        return;
    }
    if (len > EP_CSV_CELL_MAX) {
        refuse(r, EP_E_ARG, "a cell holds more than 2000 bytes");
        return;
    }
    if (r->width == EP_CSV_COLUMNS_MAX) {
        refuse(r, EP_E_ARG, "more than 40 cells");
        return;
    }
    if (!grow((void **)&r->csv->cell, &r->cap_cells, r->n_cells + 1, sizeof(char *))) {
        refuse(r, EP_E_MEMORY, "out of memory");
        return;
    }
    if (len > 0 && cell[0] == '\'' && looks_like_formula(cell)) {
        cell++;
        len--;
    }
    char *copy = strndup(cell, len);
    if (!copy) {
        refuse(r, EP_E_MEMORY, "out of memory");
        return;
    }
    r->csv->cell[r->n_cells++] = copy;
    r->width++;
}

static void wrong_width(reader *r)
{
    char text[96];
    snprintf(text, sizeof text, "%d cells, but the header has %d", r->width, r->csv->n_columns);
    refuse(r, EP_E_PARSE, text);
}

static void on_row(int end, void *ctx)
{
    (void)end;
    reader *r = ctx;
    ep_csv *c = r->csv;
    r->fresh = true;
    if (r->status != EP_OK) {
        return;
    }
    if (c->n_rows == 0) {
        c->n_columns = r->width;
    } else if (r->width != c->n_columns) {
        wrong_width(r);
        return;
    } else if (c->n_rows > EP_CSV_ROWS_MAX) {
        refuse(r, EP_E_ARG, "more than 20000 rows: split the file");
        return;
    }
    if (!grow((void **)&c->line, &r->cap_rows, (size_t)c->n_rows + 1, sizeof(int))) {
        refuse(r, EP_E_MEMORY, "out of memory");
        return;
    }
    c->line[c->n_rows++] = r->row_line;
    r->width = 0;
}

// readable text from end to end, told by the line it is not
static ep_status check_encoding(reader *r, const char *text, size_t len)
{
    r->row_line = 1;
    for (size_t i = 0; i < len;) {
        uint32_t c = 0;
        int n = ep_utf8_next(text + i, &c);
        if (n == 0) {
            return refuse(r, EP_E_PARSE, "this is not UTF-8 text: save the file as CSV in UTF-8");
        }
        if ((c < 0x20 && c != '\t' && c != '\n' && c != '\r') || (c >= 0x7F && c < 0xA0)) {
            return refuse(r, EP_E_PARSE, "the text holds characters that cannot be shown");
        }
        r->row_line += c == '\n';
        i += (size_t)n;
    }
    return EP_OK;
}

// one byte at a time, so that lines can be counted inside quotes as well
static void feed(reader *r, struct csv_parser *p, const char *text, size_t len)
{
    r->line = 1;
    r->fresh = true;
    for (size_t i = 0; i < len && r->status == EP_OK; i++) {
        if (r->fresh && text[i] != '\r' && text[i] != '\n') {
            r->row_line = r->line;
            r->fresh = false;
        }
        if (csv_parse(p, text + i, 1, on_cell, on_row, r) != 1) {
            r->row_line = r->line;
            refuse(r, csv_error(p) == CSV_EPARSE ? EP_E_PARSE : EP_E_MEMORY,
                   csv_error(p) == CSV_EPARSE ? "a quote stands where none may: a cell that holds "
                                                "one is written \"like \"\"this\"\"\""
                                              : "out of memory");
        }
        r->line += text[i] == '\n' || (text[i] == '\r' && (i + 1 == len || text[i + 1] != '\n'));
    }
    if (r->status == EP_OK && csv_fini(p, on_cell, on_row, r) != 0) {
        refuse(r, EP_E_PARSE, "a quote is opened here and never closed");
    }
}

static ep_status check_header(reader *r)
{
    r->row_line = 1;
    if (r->csv->n_rows == 0) {
        return refuse(r, EP_E_PARSE,
                      "the file is empty: a header with the names of its columns "
                      "is needed");
    }
    const char *only = r->csv->n_columns == 1 ? r->csv->cell[0] : "";
    if (strchr(only, ';') || strchr(only, '\t')) {
        return refuse(r, EP_E_PARSE,
                      "the columns must be divided by commas, with a point in "
                      "numbers");
    }
    return EP_OK;
}

ep_status ep_csv_read(const char *text, size_t len, ep_csv *out, ep_err *err)
{
    *out = (ep_csv){0};
    reader r = {.csv = out, .err = err, .row_line = 1};
    if (len > EP_CSV_BYTES_MAX) {
        return ep_err_set(err, EP_E_ARG, "text", "text: %zu bytes are too many, at most %d", len,
                          EP_CSV_BYTES_MAX);
    }
    if (len >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) {
        text += 3;
        len -= 3;
    }
    struct csv_parser p;
    if (check_encoding(&r, text, len) == EP_OK) {
        if (csv_init(&p, CSV_STRICT | CSV_STRICT_FINI | CSV_APPEND_NULL) != 0) {
            return ep_err_set(err, EP_E_MEMORY, "text", "out of memory");
        }
        feed(&r, &p, text, len);
        csv_free(&p);
    }
    if (r.status == EP_OK) {
        check_header(&r);
    }
    if (r.status != EP_OK) {
        // a row cut short by the refusal has cells too
        for (size_t i = 0; i < r.n_cells; i++) {
            free(out->cell[i]);
        }
        free(out->cell);
        free(out->line);
        *out = (ep_csv){0};
    }
    return r.status;
}

void ep_csv_clear(ep_csv *c)
{
    for (int i = 0; i < c->n_rows * c->n_columns; i++) {
        free(c->cell[i]);
    }
    free(c->cell);
    free(c->line);
    *c = (ep_csv){0};
}

const char *ep_csv_cell(const ep_csv *c, int row, int column)
{
    return c->cell[row * c->n_columns + column];
}

// --- writing ---

void ep_csv_put_number(ep_text *t, const char *cell, bool first)
{
    if (!first) {
        ep_text_add(t, ",");
    }
    size_t n = strlen(cell);
    bool blank_ends = n > 0 && (strchr(" \t", cell[0]) || strchr(" \t", cell[n - 1]));
    if (!blank_ends && !strpbrk(cell, ",\"\r\n")) {
        ep_text_add(t, cell);
        return;
    }
    ep_text_add(t, "\"");
    for (const char *c = cell; *c; c++) {
        ep_text_add_n(t, *c == '"' ? "\"\"" : c, *c == '"' ? 2 : 1);
    }
    ep_text_add(t, "\"");
}

void ep_csv_put_text(ep_text *t, const char *cell, bool first)
{
    if (!looks_like_formula(cell)) {
        ep_csv_put_number(t, cell, first);
        return;
    }
    ep_text guarded;
    ep_text_init(&guarded);
    ep_text_add(&guarded, "'");
    ep_text_add(&guarded, cell);
    t->ok = t->ok && guarded.ok;
    ep_csv_put_number(t, ep_text_str(&guarded), first);
    ep_text_clear(&guarded);
}

void ep_csv_end_row(ep_text *t)
{
    ep_text_add(t, "\r\n");
}
