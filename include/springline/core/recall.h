/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who must be called (domain.md 7 and 8): the group of a case on a day, and the order of the list.
 */
#ifndef SPRINGLINE_CORE_RECALL_H
#define SPRINGLINE_CORE_RECALL_H

#include "springline/core/record.h"

enum recall_group { /* in the order of the list */
                    RECALL_NONE,
                    RECALL_SAFETY,
                    RECALL_OVERDUE,
                    RECALL_DUE,
                    RECALL_BOOKED,
                    RECALL_RESTING,
                    RECALL_RETENTION
};
extern const struct words words_recall_group;

struct recall_row {
    const struct case_state *state;
    enum recall_group group;
    enum safety safety; /* the item that leads; SAFETY_NONE */
    day due_on;         /* first day of the window, or the day the safety item arose */
    int32_t days_late;  /* past the window's last day (safety: since it arose); else 0 */
    day booked;         /* next standing booking on or after the day; DAY_NONE */
};

/*
 * The row of one case on a day: booked is its next standing booking (DAY_NONE: none). within: cases
 * whose window opens within so many days count as due (0: today only). A safety item leads even
 * when a booking stands. False when the case belongs on no list (closed without a safety item,
 * not yet due, nothing at work).
 */
bool recall_row(const struct case_state *state, day on, int32_t within, day booked,
                struct recall_row *row);

/* Order of the list: group, then most days late, then due day, then case number (NULL: ""). Less
 * than 0: left comes first. The states are not looked at. */
int recall_order(const struct recall_row *left, const char *left_number,
                 const struct recall_row *right, const char *right_number);

/* The same of two rows with their states. For qsort. */
int recall_compare(const void *a, const void *b);

#endif
