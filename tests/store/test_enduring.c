// Every table of the enduring half refuses change, removal and replacement; the rest does not.
#include "scratch.h"

// what may be cleared and worked out again
static const char *const passing[] = {"write_receipt", "forecast", "kept", "device_seen"};

static int is_passing(const char *table)
{
    for (size_t i = 0; i < sizeof passing / sizeof passing[0]; i++) {
        if (strcmp(passing[i], table) == 0) {
            return 1;
        }
    }
    return 0;
}

static ep_store *full_store(const char *name)
{
    ep_store *s = scratch_store(name);
    char *sql = slurp(EP_TEST_DIR "/full.sql", NULL);
    assert_non_null(sql);
    must(s, sql);
    free(sql);
    return s;
}

static void refuses(ep_store *s, const char *sql)
{
    ep_err err = {0};
    ep_status status = ep_store_exec(s, sql, "test", &err);
    if (status != EP_E_CONFLICT) {
        fail_msg("%s gave %s: %s", sql, ep_status_name(status), err.text);
    }
}

static void check_table(ep_store *s, const char *table)
{
    char sql[200], column[64];
    sqlite3_stmt *stmt = NULL;
    snprintf(sql, sizeof sql, "SELECT name FROM pragma_table_info('%s') LIMIT 1", table);
    assert_int_equal(sqlite3_prepare_v2(s->db, sql, -1, &stmt, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(stmt), SQLITE_ROW);
    snprintf(column, sizeof column, "%s", (const char *)sqlite3_column_text(stmt, 0));
    sqlite3_finalize(stmt);
    snprintf(sql, sizeof sql, "SELECT count(*) FROM %s", table);
    int64_t before = ask(s, sql);
    if (before < 1) {
        fail_msg("full.sql has no row for %s", table);
    }
    char change[200], removal[200], replacement[200];
    snprintf(change, sizeof change, "UPDATE %s SET %s = %s", table, column, column);
    snprintf(removal, sizeof removal, "DELETE FROM %s", table);
    snprintf(replacement, sizeof replacement, "INSERT OR REPLACE INTO %s SELECT * FROM %s", table,
             table);
    if (is_passing(table)) {
        must(s, change);
        must(s, removal);
        assert_int_equal(ask(s, sql), 0);
        return;
    }
    refuses(s, change);
    refuses(s, removal);
    refuses(s, replacement);
    assert_int_equal(ask(s, sql), before);
}

static void every_table_keeps_its_rows(void **state)
{
    (void)state;
    ep_store *s = full_store("full.db");
    sqlite3_stmt *stmt = NULL;
    int tables = 0;
    assert_int_equal(sqlite3_prepare_v2(s->db,
                                        "SELECT name FROM sqlite_schema WHERE type = 'table'"
                                        " AND name NOT LIKE 'sqlite_%' ORDER BY name DESC",
                                        -1, &stmt, NULL),
                     SQLITE_OK);
    while (sqlite3_step(stmt) == SQLITE_ROW) {
        check_table(s, (const char *)sqlite3_column_text(stmt, 0));
        tables++;
    }
    sqlite3_finalize(stmt);
    assert_true(tables >= 24);
    ep_store_close(s);
}

static void every_table_is_strict(void **state)
{
    (void)state;
    ep_store *s = scratch_store("strict.db");
    assert_int_equal(ask(s,
                         "SELECT count(*) FROM pragma_table_list WHERE schema = 'main' AND type = "
                         "'table' AND strict = 0 AND name NOT LIKE 'sqlite_%'"),
                     0);
    ep_store_close(s);
}

static void the_book_is_consistent(void **state)
{
    (void)state;
    ep_err err = {0};
    ep_store *s = full_store("sound.db");
    assert_int_equal(ep_store_check(s, &err), EP_OK);
    ep_store_close(s);
}

static void a_reading_is_corrected_once(void **state)
{
    (void)state;
    ep_err err = {0};
    ep_store *s = full_store("chain.db");
    assert_int_equal(
        ep_store_exec(
            s,
            "INSERT INTO reading VALUES ('reading-3', 'session-1', 'candle-1', 'pool_wide',"
            " 'mm', 55, 60, 3600014, 'reading-1', NULL, 1)",
            "test", &err),
        EP_E_CONFLICT);
    must(s, "INSERT INTO reading VALUES ('reading-4', 'session-1', 'candle-1', 'pool_wide',"
            " 'mm', 55, 60, 3600014, 'reading-2', NULL, 1)");
    ep_store_close(s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_table_keeps_its_rows),
        cmocka_unit_test(every_table_is_strict),
        cmocka_unit_test(the_book_is_consistent),
        cmocka_unit_test(a_reading_is_corrected_once),
    };
    return cmocka_run_group_tests(tests, NULL, scratch_teardown);
}
