/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The wear of a month: the periods its seen visits closed, and the open tail. */
#include "audit_parts.h"
#include "course_parts.h"
#include "springline/core/wear.h"

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

struct source_sums {
    int32_t days;
    struct wear_tally sources[SOURCE_TOLD + 1];
};

/* Adds the periods that end at a visit (the day after the period) within the month. */
static void add_closed(const struct wear_periods *periods, day first, struct source_sums *sums)
{
    for (int32_t i = 0; i < periods->count && periods->period[i].to + 1 >= first; i++) {
        const struct wear_period *period = &periods->period[i];
        sums->days += period->days;
        for (int source = SOURCE_SENSOR; source <= SOURCE_TOLD; source++) {
            sums->sources[source].known += period->sources[source].known;
            sums->sources[source].met += period->sources[source].met;
        }
    }
}

/* The best source that knows enough of the summed days. */
static void choose_source(const struct source_sums *sums, int32_t known_min_permille,
                          struct audit_wear *wear)
{
    wear->days = sums->days;
    for (int i = SOURCE_SENSOR; i <= SOURCE_TOLD; i++) {
        const struct wear_tally *tally = &sums->sources[i];
        if (tally->known > wear->most_known)
            wear->most_known = tally->known;
        if (wear->source == SOURCE_NONE && tally->known > 0 &&
            (int64_t)tally->known * 1000 >= (int64_t)known_min_permille * sums->days) {
            wear->source = (enum source)i;
            wear->known = tally->known;
            wear->met = tally->met;
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
void audit_wear_of(const struct history *history, day first, day last, struct audit_wear *wear)
{
    struct source_sums sums = {0};
    struct wear_periods periods;
    day seen = course_last_seen(history, last);

    *wear = (struct audit_wear){0};
    if (seen == DAY_NONE)
        return;
    struct reach reach = {.through = seen, .except = NULL};
    wear_periods(history, history->protocol, seen, reach, &periods);
    wear->short_run = run_of_short(&periods);
    wear->seen = seen >= first;
    if (!wear->seen)
        return;
    add_closed(&periods, first, &sums);
    choose_source(&sums, history->protocol->wear_known_min_permille, wear);
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

void audit_tail(const struct history *history, day first, day last, day to, struct audit_row *row)
{
    day start = audit_wear_start(history, last), seen = course_last_seen(history, last);
    day from = seen > start ? seen : start;
    struct wear_period tail;

    wear_judge(history, history->protocol, from, to, &tail);
    enum source source = row->source != SOURCE_NONE ? row->source : tail.source;
    row->open_days = tail.days;
    if (source != SOURCE_NONE) {
        row->open_known = tail.sources[source].known;
        row->open_met = tail.sources[source].met;
    }
    row->untrained_days = untrained_days(history, start > first ? start : first, to);
}
