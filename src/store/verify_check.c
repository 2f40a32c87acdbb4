/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What verify checks beside the chain. */
#include <string.h>

#include "springline/store/schema.h"
#include "verify.h"

static const char *column(sqlite3_stmt *stmt, int index)
{
    const char *text = (const char *)sqlite3_column_text(stmt, index);

    return text != NULL ? text : "";
}

/* Counts first: every ledger row found its own row, so equal counts leave no row outside. */
static enum status outside_table(struct verification *check, int table, struct text *sql,
                                 struct error *error)
{
    const char *name = check->store->shapes[table].table;
    sqlite3_stmt *stmt = NULL;
    int64_t count = check->counted[table];
    enum status status;

    text_clear(sql);
    text_addf(sql, "SELECT count(*) FROM %s", name);
    status = verify_prepare(check, text_string(sql), &stmt, error);
    while (status == STATUS_OK && verify_step(check, stmt, name, &status, error))
        count = sqlite3_column_int64(stmt, 0);
    sqlite3_finalize(stmt);
    if (status != STATUS_OK || count == check->counted[table])
        return status;
    text_clear(sql);
    text_addf(sql,
              "SELECT lower(hex(kept.id)) FROM %s AS kept WHERE NOT EXISTS (SELECT 1 FROM ledger "
              "WHERE ledger.sequence = kept.sequence AND ledger.row = kept.id "
              "AND ledger.kind = '%s')",
              name, name);
    status = verify_prepare(check, text_string(sql), &stmt, error);
    while (status == STATUS_OK && verify_step(check, stmt, name, &status, error))
        verify_find(check, "%s %s: the row is in no ledger row", name, column(stmt, 0));
    sqlite3_finalize(stmt);
    return status;
}

enum status verify_outside(struct verification *check, struct error *error)
{
    struct text sql = {0};
    enum status status = STATUS_OK;

    for (int table = 0; table < TABLE_COUNT && status == STATUS_OK; table++)
        status = outside_table(check, table, &sql, error);
    text_release(&sql);
    return status;
}

enum status verify_integrity(struct verification *check, struct error *error)
{
    sqlite3_stmt *stmt = NULL;
    enum status status = verify_prepare(check, "PRAGMA integrity_check", &stmt, error);

    while (status == STATUS_OK && verify_step(check, stmt, "the file", &status, error))
        if (strcmp(column(stmt, 0), "ok") != 0)
            verify_find(check, "the file: %s", column(stmt, 0));
    sqlite3_finalize(stmt);
    stmt = NULL;
    if (status == STATUS_OK)
        status = verify_prepare(check, "PRAGMA foreign_key_check", &stmt, error);
    while (status == STATUS_OK && verify_step(check, stmt, "references", &status, error))
        verify_find(check, "%s: a row refers to a %s that the store does not hold", column(stmt, 0),
                    column(stmt, 2));
    sqlite3_finalize(stmt);
    return status;
}

/* Both sides of a schema in the same order; ANALYZE may have added tables of its own. */
static const char schema_query[] = "SELECT type, name, coalesce(sql, '') FROM sqlite_schema "
                                   "WHERE name NOT LIKE 'sqlite\\_stat%' ESCAPE '\\' "
                                   "ORDER BY type, name";

/* One object missing here, strange there, or changed; moves on the side or sides it was on. */
static void compare_object(struct verification *check, sqlite3_stmt *want, bool *more_want,
                           sqlite3_stmt *have, bool *more_have)
{
    int order = 0;

    if (*more_want && *more_have)
        order = strcmp(column(want, 0), column(have, 0));
    if (*more_want && *more_have && order == 0)
        order = strcmp(column(want, 1), column(have, 1));
    if (!*more_have)
        order = -1;
    else if (!*more_want)
        order = 1;
    if (order < 0)
        verify_find(check, "the schema: %s %s is missing", column(want, 0), column(want, 1));
    else if (order > 0)
        verify_find(check, "the schema: %s %s is no part of it", column(have, 0), column(have, 1));
    else if (strcmp(column(want, 2), column(have, 2)) != 0)
        verify_find(check, "the schema: %s %s was changed", column(have, 0), column(have, 1));
    if (order <= 0)
        *more_want = sqlite3_step(want) == SQLITE_ROW;
    if (order >= 0)
        *more_have = sqlite3_step(have) == SQLITE_ROW;
}

/* A fresh store in memory, climbed by the same ladder. */
static int fresh_schema(sqlite3 **db, sqlite3_stmt **stmt)
{
    int code = sqlite3_open_v2(
        ":memory:", db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_MEMORY | SQLITE_OPEN_NOMUTEX, NULL);

    for (size_t i = 0; i < schema_rung_count && code == SQLITE_OK; i++)
        code = sqlite3_exec(*db, schema_rungs[i].sql, NULL, NULL, NULL);
    if (code == SQLITE_OK)
        code = sqlite3_prepare_v2(*db, schema_query, -1, stmt, NULL);
    return code;
}

enum status verify_schema(struct verification *check, struct error *error)
{
    sqlite3 *fresh = NULL;
    sqlite3_stmt *want = NULL, *have = NULL;
    enum status status = verify_prepare(check, schema_query, &have, error);
    int code = fresh_schema(&fresh, &want);

    if (status == STATUS_OK && code != SQLITE_OK)
        status = store_failure(check->store, code, error);
    if (status == STATUS_OK && have != NULL) {
        bool more_want = sqlite3_step(want) == SQLITE_ROW;
        bool more_have = sqlite3_step(have) == SQLITE_ROW;

        while (more_want || more_have)
            compare_object(check, want, &more_want, have, &more_have);
    }
    sqlite3_finalize(want);
    sqlite3_finalize(have);
    (void)sqlite3_close(fresh);
    return status;
}
