/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Wear as the literature sums it up (domain.md 3): hours and share over a stretch of days (a wear
 * period, a calendar month, the whole course), what a sensor and the family say of the same days,
 * and whether the wear of a case is drifting down. Pure.
 *
 * Minutes are those of the day: the night is a flag, its hours are not recorded. So the means here
 * are below what a study that measured the night as well would give.
 */
#ifndef SPRINGLINE_CORE_WEAR_TREND_H
#define SPRINGLINE_CORE_WEAR_TREND_H

#include "springline/core/wear.h"

/* ---- one stretch of days ---- */

/*
 * Sensor and told over the same days. Self-report exceeds sensors by 3.8 to 5.0 h a day (published:
 * Angle Orthod 2021;91:749, 3.76 h, n 30; a meta-analysis of 11 studies 5.02 h, 95 % 3.64-6.40);
 * these are hours of day and night together.
 */
struct wear_beside {
    int32_t days;                         /* single days that both know */
    int32_t sensor_met, told_met;         /* of them */
    int32_t minute_days;                  /* of them, those whose minutes both have */
    int32_t sensor_minutes, told_minutes; /* means over minute_days, rounded; else 0 */
    int32_t spans; /* counts that were told over days of which the sensor knows wear_known_min */
    struct wear_tally sensor, told; /* over those spans, day by day and as counted; a count is cut
                                       to the days with a trainer, met rounded down. Counts that
                                       overlap are each compared. */
};

struct wear_stretch {
    struct wear_period period;                /* judged as any period; closed_by none */
    struct wear_hours hours[SOURCE_TOLD + 1]; /* by enum source; of the day records alone */
    struct wear_beside beside;                /* days and spans both 0: nothing to compare */
};

/* Everything of [from, to]; days without a current trainer lie outside. A count belongs to the
 * stretch that holds its last day, as in every period (wear.h). */
void wear_stretch_of(const struct history *history, const struct protocol *protocol, day from,
                     day to, struct wear_stretch *stretch);

/*
 * The same of a calendar month, whose ends no visit chose: a count that reaches over one of them is
 * spread evenly over its days with a trainer, and the month is judged on its part, whole days, met
 * rounded down. Where more than WEAR_SPREAD_MOST counts touch the month it is unknown by counts.
 * Only shown, never judged by the rules. beside is of the counts that end in the month, whole.
 */
void wear_month_of(const struct history *history, const struct protocol *protocol, day from, day to,
                   struct wear_stretch *stretch);
/* The class of it alone. */
void wear_month_judge(const struct history *history, const struct protocol *protocol, day from,
                      day to, struct wear_period *period);
enum { WEAR_SPREAD_MOST = 64 };

/* The days of wear, from the start of wear to yesterday; false: there are none yet. */
bool wear_course(const struct history *history, day today, day *from, day *to);

/* The calendar month so many months before yesterday's, cut to the days of wear; false: before the
 * start of wear, or back is negative. */
bool wear_month(const struct history *history, day today, int32_t back, day *from, day *to);

/* ---- drift ---- */

/*
 * Is wear drifting down? The shares (days met of days known) of the newest periods are held against
 * their order by Mann and Kendall's test, one-sided (published: Mann, Econometrica 1945;13:245;
 * Kendall, Biometrika 1938;30:81): how often would a case whose wear does not change show so many
 * falling pairs by chance? The probability is exact, ties included (the number of falling pairs of
 * a multiset in random order: Gaussian multinomial coefficients), so no distribution is assumed of
 * the days within a period. Down: p at most WEAR_DRIFT_LEVEL_PERMILLE, and the fall by Theil and
 * Sen's slope over the periods at least WEAR_DRIFT_FALL_PERMILLE, so that a sure but trifling fall
 * (100 to 96 %) marks nobody.
 *
 * False alarms: at most 5 in 100 looks at a case whose wear does not change and whose periods are
 * independent of each other; that days hang together hardly matters. Where
 * neighbouring periods resemble each other (correlation 0.3) at most 10 in 100. Both are shown by
 * simulation in tests/reference/wear_drift_test.c, which prints what is found as well: a fall from
 * 90 to 50 % is found in about half of the cases over 5 periods, in 6 of 7 over 10. A stricter
 * level would find a fifth and a half. Limits: long swings (holidays, illness: correlation 0.6 and
 * above) raise the false alarms to at most 15 in 100; each month is a new look; a sudden drop reads
 * as drift too; a case that was always low does not drift. The sign is a reason to look, never a
 * finding of the rules.
 *
 * Level, fall and numbers of periods: the practice's setting (S), no source.
 */
enum {
    WEAR_DRIFT_LEAST = 5, /* periods: of four, only a fall at every step would do: chance 1 in 24 */
    WEAR_DRIFT_MOST = 12, /* the newest periods looked at: what was a year ago is no drift of now */
    WEAR_DRIFT_LEVEL_PERMILLE = 50,
    WEAR_DRIFT_FALL_PERMILLE = 100,
    /* False alarms in 100, of cases whose wear does not change: above, by simulation. */
    WEAR_DRIFT_ALARMS = 5,
    WEAR_DRIFT_ALARMS_ALIKE = 10,
    WEAR_DRIFT_ALARMS_SWINGING = 15
};

enum wear_drift_answer {
    WEAR_DRIFT_TOO_FEW, /* of no source enough periods are known, the newest known one included */
    WEAR_DRIFT_NONE,
    WEAR_DRIFT_DOWN
};

struct wear_drift {
    enum wear_drift_answer answer;
    enum source source; /* the best with enough periods; sources are never mixed */
    int32_t periods;    /* in the series; of TOO_FEW: the most that a source has */
    int32_t score;      /* Kendall's S: rising pairs less falling pairs */
    double p;           /* one-sided, exact; 1 for TOO_FEW */
    double slope;       /* Theil and Sen: median change of the share from period to period */
    double first, last; /* shares of the oldest and the newest period of the series */
    day from, to;       /* from the oldest's first to the newest's last day; else DAY_NONE */
};

/* The drift of periods that a visit closed, newest first, as wear_periods gives them. A period
 * counts where the source knows wear_known_min of its days. */
void wear_drift_of(const struct wear_periods *periods, const struct protocol *protocol,
                   struct wear_drift *drift);

/* Is the answer of that WEAR_DRIFT_DOWN? What need not be known for it is not worked out: for lists
 * of many cases. */
bool wear_drift_down(const struct wear_periods *periods, const struct protocol *protocol);

/* wear_drift_of from the periods formed back from the newest seen visit on or before through, so
 * that the days since do not count as a period. */
void wear_drift_until(const struct history *history, const struct protocol *protocol, day through,
                      struct wear_drift *drift);

/*
 * The probability that a random order of these values has at least so many falling pairs. values:
 * how many of each kind are equal, in groups; the groups add up to at most WEAR_DRIFT_MOST. Exposed
 * for the check against published tables.
 */
double wear_drift_chance(const int32_t *groups, size_t group_count, int32_t falling);

#endif
