/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of course share: the expander that counts, the next date, the safety items. */
#ifndef SPRINGLINE_CORE_COURSE_PARTS_H
#define SPRINGLINE_CORE_COURSE_PARTS_H

#include "springline/core/course.h"
#include "springline/core/stability.h"

/* A next date: first and last day, both included. DAY_NONE: none. */
struct course_window {
    day from, to;
};

/* True when date is recorded and lies on or before today. */
static inline bool course_reached(day date, day today)
{
    return date != DAY_NONE && date <= today;
}

/* True when the visit shows the arch or, without an arch named, the case as a whole. */
static inline bool course_shows(const struct visit *visit, enum arch arch)
{
    return visit->arch == arch || visit->arch == ARCH_NONE;
}

/* True when a was recorded after b: by its place in the ledger, then by its id, so that the order
 * in which rows are read settles nothing. */
static inline bool course_recorded_later(const struct row_head *a, const struct row_head *b)
{
    if (a->sequence != b->sequence)
        return a->sequence > b->sequence;
    return id_compare(&a->id, &b->id) > 0;
}

/*
 * The expander that governs an arch on a day; NULL when the arch has none. It is the newest fitted
 * one while that is in place; once it is out, whichever took its last step (separators, bands, fit)
 * latest, so that one being prepared replaces the one that is out.
 */
const struct expander *course_expander(const struct history *history, enum arch arch, day today);

/* An activation is a row with more than 0 mm; one given elsewhere may lack its amounts. */
bool course_activates(const struct visit *visit);

/* First day after retention of an expander that is kept as retention on the day; else DAY_NONE. */
day course_retention_end(const struct history *history, const struct expander *expander, day today);

/* Newest visit of the case, on or before through, at which the patient was seen; DAY_NONE. */
day course_last_seen(const struct history *history, day through);

/* Newest visit of all at which the arch was seen (course_shows); DAY_NONE. */
day course_arch_last_seen(const struct history *history, enum arch arch);

/* The stability checks of an expander that is kept as retention on the day, by visits up to it. */
void course_checks(const struct history *history, const struct expander *expander, day today,
                   struct stability_check checks[STABILITY_CHECKS]);

/* The faults that a row with repaired = yes shows to be repaired: those it names (a fault named
 * without its side: on both), or all when it names none. 0 without repaired = yes. */
uint32_t course_repaired(const struct visit *visit);

/* Judges the arch as of date from history strictly before it and the findings and amounts of the
 * seen rows of that date. False when no expander of the arch was fitted by then. */
bool course_judge_day(const struct history *history, enum arch arch, day date,
                      struct judgement *judgement);

/* The next date of the case on newest, the day of its newest row, and until a newer row is there.
 */
struct course_window course_due(const struct history *history, day newest);

/* The day from which each safety item stands, by all rows; DAY_NONE: it does not. */
void course_safety(const struct history *history, day from[SAFETY_COUNT]);

#endif
