/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The defaults of a protocol and their standing, against the figures as they were written down.
 * This says that nobody changed a figure or raised its standing unseen; it proves none of them.
 */
#include "table.h"

#include <math.h>

#include "springline/core/protocol.h"

/* A default as the program keeps it: mm in micrometres, shares in thousandths. */
static long kept_as(const struct table *table)
{
    static const struct {
        const char *unit;
        double factor;
    } units[] = {{"mm", 1000}, {"mm a week", 1000}, {"share", 1000},
                 {"days", 1},  {"minutes", 1},      {"visits", 1}};

    if (strcmp(table->cells[2], "answer") == 0)
        return word_value(&words_answer, table->cells[1]);
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++)
        if (strcmp(units[i].unit, table->cells[2]) == 0)
            return lround(table_number(table, 1) * units[i].factor);
    fail_msg("line %d: unknown unit %s", table->number, table->cells[2]);
    return 0;
}

static enum unit unit_of(const char *unit)
{
    static const struct {
        const char *text;
        enum unit unit;
    } units[] = {{"mm", UNIT_UM},        {"mm a week", UNIT_UM_PER_WEEK}, {"share", UNIT_PERMILLE},
                 {"days", UNIT_DAYS},    {"minutes", UNIT_MINUTES},       {"visits", UNIT_VISITS},
                 {"answer", UNIT_ANSWER}};

    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++)
        if (strcmp(units[i].text, unit) == 0)
            return units[i].unit;
    return UNIT_NONE;
}

static void defaults_and_standing_are_as_written_down(void **state)
{
    struct protocol protocol;
    struct table table;
    int seen[SETTING_COUNT] = {0};

    (void)state;
    protocol_defaults(&protocol);
    table_open(&table, "common_practice.csv", "setting,default,unit,standing");
    while (table_next(&table, SETTING_COUNT - 1)) {
        int setting = 1;
        const struct setting_row *row;

        while (setting < SETTING_COUNT &&
               strcmp(protocol_settings[setting].name, table.cells[0]) != 0)
            setting++;
        if (setting == SETTING_COUNT) {
            fail_msg("line %d: no setting %s", table.number, table.cells[0]);
            return;
        }
        row = &protocol_settings[setting];
        seen[setting]++;
        if (row->value != kept_as(&table) ||
            protocol_value(&protocol, (enum setting)setting) != kept_as(&table))
            fail_msg("%s is %d", row->name, row->value);
        assert_int_equal(row->unit, unit_of(table.cells[2]));
        assert_string_equal(standing_text(row->standing), table.cells[3]);
        /* Only a published figure has a source to name, and it must name one. */
        assert_int_equal(row->source[0] != '\0', row->standing == STANDING_PUBLISHED);
    }
    for (int setting = 1; setting < SETTING_COUNT; setting++)
        assert_int_equal(seen[setting], 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(defaults_and_standing_are_as_written_down),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
