/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lawful erasure of one patient's personal values. */
#include "springline/store/erase.h"

#include <stdlib.h>
#include <string.h>

#include "cell.h"
#include "springline/store/subject.h"

enum { PERSONAL_MAX = 16 }; /* personal fields of a kind */

/* A row that holds personal values. */
struct holder {
    enum record_kind kind;
    struct id id;
    uint8_t salts[PERSONAL_MAX * SALT_SIZE];
    bool held[PERSONAL_MAX]; /* in the order of the columns */
};

enum status store_open_erasing(const struct store *store, struct store **erasing,
                               struct error *error)
{
    struct store *made;
    enum status status = STATUS_OK;

    if (store->save.open)
        return error_set(error, STATUS_USAGE, store->path, "A save is open on %s already.",
                         store->path);
    made = calloc(1, sizeof *made);
    if (made == NULL)
        return error_no_memory(error);
    made->source = store->source;
    made->wait_ms = store->wait_ms;
    made->waiting = store->waiting;
    made->waiting_context = store->waiting_context;
    made->erasing = true;
    made->path = strdup(store->path);
    if (made->path == NULL || !shapes_make(made))
        status = error_no_memory(error);
    if (status == STATUS_OK)
        status = connection_open(made, true, error);
    if (status != STATUS_OK) {
        store_close(made);
        return as_unusable(status, error);
    }
    *erasing = made;
    return STATUS_OK;
}

/* ---- the rows that hold something ---- */

/* id, salts, then each personal column, of the rows in which one is recorded. */
static void add_holders_sql(struct text *sql, const struct shape *shapes, enum record_kind kind)
{
    const struct shape *shape = &shapes[kind];
    const char *before = "";

    subject_sql_with(sql, shapes);
    text_add(sql, "SELECT kept.id, kept.salts");
    for (size_t i = shape->first_field; i < shape->column_count; i++)
        if (!shape->columns[i].hashed)
            text_addf(sql, ", kept.\"%s\" IS NOT NULL", shape->columns[i].name);
    text_addf(sql, " FROM %s AS kept WHERE ", shape->table);
    (void)subject_sql_where(sql, kind);
    text_add(sql, " AND (");
    for (size_t i = shape->first_field; i < shape->column_count; i++) {
        if (shape->columns[i].hashed)
            continue;
        text_addf(sql, "%skept.\"%s\" IS NOT NULL", before, shape->columns[i].name);
        before = " OR ";
    }
    text_add(sql, ") ORDER BY kept.sequence");
}

static enum status read_holder(struct query *query, const struct shape *shape,
                               struct holder *holder, struct error *error)
{
    const size_t size = shape->personal_count * SALT_SIZE;
    const void *salts = sqlite3_column_blob(query->stmt, 1);

    if (!query_column_id(query->stmt, 0, &holder->id) || salts == NULL ||
        sqlite3_column_bytes(query->stmt, 1) != (int)size || size > sizeof holder->salts)
        return store_damaged(shape->table, "salts", error);
    memcpy(holder->salts, salts, size);
    for (size_t i = 0; i < shape->personal_count; i++)
        holder->held[i] = sqlite3_column_int(query->stmt, 2 + (int)i) != 0;
    return STATUS_OK;
}

static enum status take_holders(struct store *store, enum record_kind kind,
                                const struct id *patient, struct arena *arena, struct rows *rows,
                                struct error *error)
{
    struct text sql = {0};
    sqlite3_stmt *stmt;
    enum status status, ended;

    add_holders_sql(&sql, store->shapes, kind);
    status = subject_prepare(store, &sql, &stmt, error);
    text_release(&sql);
    if (status != STATUS_OK)
        return status;
    struct query query = query_start(store, stmt);
    query_id(&query, ":patient", patient);
    while (status == STATUS_OK && query_row(&query)) {
        struct holder *holder = rows_add(rows, sizeof *holder, arena);

        if (holder == NULL) {
            status = error_no_memory(error);
        } else {
            holder->kind = kind;
            status = read_holder(&query, &store->shapes[kind], holder, error);
        }
    }
    ended = query_end(&query, status == STATUS_OK ? error : NULL);
    sqlite3_finalize(stmt);
    return status == STATUS_OK ? ended : status;
}

/* Every row that holds something, the patient's first. */
static enum status take_all(struct store *store, const struct id *patient, struct arena *arena,
                            struct rows *rows, struct error *error)
{
    enum status status = STATUS_OK;

    memset(rows, 0, sizeof *rows);
    for (int kind = 0; kind < RECORD_KIND_COUNT && status == STATUS_OK; kind++)
        if (store->shapes[kind].personal_count > 0)
            status = take_holders(store, (enum record_kind)kind, patient, arena, rows, error);
    return status;
}

static void count_holder(const struct store *store, const struct holder *holder,
                         struct store_erased *erased)
{
    erased->rows[holder->kind]++;
    for (size_t i = 0; i < store->shapes[holder->kind].personal_count; i++)
        erased->values += holder->held[i];
}

static enum status count_draft(void *context, const struct draft *draft, struct error *error)
{
    struct store_erased *erased = context;

    (void)draft;
    (void)error;
    erased->drafts++;
    return STATUS_OK;
}

enum status store_count_erasable(struct store *store, const struct id *patient,
                                 struct store_erased *erased, struct error *error)
{
    struct arena arena = {0};
    struct rows rows;
    enum status status = take_all(store, patient, &arena, &rows, error);
    const struct holder *holders = (const void *)rows.items;

    memset(erased, 0, sizeof *erased);
    for (size_t i = 0; i < rows.count && status == STATUS_OK; i++)
        count_holder(store, &holders[i], erased);
    if (status == STATUS_OK)
        status = store_each_subject_draft(store, patient, count_draft, erased, error);
    arena_release(&arena);
    return status;
}

/* ---- blanking ---- */

/* The row of erasure, which the update will be held against. */
static enum status append_erasure(struct store *store, const struct holder *holder,
                                  const char *ground, struct error *error)
{
    const struct shape *shape = &store->shapes[holder->kind];
    char row[ID_TEXT_SIZE];
    struct erasure erasure = {.head.reason = ground, .kind = shape->table};
    struct text fields = {0};
    size_t done = 0;
    enum status status;

    for (size_t i = shape->first_field; i < shape->column_count; i++)
        if (!shape->columns[i].hashed && holder->held[done++])
            text_addf(&fields, "%s%s", fields.length == 0 ? "" : " ", shape->columns[i].name);
    erasure.row = id_to_text(&holder->id, row);
    erasure.fields = text_string(&fields);
    status = fields.failed ? error_no_memory(error)
                           : store_append(store, RECORD_ERASURE, &erasure, error);
    text_release(&fields);
    return status;
}

static void add_blank_sql(struct text *sql, const struct shape *shape)
{
    text_addf(sql, "UPDATE %s SET salts = :salts", shape->table);
    for (size_t i = shape->first_field; i < shape->column_count; i++)
        if (!shape->columns[i].hashed)
            text_addf(sql, ", \"%s\" = NULL", shape->columns[i].name);
    text_add(sql, " WHERE id = :id");
}

/* What was never recorded keeps its salt: it is no blank of this erasure. */
static enum status blank(struct store *store, struct holder *holder, struct error *error)
{
    const struct shape *shape = &store->shapes[holder->kind];
    struct text sql = {0};
    sqlite3_stmt *stmt;
    enum status status;

    for (size_t i = 0; i < shape->personal_count; i++)
        if (holder->held[i])
            memset(holder->salts + i * SALT_SIZE, 0, SALT_SIZE);
    add_blank_sql(&sql, shape);
    status = subject_prepare(store, &sql, &stmt, error);
    text_release(&sql);
    if (status != STATUS_OK)
        return status;
    struct query query = query_start(store, stmt);
    query_blob(&query, ":salts", holder->salts, shape->personal_count * SALT_SIZE);
    query_id(&query, ":id", &holder->id);
    status = write_end(store, &query, shape->table, error);
    if (status == STATUS_OK && sqlite3_changes(store->db) != 1)
        status = store_damaged(shape->table, "id", error);
    sqlite3_finalize(stmt);
    return status;
}

static enum status drop_drafts(struct store *store, const struct id *patient, int32_t *dropped,
                               struct error *error)
{
    struct text sql = {0};
    sqlite3_stmt *stmt;
    enum status status;

    subject_sql_with(&sql, store->shapes);
    text_add(&sql, "DELETE FROM draft WHERE casefile IN (SELECT record FROM subject_case)");
    status = subject_prepare(store, &sql, &stmt, error);
    text_release(&sql);
    if (status != STATUS_OK)
        return status;
    struct query query = query_start(store, stmt);
    query_id(&query, ":patient", patient);
    status = write_end(store, &query, "draft", error);
    if (status == STATUS_OK)
        *dropped = sqlite3_changes(store->db);
    sqlite3_finalize(stmt);
    return status;
}

static enum status erase_rows(struct store *store, const struct id *patient, const char *ground,
                              struct store_erased *erased, struct error *error)
{
    struct arena arena = {0};
    struct rows rows;
    enum status status = take_all(store, patient, &arena, &rows, error);
    struct holder *holders = (void *)rows.items;

    for (size_t i = 0; i < rows.count && status == STATUS_OK; i++) {
        count_holder(store, &holders[i], erased);
        status = append_erasure(store, &holders[i], ground, error);
        if (status == STATUS_OK)
            status = blank(store, &holders[i], error);
    }
    arena_release(&arena);
    return status;
}

enum status store_erase_patient(struct store *erasing, const struct id *patient, const char *ground,
                                struct store_erased *erased, struct error *error)
{
    enum status status = save_check(erasing, error);

    memset(erased, 0, sizeof *erased);
    if (status == STATUS_OK && !erasing->erasing)
        status = error_set(error, STATUS_USAGE, erasing->path,
                           "Only a connection that was opened to erase may blank anything.");
    if (status == STATUS_OK)
        status = erase_rows(erasing, patient, ground, erased, error);
    if (status == STATUS_OK)
        status = drop_drafts(erasing, patient, &erased->drafts, error);
    /* Rows that stand half blanked may never be committed. */
    if (status != STATUS_OK && erasing->save.open)
        erasing->save.broken = true;
    return status;
}

/* ---- the unused space ---- */

enum status store_clean(struct store *store, struct error *error)
{
    const int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE;
    struct store beside = {.path = store->path};
    enum status status = STATUS_OK;
    int code;

    if (store->db == NULL)
        return store_is_closed(store, error);
    if (store->save.open)
        return error_set(error, STATUS_USAGE, store->path, "A save is open on %s already.",
                         store->path);
    code = sqlite3_open_v2(store->path, &beside.db, flags, NULL);
    if (code == SQLITE_OK)
        code = sqlite3_busy_handler(beside.db, wait_busy, store);
    if (code == SQLITE_OK)
        status = settings_apply(beside.db, store->path, error);
    if (code == SQLITE_OK && status == STATUS_OK) {
        (void)sqlite3_limit(beside.db, SQLITE_LIMIT_ATTACHED, 1); /* VACUUM attaches its copy */
        code = sqlite3_exec(beside.db, "VACUUM", NULL, NULL, NULL);
    }
    if (code != SQLITE_OK)
        status = store_failure(&beside, code, error);
    (void)sqlite3_close(beside.db);
    return as_unusable(status, error);
}
