/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The ladder: each rung is one transaction on a connection of its own, so that a climb that is cut
 * off leaves a whole store of the version it had reached. A new store climbs the same ladder.
 */
#include <string.h>

#include "handle.h"
#include "springline/store/schema.h"

struct climb {
    sqlite3 *db;
    const char *path;
};

static enum status climb_failure(const struct climb *climb, int code, int version,
                                 struct error *error)
{
    if ((code & 0xff) == SQLITE_NOMEM)
        return error_no_memory(error);
    return error_set(error, (code & 0xff) == SQLITE_BUSY ? STATUS_BUSY : STATUS_UNUSABLE,
                     climb->path,
                     "%s could not be brought to version %d of the store (%s); it was "
                     "left as it was.",
                     climb->path, version, sqlite3_errmsg(climb->db));
}

static int run(const struct climb *climb, const char *sql)
{
    return sqlite3_exec(climb->db, sql, NULL, NULL, NULL);
}

/* The single number a query gives; -1 when it gives none or fails. */
static int64_t number(const struct climb *climb, const char *sql)
{
    sqlite3_stmt *stmt = NULL;
    int64_t value = -1;

    if (sqlite3_prepare_v2(climb->db, sql, -1, &stmt, NULL) == SQLITE_OK &&
        sqlite3_step(stmt) == SQLITE_ROW)
        value = sqlite3_column_int64(stmt, 0);
    sqlite3_finalize(stmt);
    return value;
}

static int write_practice(const struct climb *climb, const struct id *practice, instant made_at)
{
    char buffer[INSTANT_TEXT_SIZE];
    sqlite3_stmt *stmt = NULL;
    int code = sqlite3_prepare_v2(
        climb->db, "INSERT INTO practice (id, made_at, only) VALUES (:id, :made_at, 1)", -1, &stmt,
        NULL);

    if (code == SQLITE_OK)
        code = sqlite3_bind_blob(stmt, sqlite3_bind_parameter_index(stmt, ":id"), practice->bytes,
                                 (int)sizeof practice->bytes, SQLITE_STATIC);
    if (code == SQLITE_OK)
        code = sqlite3_bind_text(stmt, sqlite3_bind_parameter_index(stmt, ":made_at"),
                                 instant_to_text(made_at, buffer), -1, SQLITE_TRANSIENT);
    if (code == SQLITE_OK && sqlite3_step(stmt) != SQLITE_DONE)
        code = sqlite3_errcode(climb->db);
    sqlite3_finalize(stmt);
    return code;
}

/* The rung itself, its number, and for the first what makes the file a store. */
static int run_rung(const struct climb *climb, const struct schema_rung *rung,
                    const struct id *practice, instant made_at)
{
    char *sql;
    int code = run(climb, rung->sql);

    if (code == SQLITE_OK && rung->version == 1 && practice != NULL)
        code = write_practice(climb, practice, made_at);
    sql = sqlite3_mprintf("PRAGMA application_id=%d; PRAGMA user_version=%d;",
                          (int)STORE_APPLICATION_ID, rung->version);
    if (sql == NULL)
        return SQLITE_NOMEM;
    if (code == SQLITE_OK)
        code = run(climb, sql);
    sqlite3_free(sql);
    if (code == SQLITE_OK && number(climb, "PRAGMA user_version") != rung->version)
        code = SQLITE_ERROR;
    return code;
}

static enum status climb_rung(const struct climb *climb, const struct schema_rung *rung,
                              const struct id *practice, instant made_at, struct error *error)
{
    enum status status = STATUS_OK;
    int code = run(climb, "BEGIN EXCLUSIVE");

    if (code != SQLITE_OK)
        return climb_failure(climb, code, rung->version, error);
    /* Another seat may have climbed while this one waited. */
    if (number(climb, "PRAGMA user_version") < rung->version)
        code = run_rung(climb, rung, practice, made_at);
    if (code == SQLITE_OK)
        code = run(climb, "COMMIT");
    if (code != SQLITE_OK)
        status = climb_failure(climb, code, rung->version, error);
    if (!sqlite3_get_autocommit(climb->db))
        (void)run(climb, "ROLLBACK");
    return status;
}

enum status ladder_climb(const char *path, const struct schema_rung *rungs, size_t count,
                         const struct id *practice, instant made_at, struct error *error)
{
    struct climb climb = {NULL, path};
    enum status status = STATUS_OK;
    int code = sqlite3_open_v2(
        path, &climb.db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE, NULL);

    if (code == SQLITE_OK)
        code = sqlite3_busy_timeout(climb.db, WAIT_MS);
    if (code != SQLITE_OK)
        status = climb_failure(&climb, code, rungs[0].version, error);
    if (status == STATUS_OK)
        status = settings_apply(climb.db, path, error);
    for (size_t i = 0; i < count && status == STATUS_OK; i++)
        status = climb_rung(&climb, &rungs[i], practice, made_at, error);
    if (sqlite3_close(climb.db) != SQLITE_OK && status == STATUS_OK)
        status = error_set(error, STATUS_UNUSABLE, path, "%s could not be closed.", path);
    return status;
}
