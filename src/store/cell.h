/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One value of a row on its way between a struct, SQLite and the ledger's hash. Private. */
#ifndef SPRINGLINE_STORE_CELL_H
#define SPRINGLINE_STORE_CELL_H

#include "handle.h"

enum cell_type { CELL_NULL, CELL_INTEGER, CELL_TEXT, CELL_BLOB, CELL_REAL };

struct cell {
    enum cell_type type;
    int64_t integer;   /* CELL_INTEGER; the bits of a CELL_REAL */
    const void *bytes; /* CELL_TEXT, CELL_BLOB */
    size_t length;
};

struct cell cell_null(void);
struct cell cell_integer(int64_t value);
/* NULL when text is NULL or empty. */
struct cell cell_text(const char *text);
struct cell cell_blob(const void *bytes, size_t length);
/* NULL when none. */
struct cell cell_id(const struct id *id);
/* An instant as text in arena. */
enum status cell_instant(instant at, struct arena *arena, struct cell *cell, struct error *error);

/* The cell of one field of record; formatted text lives in arena. STATUS_INPUT: no such word,
 * a date outside the calendar kept, hardware both intact and faulty. */
enum status cell_of_field(const struct field *field, const void *record, struct arena *arena,
                          struct cell *cell, struct error *error);
/* What stands in a column of the row stmt is at; bytes live until the next step. */
struct cell cell_of_column(sqlite3_stmt *stmt, int column);
/* Binds to the parameter at index; the bytes must live until the statement is reset. */
int cell_bind(sqlite3_stmt *stmt, int index, const struct cell *cell);

/*
 * Reads fields from the columns of stmt that begin at first into record. Texts are copied into
 * arena; arena NULL: they point into the row and live until the next step.
 */
enum status fields_read(sqlite3_stmt *stmt, int first, const struct field *fields, size_t count,
                        const char *table, struct arena *arena, void *record, struct error *error);
/* A whole row as row_sql selects it: head and fields. */
enum status row_read(struct store *store, sqlite3_stmt *stmt, enum record_kind kind,
                     struct arena *arena, void *record, struct error *error);
enum { HEAD_COLUMNS = 8 }; /* columns of the head in those selects */

/* An array that grows in an arena; the size of its elements is the kind's. */
struct rows {
    char *items;
    size_t count, capacity;
};

/* One more element, zeroed; NULL: no memory. */
void *rows_add(struct rows *rows, size_t size, struct arena *arena);
/* The rows of a started and bound query, all of them. Resets it. read.c */
enum status rows_take(struct query *query, enum record_kind kind, struct arena *arena,
                      struct rows *rows, struct error *error);

/* Puts patient_erased where a text of the rows of a case was erased. erased.c */
enum status erased_mark(struct store *store, enum record_kind kind, const struct id *casefile,
                        const struct rows *rows, struct error *error);

/* ---- ledger.c ---- */

/* The hash before the first row: of the practice alone. */
void ledger_genesis(const struct id *practice, uint8_t hash[HASH_SIZE]);
/* The hash of a row at its place; false: no memory. cells in the order of shape->columns. */
bool ledger_hash(struct text *buffer, const uint8_t before[HASH_SIZE], int64_t sequence,
                 const struct shape *shape, const struct cell *cells, uint8_t hash[HASH_SIZE]);
/* The commitment to one personal value; false: no memory. */
bool ledger_seal(struct text *buffer, const uint8_t salt[SALT_SIZE], const struct column *column,
                 const struct cell *cell, uint8_t seal[HASH_SIZE]);

/* Writes the row of cells with its ledger row; save->sequence and hash move on. write.c */
enum status write_row(struct store *store, int table, sqlite3_stmt *insert,
                      const struct cell *cells, struct error *error);
/* Runs a statement of the save to its end. A refused row leaves the save as it was; any other
 * failure breaks it. write.c */
enum status write_end(struct store *store, struct query *query, const char *table,
                      struct error *error);
/* Runs a statement that writes seat state to its end: a part of the save that is open, else a
 * transaction of its own. draft.c */
enum status seat_write_end(struct store *store, struct query *query, const char *table,
                           struct error *error);
/* OK when a save is open and whole. write.c */
enum status save_check(struct store *store, struct error *error);

#endif
