/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Boundaries and bad input; that the calendar is right is checked in tests/reference. */
#include <limits.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "springline/base/date.h"

static void days_that_exist_and_days_that_do_not(void **state)
{
    static const struct {
        int year, month, day_of_month;
        bool exists;
    } rows[] = {
        {1970, 1, 1, true},   {1800, 1, 1, true},     {2999, 12, 31, true},   {1799, 12, 31, false},
        {3000, 1, 1, false},  {2024, 2, 29, true},    {2023, 2, 29, false},   {1900, 2, 29, false},
        {2000, 2, 29, true},  {2026, 2, 30, false},   {2026, 4, 31, false},   {2026, 13, 1, false},
        {2026, 0, 1, false},  {2026, 1, 0, false},    {2026, 1, 32, false},   {2026, -1, 1, false},
        {2026, 1, -1, false}, {INT_MIN, 1, 1, false}, {INT_MAX, 1, 1, false}, {0, 1, 1, false},
    };

    (void)state;
    assert_int_equal(day_of(1970, 1, 1), 0);
    assert_int_equal(day_of(1969, 12, 31), -1);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_int_equal(day_of(rows[i].year, rows[i].month, rows[i].day_of_month) != DAY_NONE,
                         rows[i].exists);
}

/* Every day that is kept, one after the other, there and back in both forms. */
static void all_days_follow_each_other(void **state)
{
    day first = day_of(1800, 1, 1), last = day_of(2999, 12, 31);
    char buffer[DAY_TEXT_SIZE];

    (void)state;
    for (day date = first; date <= last; date++) {
        int year, month, day_of_month;
        day back = DAY_NONE;

        day_civil(date, &year, &month, &day_of_month);
        if (day_of(year, month, day_of_month) != date ||
            !day_from_text(day_to_text(date, buffer), &back) || back != date)
            fail_msg("day %d comes back as %d", date, back);
    }
    assert_string_equal(day_to_text(first - 1, buffer), "");
    assert_string_equal(day_to_text(last + 1, buffer), "");
}

static void civil_parts_may_be_left_out_and_far_days_are_safe(void **state)
{
    char buffer[DAY_TEXT_SIZE];
    int year = 0, month = 0, day_of_month = 0;

    (void)state;
    day_civil(0, NULL, NULL, NULL);
    day_civil(59, NULL, &month, NULL);
    assert_int_equal(month, 3);
    day_civil(INT32_MAX, &year, &month, &day_of_month);
    assert_true(year > 2999 && month >= 1 && month <= 12 && day_of_month >= 1);
    day_civil(INT32_MIN + 1, &year, &month, &day_of_month);
    assert_true(year < 1800 && month >= 1 && month <= 12 && day_of_month >= 1);
    assert_string_equal(day_to_text(INT32_MAX, buffer), "");
    assert_string_equal(day_to_text(INT32_MIN + 1, buffer), "");
    assert_string_equal(day_to_text(DAY_NONE, buffer), "");
}

static void dates_are_read_exactly(void **state)
{
    static const char *const wrong[] = {
        "",
        "2026",
        "2026-1-01",
        "2026-01-1",
        "2026-01-011",
        "2026-01-01 ",
        " 2026-01-01",
        "2026/01/01",
        "20260101",
        "2026-02-30",
        "2026-02-29",
        "2025-13-01",
        "2026-00-10",
        "2026-01-00",
        "26-01-01",
        "2026-01-0a",
        "2026-0a-01",
        "+026-01-01",
        "-026-01-01",
        "2026-01-",
        "2026-01",
        "2026-",
        "1799-12-31",
        "3000-01-01",
        "2026-01-01T00:00:00Z",
        "2026-01/01",
        "\xD9\xA2\xD9\xA0",
    };
    day date = 5;

    (void)state;
    assert_true(day_from_text("2026-11-25", &date));
    assert_int_equal(date, day_of(2026, 11, 25));
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        assert_false(day_from_text(wrong[i], &date));
        assert_int_equal(date, day_of(2026, 11, 25));
    }
    assert_false(day_from_text(NULL, &date));
}

static void months_move(void **state)
{
    static const struct {
        const char *from;
        int months;
        const char *start, *same;
    } rows[] = {
        {"2026-01-31", 1, "2026-02-01", "2026-02-28"},
        {"2024-01-31", 1, "2024-02-01", "2024-02-29"},
        {"2026-03-31", -1, "2026-02-01", "2026-02-28"},
        {"2026-12-15", 1, "2027-01-01", "2027-01-15"},
        {"2026-01-15", -1, "2025-12-01", "2025-12-15"},
        {"2024-02-29", 12, "2025-02-01", "2025-02-28"},
        {"2024-02-29", 48, "2028-02-01", "2028-02-29"},
        {"2026-05-31", 0, "2026-05-01", "2026-05-31"},
        {"2026-05-31", 1, "2026-06-01", "2026-06-30"},
        {"2026-05-31", 13, "2027-06-01", "2027-06-30"},
        {"2026-05-31", -24, "2024-05-01", "2024-05-31"},
        {"2999-12-31", 1, "", ""},
        {"1800-01-01", -1, "", ""},
        {"1800-02-10", -1, "1800-01-01", "1800-01-10"},
        {"2999-11-30", 1, "2999-12-01", "2999-12-30"},
        {"2026-05-31", INT_MAX, "", ""},
        {"2026-05-31", INT_MIN, "", ""},
    };
    char buffer[DAY_TEXT_SIZE];

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        day from = DAY_NONE;

        assert_true(day_from_text(rows[i].from, &from));
        assert_string_equal(day_to_text(day_month_start(from, rows[i].months), buffer),
                            rows[i].start);
        assert_string_equal(day_to_text(day_add_months(from, rows[i].months), buffer),
                            rows[i].same);
    }
    assert_int_equal(day_month_start(DAY_NONE, 1), DAY_NONE);
    assert_int_equal(day_add_months(DAY_NONE, 1), DAY_NONE);
    assert_int_equal(day_month_start(INT32_MAX, 0), DAY_NONE);
}

static void months_are_read_and_written(void **state)
{
    static const char *const wrong[] = {"",         "2026",     "2026-1",  "2026-13", "2026-00",
                                        "2026-011", "2026-01-", "2026/01", "1799-12", "3000-01",
                                        " 2026-01", "202a-01",  "2026-a1"};
    char buffer[MONTH_TEXT_SIZE];
    day first = 5;

    (void)state;
    assert_true(month_from_text("2026-10", &first));
    assert_int_equal(first, day_of(2026, 10, 1));
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        assert_false(month_from_text(wrong[i], &first));
    assert_false(month_from_text(NULL, &first));
    assert_int_equal(first, day_of(2026, 10, 1));
    assert_string_equal(month_to_text(day_of(2026, 10, 31), buffer), "2026-10");
    assert_string_equal(month_to_text(DAY_NONE, buffer), "");
}

static void ages_turn_on_the_birthday(void **state)
{
    static const struct {
        const char *born, *on;
        int years;
    } rows[] = {
        {"2017-05-10", "2026-05-09", 8},  {"2017-05-10", "2026-05-10", 9},
        {"2017-05-10", "2026-06-01", 9},  {"2017-05-10", "2026-04-30", 8},
        {"2016-02-29", "2025-02-28", 8},  {"2016-02-29", "2025-03-01", 9},
        {"2016-02-29", "2024-02-28", 7},  {"2016-02-29", "2024-02-29", 8},
        {"2026-05-10", "2026-05-10", 0},  {"2026-05-10", "2026-05-09", -1},
        {"2026-05-10", "2020-01-01", -1},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        day born = DAY_NONE, on = DAY_NONE;

        assert_true(day_from_text(rows[i].born, &born));
        assert_true(day_from_text(rows[i].on, &on));
        assert_int_equal(day_age_years(born, on), rows[i].years);
    }
    assert_int_equal(day_age_years(DAY_NONE, 0), -1);
    assert_int_equal(day_age_years(0, DAY_NONE), -1);
}

static void weekdays_go_round(void **state)
{
    (void)state;
    assert_int_equal(day_weekday(0), 4); /* 1970-01-01, a Thursday */
    assert_int_equal(day_weekday(3), 0);
    assert_int_equal(day_weekday(-4), 0);
    assert_int_equal(day_weekday(-5), 6);
    assert_int_equal(day_weekday(DAY_NONE), -1);
    assert_string_equal(day_weekday_name(0), "Thursday");
    assert_string_equal(day_weekday_name(3), "Sunday");
    assert_string_equal(day_weekday_name(-5), "Saturday");
    assert_string_equal(day_weekday_name(DAY_NONE), "");
    for (day date = -20; date < 20; date++)
        assert_int_equal(day_weekday(date + 1), (day_weekday(date) + 1) % 7);
}

static void instants_are_read_exactly(void **state)
{
    static const char *const wrong[] = {
        "",
        "2026-11-25",
        "2026-11-25T10:20:30",
        "2026-11-25T10:20:30z",
        "2026-11-25T10:20:30ZZ",
        "2026-11-25 10:20:30Z",
        "2026-11-25t10:20:30Z",
        "2026-11-25T24:00:00Z",
        "2026-11-25T10:60:00Z",
        "2026-11-25T23:59:60Z",
        "2026-02-30T10:20:30Z",
        "2026-11-25T1:20:30Z",
        "2026-11-25T10-20:30Z",
        "2026-11-25T10:20-30Z",
        "2026-11-25T10:20:30+00:00",
        "2026-11-25T10:20:30.5Z",
        "2026-11-25Ta0:20:30Z",
        "2026-11-25T10:a0:30Z",
        "2026-11-25T10:20:a0Z",
    };
    instant at = 5;

    (void)state;
    assert_true(instant_from_text("1970-01-01T00:00:00Z", &at));
    assert_int_equal(at, 0);
    assert_true(instant_from_text("1969-12-31T23:59:59Z", &at));
    assert_int_equal(at, -1);
    assert_true(instant_from_text("2026-11-25T10:20:30Z", &at));
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        assert_false(instant_from_text(wrong[i], &at));
    assert_false(instant_from_text(NULL, &at));
    assert_int_equal(at, (instant)day_of(2026, 11, 25) * 86400 + 10 * 3600 + 20 * 60 + 30);
}

static void instants_are_written(void **state)
{
    static const char *const texts[] = {"1970-01-01T00:00:00Z", "1969-12-31T23:59:59Z",
                                        "1800-01-01T00:00:00Z", "2999-12-31T23:59:59Z",
                                        "2026-11-25T09:05:07Z", "1969-12-31T00:00:00Z"};
    static const instant outside[] = {INSTANT_NONE, INSTANT_NONE + 1, INT64_MAX, 99999999999999};
    char buffer[INSTANT_TEXT_SIZE];

    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        instant at = INSTANT_NONE;
        day date = DAY_NONE;
        char day_part[DAY_TEXT_SIZE];

        assert_true(instant_from_text(texts[i], &at));
        assert_string_equal(instant_to_text(at, buffer), texts[i]);
        memcpy(day_part, texts[i], 10);
        day_part[10] = '\0';
        assert_true(day_from_text(day_part, &date));
        assert_int_equal(instant_day(at), date);
    }
    for (size_t i = 0; i < sizeof outside / sizeof outside[0]; i++)
        assert_string_equal(instant_to_text(outside[i], buffer), "");
    assert_int_equal(instant_day(INSTANT_NONE), DAY_NONE);
    assert_int_equal(instant_day((instant)INT32_MAX * 86400 + 86399), INT32_MAX);
    assert_int_equal(instant_day((instant)INT32_MAX * 86400 + 86400), DAY_NONE);
    assert_int_equal(instant_day(((instant)INT32_MIN + 1) * 86400), INT32_MIN + 1);
    assert_int_equal(instant_day(((instant)INT32_MIN + 1) * 86400 - 1), DAY_NONE);
    assert_int_equal(instant_day(INT64_MAX), DAY_NONE);
    assert_int_equal(instant_day(INSTANT_NONE + 1), DAY_NONE);
}

static void clock_times(void **state)
{
    static const char *const wrong[] = {"",      "8:30",   "08:60", "24:00", "08:3",  "08:300",
                                        "08-30", " 08:30", "0830",  "a8:30", "08:a0", "-1:00"};
    char buffer[6];
    int32_t minutes = 5;

    (void)state;
    for (int32_t all = 0; all < 24 * 60; all++) {
        assert_true(clock_from_text(clock_to_text(all, buffer), &minutes));
        assert_int_equal(minutes, all);
    }
    assert_string_equal(buffer, "23:59");
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        assert_false(clock_from_text(wrong[i], &minutes));
    assert_false(clock_from_text(NULL, &minutes));
    assert_int_equal(minutes, 24 * 60 - 1);
    assert_string_equal(clock_to_text(-1, buffer), "");
    assert_string_equal(clock_to_text(24 * 60, buffer), "");
    assert_string_equal(clock_to_text(0, buffer), "00:00");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(days_that_exist_and_days_that_do_not),
        cmocka_unit_test(all_days_follow_each_other),
        cmocka_unit_test(civil_parts_may_be_left_out_and_far_days_are_safe),
        cmocka_unit_test(dates_are_read_exactly),
        cmocka_unit_test(months_move),
        cmocka_unit_test(months_are_read_and_written),
        cmocka_unit_test(ages_turn_on_the_birthday),
        cmocka_unit_test(weekdays_go_round),
        cmocka_unit_test(instants_are_read_exactly),
        cmocka_unit_test(instants_are_written),
        cmocka_unit_test(clock_times),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
