/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The axes of a picture, whatever it is drawn with: from the least and the greatest value to round
 * ends, round ticks between them, and the place of a value. Whole numbers in whatever unit the
 * caller has (micrometres, thousandths, days); nothing here can be infinite or no number.
 *
 * Ticks are 1, 2 or 5 times a power of ten apart; those of dates a number of days, months or years
 * that begins with a month (common practice, no source).
 */
#ifndef SPRINGLINE_CORE_SCALE_H
#define SPRINGLINE_CORE_SCALE_H

#include <stdbool.h>
#include <stdint.h>

#include "springline/base/date.h"

enum { SCALE_TICKS_MAX = 24 };

/* What must be on an axis. A zeroed struct holds nothing. */
struct scale_range {
    bool any;
    int64_t low, high;
};

/* Widens the range so that value is in it. Values beyond +-10^11 count as that. */
void scale_add(struct scale_range *range, int64_t value);

enum scale_step { SCALE_NUMBERS, SCALE_DAYS, SCALE_MONTHS, SCALE_YEARS };

struct scale {
    int64_t first, last; /* the values at both ends; first < last */
    int64_t ticks[SCALE_TICKS_MAX];
    int count;
    enum scale_step step; /* what the ticks are: how a date is best written beside one */
};

/*
 * An axis of numbers with at most most ticks (3 to SCALE_TICKS_MAX, else the nearer of both), the
 * first and the last of which are its ends. A range narrower than least (at least 1) is widened on
 * both sides, so that one value, or many equal ones, stand in the middle and small differences look
 * small. False, *scale untouched: nothing is in the range.
 */
bool scale_numbers(const struct scale_range *range, int64_t least, int most, struct scale *scale);

/*
 * An axis of dates: its ends are the first and the last date (a single date stands in the middle of
 * two weeks), its ticks lie between them; so few dates may be on it that it has none. False, *scale
 * untouched: nothing is in the range, or a date that is none.
 */
bool scale_dates(const struct scale_range *range, int most, struct scale *scale);

/* The place of a value on an axis that is span long (0 to 10^6): 0 at the first end, span at the
 * last, rounded half up; what lies beyond an end is put there. */
int64_t scale_place(const struct scale *scale, int64_t value, int64_t span);

#endif
