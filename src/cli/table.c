// Tables for the terminal.
#include "cli/table.h"

#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"

#define GAP         2   // blanks between columns
#define LEAST_FIRST 28  // the first column says what a row is: it is not cut below this
#define LEAST       14  // nor another text column below this

void ep_table_init(ep_table *t)
{
    *t = (ep_table){.ok = true};
}

void ep_table_clear(ep_table *t)
{
    for (int i = 0; i < t->n_columns; i++) {
        free(t->head[i]);
    }
    for (size_t i = 0; i < t->n_cells; i++) {
        free(t->cell[i]);
    }
    free(t->cell);
    *t = (ep_table){0};
}

void ep_table_column(ep_table *t, const char *head, bool right)
{
    if (t->n_columns == EP_TABLE_COLUMNS_MAX) {
        return;
    }
    t->head[t->n_columns] = strdup(head);
    t->ok = t->ok && t->head[t->n_columns];
    t->right[t->n_columns++] = right;
}

void ep_table_cell(ep_table *t, const char *text)
{
    if (t->n_cells == t->cap) {
        size_t cap = t->cap ? t->cap * 2 : 64;
        char **more = realloc(t->cell, cap * sizeof *more);
        if (!more) {
            t->ok = false;
            return;
        }
        t->cell = more;
        t->cap = cap;
    }
    char *copy = strdup(text);
    t->ok = t->ok && copy;
    if (copy) {
        t->cell[t->n_cells++] = copy;
    }
}

static int widest(const ep_table *t, int column)
{
    int w = ep_show_columns(t->head[column]);
    for (size_t i = (size_t)column; i < t->n_cells; i += (size_t)t->n_columns) {
        int n = ep_show_columns(t->cell[i]);
        w = n > w ? n : w;
    }
    return w;
}

static int least(const ep_table *t, const int *width, int column)
{
    int floor = column == 0 ? LEAST_FIRST : LEAST;
    return t->right[column] || width[column] < floor ? width[column] : floor;
}

static int total(const ep_table *t, const int *width, int n, bool cut)
{
    int sum = n > 0 ? GAP * (n - 1) : 0;
    for (int i = 0; i < n; i++) {
        sum += cut ? least(t, width, i) : width[i];
    }
    return sum;
}

// make room: leave out columns from the right until the rest fits when cut, then cut the widest
// text column a little at a time
static int fit(const ep_table *t, int *width, int room)
{
    int n = t->n_columns;
    while (n > 1 && total(t, width, n, true) > room) {
        n--;
    }
    while (total(t, width, n, false) > room) {
        int w = -1;
        for (int i = 0; i < n; i++) {
            if (width[i] > least(t, width, i) && (w < 0 || width[i] > width[w])) {
                w = i;
            }
        }
        if (w < 0) {
            break;
        }
        width[w]--;
    }
    return n;
}

static void blanks(ep_show *show, int n)
{
    for (int i = 0; i < n; i++) {
        ep_text_add(&show->out, " ");
    }
}

// the first `columns` columns of a text
static void put_cut(ep_show *show, const char *text, int columns)
{
    const char *mark = show->utf8 ? "…" : "~";
    const char *p = text;
    int used = 0;
    while (*p && used < columns - 1) {
        uint32_t code = 0;
        int n = ep_utf8_next(p, &code);
        if (n == 0) {
            break;
        }
        ep_text_add_n(&show->out, p, (size_t)n);
        p += n;
        used++;
    }
    ep_text_add(&show->out, mark);
}

static void put(ep_show *show, const char *text, int width, bool right, bool last)
{
    int n = ep_show_columns(text);
    if (n > width) {
        put_cut(show, text, width);
        return;
    }
    if (right) {
        blanks(show, width - n);
    }
    ep_text_add(&show->out, text);
    if (!right && !last) {
        blanks(show, width - n);
    }
}

static void end_line(ep_show *show)
{
    while (show->out.len > 0 && show->out.data[show->out.len - 1] == ' ') {
        show->out.data[--show->out.len] = '\0';
    }
    ep_text_add(&show->out, "\n");
}

void ep_table_print(const ep_table *t, ep_show *show, int indent)
{
    if (!t->ok || t->n_columns == 0 || t->n_cells % (size_t)t->n_columns != 0) {
        show->out.ok = show->out.ok && t->ok;
        return;
    }
    int width[EP_TABLE_COLUMNS_MAX];
    for (int i = 0; i < t->n_columns; i++) {
        width[i] = widest(t, i);
    }
    int n = fit(t, width, show->width - indent);
    blanks(show, indent);
    for (int i = 0; i < n; i++) {
        put(show, t->head[i], width[i], t->right[i], i == n - 1);
        blanks(show, i < n - 1 ? GAP : 0);
    }
    end_line(show);
    for (size_t row = 0; row < t->n_cells; row += (size_t)t->n_columns) {
        blanks(show, indent);
        for (int i = 0; i < n; i++) {
            put(show, t->cell[row + (size_t)i], width[i], t->right[i], i == n - 1);
            blanks(show, i < n - 1 ? GAP : 0);
        }
        end_line(show);
    }
    if (n < t->n_columns) {
        blanks(show, indent);
        int out = t->n_columns - n;
        ep_text_addf(&show->out, "(%d more column%s: widen the window or use --json)\n", out,
                     out == 1 ? "" : "s");
    }
}
