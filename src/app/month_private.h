/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of a closed month share: the sheet as text and as cells. */
#ifndef SPRINGLINE_APP_MONTH_PRIVATE_H
#define SPRINGLINE_APP_MONTH_PRIVATE_H

#include "springline/app/month.h"

/*
 * The sheet: two CSV tables (RFC 4180, CRLF), an empty line between them. First figure,value: the
 * form's number, the month, its last day, the totals, and each setting of the practice's protocol
 * as of then. Then a row a case in the order of their numbers, with the columns of month_columns. A
 * sheet that was signed is compared byte for byte: its form never changes; another one would be
 * form 2 beside it.
 */
enum { MONTH_SHEET_FORM = 1, MONTH_COLUMNS = 29 };
extern const char *const month_columns[MONTH_COLUMNS];

/* Appends the sheet of a list of the month that begins on month. */
enum status month_sheet_add(struct text *out, const struct audit_list *list, day month,
                            struct error *error);

struct month_whole {
    const char *figure, *value;
};

/* A sheet as cells. */
struct month_sheet {
    struct month_whole *whole;
    size_t whole_count, whole_capacity;
    const char **cells; /* row_count times MONTH_COLUMNS */
    size_t row_count, capacity;
};

/* Reads a sheet; the cells point into a copy of it in arena. STATUS_DAMAGED: it is none of this
 * form. */
enum status month_sheet_read(const char *text, struct arena *arena, struct month_sheet *sheet,
                             struct error *error);

enum { MONTH_DIGEST_TEXT = 2 * 32 + 1 };
/* BLAKE2b-256 of the sheet, in lower-case hexadecimal. */
void month_digest(const char *sheet, size_t length, char digest[MONTH_DIGEST_TEXT]);

/* The sheet of a closed month, into arena, its digest and the row it stands on checked. */
enum status month_read_sheet(struct app *app, const struct month_closed *closed,
                             struct arena *arena, const char **sheet, struct error *error);

/* Every closed month, oldest first, with its signature. */
struct month_list {
    struct month_closed *rows;
    size_t count, capacity;
};
enum status month_each(struct app *app, const char *month, struct arena *arena,
                       struct month_list *list, struct error *error);

#endif
