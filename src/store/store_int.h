/// Shared by the files of the store room only.
#pragma once
#include <sqlite3.h>

#include "store/store.h"

/// "EPOL": marks a file as ours (PRAGMA application_id).
enum { EP_STORE_APPLICATION_ID = 0x45504F4C };

struct ep_store {
    sqlite3 *db;
    char *path;  ///< owned
    int schema;
    int depth;        ///< open transactions, savepoints included
    bool write;       ///< of the outermost transaction
    const char *who;  ///< of the outermost transaction
    int changes;
    sqlite3_stmt *stmt[EP_Q_COUNT_];  ///< prepared when first used
};

/// One step of the schema: `sql` leads from version number - 1 to `number`.
typedef struct ep_migration {
    int number;
    const char *sql;
} ep_migration;

/// The embedded steps, in order from 1.
const ep_migration *ep_store_migrations(int *n);

/// ep_store_open with the steps named; tests use shorter and broken lists.
ep_status ep_store_open_with(const char *path, const ep_migration *step, int n_steps,
                             ep_store **out, ep_err *err);

/// Refuse foreign and newer files, back up and migrate an older one.
ep_status ep_store_migrate(ep_store *s, const ep_migration *step, int n_steps, ep_err *err);

/// Turn the connection's last error into a status and a sentence for a person.
ep_status ep_store_fail(ep_store *s, int rc, const char *doing, ep_err *err);

/// Run text without results; for pragmas and transactions.
ep_status ep_store_exec(ep_store *s, const char *sql, const char *doing, ep_err *err);

/// First column of the first row of a pragma.
ep_status ep_store_pragma_int(ep_store *s, const char *sql, int64_t *out, ep_err *err);
