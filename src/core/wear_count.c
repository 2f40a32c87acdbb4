/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What counts (days met of days asked) say of one stretch of days. A count is cut to the days with
 * a trainer within its own span, and to the stretch; its share is kept, the days met rounded down.
 * From there on there are only these whole days: they are shown, and they are judged.
 */
#include <string.h>

#include "wear_private.h"

enum { MILLI = 1000 };

/* Whole days met and known. */
struct cut {
    int32_t met, known;
};

/* Counts that say nothing possible, or that asked nobody who had a trainer, know nothing. */
static struct cut cut_count(const struct history *history, const struct wear_period *period,
                            const struct wear_count *count)
{
    struct cut cut = {0, 0};

    if (count->from == DAY_NONE || count->from > count->to || count->days_asked <= 0 ||
        count->days_met < 0 || count->days_met > count->days_asked)
        return cut;
    cut.known = wear_trained_days(history, count->from, count->to);
    cut.known = cut.known < count->days_asked ? cut.known : count->days_asked;
    cut.known = cut.known < period->days ? cut.known : period->days;
    cut.met = (int32_t)((int64_t)count->days_met * cut.known / count->days_asked);
    return cut;
}

/* The period of a count is the one that holds its last day. */
static bool count_belongs(const struct history *history, const struct wear_period *period,
                          enum source source, const struct wear_count *count)
{
    return count->source == source && count->to >= period->from && count->to <= period->to &&
           cut_count(history, period, count).known > 0;
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
            count_belongs(history, period, source, count))
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
                count_belongs(history, period, source, count)) {
                to = count->to;
                grew = true;
            }
        }
    }
    return to;
}

/* The lower share stands; of equal shares the longer count. */
static bool stands_before(struct cut a, struct cut b)
{
    int64_t left = (int64_t)a.met * b.known, right = (int64_t)b.met * a.known;

    return left < right || (left == right && a.known > b.known);
}

/* Counts that overlap, one with the next. */
struct count_group {
    struct cut stands;
    int32_t longest, shortest; /* days known */
};

/* The group that begins on the day from and ends on the day to. */
static struct count_group group_of(const struct history *history, const struct wear_period *period,
                                   enum source source, day from, day to)
{
    struct count_group group = {{0, 0}, 0, 0};

    for (size_t i = 0; i < history->wear_count_count; i++) {
        const struct wear_count *count = &history->wear_counts[i];
        if (count->from < from || count->from > to ||
            !count_belongs(history, period, source, count))
            continue;
        struct cut cut = cut_count(history, period, count);
        if (group.longest == 0 || stands_before(cut, group.stands))
            group.stands = cut;
        if (group.shortest == 0 || cut.known < group.shortest)
            group.shortest = cut.known;
        if (cut.known > group.longest)
            group.longest = cut.known;
    }
    return group;
}

/* A share asked for, as a fraction. */
struct share {
    int64_t part, whole;
};

/*
 * Days met over the share of the group's days, in parts of share.whole, rounded down; weighed as
 * the longest or as the shortest of its counts, whichever makes less of it.
 */
static int64_t over_share(const struct count_group *group, struct share share)
{
    int64_t known = group->stands.known > 0 ? group->stands.known : 1; /* no group has none */
    int64_t over = group->stands.met * share.whole - share.part * known;
    int64_t weight = over < 0 ? group->longest : group->shortest;
    int64_t rest = over % known;

    if (rest < 0)
        rest += known;
    return (over - rest) / known * weight + rest * weight / known;
}

/*
 * Wear meets a share of the known days; where the counts know more days than there are, it is
 * their share of all days, and as only whole days are met, the next whole number of them.
 */
static struct share share_asked(int32_t permille, int32_t days, bool cut)
{
    int64_t part = (int64_t)permille * days;

    if (cut)
        part = (part + MILLI - 1) / MILLI * MILLI;
    return (struct share){part, (int64_t)MILLI * days};
}

struct count_sum {
    int64_t met, known;        /* of the counts that stand */
    int64_t longest, shortest; /* by the longest and the shortest of those that overlap */
    struct share full[2], low[2];
    int64_t over_full[2], over_low[2]; /* where nothing is cut, and where it is */
};

static void add_group(struct count_sum *sum, const struct count_group *group)
{
    sum->met += group->stands.met;
    sum->known += group->stands.known;
    sum->longest += group->longest;
    sum->shortest += group->shortest;
    for (int cut = 0; cut <= 1; cut++) {
        sum->over_full[cut] += over_share(group, sum->full[cut]);
        sum->over_low[cut] += over_share(group, sum->low[cut]);
    }
}

static void begin_sum(const struct protocol *protocol, int32_t days, struct count_sum *sum)
{
    memset(sum, 0, sizeof *sum);
    for (int cut = 0; cut <= 1; cut++) {
        sum->full[cut] = share_asked(protocol->wear_full_permille, days, cut == 1);
        sum->low[cut] = share_asked(protocol->wear_low_permille, days, cut == 1);
    }
}

static void end_sum(const struct count_sum *sum, int32_t days, struct wear_reading *reading)
{
    bool cut = sum->longest > days;

    reading->tally.from_counts = true;
    reading->tally.known = (int32_t)(sum->known < days ? sum->known : days);
    reading->tally.met = (int32_t)(sum->known < days ? sum->met : sum->met * days / sum->known);
    reading->known = cut ? days : (int32_t)sum->longest;
    reading->firm = sum->shortest < days ? (int32_t)sum->shortest : days;
    reading->over_full = sum->over_full[cut];
    reading->over_low = sum->over_low[cut];
}

void wear_read_counts(const struct history *history, const struct protocol *protocol,
                      const struct wear_period *period, enum source source,
                      struct wear_reading *reading)
{
    struct count_sum sum;
    const struct wear_count *first = first_after(history, period, source, DAY_NONE);

    memset(reading, 0, sizeof *reading);
    if (first == NULL)
        return;
    begin_sum(protocol, period->days, &sum);
    while (first != NULL) {
        day to = group_ends(history, period, source, first->from);
        struct count_group group = group_of(history, period, source, first->from, to);
        add_group(&sum, &group);
        first = first_after(history, period, source, to);
    }
    end_sum(&sum, period->days, reading);
}
