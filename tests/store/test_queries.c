// Every named statement prepares against a fresh schema, takes named parameters only, and no two
// share a name or say the same thing.
#include "scratch.h"

static void all_prepare(void **state)
{
    (void)state;
    ep_store *s = scratch_store("queries.db");
    assert_true(EP_Q_COUNT_ > 50);
    for (int q = 0; q < EP_Q_COUNT_; q++) {
        const char *sql = ep_query_sql((ep_query)q);
        sqlite3_stmt *stmt = NULL;
        if (sqlite3_prepare_v2(s->db, sql, -1, &stmt, NULL) != SQLITE_OK) {
            fail_msg("%s: %s", ep_query_name((ep_query)q), sqlite3_errmsg(s->db));
        }
        for (int i = 1; i <= sqlite3_bind_parameter_count(stmt); i++) {
            const char *name = sqlite3_bind_parameter_name(stmt, i);
            if (!name || name[0] != ':') {
                fail_msg("%s has a parameter without a name", ep_query_name((ep_query)q));
            }
        }
        sqlite3_finalize(stmt);
    }
    ep_store_close(s);
}

static void none_twice(void **state)
{
    (void)state;
    for (int a = 0; a < EP_Q_COUNT_; a++) {
        for (int b = a + 1; b < EP_Q_COUNT_; b++) {
            if (strcmp(ep_query_sql((ep_query)a), ep_query_sql((ep_query)b)) == 0) {
                fail_msg("%s and %s say the same", ep_query_name((ep_query)a),
                         ep_query_name((ep_query)b));
            }
        }
    }
}

/// Pages wait for lists: none of them may walk the readings table from end to end.
static void readings_are_found_by_index(void **state)
{
    (void)state;
    ep_store *s = scratch_store("plans.db");
    for (int q = 0; q < EP_Q_COUNT_; q++) {
        char sql[4096];
        sqlite3_stmt *stmt = NULL;
        snprintf(sql, sizeof sql, "EXPLAIN QUERY PLAN %s", ep_query_sql((ep_query)q));
        assert_int_equal(sqlite3_prepare_v2(s->db, sql, -1, &stmt, NULL), SQLITE_OK);
        while (sqlite3_step(stmt) == SQLITE_ROW) {
            const char *detail = (const char *)sqlite3_column_text(stmt, 3);
            if (strcmp(detail, "SCAN reading") == 0 || strcmp(detail, "SCAN r") == 0) {
                if (strstr(ep_query_sql((ep_query)q), "FROM reading")) {
                    fail_msg("%s: %s", ep_query_name((ep_query)q), detail);
                }
            }
        }
        sqlite3_finalize(stmt);
    }
    ep_store_close(s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_prepare),
        cmocka_unit_test(none_twice),
        cmocka_unit_test(readings_are_found_by_index),
    };
    return cmocka_run_group_tests(tests, NULL, scratch_teardown);
}
