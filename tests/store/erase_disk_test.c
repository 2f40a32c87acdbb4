/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What a lawful erasure leaves on the disk: no byte of the file holds the name, and a failing disk
 * leaves all of the erasure or nothing.
 */
#include <sys/stat.h>

#include "erase_trial.h"
#include "fault_vfs.h"

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

/* Rows that a program of before this rung recorded (tests/store/fixtures/README.md). */
static void old_rows_can_be_erased(void **state)
{
    static const char hashes[] = "SELECT group_concat(hex(hash)) FROM (SELECT hash FROM ledger "
                                 "ORDER BY sequence LIMIT 244)";
    static char before[20000], after[20000];
    const char *source = getenv("SPRINGLINE_SOURCE");
    struct kept_store kept;
    struct store *erasing;
    struct store_erased erased;
    struct id patient;
    char command[1600];

    (void)state;
    kept_source(&kept, "erase-old");
    (void)snprintf(command, sizeof command,
                   "python3 -c 'import lzma, sys; open(sys.argv[2], \"wb\").write("
                   "lzma.open(sys.argv[1]).read())' '%s/tests/store/fixtures/version_1.db.xz' '%s' "
                   "&& chmod 600 '%s'",
                   source != NULL ? source : ".", kept.path, kept.path);
    assert_int_equal(0, system(command));
    assert_true(file_holds(kept.path, "S\xc3\xb8lvskov"));
    kept_text(kept.path, hashes, before, sizeof before);
    kept_reopen(&kept); /* it climbs */
    assert_int_equal(STATUS_OK,
                     store_find_patient(kept.store, "P-0004", STORE_NOW, &patient, &kept.error));
    begin_erasing(&kept, &erasing);
    assert_int_equal(STATUS_OK, store_erase_patient(erasing, &patient, "asked for in writing",
                                                    &erased, &kept.error));
    assert_true(erased.rows[RECORD_PATIENT] == 1 && erased.rows[RECORD_VISIT] > 1);
    blank_states(erasing, &patient);
    assert_int_equal(STATUS_OK, store_commit(erasing, &kept.error));
    store_close(erasing);
    assert_int_equal(STATUS_OK, store_clean(kept.store, &kept.error));
    assert_false(file_holds(kept.path, "S\xc3\xb8lvskov"));
    assert_false(file_holds(kept.path, "solvskov"));
    kept_text(kept.path, hashes, after, sizeof after);
    assert_true(strlen(before) > 244 * 64);
    assert_string_equal(before, after);
    is_sound(&kept);
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
                nth += nth < 8 || getenv("SPRINGLINE_EVERY_BYTE") != NULL ? 1 : 23;
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
        cmocka_unit_test(no_byte_of_the_file_holds_the_name),
        cmocka_unit_test(old_rows_can_be_erased),
        cmocka_unit_test(an_erasure_is_all_or_nothing),
    };

    fault_install();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
