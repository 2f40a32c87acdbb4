/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One stretch of days, judged on one source.
 *
 * Two readings go beyond the letter of the definition, because by the letter more missed days, or
 * more minutes asked for, could permit more. Neither ever judges better where the letter judges low
 * or short.
 *
 * 1. Counts that overlap. The one with the lowest share stands, but the days known are those of the
 *    longest of them. By the letter 9 of 20 days (low: hold) beside 5 of 10 turns into "unknown"
 *    (reduce) when one more day of the second is missed and it becomes the one that stands.
 *
 * 2. Half-filled days. A day whose night is empty is unknown, but missed as soon as more minutes
 *    are asked for than it has: asking for more makes more days known. Such days may convict but
 *    not acquit: known only through them, a source is used where it judges short or low, never
 *    where it judges full, and never to set aside a worse answer of the next source or of the
 *    counts. By the letter 13 days met of 28, the rest half-filled, is "unknown" (reduce), and 13
 *    of 14 (full) once one half-filled day fails a higher minimum.
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

/* Days of [from, to] with a current trainer, whichever: the length of the union of their courses.
 */
static int32_t trained_days(const struct history *history, day from, day to)
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

struct count_sum {
    struct wear_tally tally; /* of the counts that stand */
    int64_t known;           /* days the counts cover, by the longest of those that overlap */
    int64_t met_milli;       /* thousandths of those days that meet the minimum */
};

/* Counts that say nothing possible know nothing. */
static bool count_belongs(const struct wear_count *count, const struct wear_period *period,
                          enum source source)
{
    return count->source == source && count->to >= period->from && count->to <= period->to &&
           count->from != DAY_NONE && count->from <= count->to && count->days_asked > 0 &&
           count->days_met >= 0 && count->days_met <= count->days_asked;
}

/* The first day after `after` on which a count of the period begins; false when none does. */
static bool group_begins(const struct history *history, const struct wear_period *period,
                         enum source source, day after, day *from)
{
    bool found = false;

    for (size_t i = 0; i < history->wear_count_count; i++) {
        const struct wear_count *count = &history->wear_counts[i];
        if (count->from > after && (!found || count->from < *from) &&
            count_belongs(count, period, source)) {
            *from = count->from;
            found = true;
        }
    }
    return found;
}

/* The last day of the counts that overlap, one with the next, from the day from on. */
static day group_ends(const struct history *history, const struct wear_period *period,
                      enum source source, day from)
{
    day to = from;

    for (bool grew = true; grew;) {
        grew = false;
        for (size_t i = 0; i < history->wear_count_count; i++) {
            const struct wear_count *count = &history->wear_counts[i];
            if (count->from >= from && count->from <= to && count->to > to &&
                count_belongs(count, period, source)) {
                to = count->to;
                grew = true;
            }
        }
    }
    return to;
}

/* The lower share stands; of equal shares the longer count. */
static bool stands_before(const struct wear_count *a, const struct wear_count *b)
{
    int64_t left = (int64_t)a->days_met * b->days_asked;
    int64_t right = (int64_t)b->days_met * a->days_asked;

    return left < right || (left == right && a->days_asked > b->days_asked);
}

/* Adds the counts that overlap between from and to: one stands. A count longer than the period is
 * cut to it with its share kept, rounded down. */
static void add_group(const struct history *history, const struct wear_period *period,
                      enum source source, day from, day to, struct count_sum *sum)
{
    const struct wear_count *stands = NULL;
    int64_t longest = 0;

    for (size_t i = 0; i < history->wear_count_count; i++) {
        const struct wear_count *count = &history->wear_counts[i];
        if (count->from < from || count->from > to || !count_belongs(count, period, source))
            continue;
        if (stands == NULL || stands_before(count, stands))
            stands = count;
        if (count->days_asked > longest)
            longest = count->days_asked;
    }
    if (stands == NULL)
        return;
    int64_t met = stands->days_met, asked = stands->days_asked;
    int64_t known = longest < period->days ? longest : period->days;
    int32_t cut = stands->days_asked < period->days ? stands->days_asked : period->days;
    sum->known += known;
    sum->met_milli += met * known * MILLI / asked;
    sum->tally.known += cut;
    sum->tally.met += (int32_t)(met * cut / asked);
}

static void sum_counts(const struct history *history, const struct wear_period *period,
                       enum source source, struct count_sum *sum)
{
    day from = DAY_NONE, to = DAY_NONE;

    while (group_begins(history, period, source, to, &from)) {
        to = group_ends(history, period, source, from);
        add_group(history, period, source, from, to, sum);
    }
    if (sum->known > period->days) {
        sum->met_milli = sum->met_milli * period->days / sum->known;
        sum->known = period->days;
    }
    if (sum->tally.known > period->days) {
        sum->tally.met = (int32_t)((int64_t)sum->tally.met * period->days / sum->tally.known);
        sum->tally.known = period->days;
    }
    sum->tally.from_counts = true;
}

/* One way to read a source. */
struct reading {
    struct wear_tally tally;
    int64_t known, met_milli;
    int64_t firm; /* days known whatever the minutes asked for */
};

struct readings {
    struct reading reading[2]; /* the larger first; the other only where half-filled days decide */
    int count;
};

static void read_source(const struct day_sum *days, const struct count_sum *counts,
                        struct readings *readings)
{
    int32_t firm = days->met + days->missed, known = firm + days->missed_half;
    struct reading by_day = {{known, days->met, false}, known, (int64_t)days->met * MILLI, firm};
    struct reading by_count = {counts->tally, counts->known, counts->met_milli, counts->known};

    readings->count = 1;
    readings->reading[0] = known >= counts->known ? by_day : by_count;
    if (known >= counts->known && firm < counts->known)
        readings->reading[readings->count++] = by_count;
}

static enum wear_class class_of(const struct reading *reading, const struct protocol *protocol)
{
    if (reading->met_milli >= protocol->wear_full_permille * reading->known)
        return WEAR_FULL;
    return reading->met_milli >= protocol->wear_low_permille * reading->known ? WEAR_SHORT
                                                                              : WEAR_LOW;
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
        const struct reading *reading = &readings->reading[i];
        if (!enough(reading->known, period, protocol))
            continue;
        enum wear_class class = class_of(reading, protocol);
        bool firm = enough(reading->firm, period, protocol);
        settled = settled || firm;
        if ((class == WEAR_FULL && !firm) ||
            (period->source != SOURCE_NONE && class >= period->class))
            continue;
        period->class = class;
        period->source = source;
        period->judged = reading->tally;
    }
    return settled;
}

/* A better source than the judged one that knows enough days and falls in a lower class. */
static void find_difference(const struct readings readings[SOURCE_TOLD + 1],
                            const struct protocol *protocol, struct wear_period *period)
{
    for (int s = SOURCE_SENSOR; s < (int)period->source; s++) {
        for (int i = 0; i < readings[s].count; i++) {
            const struct reading *reading = &readings[s].reading[i];
            enum wear_class class = class_of(reading, protocol);
            if (reading->known < protocol->wear_differs_days || class >= period->class ||
                period->differs != SOURCE_NONE)
                continue;
            period->differs = (enum source)s;
            period->differs_class = class;
        }
    }
}

void wear_judge(const struct history *history, const struct protocol *protocol, day from, day to,
                struct wear_period *period)
{
    struct day_sum days[SOURCE_TOLD + 1];
    struct readings readings[SOURCE_TOLD + 1];
    bool settled = false;

    memset(period, 0, sizeof *period);
    memset(days, 0, sizeof days);
    period->from = from;
    period->to = to;
    period->days = trained_days(history, from, to);
    period->untrained_days = to - from + 1 - period->days;
    sum_days(history, protocol, period, days);
    for (int s = SOURCE_SENSOR; s <= SOURCE_TOLD; s++) {
        struct count_sum counts = {0};
        if (history->wear_count_count > 0)
            sum_counts(history, period, (enum source)s, &counts);
        read_source(&days[s], &counts, &readings[s]);
        period->sources[s] = readings[s].reading[0].tally;
        if (!settled)
            settled = take_source(&readings[s], (enum source)s, protocol, period);
    }
    find_difference(readings, protocol, period);
    period->thin =
        period->source != SOURCE_NONE && (int64_t)period->judged.known * MILLI <
                                             (int64_t)protocol->wear_thin_permille * period->days;
}
