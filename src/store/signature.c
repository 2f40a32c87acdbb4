/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which rows want a signature, wait for it, have it. */
#include "springline/store/signature.h"

#include <string.h>

#include "cell.h"
#include "signature.h"

/* ---- the statements ---- */

/* A case that was withdrawn has no state any more. */
#define OF_CASE                                                                                    \
    "coalesce(state.number, (SELECT file.\"case\" FROM casefile AS file "                          \
    "WHERE file.record = kept.casefile ORDER BY file.version DESC LIMIT 1)), state.family, "       \
    "state.given"

/* The columns of visits as row_read takes them, then those of the wait and of the case. */
static void add_each(struct text *sql, const struct shape *shapes, const char *waiting)
{
    row_sql_select(sql, &shapes[RECORD_VISIT]);
    text_addf(sql,
              ", gone.id, gone.recorded_at, gone.person, " OF_CASE " FROM %s AS wait "
              "CROSS JOIN visit AS kept ON kept.id = wait.visit "
              "LEFT JOIN withdrawal AS gone ON wait.kind = 'withdrawal' AND gone.row = kept.id "
              "LEFT JOIN case_state AS state ON state.casefile = kept.casefile "
              "ORDER BY wait.sequence",
              waiting);
}

static const char *sql_of(enum statement which)
{
    switch ((int)which) {
    case STATEMENT_UNSIGNED_COUNT:
        return "SELECT (SELECT count(*) FROM unsigned_row), (SELECT place.recorded_at "
               "FROM ledger AS place WHERE place.sequence = (SELECT min(sequence) "
               "FROM unsigned_row))";
    case STATEMENT_UNSIGNED_SUMS:
        return "SELECT coalesce(sum(want.sequence > (SELECT since FROM signing)), 0), "
               "coalesce(sum(want.sequence <= (SELECT since FROM signing)), 0), "
               "(SELECT count(*) FROM withdrawal_to_sign AS want WHERE want.date BETWEEN :from "
               "AND :to AND " AFTER_SINCE " AND " NOT_SIGNED ") "
               "FROM visit_to_sign AS want WHERE want.date BETWEEN :from AND :to "
               "AND want.sequence <= :as_of AND " VISIT_STANDS " AND " NOT_SIGNED;
    case STATEMENT_TO_SIGN:
        return "SELECT gone.id, coalesce(gone.id, kept.id), coalesce(gone.sequence, "
               "kept.sequence), kept.version, "
               "CASE WHEN gone.id IS NOT NULL "
               "THEN EXISTS (SELECT 1 FROM withdrawal_to_sign AS want WHERE want.visit = kept.id) "
               "ELSE EXISTS (SELECT 1 FROM visit_to_sign AS want WHERE want.visit = kept.id) "
               "AND NOT EXISTS (SELECT 1 FROM visit AS newer WHERE newer.replaces = kept.id) END, "
               "EXISTS (SELECT 1 FROM signature AS sign "
               "WHERE sign.row = lower(hex(coalesce(gone.id, kept.id)))), "
               "(SELECT since FROM signing) "
               "FROM visit AS kept LEFT JOIN withdrawal AS gone ON gone.row = kept.id "
               "WHERE kept.id = :row";
    case STATEMENT_VISIT_SIGNED:
        return "WITH RECURSIVE chain (id) AS (SELECT :record UNION SELECT newer.id FROM chain "
               "CROSS JOIN visit AS newer ON newer.replaces = chain.id) "
               "SELECT EXISTS (SELECT 1 FROM chain LEFT JOIN withdrawal AS gone "
               "ON gone.row = chain.id CROSS JOIN signature AS sign "
               "ON sign.row IN (lower(hex(chain.id)), lower(hex(gone.id))))";
    case STATEMENT_SIGNED_OF_CASE:
        return "SELECT kept.id, 0, wait.row IS NULL, sign.recorded_at, sign.name, sign.meaning, "
               "sign.proof FROM visit AS kept "
               "LEFT JOIN signature AS sign ON sign.row = lower(hex(kept.id)) "
               "LEFT JOIN unsigned_row AS wait ON wait.row = lower(hex(kept.id)) "
               "WHERE kept.casefile = :casefile AND (sign.row IS NOT NULL OR wait.row IS NOT NULL) "
               "UNION ALL SELECT kept.id, 1, wait.row IS NULL, sign.recorded_at, sign.name, "
               "sign.meaning, sign.proof FROM visit AS kept "
               "CROSS JOIN withdrawal AS gone ON gone.row = kept.id "
               "LEFT JOIN signature AS sign ON sign.row = lower(hex(gone.id)) "
               "LEFT JOIN unsigned_row AS wait ON wait.row = lower(hex(gone.id)) "
               "WHERE kept.casefile = :casefile AND (sign.row IS NOT NULL OR wait.row IS NOT NULL)";
    default:
        return "";
    }
}

void signature_sql(struct text *sql, const struct shape *shapes, enum statement which)
{
    if (which == STATEMENT_UNSIGNED)
        add_each(sql, shapes, "unsigned_row");
    else if (which == STATEMENT_UNSIGNED_AS_OF)
        add_each(sql, shapes, "(" UNSIGNED_AS_OF ")");
    else
        text_add(sql, sql_of(which));
}

/* ---- what waits ---- */

static const char *text_at(sqlite3_stmt *stmt, int column)
{
    const char *text = (const char *)sqlite3_column_text(stmt, column);

    return text == NULL ? "" : text;
}

static enum status read_unsigned(struct query *query, struct unsigned_row *row, struct error *error)
{
    const int after = HEAD_COLUMNS + (int)record_tables[RECORD_VISIT].field_count;
    sqlite3_stmt *stmt = query->stmt;

    memset(row, 0, sizeof *row);
    enum status status = row_read(query->store, stmt, RECORD_VISIT, NULL, &row->visit, error);
    if (status != STATUS_OK)
        return status;
    row->row = row->visit.head.id;
    row->recorded_at = row->visit.head.recorded_at;
    row->person = row->visit.head.person;
    row->withdrawal = sqlite3_column_type(stmt, after) != SQLITE_NULL;
    if (row->withdrawal && (!query_column_id(stmt, after, &row->row) ||
                            !instant_from_text(text_at(stmt, after + 1), &row->recorded_at) ||
                            !query_column_id(stmt, after + 2, &row->person)))
        return store_damaged("withdrawal", NULL, error);
    row->number = text_at(stmt, after + 3);
    row->family = text_at(stmt, after + 4);
    row->given = text_at(stmt, after + 5);
    return STATUS_OK;
}

enum status store_each_unsigned(struct store *store, int64_t as_of, store_unsigned_visitor visitor,
                                void *context, struct error *error)
{
    bool began = false, now = as_of == STORE_NOW;
    enum status status = read_begin(store, &began, error), ended;

    if (status != STATUS_OK)
        return status;
    struct query query =
        query_start(store, store->statements[now ? STATEMENT_UNSIGNED : STATEMENT_UNSIGNED_AS_OF]);
    if (!now)
        query_integer(&query, ":as_of", as_of);
    while (status == STATUS_OK && query_row(&query)) {
        struct unsigned_row row;

        status = read_unsigned(&query, &row, error);
        if (status == STATUS_OK)
            status = visitor(context, &row, error);
    }
    ended = query_end(&query, status == STATUS_OK ? error : NULL);
    return read_end(store, began, status == STATUS_OK ? ended : status, error);
}

enum status store_count_unsigned(struct store *store, int64_t *count, instant *oldest,
                                 struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_UNSIGNED_COUNT]);
    bool good = true;

    *count = 0;
    *oldest = INSTANT_NONE;
    while (query_row(&query)) {
        *count = sqlite3_column_int64(query.stmt, 0);
        good = sqlite3_column_type(query.stmt, 1) == SQLITE_NULL ||
               instant_from_text(text_at(query.stmt, 1), oldest);
    }
    enum status status = query_end(&query, error);
    return status == STATUS_OK && !good ? store_damaged("ledger", "recorded_at", error) : status;
}

enum status store_sum_unsigned(struct store *store, day from, day to, int64_t as_of,
                               struct unsigned_sums *sums, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_UNSIGNED_SUMS]);

    *sums = (struct unsigned_sums){0};
    query_day(&query, ":from", from);
    query_day(&query, ":to", to);
    query_integer(&query, ":as_of", as_of);
    while (query_row(&query)) {
        sums->visits = sqlite3_column_int64(query.stmt, 0);
        sums->before = sqlite3_column_int64(query.stmt, 1);
        sums->withdrawals = sqlite3_column_int64(query.stmt, 2);
    }
    return query_end(&query, error);
}

/* ---- one visit ---- */

enum status store_read_to_sign(struct store *store, const struct id *row, struct to_sign *to_sign,
                               struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_TO_SIGN]);
    bool found = false, good = true;

    *to_sign = (struct to_sign){.signing = SIGNING_NONE};
    query_id(&query, ":row", row);
    while (query_row(&query)) {
        sqlite3_stmt *stmt = query.stmt;

        found = true;
        to_sign->withdrawal = sqlite3_column_type(stmt, 0) != SQLITE_NULL;
        good = query_column_id(stmt, 1, &to_sign->row);
        to_sign->sequence = sqlite3_column_int64(stmt, 2);
        to_sign->version = sqlite3_column_int(stmt, 3);
        if (sqlite3_column_int(stmt, 5) != 0)
            to_sign->signing = SIGNING_DONE;
        else if (sqlite3_column_int(stmt, 4) != 0)
            to_sign->signing =
                to_sign->sequence <= sqlite3_column_int64(stmt, 6) ? SIGNING_BEFORE : SIGNING_WAITS;
    }
    enum status status = query_end(&query, error);
    if (status != STATUS_OK || found)
        return status == STATUS_OK && !good ? store_damaged("visit", "id", error) : status;
    return STATUS_NOT_FOUND;
}

enum status store_visit_is_signed(struct store *store, const struct id *record, bool *is_signed,
                                  struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_VISIT_SIGNED]);

    *is_signed = false;
    query_id(&query, ":record", record);
    while (query_row(&query))
        *is_signed = sqlite3_column_int(query.stmt, 0) != 0;
    return query_end(&query, error);
}

/* ---- the visits of a case ---- */

static enum status take_signed(sqlite3_stmt *stmt, struct arena *arena, struct signed_row *row,
                               struct error *error)
{
    if (!query_column_id(stmt, 0, &row->visit))
        return store_damaged("visit", "id", error);
    row->withdrawal = sqlite3_column_int(stmt, 1) != 0;
    row->signing = sqlite3_column_int(stmt, 2) != 0 ? SIGNING_DONE : SIGNING_WAITS;
    row->at = INSTANT_NONE;
    row->name = "";
    if (row->signing == SIGNING_WAITS)
        return STATUS_OK;
    int meaning = word_value(&words_meaning, text_at(stmt, 5));
    int proof = word_value(&words_proof, text_at(stmt, 6));
    if (!instant_from_text(text_at(stmt, 3), &row->at) || meaning <= 0 || proof <= 0)
        return store_damaged("signature", NULL, error);
    row->meaning = (enum meaning)meaning;
    row->proof = (enum proof)proof;
    row->name = arena_text(arena, text_at(stmt, 4), (size_t)sqlite3_column_bytes(stmt, 4));
    return row->name == NULL ? error_no_memory(error) : STATUS_OK;
}

enum status store_read_signed(struct store *store, const struct id *casefile, struct arena *arena,
                              struct signed_rows *rows, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_SIGNED_OF_CASE]);
    struct rows taken = {0};
    enum status status = STATUS_OK, ended;

    query_id(&query, ":casefile", casefile);
    while (status == STATUS_OK && query_row(&query)) {
        struct signed_row *row = rows_add(&taken, sizeof *row, arena);

        status = row == NULL ? error_no_memory(error) : take_signed(query.stmt, arena, row, error);
    }
    ended = query_end(&query, status == STATUS_OK ? error : NULL);
    *rows = (struct signed_rows){.rows = (const void *)taken.items, .count = taken.count};
    return status == STATUS_OK ? ended : status;
}
