/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What verify checks beside the chain. */
#include <stdio.h>
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

/* Is a table walked with the ledger, row by row and reference by reference? */
static bool walked(const struct store *store, const char *name)
{
    for (int table = 0; table < TABLE_COUNT; table++)
        if (strcmp(store->shapes[table].table, name) == 0)
            return true;
    return false;
}

/* The tables of the file, a name a line. One that is not made of these letters is none of ours, and
 * a finding of the schema. */
static enum status read_tables(struct verification *check, struct text *names, struct error *error)
{
    sqlite3_stmt *stmt = NULL;
    enum status status = verify_prepare(check,
                                        "SELECT name FROM sqlite_schema WHERE type = 'table' "
                                        "AND name NOT GLOB '*[^a-z_]*'",
                                        &stmt, error);

    while (status == STATUS_OK && verify_step(check, stmt, "the schema", &status, error))
        text_addf(names, "%s\n", column(stmt, 0));
    sqlite3_finalize(stmt);
    return status == STATUS_OK && names->failed ? error_no_memory(error) : status;
}

/* A check of SQLite's own; name: of a table, "": of the whole file. */
static enum status check_file(struct verification *check, const char *pragma, const char *name,
                              struct error *error)
{
    const bool refers = strcmp(pragma, "foreign_key_check") == 0;
    sqlite3_stmt *stmt = NULL;
    char sql[120];

    (void)snprintf(sql, sizeof sql, name[0] == '\0' ? "PRAGMA %s" : "PRAGMA %s(%.80s)", pragma,
                   name);
    enum status status = verify_prepare(check, sql, &stmt, error);
    while (status == STATUS_OK && verify_step(check, stmt, "the file", &status, error)) {
        if (refers)
            verify_find(check, "%s: a row refers to a %s that the store does not hold",
                        column(stmt, 0), column(stmt, 2));
        else if (strcmp(column(stmt, 0), "ok") != 0)
            verify_find(check, "the file: %s", column(stmt, 0));
    }
    sqlite3_finalize(stmt);
    return status;
}

/* A store of fewer rows is checked in one go, in some 40 ms. */
enum { APART_FROM_ROWS = 20000 };

static enum status check_table(struct verification *check, const char *name, bool apart,
                               struct error *error)
{
    enum status status = STATUS_OK;

    if (!walked(check->store, name))
        status = check_file(check, "foreign_key_check", name, error);
    if (!apart || status != STATUS_OK)
        return status;
    status = check_file(check, "integrity_check", name, error);
    return status == STATUS_OK ? verify_let_others(check, error) : status;
}

/*
 * integrity_check of a whole file is one statement, and no save comes in while it runs. Table by
 * table it looks at everything but what belongs to none (free pages, a page used twice);
 * quick_check of the whole file, which leaves out the indexes and takes a fifth of the time, looks
 * at that.
 */
enum status verify_integrity(struct verification *check, struct error *error)
{
    const bool apart = check->report->rows >= APART_FROM_ROWS;
    const int64_t found = check->found;
    struct text names = {0};
    enum status status = read_tables(check, &names, error);

    for (char *name = names.data; name != NULL && name[0] != '\0' && status == STATUS_OK;) {
        char *end = strchr(name, '\n');

        *end = '\0';
        status = check_table(check, name, apart, error);
        name = end + 1;
    }
    text_release(&names);
    if (status != STATUS_OK || (apart && check->found > found))
        return status;
    return check_file(check, apart ? "quick_check" : "integrity_check", "", error);
}

/* Both sides of a schema in the same order; ANALYZE may have added tables of its own. */
static const char schema_query[] = "SELECT type, name, coalesce(sql, '') FROM sqlite_schema "
                                   "WHERE name NOT LIKE 'sqlite\\_stat%' ESCAPE '\\' "
                                   "ORDER BY type, name";

/* Both sides of the comparison: the ladder's and the file's. */
struct both {
    sqlite3_stmt *want, *have;
    bool more_want, more_have;
};

/* Columns are compared by their bytes: they need no memory of their own. */
static int compare_column(const struct both *both, int index)
{
    struct cell want = cell_of_column(both->want, index), have = cell_of_column(both->have, index);
    size_t length = want.length < have.length ? want.length : have.length;
    int order = length == 0 ? 0 : memcmp(want.bytes, have.bytes, length);

    if (order != 0)
        return order;
    return want.length < have.length ? -1 : want.length > have.length;
}

/* One object missing here, strange there, or changed; moves on the side or sides it was on. */
static void compare_object(struct verification *check, struct both *both, enum status *status,
                           struct error *error)
{
    int order = 0;

    if (both->more_want && both->more_have)
        order = compare_column(both, 0);
    if (both->more_want && both->more_have && order == 0)
        order = compare_column(both, 1);
    if (!both->more_have)
        order = -1;
    else if (!both->more_want)
        order = 1;
    if (order < 0)
        verify_find(check, "the schema: %s %s is missing", column(both->want, 0),
                    column(both->want, 1));
    else if (order > 0)
        verify_find(check, "the schema: %s %s is no part of it", column(both->have, 0),
                    column(both->have, 1));
    else if (compare_column(both, 2) != 0)
        verify_find(check, "the schema: %s %s was changed", column(both->have, 0),
                    column(both->have, 1));
    if (order <= 0)
        both->more_want = verify_step(check, both->want, "the schema", status, error);
    if (order >= 0)
        both->more_have = verify_step(check, both->have, "the schema", status, error);
}

/* A fresh store in memory, climbed by the same ladder; kept, for climbing is most of the work of
 * verifying a small store. */
static int climb(struct store *store)
{
    sqlite3 *db = NULL;
    int code;

    if (store->ladder != NULL)
        return SQLITE_OK;
    code = sqlite3_open_v2(":memory:", &db,
                           SQLITE_OPEN_READWRITE | SQLITE_OPEN_MEMORY | SQLITE_OPEN_NOMUTEX, NULL);
    for (size_t i = 0; i < schema_rung_count && code == SQLITE_OK; i++)
        code = sqlite3_exec(db, schema_rungs[i].sql, NULL, NULL, NULL);
    if (code == SQLITE_OK)
        store->ladder = db;
    else
        (void)sqlite3_close(db);
    return code;
}

enum status verify_schema(struct verification *check, struct error *error)
{
    struct both both = {0};
    enum status status = verify_prepare(check, schema_query, &both.have, error);
    int code = climb(check->store);

    if (code == SQLITE_OK)
        code = sqlite3_prepare_v2(check->store->ladder, schema_query, -1, &both.want, NULL);

    if (status == STATUS_OK && code != SQLITE_OK)
        status = store_failure(check->store, code, error);
    if (status == STATUS_OK && both.have != NULL) {
        both.more_want = verify_step(check, both.want, "the schema", &status, error);
        both.more_have = verify_step(check, both.have, "the schema", &status, error);
        while (status == STATUS_OK && (both.more_want || both.more_have))
            compare_object(check, &both, &status, error);
    }
    sqlite3_finalize(both.want);
    sqlite3_finalize(both.have);
    return status;
}
