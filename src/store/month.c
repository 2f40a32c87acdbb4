/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Closed months, and what a closing looks at beside the cases. */
#include "cell.h"

enum status store_each_month(struct store *store, const char *month, store_row_visitor visitor,
                             void *context, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_MONTHS]);
    enum status visited = STATUS_OK;

    query_text(&query, ":month", month);
    while (visited == STATUS_OK && query_row(&query)) {
        struct month_close close;

        visited = row_read(store, query.stmt, RECORD_MONTH_CLOSE, NULL, &close, error);
        if (visited == STATUS_OK)
            visited = visitor(context, &close, error);
    }
    enum status status = query_end(&query, visited == STATUS_OK ? error : NULL);
    return visited == STATUS_OK ? status : visited;
}

enum status store_month_has_cases(struct store *store, day last, bool *has, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_MONTH_HAS_CASES]);

    *has = false;
    query_day(&query, ":last", last);
    while (query_row(&query))
        *has = sqlite3_column_int(query.stmt, 0) != 0;
    return query_end(&query, error);
}
