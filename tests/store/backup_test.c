/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Backups: whole, checked, made while others work, and never half. What a copy holds is read by
 * SQLite itself and by a walk of the chain in another language (tests/support/check_chain.py).
 */
#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>
#include <sqlite3.h>

#include "fault_vfs.h"
#include "kept_store.h"
#include "springline/store/schema.h"

static char copy_path[410];

static const char *beside(const char *ending)
{
    static char name[460];

    (void)snprintf(name, sizeof name, "%s%s", copy_path, ending);
    return name;
}

static bool exists(const char *path)
{
    struct stat about;

    return lstat(path, &about) == 0;
}

/* A store with rows of every kind, and a place for its copy where nothing is. */
static void begin(struct kept_store *kept, const char *name)
{
    static const char *const endings[] = {"", ".part", ".part-journal", ".manifest", "-journal"};

    kept_open(kept, name);
    kept_fill_all(kept, 1);
    kept_fill_all(kept, 2);
    (void)snprintf(copy_path, sizeof copy_path, "%s.copy", kept->path);
    for (size_t i = 0; i < sizeof endings / sizeof endings[0]; i++)
        (void)unlink(beside(endings[i]));
}

static void nothing_is_left(void)
{
    static const char *const endings[] = {"", ".part", ".part-journal", ".manifest"};

    for (size_t i = 0; i < sizeof endings / sizeof endings[0]; i++)
        if (exists(beside(endings[i])))
            fail_msg("%s is left", beside(endings[i]));
}

static void remove_copy(void)
{
    assert_int_equal(0, unlink(beside("")));
    assert_int_equal(0, unlink(beside(".manifest")));
}

static void has_one_sentence(const struct error *error)
{
    size_t length = strlen(error->sentence);

    assert_true(length > 10);
    assert_null(strchr(error->sentence, '\n'));
    assert_int_equal('.', error->sentence[length - 1]);
}

static void backed_up(struct kept_store *kept, struct store_copy *copy)
{
    enum status status = store_backup(kept->store, copy_path, copy, &kept->error);

    if (status != STATUS_OK)
        fail_msg("%s", kept->error.sentence);
}

/* The chain of the copy, walked by Python: prints its head as its last word. */
static void walk_outside(const char *path, const char *head)
{
    const char *source = getenv("SPRINGLINE_SOURCE");
    char command[1200], said[400] = "";
    FILE *pipe;

    (void)snprintf(command, sizeof command, "python3 '%s/tests/support/check_chain.py' '%s'",
                   source != NULL ? source : ".", path);
    pipe = popen(command, "r");
    assert_non_null(pipe);
    size_t length = fread(said, 1, sizeof said - 1, pipe);
    said[length] = '\0';
    assert_int_equal(0, pclose(pipe));
    assert_non_null(strstr(said, head));
}

static void hex(const uint8_t *bytes, size_t count, char *text)
{
    for (size_t i = 0; i < count; i++)
        (void)snprintf(text + 2 * i, 3, "%02x", (unsigned)bytes[i]);
}

static void a_copy_holds_every_row(void **state)
{
    struct kept_store kept, opened;
    struct store_copy copy = {0};
    struct verify_report report;
    struct stat about;
    char query[200], head[65];

    (void)state;
    begin(&kept, "whole");
    backed_up(&kept, &copy);
    assert_int_equal(0, stat(copy_path, &about));
    assert_int_equal(0600, about.st_mode & 07777);
    assert_false(exists(beside(".part")));
    kept_text(copy_path, "PRAGMA integrity_check", query, sizeof query);
    assert_string_equal("ok", query);
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++) {
        (void)snprintf(query, sizeof query, "SELECT count(*) FROM %s", record_tables[kind].table);
        assert_int_equal(kept_number(kept.path, query), kept_number(copy_path, query));
    }
    assert_int_equal(schema_rung_count, kept_number(copy_path, "PRAGMA user_version"));
    assert_int_equal(kept_number(kept.path, "SELECT count(*) FROM ledger"), copy.rows);
    hex(copy.head, sizeof copy.head, head);
    walk_outside(copy_path, head);

    opened = kept;
    opened.source.context = &opened;
    opened.store = NULL;
    assert_int_equal(STATUS_OK,
                     store_open(copy_path, &opened.source, &opened.store, &opened.error));
    assert_int_equal(STATUS_OK, store_verify(opened.store, &report, &opened.error));
    assert_memory_equal(copy.head, report.head, sizeof report.head);
    text_release(&report.findings);
    store_close(opened.store);
    remove_copy();
    kept_close(&kept);
}

/* The head stands outside the ledger: in the manifest, as the store says it now. */
static void the_manifest_anchors_the_head(void **state)
{
    struct kept_store kept;
    struct store_copy copy = {0};
    struct stat about;
    int64_t sequence;
    uint8_t hash[32];
    char head[65], wanted[120];
    size_t size;

    (void)state;
    begin(&kept, "manifest");
    backed_up(&kept, &copy);
    assert_int_equal(STATUS_OK, store_head(kept.store, &sequence, hash, &kept.error));
    assert_int_equal(0, stat(beside(".manifest"), &about));
    assert_int_equal(0600, about.st_mode & 07777);
    unsigned char *bytes = kept_bytes(beside(".manifest"), &size);
    char *text = calloc(size + 1, 1);
    assert_non_null(text);
    memcpy(text, bytes, size);
    free(bytes);
    hex(hash, sizeof hash, head);
    (void)snprintf(wanted, sizeof wanted, "\nhead %s\n", head);
    assert_non_null(strstr(text, wanted));
    (void)snprintf(wanted, sizeof wanted, "\nsequence %lld\n", (long long)sequence);
    assert_non_null(strstr(text, wanted));
    (void)snprintf(wanted, sizeof wanted, "\nrows %lld\n", (long long)copy.rows);
    assert_non_null(strstr(text, wanted));
    assert_non_null(strstr(text, "\nmade_at 2026-06-01T08:"));
    assert_non_null(strstr(text, "\nprogram_version " SPRINGLINE_VERSION "\n"));
    free(text);
    remove_copy();
    kept_close(&kept);
}

static void what_stands_there_is_left_alone(void **state)
{
    static const char *const taken[] = {"", ".part", ".manifest"};
    struct kept_store kept;
    struct store_copy copy = {0};

    (void)state;
    begin(&kept, "taken");
    for (size_t i = 0; i < sizeof taken / sizeof taken[0]; i++) {
        FILE *file = fopen(beside(taken[i]), "wb");
        size_t size;

        assert_non_null(file);
        assert_true(fputs("mine", file) >= 0);
        assert_int_equal(0, fclose(file));
        assert_int_equal(STATUS_INPUT, store_backup(kept.store, copy_path, &copy, &kept.error));
        has_one_sentence(&kept.error);
        assert_non_null(strstr(kept.error.sentence, beside(taken[i])));
        free(kept_bytes(beside(taken[i]), &size));
        assert_int_equal(4, size);
        assert_int_equal(0, unlink(beside(taken[i])));
        nothing_is_left();
    }
    assert_int_equal(0, symlink("nowhere", copy_path)); /* a name that leads nowhere is one too */
    assert_int_equal(STATUS_INPUT, store_backup(kept.store, copy_path, &copy, &kept.error));
    assert_int_equal(0, unlink(copy_path));
    assert_int_equal(STATUS_INPUT, store_backup(kept.store, "", &copy, &kept.error));
    kept_begin(&kept, "save");
    assert_int_equal(STATUS_USAGE, store_backup(kept.store, copy_path, &copy, &kept.error));
    kept_commit(&kept);
    nothing_is_left();
    kept_close(&kept);
}

static void where_nothing_can_be_written_nothing_is_left(void **state)
{
    struct kept_store kept;
    struct store_copy copy = {0};
    char nowhere[460];
    struct rlimit limit, small;

    (void)state;
    begin(&kept, "nowhere");
    (void)snprintf(nowhere, sizeof nowhere, "%s.folder/copy", kept.path);
    assert_int_equal(STATUS_UNUSABLE, store_backup(kept.store, nowhere, &copy, &kept.error));
    has_one_sentence(&kept.error);
    /* A disk at its limit. */
    assert_int_equal(0, getrlimit(RLIMIT_FSIZE, &limit));
    small = limit;
    small.rlim_cur = 100000;
    void (*before)(int) = signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(0, setrlimit(RLIMIT_FSIZE, &small));
    enum status status = store_backup(kept.store, copy_path, &copy, &kept.error);
    assert_int_equal(0, setrlimit(RLIMIT_FSIZE, &limit));
    (void)signal(SIGXFSZ, before);
    assert_int_equal(STATUS_UNUSABLE, status);
    has_one_sentence(&kept.error);
    nothing_is_left();
    backed_up(&kept, &copy);
    remove_copy();
    kept_close(&kept);
}

/* Of a store that is not what was recorded no backup is made, for it would take the place of a
 * good one. */
static void no_copy_is_made_of_a_damaged_store(void **state)
{
    struct kept_store kept;
    struct store_copy copy = {0};

    (void)state;
    begin(&kept, "damaged");
    assert_int_equal(SQLITE_OK,
                     kept_raw(kept.path, true, "UPDATE visit SET right_um = right_um + 250"));
    assert_int_equal(STATUS_UNUSABLE, store_backup(kept.store, copy_path, &copy, &kept.error));
    has_one_sentence(&kept.error);
    assert_non_null(strstr(kept.error.sentence, "not sound"));
    assert_non_null(strstr(kept.error.sentence, "visit"));
    nothing_is_left();
    kept_close(&kept);
}

/* A seat in a process of its own that saves until it is told to stop: one save a turn. */
static void keep_saving(struct kept_store kept, int stop)
{
    int saves = 0;
    char byte;

    kept.source.context = &kept;
    kept.counter = UINT64_C(0x2000000) + (uint64_t)getpid();
    kept.store = NULL;
    if (store_open(kept.path, &kept.source, &kept.store, &kept.error) != STATUS_OK)
        _exit(2);
    while (read(stop, &byte, 1) < 0) {
        struct store_request request = {.id = store_new_id(kept.store), .command = "contact"};
        union any_row row;

        kept_fill(&kept, RECORD_CONTACT, 1, &row);
        row.contact.at += 100 + saves++;
        if (store_begin(kept.store, &request, &kept.error) != STATUS_OK ||
            store_append(kept.store, RECORD_CONTACT, &row, &kept.error) != STATUS_OK ||
            store_commit(kept.store, &kept.error) != STATUS_OK) {
            (void)fprintf(stderr, "# seat: %s\n", kept.error.sentence);
            _exit(3);
        }
    }
    store_close(kept.store);
    _exit(saves > 0 ? 0 : 4);
}

static void others_save_while_it_is_made(void **state)
{
    enum { BACKUPS = 12 };
    struct kept_store kept;
    struct store_copy copy = {0};
    int stop[2], ended = 0;
    int64_t before = 0;

    (void)state;
    begin(&kept, "others");
    assert_int_equal(0, pipe2(stop, O_NONBLOCK));
    pid_t seat = fork();
    assert_true(seat >= 0);
    if (seat == 0) {
        (void)close(stop[1]);
        keep_saving(kept, stop[0]);
    }
    for (int i = 0; i < BACKUPS; i++) {
        backed_up(&kept, &copy); /* checked there: whole, and one moment of the ledger */
        assert_true(copy.sequence >= before);
        before = copy.sequence;
        /* A save is a request and a contact: no copy holds one without the other. */
        assert_int_equal(0, kept_number(copy_path,
                                        "SELECT count(*) FROM request WHERE command = 'contact' "
                                        "AND id NOT IN (SELECT request FROM contact)"));
        remove_copy();
    }
    assert_int_equal(1, write(stop[1], "s", 1));
    assert_int_equal(seat, waitpid(seat, &ended, 0));
    assert_true(WIFEXITED(ended));
    assert_int_equal(0, WEXITSTATUS(ended));
    assert_true(kept_number(kept.path, "SELECT count(*) FROM ledger") > before);
    (void)close(stop[0]);
    (void)close(stop[1]);
    kept_close(&kept);
}

/* One backup with the nth operation of sort failing. False: it was not reached any more. */
static bool try_fault(struct kept_store *kept, enum fault_sort sort, int nth, int *refused)
{
    struct store_copy copy = {0};
    struct error error = {0};
    int64_t rows = kept_number(kept->path, "SELECT count(*) FROM ledger");

    fault_arm(sort, nth, false);
    enum status status = store_backup(kept->store, copy_path, &copy, &error);
    int failed = fault_disarm();
    if (status == STATUS_OK) {
        assert_int_equal(rows, copy.rows);
        assert_int_equal(rows, kept_number(copy_path, "SELECT count(*) FROM ledger"));
        remove_copy();
    } else {
        has_one_sentence(&error);
        assert_true(status == STATUS_UNUSABLE || status == STATUS_BUSY ||
                    status == STATUS_NO_MEMORY);
        ++*refused;
    }
    nothing_is_left();
    return failed > 0;
}

/* Every operation of every sort fails once in turn, of the many reads and writes every few. */
static void a_failing_disk_leaves_no_half_copy(void **state)
{
    struct kept_store kept;

    (void)state;
    begin(&kept, "faults");
    for (int sort = 0; sort < FAULT_SORTS; sort++) {
        int refused = 0, nth = 1, trials = 0;

        while (try_fault(&kept, (enum fault_sort)sort, nth, &refused)) {
            trials++;
            nth += nth < 8 ? 1 : nth / 2;
            /* What the connection remembers of a failed disk is not to be trusted. */
            kept_reopen(&kept);
        }
        printf("# %s: %d trials, %d refused\n", fault_name((enum fault_sort)sort), trials, refused);
        if (sort != FAULT_TRUNCATE) /* a copy is made without truncating anything */
            assert_true(refused > 0);
    }
    struct verify_report report;
    assert_int_equal(STATUS_OK, store_verify(kept.store, &report, &kept.error));
    text_release(&report.findings);
    kept_close(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_copy_holds_every_row),
        cmocka_unit_test(the_manifest_anchors_the_head),
        cmocka_unit_test(what_stands_there_is_left_alone),
        cmocka_unit_test(where_nothing_can_be_written_nothing_is_left),
        cmocka_unit_test(no_copy_is_made_of_a_damaged_store),
        cmocka_unit_test(others_save_while_it_is_made),
        cmocka_unit_test(a_failing_disk_leaves_no_half_copy),
    };

    fault_install();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
