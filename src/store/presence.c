/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which seat has which case open. */
#include "cell.h"

enum status store_put_presence(struct store *store, const struct presence *presence,
                               struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_PRESENCE_PUT]);

    query_text(&query, ":seat", presence->seat);
    query_id(&query, ":casefile", &presence->casefile);
    query_id(&query, ":person", &presence->person);
    query_instant(&query, ":since", presence->since);
    query_instant(&query, ":seen_at", presence->seen_at);
    return seat_write_end(store, &query, "presence", error);
}

enum status store_drop_presence(struct store *store, const char *seat, instant before,
                                struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_PRESENCE_DROP]);

    query_text(&query, ":seat", seat);
    query_instant(&query, ":before", before);
    return seat_write_end(store, &query, "presence", error);
}

/* A column that may be NULL, and then is no instant. */
static bool read_instant(sqlite3_stmt *stmt, int column, instant *at)
{
    *at = INSTANT_NONE;
    return sqlite3_column_type(stmt, column) == SQLITE_NULL ||
           instant_from_text((const char *)sqlite3_column_text(stmt, column), at);
}

static bool read_presence(sqlite3_stmt *stmt, struct presence *presence)
{
    presence->seat = (const char *)sqlite3_column_text(stmt, 0);
    return presence->seat != NULL && query_column_id(stmt, 1, &presence->casefile) &&
           read_instant(stmt, 2, &presence->seen_at) && read_instant(stmt, 3, &presence->since) &&
           query_column_id(stmt, 4, &presence->person);
}

enum status store_each_presence(struct store *store, const struct id *casefile,
                                store_presence_visitor visitor, void *context, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_PRESENCES]);
    enum status status = STATUS_OK;

    query_id(&query, ":casefile", casefile);
    while (status == STATUS_OK && query_row(&query)) {
        struct presence presence;

        if (read_presence(query.stmt, &presence))
            status = visitor(context, &presence, error);
        else
            status = store_damaged("presence", "content", error);
    }
    enum status ended = query_end(&query, status == STATUS_OK ? error : NULL);
    return status == STATUS_OK ? ended : status;
}
