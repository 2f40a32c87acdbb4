/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rows about one patient, of every version, with their places in the ledger. */
#include "springline/store/subject.h"

#include <string.h>

#include "cell.h"

/* A case belongs to the patient that its newest version names. */
static const char with_cases[] =
    "WITH subject_case (record) AS MATERIALIZED (SELECT file.record FROM casefile AS file "
    "WHERE file.patient = :patient AND NOT EXISTS (SELECT 1 FROM casefile AS newer "
    "WHERE newer.replaces = file.id))";

/* The condition for a row that is about the patient by itself; false: the kind has none such. */
static bool where_own(struct text *sql, enum record_kind kind)
{
    if (kind == RECORD_PATIENT)
        text_add(sql, "kept.record = :patient");
    else if (kind == RECORD_CASEFILE)
        text_add(sql, "kept.record IN (SELECT record FROM subject_case)");
    else if (kind == RECORD_JUDGED)
        text_add(sql, "kept.visit IN (SELECT visit.id FROM subject_case CROSS JOIN visit "
                      "ON visit.casefile = subject_case.record)");
    else if (row_of_case(kind))
        text_add(sql, "kept.casefile IN (SELECT record FROM subject_case)");
    else
        return false;
    return true;
}

void subject_sql_with(struct text *sql, const struct shape *shapes)
{
    const char *before = "";

    text_addf(sql, "%s, own (id) AS MATERIALIZED (", with_cases);
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++) {
        struct text where = {0};

        if (where_own(&where, (enum record_kind)kind)) {
            text_addf(sql, "%sSELECT kept.id FROM %s AS kept WHERE %s", before, shapes[kind].table,
                      text_string(&where));
            before = " UNION ALL ";
        }
        sql->failed = sql->failed || where.failed;
        text_release(&where);
    }
    text_add(sql, "), subject_row (id) AS MATERIALIZED (SELECT id FROM own UNION ALL "
                  "SELECT gone.id FROM own CROSS JOIN withdrawal AS gone ON gone.row = own.id) ");
}

bool subject_sql_where(struct text *sql, enum record_kind kind)
{
    if (kind == RECORD_SIGNATURE || kind == RECORD_ERASURE)
        text_add(sql, "kept.row IN (SELECT lower(hex(id)) FROM subject_row)");
    else if (kind == RECORD_ACCESS)
        text_add(sql, "kept.subject IN (SELECT chart FROM patient WHERE record = :patient UNION "
                      "SELECT file.\"case\" FROM casefile AS file WHERE file.record IN "
                      "(SELECT record FROM subject_case))");
    else
        return where_own(sql, kind);
    return true;
}

enum status subject_prepare(struct store *store, const struct text *sql, sqlite3_stmt **stmt,
                            struct error *error)
{
    int code;

    *stmt = NULL;
    if (store->db == NULL)
        return store_is_closed(store, error);
    if (sql->failed)
        return error_no_memory(error);
    code = sqlite3_prepare_v2(store->db, text_string(sql), -1, stmt, NULL);
    return code == SQLITE_OK ? STATUS_OK : store_failure(store, code, error);
}

/* ---- rows ---- */

/* The row called kept as row_read takes it, then as read_rest does. */
static void add_rows_sql(struct text *sql, const struct shape *shape, const char *where)
{
    row_sql_select(sql, shape);
    text_addf(sql,
              ", EXISTS (SELECT 1 FROM %s AS newer WHERE newer.replaces = kept.id), "
              "place.hash, gone.recorded_at, gone.person, gone.request, gone.reason, "
              "gone.sequence, gone_place.hash FROM %s AS kept "
              "LEFT JOIN ledger AS place ON place.sequence = kept.sequence "
              "LEFT JOIN withdrawal AS gone ON gone.row = kept.id "
              "LEFT JOIN ledger AS gone_place ON gone_place.sequence = gone.sequence "
              "WHERE %s ORDER BY kept.sequence",
              shape->table, shape->table, where);
}

static bool take_hash(sqlite3_stmt *stmt, int column, uint8_t hash[HASH_SIZE])
{
    const void *bytes = sqlite3_column_blob(stmt, column);

    if (bytes == NULL || sqlite3_column_bytes(stmt, column) != HASH_SIZE)
        return false;
    memcpy(hash, bytes, HASH_SIZE);
    return true;
}

/* What stands behind the columns of the row itself. */
static enum status read_rest(sqlite3_stmt *stmt, int first, struct arena *arena,
                             struct store_subject_row *row, struct error *error)
{
    const char *reason = (const char *)sqlite3_column_text(stmt, first + 5);
    struct store_withdrawn *gone = &row->withdrawn;

    row->replaced = sqlite3_column_int(stmt, first) != 0;
    if (!take_hash(stmt, first + 1, row->hash))
        return store_damaged("ledger", "hash", error);
    row->ended = reason != NULL;
    if (!row->ended)
        return STATUS_OK;
    row->withdrawn_sequence = sqlite3_column_int64(stmt, first + 6);
    if (!instant_from_text((const char *)sqlite3_column_text(stmt, first + 2), &gone->at) ||
        !query_column_id(stmt, first + 3, &gone->person) ||
        !query_column_id(stmt, first + 4, &gone->request) ||
        !take_hash(stmt, first + 7, row->withdrawn_hash))
        return store_damaged("withdrawal", NULL, error);
    gone->reason = arena_text(arena, reason, strlen(reason));
    return gone->reason == NULL ? error_no_memory(error) : STATUS_OK;
}

static enum status take_rows(struct query *query, enum record_kind kind, struct arena *arena,
                             struct rows *rows, struct error *error)
{
    const int after = HEAD_COLUMNS + (int)record_tables[kind].field_count;
    enum status status = STATUS_OK, ended;

    while (status == STATUS_OK && query_row(query)) {
        struct store_subject_row *row = rows_add(rows, sizeof *row, arena);
        void *record = arena_alloc(arena, record_tables[kind].size);

        if (row == NULL || record == NULL) {
            status = error_no_memory(error);
            continue;
        }
        *row = (struct store_subject_row){.kind = kind, .record = record};
        status = row_read(query->store, query->stmt, kind, arena, record, error);
        if (status == STATUS_OK)
            status = read_rest(query->stmt, after, arena, row, error);
    }
    ended = query_end(query, status == STATUS_OK ? error : NULL);
    return status == STATUS_OK ? ended : status;
}

/* Runs sql, which is released, and visits its rows; bind is :patient or :chart. */
static enum status visit_rows(struct store *store, enum record_kind kind, struct text *sql,
                              const struct id *patient, const char *chart,
                              store_subject_visitor visitor, void *context, struct error *error)
{
    struct arena arena = {0};
    struct rows rows = {0};
    sqlite3_stmt *stmt;
    enum status status = subject_prepare(store, sql, &stmt, error);

    text_release(sql);
    if (status != STATUS_OK)
        return status;
    struct query query = query_start(store, stmt);
    if (patient != NULL)
        query_id(&query, ":patient", patient);
    else
        query_text(&query, ":chart", chart);
    status = take_rows(&query, kind, &arena, &rows, error);
    sqlite3_finalize(stmt);
    for (size_t i = 0; i < rows.count && status == STATUS_OK; i++)
        status =
            visitor(context, (const struct store_subject_row *)(const void *)rows.items + i, error);
    arena_release(&arena);
    return status;
}

enum status store_each_subject_row(struct store *store, enum record_kind kind,
                                   const struct id *patient, store_subject_visitor visitor,
                                   void *context, struct error *error)
{
    struct text sql = {0}, where = {0};
    bool any = subject_sql_where(&where, kind);

    subject_sql_with(&sql, store->shapes);
    add_rows_sql(&sql, &store->shapes[kind], text_string(&where));
    sql.failed = sql.failed || where.failed;
    text_release(&where);
    if (any)
        return visit_rows(store, kind, &sql, patient, NULL, visitor, context, error);
    text_release(&sql);
    return STATUS_OK;
}

enum status store_each_of_chart(struct store *store, const char *chart,
                                store_subject_visitor visitor, void *context, struct error *error)
{
    struct text sql = {0};

    add_rows_sql(&sql, &store->shapes[RECORD_PATIENT],
                 "kept.chart = :chart AND NOT EXISTS (SELECT 1 FROM patient AS newer "
                 "WHERE newer.replaces = kept.id)");
    return visit_rows(store, RECORD_PATIENT, &sql, NULL, chart, visitor, context, error);
}

/* ---- drafts ---- */

/* Runs sql, which is released, and visits its drafts. */
static enum status visit_drafts(struct store *store, struct text *sql, const struct id *patient,
                                store_draft_visitor visitor, void *context, struct error *error)
{
    sqlite3_stmt *stmt;
    enum status status = subject_prepare(store, sql, &stmt, error), ended;

    text_release(sql);
    if (status != STATUS_OK)
        return status;
    struct query query = query_start(store, stmt);
    if (patient != NULL)
        query_id(&query, ":patient", patient);
    while (status == STATUS_OK && query_row(&query)) {
        const char *user = (const char *)sqlite3_column_text(query.stmt, 6);
        struct draft draft;

        if (user != NULL && draft_read(query.stmt, user, &draft))
            status = visitor(context, &draft, error);
        else
            status = store_damaged("draft", "content", error);
    }
    ended = query_end(&query, status == STATUS_OK ? error : NULL);
    sqlite3_finalize(stmt);
    return status == STATUS_OK ? ended : status;
}

enum status store_each_subject_draft(struct store *store, const struct id *patient,
                                     store_draft_visitor visitor, void *context,
                                     struct error *error)
{
    struct text sql = {0};

    text_addf(&sql,
              "%s SELECT draft.form, draft.casefile, draft.saved_at, draft.filled, draft.request, "
              "draft.content, draft.user FROM draft WHERE draft.casefile IN "
              "(SELECT record FROM subject_case) ORDER BY draft.saved_at, draft.user, draft.form",
              with_cases);
    return visit_drafts(store, &sql, patient, visitor, context, error);
}

enum status store_each_loose_draft(struct store *store, store_draft_visitor visitor, void *context,
                                   struct error *error)
{
    struct text sql = {0};

    text_add(&sql, "SELECT draft.form, draft.casefile, draft.saved_at, draft.filled, "
                   "draft.request, draft.content, draft.user FROM draft "
                   "WHERE draft.casefile = zeroblob(16) ORDER BY draft.user, draft.form");
    return visit_drafts(store, &sql, NULL, visitor, context, error);
}

/* ---- texts that are not sealed ---- */

static bool is_plain(const struct column *column)
{
    const struct field *field = column->field;

    if (field == NULL)
        return strcmp(column->name, "reason") == 0;
    return field->type == FIELD_TEXT && column->hashed;
}

static void add_plain(struct text *sql, const char *table, const char *column, const char *where)
{
    text_addf(sql,
              " UNION ALL SELECT '%s', '%s', kept.sequence, kept.\"%s\" FROM %s AS kept "
              "WHERE kept.\"%s\" IS NOT NULL AND %s",
              table, column, column, table, column, where);
}

/* One SELECT for each such column. What the program wrote itself is not looked through: the
 * findings of a verdict, and who signed. */
static void add_plain_sql(struct text *sql, const struct shape *shapes)
{
    subject_sql_with(sql, shapes);
    text_add(sql, "SELECT 'withdrawal', 'reason', gone.sequence, gone.reason "
                  "FROM withdrawal AS gone WHERE gone.id IN (SELECT id FROM subject_row) "
                  "UNION ALL SELECT 'request', 'label', save.sequence, save.label "
                  "FROM request AS save WHERE save.label IS NOT NULL AND save.id IN (");
    for (int kind = 0, first = 1; kind < RECORD_JUDGED; kind++) {
        struct text where = {0};

        if (where_own(&where, (enum record_kind)kind)) {
            text_addf(sql, "%sSELECT kept.request FROM %s AS kept WHERE %s", first ? "" : " UNION ",
                      shapes[kind].table, text_string(&where));
            first = 0;
        }
        sql->failed = sql->failed || where.failed;
        text_release(&where);
    }
    text_add(sql, ")");
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++) {
        const struct shape *shape = &shapes[kind];
        struct text where = {0};
        bool looked = kind == RECORD_ERASURE || kind < RECORD_JUDGED;

        looked = looked && subject_sql_where(&where, (enum record_kind)kind);
        for (size_t i = 0; looked && i < shape->column_count; i++)
            if (is_plain(&shape->columns[i]) &&
                (kind < RECORD_JUDGED || shape->columns[i].field == NULL))
                add_plain(sql, shape->table, shape->columns[i].name, text_string(&where));
        sql->failed = sql->failed || where.failed;
        text_release(&where);
    }
    text_add(sql, " ORDER BY 3, 2");
}

enum status store_each_plain_text(struct store *store, const struct id *patient,
                                  store_plain_visitor visitor, void *context, struct error *error)
{
    struct text sql = {0};
    sqlite3_stmt *stmt = NULL;
    enum status status, ended;

    add_plain_sql(&sql, store->shapes);
    status = subject_prepare(store, &sql, &stmt, error);
    text_release(&sql);
    if (status != STATUS_OK)
        return status;
    struct query query = query_start(store, stmt);
    query_id(&query, ":patient", patient);
    while (status == STATUS_OK && query_row(&query)) {
        const struct store_plain_text text = {(const char *)sqlite3_column_text(query.stmt, 0),
                                              (const char *)sqlite3_column_text(query.stmt, 1),
                                              sqlite3_column_int64(query.stmt, 2),
                                              (const char *)sqlite3_column_text(query.stmt, 3)};

        if (text.table == NULL || text.column == NULL || text.text == NULL)
            status = error_no_memory(error);
        else
            status = visitor(context, &text, error);
    }
    ended = query_end(&query, status == STATUS_OK ? error : NULL);
    sqlite3_finalize(stmt);
    return status == STATUS_OK ? ended : status;
}
