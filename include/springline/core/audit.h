/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The month's audit (domain.md 8): every case not closed at the month's end that has had a trainer.
 * Judged on the wear periods that a seen visit closed within the month, summed, one source.
 */
#ifndef SPRINGLINE_CORE_AUDIT_H
#define SPRINGLINE_CORE_AUDIT_H

#include "springline/core/history.h"
#include "springline/core/rules.h"
#include "springline/core/wear_trend.h"

enum audit_group { AUDIT_NONE, AUDIT_BELOW, AUDIT_UNKNOWN, AUDIT_NOT_SEEN, AUDIT_MEETING };
extern const struct words words_audit_group; /* below unknown not-seen meeting */

struct audit_override {
    day date;
    enum arch arch;
    um given_right, given_left, permitted_right, permitted_left;
    const char *reason; /* empty: "no reason recorded" */
    bool recomputed;
};

enum { AUDIT_OVERRIDES_MAX = 16 };

struct audit_row {
    enum audit_group group;
    bool low; /* below wear_low, within below */
    int32_t days_known, days_met,
        days_asked;                  /* of the judged source; days_asked: days in the periods */
    double adherence, low95, high95; /* shares; valid when days_known > 0 */
    enum source source;
    double unknown_share; /* of the periods' days */
    int32_t visits, holds, reductions, rests, overrides, missed;
    int32_t short_run; /* periods in a row, newest first, that are short, low or unknown */
    int32_t untrained_days;
    bool has_change;
    double change;                           /* adherence - that of the month before */
    int32_t open_days, open_known, open_met; /* the tail after the last seen visit, apart */
    bool drifting; /* wear_trend.h: down, over the periods up to the newest seen visit of the month
                      or before it; false too where too few periods are known */
    bool stricter; /* a period summed here was judged lower than its days alone would give (records
                      overlap or are half filled): the sums are of days and can read milder */
    struct audit_override override_rows[AUDIT_OVERRIDES_MAX];
};

/*
 * The row of one case for the month that begins on month; false when the case is not audited. A
 * month that is still running on today is accounted for up to today, its open tail up to yesterday.
 */
bool audit_case(const struct history *history, day month, day today, struct audit_row *row);

/* ---- what stands behind a row, by the same calculation ---- */

struct audit_behind {
    day first, last; /* the month, as far as it is accounted for */
    day start;       /* of wear */
    day seen;        /* newest visit on or before last at which the patient was seen; DAY_NONE */
    struct wear_periods periods; /* formed back from seen, newest first; none without it */
    int32_t closed; /* so many of them, the first, were closed within the month and are summed */
    int32_t run;    /* so many of them, the first, are the run of short ones */
    int32_t days;   /* of the closed ones, with a current trainer */
    struct wear_tally sums[SOURCE_TOLD + 1]; /* of the closed ones, by source; from_counts unset */
    struct wear_period tail;                 /* after seen, still open; days 0: there is none */
};
/* As audit_case; false, *behind untouched, when that says so. */
bool audit_behind_row(const struct history *history, day month, day today,
                      struct audit_behind *behind);

/* What one arch was given on one day, over all its rows, and its verdict. */
struct audit_arch {
    const struct visit
        *row;           /* stands for the day: the newest that gave an amount; NULL: not seen */
    um right, left;     /* in all */
    const char *reason; /* for more than permitted; "" none */
    bool judged;        /* judgement holds; else nothing was fitted */
    bool recomputed;    /* as course_verdict_of */
    bool above;         /* more was given than permitted */
    struct judgement judgement;
};
/* Fills *on; false when the arch was not seen that day. */
bool audit_arch_on(const struct history *history, enum arch arch, day date, struct audit_arch *on);

/* The gravest verdict of the day's arches: what its visit counts as; VERDICT_NONE without one. */
enum verdict audit_verdict_on(const struct history *history, day date);

enum audit_day { AUDIT_DAY_UNKNOWN, AUDIT_DAY_MET, AUDIT_DAY_MISSED };
/* What a day record says of the minimum. */
enum audit_day audit_day_of(const struct wear_day *record, const struct protocol *protocol);

struct audit_totals {
    int32_t cases, below, low, unknown, not_seen, meeting, visits, holds, reductions, rests,
        overrides, missed;
};
/* Adds one row to totals. */
void audit_add(struct audit_totals *totals, const struct audit_row *row);

#endif
