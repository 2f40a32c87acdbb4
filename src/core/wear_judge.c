/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One stretch of days, judged on one source, by the whole days that are shown: met of known.
 *
 * By the letter of the definition more missed days, or more minutes asked for, could permit more:
 *
 * - Counts that overlap: the one with the lowest share stands. 9 of 20 days (low: hold) beside 5 of
 *   10 turn into "unknown" (reduce) when one more day of the second is missed, for then it stands,
 *   and knows too little.
 * - Half-filled days: a day whose night is empty is unknown, but missed as soon as more minutes are
 *   asked for than it has, so asking for more makes more days known. 13 days met of 28, the rest
 *   half-filled, are "unknown" (reduce), and 13 of 14 (full) once a higher minimum fails one.
 *
 * So whatever hangs on such records may convict but not acquit. Days that are known in any case are
 * `firm`; a source may be used where all it may know is enough, but judges full, or keeps the next
 * source from being asked, only where what is firm is enough; where day records or counts may be
 * the larger, both are read; where counts overlap among others, the one that stands weighs as the
 * longest or as the shortest of them, whichever brings the adherence lower. The lowest class found
 * is the period's. It is never better than by the letter, and the same where no half-filled days
 * and no counts that overlap bring the two apart; where they do, the period says so (stricter).
 */
#include <string.h>

#include "wear_private.h"

enum { MILLI = 1000 };

enum day_state wear_day_state(const struct wear_day *record, const struct protocol *protocol)
{
    bool filled = record->day_minutes >= 0;
    bool enough = filled && record->day_minutes >= protocol->wear_day_min_minutes;

    if (protocol->wear_night == ANSWER_NO)
        return !filled ? DAY_UNKNOWN : enough ? DAY_MET : DAY_MISSED;
    if (record->night == ANSWER_NO)
        return DAY_MISSED;
    if (record->night == ANSWER_YES)
        return !filled ? DAY_UNKNOWN : enough ? DAY_MET : DAY_MISSED;
    return filled && !enough ? DAY_MISSED_HALF : DAY_UNKNOWN;
}

/* The length of the union of the trainers' courses. */
int32_t wear_trained_days(const struct history *history, day from, day to)
{
    int32_t days = 0;
    day cursor = from;

    while (cursor <= to) {
        day until = DAY_NONE, next = to + 1;
        for (size_t i = 0; i < history->trainer_count; i++) {
            const struct trainer *trainer = &history->trainers[i];
            day ended = trainer->ended_on == DAY_NONE ? to + 1 : trainer->ended_on;
            if (trainer->issued_on == DAY_NONE || ended <= cursor || ended <= trainer->issued_on)
                continue;
            if (trainer->issued_on > cursor)
                next = trainer->issued_on < next ? trainer->issued_on : next;
            else if (ended > until)
                until = ended;
        }
        if (until == DAY_NONE) {
            cursor = next;
        } else {
            until = until > to + 1 ? to + 1 : until;
            days += until - cursor;
            cursor = until;
        }
    }
    return days;
}

struct day_sum {
    int32_t met, missed, missed_half;
};

static void sum_days(const struct history *history, const struct protocol *protocol,
                     const struct wear_period *period, struct day_sum sums[SOURCE_TOLD + 1])
{
    for (size_t i = 0; i < history->wear_day_count; i++) {
        const struct wear_day *record = &history->wear_days[i];
        if (record->date < period->from || record->date > period->to ||
            record->source < SOURCE_SENSOR || record->source > SOURCE_TOLD ||
            (period->untrained_days > 0 && !wear_trainer_current(history, record->date)))
            continue;
        struct day_sum *sum = &sums[record->source];
        enum day_state state = wear_day_state(record, protocol);
        sum->met += state == DAY_MET;
        sum->missed += state == DAY_MISSED;
        sum->missed_half += state == DAY_MISSED_HALF;
    }
}

struct readings {
    struct wear_reading reading[2]; /* by the letter first */
    int count;
};

static struct wear_reading read_days(const struct day_sum *days, const struct protocol *protocol)
{
    int32_t firm = days->met + days->missed, known = firm + days->missed_half;
    int64_t met = (int64_t)days->met * MILLI;

    return (struct wear_reading){.tally = {.known = known, .met = days->met},
                                 .known = known,
                                 .firm = firm,
                                 .over_full = met - (int64_t)protocol->wear_full_permille * known,
                                 .over_low = met - (int64_t)protocol->wear_low_permille * known};
}

/* "The larger of its day records and its counts (a tie: day records)"; both, where either may be.
 */
static void read_source(const struct day_sum *days, const struct wear_reading *by_count,
                        const struct protocol *protocol, struct readings *readings)
{
    const struct wear_reading by_day = read_days(days, protocol);
    bool by_days = by_day.tally.known >= by_count->tally.known;

    readings->count = 1;
    readings->reading[0] = by_days ? by_day : *by_count;
    if (by_days ? by_day.firm < by_count->known : by_day.known >= by_count->firm)
        readings->reading[readings->count++] = by_days ? *by_count : by_day;
}

static enum wear_class class_of(const struct wear_reading *reading)
{
    if (reading->over_full >= 0)
        return WEAR_FULL;
    return reading->over_low >= 0 ? WEAR_SHORT : WEAR_LOW;
}

static bool enough(int64_t known, const struct wear_period *period, const struct protocol *protocol)
{
    return known > 0 && known * MILLI >= (int64_t)protocol->wear_known_min_permille * period->days;
}

/* Takes the readings of one source; true when no worse source may be asked any more. */
static bool take_source(const struct readings *readings, enum source source,
                        const struct protocol *protocol, struct wear_period *period)
{
    bool settled = false;

    for (int i = 0; i < readings->count; i++) {
        const struct wear_reading *reading = &readings->reading[i];
        enum wear_class class = class_of(reading);
        bool firm = enough(reading->firm, period, protocol);
        settled = settled || firm;
        if (!enough(reading->known, period, protocol))
            continue;
        if ((class == WEAR_FULL && !firm) ||
            (period->source != SOURCE_NONE && class >= period->class))
            continue;
        period->class = class;
        period->source = source;
        period->judged = reading->tally;
    }
    return settled;
}

/* What met of known alone say. */
static enum wear_class shown_class(const struct wear_tally *tally, const struct protocol *protocol)
{
    int64_t met = (int64_t)tally->met * MILLI;

    if (met >= (int64_t)protocol->wear_full_permille * tally->known)
        return WEAR_FULL;
    return met >= (int64_t)protocol->wear_low_permille * tally->known ? WEAR_SHORT : WEAR_LOW;
}

/* A better source than the judged one that knows enough days and falls in a lower class. */
static void find_difference(const struct readings readings[SOURCE_TOLD + 1],
                            const struct protocol *protocol, struct wear_period *period)
{
    for (int s = SOURCE_SENSOR; s < (int)period->source; s++) {
        for (int i = 0; i < readings[s].count; i++) {
            const struct wear_reading *reading = &readings[s].reading[i];
            enum wear_class class = class_of(reading);
            if (reading->known < protocol->wear_differs_days || class >= period->class ||
                period->differs != SOURCE_NONE)
                continue;
            period->differs = (enum source)s;
            period->differs_class = class;
            period->differs_tally = reading->tally;
            period->differs_stricter = reading->tally.known < protocol->wear_differs_days ||
                                       shown_class(&reading->tally, protocol) > class;
        }
    }
}

/* Low holds and short counts towards a rest, which unknown does not; all three reduce. */
static int severity(enum wear_class class)
{
    static const int severities[] = {
        [WEAR_LOW] = 3, [WEAR_SHORT] = 2, [WEAR_UNKNOWN] = 1, [WEAR_FULL] = 0};

    return severities[class];
}

/* Would whoever reads the days shown expect a better class? */
static bool stricter_than_shown(const struct protocol *protocol, const struct wear_period *period)
{
    if (period->source != SOURCE_NONE)
        return severity(period->class) > severity(enough(period->judged.known, period, protocol)
                                                      ? shown_class(&period->judged, protocol)
                                                      : WEAR_UNKNOWN);
    for (int s = SOURCE_SENSOR; s <= SOURCE_TOLD; s++) {
        if (enough(period->sources[s].known, period, protocol))
            return true;
    }
    return false;
}

void wear_judge(const struct history *history, const struct protocol *protocol, day from, day to,
                struct wear_period *period)
{
    struct day_sum days[SOURCE_TOLD + 1];
    struct readings readings[SOURCE_TOLD + 1];
    struct wear_reading counts;
    bool settled = false;

    memset(period, 0, sizeof *period);
    memset(days, 0, sizeof days);
    period->from = from;
    period->to = to;
    period->days = wear_trained_days(history, from, to);
    period->untrained_days = to - from + 1 - period->days;
    sum_days(history, protocol, period, days);
    for (int s = SOURCE_SENSOR; s <= SOURCE_TOLD; s++) {
        wear_read_counts(history, protocol, period, (enum source)s, &counts);
        read_source(&days[s], &counts, protocol, &readings[s]);
        period->sources[s] = readings[s].reading[0].tally;
        if (!settled)
            settled = take_source(&readings[s], (enum source)s, protocol, period);
    }
    if (period->source != SOURCE_NONE)
        period->sources[period->source] = period->judged;
    find_difference(readings, protocol, period);
    period->stricter = stricter_than_shown(protocol, period);
    period->thin =
        period->source != SOURCE_NONE && (int64_t)period->judged.known * MILLI <
                                             (int64_t)protocol->wear_thin_permille * period->days;
}
