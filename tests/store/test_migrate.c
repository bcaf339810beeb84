// Which files are opened, which are refused untouched, and how an older one is brought up.
#include <dirent.h>

#include "scratch.h"

enum { OURS = 0x45504F4C };

static void a_new_file_is_ours_and_newest(void **state)
{
    (void)state;
    ep_store *s = scratch_store("new.db");
    assert_int_equal(ask(s, "PRAGMA application_id"), OURS);
    assert_int_equal(ask(s, "PRAGMA user_version"), ep_store_newest_schema());
    assert_int_equal(ep_store_schema(s), ep_store_newest_schema());
    assert_int_equal(ask(s, "PRAGMA foreign_keys"), 1);
    assert_int_equal(ask(s, "PRAGMA trusted_schema"), 0);
    assert_int_equal(ask(s, "PRAGMA synchronous"), 2);
    ep_store_close(s);
}

/// Libraries with the reset race of the write-ahead log (3.7.0 to 3.51.2 but for 3.50.7 and 3.44.6)
/// must not use it.
static void an_unfixed_library_keeps_the_rollback_journal(void **state)
{
    (void)state;
    int v = sqlite3_libversion_number();
    bool fixed = v >= 3051003 || (v >= 3050007 && v < 3051000) || (v >= 3044006 && v < 3045000);
    ep_store *s = scratch_store("journal.db");
    sqlite3_stmt *stmt = NULL;
    sqlite3_prepare_v2(s->db, "PRAGMA journal_mode", -1, &stmt, NULL);
    assert_int_equal(sqlite3_step(stmt), SQLITE_ROW);
    assert_string_equal((const char *)sqlite3_column_text(stmt, 0), fixed ? "wal" : "truncate");
    sqlite3_finalize(stmt);
    ep_store_close(s);
}

/// Open must fail with `want`, and not one byte of the file may change.
static void refused_untouched(const char *name, ep_status want, const char *said)
{
    char path[128];
    size_t before_n = 0, after_n = 0;
    scratch_path(name, path, sizeof path);
    char *before = slurp(path, &before_n);
    ep_store *s = NULL;
    ep_err err = {0};
    ep_status got = ep_store_open(path, &s, &err);
    if (got != want || !strstr(err.text, said)) {
        fail_msg("%s gave %s: %s", name, ep_status_name(got), err.text);
    }
    assert_null(s);
    char *after = slurp(path, &after_n);
    assert_int_equal(before_n, after_n);
    assert_memory_equal(before, after, before_n);
    free(before);
    free(after);
}

static void make_plain(const char *name, const char *sql)
{
    char path[128];
    sqlite3 *db = NULL;
    unlink(scratch_path(name, path, sizeof path));
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
}

static void files_of_others_are_refused(void **state)
{
    (void)state;
    char path[128];
    make_plain("tables.db", "CREATE TABLE t (x)");
    refused_untouched("tables.db", EP_E_DB, "another program");
    make_plain("marked.db", "PRAGMA application_id = 7; CREATE TABLE t (x)");
    refused_untouched("marked.db", EP_E_DB, "another program");
    FILE *f = fopen(scratch_path("text.db", path, sizeof path), "w");
    assert_non_null(f);
    for (int i = 0; i < 200; i++) {
        fputs("this is a shopping list, not a database\n", f);
    }
    fclose(f);
    refused_untouched("text.db", EP_E_DB, "not a workshop's database");
}

static void a_newer_file_is_refused(void **state)
{
    (void)state;
    ep_store *s = scratch_store("newer.db");
    must(s, "PRAGMA user_version = 999");
    ep_store_close(s);
    refused_untouched("newer.db", EP_E_STATE, "newer version");
}

static ep_migration first_step(void)
{
    int n;
    return ep_store_migrations(&n)[0];
}

static void an_older_file_is_copied_and_brought_up(void **state)
{
    (void)state;
    char path[128];
    ep_err err = {0};
    ep_migration step[] = {first_step(), {2, "ALTER TABLE candle ADD COLUMN nickname TEXT;"}};
    ep_store *s = NULL;
    unlink(scratch_path("old.db", path, sizeof path));
    assert_int_equal(ep_store_open_with(path, step, 1, &s, &err), EP_OK);
    put_setting(s, "units", "us", &err);
    ep_store_close(s);

    assert_int_equal(ep_store_open_with(path, step, 2, &s, &err), EP_OK);
    assert_int_equal(ask(s, "PRAGMA user_version"), 2);
    assert_int_equal(ask(s, "SELECT count(*) FROM pragma_table_info('candle') WHERE name = "
                            "'nickname'"),
                     1);
    assert_int_equal(ask(s, "SELECT count(*) FROM setting"), 1);
    ep_store_close(s);

    scratch_path("old.db.bak-1", path, sizeof path);
    assert_int_equal(ep_store_open_with(path, step, 1, &s, &err), EP_OK);
    assert_int_equal(ask(s, "PRAGMA user_version"), 1);
    assert_int_equal(ask(s, "SELECT count(*) FROM setting"), 1);
    assert_int_equal(ep_store_check(s, &err), EP_OK);
    ep_store_close(s);
}

static void a_failing_step_leaves_the_old_file(void **state)
{
    (void)state;
    char path[128];
    ep_err err = {0};
    ep_migration step[] = {
        first_step(), {2, "CREATE TABLE half (x TEXT) STRICT; INSERT INTO nowhere VALUES (1);"}};
    ep_store *s = NULL;
    unlink(scratch_path("broken.db", path, sizeof path));
    assert_int_equal(ep_store_open_with(path, step, 1, &s, &err), EP_OK);
    put_setting(s, "units", "us", &err);
    ep_store_close(s);

    s = NULL;
    assert_int_equal(ep_store_open_with(path, step, 2, &s, &err), EP_E_DB);
    assert_null(s);
    assert_non_null(strstr(err.text, "schema 2"));

    ep_err_clear(&err);
    assert_int_equal(ep_store_open_with(path, step, 1, &s, &err), EP_OK);
    assert_int_equal(ask(s, "PRAGMA user_version"), 1);
    assert_int_equal(ask(s, "SELECT count(*) FROM sqlite_schema WHERE name = 'half'"), 0);
    assert_int_equal(ask(s, "SELECT count(*) FROM setting"), 1);
    ep_store_close(s);
}

/// Text of the whole schema, to compare a migrated file with a fresh one.
static char *schema_text(ep_store *s)
{
    sqlite3_stmt *stmt = NULL;
    sqlite3_prepare_v2(s->db,
                       "SELECT coalesce(group_concat(line, char(10)), '') FROM (SELECT type || ' ' "
                       "|| name || ' ' || coalesce(sql, '') AS line FROM sqlite_schema WHERE name "
                       "NOT LIKE 'sqlite_%' ORDER BY type, name)",
                       -1, &stmt, NULL);
    assert_int_equal(sqlite3_step(stmt), SQLITE_ROW);
    char *text = strdup((const char *)sqlite3_column_text(stmt, 0));
    sqlite3_finalize(stmt);
    return text;
}

/// A kept old file: opens, is brought up, has the fresh schema, and lost nothing.
static void check_old(const char *name)
{
    char file[256], path[128], sql[96];
    int version = 0;
    assert_int_equal(sscanf(name, "v%d.sql", &version), 1);
    snprintf(file, sizeof file, EP_TEST_DIR "/old/%s", name);
    char *dump = slurp(file, NULL);
    assert_non_null(dump);
    make_plain("kept.db", dump);
    free(dump);
    snprintf(sql, sizeof sql, "PRAGMA application_id = %d; PRAGMA user_version = %d", OURS,
             version);
    sqlite3 *db = NULL;
    sqlite3_open(scratch_path("kept.db", path, sizeof path), &db);
    assert_int_equal(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);

    ep_err err = {0};
    ep_store *s = scratch_reopen("kept.db");
    assert_int_equal(ep_store_check(s, &err), EP_OK);
    // since schema 8 one more, in conflict with the others
    assert_int_equal(ask(s, "SELECT count(*) FROM reading"), version < 8 ? 2 : 3);
    assert_int_equal(ask(s, "SELECT count(*) FROM reading_now"), 1);
    assert_int_equal(ask(s, "SELECT count(*) FROM candle"), 2);
    assert_int_equal(ask(s, "SELECT count(*) FROM revision_share"), 3);
    if (version < ep_store_newest_schema()) {
        ep_store *fresh = scratch_store("fresh.db");
        char *a = schema_text(s), *b = schema_text(fresh);
        assert_string_equal(a, b);
        free(a);
        free(b);
        ep_store_close(fresh);
    }
    ep_store_close(s);
}

static void every_kept_file_still_opens(void **state)
{
    (void)state;
    int n = 0;
    DIR *d = opendir(EP_TEST_DIR "/old");
    assert_non_null(d);
    for (struct dirent *e = readdir(d); e; e = readdir(d)) {
        if (e->d_name[0] == 'v') {
            check_old(e->d_name);
            n++;
        }
    }
    closedir(d);
    assert_int_equal(n, ep_store_newest_schema());  // one kept file per schema there has been
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_new_file_is_ours_and_newest),
        cmocka_unit_test(an_unfixed_library_keeps_the_rollback_journal),
        cmocka_unit_test(files_of_others_are_refused),
        cmocka_unit_test(a_newer_file_is_refused),
        cmocka_unit_test(an_older_file_is_copied_and_brought_up),
        cmocka_unit_test(a_failing_step_leaves_the_old_file),
        cmocka_unit_test(every_kept_file_still_opens),
    };
    return cmocka_run_group_tests(tests, NULL, scratch_teardown);
}
