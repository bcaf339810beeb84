/// The workshop's file: one SQLite database, opened, migrated and spoken to by named queries only.
/// The rest of the program never sees SQLite: values go in as ep_bind, rows come out as JSON.
/// Needs: base, jansson. Allocates: the store, its statements, the JSON it returns.
/// Thread use: one thread at a time per store; the app guards it with its own lock.
/// Tables: src/store/schema/*.sql. Why so: docs/store.md.
#pragma once
#include <jansson.h>
#include <stdbool.h>
#include <stdint.h>

#include "base/status.h"

typedef struct ep_store ep_store;

/// Every statement of the program by name: EP_Q_MATERIAL_ADD, ... (src/store/queries.def).
typedef enum ep_query {
#define QUERY(id, sql) EP_Q_##id,
#include "store/queries.def"
#undef QUERY
    EP_Q_COUNT_
} ep_query;

const char *ep_query_name(ep_query query);  ///< "MATERIAL_ADD"; never NULL
const char *ep_query_sql(ep_query query);   ///< never NULL

/// One value for one named parameter (":name" in the SQL, "name" here).
typedef enum ep_bind_kind {
    EP_BIND_NULL,
    EP_BIND_INT,
    EP_BIND_REAL,
    EP_BIND_TEXT,
    EP_BIND_BYTES
} ep_bind_kind;

typedef struct ep_bind {
    const char *name;  ///< without the colon, borrowed
    ep_bind_kind kind;
    int64_t integer;
    double real;
    const char *text;   ///< borrowed until the call returns
    const void *bytes;  ///< borrowed until the call returns
    size_t n_bytes;
} ep_bind;

ep_bind ep_bind_int(const char *name, int64_t value);
ep_bind ep_bind_real(const char *name, double value);               ///< NaN = NULL
ep_bind ep_bind_text(const char *name, const char *value);          ///< NULL = NULL
ep_bind ep_bind_text_or_null(const char *name, const char *value);  ///< "" = NULL as well
ep_bind ep_bind_bytes(const char *name, const void *bytes, size_t n);
ep_bind ep_bind_null(const char *name);

#define EP_COUNT_OF(array) ((int)(sizeof(array) / sizeof((array)[0])))

/// Open or create the file and bring it to the newest schema (a copy FILE.bak-<version> is kept
/// before an older file is changed). Refuses a file of another program or of a newer version.
/// @param path  borrowed; ":memory:" gives a store that lives only as long as it is open
/// @param out   owned by the caller, ep_store_close
/// @return EP_E_DB when the file cannot be opened, read or migrated; EP_E_STATE when it is newer
ep_status ep_store_open(const char *path, ep_store **out, ep_err *err);
void ep_store_close(ep_store *s);  ///< NULL is allowed; open transactions are rolled back

/// Schema number of the open file; the newest this program knows.
int ep_store_schema(const ep_store *s);
int ep_store_newest_schema(void);
const char *ep_store_path(const ep_store *s);
const char *ep_store_library(void);  ///< version of the SQLite library

/// Transactions nest: the outermost is a real one, inner ones are savepoints, so an inner
/// rollback undoes only the inner part. `write` of the outermost decides whether statements that
/// change anything are accepted at all. `who` (borrowed, a literal) is named in errors.
ep_status ep_store_begin(ep_store *s, bool write, const char *who, ep_err *err);
/// A failed commit has rolled back: nothing of it is in the file.
ep_status ep_store_commit(ep_store *s, ep_err *err);
void ep_store_rollback(ep_store *s);
int ep_store_depth(const ep_store *s);

/// Run a statement that returns no rows. A broken constraint gives EP_E_CONFLICT (already there,
/// or an enduring row would change) or EP_E_ARG (range, missing, unknown reference).
/// Every parameter of the statement must be bound exactly once (asserted).
ep_status ep_store_run(ep_store *s, ep_query query, const ep_bind *bind, int n, ep_err *err);

/// Rows as an array of objects keyed by column name; the array is owned by the caller.
/// The last character of a column's name chooses a form: "archived?" gives true or false under
/// "archived", "created@" gives a time as text under "created" from integer milliseconds,
/// "body{}" gives the JSON value parsed from text. NULL always gives null.
ep_status ep_store_json(ep_store *s, ep_query query, const ep_bind *bind, int n, json_t **rows,
                        ep_err *err);

/// The first row as an object owned by the caller. EP_E_NOT_FOUND when there is none: err is then
/// left as it was, since only the caller knows what was looked for.
ep_status ep_store_one(ep_store *s, ep_query query, const ep_bind *bind, int n, json_t **row,
                       ep_err *err);

/// First column of the first row as an integer; `none` when there is no row or it is NULL.
ep_status ep_store_int(ep_store *s, ep_query query, const ep_bind *bind, int n, int64_t none,
                       int64_t *out, ep_err *err);

/// First column of the first row as bytes; EP_E_NOT_FOUND when there is no row. *out is owned by
/// the caller (free).
ep_status ep_store_bytes(ep_store *s, ep_query query, const ep_bind *bind, int n,
                         unsigned char **out, size_t *len, ep_err *err);

/// Rows changed by the last ep_store_run.
int ep_store_changes(const ep_store *s);

/// A consistent copy of the open file under another name, replaced as a whole when it is there.
ep_status ep_store_backup(ep_store *s, const char *path, ep_err *err);

/// SQLite's own integrity check and a walk over all foreign keys.
ep_status ep_store_check(ep_store *s, ep_err *err);
