/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Verify follows every reference of every row, of which the hashes say nothing; and it lets others
 * save while it goes through a long ledger.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "../../src/store/handle.h"
#include "file_cells.h"
#include "forge.h"
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
    store_close(kept->store);
    kept->store = NULL;
}

/* A closed store in which every reference of every table is filled in some row. */
static void referring_store(struct kept_store *kept, const char *name)
{
    union any_row row;

    kept_open(kept, name);
    kept_fill_all(kept, 1);
    kept_fill_all(kept, 2); /* by the person of the first */
    kept_fill(kept, RECORD_PROTOCOL, 3, &row);
    row.protocol.name = "another";
    kept_begin(kept, "import");
    kept_append(kept, RECORD_PROTOCOL, &row);
    kept_commit(kept);
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

static const char *table_name(int table)
{
    if (table < RECORD_KIND_COUNT)
        return record_tables[table].table;
    return table == TABLE_REQUEST ? "request" : "withdrawal";
}

/* Turns one reference of a row to a row that is not there; the finding names row and reference. */
static void try_reference(struct kept_store *kept, const char *table, const char *column,
                          const char *says)
{
    struct kept_store copy = *kept;
    char sql[400], what[64];
    int64_t sequence, bad;

    kept_path(copy.path, "reference-copy");
    kept_copy(kept->path, copy.path);
    (void)snprintf(sql, sizeof sql, "SELECT max(sequence) FROM %s WHERE \"%s\" IS NOT NULL", table,
                   column);
    sequence = kept_number(copy.path, sql);
    if (sequence == 0)
        fail_msg("no row of %s fills %s", table, column);
    (void)snprintf(
        sql, sizeof sql,
        "UPDATE %s SET \"%s\" = x'00112233445566778899aabbccddeeff' WHERE sequence = %lld", table,
        column, (long long)sequence);
    assert_int_equal(forge_sql(copy.path, sql), 1);
    forge_rehash(copy.path); /* so that nothing but the reference speaks */
    char *findings = verify(&copy, &bad);
    (void)snprintf(what, sizeof what, "ledger row %lld, %s ", (long long)sequence, table);
    const char *at = findings == NULL ? NULL : strstr(findings, what);
    if (at == NULL || strstr(at, says) == NULL || bad != sequence)
        fail_msg("%s.%s (%s): %s", table, column, says, findings == NULL ? "sound" : findings);
    free(findings);
}

/* Every foreign key of the schema, and the references that are none. */
static void every_reference_is_followed(void **state)
{
    struct kept_store kept;
    sqlite3 *db = NULL;
    int tried = 0;

    (void)state;
    referring_store(&kept, "references");
    assert_int_equal(SQLITE_OK, sqlite3_open(kept.path, &db));
    for (int table = 0; table < TABLE_COUNT; table++) {
        char sql[160], says[100];
        sqlite3_stmt *stmt;

        if (table == RECORD_ERASURE) /* no row of it stands alone: store/erase_test.c */
            continue;
        (void)snprintf(sql, sizeof sql,
                       "SELECT \"from\", \"table\" FROM pragma_foreign_key_list('%s')",
                       table_name(table));
        assert_int_equal(SQLITE_OK, sqlite3_prepare_v2(db, sql, -1, &stmt, NULL));
        while (sqlite3_step(stmt) == SQLITE_ROW) {
            const char *column = (const char *)sqlite3_column_text(stmt, 0);
            const char *parent = (const char *)sqlite3_column_text(stmt, 1);

            (void)snprintf(says, sizeof says, "%s names a row of %s that is not in the store",
                           column, parent);
            if (strcmp(column, "replaces") == 0) {
                if (strcmp(table_name(table), "visit") != 0)
                    continue; /* one table stands for all: the shape is the same */
                (void)snprintf(says, sizeof says, "the version before it is not in the store");
            }
            try_reference(&kept, table_name(table), column, says);
            tried++;
        }
        sqlite3_finalize(stmt);
    }
    assert_int_equal(SQLITE_OK, sqlite3_close(db));
    try_reference(&kept, "withdrawal", "row", "the row that it withdraws is not in the store");
    assert_true(tried > 60);
    print_message(
        "# figure: %d references, each of one row turned to nothing and the ledger hashed "
        "anew: every one named\n",
        tried + 1);
    kept_close(&kept);
}

/* A version that follows another record's, and one that skips a number. */
static void a_chain_of_versions_is_followed(void **state)
{
    static const char *const changes[] = {
        "UPDATE visit SET replaces = (SELECT id FROM visit AS other WHERE other.record <> "
        "visit.record) WHERE version = 2",
        "UPDATE visit SET version = 3 WHERE version = 2",
        "UPDATE withdrawal SET kind = 'width'",
    };
    struct kept_store kept;

    (void)state;
    referring_store(&kept, "versions");
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        struct kept_store copy = kept;
        int64_t bad;

        kept_path(copy.path, "versions-copy");
        kept_copy(kept.path, copy.path);
        assert_int_equal(forge_sql(copy.path, changes[i]), 1);
        forge_rehash(copy.path);
        char *findings = verify(&copy, &bad);
        if (findings == NULL ||
            strstr(findings, i == 2 ? "the row that it withdraws is not in"
                                    : "the version before it is not in") == NULL)
            fail_msg("%s: %s", changes[i], findings == NULL ? "sound" : findings);
        free(findings);
    }
    kept_close(&kept);
}

/* ---- beside others ---- */

/* Another seat, which saves each time verify begins to read anew, and would not wait. */
struct beside {
    struct kept_store other;
    int begun, saved;
};

static int save_beside(unsigned type, void *context, void *statement, void *sql)
{
    struct beside *beside = context;
    union any_row row;

    (void)type;
    (void)statement;
    if (strcmp(sql, "BEGIN DEFERRED") != 0 || beside->begun++ == 0)
        return 0;
    kept_begin(&beside->other, "beside");
    kept_fill(&beside->other, RECORD_WIDTH, 100 + beside->saved, &row);
    kept_append(&beside->other, RECORD_WIDTH, &row);
    kept_commit(&beside->other);
    beside->saved++;
    return 0;
}

/* Turns a byte of a value in the middle of an index; the store is opened anew. */
static void break_index(struct kept_store *kept, const char *index)
{
    struct file_rows rows = {0};
    char sql[120];
    size_t size;

    store_close(kept->store);
    kept->store = NULL;
    unsigned char *bytes = kept_bytes(kept->path, &size);
    (void)snprintf(sql, sizeof sql, "SELECT rootpage FROM sqlite_schema WHERE name = '%s'", index);
    file_rows_add(&rows, bytes, size, (long)kept_number(kept->path, sql));
    const struct file_row *row = &rows.rows[rows.count / 2];
    const struct file_byte *byte = &row->bytes[row->count - 1];
    FILE *file = fopen(kept->path, "r+b");
    assert_non_null(file);
    assert_int_equal(0, fseek(file, byte->at, SEEK_SET));
    assert_int_equal(byte->now ^ 1, fputc(byte->now ^ 1, file));
    assert_int_equal(0, fclose(file));
    file_rows_release(&rows);
    free(bytes);
    kept_reopen(kept);
}

/* Between the slices of a long ledger nothing is locked; what comes in is walked too. */
static void saves_are_let_in_between_slices(void **state)
{
    enum { ROWS = 21000 };
    struct beside beside = {.begun = 0};
    struct kept_store kept;
    struct verify_report report;

    (void)state;
    kept_open(&kept, "slices");
    kept_fill_all(&kept, 1);
    kept_begin(&kept, "import");
    for (int i = 0; i < ROWS; i++) {
        union any_row row;

        kept_fill(&kept, RECORD_WEAR_DAY, 2, &row);
        row.wear_day.date += i;
        kept_append(&kept, RECORD_WEAR_DAY, &row);
    }
    kept_commit(&kept);
    int64_t rows = kept_number(kept.path, "SELECT count(*) FROM ledger");
    beside.other = kept;
    beside.other.source.context = &beside.other;
    beside.other.counter += 1000000; /* other ids */
    beside.other.store = NULL;
    kept_reopen(&beside.other);
    beside.other.store->wait_ms = 0;
    assert_int_equal(SQLITE_OK,
                     sqlite3_trace_v2(kept.store->db, SQLITE_TRACE_STMT, save_beside, &beside));
    assert_int_equal(STATUS_OK, store_verify(kept.store, &report, &kept.error));
    assert_int_equal(SQLITE_OK, sqlite3_trace_v2(kept.store->db, 0, NULL, NULL));
    assert_int_equal(report.rows, rows + 4);     /* two saves came in before the third slice */
    assert_true(beside.saved > 2 + TABLE_COUNT); /* and one after each table */
    text_release(&report.findings);
    store_close(beside.other.store);
    break_index(&kept, "wear_day_case");
    assert_int_equal(STATUS_DAMAGED, store_verify(kept.store, &report, &kept.error));
    assert_non_null(strstr(text_string(&report.findings), "the file: "));
    text_release(&report.findings);
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
        cmocka_unit_test(every_reference_is_followed),
        cmocka_unit_test(a_chain_of_versions_is_followed),
        cmocka_unit_test(saves_are_let_in_between_slices),
    };

    return cmocka_run_group_tests(tests, NULL, close_ladder);
}
