// Named statements: preparing, binding, stepping, and rows as JSON.
#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "store/store_int.h"

const char *ep_query_name(ep_query query)
{
    switch (query) {
#define QUERY(id, sql)                                                                             \
    case EP_Q_##id:                                                                                \
        return #id;
#include "store/queries.def"
#undef QUERY
    case EP_Q_COUNT_:
        break;
    }
    return "unknown";
}

const char *ep_query_sql(ep_query query)
{
    switch (query) {
#define QUERY(id, sql)                                                                             \
    case EP_Q_##id:                                                                                \
        return sql;
#include "store/queries.def"
#undef QUERY
    case EP_Q_COUNT_:
        break;
    }
    return "";
}

ep_bind ep_bind_null(const char *name)
{
    return (ep_bind){.name = name, .kind = EP_BIND_NULL};
}

ep_bind ep_bind_int(const char *name, int64_t value)
{
    return (ep_bind){.name = name, .kind = EP_BIND_INT, .integer = value};
}

ep_bind ep_bind_real(const char *name, double value)
{
    if (isnan(value)) {
        return ep_bind_null(name);
    }
    return (ep_bind){.name = name, .kind = EP_BIND_REAL, .real = value};
}

ep_bind ep_bind_text(const char *name, const char *value)
{
    if (!value) {
        return ep_bind_null(name);
    }
    return (ep_bind){.name = name, .kind = EP_BIND_TEXT, .text = value};
}

ep_bind ep_bind_text_or_null(const char *name, const char *value)
{
    return ep_bind_text(name, value && value[0] ? value : NULL);
}

ep_bind ep_bind_bytes(const char *name, const void *bytes, size_t n)
{
    return (ep_bind){.name = name, .kind = EP_BIND_BYTES, .bytes = bytes, .n_bytes = n};
}

static ep_status prepare(ep_store *s, ep_query query, sqlite3_stmt **out, ep_err *err)
{
    assert(query >= 0 && query < EP_Q_COUNT_);
    if (!s->stmt[query]) {
        int rc = sqlite3_prepare_v3(s->db, ep_query_sql(query), -1, SQLITE_PREPARE_PERSISTENT,
                                    &s->stmt[query], NULL);
        if (rc != SQLITE_OK) {
            return ep_store_fail(s, rc, ep_query_name(query), err);
        }
    }
    if (s->depth > 0 && !s->write && !sqlite3_stmt_readonly(s->stmt[query])) {
        return ep_err_set(err, EP_E_STATE, "", "%s would write inside %s, which only reads",
                          ep_query_name(query), s->who);
    }
    *out = s->stmt[query];
    return EP_OK;
}

static int bind_one(sqlite3_stmt *stmt, int index, const ep_bind *b)
{
    switch (b->kind) {
    case EP_BIND_NULL:
        return sqlite3_bind_null(stmt, index);
    case EP_BIND_INT:
        return sqlite3_bind_int64(stmt, index, b->integer);
    case EP_BIND_REAL:
        return sqlite3_bind_double(stmt, index, b->real);
    case EP_BIND_TEXT:
        return sqlite3_bind_text(stmt, index, b->text, -1, SQLITE_TRANSIENT);
    case EP_BIND_BYTES:
        // not copied: every statement is finished before its caller goes on
        return sqlite3_bind_blob64(stmt, index, b->bytes, b->n_bytes, SQLITE_STATIC);
    }
    return SQLITE_MISUSE;
}

/// Bind all; a wrong or forgotten name is the programmer's mistake and stops at once in tests.
static ep_status bind_all(ep_store *s, ep_query query, sqlite3_stmt *stmt, const ep_bind *bind,
                          int n, ep_err *err)
{
    int wanted = sqlite3_bind_parameter_count(stmt);
    assert(wanted == n);
    if (wanted != n) {
        return ep_err_set(err, EP_E_DB, "", "%s needs %d values, got %d", ep_query_name(query),
                          wanted, n);
    }
    for (int i = 0; i < n; i++) {
        char name[64];
        snprintf(name, sizeof name, ":%s", bind[i].name);
        int index = sqlite3_bind_parameter_index(stmt, name);
        assert(index > 0);
        if (index == 0) {
            return ep_err_set(err, EP_E_DB, "", "%s has no value named %s", ep_query_name(query),
                              bind[i].name);
        }
        int rc = bind_one(stmt, index, &bind[i]);
        if (rc != SQLITE_OK) {
            return ep_store_fail(s, rc, ep_query_name(query), err);
        }
    }
    return EP_OK;
}

static void finish(sqlite3_stmt *stmt)
{
    sqlite3_reset(stmt);
    sqlite3_clear_bindings(stmt);
}

static ep_status start(ep_store *s, ep_query query, const ep_bind *bind, int n, sqlite3_stmt **stmt,
                       ep_err *err)
{
    ep_status status = prepare(s, query, stmt, err);
    return status == EP_OK ? bind_all(s, query, *stmt, bind, n, err) : status;
}

ep_status ep_store_run(ep_store *s, ep_query query, const ep_bind *bind, int n, ep_err *err)
{
    sqlite3_stmt *stmt = NULL;
    ep_status status = start(s, query, bind, n, &stmt, err);
    if (status != EP_OK) {
        return status;
    }
    int rc = sqlite3_step(stmt);
    while (rc == SQLITE_ROW) {
        rc = sqlite3_step(stmt);
    }
    if (rc != SQLITE_DONE) {
        status = ep_store_fail(s, rc, ep_query_name(query), err);
    }
    s->changes = sqlite3_changes(s->db);
    finish(stmt);
    return status;
}

static json_t *column_plain(sqlite3_stmt *stmt, int i)
{
    switch (sqlite3_column_type(stmt, i)) {
    case SQLITE_INTEGER:
        return json_integer(sqlite3_column_int64(stmt, i));
    case SQLITE_FLOAT:
        return json_real(sqlite3_column_double(stmt, i));
    case SQLITE_TEXT:
        return json_stringn((const char *)sqlite3_column_text(stmt, i),
                            (size_t)sqlite3_column_bytes(stmt, i));
    default:
        return json_null();
    }
}

static json_t *column_time(sqlite3_stmt *stmt, int i)
{
    char buf[32];
    return json_string(ep_time_format(sqlite3_column_int64(stmt, i), buf, sizeof buf));
}

/// One column under the key its name asks for; see ep_store_json.
static int add_column(json_t *row, sqlite3_stmt *stmt, int i)
{
    char key[64];
    const char *name = sqlite3_column_name(stmt, i);
    size_t len = strlen(name);
    assert(len > 0 && len < sizeof key);
    bool null = sqlite3_column_type(stmt, i) == SQLITE_NULL;
    json_t *value = NULL;
    snprintf(key, sizeof key, "%s", name);
    if (name[len - 1] == '?') {
        key[len - 1] = '\0';
        value = null ? json_null() : json_boolean(sqlite3_column_int(stmt, i) != 0);
    } else if (name[len - 1] == '@') {
        key[len - 1] = '\0';
        value = null ? json_null() : column_time(stmt, i);
    } else if (len > 2 && strcmp(name + len - 2, "{}") == 0) {
        key[len - 2] = '\0';
        const char *text = (const char *)sqlite3_column_text(stmt, i);
        value = null ? json_null() : json_loads(text, JSON_DECODE_ANY, NULL);
    } else {
        value = column_plain(stmt, i);
    }
    return json_object_set_new(row, key, value);
}

static json_t *row_of(sqlite3_stmt *stmt)
{
    json_t *row = json_object();
    for (int i = 0; row && i < sqlite3_column_count(stmt); i++) {
        if (add_column(row, stmt, i) != 0) {
            json_decref(row);
            row = NULL;
        }
    }
    return row;
}

/// Rows up to `limit` (0 = all).
static ep_status read_rows(ep_store *s, ep_query query, const ep_bind *bind, int n, size_t limit,
                           json_t **rows, ep_err *err)
{
    sqlite3_stmt *stmt = NULL;
    ep_status status = start(s, query, bind, n, &stmt, err);
    if (status != EP_OK) {
        return status;
    }
    json_t *list = json_array();
    int rc = SQLITE_DONE;
    while (list && (limit == 0 || json_array_size(list) < limit) &&
           (rc = sqlite3_step(stmt)) == SQLITE_ROW) {
        if (json_array_append_new(list, row_of(stmt)) != 0) {
            json_decref(list);
            list = NULL;
        }
    }
    if (!list) {
        status = ep_err_set(err, EP_E_MEMORY, "", "%s: a row could not be read into memory",
                            ep_query_name(query));
    } else if (rc != SQLITE_DONE && rc != SQLITE_ROW) {
        status = ep_store_fail(s, rc, ep_query_name(query), err);
        json_decref(list);
    } else {
        *rows = list;
    }
    finish(stmt);
    return status;
}

ep_status ep_store_json(ep_store *s, ep_query query, const ep_bind *bind, int n, json_t **rows,
                        ep_err *err)
{
    return read_rows(s, query, bind, n, 0, rows, err);
}

ep_status ep_store_one(ep_store *s, ep_query query, const ep_bind *bind, int n, json_t **row,
                       ep_err *err)
{
    json_t *rows = NULL;
    ep_status status = read_rows(s, query, bind, n, 1, &rows, err);
    if (status != EP_OK) {
        return status;
    }
    if (json_array_size(rows) == 0) {
        json_decref(rows);
        return EP_E_NOT_FOUND;
    }
    *row = json_incref(json_array_get(rows, 0));
    json_decref(rows);
    return EP_OK;
}

ep_status ep_store_int(ep_store *s, ep_query query, const ep_bind *bind, int n, int64_t none,
                       int64_t *out, ep_err *err)
{
    sqlite3_stmt *stmt = NULL;
    ep_status status = start(s, query, bind, n, &stmt, err);
    if (status != EP_OK) {
        return status;
    }
    int rc = sqlite3_step(stmt);
    if (rc == SQLITE_ROW) {
        bool null = sqlite3_column_type(stmt, 0) == SQLITE_NULL;
        *out = null ? none : sqlite3_column_int64(stmt, 0);
    } else if (rc == SQLITE_DONE) {
        *out = none;
    } else {
        status = ep_store_fail(s, rc, ep_query_name(query), err);
    }
    finish(stmt);
    return status;
}

ep_status ep_store_bytes(ep_store *s, ep_query query, const ep_bind *bind, int n,
                         unsigned char **out, size_t *len, ep_err *err)
{
    sqlite3_stmt *stmt = NULL;
    *out = NULL;
    ep_status status = start(s, query, bind, n, &stmt, err);
    if (status != EP_OK) {
        return status;
    }
    int rc = sqlite3_step(stmt);
    if (rc == SQLITE_ROW) {
        const void *bytes = sqlite3_column_blob(stmt, 0);
        *len = (size_t)sqlite3_column_bytes(stmt, 0);
        *out = malloc(*len + 1);
        if (*out && *len > 0) {
            memcpy(*out, bytes, *len);
        }
        status = *out ? EP_OK : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    } else {
        status =
            rc == SQLITE_DONE ? EP_E_NOT_FOUND : ep_store_fail(s, rc, ep_query_name(query), err);
    }
    finish(stmt);
    return status;
}
