/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The month's audit (domain.md 8): every case not closed at the month's end that has had a trainer.
 * Judged on the wear periods that a seen visit closed within the month, summed, one source.
 */
#ifndef SPRINGLINE_CORE_AUDIT_H
#define SPRINGLINE_CORE_AUDIT_H

#include "springline/core/history.h"
#include "springline/core/rules.h"

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
    struct audit_override override_rows[AUDIT_OVERRIDES_MAX];
};

/*
 * The row of one case for the month that begins on month; false when the case is not audited. A
 * month that is still running on today is accounted for up to today, its open tail up to yesterday.
 */
bool audit_case(const struct history *history, day month, day today, struct audit_row *row);

struct audit_totals {
    int32_t cases, below, low, unknown, not_seen, meeting, visits, holds, reductions, rests,
        overrides, missed;
};
/* Adds one row to totals. */
void audit_add(struct audit_totals *totals, const struct audit_row *row);

#endif
