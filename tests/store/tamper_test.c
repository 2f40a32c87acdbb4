/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What somebody does to the rows behind the program: random edits, deletions and swaps, all found
 * and named (the figure of ONC 170.315(d)(2) trials: every one of 1,000); and the two things a
 * chain can not see by itself, found against a head kept outside (Crosby and Wallach, USENIX
 * Security 2009).
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
#include "forge.h"
#include "kept_store.h"
#include "springline/app/anchor.h"

enum { TRIALS = 1000, SEED = 170315, FILLINGS = 4, DROPPING = 20 };

/* A store with several rows in every table, corrected and withdrawn ones among them; left open. */
static void fill(struct kept_store *kept, const char *name)
{
    union any_row row;

    kept_open(kept, name);
    for (int i = 0; i < FILLINGS; i++)
        kept_fill_all(kept, 1 + i);
    for (int i = 0; i < 2; i++) {
        kept_begin(kept, "correct");
        kept_fill(kept, RECORD_VISIT, 30 + i, &row);
        kept_append(kept, RECORD_VISIT, &row);
        row.visit.note = "second version";
        row.head.reason = "slip";
        kept_append(kept, RECORD_VISIT, &row);
        kept_fill(kept, RECORD_CONTACT, 40 + i, &row);
        kept_append(kept, RECORD_CONTACT, &row);
        assert_int_equal(STATUS_OK, store_withdraw(kept->store, RECORD_CONTACT, &row.head.id,
                                                   "wrong child", &kept->error));
        kept_commit(kept);
    }
    kept_reopen(kept);
}

/* ---- 1,000 trials ---- */

/* One thing done behind the program. */
struct trial {
    char table[24], column[40], sql[1600];
    char row[40];     /* hex of the row's id */
    int64_t sequence; /* of the row */
    bool ledger;
};

struct bench {
    struct kept_store kept;
    unsigned char *bytes; /* of the file as it was */
    size_t size;
    int file;
    uint64_t random;
    int edits, deletions, swaps;
};

static const char *table_name(int table)
{
    if (table < RECORD_KIND_COUNT)
        return record_tables[table].table;
    return table == TABLE_REQUEST ? "request" : table == TABLE_WITHDRAWAL ? "withdrawal" : "ledger";
}

/* Puts the file back as it was; the counter goes on (section 1.3 of SQLite's file format), so that
 * the open store forgets what it read. */
static void restore(struct bench *bench)
{
    unsigned char bytes[4];
    uint32_t counter = 0;

    assert_int_equal(4, pread(bench->file, bytes, 4, 24));
    for (int i = 0; i < 4; i++)
        counter = counter << 8 | bytes[i];
    counter++;
    for (int i = 0; i < 4; i++)
        bench->bytes[24 + i] = bench->bytes[92 + i] = (unsigned char)(counter >> (24 - 8 * i));
    assert_int_equal(0, ftruncate(bench->file, (off_t)bench->size));
    assert_int_equal((ssize_t)bench->size, pwrite(bench->file, bench->bytes, bench->size, 0));
}

static sqlite3 *open_plain(const char *path)
{
    sqlite3 *db = NULL;

    assert_int_equal(SQLITE_OK, sqlite3_open(path, &db));
    /* As if they were dropped and made again, which every so many trials do. */
    assert_int_equal(SQLITE_OK, sqlite3_db_config(db, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, NULL));
    assert_int_equal(SQLITE_OK, sqlite3_exec(db,
                                             "PRAGMA synchronous=OFF; PRAGMA journal_mode=MEMORY; "
                                             "PRAGMA ignore_check_constraints=ON",
                                             NULL, NULL, NULL));
    return db;
}

static void ask(sqlite3 *db, const char *sql, char *text, size_t size)
{
    sqlite3_stmt *stmt = NULL;

    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK)
        fail_msg("%s: %s", sql, sqlite3_errmsg(db));
    assert_int_equal(SQLITE_ROW, sqlite3_step(stmt));
    const char *found = (const char *)sqlite3_column_text(stmt, 0);
    (void)snprintf(text, size, "%s", found != NULL ? found : "");
    sqlite3_finalize(stmt);
}

/* A row of a table, and one of its columns. */
static void choose(struct bench *bench, sqlite3 *db, struct trial *trial)
{
    int table;
    char sql[300], text[40];

    do /* no row of an erasure stands alone: store/erase_test.c */
        table = chance_below(&bench->random, TABLE_COUNT + 1);
    while (table == RECORD_ERASURE);

    *trial = (struct trial){.ledger = table == TABLE_COUNT};
    (void)snprintf(trial->table, sizeof trial->table, "%s", table_name(table));
    (void)snprintf(sql, sizeof sql, "SELECT count(*) FROM %s", trial->table);
    ask(db, sql, text, sizeof text);
    int row = chance_below(&bench->random, (int)strtol(text, NULL, 10));
    (void)snprintf(sql, sizeof sql, "SELECT sequence FROM %s ORDER BY sequence LIMIT 1 OFFSET %d",
                   trial->table, row);
    ask(db, sql, text, sizeof text);
    trial->sequence = strtoll(text, NULL, 10);
    (void)snprintf(sql, sizeof sql, "SELECT lower(hex(%s)) FROM %s WHERE sequence = %lld",
                   trial->ledger ? "row" : "id", trial->table, (long long)trial->sequence);
    ask(db, sql, trial->row, sizeof trial->row);
    (void)snprintf(
        sql, sizeof sql,
        "SELECT name FROM pragma_table_info('%s') LIMIT 1 OFFSET %llu %% (SELECT count(*) "
        "FROM pragma_table_info('%s'))",
        trial->table, (unsigned long long)(chance_next(&bench->random) >> 8), trial->table);
    ask(db, sql, trial->column, sizeof trial->column);
}

/* Appends another value for the column: that of another row, one a little off, or none. */
static void add_value(struct text *sql, const struct trial *trial, int which)
{
    const char *column = trial->column;

    if (which == 0)
        text_addf(sql,
                  "(SELECT other.\"%s\" FROM %s AS other WHERE other.\"%s\" IS NOT %s.\"%s\" "
                  "LIMIT 1)",
                  column, trial->table, column, trial->table, column);
    else if (which == 1)
        text_addf(sql,
                  "CASE typeof(\"%s\") WHEN 'integer' THEN \"%s\" + 1000 WHEN 'blob' THEN "
                  "zeroblob(length(\"%s\")) WHEN 'text' THEN substr(\"%s\", 1, length(\"%s\") - 1) "
                  "|| '7' ELSE 'x' END",
                  column, column, column, column, column);
    else
        text_add(sql, "NULL");
}

static void write_edit(struct bench *bench, struct trial *trial)
{
    int which = chance_below(&bench->random, 3);
    struct text sql = {0};

    text_addf(&sql, "UPDATE %s SET \"%s\" = ", trial->table, trial->column);
    add_value(&sql, trial, which);
    text_addf(&sql, " WHERE sequence = %lld AND \"%s\" IS NOT ", (long long)trial->sequence,
              trial->column);
    add_value(&sql, trial, which);
    (void)snprintf(trial->sql, sizeof trial->sql, "%s", text_string(&sql));
    text_release(&sql);
}

static void write_deletion(struct trial *trial)
{
    (void)snprintf(trial->sql, sizeof trial->sql, "DELETE FROM %s WHERE sequence = %lld",
                   trial->table, (long long)trial->sequence);
}

/* Two rows exchange what stands in the column, or their places. */
static void write_swap(struct trial *trial, const struct trial *other)
{
    const char *table = trial->table, *column = trial->column;
    long long a = (long long)trial->sequence, b = (long long)other->sequence;

    if (strcmp(column, "sequence") == 0)
        (void)snprintf(trial->sql, sizeof trial->sql,
                       "UPDATE %s SET sequence = -1 WHERE sequence = %lld; "
                       "UPDATE %s SET sequence = %lld WHERE sequence = %lld; "
                       "UPDATE %s SET sequence = %lld WHERE sequence = -1",
                       table, a, table, a, b, table, b);
    else
        (void)snprintf(
            trial->sql, sizeof trial->sql,
            "CREATE TEMP TABLE held AS SELECT sequence, \"%s\" AS value FROM %s WHERE "
            "sequence = %lld OR sequence = %lld; UPDATE %s SET \"%s\" = (SELECT value "
            "FROM held WHERE held.sequence = %lld - %s.sequence) WHERE (sequence = %lld "
            "OR sequence = %lld) AND (SELECT count(DISTINCT quote(value)) FROM held) = 2",
            column, table, a, b, table, column, a + b, table, a, b);
}

/* Runs it; true: it changed something. What a constraint refuses is another trial. */
static bool run_trial(sqlite3 *db, const struct trial *trial)
{
    int before = sqlite3_total_changes(db);

    assert_int_equal(SQLITE_OK, sqlite3_exec(db, "BEGIN", NULL, NULL, NULL));
    int code = sqlite3_exec(db, trial->sql, NULL, NULL, NULL);
    bool changed = code == SQLITE_OK && sqlite3_total_changes(db) > before;
    if (code != SQLITE_OK && (code & 0xff) != SQLITE_CONSTRAINT)
        fail_msg("%s: %s", trial->sql, sqlite3_errmsg(db));
    assert_int_equal(SQLITE_OK,
                     sqlite3_exec(db, changed ? "COMMIT" : "ROLLBACK", NULL, NULL, NULL));
    return changed;
}

/* Does a finding name the row: its table and its id; of the ledger also its place? */
static bool names(const struct trial *trial, const char *findings)
{
    char wanted[100];

    if (trial->ledger) {
        (void)snprintf(wanted, sizeof wanted, "ledger row %lld, ", (long long)trial->sequence);
        if (strstr(findings, wanted) != NULL)
            return true;
        (void)snprintf(wanted, sizeof wanted, " %s", trial->row); /* the row it was of */
        return strstr(findings, wanted) != NULL;
    }
    (void)snprintf(wanted, sizeof wanted, "%s %s", trial->table, trial->row);
    return strstr(findings, wanted) != NULL;
}

/* One trial that changed something; other: the second row of a swap, else its table is "". */
static void tamper(struct bench *bench, sqlite3 *db, struct trial *trial, struct trial *other)
{
    const int what = chance_below(&bench->random, 3);
    bool changed = false;

    while (!changed) {
        *other = (struct trial){0};
        choose(bench, db, trial);
        if (what == 0) {
            write_edit(bench, trial);
        } else if (what == 1) {
            write_deletion(trial);
        } else {
            for (int tries = 0; tries < 400 && (strcmp(other->table, trial->table) != 0 ||
                                                other->sequence == trial->sequence);
                 tries++)
                choose(bench, db, other);
            if (strcmp(other->table, trial->table) != 0 || other->sequence == trial->sequence)
                continue;
            write_swap(trial, other);
        }
        changed = run_trial(db, trial);
        (void)sqlite3_exec(db, "DROP TABLE IF EXISTS temp.held", NULL, NULL, NULL);
    }
    bench->edits += what == 0;
    bench->deletions += what == 1;
    bench->swaps += what == 2;
}

static void try_once(struct bench *bench, int which)
{
    struct trial trial, other;
    struct verify_report report;
    sqlite3 *db = open_plain(bench->kept.path);

    tamper(bench, db, &trial, &other);
    assert_int_equal(SQLITE_OK, sqlite3_close(db));
    if (which % DROPPING == 0)
        (void)forge_sql(bench->kept.path, ""); /* every trigger dropped, and made again */
    enum status status = store_verify(bench->kept.store, &report, &bench->kept.error);
    const char *findings = text_string(&report.findings);
    if (status != STATUS_DAMAGED)
        fail_msg("trial %d: %s: %d, found by nobody", which, trial.sql, (int)status);
    if (!names(&trial, findings) || (other.table[0] != '\0' && !names(&other, findings)))
        fail_msg("trial %d: %s: %s %s (%s) is not named in: %s", which, trial.sql, trial.table,
                 trial.row, other.row, findings);
    text_release(&report.findings);
    restore(bench);
}

static void random_edits_deletions_and_swaps_are_named(void **state)
{
    const int trials = (int)chance_trials(TRIALS);
    const uint64_t seed = chance_seed(SEED);
    struct bench bench = {.random = seed};
    struct verify_report report;

    (void)state;
    fill(&bench.kept, "tampered");
    bench.bytes = kept_bytes(bench.kept.path, &bench.size);
    bench.file = open(bench.kept.path, O_RDWR | O_CLOEXEC);
    assert_true(bench.file >= 0);
    for (int i = 0; i < trials; i++)
        try_once(&bench, i);
    assert_int_equal(STATUS_OK, store_verify(bench.kept.store, &report, &bench.kept.error));
    text_release(&report.findings);
    assert_true(bench.edits > trials / 5 && bench.deletions > trials / 5 &&
                bench.swaps > trials / 5);
    print_message("# figure: seed %llu: %d edits, %d deletions and %d swaps of rows behind the "
                  "program: every one found, its table and row named\n",
                  (unsigned long long)seed, bench.edits, bench.deletions, bench.swaps);
    (void)close(bench.file);
    free(bench.bytes);
    kept_close(&bench.kept);
}

/* ---- what a chain alone can not see ---- */

/* The head as it is printed, to be held against the store later. */
static void keep_head(struct kept_store *kept, struct anchor *anchor)
{
    struct text text = {0};
    int64_t sequence;
    uint8_t hash[HASH_SIZE];

    assert_int_equal(STATUS_OK, store_head(kept->store, &sequence, hash, &kept->error));
    anchor_add(&text, sequence, hash);
    assert_int_equal(STATUS_OK, anchor_from_text(text_string(&text), anchor, &kept->error));
    text_release(&text);
}

static void chain_is_quiet(struct kept_store *kept)
{
    struct verify_report report;

    kept_reopen(kept);
    if (store_verify(kept->store, &report, &kept->error) != STATUS_OK)
        fail_msg("%s", text_string(&report.findings));
    text_release(&report.findings);
}

static void hold(struct kept_store *kept, const struct anchor *anchor, const char *says)
{
    struct app app = {.store = kept->store};
    struct text out = {0};
    enum status status = anchor_hold(&app, anchor, &out, &kept->error);

    if (says == NULL)
        assert_int_equal(STATUS_OK, status);
    else if (status != STATUS_DAMAGED || strstr(kept->error.sentence, says) == NULL)
        fail_msg("%s: %d %s", says, (int)status, kept->error.sentence);
    text_release(&out);
}

/* The last save goes: its rows, and their rows of the ledger. */
static void cut_tail(struct kept_store *kept)
{
    struct text sql = {0};
    int64_t last = kept_number(kept->path, "SELECT max(sequence) FROM request");

    for (int table = 0; table <= TABLE_COUNT; table++)
        text_addf(&sql, "DELETE FROM %s WHERE sequence >= %lld;", table_name(table),
                  (long long)last);
    assert_true(forge_sql(kept->path, text_string(&sql)) >= 4);
    text_release(&sql);
}

static void a_cut_tail_shows_against_a_kept_head(void **state)
{
    struct kept_store kept;
    struct anchor early, late;
    union any_row row;

    (void)state;
    fill(&kept, "cut");
    keep_head(&kept, &early);
    kept_begin(&kept, "import");
    kept_fill(&kept, RECORD_WIDTH, 50, &row);
    kept_append(&kept, RECORD_WIDTH, &row);
    kept_commit(&kept);
    keep_head(&kept, &late);
    hold(&kept, &late, NULL);
    store_close(kept.store);
    kept.store = NULL;
    cut_tail(&kept);
    chain_is_quiet(&kept);
    hold(&kept, &late, "its end was cut off");
    hold(&kept, &early, NULL); /* of what came before it nothing is missing */
    kept_close(&kept);
}

/* One value of each kind of row, each in a ledger hashed anew from end to end. */
static void a_ledger_hashed_anew_shows_against_a_kept_head(void **state)
{
    static const char *const changes[] = {
        "UPDATE width SET um = um - 1500 WHERE sequence = (SELECT min(sequence) FROM width)",
        "UPDATE visit SET right_um = 250 WHERE sequence = (SELECT max(sequence) FROM visit)",
        "UPDATE contact SET outcome = 'refused' WHERE outcome <> 'refused'",
        "UPDATE wear_day SET day_minutes = day_minutes + 1",
        "UPDATE judged SET verdict = 1 + verdict % 4",
        "UPDATE protocol SET window_days = window_days + 1",
        "UPDATE request SET person = NULL",
        "UPDATE withdrawal SET reason = 'no reason'",
    };
    struct kept_store kept;
    struct anchor early, late;
    union any_row row;

    (void)state;
    fill(&kept, "hashed");
    keep_head(&kept, &early);
    kept_begin(&kept, "import");
    kept_fill(&kept, RECORD_WIDTH, 50, &row);
    kept_append(&kept, RECORD_WIDTH, &row);
    kept_commit(&kept);
    keep_head(&kept, &late);
    store_close(kept.store);
    kept.store = NULL;
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        struct kept_store copy = kept;

        kept_path(copy.path, "hashed-copy");
        kept_copy(kept.path, copy.path);
        assert_true(forge_sql(copy.path, changes[i]) > 0);
        forge_rehash(copy.path);
        copy.source.context = &copy;
        chain_is_quiet(&copy);
        hold(&copy, &late, "the ledger hashed anew");
        hold(&copy, &early, "the ledger hashed anew");
        kept_close(&copy);
    }
    kept_reopen(&kept);
    hold(&kept, &late, NULL);
    hold(&kept, &early, NULL);
    kept_close(&kept);
    print_message(
        "# figure: a cut tail and %d ledgers hashed anew: the chain alone sees none, a kept "
        "head sees every one\n",
        (int)(sizeof changes / sizeof changes[0]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(random_edits_deletions_and_swaps_are_named),
        cmocka_unit_test(a_cut_tail_shows_against_a_kept_head),
        cmocka_unit_test(a_ledger_hashed_anew_shows_against_a_kept_head),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
