/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows of case_state. Private. */
#ifndef SPRINGLINE_STORE_STATE_H
#define SPRINGLINE_STORE_STATE_H

#include "cell.h"

enum { STATE_COLUMN_COUNT = 24 }; /* columns that state_read takes; checked in state.c */

/* Reads a state from the columns that begin at first; texts go into arena or, where that is NULL,
 * live until the next step. */
enum status state_read(sqlite3_stmt *stmt, int first, struct arena *arena, struct case_state *state,
                       struct error *error);

#endif
