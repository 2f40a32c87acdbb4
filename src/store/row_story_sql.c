/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The generated statements about the past of a record, and about what stands on a save. */
#include "handle.h"

/*
 * Every version, found from the first by what replaces it: that needs no index of records. UNION
 * forgets what it has seen, so that a chain bent to a ring in a damaged file ends too.
 */
static void add_versions(struct text *sql, const struct shape *shape)
{
    text_addf(sql,
              "WITH RECURSIVE chain (id) AS (SELECT :record UNION SELECT newer.id FROM chain "
              "CROSS JOIN %s AS newer ON newer.replaces = chain.id) ",
              shape->table);
    row_sql_select(sql, shape);
    text_addf(sql,
              " FROM chain CROSS JOIN %s AS kept ON kept.id = chain.id "
              "WHERE kept.record = :record ORDER BY kept.version DESC",
              shape->table);
}

/* Does a row of this kind name one of the other? */
static bool refers_to(enum record_kind kind, enum record_kind other)
{
    const struct record_table *table = &record_tables[kind];

    for (size_t i = 0; i < table->field_count; i++)
        if (table->fields[i].type == FIELD_ID && table->fields[i].refers == other)
            return true;
    return false;
}

/* Only the newest version of a record is ever withdrawn. */
static void add_withdrawn(struct text *sql, const struct shape *shape, enum record_kind kind)
{
    if (kind != RECORD_JUDGED && !refers_to(kind, RECORD_CASEFILE))
        return;
    row_sql_select(sql, shape);
    text_add(sql, ", gone.recorded_at, gone.person, gone.request, gone.reason FROM ");
    if (kind == RECORD_JUDGED)
        text_add(sql, "visit CROSS JOIN judged AS kept ON kept.visit = visit.id");
    else
        text_addf(sql, "%s AS kept", shape->table);
    text_addf(sql,
              " CROSS JOIN withdrawal AS gone ON gone.row = kept.id WHERE %s.casefile = :casefile "
              "ORDER BY gone.sequence",
              kind == RECORD_JUDGED ? "visit" : "kept");
}

/* Rows of the kinds that the rules read, and of the case and its verdicts. */
static void add_ever(struct text *sql, const struct shape *shape, enum record_kind kind)
{
    bool ruling = kind >= RECORD_TRAINER && kind <= RECORD_WEAR_COUNT;

    if (!ruling && kind != RECORD_CASEFILE && kind != RECORD_JUDGED)
        return;
    row_sql_select(sql, shape);
    text_addf(sql,
              ", min(coalesce((SELECT newer.sequence FROM %s AS newer "
              "WHERE newer.replaces = kept.id), 9223372036854775807), "
              "coalesce((SELECT gone.sequence FROM withdrawal AS gone WHERE gone.row = kept.id), "
              "9223372036854775807)) FROM ",
              shape->table);
    if (kind == RECORD_JUDGED)
        text_add(sql, "visit CROSS JOIN judged AS kept ON kept.visit = visit.id "
                      "WHERE visit.casefile = :casefile");
    else
        text_addf(sql, "%s AS kept WHERE kept.%s = :casefile", shape->table,
                  kind == RECORD_CASEFILE ? "record" : "casefile");
}

void row_story_sql(struct text *sql, const struct shape *shapes, enum record_kind kind,
                   enum row_statement which)
{
    const struct shape *shape = &shapes[kind];

    if (which == ROW_VERSIONS) {
        add_versions(sql, shape);
    } else if (which == ROW_WITHDRAWN) {
        add_withdrawn(sql, shape, kind);
    } else if (which == ROW_BY_ID) {
        row_sql_select(sql, shape);
        text_addf(sql, " FROM %s AS kept WHERE kept.id = :id", shape->table);
    } else if (which == ROW_EVER) {
        add_ever(sql, shape, kind);
    }
}

/* Appends "column of kept names a row of table that the save wrote". */
static void add_stands_on(struct text *sql, const char *table, const char *column)
{
    text_addf(sql,
              "EXISTS (SELECT 1 FROM %s AS base WHERE base.id = kept.%s "
              "AND base.sequence > :first AND base.sequence <= :last)",
              table, column);
}

void row_dependent_sql(struct text *sql, const struct shape *shapes, enum record_kind kind)
{
    const struct record_table *table = &record_tables[kind];
    const char *before = " AND (";

    text_addf(sql, "SELECT kept.id, kept.sequence FROM %s AS kept WHERE kept.sequence > :last",
              table->table);
    for (size_t i = 0; i < table->field_count; i++) {
        const struct field *field = &table->fields[i];

        if (field->type != FIELD_ID || field->refers == RECORD_PROTOCOL)
            continue;
        text_add(sql, before);
        text_add(sql, "(");
        add_stands_on(sql, shapes[field->refers].table, shapes[field->refers].table);
        text_addf(sql,
                  " AND NOT EXISTS (SELECT 1 FROM %s AS newer WHERE newer.replaces = kept.id) "
                  "AND NOT EXISTS (SELECT 1 FROM withdrawal AS gone WHERE gone.row = kept.id))",
                  table->table);
        before = " OR ";
    }
    text_add(sql, before);
    text_add(sql, "(");
    add_stands_on(sql, table->table, "replaces");
    /* A correction that was withdrawn stands in nobody's way. */
    text_addf(sql,
              " AND NOT EXISTS (WITH RECURSIVE chain (id) AS (SELECT kept.id UNION SELECT newer.id "
              "FROM chain CROSS JOIN %s AS newer ON newer.replaces = chain.id) SELECT 1 FROM chain "
              "CROSS JOIN withdrawal AS gone ON gone.row = chain.id))) "
              "ORDER BY kept.sequence LIMIT 1",
              table->table);
}
