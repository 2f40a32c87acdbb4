/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The practice's repeated measurements. */
#include "cell.h"

enum status store_repeat_pairs(struct store *store, int64_t *pairs, int64_t *sum_squares_um2,
                               struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_REPEAT_PAIRS]);

    *pairs = *sum_squares_um2 = 0;
    while (query_row(&query)) {
        *pairs = sqlite3_column_int64(query.stmt, 0);
        *sum_squares_um2 = sqlite3_column_int64(query.stmt, 1);
    }
    return query_end(&query, error);
}
