/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Wear of the trainer (domain.md 3): days that meet the minimum, periods formed back from today,
 * each judged on one source. Sources are never mixed in one figure; self-report exceeds sensors by
 * 3.8 to 5.0 h a day (published; research), so "told" is always labelled by whoever shows it.
 */
#ifndef SPRINGLINE_CORE_WEAR_H
#define SPRINGLINE_CORE_WEAR_H

#include "springline/core/history.h"

enum wear_class { WEAR_UNKNOWN, WEAR_LOW, WEAR_SHORT, WEAR_FULL };

/*
 * What one source knows of one stretch of days. A count is cut to the days with a trainer within
 * its own span and to those of the stretch, its share kept, the days met rounded down; counts that
 * together know more than the stretch are cut to it in the same way. Exactly these whole days are
 * judged, shown and summed.
 */
struct wear_tally {
    int32_t known, met;
    bool from_counts; /* counts, not day records, are the larger */
};

struct wear_period {
    day from, to;           /* both included; to = today - 1 for the newest */
    int32_t days;           /* days in it with a current trainer (those without are outside) */
    int32_t untrained_days; /* days without a current trainer, named by the audit */
    enum wear_class class;
    enum source source;           /* judged on; SOURCE_NONE when unknown */
    struct wear_tally judged;     /* of that source */
    struct wear_tally sources[4]; /* by enum source */
    bool stricter;                /* class is lower than the days shown alone would give */
    bool thin;                    /* judged, but known < wear_thin x days */
    enum source differs; /* a better source that falls in a lower class; else SOURCE_NONE */
    enum wear_class differs_class;
    struct wear_tally differs_tally; /* of that source */
    bool differs_stricter;           /* differs_class is lower than these days alone would give */
    struct id closed_by;             /* the seen visit at which it ended; none for the open one */
};

enum { WEAR_PERIODS_MAX = 64 };

struct wear_periods {
    struct wear_period period[WEAR_PERIODS_MAX]; /* newest first; period[0] is today's */
    int32_t count;    /* 0: no trainer has ever been issued, or issued today */
    bool cut;         /* older ones than WEAR_PERIODS_MAX exist */
    day first_record; /* the case's first wear record; DAY_NONE: none */
};

/* Which rows count: those dated on or before through, the rows of the visit being entered apart. */
struct reach {
    day through;             /* visits dated later do not exist */
    const struct id *except; /* visit rows of this request do not exist; NULL: all do */
};

/* Periods as of today. Pure; any order of rows gives the same. */
void wear_periods(const struct history *history, const struct protocol *protocol, day today,
                  struct reach reach, struct wear_periods *periods);

/*
 * One stretch [from, to] judged by the same rules (closed_by none). Days half-filled and counts
 * that overlap may lower a class below what met of known alone would give, but never raise it
 * (src/core/wear_judge.c says why); then stricter is set. A stretch without one day that had a
 * trainer has days 0 and is unknown.
 */
void wear_judge(const struct history *history, const struct protocol *protocol, day from, day to,
                struct wear_period *period);

/* True when a trainer is current on date. */
bool wear_trainer_current(const struct history *history, day date);

/* True when the visit shows that the patient was seen (kind other than missed). */
bool visit_seen(const struct visit *visit);

struct wear_hours { /* over all known days of one source, zeros included; day records only */
    int32_t known_days;
    int32_t mean_minutes, median_minutes;
    int32_t longest_gap_days; /* longest run of days that do not meet the minimum */
    int32_t current_run_days; /* days up to the last that meet it in a row */
};

/* Hours of one source over [from, to]. */
void wear_hours(const struct history *history, const struct protocol *protocol, enum source source,
                day from, day to, struct wear_hours *hours);

#endif
