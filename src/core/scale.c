/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/core/scale.h"

#include <stddef.h>

enum { SPAN_MOST = 1000000, ALONE_DAYS = 7 };
static const int64_t value_most = INT64_C(100000000000);

static int64_t within(int64_t value, int64_t low, int64_t high)
{
    return value < low ? low : value > high ? high : value;
}

void scale_add(struct scale_range *range, int64_t value)
{
    value = within(value, -value_most, value_most);
    if (!range->any || value < range->low)
        range->low = value;
    if (!range->any || value > range->high)
        range->high = value;
    range->any = true;
}

/* Three at least: a range on both sides of zero has its ends and zero, however long the steps. */
static int ticks_wanted(int most)
{
    return (int)within(most, 3, SCALE_TICKS_MAX);
}

/* ---- numbers ---- */

static int64_t floor_to(int64_t value, int64_t step)
{
    int64_t rest = value % step;

    return value - (rest < 0 ? rest + step : rest);
}

static int64_t ceiling_to(int64_t value, int64_t step)
{
    return -floor_to(-value, step);
}

/* 1, 2, 5, 10, 20, 50 ... */
static int64_t next_step(int64_t step)
{
    int64_t digit = step;

    while (digit >= 10)
        digit /= 10;
    return digit == 2 ? step / 2 * 5 : step * 2;
}

bool scale_numbers(const struct scale_range *range, int64_t least, int most, struct scale *scale)
{
    int wanted = ticks_wanted(most);
    int64_t low = range->low, high = range->high, step = 1;

    if (!range->any)
        return false;
    least = within(least, 1, value_most);
    if (high - low < least) {
        int64_t lacking = least - (high - low);
        low -= lacking - lacking / 2;
        high += lacking - lacking / 2;
    }
    while ((ceiling_to(high, step) - floor_to(low, step)) / step + 1 > wanted)
        step = next_step(step);
    scale->first = floor_to(low, step);
    scale->last = ceiling_to(high, step);
    scale->step = SCALE_NUMBERS;
    scale->count = 0;
    for (int64_t tick = scale->first; tick <= scale->last; tick += step)
        scale->ticks[scale->count++] = tick;
    return true;
}

/* ---- dates ---- */

/* How far apart ticks may be: days first, then months, then years. */
static const struct spacing {
    enum scale_step step;
    int length;
} spacings[] = {{SCALE_DAYS, 1},    {SCALE_DAYS, 2},   {SCALE_DAYS, 7},    {SCALE_DAYS, 14},
                {SCALE_MONTHS, 1},  {SCALE_MONTHS, 2}, {SCALE_MONTHS, 3},  {SCALE_MONTHS, 6},
                {SCALE_YEARS, 1},   {SCALE_YEARS, 2},  {SCALE_YEARS, 5},   {SCALE_YEARS, 10},
                {SCALE_YEARS, 20},  {SCALE_YEARS, 50}, {SCALE_YEARS, 100}, {SCALE_YEARS, 200},
                {SCALE_YEARS, 1000}};

static int months_of(const struct spacing *spacing)
{
    return spacing->step == SCALE_YEARS ? 12 * spacing->length : spacing->length;
}

/* The first tick on or after a date: days are counted from a Monday, months from a January, years
 * from the year 0. DAY_NONE: after the last year there is. */
static day first_tick(day date, const struct spacing *spacing)
{
    int year, month, months = months_of(spacing);

    if (spacing->step == SCALE_DAYS) /* 1970-01-05 is a Monday */
        return (day)(ceiling_to((int64_t)date - 4, spacing->length) + 4);
    day start = day_month_start(date, 0);
    if (start < date)
        start = day_month_start(date, 1);
    if (start == DAY_NONE)
        return DAY_NONE;
    day_civil(start, &year, &month, NULL);
    return day_month_start(start, (months - (year * 12 + month - 1) % months) % months);
}

static day tick_after(day tick, const struct spacing *spacing)
{
    return spacing->step == SCALE_DAYS ? tick + spacing->length
                                       : day_month_start(tick, months_of(spacing));
}

/* The ticks from first to last; -1: more than there is room for. */
static int fill_dates(const struct spacing *spacing, int wanted, struct scale *scale)
{
    day tick = first_tick((day)scale->first, spacing), last = (day)scale->last;
    int count = 0;

    for (; tick != DAY_NONE && tick <= last; tick = tick_after(tick, spacing)) {
        if (count == wanted)
            return -1;
        scale->ticks[count++] = tick;
    }
    return count;
}

bool scale_dates(const struct scale_range *range, int most, struct scale *scale)
{
    const day earliest = day_of(1800, 1, 1), latest = day_of(2999, 12, 31);
    int wanted = ticks_wanted(most), count = -1;
    size_t at = 0;

    if (!range->any || range->low < earliest || range->high > latest)
        return false;
    scale->first = range->low;
    scale->last = range->high;
    if (scale->first == scale->last) {
        scale->first = within(range->low - ALONE_DAYS, earliest, latest);
        scale->last = within(range->high + ALONE_DAYS, earliest, latest);
    }
    for (; count < 0 && at < sizeof spacings / sizeof *spacings; at++)
        count = fill_dates(&spacings[at], wanted, scale);
    scale->step = spacings[at - 1].step;
    scale->count = count < 0 ? 0 : count;
    return true;
}

int64_t scale_place(const struct scale *scale, int64_t value, int64_t span)
{
    int64_t length = scale->last - scale->first;

    span = within(span, 0, SPAN_MOST);
    if (length <= 0)
        return 0;
    return ((within(value, scale->first, scale->last) - scale->first) * span * 2 + length) /
           (length * 2);
}
