/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Rows of cells as an aligned text table, as CSV, or as one JSON array of objects with a
 * format_version. In text and JSON nothing stored can steer a terminal (CWE-150); in CSV text cells
 * are guarded against formulas (CWE-1236) and otherwise as stored, which text_check has seen; only
 * on a terminal CSV is shown as text is.
 */
#ifndef SPRINGLINE_CLI_OUTPUT_H
#define SPRINGLINE_CLI_OUTPUT_H

#include <stdint.h>
#include <stdio.h>

#include "springline/base/text.h"
#include "springline/cli/cli.h"

enum cli_column_type {
    COLUMN_TEXT,  /* people's own words: guarded in CSV */
    COLUMN_WORD,  /* the program's words and dates */
    COLUMN_NUMBER /* to the right in text, bare in JSON */
};

struct cli_column {
    const char *name;
    enum cli_column_type type;
};

enum {
    CLI_COLUMNS_MAX = 32,
    CLI_FORMAT_VERSION = 1,
    CLI_SHEET_COLUMNS = 80,
    CLI_LINE_LEAST = 60, /* a text table is laid out for lines of this many cells */
    CLI_LINE_MOST = 132  /* ... to this many */
};

/* How a text table is made to fit a line: columns go by rank, then one is cut. */
struct cli_layout {
    int line;                       /* cells of a line */
    uint8_t ranks[CLI_COLUMNS_MAX]; /* 0 stays; of the others the greatest goes first */
    size_t flexible;                /* the column that is cut, marked by '~', to what is left, */
    int least;                      /* but to no fewer cells than this */
};

struct cli_table {
    FILE *out;
    enum cli_format format;
    const struct cli_column *columns;
    size_t column_count, row_count;
    struct text cells; /* text format: every cell with its NUL, until the widths are known */
    int widths[CLI_COLUMNS_MAX];
    bool fit; /* text format: people's own words are cut to 24 cells, marked by '~' */
    const struct cli_layout *layout; /* text format: NULL: as wide as it comes */
    bool terminal;                   /* CSV format: out is one */
    const char *note; /* text format: a line beneath the next row; cli_table_row takes it */
    bool failed;      /* memory ran out */
};

/* Starts a table on out; columns must outlive it. CSV and JSON rows go out as they come. */
void cli_table_begin(struct cli_table *table, FILE *out, enum cli_format format,
                     const struct cli_column *columns, size_t count);
/* One row; "" is not recorded (null in JSON). */
void cli_table_row(struct cli_table *table, const char *const *cells);
/* Ends the table and releases it. A text or CSV table without rows is its header alone.
 * STATUS_NO_MEMORY; whether out took it all is asked once, by cli_run. */
enum status cli_table_end(struct cli_table *table, struct error *error);

/* The cells of a line on out: those of COLUMNS or of the terminal, else of a wide sheet; from
 * CLI_LINE_LEAST to CLI_LINE_MOST. */
int cli_line_cells(FILE *out);

/* Appends a JSON string: what text_check refuses comes escaped, a byte that is not UTF-8 as
 * U+FFFD. */
void cli_add_json(struct text *out, const char *text);

/* text_add_wrapped. */
void cli_add_wrapped(struct text *out, const char *lead, const char *text, int columns);

/* Appends a sheet of several lines as text_add_shown would show each. */
void cli_add_lines(struct text *out, const char *lines);

/* Is out a terminal? */
bool cli_is_terminal(FILE *out);

/*
 * Writes one row of CSV, as csv_add_row made it, to out and releases it. To a file or a pipe it
 * goes as it is: data that must be read again. On a terminal it is only looked at, and is shown as
 * text_add_shown does.
 */
enum status cli_put_csv(FILE *out, bool terminal, struct text *row, struct error *error);

/* Writes text to out and releases it; STATUS_NO_MEMORY when an append had failed. */
enum status cli_put(FILE *out, struct text *text, struct error *error);

#endif
