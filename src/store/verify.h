/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The parts of verify. Private. */
#ifndef SPRINGLINE_STORE_VERIFY_H
#define SPRINGLINE_STORE_VERIFY_H

#include "cell.h"

enum { FINDINGS_SHOWN = 200 };

struct verification {
    struct store *store;
    struct verify_report *report;
    bool began;                   /* the read transaction is verify's own */
    int64_t found;                /* findings, shown or not */
    int64_t counted[TABLE_COUNT]; /* ledger rows of each table */
    sqlite3_stmt *erased;         /* verify_erased; prepared at its first use */
};

/* Adds one line to the report; after FINDINGS_SHOWN lines they are only counted. */
void verify_find(struct verification *check, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* Ends the read transaction, where it is verify's own, and begins another: saves that wait are let
 * in. No statement may be in use. */
enum status verify_let_others(struct verification *check, struct error *error);

/* Appends a column for each reference of a row of the table called kept: 1, it is held; 0, not. */
void verify_refer_sql(struct text *sql, const struct shape *shape);
/* The next reference from *at on that stmt (the columns of shape, then these) says is not held:
 * true, what is wrong in what. Begin with *at 0. */
bool verify_refer_next(const struct shape *shape, sqlite3_stmt *stmt, size_t *at, char *what,
                       size_t size);

/* Rows that no ledger row names. */
enum status verify_outside(struct verification *check, struct error *error);
/* SQLite's own check of pages, indexes and constraints, and of references in tables outside the
 * ledger. */
enum status verify_integrity(struct verification *check, struct error *error);
/* Tables, triggers and views are those of the ladder, none missing, none changed. */
enum status verify_schema(struct verification *check, struct error *error);

/* Is the column of the row blanked by an erasure? *named; a failure only of memory or the disk. */
enum status verify_erased(struct verification *check, const char *table, const struct id *row,
                          const char *column, bool *named, struct error *error);
/* What an erasure names is blank. */
enum status verify_erasures(struct verification *check, struct error *error);

/* Prepares sql for one use; a file too damaged for that is a finding and *stmt is NULL. */
enum status verify_prepare(struct verification *check, const char *sql, sqlite3_stmt **stmt,
                           struct error *error);
/* Steps: true at a row. False at the end, or where the file is damaged (a finding about what), or
 * at another failure (*status and error). */
bool verify_step(struct verification *check, sqlite3_stmt *stmt, const char *what,
                 enum status *status, struct error *error);

#endif
