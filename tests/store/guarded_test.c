/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What nobody may do to recorded rows: by triggers for every SQLite program, by the authoriser and
 * the settings for this one, by CHECKs for the values. */
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

static int through_the_store(struct kept_store *kept, const char *sql)
{
    return sqlite3_exec(kept->store->db, sql, NULL, NULL, NULL) & 0xff;
}

static void recorded_rows_are_never_changed(void **state)
{
    static const char *const more[] = {"ledger", "request", "practice"};
    struct kept_store kept;
    char sql[200];

    (void)state;
    kept_open(&kept, "never");
    kept_fill_all(&kept, 1);
    kept_erase(&kept, 2);
    kept_begin(&kept, "undo");
    assert_int_equal(STATUS_OK, store_withdraw(kept.store, RECORD_CONTACT,
                                               &kept.records[RECORD_CONTACT], "x", &kept.error));
    kept_commit(&kept);
    for (int i = 0; i < RECORD_KIND_COUNT + 4; i++) {
        const char *table = i < RECORD_KIND_COUNT        ? record_tables[i].table
                            : i == RECORD_KIND_COUNT + 3 ? "withdrawal"
                                                         : more[i - RECORD_KIND_COUNT];

        (void)snprintf(sql, sizeof sql, "UPDATE %s SET %s = %s", table,
                       strcmp(table, "practice") == 0 ? "made_at" : "recorded_at",
                       strcmp(table, "practice") == 0 ? "made_at" : "recorded_at");
        assert_int_equal(SQLITE_CONSTRAINT_TRIGGER, kept_raw(kept.path, false, sql));
        assert_int_equal(SQLITE_AUTH, through_the_store(&kept, sql));
        (void)snprintf(sql, sizeof sql, "DELETE FROM %s", table);
        assert_int_equal(SQLITE_CONSTRAINT_TRIGGER, kept_raw(kept.path, false, sql));
        assert_int_equal(SQLITE_AUTH, through_the_store(&kept, sql));
        /* REPLACE deletes the row in its way: seen only because triggers recurse here. */
        (void)snprintf(sql, sizeof sql,
                       "PRAGMA recursive_triggers=ON; INSERT OR REPLACE INTO %s SELECT * FROM %s "
                       "LIMIT 1",
                       table, table);
        assert_int_equal(SQLITE_CONSTRAINT, kept_raw(kept.path, false, sql) & 0xff);
        (void)snprintf(sql, sizeof sql, "INSERT OR REPLACE INTO %s SELECT * FROM %s LIMIT 1", table,
                       table);
        assert_int_equal(SQLITE_CONSTRAINT, through_the_store(&kept, sql));
    }
    struct verify_report report;
    assert_int_equal(STATUS_OK, store_verify(kept.store, &report, &kept.error));
    text_release(&report.findings);
    kept_close(&kept);
}

/* A trigger that somebody put into the file and that writes when the practice saves: the store is
 * not opened, nor written. */
static void a_planted_trigger_writes_nothing(void **state)
{
    static const char *const planted[] = {
        "CREATE TRIGGER more AFTER INSERT ON request BEGIN DELETE FROM draft; END",
        "CREATE TRIGGER more AFTER INSERT ON visit BEGIN UPDATE secret SET pin_failures = 0; END",
        "CREATE TRIGGER more AFTER UPDATE ON case_state BEGIN DELETE FROM presence; END",
        "CREATE TRIGGER more AFTER INSERT ON ledger BEGIN INSERT INTO presence "
        "VALUES ('x', NULL, '2026-06-01T08:00:00Z'); END",
    };

    (void)state;
    for (size_t i = 0; i < sizeof planted / sizeof planted[0]; i++) {
        struct kept_store kept;
        struct store *store = NULL;
        size_t before_size = 0, after_size = 0;

        kept_open(&kept, "planted");
        store_close(kept.store);
        kept.store = NULL;
        assert_int_equal(SQLITE_OK, kept_raw(kept.path, false, planted[i]));
        unsigned char *before = kept_bytes(kept.path, &before_size);
        if (store_open(kept.path, &kept.source, &store, &kept.error) != STATUS_UNUSABLE)
            fail_msg("opened: %s", planted[i]);
        assert_non_null(strstr(kept.error.sentence, "holds a trigger that writes"));
        assert_null(store);
        unsigned char *after = kept_bytes(kept.path, &after_size);
        assert_int_equal(before_size, after_size);
        assert_memory_equal(before, after, after_size);
        free(before);
        free(after);
        kept_close(&kept);
    }
}

static void the_connection_can_not_be_loosened(void **state)
{
    static const char *const forbidden[] = {
        "DROP TRIGGER visit_is_never_changed",
        "DROP TABLE visit",
        "DROP VIEW visit_current",
        "ALTER TABLE visit ADD COLUMN more TEXT",
        "CREATE TABLE more (id BLOB) STRICT",
        "CREATE TEMP TABLE more (id BLOB)",
        "CREATE TRIGGER more AFTER INSERT ON visit BEGIN SELECT 1; END",
        "ATTACH ':memory:' AS other",
        "PRAGMA journal_mode=OFF",
        "PRAGMA journal_mode",
        "PRAGMA synchronous=OFF",
        "PRAGMA foreign_keys=OFF",
        "PRAGMA recursive_triggers=OFF",
        "PRAGMA writable_schema=ON",
        "PRAGMA ignore_check_constraints=ON",
        "PRAGMA cache_size=1",
        "PRAGMA user_version=9",
        "UPDATE signing SET since = 9",
        "DELETE FROM signing",
        "INSERT INTO signing (only, since) VALUES (2, 9)",
        "UPDATE sqlite_schema SET sql = ''",
        "DELETE FROM sqlite_schema",
        "INSERT INTO sqlite_schema VALUES ('table', 'x', 'x', 0, '')",
        "VACUUM",
        "VACUUM INTO '/tmp/never'",
        "REINDEX",
        "ANALYZE",
    };
    struct kept_store kept;

    (void)state;
    kept_open(&kept, "loose");
    for (size_t i = 0; i < sizeof forbidden / sizeof forbidden[0]; i++)
        if (through_the_store(&kept, forbidden[i]) == SQLITE_OK)
            fail_msg("allowed: %s", forbidden[i]);
    assert_int_equal(SQLITE_OK, through_the_store(&kept, "PRAGMA quick_check"));
    /* A mistyped column in double quotes is an error, not a text. */
    assert_int_equal(SQLITE_ERROR, through_the_store(&kept, "SELECT \"nocolumn\" FROM visit"));
    assert_int_equal(SQLITE_ERROR, through_the_store(&kept, "SELECT load_extension('x')"));
    /* Seat state and derived state may change. */
    assert_int_equal(SQLITE_OK, through_the_store(&kept, "DELETE FROM draft"));
    assert_int_equal(SQLITE_OK, through_the_store(&kept, "DELETE FROM presence"));
    assert_int_equal(SQLITE_OK,
                     through_the_store(&kept, "UPDATE sign_in_failure SET failures = 0"));
    assert_int_equal(SQLITE_OK, through_the_store(&kept, "DELETE FROM case_state"));
    assert_int_equal(SQLITE_OK, through_the_store(&kept, "DELETE FROM unsigned_row"));
    kept_close(&kept);
}

static void the_settings_stand(void **state)
{
    static const struct {
        const char *pragma, *value;
    } wanted[] = {{"journal_mode", "truncate"}, {"synchronous", "3"},     {"foreign_keys", "1"},
                  {"recursive_triggers", "1"},  {"cell_size_check", "1"}, {"temp_store", "2"},
                  {"secure_delete", "1"},       {"trusted_schema", "0"},  {"mmap_size", "0"}};
    struct kept_store kept;

    (void)state;
    kept_open(&kept, "settings");
    assert_int_equal(SQLITE_OK, sqlite3_set_authorizer(kept.store->db, NULL, NULL));
    for (size_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++) {
        char sql[60];
        sqlite3_stmt *stmt;

        (void)snprintf(sql, sizeof sql, "PRAGMA %s", wanted[i].pragma);
        assert_int_equal(SQLITE_OK, sqlite3_prepare_v2(kept.store->db, sql, -1, &stmt, NULL));
        assert_int_equal(SQLITE_ROW, sqlite3_step(stmt));
        assert_string_equal(wanted[i].value, (const char *)sqlite3_column_text(stmt, 0));
        sqlite3_finalize(stmt);
    }
    kept_close(&kept);
}

/* A ledger row with a gap, or from the past, by whatever program. */
static void the_ledger_has_no_gap(void **state)
{
    struct kept_store kept;

    (void)state;
    kept_open(&kept, "gap");
    kept_fill_all(&kept, 1);
    assert_int_equal(SQLITE_CONSTRAINT_TRIGGER,
                     kept_raw(kept.path, false,
                              "INSERT INTO ledger SELECT sequence + 2, kind, row, recorded_at, "
                              "hash FROM ledger ORDER BY sequence DESC LIMIT 1"));
    assert_int_equal(SQLITE_CONSTRAINT_TRIGGER,
                     kept_raw(kept.path, false,
                              "INSERT INTO ledger SELECT sequence + 1, kind, row, "
                              "'2000-01-01T00:00:00Z', hash FROM ledger ORDER BY sequence DESC "
                              "LIMIT 1"));
    kept_close(&kept);
}

/* An INSERT of one more visit with one column given, all else copied. */
static int copy_visit(struct kept_store *kept, const char *columns, const char *values)
{
    char sql[1200];

    (void)snprintf(sql, sizeof sql,
                   "INSERT INTO visit (id, record, version, sequence, recorded_at, practice, "
                   "request, salts, seals, casefile, kind%s) SELECT x'%032d', x'%032d', 1, 99, "
                   "recorded_at, practice, request, salts, seals, casefile, 'check'%s FROM visit "
                   "LIMIT 1",
                   columns, 7, 7, values);
    return kept_raw(kept->path, false, sql);
}

static void values_that_can_not_be_are_refused(void **state)
{
    static const struct {
        const char *columns, *values;
        bool good;
    } tries[] = {
        {", date", ", '2026-06-30'", true},
        {", date", ", '2026-02-30'", false}, /* SQLite alone would take it for 2 March */
        {", date", ", '2026-06-31'", false},
        {", date", ", '2025-02-29'", false},
        {", date", ", '2026-6-1'", false},
        {", date", ", '2026-06-01 '", false},
        {", date", ", '20260601'", false},
        {", date", ", 'now'", false},
        {", date", ", ''", false},
        {", date", ", NULL", false},
        {", date", ", 2461000", false},
        {", date, right_um", ", '2026-06-30', 0", true},
        {", date, right_um", ", '2026-06-30', 20000", true},
        {", date, right_um", ", '2026-06-30', 20001", false},
        {", date, right_um", ", '2026-06-30', -1", false},
        {", date, right_um", ", '2026-06-30', 2.5", false},
        {", date, right_um", ", '2026-06-30', 'much'", false},
        {", date, arch", ", '2026-06-30', 'lower'", true},
        {", date, arch", ", '2026-06-30', 'middle'", false},
        {", date, arch", ", '2026-06-30', ''", false},
        {", date, tissue", ", '2026-06-30', 'sore'", false},
        {", date, hardware", ", '2026-06-30', 'intact'", true},
        {", date, hardware", ", '2026-06-30', 'broken-wire:left;lost-bracket'", true},
        {", date, hardware", ", '2026-06-30', 'fine'", false},
        {", date, hardware", ", '2026-06-30', 'intact;broken-wire'", false},
        {", date, note", ", '2026-06-30', ''", false},
        {", date, note", ", '2026-06-30', 'n'", true},
        {", date, next_on", ", '2026-06-30', '2026-13-01'", false},
        {", date, reason", ", '2026-06-30', ''", false},
        {", date, replaces", ", '2026-06-30', id", false}, /* a first version replaces nothing */
    };
    struct kept_store kept;

    (void)state;
    kept_open(&kept, "values");
    kept_fill_all(&kept, 1);
    for (size_t i = 0; i < sizeof tries / sizeof tries[0]; i++) {
        struct kept_store copy = kept;
        int code;

        kept_path(copy.path, "values-copy");
        kept_copy(kept.path, copy.path);
        code = copy_visit(&copy, tries[i].columns, tries[i].values);
        if (tries[i].good != (code == SQLITE_OK))
            fail_msg("visit (%s) = %s: %d", tries[i].columns, tries[i].values, code);
    }
    kept_close(&kept);
}

/* Through the store the same is STATUS_INPUT with a sentence that says what must hold. */
static void a_refused_value_is_said_in_words(void **state)
{
    struct kept_store kept;
    union any_row row;

    (void)state;
    kept_open(&kept, "words");
    kept_fill_all(&kept, 1);
    kept_begin(&kept, "visit");
    kept_fill(&kept, RECORD_VISIT, 2, &row);
    row.visit.right = 20001;
    assert_int_equal(STATUS_INPUT, store_append(kept.store, RECORD_VISIT, &row, &kept.error));
    assert_non_null(strstr(kept.error.sentence, "right_um lies in 0 to 20000"));
    assert_string_equal("visit", kept.error.where);
    kept_fill(&kept, RECORD_VISIT, 2, &row);
    row.visit.date = DAY_NONE;
    assert_int_equal(STATUS_INPUT, store_append(kept.store, RECORD_VISIT, &row, &kept.error));
    assert_non_null(strstr(kept.error.sentence, "visit.date is empty"));
    kept_fill(&kept, RECORD_VISIT, 2, &row);
    row.visit.date = 1000000; /* beyond the years a date can be written in */
    assert_int_equal(STATUS_INPUT, store_append(kept.store, RECORD_VISIT, &row, &kept.error));
    kept_fill(&kept, RECORD_VISIT, 2, &row);
    row.visit.hardware |= HARDWARE_INTACT;
    assert_int_equal(STATUS_INPUT, store_append(kept.store, RECORD_VISIT, &row, &kept.error));
    kept_fill(&kept, RECORD_VISIT, 2, &row);
    row.visit.hardware = UINT32_C(1) << 31;
    assert_int_equal(STATUS_INPUT, store_append(kept.store, RECORD_VISIT, &row, &kept.error));
    kept_fill(&kept, RECORD_VISIT, 2, &row);
    row.visit.kind = (enum visit_kind)99;
    assert_int_equal(STATUS_INPUT, store_append(kept.store, RECORD_VISIT, &row, &kept.error));
    kept_fill(&kept, RECORD_VISIT, 2, &row);
    row.visit.casefile = store_new_id(kept.store);
    assert_int_equal(STATUS_INPUT, store_append(kept.store, RECORD_VISIT, &row, &kept.error));
    assert_non_null(strstr(kept.error.sentence, "does not hold"));
    kept_fill(&kept, RECORD_WIDTH, 2, &row);
    row.width.teeth = (struct teeth){19, 26}; /* ISO 3950 has no 19 */
    assert_int_equal(STATUS_INPUT, store_append(kept.store, RECORD_WIDTH, &row, &kept.error));
    kept_fill(&kept, RECORD_WIDTH, 2, &row);
    row.width.teeth = (struct teeth){26, 16}; /* the right one first */
    assert_int_equal(STATUS_INPUT, store_append(kept.store, RECORD_WIDTH, &row, &kept.error));
    kept_fill(&kept, RECORD_WEAR_COUNT, 2, &row);
    row.wear_count.days_met = row.wear_count.days_asked + 1;
    assert_int_equal(STATUS_INPUT, store_append(kept.store, RECORD_WEAR_COUNT, &row, &kept.error));
    assert_non_null(strstr(kept.error.sentence, "days_met is at most days_asked"));
    kept_commit(&kept); /* refused rows leave the save as it was, and nothing in the ledger */
    assert_int_equal(1, kept_number(kept.path, "SELECT count(*) FROM visit"));
    struct verify_report report;
    assert_int_equal(STATUS_OK, store_verify(kept.store, &report, &kept.error));
    text_release(&report.findings);
    kept_close(&kept);
}

/* Keys are unique among current rows (interchange.md), whoever writes. */
static void a_key_stands_once(void **state)
{
    struct kept_store kept;

    (void)state;
    kept_open(&kept, "keys");
    kept_fill_all(&kept, 1);
    for (int kind = 0; kind < KEPT_KINDS; kind++) {
        union any_row row, found;
        struct arena arena = {0};

        if (kind == RECORD_ACCESS)
            continue; /* without a key */
        kept_fill(&kept, (enum record_kind)kind, 1, &row);
        if (kind == RECORD_CASEFILE) {
            row.casefile.clinician = "another";
        }
        if (STATUS_OK != store_find_same_key(kept.store, (enum record_kind)kind, &row, &arena,
                                             &found, &kept.error))
            fail_msg("%s", record_tables[kind].table);
        arena_release(&arena);
        kept_begin(&kept, "again");
        assert_int_equal(STATUS_INPUT,
                         store_append(kept.store, (enum record_kind)kind, &row, &kept.error));
        assert_non_null(strstr(kept.error.sentence, kind == RECORD_SIGNATURE ? "signed already"
                                                    : kind == RECORD_MONTH_CLOSE
                                                        ? "closed already"
                                                        : "another record has the same"));
        store_rollback(kept.store);
        if (kind == RECORD_PROTOCOL || kind == RECORD_JUDGED)
            continue; /* known by name or by visit alone */
        kept_fill(&kept, (enum record_kind)kind, 2, &row);
        if (kind == RECORD_PLAN) /* known by its case and arch alone */
            row.plan.arch = ARCH_LOWER;
        assert_int_equal(STATUS_NOT_FOUND, store_find_same_key(kept.store, (enum record_kind)kind,
                                                               &row, &arena, &found, &kept.error));
        arena_release(&arena);
    }
    kept_close(&kept);
}

/* SQLite prepares a statement again when it thinks a value may change the plan: never here. */
static void no_statement_is_prepared_twice(void **state)
{
    struct kept_store kept;
    sqlite3_stmt *stmt = NULL;

    (void)state;
    kept_open(&kept, "prepared");
    for (int seed = 1; seed < 5; seed++) {
        kept_fill_all(&kept, seed);
        for (int kind = 0; kind < KEPT_KINDS; kind++) {
            union any_row row, found;
            struct arena arena = {0};

            enum status wanted = kind == RECORD_ACCESS ? STATUS_NOT_FOUND : STATUS_OK;
            kept_fill(&kept, (enum record_kind)kind, seed, &row);
            assert_int_equal(wanted, store_find_same_key(kept.store, (enum record_kind)kind, &row,
                                                         &arena, &found, &kept.error));
            arena_release(&arena);
        }
    }
    while ((stmt = sqlite3_next_stmt(kept.store->db, stmt)) != NULL)
        if (sqlite3_stmt_status(stmt, SQLITE_STMTSTATUS_REPREPARE, 0) > 0)
            fail_msg("prepared again: %s", sqlite3_sql(stmt));
    kept_close(&kept);
}

/* An expander is known by its fit, or by its bands while there is no fit (interchange.md). */
static void an_expander_is_known_by_fit_or_bands(void **state)
{
    struct kept_store kept;
    union any_row banded, fitted, found;
    struct arena arena = {0};

    (void)state;
    kept_open(&kept, "bands");
    kept_fill_all(&kept, 1);
    kept_fill(&kept, RECORD_EXPANDER, 30, &banded);
    banded.expander.fitted_on = DAY_NONE;
    kept_begin(&kept, "bands");
    kept_append(&kept, RECORD_EXPANDER, &banded);
    kept_commit(&kept);
    kept_fill(&kept, RECORD_EXPANDER, 30, &fitted);
    fitted.expander.fitted_on = DAY_NONE;
    fitted.expander.wire = 900;
    assert_int_equal(STATUS_OK, store_find_same_key(kept.store, RECORD_EXPANDER, &fitted, &arena,
                                                    &found, &kept.error));
    assert_true(id_equal(&banded.head.id, &found.head.id));
    fitted.expander.banded_on++;
    assert_int_equal(STATUS_NOT_FOUND, store_find_same_key(kept.store, RECORD_EXPANDER, &fitted,
                                                           &arena, &found, &kept.error));
    /* Fitted later: a new version, now known by the day of the fit. */
    banded.expander.fitted_on = 20700;
    kept_begin(&kept, "fit");
    kept_append(&kept, RECORD_EXPANDER, &banded);
    kept_commit(&kept);
    fitted.expander.fitted_on = 20700;
    fitted.expander.banded_on = DAY_NONE;
    assert_int_equal(STATUS_OK, store_find_same_key(kept.store, RECORD_EXPANDER, &fitted, &arena,
                                                    &found, &kept.error));
    assert_int_equal(2, found.head.version);
    arena_release(&arena);
    kept_close(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(recorded_rows_are_never_changed),
        cmocka_unit_test(a_planted_trigger_writes_nothing),
        cmocka_unit_test(the_connection_can_not_be_loosened),
        cmocka_unit_test(the_settings_stand),
        cmocka_unit_test(the_ledger_has_no_gap),
        cmocka_unit_test(values_that_can_not_be_are_refused),
        cmocka_unit_test(a_refused_value_is_said_in_words),
        cmocka_unit_test(a_key_stands_once),
        cmocka_unit_test(no_statement_is_prepared_twice),
        cmocka_unit_test(an_expander_is_known_by_fit_or_bands),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
