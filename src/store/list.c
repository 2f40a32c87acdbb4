/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The lists that read one table: states, a search, the bookings of a day. */
#include <string.h>

#include "state.h"

/* A day in a column; DAY_NONE when it is empty. */
static enum status read_day(sqlite3_stmt *stmt, int column, const char *table, day *date,
                            struct error *error)
{
    *date = DAY_NONE;
    if (sqlite3_column_type(stmt, column) == SQLITE_NULL ||
        day_from_text((const char *)sqlite3_column_text(stmt, column), date))
        return STATUS_OK;
    return store_damaged(table, "date", error);
}

/* Hands every row of a bound query of states to the visitor. Resets the query. */
static enum status visit_states(struct query *query, store_state_visitor visitor, void *context,
                                struct error *error)
{
    enum status status = STATUS_OK, ended;

    while (status == STATUS_OK && query_row(query)) {
        struct case_state state;
        day booked = DAY_NONE;

        status = state_read(query->stmt, 0, NULL, &state, error);
        if (status == STATUS_OK)
            status = read_day(query->stmt, STATE_COLUMN_COUNT, "booking", &booked, error);
        if (status == STATUS_OK)
            status = visitor(context, &state, booked, error);
    }
    ended = query_end(query, status == STATUS_OK ? error : NULL);
    return status == STATUS_OK ? ended : status;
}

enum status store_each_state(struct store *store, day on, store_state_visitor visitor,
                             void *context, struct error *error)
{
    struct query query;
    bool began = false;
    enum status status = read_begin(store, &began, error);

    if (status != STATUS_OK)
        return status;
    query = query_start(store, store->statements[STATEMENT_STATES]);
    query_day(&query, ":on", on);
    status = visit_states(&query, visitor, context, error);
    status = read_end(store, began, status, error);
    /* Of a large store the pages just read fill the cache, and few of them are wanted again. */
    if (began && store->db != NULL)
        (void)sqlite3_db_release_memory(store->db);
    return status;
}

enum status store_read_state(struct store *store, const struct id *casefile, struct arena *arena,
                             struct case_state *state, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_STATE]);
    enum status status = STATUS_OK, ended;
    bool found = false;

    query_id(&query, ":casefile", casefile);
    while (!found && query_row(&query)) {
        found = true;
        status = state_read(query.stmt, 0, arena, state, error);
    }
    ended = query_end(&query, status == STATUS_OK ? error : NULL);
    if (status == STATUS_OK)
        status = ended;
    return status == STATUS_OK && !found ? STATUS_NOT_FOUND : status;
}

/* What is searched, as text_finds does; the texts outlive the query. */
struct search {
    const char *folded;
    struct text bare, letters;
};

static void bind_search(struct query *query, struct search *words)
{
    size_t digits = 0, count = text_number(words->folded, strlen(words->folded), &digits);

    /* Every text holds the empty one; NULL would match nothing. */
    query_blob(query, ":folded", "", 0);
    if (words->folded[0] != '\0')
        query_text(query, ":folded", words->folded);
    text_add_bare(&words->bare, words->folded);
    text_append(&words->letters, words->folded, count);
    query_text(query, ":bare", text_string(&words->bare));
    query_text(query, ":letters", text_string(&words->letters));
    query_text(query, ":digits", count > 0 ? words->folded + digits : NULL);
    if (query->code == SQLITE_OK && (words->bare.failed || words->letters.failed))
        query->code = SQLITE_NOMEM;
}

enum status store_search(struct store *store, const char *folded, day on, int32_t most,
                         store_state_visitor visitor, void *context, struct error *error)
{
    struct search words = {.folded = folded == NULL ? "" : folded};
    struct query query;
    bool began = false;
    enum status status = read_begin(store, &began, error);

    if (status != STATUS_OK)
        return status;
    query = query_start(store, store->statements[STATEMENT_SEARCH]);
    bind_search(&query, &words);
    query_integer(&query, ":most", most);
    query_day(&query, ":on", on);
    status = visit_states(&query, visitor, context, error);
    text_release(&words.bare);
    text_release(&words.letters);
    return read_end(store, began, status, error);
}

static enum status visit_booking(struct query *query, store_booking_visitor visitor, void *context,
                                 struct error *error)
{
    const int fields = HEAD_COLUMNS + (int)record_tables[RECORD_BOOKING].field_count;
    struct booking booking;
    struct case_state state;
    enum status status = row_read(query->store, query->stmt, RECORD_BOOKING, NULL, &booking, error);

    if (status == STATUS_OK)
        status = state_read(query->stmt, fields, NULL, &state, error);
    if (status != STATUS_OK)
        return status;
    if (id_is_none(&state.casefile)) { /* booked before any state was derived */
        state.casefile = booking.casefile;
        state.last_verdict = 0;
    }
    return visitor(context, &booking, &state, error);
}

enum status store_each_booking(struct store *store, day on, store_booking_visitor visitor,
                               void *context, struct error *error)
{
    struct query query;
    bool began = false;
    enum status status = read_begin(store, &began, error), ended;

    if (status != STATUS_OK)
        return status;
    query = query_start(store, store->statements[STATEMENT_BOOKINGS]);
    query_day(&query, ":on", on);
    while (status == STATUS_OK && query_row(&query))
        status = visit_booking(&query, visitor, context, error);
    ended = query_end(&query, status == STATUS_OK ? error : NULL);
    return read_end(store, began, status == STATUS_OK ? ended : status, error);
}

enum status store_states_missing(struct store *store, bool *missing, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_STATES_MISSING]);

    *missing = false;
    while (query_row(&query))
        *missing = sqlite3_column_int(query.stmt, 0) != 0;
    return query_end(&query, error);
}
