/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Lawful erasure in the store: what the triggers and the authoriser let pass and what not, what is
 * blanked and what stays, what verify says of blanks and erasures that do not fit each other, what
 * the bytes of the file hold afterwards, and that a failing disk leaves all of it or nothing.
 * GDPR 17 from memory; the seals by the sealing of personal values described in src/store/ledger.c.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include <cmocka.h>

#include "../../src/store/handle.h"
#include "fault_vfs.h"
#include "kept_store.h"
#include "springline/store/erase.h"
#include "springline/store/subject.h"

/* ---- helpers ---- */

static void begin_erasing(struct kept_store *kept, struct store **erasing)
{
    struct store_request request;

    assert_int_equal(STATUS_OK, store_open_erasing(kept->store, erasing, &kept->error));
    request = (struct store_request){.id = store_new_id(*erasing), .command = "erase"};
    assert_int_equal(STATUS_OK, store_begin(*erasing, &request, &kept->error));
}

static void erase(struct kept_store *kept, const struct id *patient, struct store_erased *erased)
{
    struct store *erasing;

    begin_erasing(kept, &erasing);
    if (store_erase_patient(erasing, patient, "asked for in writing on 2026-05-30", erased,
                            &kept->error) != STATUS_OK)
        fail_msg("%s", kept->error.sentence);
    assert_int_equal(STATUS_OK, store_commit(erasing, &kept->error));
    store_close(erasing);
}

static void is_sound(struct kept_store *kept)
{
    struct verify_report report;

    if (store_verify(kept->store, &report, &kept->error) != STATUS_OK)
        fail_msg("%s", text_string(&report.findings));
    text_release(&report.findings);
}

/* The same by a reader of another language. */
static int outside(const char *path)
{
    const char *source = getenv("SPRINGLINE_SOURCE");
    char command[1200];

    (void)snprintf(command, sizeof command,
                   "python3 '%s/tests/support/check_chain.py' '%s' >/dev/null",
                   source != NULL ? source : ".", path);
    return system(command);
}

static void append_erasure(struct kept_store *kept, const char *kind, const char *row,
                           const char *fields)
{
    struct erasure erasure = {
        .head.reason = "a ground", .kind = kind, .row = row, .fields = fields};

    kept_begin(kept, "erase");
    kept_append(kept, RECORD_ERASURE, &erasure);
    kept_commit(kept);
}

static void row_of(struct kept_store *kept, const char *table, char row[ID_TEXT_SIZE])
{
    char sql[80];

    (void)snprintf(sql, sizeof sql, "SELECT lower(hex(id)) FROM %s LIMIT 1", table);
    kept_text(kept->path, sql, row, ID_TEXT_SIZE);
}

/* ---- the triggers ---- */

static void refused(const struct kept_store *kept, const char *sql)
{
    int code = kept_raw(kept->path, false, sql);

    if (code != SQLITE_CONSTRAINT_TRIGGER)
        fail_msg("%d: %s", code, sql);
}

/* Every update but the one of an erasure fails, for each table with personal values. */
static void only_a_named_blank_passes(void **state)
{
    static const struct {
        const char *table, *first, *other; /* other: a column that is not personal */
        int salts;
        const char *rest; /* bytes of salt behind the first, as SQL */
    } tables[] = {
        {"patient", "family", "chart", 128, "substr(salts, 17)"},
        {"visit", "override_reason", "date", 32, "substr(salts, 17)"},
        {"contact", "note", "channel", 16, "x''"},
        {"plan", "note", "made_on", 16, "x''"},
    };
    struct kept_store kept;
    char sql[600], row[ID_TEXT_SIZE];

    (void)state;
    kept_open(&kept, "erase-triggers");
    kept_fill_all(&kept, 1);
    for (size_t i = 0; i < sizeof tables / sizeof tables[0]; i++) {
        const char *table = tables[i].table, *first = tables[i].first, *rest = tables[i].rest;
        char good[300];

        (void)snprintf(good, sizeof good,
                       "UPDATE %s SET %s = NULL, salts = CAST(zeroblob(16) || %s AS BLOB)", table,
                       first, rest);
        refused(&kept, good); /* no erasure names it */
        row_of(&kept, table, row);
        append_erasure(&kept, strcmp(table, "plan") == 0 ? "visit" : "plan", row, first);
        refused(&kept, good); /* of another table */
        append_erasure(&kept, table, "00000000000000000000000000000001", first);
        refused(&kept, good); /* of another row */
        append_erasure(&kept, table, row, "another column names");
        refused(&kept, good); /* of other columns */
        append_erasure(&kept, table, row, first);
        (void)snprintf(sql, sizeof sql, "UPDATE %s SET %s = NULL", table, first);
        refused(&kept, sql); /* the salt would tell the value to whoever guesses */
        (void)snprintf(sql, sizeof sql, "UPDATE %s SET salts = CAST(zeroblob(16) || %s AS BLOB)",
                       table, rest);
        refused(&kept, sql);
        (void)snprintf(sql, sizeof sql, "UPDATE %s SET %s = 'x'", table, first);
        refused(&kept, sql);
        (void)snprintf(sql, sizeof sql, "UPDATE %s SET %s = %s", table, first, first);
        refused(&kept, sql); /* nothing at all */
        (void)snprintf(sql, sizeof sql, "%s, %s = '2026-01-01'", good, tables[i].other);
        refused(&kept, sql); /* and something else with it */
        (void)snprintf(sql, sizeof sql, "%s, seals = zeroblob(length(seals))", good);
        refused(&kept, sql);
        (void)snprintf(sql, sizeof sql, "%s, rowid = rowid + 100", good);
        refused(&kept, sql);
        (void)snprintf(sql, sizeof sql, "%s, id = randomblob(16)", good);
        refused(&kept, sql);
        (void)snprintf(sql, sizeof sql, "UPDATE %s SET %s = NULL, salts = zeroblob(%d)", table,
                       first, tables[i].salts);
        if (tables[i].salts > 16) /* a salt more than was named */
            refused(&kept, sql);
        (void)snprintf(sql, sizeof sql, "UPDATE OR REPLACE %s SET %s = 'x'", table, first);
        refused(&kept, sql);
        assert_int_equal(SQLITE_OK, kept_raw(kept.path, false, good));
        refused(&kept, good); /* once */
        (void)snprintf(sql, sizeof sql,
                       "UPDATE %s SET %s = 'x', salts = CAST(randomblob(16) || %s AS BLOB)", table,
                       first, rest);
        refused(&kept, sql); /* what is gone does not come back */
    }
    /* Of two columns of a row each needs its name. */
    row_of(&kept, "visit", row);
    refused(&kept, "UPDATE visit SET note = NULL, salts = zeroblob(32)");
    append_erasure(&kept, "visit", row, "note");
    assert_int_equal(SQLITE_OK, kept_raw(kept.path, false,
                                         "UPDATE visit SET note = NULL, salts = zeroblob(32)"));
    kept_close(&kept);
}

/* A family name may be missing only where its salt is zero, and only an erasure makes it so. */
static void a_patient_without_a_name_is_refused(void **state)
{
    struct kept_store kept;
    union any_row row;

    (void)state;
    kept_open(&kept, "erase-nameless");
    kept_fill_all(&kept, 1);
    kept_begin(&kept, "patient");
    kept_fill(&kept, RECORD_PATIENT, 2, &row);
    row.patient.family = "";
    assert_int_equal(STATUS_INPUT, store_append(kept.store, RECORD_PATIENT, &row, &kept.error));
    assert_non_null(strstr(kept.error.sentence, "family is recorded"));
    store_rollback(kept.store);
    kept_close(&kept);
}

/* ---- the connection ---- */

static int through(struct store *store, const char *sql)
{
    return sqlite3_exec(store->db, sql, NULL, NULL, NULL) & 0xff;
}

static void the_connection_can_do_nothing_else(void **state)
{
    static const char *const forbidden[] = {
        "UPDATE visit SET date = '2026-01-01'",
        "UPDATE visit SET seals = zeroblob(64)",
        "UPDATE patient SET chart = 'x'",
        "UPDATE trainer SET issued_on = '2026-01-01'",
        "UPDATE ledger SET hash = zeroblob(32)",
        "UPDATE erasure SET reason = 'x'",
        "UPDATE draft SET content = 'x'",
        "UPDATE secret SET pin = NULL",
        "DELETE FROM visit",
        "DELETE FROM erasure",
        "DELETE FROM case_state",
        "DELETE FROM secret",
        "INSERT INTO visit SELECT * FROM visit",
        "INSERT INTO patient SELECT * FROM patient",
        "INSERT INTO withdrawal SELECT * FROM withdrawal",
        "INSERT INTO signature SELECT * FROM signature",
        "INSERT INTO draft SELECT * FROM draft",
        "DROP TRIGGER visit_is_never_changed",
        "CREATE TEMP TABLE kept AS SELECT * FROM patient",
        "ATTACH ':memory:' AS other",
        "PRAGMA secure_delete=OFF",
        "PRAGMA journal_mode=OFF",
        "VACUUM",
    };
    struct kept_store kept;
    struct store *erasing;
    struct store_erased erased;
    union any_row row;

    (void)state;
    kept_open(&kept, "erase-connection");
    kept_fill_all(&kept, 1);
    assert_int_equal(STATUS_OK, store_open_erasing(kept.store, &erasing, &kept.error));
    for (size_t i = 0; i < sizeof forbidden / sizeof forbidden[0]; i++)
        if (through(erasing, forbidden[i]) != SQLITE_AUTH)
            fail_msg("%s: %d", forbidden[i], through(erasing, forbidden[i]));
    /* What it may, the triggers hold it to. */
    assert_int_equal(SQLITE_CONSTRAINT, through(erasing, "UPDATE visit SET note = NULL"));
    /* A row that another save would write is refused, and the save with it. */
    struct store_request request = {.id = store_new_id(erasing), .command = "erase"};
    assert_int_equal(STATUS_OK, store_begin(erasing, &request, &kept.error));
    kept_fill(&kept, RECORD_TRAINER, 5, &row);
    assert_int_not_equal(STATUS_OK, store_append(erasing, RECORD_TRAINER, &row, &kept.error));
    store_rollback(erasing);
    store_close(erasing);
    /* And any other connection erases nothing. */
    kept_begin(&kept, "erase");
    assert_int_equal(STATUS_USAGE, store_erase_patient(kept.store, &kept.records[RECORD_PATIENT],
                                                       "a ground", &erased, &kept.error));
    store_rollback(kept.store);
    assert_int_equal(0, kept_number(kept.path, "SELECT count(*) FROM erasure"));
    is_sound(&kept);
    kept_close(&kept);
}

/* ---- what goes and what stays ---- */

/* Everything of a table but what an erasure takes, as one text. */
static void kept_columns(const struct kept_store *kept, const char *table, const char *columns,
                         char text[4000])
{
    char sql[900];

    (void)snprintf(sql, sizeof sql,
                   "SELECT group_concat(%s, char(10)) FROM (SELECT * FROM %s ORDER BY sequence)",
                   columns, table);
    kept_text(kept->path, sql, text, 4000);
}

/* A patient in two versions with a case, corrected, withdrawn and planned; and somebody else. */
struct family {
    struct id patient, casefile, other;
};

static void two_families(struct kept_store *kept, struct family *family)
{
    union any_row row;

    kept_fill_all(kept, 1);
    family->other = kept->records[RECORD_PATIENT];
    kept_begin(kept, "visit");
    kept_fill(kept, RECORD_PATIENT, 2, &row);
    kept_append(kept, RECORD_PATIENT, &row);
    family->patient = row.head.record;
    row.patient.family = "Newname";
    row.patient.alerts = "";
    row.head.reason = "married";
    kept_append(kept, RECORD_PATIENT, &row);
    kept_fill(kept, RECORD_CASEFILE, 2, &row);
    row.casefile.patient = family->patient;
    kept_append(kept, RECORD_CASEFILE, &row);
    family->casefile = row.head.record;
    kept_fill(kept, RECORD_VISIT, 2, &row);
    kept_append(kept, RECORD_VISIT, &row);
    row.visit.note = "second version";
    row.head.reason = "slip";
    kept_append(kept, RECORD_VISIT, &row);
    kept_fill(kept, RECORD_VISIT, 3, &row);
    row.visit.note = row.visit.override_reason = "";
    kept_append(kept, RECORD_VISIT, &row);
    kept_fill(kept, RECORD_CONTACT, 2, &row);
    kept_append(kept, RECORD_CONTACT, &row);
    assert_int_equal(STATUS_OK, store_withdraw(kept->store, RECORD_CONTACT, &row.head.id,
                                               "the other child", &kept->error));
    kept_fill(kept, RECORD_PLAN, 2, &row);
    kept_append(kept, RECORD_PLAN, &row);
    kept_commit(kept);
}

static void put_draft(struct kept_store *kept, const struct id *casefile, const char *user)
{
    struct draft draft = {.user = user, .form = "visit", .filled = 1, .content = "typed"};

    draft.casefile = *casefile;
    draft.request = store_new_id(kept->store);
    draft.saved_at = kept->now;
    assert_int_equal(STATUS_OK, store_put_draft(kept->store, &draft, &kept->error));
}

static void every_version_is_blanked_and_nothing_else(void **state)
{
    struct kept_store kept;
    struct family family;
    struct store_erased would, erased;
    char before[4][4000], after[4][4000], ledger[2][4000], others[2][4000];
    static const char *const columns[] = {
        "hex(id) || hex(seals) || chart || coalesce(sex, '-') || coalesce(reason, '-') || version",
        "hex(id) || hex(seals) || date || kind || right_um || left_um || coalesce(reason, '-')",
        "hex(id) || hex(seals) || at || channel || outcome || coalesce(again_on, '-')",
        "hex(id) || hex(seals) || arch || made_on || target_um"};
    static const char *const tables[] = {"patient", "visit", "contact", "plan"};

    (void)state;
    kept_open(&kept, "erase-versions");
    two_families(&kept, &family);
    put_draft(&kept, &family.casefile, "ane");
    put_draft(&kept, &family.casefile, "ben");
    put_draft(&kept, &kept.records[RECORD_TRAINER], "ben");
    for (int i = 0; i < 4; i++)
        kept_columns(&kept, tables[i], columns[i], before[i]);
    kept_text(kept.path, "SELECT group_concat(hex(hash)) FROM (SELECT hash FROM ledger)", ledger[0],
              4000);
    static const char somebody[] =
        "SELECT family || given || born || guardian || phone || guardian2 || phone2 || alerts || "
        "hex(salts) FROM patient ORDER BY sequence LIMIT 1";
    kept_text(kept.path, somebody, others[0], 4000);

    assert_int_equal(STATUS_OK,
                     store_count_erasable(kept.store, &family.patient, &would, &kept.error));
    erase(&kept, &family.patient, &erased);
    assert_memory_equal(&would, &erased, sizeof erased);
    assert_int_equal(2, erased.rows[RECORD_PATIENT]);
    assert_int_equal(2, erased.rows[RECORD_VISIT]); /* the one without texts holds nothing */
    assert_int_equal(1, erased.rows[RECORD_CONTACT]);
    assert_int_equal(1, erased.rows[RECORD_PLAN]);
    assert_int_equal(8 + 7 + 2 + 2 + 1 + 1, erased.values);
    assert_int_equal(2, erased.drafts);
    assert_int_equal(1, kept_number(kept.path, "SELECT count(*) FROM draft"));
    assert_int_equal(6, kept_number(kept.path, "SELECT count(*) FROM erasure"));
    assert_int_equal(
        2, kept_number(kept.path,
                       "SELECT count(*) FROM patient WHERE coalesce(family, given, born, guardian, "
                       "phone, guardian2, phone2, alerts) IS NULL AND substr(salts, 1, 112) = "
                       "zeroblob(112)"));
    /* What was never recorded keeps its salt, and is no erasure's. */
    assert_int_equal(
        1, kept_number(kept.path, "SELECT count(*) FROM erasure WHERE kind = 'patient' AND fields "
                                  "= 'family given born guardian phone guardian2 phone2'"));
    assert_int_equal(1,
                     kept_number(kept.path, "SELECT count(*) FROM patient WHERE family IS NULL AND "
                                            "substr(salts, 113) <> zeroblob(16)"));
    assert_int_equal(6, kept_number(kept.path, "SELECT count(*) FROM erasure WHERE reason = "
                                               "'asked for in writing on 2026-05-30'"));

    for (int i = 0; i < 4; i++) {
        kept_columns(&kept, tables[i], columns[i], after[i]);
        assert_string_equal(before[i], after[i]);
    }
    kept_text(kept.path,
              "SELECT group_concat(hex(hash)) FROM (SELECT hash FROM ledger WHERE sequence <= "
              "(SELECT min(sequence) FROM ledger WHERE kind = 'erasure') - 2)",
              ledger[1], 4000);
    assert_string_equal(ledger[0], ledger[1]);
    kept_text(kept.path, somebody, others[1], 4000);
    assert_string_equal(others[0], others[1]);
    is_sound(&kept);
    assert_int_equal(0, outside(kept.path));
    /* Once more there is nothing to do. */
    assert_int_equal(STATUS_OK,
                     store_count_erasable(kept.store, &family.patient, &would, &kept.error));
    assert_int_equal(0, would.values + would.drafts);
    kept_close(&kept);
}

/* ---- reading afterwards ---- */

static void what_was_erased_is_told_from_what_was_not_recorded(void **state)
{
    struct kept_store kept;
    struct family family;
    struct store_erased erased;
    struct arena arena = {0};
    struct history history;
    int marked = 0, empty = 0;

    (void)state;
    kept_open(&kept, "erase-reading");
    two_families(&kept, &family);
    erase(&kept, &family.patient, &erased);
    assert_int_equal(STATUS_OK, store_read_case(kept.store, &family.casefile, STORE_NOW, &arena,
                                                &history, &kept.error));
    assert_string_equal(patient_erased, history.patient->family);
    assert_string_equal("", history.patient->given);
    assert_int_equal(DAY_NONE, history.patient->born);
    assert_int_equal(2, history.visit_count);
    for (size_t i = 0; i < history.visit_count; i++) {
        marked += strcmp(patient_erased, history.visits[i].override_reason) == 0;
        empty += history.visits[i].override_reason[0] == '\0';
    }
    assert_int_equal(1, marked);
    assert_int_equal(1, empty);
    arena_release(&arena);
    kept_close(&kept);
}

/* ---- verify ---- */

struct misfit {
    const char *sql;  /* run without triggers and checks */
    const char *says; /* by verify */
};

static void finds(const struct kept_store *start, const struct misfit *misfit)
{
    struct kept_store copy = *start;
    struct verify_report report;
    struct store *store;

    kept_path(copy.path, "erase-misfit");
    kept_copy(start->path, copy.path);
    int code = kept_raw(copy.path, true, misfit->sql);
    if (code != SQLITE_OK)
        fail_msg("%s: %d", misfit->sql, code);
    assert_int_equal(STATUS_OK, store_open(copy.path, &copy.source, &store, &copy.error));
    assert_int_equal(STATUS_DAMAGED, store_verify(store, &report, &copy.error));
    if (strstr(text_string(&report.findings), misfit->says) == NULL)
        fail_msg("%s: %s", misfit->sql, text_string(&report.findings));
    assert_true(report.bad_sequence > 0);
    text_release(&report.findings);
    store_close(store);
    assert_int_not_equal(0, outside(copy.path));
}

static void a_blank_and_its_erasure_need_each_other(void **state)
{
    static const struct misfit misfits[] = {
        /* a blank that no erasure names */
        {"UPDATE contact SET note = NULL, salts = zeroblob(16) WHERE note IS NOT NULL",
         "note is blank, and no erasure names it"},
        {"UPDATE erasure SET fields = 'family' WHERE kind = 'patient'",
         "given is blank, and no erasure names it"},
        {"UPDATE visit SET salts = CAST(substr(salts, 1, 16) || zeroblob(16) AS BLOB) "
         "WHERE note IS NOT NULL",
         "note is not what was recorded"},
        {"UPDATE visit SET note = NULL WHERE note IS NOT NULL", "note is not what was recorded"},
        /* an erasure that is not true */
        {"UPDATE patient SET family = 'Back' WHERE family IS NULL", "family of patient"},
        {"PRAGMA ignore_check_constraints=ON; "
         "UPDATE patient SET salts = randomblob(128) WHERE family IS NULL",
         "was erased, yet it is not blank"},
        {"UPDATE erasure SET row = '00000000000000000000000000000001' WHERE kind = 'plan'",
         "which the store does not hold"},
        {"UPDATE erasure SET kind = 'trainer' WHERE kind = 'plan'", "where nothing is erased"},
        {"UPDATE erasure SET kind = 'colour' WHERE kind = 'plan'", "where nothing is erased"},
        {"UPDATE erasure SET fields = 'note target_um' WHERE kind = 'plan'",
         "names \"target_um\" of plan, no column that is erased"},
        {"PRAGMA ignore_check_constraints=ON; UPDATE erasure SET row = 'x' WHERE kind = 'plan'",
         "where nothing is erased"},
    };
    struct kept_store kept;
    struct family family;
    struct store_erased erased;

    (void)state;
    kept_open(&kept, "erase-verify");
    two_families(&kept, &family);
    erase(&kept, &family.patient, &erased);
    is_sound(&kept);
    store_close(kept.store);
    kept.store = NULL;
    for (size_t i = 0; i < sizeof misfits / sizeof misfits[0]; i++)
        finds(&kept, &misfits[i]);
    kept_close(&kept);
}

/* A copy of an erased store is one, and so is a copy of the copy. */
static void a_backup_of_it_is_sound(void **state)
{
    struct kept_store kept;
    struct family family;
    struct store_erased erased;
    struct store_copy copy;
    char path[420];

    (void)state;
    kept_open(&kept, "erase-backup");
    two_families(&kept, &family);
    erase(&kept, &family.patient, &erased);
    (void)snprintf(path, sizeof path, "%s.copy", kept.path);
    (void)remove(path);
    if (store_backup(kept.store, path, &copy, &kept.error) != STATUS_OK)
        fail_msg("%s", kept.error.sentence);
    assert_int_equal(0, outside(path));
    (void)remove(path);
    (void)snprintf(path, sizeof path, "%s.copy.manifest", kept.path);
    (void)remove(path);
    kept_close(&kept);
}

/* ---- the bytes ---- */

static bool holds(const unsigned char *bytes, size_t size, const char *word)
{
    return memmem(bytes, size, word, strlen(word)) != NULL;
}

static bool file_holds(const char *path, const char *word)
{
    struct stat about;
    size_t size;

    if (stat(path, &about) != 0)
        return false;
    unsigned char *bytes = kept_bytes(path, &size);
    bool found = holds(bytes, size, word);
    free(bytes);
    return found;
}

enum { CHILDREN = 1500, ERASED = 750 };

/* A practice whose list and search index were split and joined many times: keys are random, and
 * states are written anew by every save. */
static void fill_practice(struct kept_store *kept, struct id patients[CHILDREN])
{
    union any_row row;

    kept_fill_all(kept, 1);
    for (int i = 0; i < CHILDREN; i++) {
        struct case_state derived;
        char name[40];

        (void)snprintf(name, sizeof name, "Zz%05dname", i);
        kept_begin(kept, "patient");
        kept_fill(kept, RECORD_PATIENT, 10 + i, &row);
        row.patient.family = name;
        kept_append(kept, RECORD_PATIENT, &row);
        patients[i] = row.head.record;
        kept_fill(kept, RECORD_CASEFILE, 10 + i, &row);
        kept_append(kept, RECORD_CASEFILE, &row);
        kept_state(kept, row.casefile.number, &derived);
        derived.family = name;
        assert_int_equal(STATUS_OK, store_put_state(kept->store, &derived, &kept->error));
        kept_commit(kept);
    }
}

/* The names of the erased that the file holds; the states are the caller's to rewrite. */
static int left_of(const char *path)
{
    size_t size;
    unsigned char *bytes = kept_bytes(path, &size);
    int left = 0;

    for (int i = 0; i < ERASED; i++) {
        char name[40], folded[40];

        (void)snprintf(name, sizeof name, "Zz%05dname", i * (CHILDREN / ERASED));
        (void)snprintf(folded, sizeof folded, "zz%05dname", i * (CHILDREN / ERASED));
        left += holds(bytes, size, name) || holds(bytes, size, folded);
    }
    free(bytes);
    return left;
}

static void blank_states(struct store *erasing, const struct id *patient)
{
    char sql[300], id[ID_TEXT_SIZE];

    (void)snprintf(sql, sizeof sql,
                   "UPDATE case_state SET family = NULL, search = 'c' || number WHERE casefile IN "
                   "(SELECT record FROM casefile WHERE patient = x'%s')",
                   id_to_text(patient, id));
    assert_int_equal(SQLITE_OK, sqlite3_exec(erasing->db, sql, NULL, NULL, NULL));
}

static void no_byte_of_the_file_holds_the_name(void **state)
{
    static struct id patients[CHILDREN];
    struct kept_store kept;
    struct store *erasing;
    char journal[420];
    int left;

    (void)state;
    kept_open(&kept, "erase-bytes");
    fill_practice(&kept, patients);
    assert_int_equal(ERASED, left_of(kept.path)); /* the search sees what is there */
    begin_erasing(&kept, &erasing);
    for (int i = 0; i < ERASED; i++) {
        const struct id *patient = &patients[i * (CHILDREN / ERASED)];
        struct store_erased erased;

        assert_int_equal(STATUS_OK, store_erase_patient(erasing, patient, "asked for in writing",
                                                        &erased, &kept.error));
        blank_states(erasing, patient);
    }
    assert_int_equal(STATUS_OK, store_commit(erasing, &kept.error));
    store_close(erasing);
    left = left_of(kept.path);
    printf("# figure: of %d erased names secure_delete alone left %d in unused space of pages\n",
           ERASED, left);
    if (store_clean(kept.store, &kept.error) != STATUS_OK)
        fail_msg("%s", kept.error.sentence);
    assert_int_equal(0, left_of(kept.path));
    (void)snprintf(journal, sizeof journal, "%s-journal", kept.path);
    for (int i = 0; i < ERASED; i++) {
        char name[40];

        (void)snprintf(name, sizeof name, "Zz%05dname", i * (CHILDREN / ERASED));
        assert_false(file_holds(journal, name));
    }
    is_sound(&kept);
    assert_int_equal(CHILDREN - ERASED + 1,
                     kept_number(kept.path, "SELECT count(*) FROM patient WHERE family NOT NULL"));
    kept_close(&kept);
}

/* ---- all or nothing ---- */

struct tally {
    int trials, refused;
};

static bool try_fault(const struct kept_store *start, const struct family *family,
                      enum fault_sort sort, int nth, bool forever, struct tally *tally)
{
    struct kept_store kept = *start;
    struct store *erasing = NULL;
    struct store_erased erased;

    kept.source.context = &kept;
    kept_path(kept.path, "erase-fault-copy");
    kept_copy(start->path, kept.path);
    assert_int_equal(STATUS_OK, store_open(kept.path, &kept.source, &kept.store, &kept.error));
    fault_arm(sort, nth, forever);
    enum status status = store_open_erasing(kept.store, &erasing, &kept.error);
    if (status == STATUS_OK) {
        struct store_request request = {.id = store_new_id(erasing), .command = "erase"};

        status = store_begin(erasing, &request, &kept.error);
        if (status == STATUS_OK)
            status = store_erase_patient(erasing, &family->patient, "asked for in writing", &erased,
                                         &kept.error);
        status = status == STATUS_OK ? store_commit(erasing, &kept.error) : status;
        store_close(erasing);
    }
    int fired = fault_disarm();
    if (status != STATUS_OK)
        assert_true(strlen(kept.error.sentence) > 10);
    bool unknown = status != STATUS_OK && strstr(kept.error.sentence, "is not known") != NULL;
    kept_reopen(&kept);
    is_sound(&kept);
    int64_t gone = kept_number(kept.path, "SELECT count(*) FROM patient WHERE family IS NULL");
    int64_t rows = kept_number(kept.path, "SELECT count(*) FROM erasure");
    int64_t drafts = kept_number(kept.path, "SELECT count(*) FROM draft");
    bool all = gone == 2 && rows == 6 && drafts == 0, none = gone == 0 && rows == 0 && drafts == 1;
    if (!all && !none)
        fail_msg("%s %d: half erased: %d patients, %d erasures", fault_name(sort), nth, (int)gone,
                 (int)rows);
    if (status == STATUS_OK ? !all : (all && !unknown))
        fail_msg("%s %d: %s", fault_name(sort), nth,
                 all ? "called not erased, and is" : "called erased, and is not");
    kept_close(&kept);
    tally->trials += fired > 0;
    tally->refused += fired > 0 && status != STATUS_OK;
    return fired > 0;
}

static void an_erasure_is_all_or_nothing(void **state)
{
    struct kept_store start;
    struct family family;

    (void)state;
    kept_open(&start, "erase-fault");
    two_families(&start, &family);
    put_draft(&start, &family.casefile, "ane");
    store_close(start.store);
    start.store = NULL;
    for (int sort = 0; sort < FAULT_SORTS; sort++)
        for (int forever = 0; forever < 2; forever++) {
            struct tally tally = {0};
            int nth = 1;

            while (try_fault(&start, &family, (enum fault_sort)sort, nth, forever != 0, &tally))
                nth += nth < 8 || getenv("SPRINGLINE_EVERY_BYTE") != NULL ? 1 : 5;
            print_message("# %s %s: %d trials, %d refused\n", fault_name((enum fault_sort)sort),
                          forever ? "for ever" : "once", tally.trials, tally.refused);
            if (tally.trials == 0)
                fail_msg("%s never failed", fault_name((enum fault_sort)sort));
        }
    kept_close(&start);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(only_a_named_blank_passes),
        cmocka_unit_test(a_patient_without_a_name_is_refused),
        cmocka_unit_test(the_connection_can_do_nothing_else),
        cmocka_unit_test(every_version_is_blanked_and_nothing_else),
        cmocka_unit_test(what_was_erased_is_told_from_what_was_not_recorded),
        cmocka_unit_test(a_blank_and_its_erasure_need_each_other),
        cmocka_unit_test(a_backup_of_it_is_sound),
        cmocka_unit_test(no_byte_of_the_file_holds_the_name),
        cmocka_unit_test(an_erasure_is_all_or_nothing),
    };

    fault_install();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
