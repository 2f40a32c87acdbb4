/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * References: does the store hold what a row names? Of every row of the ledger, and also where the
 * schema can not say so: the row that was withdrawn, and that a version follows the one before it.
 */
#include <stdio.h>
#include <string.h>

#include "verify.h"

static const char withdrawn_row[] = "row", replaced_row[] = "replaces";

static bool is(const struct column *column, const char *name)
{
    return column->field == NULL && strcmp(column->name, name) == 0;
}

/* The table that a column names a row of; NULL: it names none, or (withdrawal.row) one of any. */
static const char *refers_to(const struct shape *shape, const struct column *column)
{
    static const char *const others[] = {"practice", "person", "request"};

    if (column->field != NULL)
        return column->field->type == FIELD_ID ? record_tables[column->field->refers].table : NULL;
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++)
        if (is(column, others[i]))
            return others[i];
    return is(column, "record") || is(column, replaced_row) ? shape->table : NULL;
}

static bool is_reference(const struct shape *shape, const struct column *column)
{
    return is(column, withdrawn_row) || refers_to(shape, column) != NULL;
}

static void add_held(struct text *sql, const char *table, const char *column)
{
    text_addf(sql, "EXISTS (SELECT 1 FROM %s AS held WHERE held.id = kept.\"%s\")", table, column);
}

/* The row is one of the table that stands beside it. */
static void add_withdrawn(struct text *sql)
{
    text_add(sql, "CASE kept.kind");
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++) {
        text_addf(sql, " WHEN '%s' THEN ", record_tables[kind].table);
        add_held(sql, record_tables[kind].table, withdrawn_row);
    }
    text_add(sql, " ELSE 0 END");
}

void verify_refer_sql(struct text *sql, const struct shape *shape)
{
    for (size_t i = 0; i < shape->column_count; i++) {
        const struct column *column = &shape->columns[i];

        if (!is_reference(shape, column))
            continue;
        text_add(sql, ", ");
        if (is(column, withdrawn_row)) {
            add_withdrawn(sql);
        } else if (is(column, replaced_row)) {
            text_addf(sql,
                      "kept.replaces IS NULL OR EXISTS (SELECT 1 FROM %s AS held WHERE held.id = "
                      "kept.replaces AND held.record = kept.record AND held.version = "
                      "kept.version - 1)",
                      shape->table);
        } else {
            text_addf(sql, "kept.\"%s\" IS NULL OR ", column->name);
            add_held(sql, refers_to(shape, column), column->name);
        }
    }
}

static void tell(const struct shape *shape, const struct column *column, char *what, size_t size)
{
    if (is(column, replaced_row))
        (void)snprintf(what, size, "the version before it is not in the store");
    else if (is(column, withdrawn_row))
        (void)snprintf(what, size, "the row that it withdraws is not in the store");
    else
        (void)snprintf(what, size, "%s names a row of %s that is not in the store", column->name,
                       refers_to(shape, column));
}

bool verify_refer_next(const struct shape *shape, sqlite3_stmt *stmt, size_t *at, char *what,
                       size_t size)
{
    int answer = (int)shape->column_count;

    for (size_t i = 0; i < shape->column_count; i++) {
        const struct column *column = &shape->columns[i];

        if (!is_reference(shape, column))
            continue;
        if (i >= *at && sqlite3_column_int(stmt, answer) == 0) {
            *at = i + 1;
            tell(shape, column, what, size);
            return true;
        }
        answer++;
    }
    return false;
}
