// Values in, rows out, transactions that nest, and constraint errors in words.
#include <math.h>

#include "scratch.h"

static void values_come_back_as_they_went_in(void **state)
{
    (void)state;
    ep_store *s = scratch_store("values.db");
    ep_err err = {0};
    must(s, "INSERT INTO material VALUES ('std-wax-a', 'wax', 'wax', NULL, 1)");
    ep_bind add[] = {ep_bind_text("id", "lot-01"),
                     ep_bind_text("material", "std-wax-a"),
                     ep_bind_null("series"),
                     ep_bind_text_or_null("container", ""),
                     ep_bind_text("code", "W-2417 é"),
                     ep_bind_int("received", 1795608000000),
                     ep_bind_real("quantity", 10000.25),
                     ep_bind_text("note", NULL),
                     ep_bind_int("at", 5)};
    assert_int_equal(ep_store_run(s, EP_Q_LOT_ADD, add, EP_COUNT_OF(add), &err), EP_OK);
    ep_bind get[] = {ep_bind_text("id", "lot-01")};
    json_t *row = NULL;
    assert_int_equal(ep_store_one(s, EP_Q_LOT_GET, get, 1, &row, &err), EP_OK);
    assert_string_equal(json_string_value(json_object_get(row, "code")), "W-2417 é");
    assert_string_equal(json_string_value(json_object_get(row, "received")),
                        "2026-11-25T12:00:00.000Z");
    assert_true(json_real_value(json_object_get(row, "quantity_g")) == 10000.25);
    assert_true(json_is_null(json_object_get(row, "note")));
    json_decref(row);
    ep_store_close(s);
}

static void not_a_number_is_null(void **state)
{
    (void)state;
    assert_int_equal(ep_bind_real("x", (double)NAN).kind, EP_BIND_NULL);
    assert_int_equal(ep_bind_real("x", 0).kind, EP_BIND_REAL);
}

static void no_row_is_not_found_and_leaves_the_error_alone(void **state)
{
    (void)state;
    ep_store *s = scratch_store("none.db");
    ep_err err = {0};
    json_t *row = NULL;
    int64_t n = -1;
    ep_bind get[] = {ep_bind_text("id", "nobody")}, key[] = {ep_bind_text("key", "units")};
    assert_int_equal(ep_store_one(s, EP_Q_LOT_GET, get, 1, &row, &err), EP_E_NOT_FOUND);
    assert_null(row);
    assert_int_equal(err.status, EP_OK);
    assert_int_equal(ep_store_int(s, EP_Q_SETTING_GET, key, 1, 42, &n, &err), EP_OK);
    assert_int_equal(n, 42);
    ep_store_close(s);
}

static int64_t settings(ep_store *s)
{
    return ask(s, "SELECT count(*) FROM setting");
}

static void transactions_nest(void **state)
{
    (void)state;
    ep_store *s = scratch_store("nest.db");
    ep_err err = {0};
    assert_int_equal(ep_store_begin(s, true, "outer", &err), EP_OK);
    put_setting(s, "a", "1", &err);
    assert_int_equal(ep_store_begin(s, true, "inner", &err), EP_OK);
    put_setting(s, "b", "1", &err);
    ep_store_rollback(s);
    assert_int_equal(settings(s), 1);
    assert_int_equal(ep_store_begin(s, true, "inner again", &err), EP_OK);
    put_setting(s, "c", "1", &err);
    assert_int_equal(ep_store_commit(s, &err), EP_OK);
    assert_int_equal(ep_store_depth(s), 1);
    assert_int_equal(ep_store_commit(s, &err), EP_OK);
    assert_int_equal(settings(s), 2);
    assert_int_equal(ep_store_begin(s, true, "undone as a whole", &err), EP_OK);
    assert_int_equal(ep_store_begin(s, true, "inner", &err), EP_OK);
    put_setting(s, "d", "1", &err);
    assert_int_equal(ep_store_commit(s, &err), EP_OK);
    ep_store_rollback(s);
    assert_int_equal(settings(s), 2);
    assert_int_equal(err.status, EP_OK);
    ep_store_close(s);
}

static void a_reading_transaction_refuses_writes(void **state)
{
    (void)state;
    ep_store *s = scratch_store("read.db");
    ep_err err = {0};
    assert_int_equal(ep_store_begin(s, false, "page", &err), EP_OK);
    assert_int_equal(put_setting(s, "a", "1", &err), EP_E_STATE);
    assert_non_null(strstr(err.text, "page"));
    ep_err_clear(&err);
    assert_int_equal(ep_store_begin(s, true, "sneaky", &err), EP_E_STATE);
    ep_err_clear(&err);
    assert_int_equal(ep_store_commit(s, &err), EP_OK);
    assert_int_equal(settings(s), 0);
    ep_store_close(s);
}

/// Break one rule and say what must come of it.
static void breaks(ep_store *s, const char *sql, ep_status want, const char *field,
                   const char *said)
{
    ep_err err = {0};
    ep_status got = ep_store_exec(s, sql, "test", &err);
    if (got != want || strcmp(err.field, field) != 0 || !strstr(err.text, said)) {
        fail_msg("%s\n gave %s [%s] %s", sql, ep_status_name(got), err.field, err.text);
    }
}

static void broken_rules_are_named(void **state)
{
    (void)state;
    ep_store *s = scratch_store("rules.db");
    must(s, "INSERT INTO material VALUES ('std-wax-a', 'wax', 'wax', NULL, 1)");
    must(s, "INSERT INTO recipe VALUES ('recipe-1', 'fig', 1)");
    breaks(s, "INSERT INTO material VALUES ('std-wax-a', 'wax', 'again', NULL, 1)", EP_E_CONFLICT,
           "id", "already recorded");
    breaks(s, "INSERT INTO recipe VALUES ('recipe-2', 'FIG', 1)", EP_E_CONFLICT, "name",
           "already recorded");
    breaks(s, "INSERT INTO material VALUES ('own-x', 'wax', NULL, NULL, 1)", EP_E_ARG, "name",
           "missing");
    breaks(s, "INSERT INTO material VALUES ('own-x', 'wax', 'x', 'nobody', 1)", EP_E_ARG, "",
           "not recorded");
    breaks(s, "INSERT INTO material VALUES ('own-x', 'stone', 'x', NULL, 1)", EP_E_ARG, "kind",
           "out of range");
    breaks(s, "INSERT INTO material VALUES ('own-x', 'wax', 'x', NULL, 'soon')", EP_E_ARG, "",
           "created_ms");
    breaks(s,
           "INSERT INTO material_prop (material_id, key, unit, value, lo, hi, how, source, set_ms) "
           "VALUES ('std-wax-a', 'liquidus', 'C', 52, 53, 54, 'sheet', '', 1)",
           EP_E_ARG, "value", "between lo and hi");
    breaks(s, "UPDATE recipe SET name = 'other'", EP_E_CONFLICT, "", "never changed");
    breaks(s, "DELETE FROM recipe", EP_E_CONFLICT, "", "archive it");
    ep_store_close(s);
}

static void a_backup_is_a_whole_store(void **state)
{
    (void)state;
    char path[128];
    ep_store *s = scratch_store("live.db");
    ep_err err = {0};
    put_setting(s, "a", "1", &err);
    scratch_path("copy.db", path, sizeof path);
    assert_int_equal(ep_store_backup(s, path, &err), EP_OK);
    put_setting(s, "b", "1", &err);
    assert_int_equal(ep_store_backup(s, path, &err), EP_OK);  // replaces the older copy
    put_setting(s, "c", "1", &err);
    ep_store_close(s);
    s = scratch_reopen("copy.db");
    assert_int_equal(settings(s), 2);
    assert_int_equal(ep_store_check(s, &err), EP_OK);
    ep_store_close(s);
}

static void a_backup_that_cannot_be_written_says_so(void **state)
{
    (void)state;
    ep_store *s = scratch_store("nowhere.db");
    ep_err err = {0};
    assert_int_equal(ep_store_backup(s, "/nonexistent-folder/copy.db", &err), EP_E_DB);
    assert_true(err.text[0] != '\0');
    ep_store_close(s);
}

static void a_store_in_a_missing_folder_says_so(void **state)
{
    (void)state;
    ep_store *s = NULL;
    ep_err err = {0};
    assert_int_equal(ep_store_open("/nonexistent-folder/book.db", &s, &err), EP_E_DB);
    assert_null(s);
    assert_non_null(strstr(err.text, "/nonexistent-folder/book.db"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(values_come_back_as_they_went_in),
        cmocka_unit_test(not_a_number_is_null),
        cmocka_unit_test(no_row_is_not_found_and_leaves_the_error_alone),
        cmocka_unit_test(transactions_nest),
        cmocka_unit_test(a_reading_transaction_refuses_writes),
        cmocka_unit_test(broken_rules_are_named),
        cmocka_unit_test(a_backup_is_a_whole_store),
        cmocka_unit_test(a_backup_that_cannot_be_written_says_so),
        cmocka_unit_test(a_store_in_a_missing_folder_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, scratch_teardown);
}
