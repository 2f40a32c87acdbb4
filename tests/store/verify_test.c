/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Verify names what was changed: each cell of each table, whole rows. References: reference_test.c;
 * bytes in the file: flip_test.c; what happens by chance: tamper_test.c. */
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

/* A correction and a withdrawal, and the store is closed. */
static void correct_and_close(struct kept_store *kept)
{
    union any_row row;

    kept_fill(kept, RECORD_VISIT, 20, &row);
    kept_begin(kept, "import");
    kept_append(kept, RECORD_VISIT, &row);
    row.visit.note = "second version";
    row.head.reason = "slip";
    kept_append(kept, RECORD_VISIT, &row);
    kept_fill(kept, RECORD_CONTACT, 30, &row);
    kept_append(kept, RECORD_CONTACT, &row);
    assert_int_equal(STATUS_OK, store_withdraw(kept->store, RECORD_CONTACT, &row.head.id,
                                               "wrong child", &kept->error));
    kept_commit(kept);
    kept_erase(kept, 4);
    store_close(kept->store);
    kept->store = NULL;
}

/* A store with at least one row in every table of the ledger, closed. */
static void sealed_store(struct kept_store *kept, const char *name)
{
    kept_open(kept, name);
    kept_fill_all(kept, 1);
    correct_and_close(kept);
}

/* The ladder's schema, handed from store to store: to climb it is most of the time of each. */
static sqlite3 *ladder;

/* Verifies the closed store; the findings as text (freed by the caller), NULL: sound. A file that
 * can not even be opened gives the sentence. */
static char *verify(struct kept_store *kept, int64_t *bad_sequence)
{
    struct store *store = NULL;
    struct verify_report report;
    enum status status = store_open(kept->path, &kept->source, &store, &kept->error);
    char *findings = NULL;

    *bad_sequence = 0;
    if (status != STATUS_OK) {
        assert_int_equal(STATUS_UNUSABLE, status);
        return strdup(kept->error.sentence);
    }
    store->ladder = ladder;
    status = store_verify(store, &report, &kept->error);
    ladder = store->ladder;
    store->ladder = NULL;
    assert_true(status == STATUS_OK || status == STATUS_DAMAGED);
    if (status == STATUS_DAMAGED) {
        findings = strdup(text_string(&report.findings));
        *bad_sequence = report.bad_sequence;
        assert_true(strlen(findings) > 0);
    } else {
        assert_int_equal(0, report.findings.length);
        assert_int_equal(0, report.bad_sequence);
    }
    text_release(&report.findings);
    store_close(store);
    return findings;
}

static void a_sound_store_verifies(void **state)
{
    struct kept_store kept;
    struct verify_report report;
    int64_t sequence;
    uint8_t hash[32];

    (void)state;
    kept_open(&kept, "sound");
    assert_int_equal(STATUS_OK, store_verify(kept.store, &report, &kept.error));
    assert_int_equal(0, report.rows);
    text_release(&report.findings);
    kept_fill_all(&kept, 1);
    assert_int_equal(STATUS_OK, store_verify(kept.store, &report, &kept.error));
    assert_int_equal(STATUS_OK, store_head(kept.store, &sequence, hash, &kept.error));
    assert_int_equal(KEPT_KINDS + 1, report.rows);
    assert_int_equal(sequence, report.rows);
    assert_memory_equal(hash, report.head, sizeof hash);
    text_release(&report.findings);
    kept_close(&kept);
}

/* SQL of another value of the same sort for a column of this type. */
static void changed(char *sql, size_t size, const char *column, const char *type)
{
    if (strcmp(type, "INTEGER") == 0)
        (void)snprintf(sql, size, "coalesce(\"%s\", 0) + 1", column);
    else if (strcmp(type, "TEXT") == 0)
        (void)snprintf(sql, size, "coalesce(\"%s\", 'a') || 'b'", column);
    else
        (void)snprintf(sql, size, "zeroblob(coalesce(length(\"%s\"), 16))", column);
}

/* Changes one column of one row by SQL, triggers gone and checks off; the finding must name the
 * table's row. */
static void try_cell(struct kept_store *kept, const char *table, const char *column,
                     const char *type)
{
    struct kept_store copy = *kept;
    char sql[400], expression[120], what[64];
    int64_t sequence, bad;

    kept_path(copy.path, "cell-copy");
    kept_copy(kept->path, copy.path);
    (void)snprintf(sql, sizeof sql, "SELECT min(sequence) FROM %s", table);
    sequence = kept_number(copy.path, sql);
    changed(expression, sizeof expression, column, type);
    (void)snprintf(sql, sizeof sql,
                   "PRAGMA ignore_check_constraints=ON; UPDATE %s SET \"%s\" = %s WHERE sequence = "
                   "%lld",
                   table, column, expression, (long long)sequence);
    int code = kept_raw(copy.path, true, sql);
    if (code != SQLITE_OK)
        fail_msg("%s: %d", sql, code);
    char *findings = verify(&copy, &bad);
    (void)snprintf(what, sizeof what, "ledger row %lld, %s ", (long long)sequence, table);
    if (findings == NULL || strstr(findings, what) == NULL)
        fail_msg("%s.%s changed: %s", table, column, findings == NULL ? "sound" : findings);
    /* An erasure that names another row or column leaves the blank without a name: it comes first.
     */
    if (strcmp(table, "erasure") == 0 &&
        (strcmp(column, "kind") == 0 || strcmp(column, "row") == 0 ||
         strcmp(column, "fields") == 0))
        sequence = kept_number(kept->path, "SELECT sequence FROM patient WHERE family IS NULL");
    if (bad != sequence)
        fail_msg("%s.%s: %lld is named as the first", table, column, (long long)bad);
    free(findings);
}

static const char *table_name(int table)
{
    if (table < RECORD_KIND_COUNT)
        return record_tables[table].table;
    return table == TABLE_REQUEST ? "request" : "withdrawal";
}

static void every_cell_of_every_table_is_covered(void **state)
{
    struct kept_store kept;
    sqlite3 *db = NULL;
    int cells = 0;

    (void)state;
    sealed_store(&kept, "cells");
    assert_int_equal(SQLITE_OK, sqlite3_open(kept.path, &db));
    for (int table = 0; table < TABLE_COUNT; table++) {
        char sql[120];
        sqlite3_stmt *stmt;

        (void)snprintf(sql, sizeof sql, "SELECT name, type FROM pragma_table_info('%s')",
                       table_name(table));
        assert_int_equal(SQLITE_OK, sqlite3_prepare_v2(db, sql, -1, &stmt, NULL));
        while (sqlite3_step(stmt) == SQLITE_ROW) {
            const char *column = (const char *)sqlite3_column_text(stmt, 0);

            if (strcmp(column, "sequence") == 0)
                continue; /* moved cells: the next test */
            try_cell(&kept, table_name(table), column, (const char *)sqlite3_column_text(stmt, 1));
            cells++;
        }
        sqlite3_finalize(stmt);
    }
    assert_int_equal(SQLITE_OK, sqlite3_close(db));
    assert_true(cells > 250);
    kept_close(&kept);
}

/* Whole rows and the ledger itself: what must be said of each. */
static void rows_moved_added_or_taken_are_named(void **state)
{
    static const struct {
        const char *sql, *says;
    } tries[] = {
        {"DELETE FROM visit WHERE version = 2", "the row is missing"},
        {"DELETE FROM judged", "the row is missing"},
        {"UPDATE width SET sequence = 999", "the row is missing"},
        {"UPDATE ledger SET hash = zeroblob(32) WHERE sequence = 5", "ledger row 5, "},
        {"UPDATE ledger SET kind = 'width' WHERE kind = 'visit'", "ledger row "},
        {"UPDATE ledger SET kind = 'dance' WHERE sequence = 6", "ledger row 6, dance"},
        {"UPDATE ledger SET hash = x'00' WHERE sequence = 6", "ledger row 6, "},
        {"UPDATE patient SET salts = x'00'", "its salts or seals are cut"},
        {"DROP VIEW judged_current; DROP TABLE judged", "judged"},
        {"UPDATE ledger SET row = zeroblob(16) WHERE sequence = 6", "ledger row 6, "},
        {"UPDATE ledger SET recorded_at = '2030-01-01T00:00:00Z' WHERE sequence = 7",
         "at different instants"},
        {"UPDATE ledger SET recorded_at = '1999-01-01T00:00:00Z' WHERE sequence = 7",
         "before that of the row above"},
        {"DELETE FROM ledger WHERE sequence = 4", "ledger rows before it are missing"},
        {"DELETE FROM ledger WHERE sequence = (SELECT max(sequence) FROM ledger)",
         "withdrawal"}, /* a cut tail whose row stays */
        {"UPDATE practice SET id = x'00000000000000000000000000000001'", "ledger row 1, "},
        {"INSERT INTO wear_day SELECT randomblob(16), randomblob(16), version, replaces, 500, "
         "recorded_at, practice, person, request, reason, casefile, '2026-06-20', day_minutes, "
         "night, source FROM wear_day",
         "the row is in no ledger row"},
        {"UPDATE booking SET casefile = randomblob(16)", "ledger row "},
        {"DROP TRIGGER visit_is_never_deleted", "the schema: trigger visit_is_never_deleted is "
                                                "missing"},
        {"CREATE TRIGGER quiet BEFORE INSERT ON visit BEGIN SELECT RAISE(IGNORE); END",
         "the schema: trigger quiet is no part of it"},
        {"DROP VIEW visit_current; CREATE VIEW visit_current AS SELECT * FROM visit",
         "the schema: view visit_current was changed"},
        {"DROP INDEX visit_case", "the schema: index visit_case is missing"},
        {"CREATE TABLE notes (text TEXT)", "the schema: table notes is no part of it"},
    };
    struct kept_store kept;

    (void)state;
    sealed_store(&kept, "moved");
    for (size_t i = 0; i < sizeof tries / sizeof tries[0]; i++) {
        struct kept_store copy = kept;
        char sql[600];
        int64_t bad;
        bool schema = strncmp(tries[i].says, "the schema", 10) == 0;

        kept_path(copy.path, "moved-copy");
        kept_copy(kept.path, copy.path);
        (void)snprintf(sql, sizeof sql, "PRAGMA ignore_check_constraints=ON; %s", tries[i].sql);
        int code = kept_raw(copy.path, !schema, sql);
        if (code != SQLITE_OK)
            fail_msg("%s: %d", sql, code);
        char *findings = verify(&copy, &bad);
        if (findings == NULL || strstr(findings, tries[i].says) == NULL)
            fail_msg("%s: %s", tries[i].sql, findings == NULL ? "sound" : findings);
        free(findings);
    }
    kept_close(&kept);
}

/* Of very many findings the first are said and the rest counted. */
static void many_findings_are_counted(void **state)
{
    struct kept_store kept;
    int64_t bad, lines = 0;

    (void)state;
    kept_open(&kept, "many");
    kept_fill_all(&kept, 1);
    kept_begin(&kept, "import");
    for (int i = 0; i < 300; i++) {
        union any_row row;

        kept_fill(&kept, RECORD_WEAR_DAY, 2 + i, &row);
        kept_append(&kept, RECORD_WEAR_DAY, &row);
    }
    kept_commit(&kept);
    store_close(kept.store);
    kept.store = NULL;
    assert_int_equal(SQLITE_OK, kept_raw(kept.path, false,
                                         "DROP TRIGGER wear_day_is_never_changed; "
                                         "UPDATE wear_day SET night = 'no'"));
    char *findings = verify(&kept, &bad);
    assert_non_null(findings);
    for (const char *at = findings; (at = strchr(at, '\n')) != NULL; at++)
        lines++;
    assert_int_equal(201, lines);
    assert_non_null(strstr(findings, "and 102 more\n")); /* 301 rows and a trigger */
    free(findings);
    kept_close(&kept);
}

/* Personal values: the chain covers their seals, the seals cover them. */
/* What somebody put into the file can not speak as verify does: a line is a finding, whatever is
 * quoted in it. */
static void a_stored_line_break_tells_no_line_of_its_own(void **state)
{
    struct kept_store kept;
    int64_t bad = -1;

    (void)state;
    kept_open(&kept, "line-break");
    kept_fill_all(&kept, 1);
    store_close(kept.store);
    kept.store = NULL;
    assert_int_equal(
        SQLITE_OK,
        kept_raw(kept.path, false, "CREATE TABLE \"odd\nledger: 9 rows, every one matches\" (a)"));
    char *findings = verify(&kept, &bad);
    assert_non_null(findings);
    assert_non_null(strstr(findings, "odd\\x0Aledger: 9 rows"));
    assert_null(strstr(findings, "\nledger: 9"));
    free(findings);
    kept_close(&kept);
}

static void personal_values_are_sealed(void **state)
{
    struct kept_store kept, copy;
    int64_t bad;
    char *findings;

    (void)state;
    sealed_store(&kept, "sealed");
    assert_int_equal(0, kept_number(kept.path, "SELECT count(*) FROM patient WHERE NOT "
                                               "(length(salts) = 8 * 16 AND length(seals) = "
                                               "8 * 32)"));
    /* No two salts are the same. */
    assert_int_equal(0, kept_number(kept.path, "SELECT count(*) FROM visit a JOIN visit b ON "
                                               "a.rowid < b.rowid AND a.salts = b.salts"));
    copy = kept;
    kept_path(copy.path, "sealed-copy");
    kept_copy(kept.path, copy.path);
    assert_int_equal(SQLITE_OK,
                     kept_raw(copy.path, true, "UPDATE patient SET born = '2015-01-01'"));
    findings = verify(&copy, &bad);
    assert_non_null(findings);
    assert_non_null(strstr(findings, "born is not what was recorded"));
    /* The chain itself holds: only the seal speaks. */
    assert_null(strstr(findings, "this ledger row is not what was recorded"));
    free(findings);
    kept_close(&copy);
    kept_close(&kept);
}

static int close_ladder(void **state)
{
    (void)state;
    return sqlite3_close(ladder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_sound_store_verifies),
        cmocka_unit_test(every_cell_of_every_table_is_covered),
        cmocka_unit_test(rows_moved_added_or_taken_are_named),
        cmocka_unit_test(many_findings_are_counted),
        cmocka_unit_test(a_stored_line_break_tells_no_line_of_its_own),
        cmocka_unit_test(personal_values_are_sealed),
    };

    return cmocka_run_group_tests(tests, NULL, close_ladder);
}
