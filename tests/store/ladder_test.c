/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The ladder: whole rungs or none. And the schema keeps the house rules. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "../../src/store/handle.h"
#include "kept_store.h"
#include "springline/store/schema.h"

static void a_new_store_stands_on_the_newest_rung(void **state)
{
    struct kept_store kept;

    (void)state;
    assert_true(schema_rung_count >= 1);
    kept_open(&kept, "new");
    assert_int_equal(schema_rung_count, kept_number(kept.path, "PRAGMA user_version"));
    assert_int_equal(STORE_APPLICATION_ID, kept_number(kept.path, "PRAGMA application_id"));
    assert_int_equal(1, kept_number(kept.path, "SELECT count(*) FROM practice WHERE length(id) = "
                                               "16 AND made_at = '2026-06-01T08:00:00Z'"));
    assert_int_equal(0, kept_number(kept.path, "SELECT count(*) FROM ledger"));
    struct id site = store_site(kept.store);
    assert_false(id_is_none(&site));
    kept_close(&kept);
}

/* Rungs made up for the test behind the real ones. */
struct ladder {
    struct schema_rung rungs[32];
    size_t count;
};

static void add_rung(struct ladder *ladder, const char *sql)
{
    ladder->rungs[ladder->count] = (struct schema_rung){(int)ladder->count + 1, sql};
    ladder->count++;
}

static void real_ladder(struct ladder *ladder)
{
    ladder->count = 0;
    for (size_t i = 0; i < schema_rung_count; i++)
        ladder->rungs[ladder->count++] = schema_rungs[i];
}

static void climbing_keeps_the_rows(void **state)
{
    struct kept_store kept;
    struct ladder ladder;

    (void)state;
    real_ladder(&ladder);
    add_rung(&ladder, "ALTER TABLE visit ADD COLUMN chair TEXT;");
    add_rung(&ladder, "CREATE TABLE extra (id BLOB PRIMARY KEY) STRICT;");
    kept_open(&kept, "climb");
    kept_fill_all(&kept, 1);
    store_close(kept.store);
    kept.store = NULL;
    assert_int_equal(STATUS_OK, ladder_climb(kept.path, ladder.rungs, ladder.count, NULL,
                                             INSTANT_NONE, &kept.error));
    assert_int_equal(ladder.count, kept_number(kept.path, "PRAGMA user_version"));
    assert_int_equal(1, kept_number(kept.path, "SELECT count(*) FROM visit WHERE chair IS NULL"));
    /* A second climb finds nothing to do. */
    assert_int_equal(STATUS_OK, ladder_climb(kept.path, ladder.rungs, ladder.count, NULL,
                                             INSTANT_NONE, &kept.error));
    kept_close(&kept);
}

static void a_rung_that_breaks_leaves_the_one_below(void **state)
{
    struct kept_store kept;
    struct ladder ladder;

    (void)state;
    real_ladder(&ladder);
    add_rung(&ladder, "CREATE TABLE good (id BLOB PRIMARY KEY) STRICT;");
    add_rung(&ladder, "CREATE TABLE half (id BLOB PRIMARY KEY) STRICT; CREATE TABLE half (id);");
    kept_open(&kept, "break");
    kept_fill_all(&kept, 1);
    store_close(kept.store);
    kept.store = NULL;
    assert_int_equal(STATUS_UNUSABLE, ladder_climb(kept.path, ladder.rungs, ladder.count, NULL,
                                                   INSTANT_NONE, &kept.error));
    assert_non_null(strstr(kept.error.sentence, "half"));
    assert_int_equal(ladder.count - 1, kept_number(kept.path, "PRAGMA user_version"));
    assert_int_equal(1, kept_number(kept.path, "SELECT count(*) FROM sqlite_schema "
                                               "WHERE name = 'good'"));
    assert_int_equal(0, kept_number(kept.path, "SELECT count(*) FROM sqlite_schema "
                                               "WHERE name = 'half'"));
    assert_int_equal(1, kept_number(kept.path, "SELECT count(*) FROM visit"));
    kept_close(&kept);
}

/* A store that could not be made leaves nothing behind. */
static void a_first_rung_that_breaks_makes_no_store(void **state)
{
    struct kept_store kept;
    struct ladder ladder = {.count = 0};
    size_t size;

    (void)state;
    add_rung(&ladder, "CREATE TABLE practice (id); CREATE TABLE practice (id);");
    kept_source(&kept, "first");
    FILE *file = fopen(kept.path, "wb");
    assert_non_null(file);
    assert_int_equal(0, fclose(file));
    struct id practice = {{1}};
    assert_int_equal(STATUS_UNUSABLE, ladder_climb(kept.path, ladder.rungs, ladder.count, &practice,
                                                   kept.now, &kept.error));
    free(kept_bytes(kept.path, &size));
    assert_int_equal(0, size);
    kept_close(&kept);
}

/* The SQL a table was made with. */
static void table_sql(const char *path, const char *name, char *sql, size_t size)
{
    char query[200];

    (void)snprintf(query, sizeof query, "SELECT sql FROM sqlite_schema WHERE name = '%s'", name);
    kept_text(path, query, sql, size);
}

static void every_field_has_its_column(void **state)
{
    struct kept_store kept;
    char query[300];

    (void)state;
    kept_open(&kept, "columns");
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++) {
        const struct record_table *table = &record_tables[kind];

        for (size_t i = 0; i < table->field_count; i++) {
            const struct field *field = &table->fields[i];
            struct text name = {0};

            column_name(&name, field);
            (void)snprintf(query, sizeof query,
                           "SELECT count(*) FROM pragma_table_info('%s') WHERE name = '%s' AND "
                           "type = '%s' AND \"notnull\" = %d",
                           table->table, text_string(&name),
                           field->type == FIELD_ID                               ? "BLOB"
                           : field->type == FIELD_UM || field->type == FIELD_INT ? "INTEGER"
                                                                                 : "TEXT",
                           /* a personal value may be erased */
                           (field->flags & (FIELD_REQUIRED | FIELD_PERSONAL)) == FIELD_REQUIRED);
            if (kept_number(kept.path, query) != 1)
                fail_msg("%s.%s", table->table, text_string(&name));
            text_release(&name);
        }
        /* Nothing that no field stands for, but the head and what seals personal values. */
        (void)snprintf(query, sizeof query,
                       "SELECT count(*) FROM pragma_table_info('%s') WHERE name NOT IN ('salts', "
                       "'seals')",
                       table->table);
        assert_int_equal(10 + table->field_count, kept_number(kept.path, query));
    }
    kept_close(&kept);
}

/* Each column's definition stands under a comment of its own. */
static void comments_stand(const char *table, const char *sql)
{
    const char *line = strchr(sql, '\n');
    bool comment = false;

    for (; line != NULL; line = strchr(line + 1, '\n')) {
        const char *text = line + 1;

        if (strncmp(text, "    -- ", 7) == 0)
            comment = true;
        else if (strncmp(text, "    ", 4) == 0 && text[4] >= '"' && text[4] != ' ' &&
                 strncmp(text + 4, "CONSTRAINT", 10) != 0 && strncmp(text + 4, "PRIMARY", 7) != 0) {
            if (!comment)
                fail_msg("%s: no comment over %.30s", table, text + 4);
            comment = false;
        }
    }
}

static void tables_keep_the_house_rules(void **state)
{
    static char sql[40000];
    struct kept_store kept;
    sqlite3 *db = NULL;
    sqlite3_stmt *stmt = NULL;
    int tables = 0;

    (void)state;
    kept_open(&kept, "rules");
    assert_int_equal(SQLITE_OK, sqlite3_open(kept.path, &db));
    assert_int_equal(SQLITE_OK, sqlite3_prepare_v2(db,
                                                   "SELECT name FROM sqlite_schema WHERE type = "
                                                   "'table' AND name NOT LIKE 'sqlite_%'",
                                                   -1, &stmt, NULL));
    while (sqlite3_step(stmt) == SQLITE_ROW) {
        const char *name = (const char *)sqlite3_column_text(stmt, 0);

        table_sql(kept.path, name, sql, sizeof sql);
        assert_non_null(strstr(sql, ") STRICT"));
        assert_null(strstr(sql, "INTEGER PRIMARY KEY"));
        assert_null(strstr(sql, "AUTOINCREMENT"));
        comments_stand(name, sql);
        tables++;
    }
    assert_int_equal(RECORD_KIND_COUNT + 11, tables);
    sqlite3_finalize(stmt);
    assert_int_equal(SQLITE_OK, sqlite3_close(db));
    /* Every column but references has a CHECK: the words CHECK and REFERENCES outnumber columns. */
    assert_int_equal(0, kept_number(kept.path,
                                    "SELECT count(*) FROM sqlite_schema AS made, "
                                    "pragma_table_info(made.name) AS part WHERE made.type = "
                                    "'table' AND made.name NOT LIKE 'sqlite_%' AND part.type NOT "
                                    "IN ('TEXT', 'INTEGER', 'BLOB')"));
    kept_close(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_new_store_stands_on_the_newest_rung),
        cmocka_unit_test(climbing_keeps_the_rows),
        cmocka_unit_test(a_rung_that_breaks_leaves_the_one_below),
        cmocka_unit_test(a_first_rung_that_breaks_makes_no_store),
        cmocka_unit_test(every_field_has_its_column),
        cmocka_unit_test(tables_keep_the_house_rules),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
