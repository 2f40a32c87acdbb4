/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The calendar against SQLite, day by day from 1900 to 2100, and against Python's datetime. */
#include "table.h"

#include <sqlite3.h>

#include "springline/base/date.h"

static sqlite3_stmt *prepare(sqlite3 *database, const char *sql)
{
    sqlite3_stmt *statement = NULL;

    assert_int_equal(sqlite3_prepare_v2(database, sql, -1, &statement, NULL), SQLITE_OK);
    return statement;
}

static int open_memory(void **state)
{
    sqlite3 *database = NULL;

    if (sqlite3_open(":memory:", &database) != SQLITE_OK)
        return -1;
    *state = database;
    return 0;
}

static int close_memory(void **state)
{
    return sqlite3_close(*state) == SQLITE_OK ? 0 : -1;
}

static const char *text_column(sqlite3_stmt *statement, int column)
{
    return (const char *)sqlite3_column_text(statement, column);
}

/* One row: text, days since 1970, year, month, day, weekday, month's start and the next one's. */
static int row_agrees(sqlite3_stmt *row)
{
    char buffer[DAY_TEXT_SIZE], month_buffer[MONTH_TEXT_SIZE];
    const char *text = text_column(row, 0);
    int year = sqlite3_column_int(row, 2), month = sqlite3_column_int(row, 3);
    int day_of_month = sqlite3_column_int(row, 4), civil[3] = {0};
    day date = sqlite3_column_int(row, 1), read = DAY_NONE, first = DAY_NONE;

    day_civil(date, &civil[0], &civil[1], &civil[2]);
    return day_from_text(text, &read) && read == date &&
           day_of(year, month, day_of_month) == date && civil[0] == year && civil[1] == month &&
           civil[2] == day_of_month && strcmp(day_to_text(date, buffer), text) == 0 &&
           day_weekday(date) == sqlite3_column_int(row, 5) &&
           strcmp(day_to_text(day_month_start(date, 0), buffer), text_column(row, 6)) == 0 &&
           strcmp(day_to_text(day_month_start(date, 1), buffer), text_column(row, 7)) == 0 &&
           strncmp(month_to_text(date, month_buffer), text, 7) == 0 &&
           month_from_text(month_buffer, &first) && first == day_month_start(date, 0);
}

static void every_day_agrees_with_sqlite(void **state)
{
    sqlite3_stmt *row =
        prepare(*state, "WITH RECURSIVE days(d) AS (VALUES('1900-01-01') UNION ALL "
                        "SELECT date(d, '+1 day') FROM days WHERE d < '2100-12-31') "
                        "SELECT d, unixepoch(d) / 86400, CAST(strftime('%Y', d) AS INTEGER), "
                        "CAST(strftime('%m', d) AS INTEGER), CAST(strftime('%d', d) AS INTEGER), "
                        "CAST(strftime('%w', d) AS INTEGER), date(d, 'start of month'), "
                        "date(d, 'start of month', '+1 month') FROM days");
    int count = 0, got;

    while ((got = sqlite3_step(row)) == SQLITE_ROW) {
        if (!row_agrees(row))
            fail_msg("%s", text_column(row, 0));
        count++;
    }
    assert_int_equal(got, SQLITE_DONE);
    assert_int_equal(count, 73414); /* 201 years, 49 of them leap years */
    sqlite3_finalize(row);
}

/*
 * Every text from year-00-00 to year-13-32. The store checks dates by date(x, '+0 days') IS x,
 * because date(x) alone lets 30 February pass (seen with SQLite 3.40.1): both must refuse the same.
 */
static void what_is_no_date_is_none_in_sqlite_either(void **state)
{
    sqlite3_stmt *check = prepare(*state, "SELECT date(?1, '+0 days') IS ?1");
    int accepted = 0;

    for (int i = 0; i < 201 * 14 * 33; i++) {
        int year = 1900 + i / (14 * 33), month = i / 33 % 14, day_of_month = i % 33;
        char text[32];
        day date = DAY_NONE;

        (void)snprintf(text, sizeof text, "%04d-%02d-%02d", year, month, day_of_month);
        sqlite3_bind_text(check, 1, text, -1, SQLITE_TRANSIENT);
        assert_int_equal(sqlite3_step(check), SQLITE_ROW);
        if (day_from_text(text, &date) != (sqlite3_column_int(check, 0) == 1) ||
            day_of(year, month, day_of_month) != date)
            fail_msg("%s", text);
        accepted += date == DAY_NONE ? 0 : 1;
        sqlite3_reset(check);
    }
    assert_int_equal(accepted, 73414);
    sqlite3_finalize(check);
}

/* An instant every 40 days or so, each at another time of day. */
static void instants_agree_with_sqlite(void **state)
{
    sqlite3_stmt *row = prepare(*state, "SELECT strftime('%Y-%m-%dT%H:%M:%SZ', ?1, 'unixepoch'), "
                                        "unixepoch(date(?1, 'unixepoch')) / 86400");
    char buffer[INSTANT_TEXT_SIZE];

    for (instant at = -2208988800; at < 4133980800; at += 3456789) {
        instant read = INSTANT_NONE;

        sqlite3_bind_int64(row, 1, at);
        assert_int_equal(sqlite3_step(row), SQLITE_ROW);
        assert_string_equal(instant_to_text(at, buffer), text_column(row, 0));
        assert_true(instant_from_text(text_column(row, 0), &read));
        assert_true(read == at);
        assert_int_equal(instant_day(at), sqlite3_column_int(row, 1));
        sqlite3_reset(row);
    }
    sqlite3_finalize(row);
}

static day read_day(const struct table *table, int column)
{
    day date = DAY_NONE;

    if (!day_from_text(table->cells[column], &date))
        fail_msg("line %d: %s", table->number, table->cells[column]);
    return date;
}

static void agrees_with_python(void **state)
{
    struct table table;

    (void)state;
    table_open(&table, "python_dates.csv", "kind,first,second,value");
    while (table_next(&table, 350)) {
        const char *kind = table.cells[0];
        long expected = 0, found = -1;

        if (strcmp(kind, "instant") == 0) {
            instant at = INSTANT_NONE;

            assert_true(instant_from_text(table.cells[1], &at));
            expected = table_whole(&table, 3);
            found = (long)at;
        } else if (strcmp(kind, "months") == 0) {
            expected = read_day(&table, 3);
            found = day_add_months(read_day(&table, 1), (int)table_whole(&table, 2));
        } else {
            expected = table_whole(&table, 3);
            if (strcmp(kind, "day") == 0)
                found = read_day(&table, 1);
            else if (strcmp(kind, "weekday") == 0)
                found = day_weekday(read_day(&table, 1));
            else if (strcmp(kind, "age") == 0)
                found = day_age_years(read_day(&table, 1), read_day(&table, 2));
            else
                fail_msg("line %d: %s", table.number, kind);
        }
        if (found != expected)
            fail_msg("line %d: %ld, expected %ld", table.number, found, expected);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_day_agrees_with_sqlite),
        cmocka_unit_test(what_is_no_date_is_none_in_sqlite_either),
        cmocka_unit_test(instants_agree_with_sqlite),
        cmocka_unit_test(agrees_with_python),
    };

    return cmocka_run_group_tests_name("dates", tests, open_memory, close_memory);
}
