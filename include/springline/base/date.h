/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Dates and instants. A day is a number (0 = 1970-01-01, proleptic Gregorian) in memory and
 * YYYY-MM-DD in files; an instant is whole seconds UTC since 1970 and YYYY-MM-DDTHH:MM:SSZ in
 * files (ISO 8601 / RFC 3339). No clock here: today is always an argument.
 */
#ifndef SPRINGLINE_BASE_DATE_H
#define SPRINGLINE_BASE_DATE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef int32_t day;
typedef int64_t instant;

#define DAY_NONE     INT32_MIN /* not recorded */
#define INSTANT_NONE INT64_MIN /* not recorded */

enum { DAY_TEXT_SIZE = 11, INSTANT_TEXT_SIZE = 21, MONTH_TEXT_SIZE = 8, SECONDS_OF_DAY = 86400 };

/* The day of a civil date; DAY_NONE when there is no such date (30 February, month 13,
 * year < 1800 or > 2999). */
day day_of(int year, int month, int day_of_month);
/* The civil date of a day that is recorded; any pointer may be NULL. */
void day_civil(day date, int *year, int *month, int *day_of_month);
/* Exactly YYYY-MM-DD of a date that exists: true and *date; else false, *date untouched. */
bool day_from_text(const char *text, day *date);
/* Writes YYYY-MM-DD, or "" for DAY_NONE and outside the years 1800-2999. Returns buffer. */
char *day_to_text(day date, char buffer[DAY_TEXT_SIZE]);
/* First day of the month of date, and first day of the month months later (negative: earlier);
 * DAY_NONE for DAY_NONE and outside the years 1800-2999. */
day day_month_start(day date, int months);
/* The same day of the month months later, or that month's last day where it is shorter;
 * DAY_NONE as above. */
day day_add_months(day date, int months);
/* YYYY-MM: true and the first day of that month. */
bool month_from_text(const char *text, day *first);
/* Writes YYYY-MM of date. Returns buffer. */
char *month_to_text(day date, char buffer[MONTH_TEXT_SIZE]);
/* Whole years from born to on (birthday counts on the day; 29 February on 1 March);
 * -1 when one of them is not recorded or on lies before born. */
int day_age_years(day born, day on);
/* 0 Sunday ... 6 Saturday; -1 for DAY_NONE. */
int day_weekday(day date);
/* "Sunday" ... "Saturday"; "" for DAY_NONE. A constant, not owned. */
const char *day_weekday_name(day date);

/* Exactly YYYY-MM-DDTHH:MM:SSZ: true and *at; else false. Seconds 00-59 only. */
bool instant_from_text(const char *text, instant *at);
/* Writes YYYY-MM-DDTHH:MM:SSZ, or "" for INSTANT_NONE and outside 1800-2999. Returns buffer. */
char *instant_to_text(instant at, char buffer[INSTANT_TEXT_SIZE]);
/* The day (UTC) an instant falls on; DAY_NONE for INSTANT_NONE. */
day instant_day(instant at);
/* HH:MM, 00:00-23:59: true and minutes since midnight; else false. */
bool clock_from_text(const char *text, int32_t *minutes);
/* Writes HH:MM, or "" for a value below 0 or above 23:59. Returns buffer. */
char *clock_to_text(int32_t minutes, char buffer[6]);

#endif
