/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Records by their key, and every row of a kind. */
#include <string.h>

#include "cell.h"

static enum status find_record(struct store *store, enum record_kind kind, const char *key,
                               int64_t as_of, struct id *record, struct error *error)
{
    struct query query = query_start(store, store->rows[kind][ROW_FIND]);
    bool found = false, good = true;
    enum status status;

    query_text(&query, ":key", key);
    query_integer(&query, ":as_of", as_of);
    while (query_row(&query)) {
        found = true;
        good = query_column_id(query.stmt, 0, record);
    }
    status = query_end(&query, error);
    if (status != STATUS_OK)
        return status;
    if (!good)
        return store_damaged(record_tables[kind].table, "record", error);
    return found ? STATUS_OK : STATUS_NOT_FOUND;
}

enum status store_find_case(struct store *store, const char *number, int64_t as_of,
                            struct id *casefile, struct error *error)
{
    return find_record(store, RECORD_CASEFILE, number, as_of, casefile, error);
}

enum status store_find_patient(struct store *store, const char *chart, int64_t as_of,
                               struct id *patient, struct error *error)
{
    return find_record(store, RECORD_PATIENT, chart, as_of, patient, error);
}

/* Binds the key fields of probe; an expander without a fit is known by the day of its bands. */
static enum status bind_key(struct store *store, struct query *query, enum record_kind kind,
                            const void *probe, struct error *error)
{
    const struct shape *shape = &store->shapes[kind];

    for (size_t i = shape->first_field; i < shape->column_count && query->code == SQLITE_OK; i++) {
        const struct column *column = &shape->columns[i];
        char name[64];
        struct cell cell;
        enum status status;
        int index;

        sqlite3_snprintf((int)sizeof name, name, ":%s", column->name);
        index = sqlite3_bind_parameter_index(query->stmt, name);
        if (index == 0)
            continue;
        status = cell_of_field(column->field, probe, &store->scratch, &cell, error);
        if (status != STATUS_OK)
            return status;
        query->code = cell_bind(query->stmt, index, &cell);
    }
    return STATUS_OK;
}

enum status store_find_same_key(struct store *store, enum record_kind kind, const void *probe,
                                struct arena *arena, void *found, struct error *error)
{
    struct query query = query_start(store, store->rows[kind][ROW_SAME_KEY]);
    enum status status = STATUS_OK, ended;
    bool any = false;

    arena_clear(&store->scratch);
    query_integer(&query, ":as_of", STORE_NOW);
    if (query.code == SQLITE_OK)
        status = bind_key(store, &query, kind, probe, error);
    while (status == STATUS_OK && !any && query_row(&query)) {
        any = true;
        status = row_read(store, query.stmt, kind, arena, found, error);
    }
    ended = query_end(&query, status == STATUS_OK ? error : NULL);
    if (status == STATUS_OK)
        status = ended;
    return status == STATUS_OK && !any ? STATUS_NOT_FOUND : status;
}

/* Room for one struct of any kind. */
union any_record {
    struct patient patient;
    struct casefile casefile;
    struct trainer trainer;
    struct expander expander;
    struct visit visit;
    struct width width;
    struct wear_day wear_day;
    struct wear_count wear_count;
    struct contact contact;
    struct booking booking;
    struct protocol protocol;
    struct person person;
    struct judged judged;
};

enum status store_each_row(struct store *store, enum record_kind kind, int64_t as_of,
                           store_row_visitor visitor, void *context, struct error *error)
{
    union any_record record;
    struct query query;
    bool began = false;
    enum status status = read_begin(store, &began, error), ended;

    if (status != STATUS_OK)
        return status;
    query = query_start(store, store->rows[kind][ROW_EACH]);
    query_integer(&query, ":as_of", as_of);
    while (status == STATUS_OK && query_row(&query)) {
        status = row_read(store, query.stmt, kind, NULL, &record, error);
        if (status == STATUS_OK)
            status = visitor(context, &record, error);
    }
    ended = query_end(&query, status == STATUS_OK ? error : NULL);
    return read_end(store, began, status == STATUS_OK ? ended : status, error);
}
