/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The wear of a month: the periods its seen visits closed, and the open tail. */
#include <string.h>

#include "audit_parts.h"
#include "course_parts.h"
#include "wear_private.h"

day audit_wear_start(const struct history *history, day last)
{
    day opened = history->casefile->opened, first = DAY_NONE;

    for (size_t i = 0; i < history->trainer_count; i++) {
        day issued = history->trainers[i].issued_on;
        if (course_reached(issued, last) && (first == DAY_NONE || issued < first))
            first = issued;
    }
    return first != DAY_NONE && opened > first ? opened : first;
}

/* Adds the periods that end at a visit (the day after the period) within the month. */
static void add_closed(struct audit_behind *behind)
{
    const struct wear_periods *periods = &behind->periods;

    while (behind->closed < periods->count &&
           periods->period[behind->closed].to + 1 >= behind->first) {
        const struct wear_period *period = &periods->period[behind->closed++];
        behind->days += period->days;
        for (int source = SOURCE_SENSOR; source <= SOURCE_TOLD; source++) {
            behind->sums[source].known += period->sources[source].known;
            behind->sums[source].met += period->sources[source].met;
        }
    }
}

/* As wear-run counts them: a period that ends before the case's first wear record ends the run. */
static int32_t run_of_short(const struct wear_periods *periods)
{
    int32_t run = 0;

    while (run < periods->count) {
        const struct wear_period *period = &periods->period[run];
        if (period->class == WEAR_FULL ||
            (periods->first_record != DAY_NONE && period->to < periods->first_record))
            break;
        run++;
    }
    return run;
}

/*
 * Periods are formed back from the newest seen visit on or before the month's end, so that the one
 * this visit closed stands whole and does not flow into the open tail.
 */
static void form_periods(const struct history *history, day first, day last,
                         struct audit_behind *behind)
{
    behind->first = first;
    behind->last = last;
    behind->seen = course_last_seen(history, last);
    behind->periods.count = 0;
    behind->closed = behind->run = behind->days = 0;
    memset(behind->sums, 0, sizeof behind->sums);
    if (behind->seen == DAY_NONE)
        return;
    struct reach reach = {.through = behind->seen, .except = NULL};
    wear_periods(history, history->protocol, behind->seen, reach, &behind->periods);
    behind->run = run_of_short(&behind->periods);
    if (behind->seen >= first)
        add_closed(behind);
}

/* The best source that knows enough of the summed days. */
static void choose_source(const struct audit_behind *behind, int32_t known_min_permille,
                          struct audit_wear *wear)
{
    wear->days = behind->days;
    for (int i = SOURCE_SENSOR; i <= SOURCE_TOLD; i++) {
        const struct wear_tally *tally = &behind->sums[i];
        if (tally->known > wear->most_known)
            wear->most_known = tally->known;
        if (wear->source == SOURCE_NONE && tally->known > 0 &&
            (int64_t)tally->known * 1000 >= (int64_t)known_min_permille * behind->days) {
            wear->source = (enum source)i;
            wear->known = tally->known;
            wear->met = tally->met;
        }
    }
}

void audit_wear_of(const struct history *history, day first, day last, struct audit_behind *behind,
                   struct audit_wear *wear)
{
    form_periods(history, first, last, behind);
    *wear = (struct audit_wear){0};
    wear->short_run = behind->run;
    wear->seen = behind->seen != DAY_NONE && behind->seen >= first;
    if (!wear->seen)
        return;
    for (int32_t i = 0; i < behind->closed; i++)
        wear->stricter = wear->stricter || behind->periods.period[i].stricter;
    choose_source(behind, history->protocol->wear_known_min_permille, wear);
}

static int32_t untrained_days(const struct history *history, day from, day last)
{
    int32_t days = 0;

    for (day date = from; date <= last; date++) {
        if (!wear_trainer_current(history, date))
            days++;
    }
    return days;
}

void audit_judge_tail(const struct history *history, day last, day to, struct wear_period *tail)
{
    day start = audit_wear_start(history, last), seen = course_last_seen(history, last);

    wear_judge(history, history->protocol, seen > start ? seen : start, to, tail);
}

void audit_tail(const struct history *history, day first, day last, day to, struct audit_row *row)
{
    day start = audit_wear_start(history, last);
    struct wear_period tail;

    audit_judge_tail(history, last, to, &tail);
    enum source source = row->source != SOURCE_NONE ? row->source : tail.source;
    row->open_days = tail.days;
    if (source != SOURCE_NONE) {
        row->open_known = tail.sources[source].known;
        row->open_met = tail.sources[source].met;
    }
    row->untrained_days = untrained_days(history, start > first ? start : first, to);
}

bool audit_behind_row(const struct history *history, day month, day today,
                      struct audit_behind *behind)
{
    struct audit_month span;

    if (!audit_month_of(history, month, today, &span))
        return false;
    form_periods(history, month, span.last, behind);
    behind->start = span.start;
    audit_judge_tail(history, span.last, span.tail_to, &behind->tail);
    return true;
}

enum audit_day audit_day_of(const struct wear_day *record, const struct protocol *protocol)
{
    switch (wear_day_state(record, protocol)) {
    case DAY_MET:
        return AUDIT_DAY_MET;
    case DAY_MISSED:
    case DAY_MISSED_HALF:
        return AUDIT_DAY_MISSED;
    case DAY_UNKNOWN:
    default:
        return AUDIT_DAY_UNKNOWN;
    }
}
