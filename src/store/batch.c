/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Saves as a whole: who saved what when, what a save wrote, what stands on it. */
#include <string.h>

#include "cell.h"

enum { SAVE_COLUMN_COUNT = 8 };

/* The text of a column in arena, "" when it is empty; NULL: no memory. */
static const char *take(sqlite3_stmt *stmt, int column, struct arena *arena)
{
    const char *text = (const char *)sqlite3_column_text(stmt, column);

    return arena_text(arena, text == NULL ? "" : text,
                      text == NULL ? 0 : (size_t)sqlite3_column_bytes(stmt, column));
}

/* The columns SAVE_COLUMNS of statement.c. */
static enum status read_told(sqlite3_stmt *stmt, struct arena *arena, struct store_save_told *told,
                             struct error *error)
{
    memset(told, 0, sizeof *told);
    told->sequence = sqlite3_column_int64(stmt, 1);
    if (!query_column_id(stmt, 0, &told->id) || !query_column_id(stmt, 3, &told->person) ||
        !instant_from_text((const char *)sqlite3_column_text(stmt, 2), &told->at))
        return store_damaged("request", NULL, error);
    told->command = take(stmt, 4, arena);
    told->seat = take(stmt, 5, arena);
    told->label = take(stmt, 6, arena);
    told->imported = sqlite3_column_int(stmt, 7) != 0;
    if (told->command == NULL || told->seat == NULL || told->label == NULL)
        return error_no_memory(error);
    return STATUS_OK;
}

enum status store_read_save(struct store *store, const struct id *id, struct arena *arena,
                            struct store_save_told *told, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_SAVE]);
    bool found = false;
    enum status status = STATUS_OK, ended;

    query_id(&query, ":id", id);
    while (status == STATUS_OK && query_row(&query)) {
        found = true;
        status = read_told(query.stmt, arena, told, error);
    }
    ended = query_end(&query, status == STATUS_OK ? error : NULL);
    if (status == STATUS_OK)
        status = ended;
    if (status == STATUS_OK && !found)
        return error_set(error, STATUS_NOT_FOUND, "request", "The store holds no such save.");
    return status;
}

static enum status take_imports(struct query *query, struct arena *arena, struct rows *saves,
                                struct error *error)
{
    enum status status = STATUS_OK, ended;

    while (status == STATUS_OK && query_row(query)) {
        struct store_save_told *told = rows_add(saves, sizeof *told, arena);

        if (told == NULL) {
            status = error_no_memory(error);
            break;
        }
        status = read_told(query->stmt, arena, told, error);
        told->rows = sqlite3_column_int64(query->stmt, SAVE_COLUMN_COUNT);
        told->withdrawn = sqlite3_column_int64(query->stmt, SAVE_COLUMN_COUNT + 1);
    }
    ended = query_end(query, status == STATUS_OK ? error : NULL);
    return status == STATUS_OK ? ended : status;
}

enum status store_each_import(struct store *store, store_save_visitor visitor, void *context,
                              struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_IMPORTS]);
    struct arena arena = {0};
    struct rows saves = {0};
    enum status status = take_imports(&query, &arena, &saves, error);

    for (size_t i = 0; i < saves.count && status == STATUS_OK; i++)
        status =
            visitor(context, (const struct store_save_told *)(const void *)saves.items + i, error);
    arena_release(&arena);
    return status;
}

/* The kind of record called table; RECORD_KIND_COUNT: none. */
static enum record_kind kind_called(const char *table)
{
    int kind = 0;

    while (kind < RECORD_KIND_COUNT &&
           (table == NULL || strcmp(record_tables[kind].table, table) != 0))
        kind++;
    return (enum record_kind)kind;
}

/* Neither replaced nor withdrawn? */
static enum status is_current(struct store *store, enum record_kind kind, const struct id *row,
                              bool *current, struct error *error)
{
    struct query query = query_start(store, store->rows[kind][ROW_STANDING]);

    *current = false;
    query_id(&query, ":id", row);
    while (query_row(&query))
        *current = sqlite3_column_int(query.stmt, 2) == 0 && sqlite3_column_int(query.stmt, 3) == 0;
    return query_end(&query, error);
}

/* A row that a save wrote. */
struct written {
    enum record_kind kind;
    struct id row;
    int64_t sequence;
};

/* Every record row of a save, newest first. */
static enum status rows_of_save(struct store *store, const struct id *request, struct arena *arena,
                                struct rows *rows, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_ROWS_OF_SAVE]);
    enum status status = STATUS_OK, ended;

    query_id(&query, ":id", request);
    while (status == STATUS_OK && query_row(&query)) {
        struct written *written = rows_add(rows, sizeof *written, arena);

        if (written == NULL) {
            status = error_no_memory(error);
            break;
        }
        written->kind = kind_called((const char *)sqlite3_column_text(query.stmt, 0));
        written->sequence = sqlite3_column_int64(query.stmt, 2);
        if (written->kind == RECORD_KIND_COUNT || !query_column_id(query.stmt, 1, &written->row))
            status = store_damaged("ledger", "row", error);
    }
    ended = query_end(&query, status == STATUS_OK ? error : NULL);
    return status == STATUS_OK ? ended : status;
}

enum status store_each_row_of_save(struct store *store, const struct id *request,
                                   store_place_visitor visitor, void *context, struct error *error)
{
    struct arena arena = {0};
    struct rows rows = {0};
    enum status status = rows_of_save(store, request, &arena, &rows, error);

    for (size_t i = 0; i < rows.count && status == STATUS_OK; i++) {
        const struct written *written = (const struct written *)(const void *)rows.items + i;
        bool current = false;

        status = is_current(store, written->kind, &written->row, &current, error);
        if (status == STATUS_OK && current)
            status = visitor(context, written->kind, &written->row, error);
    }
    arena_release(&arena);
    return status;
}

/* What stands on the rows between first and last, in one kind; *sequence: the first so far. */
static enum status dependent_of(struct store *store, enum record_kind of, int64_t first,
                                int64_t last, struct written *found, struct error *error)
{
    struct text sql = {0};
    struct query query = {store, NULL, SQLITE_OK};
    bool good = true;
    enum status status;

    row_dependent_sql(&sql, store->shapes, of);
    if (sql.failed)
        return error_no_memory(error);
    query.code = sqlite3_prepare_v2(store->db, text_string(&sql), -1, &query.stmt, NULL);
    text_release(&sql);
    query_integer(&query, ":first", first);
    query_integer(&query, ":last", last);
    while (query_row(&query)) {
        int64_t sequence = sqlite3_column_int64(query.stmt, 1);

        if (found->sequence != 0 && found->sequence <= sequence)
            continue;
        found->kind = of;
        found->sequence = sequence;
        good = query_column_id(query.stmt, 0, &found->row);
    }
    status = query_end(&query, error);
    sqlite3_finalize(query.stmt);
    return status == STATUS_OK && !good ? store_damaged(record_tables[of].table, "id", error)
                                        : status;
}

enum status store_find_dependent(struct store *store, const struct id *request,
                                 enum record_kind *kind, struct id *row, int64_t *sequence,
                                 struct error *error)
{
    struct arena arena = {0};
    struct rows rows = {0};
    struct written found = {.sequence = 0};
    enum status status = rows_of_save(store, request, &arena, &rows, error);

    if (status == STATUS_OK && rows.count > 0) {
        const struct written *newest = (const void *)rows.items;
        int64_t last = newest->sequence, first = newest[rows.count - 1].sequence - 1;

        for (int of = 0; of < RECORD_KIND_COUNT && status == STATUS_OK; of++)
            if (of != RECORD_PROTOCOL)
                status = dependent_of(store, (enum record_kind)of, first, last, &found, error);
    }
    arena_release(&arena);
    if (status != STATUS_OK)
        return status;
    if (found.sequence == 0)
        return STATUS_NOT_FOUND;
    *kind = found.kind;
    *row = found.row;
    *sequence = found.sequence;
    return STATUS_OK;
}

enum status store_newest_save(struct store *store, const char *command, instant *at,
                              struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_NEWEST_SAVE]);
    bool found = false, good = true;
    enum status status;

    query_text(&query, ":command", command);
    while (query_row(&query)) {
        found = true;
        good = instant_from_text((const char *)sqlite3_column_text(query.stmt, 0), at);
    }
    status = query_end(&query, error);
    if (status == STATUS_OK && !good)
        return store_damaged("request", "recorded_at", error);
    return status == STATUS_OK && !found ? STATUS_NOT_FOUND : status;
}

static enum status greatest(struct store *store, enum statement which, struct arena *arena,
                            const char **name, struct error *error)
{
    struct query query = query_start(store, store->statements[which]);
    enum status status;

    *name = "";
    while (query_row(&query))
        *name = take(query.stmt, 0, arena);
    status = query_end(&query, error);
    return status == STATUS_OK && *name == NULL ? error_no_memory(error) : status;
}

enum status store_greatest_numbers(struct store *store, struct arena *arena,
                                   const char **case_number, const char **chart,
                                   struct error *error)
{
    enum status status = greatest(store, STATEMENT_GREATEST_CASE, arena, case_number, error);

    if (status == STATUS_OK)
        status = greatest(store, STATEMENT_GREATEST_CHART, arena, chart, error);
    return status;
}
