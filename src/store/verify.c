/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The walk along the ledger: every row is hashed again at its place and compared.
 *
 * In slices, each a read transaction of its own, for while one stands no other seat can commit.
 * Rows are never changed, so it does not matter at which moment each is read; what is saved
 * meanwhile stands at the end and is walked too. The last slice counts the rows of the tables as
 * well.
 */
#include "verify.h"

#include <stdio.h>
#include <string.h>

/* Some 60 ms of walking. */
enum { SLICE_ROWS = 10000 };

void verify_find(struct verification *check, const char *format, ...)
{
    char line[600];
    va_list arguments;

    check->found++;
    if (check->found > FINDINGS_SHOWN)
        return;
    va_start(arguments, format);
    (void)vsnprintf(line, sizeof line, format, arguments);
    va_end(arguments);
    /* What is stored may hold a line break, and would tell a line of its own. */
    text_add_shown(&check->report->findings, line);
    text_add_byte(&check->report->findings, '\n');
}

static bool is_damage(int code)
{
    code &= 0xff;
    return code == SQLITE_CORRUPT || code == SQLITE_NOTADB || code == SQLITE_ERROR;
}

enum status verify_prepare(struct verification *check, const char *sql, sqlite3_stmt **stmt,
                           struct error *error)
{
    int code = sqlite3_prepare_v2(check->store->db, sql, -1, stmt, NULL);

    if (code == SQLITE_OK)
        return STATUS_OK;
    *stmt = NULL;
    if (!is_damage(code))
        return store_failure(check->store, code, error);
    verify_find(check, "the file: %s", sqlite3_errmsg(check->store->db));
    return STATUS_OK;
}

bool verify_step(struct verification *check, sqlite3_stmt *stmt, const char *what,
                 enum status *status, struct error *error)
{
    int code = stmt == NULL || *status != STATUS_OK ? SQLITE_DONE : sqlite3_step(stmt);

    if (code == SQLITE_ROW)
        return true;
    if (code == SQLITE_DONE)
        return false;
    if (is_damage(code))
        verify_find(check, "%s: can not be read (%s)", what, sqlite3_errmsg(check->store->db));
    else
        *status = store_failure(check->store, code, error);
    return false;
}

/* One ledger row on its way through the walk. */
struct place {
    int64_t sequence;
    int table; /* -1: names no table */
    char kind[24];
    struct id row;
    char id[ID_TEXT_SIZE];
    char recorded_at[INSTANT_TEXT_SIZE + 12];
    uint8_t hash[HASH_SIZE];
    bool whole; /* every column is of its form */
};

static void bad_row(struct verification *check, const struct place *place, const char *what)
{
    if (check->report->bad_sequence == 0)
        check->report->bad_sequence = place->sequence;
    verify_find(check, "ledger row %lld, %s %s of %s: %s", (long long)place->sequence, place->kind,
                place->id, place->recorded_at, what);
}

static int table_named(struct store *store, const char *kind)
{
    for (int table = 0; table < TABLE_COUNT; table++)
        if (strcmp(store->shapes[table].table, kind) == 0)
            return table;
    return -1;
}

static void read_place(struct store *store, sqlite3_stmt *stmt, struct place *place)
{
    const char *kind = (const char *)sqlite3_column_text(stmt, 1);
    const char *recorded_at = (const char *)sqlite3_column_text(stmt, 3);
    const void *hash = sqlite3_column_blob(stmt, 4);

    memset(place, 0, sizeof *place);
    place->sequence = sqlite3_column_int64(stmt, 0);
    (void)snprintf(place->kind, sizeof place->kind, "%s", kind != NULL ? kind : "");
    (void)snprintf(place->recorded_at, sizeof place->recorded_at, "%s",
                   recorded_at != NULL ? recorded_at : "");
    place->whole = query_column_id(stmt, 2, &place->row) && hash != NULL &&
                   sqlite3_column_bytes(stmt, 4) == HASH_SIZE &&
                   sqlite3_column_type(stmt, 0) == SQLITE_INTEGER;
    if (hash != NULL && sqlite3_column_bytes(stmt, 4) == HASH_SIZE)
        memcpy(place->hash, hash, HASH_SIZE);
    id_to_text(&place->row, place->id);
    place->table = table_named(store, place->kind);
}

/* A blank has no seal to be held against: an erasure must name it. A value beside a blank salt is
 * told by its seal. */
static enum status check_blank(struct verification *check, const struct place *place,
                               const char *column, struct error *error)
{
    bool named = false;
    char what[128];
    enum status status = verify_erased(check, place->kind, &place->row, column, &named, error);

    if (status == STATUS_OK && !named) {
        (void)snprintf(what, sizeof what, "%s is blank, and no erasure names it", column);
        bad_row(check, place, what);
    }
    return status;
}

/* The personal values against their seals, named by field. */
static enum status check_seals(struct verification *check, const struct place *place,
                               const struct cell *cells, struct error *error)
{
    const struct shape *shape = &check->store->shapes[place->table];
    const size_t count = shape->personal_count, at_salts = shape->first_field - 2;
    const uint8_t *salts = cells[at_salts].bytes, *seals = cells[at_salts + 1].bytes;
    const uint8_t none[SALT_SIZE] = {0};
    enum status status = STATUS_OK;
    uint8_t seal[HASH_SIZE];
    char what[96];
    size_t done = 0;

    if (cells[at_salts].type != CELL_BLOB || cells[at_salts].length != count * SALT_SIZE ||
        cells[at_salts + 1].type != CELL_BLOB || cells[at_salts + 1].length != count * HASH_SIZE) {
        bad_row(check, place, "its salts or seals are cut");
        return STATUS_OK;
    }
    for (size_t i = shape->first_field; i < shape->column_count && status == STATUS_OK; i++) {
        if (shape->columns[i].hashed)
            continue;
        if (!ledger_seal(&check->store->buffer, salts + done * SALT_SIZE, &shape->columns[i],
                         &cells[i], seal))
            return error_no_memory(error);
        if (cells[i].type == CELL_NULL && memcmp(salts + done * SALT_SIZE, none, SALT_SIZE) == 0) {
            status = check_blank(check, place, shape->columns[i].name, error);
        } else if (memcmp(seal, seals + done * HASH_SIZE, HASH_SIZE) != 0) {
            (void)snprintf(what, sizeof what, "%s is not what was recorded",
                           shape->columns[i].name);
            bad_row(check, place, what);
        }
        done++;
    }
    return status;
}

/* The row that stands at its place in its table, hashed after before. */
static enum status check_row(struct verification *check, const struct place *place,
                             sqlite3_stmt *stmt, const uint8_t before[HASH_SIZE],
                             struct error *error)
{
    const struct shape *shape = &check->store->shapes[place->table];
    const struct cell *recorded_at = NULL;
    struct cell cells[COLUMNS_MAX] = {{0}};
    uint8_t hash[HASH_SIZE];
    char what[128];

    for (size_t i = 0; i < shape->column_count; i++) {
        cells[i] = cell_of_column(stmt, (int)i);
        if (strcmp(shape->columns[i].name, "recorded_at") == 0)
            recorded_at = &cells[i];
    }
    if (!ledger_hash(&check->store->buffer, before, place->sequence, shape, cells, hash))
        return error_no_memory(error);
    if (memcmp(hash, place->hash, HASH_SIZE) != 0)
        bad_row(check, place, "the row or this ledger row is not what was recorded");
    else if (cells[0].type != CELL_BLOB || cells[0].length != sizeof place->row.bytes ||
             memcmp(cells[0].bytes, place->row.bytes, sizeof place->row.bytes) != 0)
        bad_row(check, place, "the ledger names another row");
    else if (recorded_at == NULL || recorded_at->type != CELL_TEXT ||
             recorded_at->length != strlen(place->recorded_at) ||
             memcmp(recorded_at->bytes, place->recorded_at, recorded_at->length) != 0)
        bad_row(check, place, "the ledger and the row were recorded at different instants");
    for (size_t at = 0; verify_refer_next(shape, stmt, &at, what, sizeof what);)
        bad_row(check, place, what);
    return shape->personal_count > 0 ? check_seals(check, place, cells, error) : STATUS_OK;
}

struct walk {
    sqlite3_stmt *rows[TABLE_COUNT]; /* :sequence -> every column, then every reference */
    int64_t expected;
    bool gapless; /* so far every place was the one expected */
    uint8_t before[HASH_SIZE];
    char recorded_at[INSTANT_TEXT_SIZE + 12];
};

/*
 * Every column out of the table itself. Found through the index of sequence but read through the
 * rowid: SQLite would else take id or sequence out of an index, and a changed cell go unseen.
 */
static enum status prepare_row(struct verification *check, int table, sqlite3_stmt **stmt,
                               struct error *error)
{
    const struct shape *shape = &check->store->shapes[table];
    struct text sql = {0};
    enum status status;

    text_add(&sql, "SELECT ");
    for (size_t i = 0; i < shape->column_count; i++)
        text_addf(&sql, "%skept.\"%s\"", i == 0 ? "" : ", ", shape->columns[i].name);
    verify_refer_sql(&sql, shape);
    text_addf(&sql,
              " FROM %s AS place CROSS JOIN %s AS kept ON kept.rowid = place.rowid "
              "WHERE place.sequence = :sequence",
              shape->table, shape->table);
    status =
        sql.failed ? error_no_memory(error) : verify_prepare(check, text_string(&sql), stmt, error);
    text_release(&sql);
    return status;
}

static enum status check_place(struct verification *check, struct walk *walk,
                               const struct place *place, struct error *error)
{
    sqlite3_stmt *stmt = place->table < 0 ? NULL : walk->rows[place->table];
    enum status status = STATUS_OK;
    char what[128];

    if (place->sequence != walk->expected)
        bad_row(check, place, "ledger rows before it are missing");
    if (strcmp(place->recorded_at, walk->recorded_at) < 0)
        bad_row(check, place, "its instant lies before that of the row above");
    if (!place->whole || place->table < 0) {
        bad_row(check, place, "this ledger row is not what was recorded");
        return STATUS_OK;
    }
    check->counted[place->table]++;
    if (stmt == NULL)
        return STATUS_OK; /* its table is missing, and a finding */
    (void)snprintf(what, sizeof what, "ledger row %lld, %s %s", (long long)place->sequence,
                   place->kind, place->id);
    if (sqlite3_bind_int64(stmt, 1, place->sequence) != SQLITE_OK)
        return store_failure(check->store, SQLITE_NOMEM, error);
    int64_t found = check->found;
    if (verify_step(check, stmt, what, &status, error))
        status = check_row(check, place, stmt, walk->before, error);
    else if (status == STATUS_OK && check->found == found)
        bad_row(check, place, "the row is missing");
    if (check->found > found && check->report->bad_sequence == 0)
        check->report->bad_sequence = place->sequence;
    sqlite3_reset(stmt);
    return status;
}

/* One slice; *more: it ended before the ledger did. After a place that is not the one expected
 * nothing can be found again by its place: the rest is one slice. */
static enum status walk_slice(struct verification *check, struct walk *walk, bool *more,
                              struct error *error)
{
    const int64_t end = walk->expected + SLICE_ROWS;
    sqlite3_stmt *ledger = NULL;
    struct text sql = {0};
    enum status status;

    *more = false;
    text_add(&sql, "SELECT sequence, kind, row, recorded_at, hash FROM ledger");
    if (walk->expected > 1)
        text_addf(&sql, " WHERE sequence >= %lld", (long long)walk->expected);
    text_add(&sql, " ORDER BY sequence");
    status = sql.failed ? error_no_memory(error)
                        : verify_prepare(check, text_string(&sql), &ledger, error);
    text_release(&sql);
    while (!*more && verify_step(check, ledger, "the ledger", &status, error)) {
        struct place place;

        read_place(check->store, ledger, &place);
        walk->gapless = walk->gapless && place.whole && place.sequence == walk->expected;
        status = check_place(check, walk, &place, error);
        check->report->rows++;
        walk->expected = place.sequence + 1;
        memcpy(walk->before, place.hash, HASH_SIZE);
        memcpy(walk->recorded_at, place.recorded_at, sizeof walk->recorded_at);
        *more = walk->gapless && walk->expected >= end;
    }
    sqlite3_finalize(ledger);
    return status;
}

static enum status walk_ledger(struct verification *check, struct walk *walk, struct error *error)
{
    bool more = true;
    enum status status = STATUS_OK;

    while (more && status == STATUS_OK) {
        status = walk_slice(check, walk, &more, error);
        if (more && status == STATUS_OK)
            status = verify_let_others(check, error);
    }
    return status;
}

static enum status check_ledger(struct verification *check, struct error *error)
{
    struct walk walk = {.expected = 1, .gapless = true};
    enum status status = STATUS_OK;

    ledger_genesis(&check->store->practice, walk.before);
    for (int table = 0; table < TABLE_COUNT && status == STATUS_OK; table++)
        status = prepare_row(check, table, &walk.rows[table], error);
    if (status == STATUS_OK)
        status = walk_ledger(check, &walk, error);
    for (int table = 0; table < TABLE_COUNT; table++)
        sqlite3_finalize(walk.rows[table]);
    memcpy(check->report->head, walk.before, HASH_SIZE);
    check->report->verdicts = check->counted[RECORD_JUDGED];
    return status;
}

enum status verify_let_others(struct verification *check, struct error *error)
{
    enum status status = STATUS_OK;

    if (!check->began)
        return STATUS_OK;
    status = read_end(check->store, true, STATUS_OK, error);
    check->began = false;
    return status == STATUS_OK ? read_begin(check->store, &check->began, error) : status;
}

/* Each part for itself, so that a save waits for none but the one it falls into. */
static enum status check_parts(struct verification *check, struct error *error)
{
    enum status status = check_ledger(check, error);

    if (status == STATUS_OK) /* of the moment at which the walk came to its end, as the next */
        status = verify_erasures(check, error);
    if (status == STATUS_OK)
        status = verify_outside(check, error);
    if (status == STATUS_OK)
        status = verify_let_others(check, error);
    if (status == STATUS_OK)
        status = verify_schema(check, error);
    if (status == STATUS_OK)
        status = verify_integrity(check, error);
    return status;
}

enum status store_verify(struct store *store, struct verify_report *report, struct error *error)
{
    struct verification check = {.store = store, .report = report};
    enum status status = read_begin(store, &check.began, error);

    memset(report, 0, sizeof *report);
    if (status != STATUS_OK)
        return status;
    status = check_parts(&check, error);
    sqlite3_finalize(check.erased);
    status = read_end(store, check.began, status, error);
    if (status != STATUS_OK)
        return status;
    if (check.found > FINDINGS_SHOWN)
        text_addf(&report->findings, "and %lld more\n", (long long)(check.found - FINDINGS_SHOWN));
    if (report->findings.failed)
        return error_no_memory(error);
    if (check.found > 0)
        return error_set(error, STATUS_DAMAGED, store->path,
                         "%s is not what was recorded (%lld findings, first bad ledger row %lld): "
                         "stop working in it and restore the newest backup.",
                         store->path, (long long)check.found, (long long)report->bad_sequence);
    return STATUS_OK;
}
