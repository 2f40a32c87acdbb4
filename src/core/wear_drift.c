/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is wear drifting down: the exact test of Mann and Kendall on the shares of the newest periods. */
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>

#include "course_parts.h"
#include "springline/core/wear_trend.h"

enum {
    MILLI = 1000,
    PAIRS_MOST = WEAR_DRIFT_MOST * (WEAR_DRIFT_MOST - 1) / 2,
    SLOPES = PAIRS_MOST
};

/* ---- chance ---- */

/*
 * orders[f] counts the orders with f falling pairs. Adding a group of equal values to the ones
 * before multiplies them by a Gaussian binomial coefficient, the product of (1 - q^(before + i)) /
 * (1 - q^i). Whole numbers below 12! in a double: exact.
 */
static void add_group(double orders[PAIRS_MOST + 1], int32_t before, int32_t size)
{
    for (int32_t i = 1; i <= size; i++) {
        for (int32_t f = PAIRS_MOST; f >= before + i; f--)
            orders[f] -= orders[f - before - i];
        for (int32_t f = i; f <= PAIRS_MOST; f++)
            orders[f] += orders[f - i];
    }
}

double wear_drift_chance(const int32_t *groups, size_t group_count, int32_t falling)
{
    double orders[PAIRS_MOST + 1] = {1}, all = 0, as_many = 0;
    int32_t before = 0;

    for (size_t i = 0; i < group_count; i++) {
        if (groups[i] < 0 || groups[i] > WEAR_DRIFT_MOST - before)
            return 1;
        add_group(orders, before, groups[i]);
        before += groups[i];
    }
    for (int32_t f = 0; f <= PAIRS_MOST; f++) {
        all += orders[f];
        as_many += f >= falling ? orders[f] : 0;
    }
    return as_many / all;
}

/* ---- the series ---- */

struct series { /* oldest first */
    int32_t count;
    struct wear_tally tally[WEAR_DRIFT_MOST];
    day from, to;
    bool newest; /* holds the newest period of which any source knows enough */
};

static bool knows(const struct wear_period *period, const struct protocol *protocol,
                  enum source source)
{
    int64_t known = period->sources[source].known;

    return known > 0 && known * MILLI >= (int64_t)protocol->wear_known_min_permille * period->days;
}

/* The newest period of which any source knows enough; periods: there is none. */
static int32_t newest_known(const struct wear_periods *periods, int32_t count,
                            const struct protocol *protocol)
{
    for (int32_t i = 0; i < count; i++) {
        for (int source = SOURCE_SENSOR; source <= SOURCE_TOLD; source++) {
            if (knows(&periods->period[i], protocol, (enum source)source))
                return i;
        }
    }
    return count;
}

static struct series read_series(const struct wear_periods *periods,
                                 const struct protocol *protocol, enum source source)
{
    int32_t count = periods->count < WEAR_DRIFT_MOST ? periods->count : WEAR_DRIFT_MOST;
    int32_t newest = newest_known(periods, count, protocol);
    struct series series = {.from = DAY_NONE, .to = DAY_NONE};

    for (int32_t i = count - 1; i >= 0; i--) {
        const struct wear_period *period = &periods->period[i];
        if (!knows(period, protocol, source))
            continue;
        series.from = series.count == 0 ? period->from : series.from;
        series.to = period->to;
        series.tally[series.count++] = period->sources[source];
        series.newest = i == newest;
    }
    return series;
}

static double share(const struct wear_tally *tally)
{
    return (double)tally->met / (double)tally->known;
}

/* Below 0: a is the smaller share. Whole numbers, so that equal shares are equal. */
static int64_t compare(const struct wear_tally *a, const struct wear_tally *b)
{
    return (int64_t)a->met * b->known - (int64_t)b->met * a->known;
}

/* Falling and rising pairs. */
static int32_t count_pairs(const struct series *series, int32_t *rising)
{
    int32_t falling = 0;

    *rising = 0;
    for (int32_t i = 0; i < series->count; i++) {
        for (int32_t j = i + 1; j < series->count; j++) {
            int64_t order = compare(&series->tally[j], &series->tally[i]);
            falling += order < 0;
            *rising += order > 0;
        }
    }
    return falling;
}

/* How many of each share there are. */
static size_t group_equals(const struct series *series, int32_t groups[WEAR_DRIFT_MOST])
{
    size_t count = 0;

    for (int32_t i = 0; i < series->count; i++) {
        int32_t equals = 0;
        bool first = true;
        for (int32_t j = 0; j < series->count; j++) {
            bool equal = compare(&series->tally[i], &series->tally[j]) == 0;
            equals += equal;
            first = first && !(equal && j < i);
        }
        if (first)
            groups[count++] = equals;
    }
    return count;
}

/* The median change from period to period over all pairs. */
static double median_slope(const struct series *series)
{
    double slopes[SLOPES];
    size_t count = 0;

    for (int32_t i = 0; i < series->count; i++) {
        for (int32_t j = i + 1; j < series->count; j++)
            slopes[count++] = (share(&series->tally[j]) - share(&series->tally[i])) / (j - i);
    }
    gsl_sort(slopes, 1, count);
    return gsl_stats_median_from_sorted_data(slopes, 1, count);
}

static void judge(const struct series *series, enum source source, struct wear_drift *drift)
{
    int32_t groups[WEAR_DRIFT_MOST], rising, falling = count_pairs(series, &rising);
    size_t group_count = group_equals(series, groups);
    double slope = median_slope(series), fall = -slope * (series->count - 1);

    *drift = (struct wear_drift){.answer = WEAR_DRIFT_NONE,
                                 .source = source,
                                 .periods = series->count,
                                 .score = rising - falling,
                                 .p = wear_drift_chance(groups, group_count, falling),
                                 .slope = slope,
                                 .first = share(&series->tally[0]),
                                 .last = share(&series->tally[series->count - 1]),
                                 .from = series->from,
                                 .to = series->to};
    if (drift->p * MILLI <= WEAR_DRIFT_LEVEL_PERMILLE && fall * MILLI >= WEAR_DRIFT_FALL_PERMILLE)
        drift->answer = WEAR_DRIFT_DOWN;
}

/* The series of the best source with enough periods; SOURCE_NONE: none has, and series->count is
 * the most that one has. */
static enum source choose_series(const struct wear_periods *periods,
                                 const struct protocol *protocol, struct series *series)
{
    int32_t most = 0;

    for (int source = SOURCE_SENSOR; source <= SOURCE_TOLD; source++) {
        *series = read_series(periods, protocol, (enum source)source);
        if (series->newest && series->count >= WEAR_DRIFT_LEAST)
            return (enum source)source;
        most = series->count > most ? series->count : most;
    }
    series->count = most;
    return SOURCE_NONE;
}

void wear_drift_of(const struct wear_periods *periods, const struct protocol *protocol,
                   struct wear_drift *drift)
{
    struct series series;
    enum source source = choose_series(periods, protocol, &series);

    if (source != SOURCE_NONE) {
        judge(&series, source, drift);
        return;
    }
    *drift = (struct wear_drift){.answer = WEAR_DRIFT_TOO_FEW,
                                 .periods = series.count,
                                 .p = 1,
                                 .from = DAY_NONE,
                                 .to = DAY_NONE};
}

/* Where no more pairs fall than rise, half of all orders or more have as many. */
bool wear_drift_down(const struct wear_periods *periods, const struct protocol *protocol)
{
    struct series series;
    struct wear_drift drift;
    enum source source = choose_series(periods, protocol, &series);
    int32_t rising;

    if (source == SOURCE_NONE || count_pairs(&series, &rising) <= rising)
        return false;
    judge(&series, source, &drift);
    return drift.answer == WEAR_DRIFT_DOWN;
}

void wear_drift_until(const struct history *history, const struct protocol *protocol, day through,
                      struct wear_drift *drift)
{
    struct wear_periods periods = {.count = 0};
    day seen = course_last_seen(history, through);

    if (seen != DAY_NONE)
        wear_periods(history, protocol, seen, (struct reach){.through = seen}, &periods);
    wear_drift_of(&periods, protocol, drift);
}
