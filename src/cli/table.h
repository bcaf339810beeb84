/// A table of text cells that fits the terminal: columns as wide as needed, text cells cut and, at
/// the last, columns left out from the right when there is no room.
#pragma once
#include "cli/show.h"

#define EP_TABLE_COLUMNS_MAX 24

typedef struct ep_table {
    int n_columns;
    char *head[EP_TABLE_COLUMNS_MAX];  ///< owned
    bool right[EP_TABLE_COLUMNS_MAX];  ///< numbers stand to the right
    char **cell;                       ///< owned, row after row
    size_t n_cells, cap;
    bool ok;
} ep_table;

void ep_table_init(ep_table *t);
void ep_table_clear(ep_table *t);
void ep_table_column(ep_table *t, const char *head, bool right);
void ep_table_cell(ep_table *t, const char *text);
void ep_table_print(const ep_table *t, ep_show *show, int indent);
