/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * CSV as in RFC 4180: UTF-8 (a byte order mark is passed over), comma, quotation marks, quoted line
 * breaks. The reader streams; it holds one row. Lines end in CRLF or LF; it writes CRLF.
 */
#ifndef SPRINGLINE_CLI_CSV_H
#define SPRINGLINE_CLI_CSV_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "springline/base/error.h"
#include "springline/base/text.h"

/* A row larger than this is refused: a quotation mark was most likely never closed. */
enum { CSV_ROW_BYTES_MAX = 1024 * 1024 };

struct csv_reader;

struct csv_row {
    const char *const *cells; /* NUL-terminated; valid until the next csv_read */
    size_t count;             /* at least 1: an empty line is a row of one empty cell */
    long line;                /* physical line on which the row begins; 1 is the first */
    bool blank;               /* an empty line */
};

/*
 * A reader over in, which stays the caller's; name is what error.where calls the file and must
 * outlive the reader. STATUS_NO_MEMORY. Release with csv_close.
 */
enum status csv_open(FILE *in, const char *name, struct csv_reader **reader, struct error *error);

/*
 * The next row: *more says whether there was one. STATUS_INPUT, with the physical line in where:
 * UTF-16, a NUL byte, an unclosed quotation mark (named by the line on which it opens), text after
 * a closing one, a quotation mark inside an unquoted cell, a carriage return without a line feed,
 * a row too large, a file that can not be read. After a failure nothing more can be read. Whether
 * the bytes are UTF-8 is judged with each cell by who takes it.
 */
enum status csv_read(struct csv_reader *reader, struct csv_row *row, bool *more,
                     struct error *error);

/* The physical line on which the last failure was met; 0 before one. */
long csv_line(const struct csv_reader *reader);

/* The physical line on which the row read last, or the one that failed, begins. */
long csv_row_line(const struct csv_reader *reader);

/* Frees the reader; NULL is allowed. */
void csv_close(struct csv_reader *reader);

/* Appends one row: quotation marks only where a cell needs them, CRLF at the end. A row of one
 * empty cell is written as "" so that it is not an empty line. */
void csv_add_row(struct text *out, const char *const *cells, size_t count);

#endif
