/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Wear, shared between the wear files and the rules: nothing outside src/core includes this. */
#ifndef SPRINGLINE_CORE_WEAR_PRIVATE_H
#define SPRINGLINE_CORE_WEAR_PRIVATE_H

#include "springline/core/wear.h"

/* What a day record says of the minimum. */
enum day_state {
    DAY_UNKNOWN,
    DAY_MET,
    DAY_MISSED,     /* whatever the minutes asked for: the night failed, or both parts are filled */
    DAY_MISSED_HALF /* the minutes fail and the night is empty: unknown, were fewer asked for */
};

/* One day record against the minimum of the protocol. */
enum day_state wear_day_state(const struct wear_day *record, const struct protocol *protocol);

/* Days of [from, to] with a current trainer, whichever. */
int32_t wear_trained_days(const struct history *history, day from, day to);

/* One way to read a source: its day records, or its counts. */
struct wear_reading {
    struct wear_tally tally; /* by the letter: what is shown */
    int32_t known, firm;     /* the most and the fewest days that it may know */
    /* days met above what wear_full and wear_low ask for, at their fewest; 0: exactly; the unit is
     * the reading's own */
    int64_t over_full, over_low;
};

/* The counts of one source that belong to the period (from, to and days are read); all 0: none. */
void wear_read_counts(const struct history *history, const struct protocol *protocol,
                      const struct wear_period *period, enum source source,
                      struct wear_reading *reading);

/* True when the visit row exists for a question of this reach. */
bool visit_reached(const struct visit *visit, const struct reach *reach);

/* Periods one by one, newest first, so that the rules judge no more of them than they need. */
struct wear_walk {
    const struct history *history;
    const struct protocol *protocol;
    struct reach reach;
    day start; /* of wear; DAY_NONE: no trainer was ever issued */
    day to;    /* last day of the next period */
    struct id
        begun_by; /* the seen visit at which the last period begins; none: the start of wear */
};

void wear_walk_start(struct wear_walk *walk, const struct history *history,
                     const struct protocol *protocol, day today, struct reach reach);

/* Forms and judges the next older period (closed_by none); false when there is no more. */
bool wear_walk_next(struct wear_walk *walk, struct wear_period *period);

/* Day of the case's first wear record dated on or before today; DAY_NONE: none. */
day wear_first_record(const struct history *history, day today);

#endif
