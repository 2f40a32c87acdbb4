/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One stretch of days, judged on one source.
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
 * and no counts that overlap bring the two apart.
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
    struct wear_tally tally;     /* of the counts that stand */
    int64_t known, firm;         /* by the longest and by the shortest of those that overlap */
    int64_t over_full, over_low; /* as in struct reading */
};

/* Counts that say nothing possible know nothing. */
static bool count_belongs(const struct wear_count *count, const struct wear_period *period,
                          enum source source)
{
    return count->source == source && count->to >= period->from && count->to <= period->to &&
           count->from != DAY_NONE && count->from <= count->to && count->days_asked > 0 &&
           count->days_met >= 0 && count->days_met <= count->days_asked;
}

/* The count of the period that begins first after a day; NULL when none does. */
static const struct wear_count *first_after(const struct history *history,
                                            const struct wear_period *period, enum source source,
                                            day after)
{
    const struct wear_count *first = NULL;

    for (size_t i = 0; i < history->wear_count_count; i++) {
        const struct wear_count *count = &history->wear_counts[i];
        if (count->from > after && (first == NULL || count->from < first->from) &&
            count_belongs(count, period, source))
            first = count;
    }
    return first;
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

/* Counts that overlap, one with the next. */
struct count_group {
    const struct wear_count *stands;
    int64_t longest, shortest; /* days asked */
};

/* The group that the count first begins and that ends on the day to. */
static struct count_group group_of(const struct history *history, const struct wear_period *period,
                                   const struct wear_count *first, day to)
{
    struct count_group group = {first, first->days_asked, first->days_asked};

    for (size_t i = 0; i < history->wear_count_count; i++) {
        const struct wear_count *count = &history->wear_counts[i];
        if (count->from < first->from || count->from > to ||
            !count_belongs(count, period, first->source))
            continue;
        if (count->days_asked < group.shortest)
            group.shortest = count->days_asked;
        if (count->days_asked > group.longest)
            group.longest = count->days_asked;
        if (stands_before(count, group.stands))
            group.stands = count;
    }
    return group;
}

/* Thousandths of days by which the group lies over a share, at the weight at which that is least.
 */
static int64_t over_share(const struct count_group *group, int64_t days, int32_t permille)
{
    int64_t asked = group->stands->days_asked;
    int64_t over = (int64_t)group->stands->days_met * MILLI - permille * asked;
    int64_t weight = over < 0 ? group->longest : group->shortest;

    weight = weight < days ? weight : days;
    return over < 0 ? -((-over * weight + asked - 1) / asked) : over * weight / asked;
}

/* A count is cut to the days that the period has left for it, its share kept, rounded down. */
static void add_group(const struct count_group *group, const struct protocol *protocol,
                      int32_t days, struct count_sum *sum)
{
    int32_t met = group->stands->days_met, asked = group->stands->days_asked;
    int32_t left = days - sum->tally.known, known = asked < left ? asked : left;

    sum->tally.known += known;
    sum->tally.met += (int32_t)((int64_t)met * known / asked);
    sum->known += group->longest < days ? group->longest : days;
    sum->firm += group->shortest < days ? group->shortest : days;
    sum->over_full += over_share(group, days, protocol->wear_full_permille);
    sum->over_low += over_share(group, days, protocol->wear_low_permille);
}

static void sum_counts(const struct history *history, const struct protocol *protocol,
                       const struct wear_period *period, enum source source, struct count_sum *sum)
{
    const struct wear_count *first = first_after(history, period, source, DAY_NONE);

    while (first != NULL) {
        day to = group_ends(history, period, source, first->from);
        const struct count_group group = group_of(history, period, first, to);
        add_group(&group, protocol, period->days, sum);
        first = first_after(history, period, source, to);
    }
    sum->known = sum->known < period->days ? sum->known : period->days;
    sum->firm = sum->firm < period->days ? sum->firm : period->days;
    sum->tally.from_counts = true;
}

/* One way to read a source. */
struct reading {
    struct wear_tally tally;
    int64_t known, firm;
    /* thousandths of days met above (0: exactly) what wear_full and wear_low ask for */
    int64_t over_full, over_low;
};

struct readings {
    struct reading reading[2]; /* by the letter first */
    int count;
};

static struct reading read_days(const struct day_sum *days, const struct protocol *protocol)
{
    int32_t firm = days->met + days->missed, known = firm + days->missed_half;
    int64_t met = (int64_t)days->met * MILLI;

    return (struct reading){.tally = {.known = known, .met = days->met},
                            .known = known,
                            .firm = firm,
                            .over_full = met - (int64_t)protocol->wear_full_permille * known,
                            .over_low = met - (int64_t)protocol->wear_low_permille * known};
}

/* "The larger of its day records and its counts (a tie: day records)"; both, where either may be.
 */
static void read_source(const struct day_sum *days, const struct count_sum *counts,
                        const struct protocol *protocol, struct readings *readings)
{
    const struct reading by_day = read_days(days, protocol);
    const struct reading by_count = {.tally = counts->tally,
                                     .known = counts->known,
                                     .firm = counts->firm,
                                     .over_full = counts->over_full,
                                     .over_low = counts->over_low};
    bool by_days = by_day.tally.known >= by_count.tally.known;

    readings->count = 1;
    readings->reading[0] = by_days ? by_day : by_count;
    if (by_days ? by_day.firm < by_count.known : by_day.known >= by_count.firm)
        readings->reading[readings->count++] = by_days ? by_count : by_day;
}

static enum wear_class class_of(const struct reading *reading)
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
        const struct reading *reading = &readings->reading[i];
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

/* A better source than the judged one that knows enough days and falls in a lower class. */
static void find_difference(const struct readings readings[SOURCE_TOLD + 1],
                            const struct protocol *protocol, struct wear_period *period)
{
    for (int s = SOURCE_SENSOR; s < (int)period->source; s++) {
        for (int i = 0; i < readings[s].count; i++) {
            const struct reading *reading = &readings[s].reading[i];
            enum wear_class class = class_of(reading);
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
            sum_counts(history, protocol, period, (enum source)s, &counts);
        read_source(&days[s], &counts, protocol, &readings[s]);
        period->sources[s] = readings[s].reading[0].tally;
        if (!settled)
            settled = take_source(&readings[s], (enum source)s, protocol, period);
    }
    find_difference(readings, protocol, period);
    period->thin =
        period->source != SOURCE_NONE && (int64_t)period->judged.known * MILLI <
                                             (int64_t)protocol->wear_thin_permille * period->days;
}
