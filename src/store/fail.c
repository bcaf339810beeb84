// Database errors in words for the person who waits for the answer.
#include <stdio.h>
#include <string.h>

#include "store/store_int.h"

/// "UNIQUE constraint failed: recipe.name" -> "recipe.name"
static const char *after_colon(const char *message)
{
    const char *colon = strstr(message, "failed: ");
    return colon ? colon + strlen("failed: ") : message;
}

/// Column of "table.column" or of a named check "wall_mm 0.1 to 30".
static void field_of(const char *where, char *field, size_t cap)
{
    const char *dot = strchr(where, '.');
    const char *start = dot ? dot + 1 : where;
    size_t n = strcspn(start, ", ");
    snprintf(field, cap, "%.*s", (int)(n < cap ? n : cap - 1), start);
}

static ep_status constraint(ep_store *s, int rc, ep_err *err)
{
    const char *message = sqlite3_errmsg(s->db);
    const char *where = after_colon(message);
    char field[64];
    field_of(where, field, sizeof field);
    switch (rc) {
    case SQLITE_CONSTRAINT_UNIQUE:
    case SQLITE_CONSTRAINT_PRIMARYKEY:
    case SQLITE_CONSTRAINT_ROWID:
        return ep_err_set(err, EP_E_CONFLICT, field, "%s: this is already recorded (%s)", field,
                          where);
    case SQLITE_CONSTRAINT_TRIGGER:
        return ep_err_set(err, EP_E_CONFLICT, "", "%s", message);
    case SQLITE_CONSTRAINT_FOREIGNKEY:
        return ep_err_set(err, EP_E_ARG, "", "this refers to something that is not recorded");
    case SQLITE_CONSTRAINT_NOTNULL:
        return ep_err_set(err, EP_E_ARG, field, "%s: a value is missing", field);
    case SQLITE_CONSTRAINT_CHECK:
        return ep_err_set(err, EP_E_ARG, field, "%s: the value is out of range (%s)", field, where);
    default:
        return ep_err_set(err, EP_E_ARG, "", "%s", message);
    }
}

ep_status ep_store_fail(ep_store *s, int rc, const char *doing, ep_err *err)
{
    const char *message = s->db ? sqlite3_errmsg(s->db) : sqlite3_errstr(rc);
    switch (rc & 0xff) {
    case SQLITE_CONSTRAINT:
        return constraint(s, rc, err);
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return ep_err_set(err, EP_E_DB, "db",
                          "%s: another program is writing to %s; try again in a moment", doing,
                          s->path);
    case SQLITE_FULL:
        return ep_err_set(err, EP_E_DB, "db", "%s: the disk is full; nothing was saved (%s)", doing,
                          s->path);
    case SQLITE_NOTADB:
        return ep_err_set(err, EP_E_DB, "db", "%s is not a workshop's database", s->path);
    case SQLITE_READONLY:
        return ep_err_set(err, EP_E_DB, "db", "%s: %s cannot be written", doing, s->path);
    case SQLITE_CANTOPEN:
        return ep_err_set(err, EP_E_DB, "db", "%s cannot be opened; does its folder exist?",
                          s->path);
    case SQLITE_NOMEM:
        return ep_err_set(err, EP_E_MEMORY, "db", "%s: out of memory", doing);
    default:
        return ep_err_set(err, EP_E_DB, "db", "%s: %s (%s)", doing, message, s->path);
    }
}
