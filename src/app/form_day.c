/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A day as it is typed: in full, or without the year. */
#include <stdio.h>
#include <string.h>

#include "digits.h"
#include "form_engine.h"

enum { JUST_PAST_DAYS = 30 };

static bool all_digits(const char *typed)
{
    return typed[strspn(typed, "0123456789")] == '\0';
}

/* Two digits at text as a number. */
static int pair(const char *text)
{
    return (text[0] - '0') * 10 + (text[1] - '0');
}

/* "1125", "11-25", "11.25" or "11/25"; false: none of these. */
static bool month_and_day(const char *typed, int *month, int *day_of_month)
{
    size_t length = strlen(typed);
    size_t gap = length == 5 ? 1 : 0;

    if ((length != 4 && length != 5) || strspn(typed, "0123456789") != (gap == 1 ? 2 : 4) ||
        (gap == 1 && strchr("-./", typed[2]) == NULL) || !all_digits(typed + 2 + gap))
        return false;
    *month = pair(typed);
    *day_of_month = pair(typed + 2 + gap);
    return true;
}

/*
 * The year meant: of what is past, the newest such day that is not after today; of what may lie
 * ahead, the next such day, where one of the last month still counts as meant.
 */
static int year_meant(int month, int day_of_month, day today, bool ahead)
{
    int year;

    day_civil(today, &year, NULL, NULL);
    for (int i = 0; i < 3; i++) {
        int candidate = ahead ? year - 1 + i : year + 1 - i;
        day there = day_of(candidate, month, day_of_month);
        if (there != DAY_NONE && (ahead ? there >= today - JUST_PAST_DAYS : there <= today))
            return candidate;
    }
    return year;
}

bool form_day_cell(const char *typed, day today, bool ahead, char cell[DAY_TEXT_SIZE])
{
    int month, day_of_month;
    int32_t days = digits_number(typed);

    if (month_and_day(typed, &month, &day_of_month)) {
        snprintf(cell, DAY_TEXT_SIZE, "%04u-%02u-%02u",
                 (unsigned)year_meant(month, day_of_month, today, ahead) % 10000U,
                 (unsigned)month % 100U, (unsigned)day_of_month % 100U);
        return true;
    }
    if (strlen(typed) == 8 && all_digits(typed)) {
        snprintf(cell, DAY_TEXT_SIZE, "%.4s-%.2s-%.2s", typed, typed + 4, typed + 6);
        return true;
    }
    if (ahead && days > 0) { /* three digits at most: so many days from today */
        day_to_text(today + days, cell);
        return true;
    }
    if (strlen(typed) != 10)
        return false;
    memcpy(cell, typed, 11);
    return true;
}
