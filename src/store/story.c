/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The story of a record: its versions, how it ended, rows of the past. Everything is copied before
 * the visitor is called, so that it may read on.
 */
#include <string.h>

#include "cell.h"

/* A withdrawal from four columns that begin at first. */
static enum status read_withdrawn(sqlite3_stmt *stmt, int first, struct arena *arena,
                                  struct store_withdrawn *withdrawn, struct error *error)
{
    const char *reason = (const char *)sqlite3_column_text(stmt, first + 3);

    if (reason == NULL ||
        !instant_from_text((const char *)sqlite3_column_text(stmt, first), &withdrawn->at) ||
        !query_column_id(stmt, first + 1, &withdrawn->person) ||
        !query_column_id(stmt, first + 2, &withdrawn->request))
        return store_damaged("withdrawal", NULL, error);
    withdrawn->reason = arena_text(arena, reason, (size_t)sqlite3_column_bytes(stmt, first + 3));
    return withdrawn->reason == NULL ? error_no_memory(error) : STATUS_OK;
}

/* How the chain that ends with row was ended; *ended says whether it was. */
static enum status withdrawal_of(struct store *store, const struct id *row, struct arena *arena,
                                 struct store_withdrawn *withdrawn, bool *ended,
                                 struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_WITHDRAWAL_OF]);
    enum status status = STATUS_OK, done;

    *ended = false;
    query_id(&query, ":row", row);
    while (status == STATUS_OK && query_row(&query)) {
        *ended = true;
        status = read_withdrawn(query.stmt, 0, arena, withdrawn, error);
    }
    done = query_end(&query, status == STATUS_OK ? error : NULL);
    return status == STATUS_OK ? done : status;
}

/* A record from its newest version to its first, and how it ended. */
struct story {
    struct rows versions;
    struct store_withdrawn withdrawn;
    bool ended;
};

static enum status read_story(struct store *store, enum record_kind kind, const struct id *record,
                              struct arena *arena, struct story *story, struct error *error)
{
    struct query query;
    bool began = false;
    enum status status = read_begin(store, &began, error);

    memset(story, 0, sizeof *story);
    if (status != STATUS_OK)
        return status;
    query = query_start(store, store->rows[kind][ROW_VERSIONS]);
    query_id(&query, ":record", record);
    status = rows_take(&query, kind, arena, &story->versions, error);
    if (status == STATUS_OK && story->versions.count > 0) {
        const struct row_head *newest = (const void *)story->versions.items;

        status = withdrawal_of(store, &newest->id, arena, &story->withdrawn, &story->ended, error);
    }
    return read_end(store, began, status, error);
}

enum status store_each_version(struct store *store, enum record_kind kind, const struct id *record,
                               store_version_visitor visitor, void *context, struct error *error)
{
    const size_t size = record_tables[kind].size;
    struct arena arena = {0};
    struct story story;
    enum status status = read_story(store, kind, record, &arena, &story, error);

    if (status == STATUS_OK && story.versions.count == 0)
        status = error_set(error, STATUS_NOT_FOUND, record_tables[kind].table,
                           "The store holds no such %s.", record_tables[kind].table);
    for (size_t i = 0; i < story.versions.count && status == STATUS_OK; i++)
        status = visitor(context, story.versions.items + i * size,
                         i == 0 && story.ended ? &story.withdrawn : NULL, error);
    arena_release(&arena);
    return status;
}

enum status store_read_current(struct store *store, enum record_kind kind, const struct id *record,
                               struct arena *arena, void *found, struct error *error)
{
    struct story story;
    enum status status = read_story(store, kind, record, arena, &story, error);

    if (status != STATUS_OK)
        return status;
    if (story.versions.count == 0 || story.ended)
        return STATUS_NOT_FOUND;
    memcpy(found, story.versions.items, record_tables[kind].size);
    return STATUS_OK;
}

enum status store_read_row(struct store *store, enum record_kind kind, const struct id *row,
                           struct arena *arena, void *record, struct error *error)
{
    struct query query = query_start(store, store->rows[kind][ROW_BY_ID]);
    bool found = false;
    enum status status = STATUS_OK, ended;

    query_id(&query, ":id", row);
    while (status == STATUS_OK && !found && query_row(&query)) {
        found = true;
        status = row_read(store, query.stmt, kind, arena, record, error);
    }
    ended = query_end(&query, status == STATUS_OK ? error : NULL);
    if (status == STATUS_OK)
        status = ended;
    return status == STATUS_OK && !found ? STATUS_NOT_FOUND : status;
}

/* The withdrawn rows of a case with their withdrawals, one for one. */
static enum status take_withdrawn(struct query *query, enum record_kind kind, struct arena *arena,
                                  struct rows *rows, struct rows *ends, struct error *error)
{
    const int after = HEAD_COLUMNS + (int)record_tables[kind].field_count;
    enum status status = STATUS_OK, ended;

    while (status == STATUS_OK && query_row(query)) {
        void *row = rows_add(rows, record_tables[kind].size, arena);
        struct store_withdrawn *end = rows_add(ends, sizeof *end, arena);

        if (row == NULL || end == NULL)
            status = error_no_memory(error);
        if (status == STATUS_OK)
            status = row_read(query->store, query->stmt, kind, arena, row, error);
        if (status == STATUS_OK)
            status = read_withdrawn(query->stmt, after, arena, end, error);
    }
    ended = query_end(query, status == STATUS_OK ? error : NULL);
    return status == STATUS_OK ? ended : status;
}

enum status store_each_withdrawn(struct store *store, enum record_kind kind,
                                 const struct id *casefile, store_version_visitor visitor,
                                 void *context, struct error *error)
{
    const bool none = store->whole && store->rows[kind][ROW_WITHDRAWN] == NULL;
    struct arena arena = {0};
    struct rows rows = {0}, ends = {0};
    struct query query;
    enum status status;

    if (none) /* a kind without a case */
        return STATUS_OK;
    query = query_start(store, store->rows[kind][ROW_WITHDRAWN]);
    query_id(&query, ":casefile", casefile);
    status = take_withdrawn(&query, kind, &arena, &rows, &ends, error);
    for (size_t i = 0; i < rows.count && status == STATUS_OK; i++)
        status = visitor(context, rows.items + i * record_tables[kind].size,
                         (const struct store_withdrawn *)(const void *)ends.items + i, error);
    arena_release(&arena);
    return status;
}
