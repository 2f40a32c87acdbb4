/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A prepared statement from binding to reset. The first failure is kept and told at the end. */
#include <string.h>

#include "handle.h"

struct query query_start(struct store *store, sqlite3_stmt *stmt)
{
    struct query query = {store, stmt, SQLITE_OK};

    if (store->db == NULL || stmt == NULL || sqlite3_stmt_busy(stmt)) {
        query.stmt = NULL;
        query.code = SQLITE_MISUSE;
    }
    return query;
}

/* The index of the parameter called name; 0 and a failure when there is none. */
static int parameter(struct query *query, const char *name)
{
    int index;

    if (query->code != SQLITE_OK)
        return 0;
    index = sqlite3_bind_parameter_index(query->stmt, name);
    if (index == 0)
        query->code = SQLITE_RANGE;
    return index;
}

void query_integer(struct query *query, const char *name, int64_t value)
{
    int index = parameter(query, name);

    if (index != 0)
        query->code = sqlite3_bind_int64(query->stmt, index, value);
}

void query_text(struct query *query, const char *name, const char *text)
{
    int index = parameter(query, name);

    if (index == 0)
        return;
    if (text == NULL || text[0] == '\0')
        query->code = sqlite3_bind_null(query->stmt, index);
    else
        query->code =
            sqlite3_bind_text64(query->stmt, index, text, strlen(text), SQLITE_STATIC, SQLITE_UTF8);
}

void query_blob(struct query *query, const char *name, const void *bytes, size_t count)
{
    int index = parameter(query, name);

    if (index != 0)
        query->code = sqlite3_bind_blob64(query->stmt, index, bytes, count, SQLITE_STATIC);
}

void query_id(struct query *query, const char *name, const struct id *id)
{
    int index = parameter(query, name);

    if (index == 0)
        return;
    if (id_is_none(id))
        query->code = sqlite3_bind_null(query->stmt, index);
    else
        query->code =
            sqlite3_bind_blob64(query->stmt, index, id->bytes, sizeof id->bytes, SQLITE_STATIC);
}

void query_day(struct query *query, const char *name, day date)
{
    char buffer[DAY_TEXT_SIZE];
    int index = parameter(query, name);

    if (index != 0)
        query->code =
            sqlite3_bind_text(query->stmt, index, day_to_text(date, buffer), -1, SQLITE_TRANSIENT);
}

void query_instant(struct query *query, const char *name, instant at)
{
    char buffer[INSTANT_TEXT_SIZE];
    int index = parameter(query, name);

    if (index != 0)
        query->code = sqlite3_bind_text(query->stmt, index, instant_to_text(at, buffer), -1,
                                        SQLITE_TRANSIENT);
}

bool query_row(struct query *query)
{
    int code;

    if (query->code != SQLITE_OK)
        return false;
    code = sqlite3_step(query->stmt);
    if (code == SQLITE_ROW)
        return true;
    if (code != SQLITE_DONE)
        query->code = code;
    return false;
}

enum status query_end(struct query *query, struct error *error)
{
    enum status status = STATUS_OK;

    if (query->store->db == NULL)
        status = store_is_closed(query->store, error);
    else if (query->code != SQLITE_OK)
        status = store_failure(query->store, query->code, error);
    if (query->stmt != NULL)
        sqlite3_reset(query->stmt);
    return status;
}

int query_run(struct query *query)
{
    int code;

    while (query_row(query))
        continue;
    code = query->code;
    if (query->stmt != NULL)
        sqlite3_reset(query->stmt);
    return code;
}

bool query_column_id(sqlite3_stmt *stmt, int column, struct id *id)
{
    const void *bytes;

    memset(id, 0, sizeof *id);
    if (sqlite3_column_type(stmt, column) == SQLITE_NULL)
        return true;
    bytes = sqlite3_column_blob(stmt, column);
    if (sqlite3_column_type(stmt, column) != SQLITE_BLOB ||
        sqlite3_column_bytes(stmt, column) != (int)sizeof id->bytes || bytes == NULL)
        return false;
    memcpy(id->bytes, bytes, sizeof id->bytes);
    return true;
}

enum status read_begin(struct store *store, bool *began, struct error *error)
{
    struct query query;
    int code;

    *began = false;
    if (store->db == NULL)
        return store_is_closed(store, error);
    if (!sqlite3_get_autocommit(store->db))
        return STATUS_OK;
    query = query_start(store, store->statements[STATEMENT_BEGIN_READ]);
    code = query_run(&query);
    if (code != SQLITE_OK)
        return store_failure(store, code, error);
    *began = true;
    return STATUS_OK;
}

enum status read_end(struct store *store, bool began, enum status status, struct error *error)
{
    struct query query;
    int code;

    /* An error of the disk may have ended the transaction by itself. */
    if (!began || store->db == NULL || sqlite3_get_autocommit(store->db))
        return status;
    query = query_start(store, store->statements[STATEMENT_ROLLBACK]);
    code = query_run(&query);
    if (code != SQLITE_OK && status == STATUS_OK)
        return store_failure(store, code, error);
    return status;
}
