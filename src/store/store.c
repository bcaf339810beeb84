// Opening, closing and transactions. Statements are in run.c, the schema's steps in migrate.c,
// the wording of database errors in fail.c.
#include "store/store.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store/store_int.h"

enum { BUSY_WAIT_MS = 5000 };

/// Libraries without the fix for the write-ahead log's reset race (two connections, one of them
/// in a checkpoint) get the rollback journal instead. Fixed in 3.51.3, 3.50.7 and 3.44.6.
static bool wal_is_sound(int version)
{
    return version >= 3051003 || (version >= 3050007 && version < 3051000) ||
           (version >= 3044006 && version < 3045000);
}

const char *ep_store_library(void)
{
    return sqlite3_libversion();
}

ep_status ep_store_exec(ep_store *s, const char *sql, const char *doing, ep_err *err)
{
    int rc = sqlite3_exec(s->db, sql, NULL, NULL, NULL);
    return rc == SQLITE_OK ? EP_OK : ep_store_fail(s, rc, doing, err);
}

ep_status ep_store_pragma_int(ep_store *s, const char *sql, int64_t *out, ep_err *err)
{
    sqlite3_stmt *stmt = NULL;
    int rc = sqlite3_prepare_v2(s->db, sql, -1, &stmt, NULL);
    if (rc == SQLITE_OK) {
        rc = sqlite3_step(stmt);
        if (rc == SQLITE_ROW) {
            *out = sqlite3_column_int64(stmt, 0);
            rc = SQLITE_OK;
        }
    }
    ep_status status = rc == SQLITE_OK ? EP_OK : ep_store_fail(s, rc, "reading the file", err);
    sqlite3_finalize(stmt);
    return status;
}

static ep_status set_connection(ep_store *s, ep_err *err)
{
    sqlite3_extended_result_codes(s->db, 1);
    sqlite3_busy_timeout(s->db, BUSY_WAIT_MS);
    sqlite3_db_config(s->db, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    // recursive triggers, so that a REPLACE also meets the triggers that refuse a delete
    return ep_store_exec(s,
                         "PRAGMA trusted_schema = OFF;"
                         "PRAGMA foreign_keys = ON;"
                         "PRAGMA recursive_triggers = ON;"
                         "PRAGMA cell_size_check = ON;",
                         "opening the file", err);
}

static ep_status set_journal(ep_store *s, ep_err *err)
{
    // FULL also with the write-ahead log: an acknowledged reading must survive a power cut
    const char *sql = wal_is_sound(sqlite3_libversion_number())
                          ? "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;"
                          : "PRAGMA journal_mode = TRUNCATE; PRAGMA synchronous = FULL;";
    return ep_store_exec(s, sql, "opening the file", err);
}

ep_status ep_store_open_with(const char *path, const ep_migration *step, int n_steps,
                             ep_store **out, ep_err *err)
{
    ep_store *s = calloc(1, sizeof *s);
    char *copy = strdup(path);
    if (!s || !copy) {
        free(s);
        free(copy);
        return ep_err_set(err, EP_E_MEMORY, "db", "out of memory while opening %s", path);
    }
    s->path = copy;
    int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_NOMUTEX;
    int rc = sqlite3_open_v2(path, &s->db, flags, NULL);
    ep_status status = rc == SQLITE_OK ? EP_OK : ep_store_fail(s, rc, "opening the file", err);
    if (status == EP_OK) {
        status = set_connection(s, err);
    }
    if (status == EP_OK) {
        status = ep_store_migrate(s, step, n_steps, err);
    }
    if (status == EP_OK) {
        status = set_journal(s, err);
    }
    if (status != EP_OK) {
        ep_store_close(s);
        return status;
    }
    *out = s;
    return EP_OK;
}

ep_status ep_store_open(const char *path, ep_store **out, ep_err *err)
{
    int n;
    const ep_migration *step = ep_store_migrations(&n);
    return ep_store_open_with(path, step, n, out, err);
}

void ep_store_close(ep_store *s)
{
    if (!s) {
        return;
    }
    while (s->depth > 0) {
        ep_store_rollback(s);
    }
    for (int i = 0; i < EP_Q_COUNT_; i++) {
        sqlite3_finalize(s->stmt[i]);
    }
    sqlite3_close(s->db);
    free(s->path);
    free(s);
}

int ep_store_schema(const ep_store *s)
{
    return s->schema;
}

const char *ep_store_path(const ep_store *s)
{
    return s->path;
}

int ep_store_depth(const ep_store *s)
{
    return s->depth;
}

int ep_store_changes(const ep_store *s)
{
    return s->changes;
}

ep_status ep_store_begin(ep_store *s, bool write, const char *who, ep_err *err)
{
    if (s->depth == 0) {
        // immediate: a writer that must wait waits here, before it has read anything stale
        ep_status status = ep_store_exec(s, write ? "BEGIN IMMEDIATE" : "BEGIN", who, err);
        if (status != EP_OK) {
            return status;
        }
        s->write = write;
        s->who = who;
        s->depth = 1;
        return EP_OK;
    }
    if (write && !s->write) {
        return ep_err_set(err, EP_E_STATE, "", "%s wants to write inside %s, which only reads", who,
                          s->who);
    }
    char sql[40];
    snprintf(sql, sizeof sql, "SAVEPOINT ep_%d", s->depth);
    ep_status status = ep_store_exec(s, sql, who, err);
    if (status == EP_OK) {
        s->depth++;
    }
    return status;
}

/// A full disk or a failed write makes SQLite undo the whole transaction by itself.
static bool lost(const ep_store *s)
{
    return sqlite3_get_autocommit(s->db) != 0;
}

ep_status ep_store_commit(ep_store *s, ep_err *err)
{
    assert(s->depth > 0);
    if (lost(s)) {
        ep_store_rollback(s);
        return ep_err_set(err, EP_E_DB, "", "%s: the database undid the change; nothing was saved",
                          s->who);
    }
    char sql[40] = "COMMIT";
    if (s->depth > 1) {
        snprintf(sql, sizeof sql, "RELEASE ep_%d", s->depth - 1);
    }
    ep_status status = ep_store_exec(s, sql, s->who, err);
    if (status != EP_OK) {
        ep_store_rollback(s);
        return status;
    }
    s->depth--;
    return EP_OK;
}

void ep_store_rollback(ep_store *s)
{
    assert(s->depth > 0);
    int level = --s->depth;
    if (lost(s)) {
        return;
    }
    char sql[80] = "ROLLBACK";
    if (level > 0) {
        snprintf(sql, sizeof sql, "ROLLBACK TO ep_%d; RELEASE ep_%d", level, level);
    }
    // nothing more can be done when undoing fails; SQLite undoes it when the file is next opened
    (void)sqlite3_exec(s->db, sql, NULL, NULL, NULL);
}
