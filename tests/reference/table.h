/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Reads a table of reference values: a CSV without quotes whose first line is a comment that names
 * source, standing and how it was obtained, and whose second line names the columns. Anything
 * else, a file without rows included, fails the test: a table can not be passed over.
 */
#ifndef SPRINGLINE_TESTS_REFERENCE_TABLE_H
#define SPRINGLINE_TESTS_REFERENCE_TABLE_H

#include <errno.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { TABLE_COLUMNS = 10, TABLE_LINE = 1000 };

struct table {
    FILE *file;
    char line[TABLE_LINE];
    int number; /* of the line */
    int columns;
    char *cells[TABLE_COLUMNS]; /* of the row that was read last */
};

static inline int table_split(struct table *table)
{
    int count = 0;
    char *at = table->line;

    at[strcspn(at, "\n")] = '\0';
    for (;;) {
        char *comma = strchr(at, ',');

        assert_true(count < TABLE_COLUMNS);
        table->cells[count++] = at;
        if (comma == NULL)
            return count;
        *comma = '\0';
        at = comma + 1;
    }
}

/* Opens tests/reference/NAME, which must have exactly these columns. */
static inline void table_open(struct table *table, const char *name, const char *columns)
{
    const char *source = getenv("SPRINGLINE_SOURCE");
    char path[TABLE_LINE];

    (void)snprintf(path, sizeof path, "%s/tests/reference/%s", source == NULL ? "." : source, name);
    *table = (struct table){.number = 2};
    table->file = fopen(path, "r");
    if (table->file == NULL)
        fail_msg("%s can not be read", path);
    assert_non_null(fgets(table->line, TABLE_LINE, table->file));
    assert_int_equal(strncmp(table->line, "# source: ", 10), 0);
    assert_non_null(strstr(table->line, "; standing: "));
    assert_non_null(strstr(table->line, "; obtained: "));
    assert_non_null(fgets(table->line, TABLE_LINE, table->file));
    table->line[strcspn(table->line, "\n")] = '\0';
    assert_string_equal(table->line, columns);
    table->columns = table_split(table);
}

/* The next row into cells; 0 at the end, where the file is closed and least rows must have come. */
static inline int table_next(struct table *table, int least)
{
    if (fgets(table->line, TABLE_LINE, table->file) == NULL) {
        assert_int_equal(ferror(table->file), 0);
        fclose(table->file);
        if (table->number - 2 < least)
            fail_msg("%d rows, expected %d", table->number - 2, least);
        return 0;
    }
    table->number++;
    assert_non_null(strchr(table->line, '\n'));
    if (table_split(table) != table->columns)
        fail_msg("line %d: not %d cells", table->number, table->columns);
    return 1;
}

/* A cell as a number; nothing else may stand in it. */
static inline double table_number(const struct table *table, int column)
{
    char *end = NULL;
    double value;

    errno = 0;
    value = strtod(table->cells[column], &end);
    if (errno != 0 || end == table->cells[column] || *end != '\0')
        fail_msg("line %d: \"%s\" is no number", table->number, table->cells[column]);
    return value;
}

/* A cell as a whole number. */
static inline long table_whole(const struct table *table, int column)
{
    double value = table_number(table, column);

    if (value != (double)(long)value)
        fail_msg("line %d: %s is not whole", table->number, table->cells[column]);
    return (long)value;
}

#endif
