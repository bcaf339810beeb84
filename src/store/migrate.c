// The schema's steps: which file is ours, which is too new, and how an older one is brought up.
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "store/store_int.h"

int ep_store_newest_schema(void)
{
    int n;
    ep_store_migrations(&n);
    return n;
}

static ep_status copy_to(ep_store *s, const char *path, ep_err *err)
{
    sqlite3_stmt *stmt = NULL;
    int rc = sqlite3_prepare_v2(s->db, "VACUUM INTO ?1", -1, &stmt, NULL);
    if (rc == SQLITE_OK) {
        sqlite3_bind_text(stmt, 1, path, -1, SQLITE_TRANSIENT);
        rc = sqlite3_step(stmt);
    }
    ep_status status =
        rc == SQLITE_DONE ? EP_OK : ep_store_fail(s, rc, "copying the database", err);
    sqlite3_finalize(stmt);
    return status;
}

/// A file is only a backup once its bytes are on the disk.
static ep_status flush_file(const char *path, ep_err *err)
{
    FILE *f = fopen(path, "rb");
    int bad = !f || fsync(fileno(f)) != 0;
    if (f) {
        fclose(f);
    }
    return bad ? ep_err_set(err, EP_E_IO, "backup", "%s could not be written to the disk", path)
               : EP_OK;
}

ep_status ep_store_backup(ep_store *s, const char *path, ep_err *err)
{
    size_t cap = strlen(path) + 8;
    char *part = malloc(cap);
    if (!part) {
        return ep_err_set(err, EP_E_MEMORY, "backup", "out of memory");
    }
    // copied under another name first, so that an older copy is only replaced by a whole one
    snprintf(part, cap, "%s.part", path);
    unlink(part);
    ep_status status = copy_to(s, part, err);
    if (status == EP_OK) {
        status = flush_file(part, err);
    }
    if (status == EP_OK && rename(part, path) != 0) {
        status = ep_err_set(err, EP_E_IO, "backup", "%s could not be replaced", path);
    }
    if (status != EP_OK) {
        unlink(part);
    }
    free(part);
    return status;
}

static ep_status keep_old(ep_store *s, int version, ep_err *err)
{
    size_t cap = strlen(s->path) + 32;
    char *path = malloc(cap);
    if (!path) {
        return ep_err_set(err, EP_E_MEMORY, "backup", "out of memory");
    }
    snprintf(path, cap, "%s.bak-%d", s->path, version);
    ep_status status = ep_store_backup(s, path, err);
    free(path);
    return status;
}

/// One step in one transaction; the version number moves last and with it.
static ep_status take_step(ep_store *s, const ep_migration *step, ep_err *err)
{
    char doing[48], last[96];
    snprintf(doing, sizeof doing, "bringing the file to schema %d", step->number);
    snprintf(last, sizeof last, "PRAGMA application_id = %d; PRAGMA user_version = %d;",
             EP_STORE_APPLICATION_ID, step->number);
    ep_status status = ep_store_begin(s, true, "migration", err);
    if (status != EP_OK) {
        return status;
    }
    int64_t now = 0;
    status = ep_store_pragma_int(s, "PRAGMA user_version", &now, err);
    // another program may have taken this very step while we waited for the lock
    if (status == EP_OK && now < step->number) {
        status = ep_store_exec(s, step->sql, doing, err);
        if (status == EP_OK) {
            status = ep_store_exec(s, last, doing, err);
        }
    }
    if (status != EP_OK) {
        ep_store_rollback(s);
        return status;
    }
    return ep_store_commit(s, err);
}

static ep_status take_all(ep_store *s, const ep_migration *step, int n_steps, ep_err *err)
{
    ep_status status = ep_store_begin(s, true, "new file", err);
    if (status != EP_OK) {
        return status;
    }
    for (int i = 0; status == EP_OK && i < n_steps; i++) {
        status = take_step(s, &step[i], err);
    }
    if (status != EP_OK) {
        ep_store_rollback(s);
        return status;
    }
    return ep_store_commit(s, err);
}

static ep_status identify(ep_store *s, int newest, int *version, ep_err *err)
{
    int64_t id = 0, number = 0, tables = 0;
    ep_status status = ep_store_pragma_int(s, "PRAGMA application_id", &id, err);
    if (status == EP_OK) {
        status = ep_store_pragma_int(s, "PRAGMA user_version", &number, err);
    }
    if (status == EP_OK) {
        status = ep_store_pragma_int(s, "SELECT count(*) FROM sqlite_schema", &tables, err);
    }
    if (status != EP_OK) {
        return status;
    }
    bool empty = id == 0 && number == 0 && tables == 0;
    if (!empty && id != EP_STORE_APPLICATION_ID) {
        return ep_err_set(err, EP_E_DB, "db", "%s belongs to another program; it was not touched",
                          s->path);
    }
    if (number > newest) {
        return ep_err_set(err, EP_E_STATE, "db",
                          "%s was written by a newer version (schema %d, this program knows up to "
                          "%d); it was not touched",
                          s->path, (int)number, newest);
    }
    *version = (int)number;
    return EP_OK;
}

ep_status ep_store_migrate(ep_store *s, const ep_migration *step, int n_steps, ep_err *err)
{
    int version = 0;
    ep_status status = identify(s, n_steps, &version, err);
    if (status == EP_OK && version > 0 && version < n_steps) {
        status = keep_old(s, version, err);
    }
    // a new file takes all its steps at once: cut short, it is still to be made, never half old
    status = status == EP_OK && version == 0 ? take_all(s, step, n_steps, err) : status;
    for (int i = version; version > 0 && status == EP_OK && i < n_steps; i++) {
        status = take_step(s, &step[i], err);
    }
    if (status == EP_OK) {
        s->schema = n_steps;
    }
    return status;
}

/// One row of a check's answer; empty means all is well.
static ep_status check_with(ep_store *s, const char *sql, bool ok_row, ep_err *err)
{
    sqlite3_stmt *stmt = NULL;
    int rc = sqlite3_prepare_v2(s->db, sql, -1, &stmt, NULL);
    ep_status status = EP_OK;
    if (rc != SQLITE_OK) {
        status = ep_store_fail(s, rc, sql, err);
    } else {
        rc = sqlite3_step(stmt);
        const char *said = rc == SQLITE_ROW ? (const char *)sqlite3_column_text(stmt, 0) : NULL;
        if (rc != SQLITE_ROW && rc != SQLITE_DONE) {
            status = ep_store_fail(s, rc, sql, err);
        } else if (ok_row ? !said || strcmp(said, "ok") != 0 : rc == SQLITE_ROW) {
            status = ep_err_set(err, EP_E_DB, "db", "%s says: %s", sql, said ? said : "nothing");
        }
    }
    sqlite3_finalize(stmt);
    return status;
}

ep_status ep_store_check(ep_store *s, ep_err *err)
{
    ep_status status = check_with(s, "PRAGMA integrity_check(1)", true, err);
    return status == EP_OK ? check_with(s, "PRAGMA foreign_key_check", false, err) : status;
}
