/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Erasures against what they name, and blanks against the erasures: one needs the other. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "verify.h"

enum status verify_erased(struct verification *check, const char *table, const struct id *row,
                          const char *column, bool *named, struct error *error)
{
    static const char sql[] = "SELECT 1 FROM erasure WHERE row = :row AND kind = :kind AND "
                              "instr(' ' || fields || ' ', ' ' || :column || ' ') > 0";
    char text[ID_TEXT_SIZE];
    enum status status = STATUS_OK;

    *named = false;
    if (check->erased == NULL)
        status = verify_prepare(check, sql, &check->erased, error);
    if (status != STATUS_OK || check->erased == NULL)
        return status;
    struct query query = query_start(check->store, check->erased);
    query_text(&query, ":row", id_to_text(row, text));
    query_text(&query, ":kind", table);
    query_text(&query, ":column", column);
    if (query.code != SQLITE_OK)
        return query_end(&query, error);
    *named = verify_step(check, check->erased, "the erasures", &status, error);
    sqlite3_reset(check->erased);
    return status;
}

/* One erasure. */
struct claim {
    int64_t sequence;
    char kind[48], row[ID_TEXT_SIZE];
    struct id id;
    bool whole; /* the row is spelled as an id */
    char *fields;
};

static const struct shape *shape_of(const struct verification *check, const char *kind)
{
    for (int i = 0; i < RECORD_KIND_COUNT; i++)
        if (strcmp(check->store->shapes[i].table, kind) == 0)
            return &check->store->shapes[i];
    return NULL;
}

/* The place of the column among the personal ones of the shape; negative: it is none. */
static int personal_index(const struct shape *shape, const char *name, size_t length)
{
    int index = 0;

    for (size_t i = shape->first_field; i < shape->column_count; i++) {
        if (shape->columns[i].hashed)
            continue;
        if (shape->columns[i].name_length == length &&
            memcmp(shape->columns[i].name, name, length) == 0)
            return index;
        index++;
    }
    return -1;
}

/* salts, sequence, then each personal column of the row with :id. */
static void add_row_sql(struct text *sql, const struct shape *shape)
{
    text_add(sql, "SELECT kept.salts, kept.sequence");
    for (size_t i = shape->first_field; i < shape->column_count; i++)
        if (!shape->columns[i].hashed)
            text_addf(sql, ", kept.\"%s\"", shape->columns[i].name);
    text_addf(sql, " FROM %s AS kept WHERE kept.id = :id", shape->table);
}

static bool is_blank(sqlite3_stmt *stmt, const struct shape *shape, int index)
{
    const uint8_t none[SALT_SIZE] = {0};
    const uint8_t *salts = sqlite3_column_blob(stmt, 0);

    return salts != NULL &&
           sqlite3_column_bytes(stmt, 0) == (int)(shape->personal_count * SALT_SIZE) &&
           memcmp(salts + (size_t)index * SALT_SIZE, none, SALT_SIZE) == 0 &&
           sqlite3_column_type(stmt, 2 + index) == SQLITE_NULL;
}

static void check_fields(struct verification *check, const struct claim *claim,
                         const struct shape *shape, sqlite3_stmt *stmt)
{
    const char *at = claim->fields;

    if (sqlite3_column_int64(stmt, 1) >= claim->sequence)
        verify_find(check, "ledger row %lld: an erasure of %s %s, which was recorded after it",
                    (long long)claim->sequence, claim->kind, claim->row);
    while (*at != '\0') {
        size_t length = strcspn(at, " ");
        int index = personal_index(shape, at, length);

        if (index < 0)
            verify_find(check,
                        "ledger row %lld: an erasure names \"%.*s\" of %s, no column that "
                        "is erased",
                        (long long)claim->sequence, (int)length, at, claim->kind);
        else if (!is_blank(stmt, shape, index))
            verify_find(check, "ledger row %lld: %.*s of %s %s was erased, yet it is not blank",
                        (long long)claim->sequence, (int)length, at, claim->kind, claim->row);
        at += length + (at[length] == ' ');
    }
}

static enum status check_claim(struct verification *check, const struct claim *claim,
                               struct error *error)
{
    const struct shape *shape = shape_of(check, claim->kind);
    sqlite3_stmt *stmt = NULL;
    struct text sql = {0};
    enum status status;
    bool found = false;

    if (shape == NULL || shape->personal_count == 0 || !claim->whole) {
        verify_find(check, "ledger row %lld: an erasure of %s %s, where nothing is erased",
                    (long long)claim->sequence, claim->kind, claim->row);
        return STATUS_OK;
    }
    add_row_sql(&sql, shape);
    status = sql.failed ? error_no_memory(error)
                        : verify_prepare(check, text_string(&sql), &stmt, error);
    text_release(&sql);
    if (status != STATUS_OK || stmt == NULL)
        return status;
    if (sqlite3_bind_blob(stmt, 1, claim->id.bytes, (int)sizeof claim->id.bytes, SQLITE_STATIC) !=
        SQLITE_OK)
        status = error_no_memory(error);
    int64_t before = check->found;
    while (status == STATUS_OK && verify_step(check, stmt, claim->kind, &status, error)) {
        found = true;
        check_fields(check, claim, shape, stmt);
    }
    if (status == STATUS_OK && !found && check->found == before)
        verify_find(check, "ledger row %lld: an erasure of %s %s, which the store does not hold",
                    (long long)claim->sequence, claim->kind, claim->row);
    sqlite3_finalize(stmt);
    return status;
}

static bool read_claim(sqlite3_stmt *stmt, struct claim *claim)
{
    const char *kind = (const char *)sqlite3_column_text(stmt, 1);
    const char *row = (const char *)sqlite3_column_text(stmt, 2);
    const char *fields = (const char *)sqlite3_column_text(stmt, 3);

    claim->sequence = sqlite3_column_int64(stmt, 0);
    (void)snprintf(claim->kind, sizeof claim->kind, "%s", kind == NULL ? "" : kind);
    (void)snprintf(claim->row, sizeof claim->row, "%s", row == NULL ? "" : row);
    claim->whole = row != NULL && id_from_text(row, &claim->id);
    claim->fields = strdup(fields == NULL ? "" : fields);
    return claim->fields != NULL;
}

enum status verify_erasures(struct verification *check, struct error *error)
{
    sqlite3_stmt *stmt = NULL;
    enum status status = verify_prepare(
        check, "SELECT sequence, kind, row, fields FROM erasure ORDER BY sequence", &stmt, error);

    while (status == STATUS_OK && verify_step(check, stmt, "the erasures", &status, error)) {
        const int64_t before = check->found;
        struct claim claim;

        status =
            read_claim(stmt, &claim) ? check_claim(check, &claim, error) : error_no_memory(error);
        if (check->found > before && check->report->bad_sequence == 0)
            check->report->bad_sequence = claim.sequence;
        free(claim.fields);
    }
    sqlite3_finalize(stmt);
    return status;
}
