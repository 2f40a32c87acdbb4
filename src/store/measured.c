/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Expanders and widths of every case, side by side: two readings that go on in step. */
#include <string.h>

#include "cell.h"

/* The rows of one kind, one of them read ahead: with it the next case begins. */
struct reading {
    struct query query;
    enum record_kind kind;
    union {
        struct row_head head;
        struct expander expander;
        struct width width;
    } ahead;
    bool ended;
    struct rows rows; /* of the case at hand */
};

static const struct id *case_ahead(const struct reading *reading)
{
    return reading->kind == RECORD_EXPANDER ? &reading->ahead.expander.casefile
                                            : &reading->ahead.width.casefile;
}

/* Texts live until the next step only, and nobody asks for them here. */
static void drop_texts(struct reading *reading)
{
    reading->ahead.head.reason = "";
    if (reading->kind == RECORD_EXPANDER)
        reading->ahead.expander.band_right = reading->ahead.expander.band_left = "";
    else
        reading->ahead.width.by = "";
}

static enum status read_ahead(struct reading *reading, struct error *error)
{
    reading->ended = !query_row(&reading->query);
    if (reading->ended)
        return STATUS_OK;
    enum status status = row_read(reading->query.store, reading->query.stmt, reading->kind, NULL,
                                  &reading->ahead, error);
    drop_texts(reading);
    return status;
}

static enum status start(struct store *store, enum record_kind kind, int64_t as_of,
                         struct reading *reading, struct error *error)
{
    *reading = (struct reading){.kind = kind};
    reading->query = query_start(store, store->rows[kind][ROW_BY_CASE]);
    query_integer(&reading->query, ":as_of", as_of);
    return read_ahead(reading, error);
}

/* The rows of one case, if the next ones are of it. */
static enum status take_case(struct reading *reading, const struct id *casefile,
                             struct arena *arena, struct error *error)
{
    size_t size = record_tables[reading->kind].size;
    enum status status = STATUS_OK;

    memset(&reading->rows, 0, sizeof reading->rows);
    while (status == STATUS_OK && !reading->ended && id_equal(case_ahead(reading), casefile)) {
        void *row = rows_add(&reading->rows, size, arena);
        if (row == NULL)
            return error_no_memory(error);
        memcpy(row, &reading->ahead, size);
        status = read_ahead(reading, error);
    }
    return status;
}

/* The case that comes first by its id, as SQLite orders them. */
static struct id next_case(const struct reading *expanders, const struct reading *widths)
{
    if (expanders->ended)
        return *case_ahead(widths);
    if (widths->ended)
        return *case_ahead(expanders);
    const struct id *a = case_ahead(expanders), *b = case_ahead(widths);
    return memcmp(a->bytes, b->bytes, sizeof a->bytes) < 0 ? *a : *b;
}

static enum status visit_cases(struct reading *expanders, struct reading *widths,
                               struct arena *arena, store_case_visitor visitor, void *context,
                               struct error *error)
{
    enum status status = STATUS_OK;

    while (status == STATUS_OK && !(expanders->ended && widths->ended)) {
        struct id casefile = next_case(expanders, widths);
        arena_clear(arena);
        status = take_case(expanders, &casefile, arena, error);
        if (status == STATUS_OK)
            status = take_case(widths, &casefile, arena, error);
        if (status != STATUS_OK || expanders->rows.count == 0 || widths->rows.count == 0)
            continue;
        struct history history = {.expanders = (const void *)expanders->rows.items,
                                  .expander_count = expanders->rows.count,
                                  .widths = (const void *)widths->rows.items,
                                  .width_count = widths->rows.count};
        status = visitor(context, &history, error);
    }
    return status;
}

enum status store_each_measured(struct store *store, int64_t as_of, store_case_visitor visitor,
                                void *context, struct error *error)
{
    struct reading expanders, widths = {.kind = RECORD_WIDTH};
    struct arena arena = {0};
    bool began = false;
    enum status status = read_begin(store, &began, error), ended;

    if (status != STATUS_OK)
        return status;
    status = statements_prepare_rest(store, error);
    if (status != STATUS_OK)
        return read_end(store, began, status, error);
    status = start(store, RECORD_EXPANDER, as_of, &expanders, error);
    if (status == STATUS_OK) {
        status = start(store, RECORD_WIDTH, as_of, &widths, error);
        if (status == STATUS_OK)
            status = visit_cases(&expanders, &widths, &arena, visitor, context, error);
        ended = query_end(&widths.query, status == STATUS_OK ? error : NULL);
        status = status == STATUS_OK ? ended : status;
    }
    ended = query_end(&expanders.query, status == STATUS_OK ? error : NULL);
    status = status == STATUS_OK ? ended : status;
    arena_release(&arena);
    status = read_end(store, began, status, error);
    /* Of a large store the pages just read fill the cache, and few of them are wanted again. */
    if (began && store->db != NULL)
        (void)sqlite3_db_release_memory(store->db);
    return status;
}
