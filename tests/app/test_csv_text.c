// Comma-separated text against RFC 4180 (its section 2, rules 1 to 7, with its own examples), and
// what the reader adds: lines counted, limits kept, formulas kept from spreadsheets.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <stdlib.h>
#include <string.h>

#include "app/csv_text.h"

static ep_err err;

static void reads(const char *text, int rows, int columns, const char *cells)
{
    ep_csv c;
    err = (ep_err){0};
    if (ep_csv_read(text, strlen(text), &c, &err) != EP_OK) {
        fail_msg("%s: %s", text, err.text);
    }
    char all[400] = "";
    for (int i = 0; i < c.n_rows; i++) {
        for (int k = 0; k < c.n_columns; k++) {
            strcat(strcat(all, ep_csv_cell(&c, i, k)), "|");
        }
    }
    assert_int_equal(c.n_rows, rows);
    assert_int_equal(c.n_columns, columns);
    assert_string_equal(all, cells);
    ep_csv_clear(&c);
}

static void refuses(const char *text, ep_status status, const char *line, const char *part)
{
    ep_csv c = {.n_rows = 999};
    err = (ep_err){0};
    assert_int_equal(ep_csv_read(text, strlen(text), &c, &err), status);
    if (strncmp(err.text, line, strlen(line)) != 0 || !strstr(err.text, part)) {
        fail_msg("wanted %s … %s, got %s", line, part, err.text);
    }
    assert_int_equal(c.n_rows, 0);
    assert_null(c.cell);
}

// RFC 4180 section 2: the examples of its rules
static void the_rules_of_the_standard(void **state)
{
    (void)state;
    reads("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", 2, 3, "aaa|bbb|ccc|zzz|yyy|xxx|");          // 1
    reads("aaa,bbb,ccc\r\nzzz,yyy,xxx", 2, 3, "aaa|bbb|ccc|zzz|yyy|xxx|");              // 2
    reads("field_name,other\r\naaa,bbb\r\n", 2, 2, "field_name|other|aaa|bbb|");        // 3
    reads("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", 2, 3, "aaa|bbb|ccc|zzz|yyy|xxx|");  // 5
    reads("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", 2, 3,
          "aaa|b\r\nbb|ccc|zzz|yyy|xxx|");                                                 // 6
    reads("\"aaa\",\"b\"\"bb\",\"ccc\"", 1, 3, "aaa|b\"bb|ccc|");                          // 7
    refuses("aaa,bbb\r\nzzz\r\n", EP_E_PARSE, "line 2", "1 cells, but the header has 2");  // 4
    refuses("aaa,bbb\r\nz,y,x\r\n", EP_E_PARSE, "line 2", "3 cells");
}

static void what_files_bring_along(void **state)
{
    (void)state;
    reads("\xEF\xBB\xBF"
          "a,b\n1,2\n",
          2, 2, "a|b|1|2|");
    reads("a,b\n\n\n1,2\n\n", 2, 2, "a|b|1|2|");
    reads(" a , b \n 1 ,\n", 2, 2, "a|b|1||");
    reads("n\nJürgens Becher ☕\n", 2, 1, "n|Jürgens Becher ☕|");
    reads("a\r1\r", 2, 1, "a|1|");
}

static void what_is_no_table(void **state)
{
    (void)state;
    refuses("", EP_E_PARSE, "line 1", "empty");
    refuses("a;b\n1;2\n", EP_E_PARSE, "line 1", "commas");
    refuses("a\tb\n", EP_E_PARSE, "line 1", "commas");
    refuses("a,b\n1,\"x\n2,3\n", EP_E_PARSE, "line 2", "never closed");
    refuses("a,b\n\n1,x\"y\n", EP_E_PARSE, "line 3", "quote");
    refuses("a,b\n1,\"x\" y\n", EP_E_PARSE, "line 2", "quote");
    refuses("a\n\xFF\xFE\n", EP_E_PARSE, "line 2", "UTF-8");
    refuses("a\nb\nc\xC3\n", EP_E_PARSE, "line 3", "UTF-8");
    refuses("a\n\x01\n", EP_E_PARSE, "line 2", "cannot be shown");
}

static void lines_are_those_of_the_file(void **state)
{
    (void)state;
    const char *text = "a,b\r\n\r\n\"x\r\ny\",1\r\nz,2\r\n";
    ep_csv c;
    err = (ep_err){0};
    assert_int_equal(ep_csv_read(text, strlen(text), &c, &err), EP_OK);
    assert_int_equal(c.line[0], 1);
    assert_int_equal(c.line[1], 3);
    assert_int_equal(c.line[2], 5);
    ep_csv_clear(&c);
}

static void limits(void **state)
{
    (void)state;
    ep_text t;
    ep_text_init(&t);
    for (int i = 0; i <= EP_CSV_ROWS_MAX; i++) {
        ep_text_add(&t, "x\n");
    }
    ep_csv c;
    err = (ep_err){0};
    assert_int_equal(ep_csv_read(t.data, t.len, &c, &err), EP_OK);
    assert_int_equal(c.n_rows, EP_CSV_ROWS_MAX + 1);
    ep_csv_clear(&c);
    ep_text_add(&t, "x\n");
    refuses(t.data, EP_E_ARG, "line 20002", "20000 rows");
    ep_text_clear(&t);
    ep_text_init(&t);
    for (int i = 0; i < EP_CSV_COLUMNS_MAX; i++) {
        ep_text_add(&t, "x,");
    }
    refuses(t.data, EP_E_ARG, "line 1", "40 cells");
    ep_text_clear(&t);
    ep_text_init(&t);
    for (int i = 0; i <= EP_CSV_CELL_MAX; i++) {
        ep_text_add(&t, "x");
    }
    refuses(t.data, EP_E_ARG, "line 1", "2000 bytes");
    while (t.len <= EP_CSV_BYTES_MAX) {
        ep_text_add(&t, "\n");
    }
    refuses(t.data, EP_E_ARG, "text", "4194304");
    ep_text_clear(&t);
}

// what a spreadsheet takes for a formula (common practice: cells that begin with = + - @, also
// behind a tab or a return) goes out with an apostrophe, and comes back without
static void formulas_are_written_as_text(void **state)
{
    (void)state;
    static const char *const cells[] = {
        "=1+1",  "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", "'=1",  "''=x",
        "plain", "'quoted' name",      "a=b",  "x\"y,z",   "\t=x", "\r=1"};
    for (size_t i = 0; i < sizeof cells / sizeof cells[0]; i++) {
        ep_text t;
        ep_text_init(&t);
        ep_csv_put_text(&t, "head", true);
        ep_csv_end_row(&t);
        ep_csv_put_text(&t, cells[i], true);
        ep_csv_end_row(&t);
        const char *written = strstr(ep_text_str(&t), "\r\n") + 2;
        assert_null(strchr("=+-@\t\r", written[written[0] == '"']));
        ep_csv c;
        err = (ep_err){0};
        assert_int_equal(ep_csv_read(t.data, t.len, &c, &err), EP_OK);
        assert_string_equal(ep_csv_cell(&c, 1, 0), cells[i]);
        ep_csv_clear(&c);
        ep_text_clear(&t);
    }
    ep_text t;
    ep_text_init(&t);
    ep_csv_put_number(&t, "-5", true);
    assert_string_equal(ep_text_str(&t), "-5");
    ep_text_clear(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_rules_of_the_standard),
        cmocka_unit_test(what_files_bring_along),
        cmocka_unit_test(what_is_no_table),
        cmocka_unit_test(lines_are_those_of_the_file),
        cmocka_unit_test(limits),
        cmocka_unit_test(formulas_are_written_as_text),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
