/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Import and export of the kinds of interchange.md as rows of text cells; the CSV syntax itself is
 * read and written by cli. Nothing of an import is kept unless all of it is good.
 */
#ifndef SPRINGLINE_APP_EXCHANGE_H
#define SPRINGLINE_APP_EXCHANGE_H

#include "springline/app/app.h"

/* The kind that knows most columns of a header row, if the row holds its key columns; expanders are
 * known by fitted_on or banded_on, plans by made_on beside their key. RECORD_KIND_COUNT when there
 * is none, or more than one. */
enum record_kind exchange_kind(const char *const *header, size_t count);

/* The kind called name in interchange.md ("visits"); RECORD_KIND_COUNT when there is none. */
enum record_kind exchange_kind_named(const char *name);

/* The kinds in the order in which they must be read (patients before cases ...); -1 ends. */
extern const int exchange_order[];

struct exchange_totals {
    long added, same, bad;
    long repeated; /* of same: with a row of this import, not of the store */
    int64_t batch; /* by which undo-import knows it (its place in the ledger); 0: nothing kept */
};

struct import;

/* A bad row: file, physical line (1 = header), column name, sentence; cells as read. */
typedef void (*import_reporter)(void *context, const char *file, long line, const char *column,
                                const char *sentence);

/* Opens one import: one request, one transaction; label names what is imported. */
enum status import_begin(struct app *app, const char *label, import_reporter reporter,
                         void *context, struct import **import, struct error *error);
/* Rows that are no bad ones but passed over, since they repeat one of this import, are told to
 * notes with the context of import_begin. Without it nobody is told. */
void import_set_notes(struct import *import, import_reporter notes);
/*
 * Starts a file: its header decides the kind. Unknown columns are appended, one a line, to
 * unknown (may be NULL) and left alone; a missing key column or one named twice is STATUS_INPUT.
 */
enum status import_file(struct import *import, const char *file, const char *const *header,
                        size_t count, struct text *unknown, struct error *error);
/*
 * One row. Good and new: kept for the commit. Same key and same fields as a current row: passed
 * over. Otherwise bad: reported, *bad set. Only exhausted memory or a failing store is a failure.
 */
enum status import_row(struct import *import, long line, const char *const *cells, size_t count,
                       bool *bad, struct error *error);
/* Checks that need all files (a visit before the fit, overlapping trainers ...); reports as above.
 */
enum status import_check(struct import *import, struct error *error);
/* Commits when keep is true and no row was bad, else leaves nothing behind; releases the import. */
enum status import_end(struct import *import, bool keep, struct exchange_totals *totals,
                       struct error *error);

/* Writes one row of cells; kind's columns in the order of interchange.md, header first. */
typedef enum status (*export_writer)(void *context, const char *const *cells, size_t count,
                                     struct error *error);
/* The current rows of one kind in key order, two decimals. */
enum status export_rows(struct app *app, enum record_kind kind, export_writer writer, void *context,
                        struct error *error);

/* Logs that records left the program; rows: which, and how many of each. Comes before they are
 * handed out: what can not be logged is not. */
enum status export_log(struct app *app, const char *rows, struct error *error);

/* A text cell guarded against formulas: a leading = + - @ TAB CR or ' gets one ' before it. */
void exchange_guard(struct text *out, const char *cell);
/* The reverse, once. */
const char *exchange_unguard(const char *cell);

#endif
