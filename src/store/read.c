/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One case with everything recorded of it, and every case in turn. */
#include <string.h>

#include "cell.h"

void *rows_add(struct rows *rows, size_t size, struct arena *arena)
{
    if (rows->count == rows->capacity) {
        size_t capacity = rows->capacity == 0 ? 4 : rows->capacity * 2;
        char *items = arena_array(arena, capacity, size);

        if (items == NULL)
            return NULL;
        if (rows->count > 0)
            memcpy(items, rows->items, rows->count * size);
        rows->items = items;
        rows->capacity = capacity;
    }
    return rows->items + rows->count++ * size;
}

enum status rows_take(struct query *query, enum record_kind kind, struct arena *arena,
                      struct rows *rows, struct error *error)
{
    const size_t size = record_tables[kind].size;
    enum status status = STATUS_OK, ended;

    memset(rows, 0, sizeof *rows);
    while (status == STATUS_OK && query_row(query)) {
        void *row = rows_add(rows, size, arena);

        if (row == NULL)
            status = error_no_memory(error);
        else
            status = row_read(query->store, query->stmt, kind, arena, row, error);
    }
    ended = query_end(query, status == STATUS_OK ? error : NULL);
    return status == STATUS_OK ? ended : status;
}

static enum status of_case(struct store *store, enum record_kind kind, const struct id *casefile,
                           int64_t as_of, struct arena *arena, struct rows *rows,
                           struct error *error)
{
    struct query query = query_start(store, store->rows[kind][ROW_OF_CASE]);

    query_id(&query, ":casefile", casefile);
    query_integer(&query, ":as_of", as_of);
    return rows_take(&query, kind, arena, rows, error);
}

/* The current row of a record, NULL in *found when there is none. */
static enum status of_record(struct store *store, enum record_kind kind, const struct id *record,
                             int64_t as_of, struct arena *arena, const void **found,
                             struct error *error)
{
    struct query query = query_start(store, store->rows[kind][ROW_OF_RECORD]);
    struct rows rows;
    enum status status;

    query_id(&query, ":record", record);
    query_integer(&query, ":as_of", as_of);
    status = rows_take(&query, kind, arena, &rows, error);
    *found = rows.count > 0 ? rows.items : NULL;
    return status;
}

enum status store_read_protocol(struct store *store, const char *name, int64_t as_of,
                                struct arena *arena, struct protocol *protocol, struct error *error)
{
    const bool own = name != NULL && name[0] != '\0';
    struct query query = query_start(store, store->rows[RECORD_PROTOCOL][ROW_OF_NAME]);
    struct rows rows;
    enum status status;

    query_text(&query, ":name", own ? name : STORE_PRACTICE_PROTOCOL);
    query_integer(&query, ":as_of", as_of);
    status = rows_take(&query, RECORD_PROTOCOL, arena, &rows, error);
    if (status != STATUS_OK)
        return status;
    if (rows.count == 0)
        return error_set(error, STATUS_NOT_FOUND, "protocol",
                         "The store holds no protocol called %s, and without its limits nothing is "
                         "permitted; record it first.",
                         own ? name : STORE_PRACTICE_PROTOCOL);
    memcpy(protocol, rows.items, sizeof *protocol);
    return STATUS_OK;
}

static enum status read_head(struct store *store, const struct id *casefile, int64_t as_of,
                             struct arena *arena, struct history *history, struct error *error)
{
    const void *file = NULL, *patient = NULL;
    struct protocol *protocol;
    enum status status = of_record(store, RECORD_CASEFILE, casefile, as_of, arena, &file, error);

    if (status == STATUS_OK && file == NULL)
        status = error_set(error, STATUS_NOT_FOUND, "casefile",
                           "The store holds no such case at that moment.");
    if (status != STATUS_OK)
        return status;
    history->casefile = file;
    status = of_record(store, RECORD_PATIENT, &history->casefile->patient, as_of, arena, &patient,
                       error);
    if (status == STATUS_OK && patient == NULL)
        status = error_set(error, STATUS_DAMAGED, history->casefile->number,
                           "Case %s belongs to a patient whom the store does not hold; run "
                           "springline verify.",
                           history->casefile->number);
    if (status != STATUS_OK)
        return status;
    history->patient = patient;
    protocol = arena_alloc(arena, sizeof *protocol);
    if (protocol == NULL)
        return error_no_memory(error);
    history->protocol = protocol;
    return store_read_protocol(store, history->casefile->protocol, as_of, arena, protocol, error);
}

/* The kinds that belong to a case, in the order of enum record_kind from trainer to booking, and
 * judged. */
static enum status read_parts(struct store *store, const struct id *casefile, int64_t as_of,
                              struct arena *arena, struct history *history, struct error *error)
{
    const bool erased = history->patient->family == patient_erased;
    struct rows rows[RECORD_KIND_COUNT] = {{0}};
    enum status status = STATUS_OK;

    for (int kind = RECORD_TRAINER; kind <= RECORD_BOOKING && status == STATUS_OK; kind++)
        status = of_case(store, (enum record_kind)kind, casefile, as_of, arena, &rows[kind], error);
    for (int kind = RECORD_TRAINER; erased && kind <= RECORD_BOOKING && status == STATUS_OK; kind++)
        status = erased_mark(store, (enum record_kind)kind, casefile, &rows[kind], error);
    if (status == STATUS_OK)
        status = of_case(store, RECORD_JUDGED, casefile, as_of, arena, &rows[RECORD_JUDGED], error);
    history->trainers = (const void *)rows[RECORD_TRAINER].items;
    history->trainer_count = rows[RECORD_TRAINER].count;
    history->expanders = (const void *)rows[RECORD_EXPANDER].items;
    history->expander_count = rows[RECORD_EXPANDER].count;
    history->visits = (const void *)rows[RECORD_VISIT].items;
    history->visit_count = rows[RECORD_VISIT].count;
    history->widths = (const void *)rows[RECORD_WIDTH].items;
    history->width_count = rows[RECORD_WIDTH].count;
    history->wear_days = (const void *)rows[RECORD_WEAR_DAY].items;
    history->wear_day_count = rows[RECORD_WEAR_DAY].count;
    history->wear_counts = (const void *)rows[RECORD_WEAR_COUNT].items;
    history->wear_count_count = rows[RECORD_WEAR_COUNT].count;
    history->contacts = (const void *)rows[RECORD_CONTACT].items;
    history->contact_count = rows[RECORD_CONTACT].count;
    history->bookings = (const void *)rows[RECORD_BOOKING].items;
    history->booking_count = rows[RECORD_BOOKING].count;
    history->judged = (const void *)rows[RECORD_JUDGED].items;
    history->judged_count = rows[RECORD_JUDGED].count;
    return status;
}

enum status store_read_case(struct store *store, const struct id *casefile, int64_t as_of,
                            struct arena *arena, struct history *history, struct error *error)
{
    bool began = false;
    enum status status = read_begin(store, &began, error);

    if (status != STATUS_OK)
        return status;
    memset(history, 0, sizeof *history);
    /* A first screen that must look into a case (a draft was left) can not wait for the rest. */
    status = statements_prepare_rest(store, error);
    if (status == STATUS_OK)
        status = read_head(store, casefile, as_of, arena, history, error);
    if (status == STATUS_OK)
        status = read_parts(store, casefile, as_of, arena, history, error);
    return read_end(store, began, status, error);
}

/* The kinds of an assessment, in the order of enum record_kind. */
static enum status read_assessed(struct store *store, const struct id *casefile, int64_t as_of,
                                 struct arena *arena, struct assessment *assessment,
                                 struct error *error)
{
    struct rows rows[RECORD_KIND_COUNT] = {{0}};
    enum status status = STATUS_OK;

    for (int kind = RECORD_TOOTH_WIDTH; kind <= RECORD_PLAN && status == STATUS_OK; kind++)
        status = of_case(store, (enum record_kind)kind, casefile, as_of, arena, &rows[kind], error);
    *assessment = (struct assessment){
        .tooth_widths = (const void *)rows[RECORD_TOOTH_WIDTH].items,
        .tooth_width_count = rows[RECORD_TOOTH_WIDTH].count,
        .segments = (const void *)rows[RECORD_ARCH_SEGMENT].items,
        .segment_count = rows[RECORD_ARCH_SEGMENT].count,
        .depths = (const void *)rows[RECORD_ARCH_DEPTH].items,
        .depth_count = rows[RECORD_ARCH_DEPTH].count,
        .plans = (const void *)rows[RECORD_PLAN].items,
        .plan_count = rows[RECORD_PLAN].count,
    };
    return status;
}

enum status store_read_assessment(struct store *store, const struct id *casefile, int64_t as_of,
                                  struct arena *arena, struct assessment *assessment,
                                  struct error *error)
{
    bool began = false;
    enum status status = read_begin(store, &began, error);

    memset(assessment, 0, sizeof *assessment);
    if (status != STATUS_OK)
        return status;
    status = statements_prepare_rest(store, error);
    if (status == STATUS_OK)
        status = read_assessed(store, casefile, as_of, arena, assessment, error);
    return read_end(store, began, status, error);
}

static enum status each_case(struct store *store, int64_t as_of, struct arena *arena,
                             store_case_visitor visitor, void *context, struct error *error)
{
    struct query query = query_start(store, store->rows[RECORD_CASEFILE][ROW_RECORDS]);
    enum status status = STATUS_OK, ended;

    query_integer(&query, ":as_of", as_of);
    while (status == STATUS_OK && query_row(&query)) {
        struct history history;
        struct id casefile;

        arena_clear(arena);
        if (!query_column_id(query.stmt, 0, &casefile))
            status = store_damaged("casefile", "record", error);
        else
            status = store_read_case(store, &casefile, as_of, arena, &history, error);
        if (status == STATUS_OK)
            status = visitor(context, &history, error);
    }
    ended = query_end(&query, status == STATUS_OK ? error : NULL);
    return status == STATUS_OK ? ended : status;
}

enum status store_each_case(struct store *store, int64_t as_of, store_case_visitor visitor,
                            void *context, struct error *error)
{
    struct arena arena = {0};
    bool began = false;
    enum status status = read_begin(store, &began, error);

    if (status != STATUS_OK)
        return status;
    status = each_case(store, as_of, &arena, visitor, context, error);
    arena_release(&arena);
    return read_end(store, began, status, error);
}
