/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Lawful erasure in the store: what the triggers and the authoriser let pass and what not, what is
 * blanked and what stays, what verify says of blanks and erasures that do not fit each other.
 * GDPR 17 from memory; the seals by the sealing of personal values described in src/store/ledger.c.
 */
#include "erase_trial.h"

/* ---- helpers ---- */

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
    kept_close(&kept);
}

static void of_two_columns_each_needs_its_name(void **state)
{
    struct kept_store kept;
    char row[ID_TEXT_SIZE];

    (void)state;
    kept_open(&kept, "erase-two");
    kept_fill_all(&kept, 1);
    row_of(&kept, "visit", row);
    append_erasure(&kept, "visit", row, "override_reason");
    refused(&kept, "UPDATE visit SET override_reason = NULL, note = NULL, salts = zeroblob(32)");
    append_erasure(&kept, "visit", row, "note");
    assert_int_equal(SQLITE_OK, kept_raw(kept.path, false,
                                         "UPDATE visit SET override_reason = NULL, note = NULL, "
                                         "salts = zeroblob(32)"));
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

static void counts_fit(struct kept_store *kept, const struct store_erased *erased)
{
    assert_int_equal(2, erased->rows[RECORD_PATIENT]);
    assert_int_equal(2, erased->rows[RECORD_VISIT]); /* the one without texts holds nothing */
    assert_int_equal(1, erased->rows[RECORD_CONTACT]);
    assert_int_equal(1, erased->rows[RECORD_PLAN]);
    assert_int_equal(8 + 7 + 2 + 2 + 1 + 1, erased->values);
    assert_int_equal(2, erased->drafts);
    assert_int_equal(1, kept_number(kept->path, "SELECT count(*) FROM draft"));
    assert_int_equal(6, kept_number(kept->path, "SELECT count(*) FROM erasure"));
    assert_int_equal(
        2, kept_number(kept->path,
                       "SELECT count(*) FROM patient WHERE coalesce(family, given, born, guardian, "
                       "phone, guardian2, phone2, alerts) IS NULL AND substr(salts, 1, 112) = "
                       "zeroblob(112)"));
    /* What was never recorded keeps its salt, and is no erasure's. */
    assert_int_equal(
        1, kept_number(kept->path, "SELECT count(*) FROM erasure WHERE kind = 'patient' AND fields "
                                   "= 'family given born guardian phone guardian2 phone2'"));
    assert_int_equal(1, kept_number(kept->path,
                                    "SELECT count(*) FROM patient WHERE family IS NULL AND "
                                    "substr(salts, 113) <> zeroblob(16)"));
    assert_int_equal(6, kept_number(kept->path, "SELECT count(*) FROM erasure WHERE reason = "
                                                "'asked for in writing on 2026-05-30'"));
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
    counts_fit(&kept, &erased);
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(only_a_named_blank_passes),
        cmocka_unit_test(of_two_columns_each_needs_its_name),
        cmocka_unit_test(a_patient_without_a_name_is_refused),
        cmocka_unit_test(the_connection_can_do_nothing_else),
        cmocka_unit_test(every_version_is_blanked_and_nothing_else),
        cmocka_unit_test(what_was_erased_is_told_from_what_was_not_recorded),
        cmocka_unit_test(a_blank_and_its_erasure_need_each_other),
        cmocka_unit_test(a_backup_of_it_is_sound),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
