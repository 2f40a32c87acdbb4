/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The statements that every kind of record has, generated from its fields. */
#include <string.h>

#include "handle.h"

/* Appends "the row called alias is current at :as_of". */
static void sql_current(struct text *sql, const char *table, const char *alias)
{
    text_addf(sql,
              "+%s.sequence <= :as_of AND NOT EXISTS (SELECT 1 FROM %s AS newer "
              "WHERE newer.replaces = %s.id AND newer.sequence <= :as_of) "
              "AND NOT EXISTS (SELECT 1 FROM withdrawal AS gone "
              "WHERE gone.row = %s.id AND gone.sequence <= :as_of)",
              alias, table, alias, alias);
}

static void add_insert(struct text *sql, const struct shape *shape)
{
    text_addf(sql, "INSERT INTO %s (", shape->table);
    for (size_t i = 0; i < shape->column_count; i++)
        text_addf(sql, "%s\"%s\"", i == 0 ? "" : ", ", shape->columns[i].name);
    text_add(sql, ") VALUES (");
    for (size_t i = 0; i < shape->column_count; i++)
        text_addf(sql, "%s:%s", i == 0 ? "" : ", ", shape->columns[i].name);
    text_add(sql, ")");
}

void row_sql_select(struct text *sql, const struct shape *shape)
{
    text_add(sql, "SELECT kept.id, kept.record, kept.version, kept.sequence, kept.recorded_at, "
                  "kept.person, kept.request, kept.reason");
    for (size_t i = shape->first_field; i < shape->column_count; i++)
        text_addf(sql, ", kept.\"%s\"", shape->columns[i].name);
}

static void add_select(struct text *sql, const struct shape *shape)
{
    row_sql_select(sql, shape);
    text_add(sql, " FROM ");
}

static void add_standing(struct text *sql, const char *table)
{
    text_addf(sql,
              "SELECT kept.record, kept.version, "
              "EXISTS (SELECT 1 FROM %s AS newer WHERE newer.replaces = kept.id), "
              "EXISTS (SELECT 1 FROM withdrawal AS gone WHERE gone.row = kept.id) "
              "FROM %s AS kept WHERE kept.id = :id",
              table, table);
}

bool row_of_case(enum record_kind kind)
{
    const struct record_table *table = &record_tables[kind];

    for (size_t i = 0; i < table->field_count; i++)
        if (table->fields[i].type == FIELD_ID && table->fields[i].refers == RECORD_CASEFILE)
            return true;
    return false;
}

static void add_of_case(struct text *sql, const struct shape *shape, enum record_kind kind)
{
    if (kind == RECORD_JUDGED) {
        /* Through every version of the visits of the case: a verdict belongs to a row. */
        add_select(sql, shape);
        text_add(sql, "visit CROSS JOIN judged AS kept ON kept.visit = visit.id "
                      "WHERE visit.casefile = :casefile AND ");
    } else if (row_of_case(kind)) {
        add_select(sql, shape);
        text_addf(sql, "%s AS kept WHERE kept.casefile = :casefile AND ", shape->table);
    } else {
        return;
    }
    sql_current(sql, shape->table, "kept");
}

static void add_of(struct text *sql, const struct shape *shape, const char *column)
{
    add_select(sql, shape);
    text_addf(sql, "%s AS kept WHERE kept.%s = :%s AND ", shape->table, column, column);
    sql_current(sql, shape->table, "kept");
}

/* The records of a kind with a name of its own: the one of :key, or all in order. */
static void add_records(struct text *sql, const char *table, const char *key, bool all)
{
    text_addf(sql, "SELECT kept.record FROM %s AS kept WHERE ", table);
    if (!all)
        text_addf(sql, "kept.\"%s\" = :key AND ", key);
    sql_current(sql, table, "kept");
    if (all)
        text_addf(sql, " ORDER BY kept.\"%s\"", key);
}

/* An expander is known by the day it was fitted or, until then, banded. */
static const char expander_key[] =
    "coalesce(kept.fitted_on, kept.banded_on) IS coalesce(:fitted_on, :banded_on)";

static void add_same_key(struct text *sql, const struct shape *shape, enum record_kind kind)
{
    add_select(sql, shape);
    text_addf(sql, "%s AS kept WHERE ", shape->table);
    if (kind == RECORD_ACCESS || kind == RECORD_ERASURE)
        text_add(sql, "kept.id IS NULL AND "); /* without a key: none is like another */
    for (size_t i = shape->first_field; i < shape->column_count; i++) {
        const struct column *column = &shape->columns[i];

        if ((column->field->flags & FIELD_KEY) == 0)
            continue;
        if (kind == RECORD_EXPANDER &&
            column->field->offset == offsetof(struct expander, fitted_on))
            text_add(sql, expander_key);
        else
            /* The + keeps SQLite from preparing again for each value of a number (repeat). */
            text_addf(sql, "%skept.\"%s\" %s :%s", column->field->type == FIELD_INT ? "+" : "",
                      column->name, (column->field->flags & FIELD_REQUIRED) != 0 ? "=" : "IS",
                      column->name);
        text_add(sql, " AND ");
    }
    sql_current(sql, shape->table, "kept");
}

static void add_key_order(struct text *sql, const struct shape *shape, const char *before)
{
    for (size_t i = shape->first_field; i < shape->column_count; i++) {
        const struct field *field = shape->columns[i].field;

        if ((field->flags & FIELD_KEY) == 0 || field->type == FIELD_ID)
            continue;
        text_addf(sql, "%skept.\"%s\"", before, shape->columns[i].name);
        before = ", ";
    }
}

static void add_each(struct text *sql, const struct shape *shape, enum record_kind kind)
{
    add_select(sql, shape);
    if (row_of_case(kind) && kind != RECORD_CASEFILE) {
        text_addf(sql,
                  "casefile AS file CROSS JOIN %s AS kept ON kept.casefile = file.record WHERE ",
                  shape->table);
        sql_current(sql, "casefile", "file");
        text_add(sql, " AND ");
        sql_current(sql, shape->table, "kept");
        text_add(sql, " ORDER BY file.\"case\", ");
        if (kind == RECORD_EXPANDER)
            text_add(sql, "kept.arch, coalesce(kept.fitted_on, kept.banded_on)");
        else if (kind == RECORD_VISIT) /* the key names the arch before the kind */
            text_add(sql, "kept.date, kept.arch, kept.kind");
        else
            add_key_order(sql, shape, "");
        return;
    }
    text_addf(sql, "%s AS kept WHERE ", shape->table);
    sql_current(sql, shape->table, "kept");
    text_add(sql, " ORDER BY ");
    if (kind >= RECORD_JUDGED) /* what the program itself keeps: as it came about */
        text_add(sql, "kept.sequence");
    else
        add_key_order(sql, shape, "");
}

/* The order of an index: nothing is sorted, and the first rows come at once. */
static void add_by_case(struct text *sql, const struct shape *shape)
{
    add_select(sql, shape);
    text_addf(sql, "%s AS kept WHERE ", shape->table);
    sql_current(sql, shape->table, "kept");
    text_add(sql, " ORDER BY kept.casefile");
}

void row_sql(struct text *sql, const struct shape *shapes, enum record_kind kind,
             enum row_statement which)
{
    const struct shape *shape = &shapes[kind];

    switch (which) {
    case ROW_INSERT:
        add_insert(sql, shape);
        break;
    case ROW_STANDING:
        add_standing(sql, shape->table);
        break;
    case ROW_OF_CASE:
        add_of_case(sql, shape, kind);
        break;
    case ROW_OF_RECORD:
        if (kind == RECORD_PATIENT || kind == RECORD_CASEFILE)
            add_of(sql, shape, "record");
        break;
    case ROW_OF_NAME:
        if (kind == RECORD_PROTOCOL)
            add_of(sql, shape, "name");
        break;
    case ROW_FIND:
        if (kind == RECORD_PATIENT || kind == RECORD_CASEFILE)
            add_records(sql, shape->table, kind == RECORD_PATIENT ? "chart" : "case", false);
        break;
    case ROW_RECORDS:
        if (kind == RECORD_CASEFILE)
            add_records(sql, shape->table, "case", true);
        break;
    case ROW_SAME_KEY:
        add_same_key(sql, shape, kind);
        break;
    case ROW_EACH:
        add_each(sql, shape, kind);
        break;
    case ROW_BY_CASE:
        if (kind == RECORD_EXPANDER || kind == RECORD_WIDTH)
            add_by_case(sql, shape);
        break;
    case ROW_VERSIONS:
    case ROW_WITHDRAWN:
    case ROW_BY_ID:
    case ROW_EVER:
        row_story_sql(sql, shapes, kind, which);
        break;
    case ROW_STATEMENT_COUNT:
        break;
    }
}
