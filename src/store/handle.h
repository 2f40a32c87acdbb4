/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of a store: one connection, its statements, the save that is open. Private. */
#ifndef SPRINGLINE_STORE_HANDLE_H
#define SPRINGLINE_STORE_HANDLE_H

#include <sqlite3.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "springline/base/arena.h"
#include "springline/base/text.h"
#include "springline/core/record.h"
#include "springline/store/store.h"

/* Bytes 68-71 of the file: "SPLN". */
#define STORE_APPLICATION_ID INT32_C(0x53504c4e)

enum {
    HASH_SIZE = 32,
    SALT_SIZE = 16,
    COLUMNS_MAX = 64,         /* of any table of the ledger */
    WAIT_MS = 5000,           /* for another seat's save */
    WAIT_SHOWN_MS = 100,      /* from here the screen may say that it waits */
    CACHE_KIB = 8192,         /* as in settings.c */
    CACHE_IMPORT_KIB = 131072 /* keys are random: an import touches every page of an index */
};

/* The tables of the ledger: one per enum record_kind, then these. */
enum { TABLE_REQUEST = RECORD_KIND_COUNT, TABLE_WITHDRAWAL, TABLE_COUNT };

/* One column of a table of the ledger. */
struct column {
    const char *name;
    size_t name_length;
    const struct field *field; /* NULL: of the row's head */
    bool hashed;               /* personal values and their salts are not: their seals are */
};

struct shape {
    const char *table;
    const struct column *columns; /* in the order of the SQL table */
    size_t column_count;
    size_t personal_count; /* fields flagged FIELD_PERSONAL */
    size_t first_field;    /* columns before it are the row's head */
};

/* Statements written by hand; SQL in statement.c. */
enum statement {
    STATEMENT_BEGIN_READ,
    STATEMENT_BEGIN_WRITE,
    STATEMENT_COMMIT,
    STATEMENT_ROLLBACK,
    STATEMENT_DATA_VERSION,
    STATEMENT_PRACTICE,
    STATEMENT_HEAD,
    STATEMENT_LEDGER_INSTANT,
    STATEMENT_LEDGER_HASH,
    STATEMENT_LEDGER_INSERT,
    STATEMENT_REQUEST_FIND,
    STATEMENT_REQUEST_INSERT,
    STATEMENT_WITHDRAWAL_INSERT,
    STATEMENT_CHART_OF_CASE,
    STATEMENT_STATE_PUT, /* this and the next four: generated, state.c */
    STATEMENT_STATE,
    STATEMENT_STATES,
    STATEMENT_SEARCH,
    STATEMENT_BOOKINGS,
    STATEMENT_REPEAT_PAIRS,
    STATEMENT_MONTHS,
    STATEMENT_MONTH_HAS_CASES,
    STATEMENT_PEOPLE,
    STATEMENT_WITHDRAWAL_OF,
    STATEMENT_SAVE,
    STATEMENT_IMPORTS,
    STATEMENT_NEWEST_SAVE,
    STATEMENT_ROWS_OF_SAVE,
    STATEMENT_GREATEST_CASE,
    STATEMENT_GREATEST_CHART,
    STATEMENT_STATE_DROP,
    STATEMENT_STATE_WORDS,
    STATEMENT_STATES_MISSING,
    STATEMENT_STATES_COUNT,
    STATEMENT_CASE_AFTER,
    STATEMENT_DRAFT_PUT,
    STATEMENT_DRAFT_DROP,
    STATEMENT_DRAFTS,
    STATEMENT_DRAFT_OF_CASE,
    STATEMENT_SECRET, /* these, but LOGIN: secret.c */
    STATEMENT_SECRETS,
    STATEMENT_SECRET_PUT,
    STATEMENT_FAILURE,
    STATEMENT_FAILURE_PUT,
    STATEMENT_FAILURE_DROP,
    STATEMENT_LOGIN_OWNER,
    STATEMENT_LOGIN_TAKEN,
    STATEMENT_LOG,
    STATEMENT_LOG_OF,
    STATEMENT_UNSIGNED, /* this and the next six: generated, signature.c */
    STATEMENT_UNSIGNED_AS_OF,
    STATEMENT_UNSIGNED_COUNT,
    STATEMENT_UNSIGNED_SUMS,
    STATEMENT_TO_SIGN,
    STATEMENT_VISIT_SIGNED,
    STATEMENT_SIGNED_OF_CASE,
    STATEMENT_PRESENCE_PUT,
    STATEMENT_PRESENCE_DROP,
    STATEMENT_PRESENCES,
    STATEMENT_COUNT
};

/* Statements generated from record_tables[] for each kind; row_sql.c. */
enum row_statement {
    ROW_INSERT,    /* every column by name */
    ROW_STANDING,  /* :id -> record, version, replaced, withdrawn */
    ROW_OF_CASE,   /* :casefile, :as_of */
    ROW_OF_RECORD, /* :record, :as_of */
    ROW_OF_NAME,   /* :name, :as_of (protocol) */
    ROW_FIND,      /* :key, :as_of -> record (patient, casefile) */
    ROW_RECORDS,   /* :as_of -> record, by case number (casefile) */
    ROW_SAME_KEY,  /* the key fields by name, :as_of */
    ROW_EACH,      /* :as_of, in key order */
    ROW_BY_CASE,   /* :as_of, case after case by the id (expander, width) */
    ROW_VERSIONS,  /* :record, newest first; row_story_sql.c, as the next three */
    ROW_WITHDRAWN, /* :casefile -> the row, then withdrawn when, who, with which save, why */
    ROW_BY_ID,     /* :id, current or not */
    ROW_EVER,      /* :casefile -> the row, current or not, then the sequence that ended it */
    ROW_STATEMENT_COUNT
};

/* The save that is open between store_begin and store_commit. */
struct save {
    bool open;
    bool broken;     /* an error other than a refused row: nothing of it may be committed */
    bool distrusted; /* the error was of the file: the connection must be renewed */
    struct id request, person;
    bool imported;
    instant at;       /* of every row of the save */
    int64_t sequence; /* newest ledger row, of this save or before it */
    uint8_t hash[HASH_SIZE];
};

struct store {
    sqlite3 *db; /* NULL: closed after an error that could not be mended */
    char *path;  /* absolute */
    struct store_source source;
    struct id practice;
    struct shape shapes[TABLE_COUNT];
    sqlite3_stmt *statements[STATEMENT_COUNT];
    sqlite3_stmt *rows[RECORD_KIND_COUNT][ROW_STATEMENT_COUNT]; /* NULL: the kind has none */
    struct arena arena;                                         /* the shapes */
    struct arena scratch;                                       /* texts of the row being written */
    struct text buffer;                                         /* what is hashed */
    struct save save;
    bool reading; /* opened to be read only: a copy being checked */
    bool erasing; /* opened to blank personal values, and for nothing else */
    bool whole;   /* every statement is prepared, not only those of a first screen */
    bool tuning;  /* the authoriser lets cache_size be set */
    int wait_ms;  /* WAIT_MS; 0: do not wait */
    bool hurried; /* nobody waits now, whatever wait_ms says */
    int64_t wait_began_ms;
    store_waiting waiting; /* NULL: nobody is told */
    void *waiting_context;
    int64_t data_version;
    sqlite3 *ladder;         /* a store in memory with the ladder's schema, once verify asked */
    struct id known_request; /* the request last looked up, and whether it was an import */
    bool known_imported;
};

/* ---- failure.c ---- */

/* The sentence and status for an SQLite result (extended code) on store; returns the status. */
enum status store_failure(struct store *store, int code, struct error *error);
/* The same for a row of table that was refused or could not be written. */
enum status store_row_failure(struct store *store, int code, const char *table,
                              struct error *error);
/* STATUS_UNUSABLE: the store was closed after an error. */
enum status store_is_closed(struct store *store, struct error *error);
/* STATUS_DAMAGED: a row holds what can not be. column may be NULL. */
enum status store_damaged(const char *table, const char *column, struct error *error);

/* ---- query.c: a prepared statement from binding to reset, errors kept until the end ---- */

struct query {
    struct store *store;
    sqlite3_stmt *stmt;
    int code; /* first failure; SQLITE_OK */
};

/* Takes a statement; one that is in use (or missing) is a failure, told at query_end. */
struct query query_start(struct store *store, sqlite3_stmt *stmt);
/* Each binds the parameter of that name (":case"). */
void query_integer(struct query *query, const char *name, int64_t value);
/* NULL when text is NULL or empty. The text must live until query_end. */
void query_text(struct query *query, const char *name, const char *text);
/* NULL when the id is none. The id must live until query_end. */
void query_id(struct query *query, const char *name, const struct id *id);
void query_blob(struct query *query, const char *name, const void *bytes, size_t count);
void query_day(struct query *query, const char *name, day date);
void query_instant(struct query *query, const char *name, instant at);
/* True: a row stands in query->stmt. False: no more, or a failure. */
bool query_row(struct query *query);
/* Resets. OK, or the failure with its sentence. */
enum status query_end(struct query *query, struct error *error);
/* Steps a statement without result to its end and resets it; returns SQLite's result. */
int query_run(struct query *query);

/* Reads a 16-byte id of a column; false when it is anything else. NULL gives none. */
bool query_column_id(sqlite3_stmt *stmt, int column, struct id *id);

/* A read transaction, unless one is open: *began says so. */
enum status read_begin(struct store *store, bool *began, struct error *error);
/* Ends it if it began here; keeps the first failure. */
enum status read_end(struct store *store, bool began, enum status status, struct error *error);

/* ---- shape.c ---- */

/* Fills store->shapes; false: no memory. */
bool shapes_make(struct store *store);
/* Appends the SQL column of a field: right_mm -> right_um, case -> casefile. */
void column_name(struct text *out, const struct field *field);

/* ---- statement.c, row_sql.c ---- */

/* Prepares the statements that a first screen reads; the authoriser stands already. */
enum status statements_prepare_first(struct store *store, struct error *error);
/* Prepares every other statement; nothing to do when the store is whole. */
enum status statements_prepare_rest(struct store *store, struct error *error);
/* Finalizes every statement. */
void statements_finalize(struct store *store);
/* Appends the SQL of one generated statement; nothing when the kind has none. */
void row_sql(struct text *sql, const struct shape *shapes, enum record_kind kind,
             enum row_statement which);
/* The same for the story of a record: its versions, the withdrawn ones, a row by its id. */
void row_story_sql(struct text *sql, const struct shape *shapes, enum record_kind kind,
                   enum row_statement which);
/* Does a row of the kind belong to a case? */
bool row_of_case(enum record_kind kind);
/* Appends the search of find_dependent in one kind: :first, :last -> id, sequence. */
void row_dependent_sql(struct text *sql, const struct shape *shapes, enum record_kind kind);
/* Appends SELECT with the head and fields of the row called kept, as row_read takes them. */
void row_sql_select(struct text *sql, const struct shape *shape);
/* Appends the SQL of a statement about case_state. */
void state_sql(struct text *sql, const struct shape *shapes, enum statement which);
/* The same about signatures. */
void signature_sql(struct text *sql, const struct shape *shapes, enum statement which);

/* ---- guard.c, settings.c, authorise.c, wait.c, ladder.c ---- */

/* What a file system is called when it is of another machine or a program; NULL: local. */
const char *network_file_system(long type);
/* Everything that can be told of an existing file before SQLite opens it. absolute: malloc. */
enum status guard_existing(const char *path, char **absolute, int *version, struct error *error);
/* Is what was examined at place this user's? root passes: it has to mend things. private.c. */
struct stat;
enum status guard_owner(const char *place, const struct stat *about, struct error *error);
/* May a store be made at path? Nothing exists there, the folder is local and can be written. */
enum status guard_new(const char *path, struct error *error);
/* Settings of a connection, each read back. */
enum status settings_apply(sqlite3 *db, const char *path, struct error *error);
/* The page cache of the working connection, in KiB. */
enum status settings_cache(struct store *store, int kib, struct error *error);
/* The authoriser of the working connection. */
int authorise(void *context, int action, const char *first, const char *second,
              const char *database, const char *trigger);
/* That of a connection that erases. */
int authorise_erasing(void *context, int action, const char *first, const char *second,
                      const char *database, const char *trigger);
/* SQLite's busy handler: waits, tells, gives up after store->wait_ms. */
int wait_busy(void *store, int count);

struct schema_rung;
/* Climbs from the file's version to count, one transaction a rung. practice: written with rung 1.
 */
enum status ladder_climb(const char *path, const struct schema_rung *rungs, size_t count,
                         const struct id *practice, instant made_at, struct error *error);

/* ---- subject.c: the rows about one patient, bound as :patient ---- */

/* Appends the WITH that the next two lean on: subject_case (record), subject_row (id). */
void subject_sql_with(struct text *sql, const struct shape *shapes);
/* Appends a condition on the row of kind called kept; false: no row of kind is about a patient. */
bool subject_sql_where(struct text *sql, enum record_kind kind);
/* Prepares sql for one use. */
enum status subject_prepare(struct store *store, const struct text *sql, sqlite3_stmt **stmt,
                            struct error *error);

/* ---- draft.c ---- */

struct draft;
/* A draft from the columns form, casefile, saved_at, filled, request, content of a row. */
bool draft_read(sqlite3_stmt *stmt, const char *user, struct draft *draft);

/* ---- manifest.c ---- */

/* Appends what stands in the manifest of a copy. */
void manifest_add(struct text *out, const struct store_copy *copy, const struct id *practice);
/* Writes it whole to path, where nothing is, and flushes it to the disk. STATUS_INPUT: something is
 * there; on any other failure nothing is left. */
enum status manifest_write(const char *path, const struct text *content, struct error *error);

/* ---- open.c ---- */

/* Opens store->path and everything that hangs on the connection; not whole: of the statements only
 * those of a first screen. */
enum status connection_open(struct store *store, bool whole, struct error *error);
/* The newest ledger row: 0, INSTANT_NONE and the practice's hash when there is none. */
enum status head_read(struct store *store, int64_t *sequence, instant *newest,
                      uint8_t hash[HASH_SIZE], struct error *error);
/* Closes the connection; the store stays. */
void connection_close(struct store *store);
/* A damaged file is one that can not be opened or copied: exit 3, not the "no" of verify. */
enum status as_unusable(enum status status, struct error *error);
/* Makes an empty file (mode 0600) where nothing is. STATUS_INPUT: something is. STATUS_UNUSABLE: it
 * can not be made, and errno says why. */
enum status file_make(const char *path, struct error *error);
/* The copy at path, opened to be read only, without any of the guards of a store that is worked in;
 * store_close. source is that of the store copied. */
enum status copy_open(const char *path, const struct store_source *source, struct store **copy,
                      struct error *error);
/*
 * After an error of the disk nothing that a connection remembers can be trusted (Linux marks the
 * pages of a failed fsync clean): closes it and opens another, which rolls back what was not
 * committed. False: the store stays closed. commit.c
 */
bool connection_renew(struct store *store);

#endif
