/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The practice's repeated measurements. */
#include <string.h>

#include "cell.h"

enum status store_repeat_pairs(struct store *store, struct repeat_sums by_landmark[LANDMARK_COUNT],
                               struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_REPEAT_PAIRS]);

    memset(by_landmark, 0, LANDMARK_COUNT * sizeof *by_landmark);
    while (query_row(&query)) {
        const char *name = (const char *)sqlite3_column_text(query.stmt, 0);
        int landmark = name == NULL ? LANDMARK_NONE : word_value(&words_landmark, name);
        struct repeat_sums *sums = &by_landmark[landmark < 0 ? LANDMARK_NONE : landmark];
        sums->pairs += sqlite3_column_int64(query.stmt, 1);
        sums->sum_um += sqlite3_column_int64(query.stmt, 2);
        sums->sum_squares_um2 += sqlite3_column_int64(query.stmt, 3);
    }
    return query_end(&query, error);
}
