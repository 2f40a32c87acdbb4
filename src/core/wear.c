/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who wore when: trainers, seen visits, and the periods formed back from today. */
#include "springline/core/wear.h"

#include "wear_private.h"

bool visit_seen(const struct visit *visit)
{
    return visit->kind != VISIT_NONE && visit->kind != VISIT_MISSED;
}

bool visit_reached(const struct visit *visit, const struct reach *reach)
{
    if (visit->date == DAY_NONE || visit->date > reach->through)
        return false;
    return reach->except == NULL || id_is_none(reach->except) ||
           !id_equal(&visit->head.request, reach->except);
}

/* On the day a trainer is lost, broken or laid aside none is current, unless a new one is issued.
 */
static bool trainer_covers(const struct trainer *trainer, day date)
{
    return trainer->issued_on != DAY_NONE && trainer->issued_on <= date &&
           (trainer->ended_on == DAY_NONE || date < trainer->ended_on);
}

bool wear_trainer_current(const struct history *history, day date)
{
    for (size_t i = 0; i < history->trainer_count; i++) {
        if (trainer_covers(&history->trainers[i], date))
            return true;
    }
    return false;
}

/* The later of the first trainer issue and the day the case was opened. */
static day start_of_wear(const struct history *history)
{
    day first = DAY_NONE, opened = history->casefile == NULL ? DAY_NONE : history->casefile->opened;

    for (size_t i = 0; i < history->trainer_count; i++) {
        day issued = history->trainers[i].issued_on;
        if (issued != DAY_NONE && (first == DAY_NONE || issued < first))
            first = issued;
    }
    return first != DAY_NONE && opened > first ? opened : first;
}

/* The newest seen visit dated on or before through, of several rows the one with the lowest id;
 * its date (DAY_NONE: none) and id. */
static day newest_seen(const struct wear_walk *walk, day through, struct id *row)
{
    const struct visit none = {.date = DAY_NONE}, *newest = &none;

    for (size_t i = 0; i < walk->history->visit_count; i++) {
        const struct visit *visit = &walk->history->visits[i];
        if (visit->date < newest->date || visit->date > through || !visit_seen(visit) ||
            !visit_reached(visit, &walk->reach))
            continue;
        if (visit->date > newest->date || id_compare(&visit->head.id, &newest->head.id) < 0)
            newest = visit;
    }
    *row = newest->head.id;
    return newest->date;
}

void wear_walk_start(struct wear_walk *walk, const struct history *history,
                     const struct protocol *protocol, day today, struct reach reach)
{
    walk->history = history;
    walk->protocol = protocol;
    walk->reach = reach;
    walk->start = start_of_wear(history);
    walk->to = today - 1;
    walk->begun_by = (struct id){{0}};
}

/*
 * "Its end" is the period's last day, for the newest (the day before today) as for the older ones
 * (the day before the later one begins): a visit is far enough back when it lies at least
 * wear_period_min_days before that day.
 */
bool wear_walk_next(struct wear_walk *walk, struct wear_period *period)
{
    if (walk->start == DAY_NONE || walk->to < walk->start)
        return false;
    day from = newest_seen(walk, walk->to - walk->protocol->wear_period_min_days, &walk->begun_by);
    if (from < walk->start)
        from = walk->start;
    wear_judge(walk->history, walk->protocol, from, walk->to, period);
    walk->to = from - 1;
    return true;
}

/* A record counts from its first day on, even one that says nothing of the minimum: the earlier
 * records begin, the longer a run of unknown periods can be. */
day wear_first_record(const struct history *history, day today)
{
    day first = DAY_NONE;

    for (size_t i = 0; i < history->wear_day_count; i++) {
        day date = history->wear_days[i].date;
        if (date != DAY_NONE && date <= today && (first == DAY_NONE || date < first))
            first = date;
    }
    for (size_t i = 0; i < history->wear_count_count; i++) {
        const struct wear_count *count = &history->wear_counts[i];
        day date = count->from;
        if (date != DAY_NONE && count->to <= today && (first == DAY_NONE || date < first))
            first = date;
    }
    return first;
}

void wear_periods(const struct history *history, const struct protocol *protocol, day today,
                  struct reach reach, struct wear_periods *periods)
{
    struct wear_walk walk;

    wear_walk_start(&walk, history, protocol, today, reach);
    periods->count = 0;
    periods->first_record = wear_first_record(history, today);
    while (periods->count < WEAR_PERIODS_MAX) {
        struct wear_period *period = &periods->period[periods->count];
        struct id closed_by = walk.begun_by; /* where the later period begins, the older one ends */
        if (!wear_walk_next(&walk, period))
            break;
        period->closed_by = closed_by;
        periods->count++;
    }
    periods->cut = walk.start != DAY_NONE && walk.to >= walk.start;
}
