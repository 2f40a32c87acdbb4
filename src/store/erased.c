/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was erased is told from what was never recorded, when a case is read: a sheet that said "no
 * reason recorded" of an erased one would accuse somebody. */
#include <string.h>

#include "cell.h"

/* The texts of one row whose salts are zero. */
static void mark_row(const struct shape *shape, const uint8_t *salts, char *record)
{
    const uint8_t none[SALT_SIZE] = {0};
    size_t done = 0;

    for (size_t i = shape->first_field; i < shape->column_count; i++) {
        const struct field *field = shape->columns[i].field;
        const char *const erased = patient_erased;

        if (shape->columns[i].hashed)
            continue;
        if (field->type == FIELD_TEXT && memcmp(salts + done * SALT_SIZE, none, SALT_SIZE) == 0)
            memcpy(record + field->offset, &erased, sizeof erased);
        done++;
    }
}

/* The row with this id among those read; NULL: it is not current. */
static char *row_with(const struct rows *rows, size_t size, const struct id *id)
{
    for (size_t i = 0; i < rows->count; i++) {
        const struct row_head *head = (const void *)(rows->items + i * size);

        if (id_equal(&head->id, id))
            return rows->items + i * size;
    }
    return NULL;
}

enum status erased_mark(struct store *store, enum record_kind kind, const struct id *casefile,
                        const struct rows *rows, struct error *error)
{
    const struct shape *shape = &store->shapes[kind];
    const size_t size = shape->personal_count * SALT_SIZE;
    struct text sql = {0};
    sqlite3_stmt *stmt;
    enum status status, ended;

    if (size == 0 || rows->count == 0)
        return STATUS_OK;
    text_addf(&sql, "SELECT id, salts FROM %s WHERE casefile = :casefile", shape->table);
    status = subject_prepare(store, &sql, &stmt, error);
    text_release(&sql);
    if (status != STATUS_OK)
        return status;
    struct query query = query_start(store, stmt);
    query_id(&query, ":casefile", casefile);
    while (status == STATUS_OK && query_row(&query)) {
        const void *salts = sqlite3_column_blob(query.stmt, 1);
        struct id id;

        if (!query_column_id(query.stmt, 0, &id) || salts == NULL ||
            sqlite3_column_bytes(query.stmt, 1) != (int)size) {
            status = store_damaged(shape->table, "salts", error);
        } else {
            char *record = row_with(rows, record_tables[kind].size, &id);

            if (record != NULL)
                mark_row(shape, salts, record);
        }
    }
    ended = query_end(&query, status == STATUS_OK ? error : NULL);
    sqlite3_finalize(stmt);
    return status == STATUS_OK ? ended : status;
}
