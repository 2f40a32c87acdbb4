/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The settings of a connection. Each is read back: one that did not take refuses the store. */
#include <string.h>

#include "handle.h"

struct pragma {
    const char *name;
    const char *set; /* NULL: only read */
    const char *got; /* what reading it must give */
};

static const struct pragma pragmas[] = {
    {"journal_mode", "TRUNCATE", "truncate"}, /* not WAL: see store.h */
    {"synchronous", "EXTRA", "3"},            /* also the folder, after the journal */
    {"foreign_keys", "ON", "1"},
    {"recursive_triggers", "ON", "1"}, /* else INSERT OR REPLACE deletes past the triggers */
    {"cell_size_check", "ON", "1"},
    {"temp_store", "MEMORY", "2"}, /* no patient data in temporary files */
    {"secure_delete", "ON", "1"},
    {"cache_size", "-8192", "-8192"}, /* KiB */
    {"ignore_check_constraints", "OFF", "0"},
    {"locking_mode", "NORMAL", "normal"},
    {"encoding", NULL, "UTF-8"},
};

struct option {
    const char *name;
    int code;
    int value;
};

static const struct option options[] = {
    {"defensive", SQLITE_DBCONFIG_DEFENSIVE, 1},
    {"trusted_schema", SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0},
    {"dqs_dml", SQLITE_DBCONFIG_DQS_DML, 0},
    {"dqs_ddl", SQLITE_DBCONFIG_DQS_DDL, 0},
    {"enable_fkey", SQLITE_DBCONFIG_ENABLE_FKEY, 1},
    {"enable_trigger", SQLITE_DBCONFIG_ENABLE_TRIGGER, 1},
    {"enable_view", SQLITE_DBCONFIG_ENABLE_VIEW, 1},
    {"load_extension", SQLITE_DBCONFIG_ENABLE_LOAD_EXTENSION, 0},
    {"writable_schema", SQLITE_DBCONFIG_WRITABLE_SCHEMA, 0},
};

static enum status untaken(const char *path, const char *what, struct error *error)
{
    return error_set(error, STATUS_UNUSABLE, path,
                     "SQLite did not take the setting %s on %s, so it is not opened; use the "
                     "SQLite library of this system's packages.",
                     what, path);
}

/* What a pragma says, cut to size; "" when it says nothing. Returns SQLite's result. */
static int read_pragma(sqlite3 *db, const char *name, const char *value, char *said, size_t size)
{
    sqlite3_stmt *stmt = NULL;
    char *sql = value == NULL ? sqlite3_mprintf("PRAGMA %s", name)
                              : sqlite3_mprintf("PRAGMA %s=%s", name, value);
    int code = sql == NULL ? SQLITE_NOMEM : sqlite3_prepare_v2(db, sql, -1, &stmt, NULL);

    said[0] = '\0';
    sqlite3_free(sql);
    if (code != SQLITE_OK)
        return code;
    while ((code = sqlite3_step(stmt)) == SQLITE_ROW) {
        const char *text = (const char *)sqlite3_column_text(stmt, 0);

        if (text != NULL)
            sqlite3_snprintf((int)size, said, "%s", text);
    }
    sqlite3_finalize(stmt);
    return code == SQLITE_DONE ? SQLITE_OK : code;
}

static enum status pragma_failure(sqlite3 *db, int code, const char *path, struct error *error)
{
    struct store store = {.db = db};

    store.path = sqlite3_mprintf("%s", path);
    if (store.path == NULL)
        return error_no_memory(error);
    enum status status = store_failure(&store, code, error);
    sqlite3_free(store.path);
    return status;
}

static enum status apply_pragma(sqlite3 *db, const struct pragma *pragma, const char *path,
                                struct error *error)
{
    char said[64];
    int code = SQLITE_OK;

    if (pragma->set != NULL)
        code = read_pragma(db, pragma->name, pragma->set, said, sizeof said);
    if (code == SQLITE_OK)
        code = read_pragma(db, pragma->name, NULL, said, sizeof said);
    if (code != SQLITE_OK)
        return pragma_failure(db, code, path, error);
    return strcmp(said, pragma->got) == 0 ? STATUS_OK : untaken(path, pragma->name, error);
}

/* No memory map: a stray pointer could write into the file. A library without maps says nothing. */
static enum status apply_mmap(sqlite3 *db, const char *path, struct error *error)
{
    char said[64];
    int code = read_pragma(db, "mmap_size", "0", said, sizeof said);

    if (code != SQLITE_OK)
        return pragma_failure(db, code, path, error);
    return said[0] == '\0' || strcmp(said, "0") == 0 ? STATUS_OK
                                                     : untaken(path, "mmap_size", error);
}

static void apply_limits(sqlite3 *db)
{
    sqlite3_limit(db, SQLITE_LIMIT_ATTACHED, 0);
    sqlite3_limit(db, SQLITE_LIMIT_LENGTH, 16 * 1024 * 1024);
    sqlite3_limit(db, SQLITE_LIMIT_SQL_LENGTH, 100000);
    sqlite3_limit(db, SQLITE_LIMIT_TRIGGER_DEPTH, 10);
    sqlite3_limit(db, SQLITE_LIMIT_WORKER_THREADS, 0);
}

enum status settings_apply(sqlite3 *db, const char *path, struct error *error)
{
    enum status status = STATUS_OK;

    for (size_t i = 0; i < sizeof options / sizeof options[0]; i++) {
        int now = -1;

        if (sqlite3_db_config(db, options[i].code, options[i].value, &now) != SQLITE_OK ||
            now != options[i].value)
            return untaken(path, options[i].name, error);
    }
    for (size_t i = 0; i < sizeof pragmas / sizeof pragmas[0] && status == STATUS_OK; i++)
        status = apply_pragma(db, &pragmas[i], path, error);
    if (status == STATUS_OK)
        status = apply_mmap(db, path, error);
    apply_limits(db);
    return status;
}

enum status settings_cache(struct store *store, int kib, struct error *error)
{
    char value[16], said[64];
    int code;

    sqlite3_snprintf((int)sizeof value, value, "-%d", kib);
    store->tuning = true;
    code = read_pragma(store->db, "cache_size", value, said, sizeof said);
    store->tuning = false;
    if (code == SQLITE_OK && kib <= CACHE_KIB)
        code = sqlite3_db_release_memory(store->db);
    return code == SQLITE_OK ? STATUS_OK : store_failure(store, code, error);
}
