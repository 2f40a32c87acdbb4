/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/base/date.h"

enum { FIRST_YEAR = 1800, LAST_YEAR = 2999, MINUTES_OF_DAY = 24 * 60 };

/* a / b rounded towards minus infinity, b > 0. */
static int64_t floor_divide(int64_t a, int64_t b)
{
    return a / b - (a % b < 0 ? 1 : 0);
}

static bool is_leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

static int month_length(int year, int month)
{
    static const int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

    return month == 2 && is_leap(year) ? 29 : lengths[month - 1];
}

day day_of(int year, int month, int day_of_month)
{
    int64_t years, leaps;

    if (year < FIRST_YEAR || year > LAST_YEAR || month < 1 || month > 12 || day_of_month < 1 ||
        day_of_month > month_length(year, month))
        return DAY_NONE;
    /* Count from 1 March of year 0: the leap day is then the last day of a year. */
    years = month > 2 ? year : year - 1;
    leaps = years / 4 - years / 100 + years / 400;
    return (day)(years * 365 + leaps + (153 * ((month + 9) % 12) + 2) / 5 + day_of_month - 1 -
                 719468);
}

void day_civil(day date, int *year, int *month, int *day_of_month)
{
    int64_t from_march = (int64_t)date + 719468;
    int64_t era = floor_divide(from_march, 146097); /* days of 400 years */
    int64_t in_era = from_march - era * 146097;
    int64_t year_of_era = (in_era - in_era / 1460 + in_era / 36524 - in_era / 146096) / 365;
    int64_t in_year = in_era - (year_of_era * 365 + year_of_era / 4 - year_of_era / 100);
    int64_t from_march_month = (5 * in_year + 2) / 153;
    int civil_month = (int)(from_march_month < 10 ? from_march_month + 3 : from_march_month - 9);

    if (year != NULL)
        *year = (int)(era * 400 + year_of_era) + (civil_month <= 2 ? 1 : 0);
    if (month != NULL)
        *month = civil_month;
    if (day_of_month != NULL)
        *day_of_month = (int)(in_year - (153 * from_march_month + 2) / 5) + 1;
}

/* Reads exactly count digits at text; -1 when one of them is no digit (or the text ends). */
static int read_digits(const char *text, int count)
{
    int value = 0;

    for (int i = 0; i < count; i++) {
        if (text[i] < '0' || text[i] > '9')
            return -1;
        value = value * 10 + (text[i] - '0');
    }
    return value;
}

/* Writes value, 0 <= value < 10^count, as count digits. */
static void write_digits(char *text, int value, int count)
{
    for (int i = count - 1; i >= 0; i--) {
        text[i] = (char)('0' + value % 10);
        value /= 10;
    }
}

/* Reads YYYY-MM-DD at the start of text; DAY_NONE when it is not there. */
static day read_date(const char *text)
{
    int year = read_digits(text, 4), month, day_of_month;

    if (year < 0 || text[4] != '-')
        return DAY_NONE;
    month = read_digits(text + 5, 2);
    if (month < 0 || text[7] != '-')
        return DAY_NONE;
    day_of_month = read_digits(text + 8, 2);
    return day_of_month < 0 ? DAY_NONE : day_of(year, month, day_of_month);
}

bool day_from_text(const char *text, day *date)
{
    day read = text == NULL ? DAY_NONE : read_date(text);

    if (read == DAY_NONE || text[10] != '\0')
        return false;
    *date = read;
    return true;
}

char *day_to_text(day date, char buffer[DAY_TEXT_SIZE])
{
    int year, month, day_of_month;

    buffer[0] = '\0';
    if (date == DAY_NONE)
        return buffer;
    day_civil(date, &year, &month, &day_of_month);
    if (year < FIRST_YEAR || year > LAST_YEAR)
        return buffer;
    write_digits(buffer, year, 4);
    buffer[4] = '-';
    write_digits(buffer + 5, month, 2);
    buffer[7] = '-';
    write_digits(buffer + 8, day_of_month, 2);
    buffer[10] = '\0';
    return buffer;
}

/* The month that lies months after that of date; false when it is outside the years kept. */
static bool shift_month(day date, int months, int *year, int *month, int *day_of_month)
{
    int64_t count;

    if (date == DAY_NONE)
        return false;
    day_civil(date, year, month, day_of_month);
    count = (int64_t)*year * 12 + *month - 1 + months;
    if (count < (int64_t)FIRST_YEAR * 12 || count >= ((int64_t)LAST_YEAR + 1) * 12)
        return false;
    *year = (int)(count / 12);
    *month = (int)(count % 12) + 1;
    return true;
}

day day_month_start(day date, int months)
{
    int year, month, day_of_month;

    if (!shift_month(date, months, &year, &month, &day_of_month))
        return DAY_NONE;
    return day_of(year, month, 1);
}

day day_add_months(day date, int months)
{
    int year, month, day_of_month, length;

    if (!shift_month(date, months, &year, &month, &day_of_month))
        return DAY_NONE;
    length = month_length(year, month);
    return day_of(year, month, day_of_month < length ? day_of_month : length);
}

bool month_from_text(const char *text, day *first)
{
    day read;
    int year, month;

    if (text == NULL)
        return false;
    year = read_digits(text, 4);
    if (year < 0 || text[4] != '-')
        return false;
    month = read_digits(text + 5, 2);
    if (month < 0 || text[7] != '\0')
        return false;
    read = day_of(year, month, 1);
    if (read == DAY_NONE)
        return false;
    *first = read;
    return true;
}

char *month_to_text(day date, char buffer[MONTH_TEXT_SIZE])
{
    char whole[DAY_TEXT_SIZE];

    day_to_text(date, whole);
    for (int i = 0; i < MONTH_TEXT_SIZE; i++)
        buffer[i] = whole[0] == '\0' ? '\0' : whole[i];
    buffer[MONTH_TEXT_SIZE - 1] = '\0';
    return buffer;
}

int day_age_years(day born, day on)
{
    int born_year, born_month, born_day, year, month, day_of_month;

    if (born == DAY_NONE || on == DAY_NONE || on < born)
        return -1;
    day_civil(born, &born_year, &born_month, &born_day);
    day_civil(on, &year, &month, &day_of_month);
    /* Born on 29 February: in a common year that day is not reached before 1 March. */
    if (month < born_month || (month == born_month && day_of_month < born_day))
        return year - born_year - 1;
    return year - born_year;
}

int day_weekday(day date)
{
    int64_t days = (int64_t)date + 4; /* 1970-01-01 was a Thursday */

    return date == DAY_NONE ? -1 : (int)(days - floor_divide(days, 7) * 7);
}

const char *day_weekday_name(day date)
{
    static const char *const names[] = {"Sunday",   "Monday", "Tuesday", "Wednesday",
                                        "Thursday", "Friday", "Saturday"};
    int weekday = day_weekday(date);

    return weekday < 0 ? "" : names[weekday];
}

bool instant_from_text(const char *text, instant *at)
{
    day date = text == NULL ? DAY_NONE : read_date(text);
    int hours, minutes, seconds;

    if (date == DAY_NONE || text[10] != 'T')
        return false;
    hours = read_digits(text + 11, 2);
    if (hours < 0 || hours > 23 || text[13] != ':')
        return false;
    minutes = read_digits(text + 14, 2);
    if (minutes < 0 || minutes > 59 || text[16] != ':')
        return false;
    seconds = read_digits(text + 17, 2);
    if (seconds < 0 || seconds > 59 || text[19] != 'Z' || text[20] != '\0')
        return false;
    *at = (instant)date * SECONDS_OF_DAY + hours * 3600 + minutes * 60 + seconds;
    return true;
}

day instant_day(instant at)
{
    int64_t days = floor_divide(at, SECONDS_OF_DAY);

    return at == INSTANT_NONE || days <= INT32_MIN || days > INT32_MAX ? DAY_NONE : (day)days;
}

char *instant_to_text(instant at, char buffer[INSTANT_TEXT_SIZE])
{
    day date = instant_day(at);
    int seconds;

    buffer[0] = '\0';
    if (date == DAY_NONE || day_to_text(date, buffer)[0] == '\0')
        return buffer;
    seconds = (int)(at - (int64_t)date * SECONDS_OF_DAY);
    buffer[10] = 'T';
    write_digits(buffer + 11, seconds / 3600, 2);
    buffer[13] = ':';
    write_digits(buffer + 14, seconds / 60 % 60, 2);
    buffer[16] = ':';
    write_digits(buffer + 17, seconds % 60, 2);
    buffer[19] = 'Z';
    buffer[20] = '\0';
    return buffer;
}

bool clock_from_text(const char *text, int32_t *minutes)
{
    int hour, minute;

    if (text == NULL)
        return false;
    hour = read_digits(text, 2);
    if (hour < 0 || hour > 23 || text[2] != ':')
        return false;
    minute = read_digits(text + 3, 2);
    if (minute < 0 || minute > 59 || text[5] != '\0')
        return false;
    *minutes = hour * 60 + minute;
    return true;
}

char *clock_to_text(int32_t minutes, char buffer[6])
{
    buffer[0] = '\0';
    if (minutes < 0 || minutes >= MINUTES_OF_DAY)
        return buffer;
    write_digits(buffer, minutes / 60, 2);
    buffer[2] = ':';
    write_digits(buffer + 3, minutes % 60, 2);
    buffer[5] = '\0';
    return buffer;
}
