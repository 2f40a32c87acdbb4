/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Hours and shares of a stretch of days, and what sensor and family say of the same days. */
#include "springline/core/wear_trend.h"

#include "wear_private.h"

enum { MILLI = 1000 };

/* ---- stretches ---- */

static bool is_possible(const struct wear_count *count)
{
    return count->from != DAY_NONE && count->from <= count->to && count->days_asked > 0 &&
           count->days_met >= 0 && count->days_met <= count->days_asked;
}

bool wear_course(const struct history *history, day today, day *from, day *to)
{
    struct wear_walk walk;

    wear_walk_start(&walk, history, history->protocol, today, (struct reach){.through = today});
    if (walk.start == DAY_NONE || walk.start > walk.to)
        return false;
    *from = walk.start;
    *to = walk.to;
    return true;
}

bool wear_month(const struct history *history, day today, int32_t back, day *from, day *to)
{
    day first, last;

    if (back < 0 || !wear_course(history, today, &first, &last))
        return false;
    day begins = day_month_start(last, -back), ends = day_month_start(last, 1 - back) - 1;
    if (ends < first)
        return false;
    *from = begins > first ? begins : first;
    *to = ends < last ? ends : last;
    return true;
}

/* The part of a count that lies within [from, to], spread evenly; false: no whole day of it. */
static bool cut_count(const struct history *history, const struct wear_count *count, day from,
                      day to, struct wear_count *part)
{
    if (!is_possible(count) || count->to < from || count->from > to)
        return false;
    *part = *count;
    part->from = count->from > from ? count->from : from;
    part->to = count->to < to ? count->to : to;
    int64_t all = wear_trained_days(history, count->from, count->to);
    int64_t here = wear_trained_days(history, part->from, part->to);
    if (here == all)
        return all > 0;
    part->days_asked = (int32_t)((count->days_asked * here + all / 2) / all);
    if (part->days_asked == 0)
        return false;
    part->days_met = (int32_t)((int64_t)count->days_met * part->days_asked / count->days_asked);
    return true;
}

/* history with the counts of the month alone, in parts. */
static void spread_counts(const struct history *history, day from, day to,
                          struct wear_count parts[WEAR_SPREAD_MOST], struct history *spread)
{
    *spread = *history;
    spread->wear_counts = parts;
    spread->wear_count_count = 0;
    for (size_t i = 0; i < history->wear_count_count; i++) {
        struct wear_count part;
        if (!cut_count(history, &history->wear_counts[i], from, to, &part))
            continue;
        if (spread->wear_count_count == WEAR_SPREAD_MOST) {
            spread->wear_count_count = 0;
            return;
        }
        parts[spread->wear_count_count++] = part;
    }
}

/* ---- side by side ---- */

struct minutes { /* sums, for means */
    int64_t sensor, told;
};

static void add_day(struct wear_beside *beside, struct minutes *minutes,
                    const struct wear_day *sensor, const struct wear_day *told,
                    const struct protocol *protocol)
{
    enum day_state by_sensor = wear_day_state(sensor, protocol);
    enum day_state by_told = wear_day_state(told, protocol);

    if (by_sensor == DAY_UNKNOWN || by_told == DAY_UNKNOWN)
        return;
    beside->days++;
    beside->sensor_met += by_sensor == DAY_MET;
    beside->told_met += by_told == DAY_MET;
    if (sensor->day_minutes < 0 || told->day_minutes < 0)
        return;
    beside->minute_days++;
    minutes->sensor += sensor->day_minutes;
    minutes->told += told->day_minutes;
}

/* The record of a source on a day; NULL: none. There is one at most: the day is part of its key. */
static const struct wear_day *record_on(const struct history *history, enum source source, day date)
{
    for (size_t i = 0; i < history->wear_day_count; i++) {
        if (history->wear_days[i].date == date && history->wear_days[i].source == source)
            return &history->wear_days[i];
    }
    return NULL;
}

static int32_t mean(int64_t sum, int32_t count)
{
    return count == 0 ? 0 : (int32_t)((sum + count / 2) / count);
}

static void compare_days(const struct history *history, const struct protocol *protocol, day from,
                         day to, struct wear_beside *beside)
{
    struct minutes minutes = {0, 0};

    for (size_t i = 0; i < history->wear_day_count; i++) {
        const struct wear_day *told = &history->wear_days[i];
        if (told->source != SOURCE_TOLD || told->date < from || told->date > to ||
            !wear_trainer_current(history, told->date))
            continue;
        const struct wear_day *sensor = record_on(history, SOURCE_SENSOR, told->date);
        if (sensor != NULL)
            add_day(beside, &minutes, sensor, told, protocol);
    }
    beside->sensor_minutes = mean(minutes.sensor, beside->minute_days);
    beside->told_minutes = mean(minutes.told, beside->minute_days);
}

/* What the sensor knows of the days of a count, day by day. */
static struct wear_tally sensor_over(const struct history *history, const struct protocol *protocol,
                                     day from, day to)
{
    struct wear_tally tally = {0};

    for (size_t i = 0; i < history->wear_day_count; i++) {
        const struct wear_day *record = &history->wear_days[i];
        if (record->source != SOURCE_SENSOR || record->date < from || record->date > to ||
            !wear_trainer_current(history, record->date))
            continue;
        enum day_state state = wear_day_state(record, protocol);
        tally.known += state != DAY_UNKNOWN;
        tally.met += state == DAY_MET;
    }
    return tally;
}

static void compare_count(const struct history *history, const struct protocol *protocol,
                          const struct wear_count *count, struct wear_beside *beside)
{
    int32_t trained = wear_trained_days(history, count->from, count->to);
    struct wear_tally sensor = sensor_over(history, protocol, count->from, count->to);
    int32_t asked = count->days_asked < trained ? count->days_asked : trained;

    if (sensor.known == 0 || asked <= 0 ||
        (int64_t)sensor.known * MILLI < (int64_t)protocol->wear_known_min_permille * trained)
        return;
    beside->spans++;
    beside->sensor.known += sensor.known;
    beside->sensor.met += sensor.met;
    beside->told.known += asked;
    beside->told.met += (int32_t)((int64_t)count->days_met * asked / count->days_asked);
    beside->told.from_counts = true;
}

static void compare_counts(const struct history *history, const struct protocol *protocol, day from,
                           day to, struct wear_beside *beside)
{
    for (size_t i = 0; i < history->wear_count_count; i++) {
        const struct wear_count *count = &history->wear_counts[i];
        if (is_possible(count) && count->source == SOURCE_TOLD && count->to >= from &&
            count->to <= to)
            compare_count(history, protocol, count, beside);
    }
}

/* What does not hang on how a count is cut. */
static void fill_rest(const struct history *history, const struct protocol *protocol, day from,
                      day to, struct wear_stretch *stretch)
{
    for (int source = SOURCE_SENSOR; source <= SOURCE_TOLD; source++)
        wear_hours(history, protocol, (enum source)source, from, to, &stretch->hours[source]);
    compare_days(history, protocol, from, to, &stretch->beside);
    compare_counts(history, protocol, from, to, &stretch->beside);
}

void wear_stretch_of(const struct history *history, const struct protocol *protocol, day from,
                     day to, struct wear_stretch *stretch)
{
    *stretch = (struct wear_stretch){.beside = {0}};
    wear_judge(history, protocol, from, to, &stretch->period);
    fill_rest(history, protocol, from, to, stretch);
}

void wear_month_judge(const struct history *history, const struct protocol *protocol, day from,
                      day to, struct wear_period *period)
{
    struct wear_count parts[WEAR_SPREAD_MOST];
    struct history spread;

    spread_counts(history, from, to, parts, &spread);
    wear_judge(&spread, protocol, from, to, period);
}

void wear_month_of(const struct history *history, const struct protocol *protocol, day from, day to,
                   struct wear_stretch *stretch)
{
    *stretch = (struct wear_stretch){.beside = {0}};
    wear_month_judge(history, protocol, from, to, &stretch->period);
    fill_rest(history, protocol, from, to, stretch);
}
