/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every row that a case ever had, with the moment from which it no longer stood: for verify, which
 * goes back to the moment of each verdict without reading the case anew for each. */
#include <string.h>

#include "cell.h"

enum status store_read_ever(struct store *store, enum record_kind kind, const struct id *casefile,
                            struct arena *arena, struct store_ever *ever, struct error *error)
{
    const int after = HEAD_COLUMNS + (int)record_tables[kind].field_count;
    struct query query = query_start(store, store->rows[kind][ROW_EVER]);
    struct rows rows = {0}, ends = {0};
    enum status status = STATUS_OK, ended;

    query_id(&query, ":casefile", casefile);
    while (status == STATUS_OK && query_row(&query)) {
        void *row = rows_add(&rows, record_tables[kind].size, arena);
        int64_t *end = rows_add(&ends, sizeof *end, arena);

        if (row == NULL || end == NULL)
            status = error_no_memory(error);
        else
            status = row_read(store, query.stmt, kind, arena, row, error);
        if (status == STATUS_OK)
            *end = sqlite3_column_int64(query.stmt, after);
    }
    ended = query_end(&query, status == STATUS_OK ? error : NULL);
    *ever = (struct store_ever){rows.items, (const void *)ends.items, rows.count};
    return status == STATUS_OK ? ended : status;
}

/* The case behind *casefile, by the id; *found: there is one. */
static enum status next_case(struct store *store, struct arena *arena, struct id *casefile,
                             const char **number, bool *stands, bool *found, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_CASE_AFTER]);
    const struct id after = *casefile;
    bool good = true, room = true;

    *found = false;
    query_blob(&query, ":after", after.bytes, sizeof after.bytes);
    while (!*found && query_row(&query)) {
        const char *text = (const char *)sqlite3_column_text(query.stmt, 1);

        *found = true;
        good = query_column_id(query.stmt, 0, casefile) && text != NULL &&
               id_compare(casefile, &after) > 0;
        *number = text == NULL ? NULL : arena_text(arena, text, strlen(text));
        room = text == NULL || *number != NULL;
        *stands = sqlite3_column_int(query.stmt, 2) != 0;
    }
    enum status status = query_end(&query, error);
    if (status == STATUS_OK && !room)
        return error_no_memory(error);
    return status == STATUS_OK && !good ? store_damaged("casefile", NULL, error) : status;
}

enum status store_each_case_ever(struct store *store, store_ever_visitor visitor, void *context,
                                 struct error *error)
{
    struct arena arena = {0};
    struct id casefile = {{0}};
    enum status status = STATUS_OK;
    bool found = true;

    while (found && status == STATUS_OK) {
        const char *number = NULL;
        bool stands = false, began = false;

        arena_clear(&arena);
        status = read_begin(store, &began, error);
        if (status != STATUS_OK)
            break;
        status = next_case(store, &arena, &casefile, &number, &stands, &found, error);
        if (status == STATUS_OK && found)
            status = visitor(context, &casefile, number, stands, error);
        status = read_end(store, began, status, error);
    }
    arena_release(&arena);
    return status;
}

enum status store_count_states(struct store *store, int64_t *states, int64_t *cases,
                               struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_STATES_COUNT]);

    *states = *cases = 0;
    while (query_row(&query)) {
        *states = sqlite3_column_int64(query.stmt, 0);
        *cases = sqlite3_column_int64(query.stmt, 1);
    }
    return query_end(&query, error);
}
