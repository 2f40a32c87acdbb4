/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One byte of one row, turned in the file itself: verify finds it, whichever it is of the clinical
 * tables and the ledger, of values, types or what frames them. SPRINGLINE_TRIALS and
 * SPRINGLINE_SEED give other numbers; the seed is printed.
 *
 * What verify can not see and need not: bytes in which nothing is kept (free space of a page), and
 * a type byte 0 that became 10 or 11: the file format reserves both, and SQLite reads them as the
 * NULL that 0 is, so that the row is as it was recorded. Bytes of an index belong to no row:
 * SQLite's own check, a part of verify, sees them.
 */
#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "../../src/store/handle.h"
#include "chance.h"
#include "file_cells.h"
#include "kept_store.h"

enum { TRIALS = 2500, OF_INDEXES = 10, SEED = 20261125, FILLINGS = 3 };

/* Rows of every kind, corrected and withdrawn ones among them, and one that is longer than a page.
 */
static void fill(struct kept_store *kept)
{
    static char note[9000];
    union any_row row;

    memset(note, 'n', sizeof note - 1);
    for (int i = 0; i < FILLINGS; i++)
        kept_fill_all(kept, 1 + i);
    kept_begin(kept, "correct");
    kept_fill(kept, RECORD_VISIT, 30, &row);
    kept_append(kept, RECORD_VISIT, &row);
    row.visit.tissue = TISSUE_MILD;
    row.head.reason = "slip";
    kept_append(kept, RECORD_VISIT, &row);
    kept_fill(kept, RECORD_CONTACT, 31, &row);
    row.contact.note = "";
    kept_append(kept, RECORD_CONTACT, &row);
    assert_int_equal(STATUS_OK, store_withdraw(kept->store, RECORD_CONTACT, &row.head.id,
                                               "wrong child", &kept->error));
    kept_fill(kept, RECORD_JUDGED, 32, &row);
    (void)snprintf(note, 40, "[{\"rule\":\"too-soon\",\"days\":7}");
    note[strlen(note)] = ',';
    note[sizeof note - 2] = ']';
    row.judged.findings = note;
    kept_append(kept, RECORD_JUDGED, &row);
    kept_commit(kept);
}

static const char *table_name(int table)
{
    if (table < RECORD_KIND_COUNT)
        return record_tables[table].table;
    return table == TABLE_REQUEST ? "request" : table == TABLE_WITHDRAWAL ? "withdrawal" : "ledger";
}

static void read_rows(struct kept_store *kept, struct file_rows *rows)
{
    size_t size;
    const char *path = kept->path;
    unsigned char *file = kept_bytes(path, &size);

    for (int table = 0; table <= TABLE_COUNT; table++) { /* the last: the ledger */
        char sql[120];

        (void)snprintf(sql, sizeof sql, "SELECT rootpage FROM sqlite_schema WHERE name = '%s'",
                       table_name(table));
        file_rows_add(rows, file, size, (long)kept_number(path, sql));
    }
    free(file);
}

static void read_indexes(struct kept_store *kept, struct file_rows *rows)
{
    size_t size;
    unsigned char *file = kept_bytes(kept->path, &size);
    sqlite3_stmt *stmt = NULL;

    assert_int_equal(SQLITE_OK, sqlite3_prepare_v2(kept->store->db,
                                                   "SELECT rootpage FROM sqlite_schema "
                                                   "WHERE type = 'index' AND rootpage > 0",
                                                   -1, &stmt, NULL));
    while (sqlite3_step(stmt) == SQLITE_ROW)
        file_rows_add(rows, file, size, (long)sqlite3_column_int64(stmt, 0));
    sqlite3_finalize(stmt);
    free(file);
}

/* The file under the open store: a byte, and the counter by which SQLite knows that what it
 * remembers of the file is old (section 1.3: bytes 24 to 27, and 92 to 95). */
struct under {
    int file;
    uint32_t counter;
};

static void put(struct under *under, long at, unsigned char byte)
{
    unsigned char counter[4];

    under->counter++;
    for (int i = 0; i < 4; i++)
        counter[i] = (unsigned char)(under->counter >> (24 - 8 * i));
    assert_int_equal(1, pwrite(under->file, &byte, 1, at));
    assert_int_equal(4, pwrite(under->file, counter, 4, 24));
    assert_int_equal(4, pwrite(under->file, counter, 4, 92));
}

static struct under open_under(const char *path)
{
    struct under under = {.file = open(path, O_RDWR | O_CLOEXEC)};
    unsigned char counter[4];

    assert_true(under.file >= 0);
    assert_int_equal(4, pread(under.file, counter, 4, 24));
    for (int i = 0; i < 4; i++)
        under.counter = under.counter << 8 | counter[i];
    return under;
}

/* Does the file hold what it held, to SQLite? */
static bool reads_as_before(const struct file_byte *byte, unsigned char turned)
{
    return byte->part == PART_TYPE && byte->now == 0 && (turned == 10 || turned == 11);
}

/* Types are few beside values, and each tells how the rest is read: a third of the trials is
 * theirs.
 */
static const struct file_byte *choose(const struct file_row *row, uint64_t *random)
{
    const bool type = chance_next(random) % 3 == 0;
    const struct file_byte *byte;

    do
        byte = &row->bytes[chance_next(random) % row->count];
    while (type && byte->part != PART_TYPE);
    return byte;
}

struct tally {
    int tried[PART_COUNT], named, same;
};

static bool verify_finds(struct kept_store *kept, struct tally *tally)
{
    struct verify_report report;
    enum status status = store_verify(kept->store, &report, &kept->error);

    if (status != STATUS_OK && status != STATUS_DAMAGED)
        fail_msg("verify: %d %s", (int)status, kept->error.sentence);
    tally->named += report.bad_sequence > 0;
    text_release(&report.findings);
    return status == STATUS_DAMAGED;
}

static void try_bytes(const char *what, uint64_t trials,
                      void (*read)(struct kept_store *kept, struct file_rows *rows))
{
    const uint64_t seed = chance_seed(SEED);
    struct kept_store kept;
    struct file_rows rows = {0};
    struct tally tally = {0};
    uint64_t random = seed;

    kept_open(&kept, "flips");
    fill(&kept);
    kept_reopen(&kept);
    read(&kept, &rows);
    struct under under = open_under(kept.path);
    assert_false(verify_finds(&kept, &tally));
    for (uint64_t i = 0; i < trials; i++) {
        const struct file_row *row = &rows.rows[chance_next(&random) % rows.count];
        const struct file_byte *byte = choose(row, &random);
        unsigned char turned = byte->now ^ (unsigned char)(1 + chance_next(&random) % 255);

        put(&under, byte->at, turned);
        bool found = verify_finds(&kept, &tally);
        put(&under, byte->at, byte->now);
        if (found == reads_as_before(byte, turned))
            fail_msg("seed %llu, trial %llu: byte %ld, %d for %d: %s", (unsigned long long)seed,
                     (unsigned long long)i, byte->at, turned, byte->now,
                     found ? "said to be damage" : "nobody sees it");
        tally.same += !found;
        tally.tried[byte->part]++;
    }
    assert_false(verify_finds(&kept, &tally)); /* all turned back */
    assert_true(tally.tried[PART_FRAME] > 0 && tally.tried[PART_TYPE] > 0 &&
                tally.tried[PART_VALUE] > 0);
    print_message(
        "# figure: seed %llu: %llu bytes of %zu %s turned one by one (%d of values, %d types, %d "
        "of "
        "frames): every one found, %d with its row; apart from %d types that read as before\n",
        (unsigned long long)seed, (unsigned long long)trials, rows.count, what,
        tally.tried[PART_VALUE], tally.tried[PART_TYPE], tally.tried[PART_FRAME], tally.named,
        tally.same);
    (void)close(under.file);
    file_rows_release(&rows);
    kept_close(&kept);
}

static void every_turned_byte_of_a_row_is_found(void **state)
{
    (void)state;
    try_bytes("rows", chance_trials(TRIALS), read_rows);
}

static void every_turned_byte_of_an_index_is_found(void **state)
{
    (void)state;
    try_bytes("rows of indexes", chance_trials(TRIALS) / OF_INDEXES, read_indexes);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(every_turned_byte_of_a_row_is_found),
                                       cmocka_unit_test(every_turned_byte_of_an_index_is_found)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
