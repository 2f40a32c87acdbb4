/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of audit share: the wear of a month, and what its visits brought. */
#ifndef SPRINGLINE_CORE_AUDIT_PARTS_H
#define SPRINGLINE_CORE_AUDIT_PARTS_H

#include "springline/core/audit.h"

/* The periods that a seen visit closed within a month, summed, and judged on one source. */
struct audit_wear {
    bool seen;          /* the patient was seen within the month */
    enum source source; /* SOURCE_NONE: unknown, or nothing to judge */
    int32_t days;       /* of the periods, with a current trainer */
    int32_t known, met; /* of source; 0 without one */
    int32_t most_known; /* the most that any one source knows of those days */
    int32_t short_run;  /* periods in a row, newest first, that are short, low or unknown */
    bool stricter;      /* one of them was judged lower than its days alone would give */
};

/* The days of a month that are accounted for. */
struct audit_month {
    day start;   /* of wear */
    day last;    /* of the month, or today */
    day tail_to; /* last day of the open tail: of the month, or the day before today */
};
/* Is the case audited in the month? False: *span is not filled. */
bool audit_month_of(const struct history *history, day month, day today, struct audit_month *span);

/* Of the month from its first to its last day. behind: the periods it was worked out from (start
 * and tail are not filled). */
void audit_wear_of(const struct history *history, day first, day last, struct audit_behind *behind,
                   struct audit_wear *wear);

/* Start of wear: the later of the first trainer issue and the day the case was opened; DAY_NONE
 * when no trainer was issued on or before last. */
day audit_wear_start(const struct history *history, day last);

/* The open tail of the month, judged: from the newest seen visit, or the start of wear, to to. */
void audit_judge_tail(const struct history *history, day last, day to, struct wear_period *tail);

/* Fills the open tail up to to (source as judged for the row, else the tail's own) and
 * untrained_days. */
void audit_tail(const struct history *history, day first, day last, day to, struct audit_row *row);

/* Fills visits, holds, reductions, rests, overrides and missed. */
void audit_visits(const struct history *history, day first, day last, struct audit_row *row);

#endif
