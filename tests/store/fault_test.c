/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A whole visit is saved while the nth file operation fails, for every n and every sort of failure,
 * once and from then on. After each: reopen, verify, and the visit is there as a whole or not at
 * all; what was called saved is there, what was called not saved is not.
 */
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "fault_vfs.h"
#include "kept_store.h"

/* What one press of the save key writes: two arches, their verdicts, wear, widths, the next
 * booking, the state; the draft goes. */
static enum status save_visit(struct kept_store *kept, const struct id *request_id, int seed)
{
    static const enum record_kind kinds[] = {RECORD_VISIT,  RECORD_JUDGED,     RECORD_VISIT,
                                             RECORD_JUDGED, RECORD_WEAR_COUNT, RECORD_WIDTH,
                                             RECORD_WIDTH,  RECORD_BOOKING};
    struct store_request request = {.id = *request_id, .command = "visit", .seat = "t@1"};
    struct case_state derived;
    struct error *error = &kept->error;
    enum status status = store_begin(kept->store, &request, error);

    if (status != STATUS_OK)
        return status;
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0] && status == STATUS_OK; i++) {
        union any_row row;

        kept_fill(kept, kinds[i], seed + (int)i, &row);
        status = store_append(kept->store, kinds[i], &row, error);
        if (status == STATUS_OK)
            kept->records[kinds[i]] = row.head.record;
    }
    kept_state(kept, "C-0042", &derived);
    if (status == STATUS_OK)
        status = store_put_state(kept->store, &derived, error);
    if (status == STATUS_OK)
        status = store_drop_draft(kept->store, "ane", "visit", &derived.casefile, error);
    if (status == STATUS_OK)
        return store_commit(kept->store, error);
    store_rollback(kept->store);
    return status;
}

/* The store every trial begins from: rows, and the draft of the visit to come. */
static void starting_store(struct kept_store *kept, const char *name)
{
    struct draft draft = {.user = "ane", .form = "visit", .filled = 3, .content = "typed"};

    kept_open(kept, name);
    kept_fill_all(kept, 1);
    draft.casefile = kept->records[RECORD_CASEFILE];
    draft.request = store_new_id(kept->store);
    draft.saved_at = kept->now;
    assert_int_equal(STATUS_OK, store_put_draft(kept->store, &draft, &kept->error));
    store_close(kept->store);
    kept->store = NULL;
}

static void has_one_sentence(const struct error *error)
{
    size_t length = strlen(error->sentence);

    assert_true(length > 10);
    assert_null(strchr(error->sentence, '\n'));
    assert_int_equal('.', error->sentence[length - 1]);
}

/* The rows of the visit are all there, or none is; verify is content. */
static void is_whole(struct kept_store *kept, bool *there, const char *what, int nth)
{
    char counts[80];
    struct verify_report report;
    enum status status = store_verify(kept->store, &report, &kept->error);

    if (status != STATUS_OK)
        fail_msg("%s %d: %s\n%s", what, nth, kept->error.sentence, text_string(&report.findings));
    text_release(&report.findings);
    kept_text(kept->path,
              "SELECT (SELECT count(*) FROM visit) || ' ' || (SELECT count(*) FROM judged) || ' ' "
              "|| (SELECT count(*) FROM width) || ' ' || (SELECT count(*) FROM wear_count) || ' ' "
              "|| (SELECT count(*) FROM booking) || ' ' || (SELECT count(*) FROM case_state) "
              "|| ' drafts ' || (SELECT count(*) FROM draft)",
              counts, sizeof counts);
    *there = strcmp(counts, "3 3 3 2 2 1 drafts 0") == 0;
    if (!*there && strcmp(counts, "1 1 1 1 1 0 drafts 1") != 0)
        fail_msg("%s %d: half a visit: %s", what, nth, counts);
}

struct tally {
    int trials, failed_saves, mended, unknown;
};

/* One trial; false when the fault did not fire any more. */
static bool try_fault(const struct kept_store *start, enum fault_sort sort, int nth, bool forever,
                      struct tally *tally)
{
    struct kept_store kept = *start;
    struct id request = {{7, (uint8_t)nth}};
    bool there = false;

    kept.source.context = &kept;
    kept_path(kept.path, "fault-copy");
    kept_copy(start->path, kept.path);
    memset(&kept.error, 0, sizeof kept.error);
    assert_int_equal(STATUS_OK, store_open(kept.path, &kept.source, &kept.store, &kept.error));
    fault_arm(sort, nth, forever);
    enum status status = save_visit(&kept, &request, 100);
    int fired = fault_disarm();
    if (status != STATUS_OK)
        has_one_sentence(&kept.error);
    struct error told = kept.error;
    kept_reopen(&kept);
    is_whole(&kept, &there, fault_name(sort), nth);
    bool unknown = strstr(told.sentence, "is not known") != NULL;
    if (status == STATUS_OK && !there)
        fail_msg("%s %d: called saved and lost", fault_name(sort), nth);
    if (status != STATUS_OK && there && !unknown)
        fail_msg("%s %d: called not saved and kept: %s", fault_name(sort), nth, told.sentence);
    /* Saved again under the same request it is there once, whatever happened before. */
    memcpy(kept.records, start->records, sizeof kept.records);
    status = save_visit(&kept, &request, 100);
    assert_int_equal(there ? STATUS_ALREADY : STATUS_OK, status);
    assert_int_equal(3, kept_number(kept.path, "SELECT count(*) FROM visit"));
    kept_close(&kept);
    tally->trials += fired > 0;
    tally->failed_saves += fired > 0 && told.status != STATUS_OK;
    tally->mended += fired > 0 && told.status == STATUS_OK;
    tally->unknown += unknown;
    return fired > 0;
}

/* The first writes are failed once in turn, then some; of the other sorts each beginning, then
 * some, unless SPRINGLINE_EVERY_BYTE asks for all. */
static int next_step(int nth)
{
    return nth < 8 || getenv("SPRINGLINE_EVERY_BYTE") != NULL ? 1 : 13;
}

static void every_file_operation_may_fail(void **state)
{
    struct kept_store start;

    (void)state;
    starting_store(&start, "fault");
    for (int sort = 0; sort < FAULT_SORTS; sort++)
        for (int forever = 0; forever < 2; forever++) {
            struct tally tally = {0};
            int nth = 1;

            while (try_fault(&start, (enum fault_sort)sort, nth, forever != 0, &tally))
                nth += sort == FAULT_WRITE && !forever && nth < 30 ? 1 : next_step(nth);
            print_message(
                "# %s %s: %d trials, %d saves failed, %d saved all the same, %d unknown\n",
                fault_name((enum fault_sort)sort), forever ? "for ever" : "once", tally.trials,
                tally.failed_saves, tally.mended, tally.unknown);
            /* A sort that never fired has tried nothing. */
            if (tally.trials == 0)
                fail_msg("%s never fired", fault_name((enum fault_sort)sort));
        }
    kept_close(&start);
}

static enum status read_content(void *context, const struct draft *draft, struct error *error)
{
    (void)error;
    (void)snprintf(context, 20, "%s", draft->content);
    return STATUS_OK;
}

/* A draft that could not be written leaves the one before it. */
static void a_draft_is_old_or_new(void **state)
{
    struct kept_store start;
    int fired = 1, trials = 0;

    (void)state;
    starting_store(&start, "fault-draft");
    for (int sort = 0; sort < FAULT_SORTS; sort++)
        for (int nth = 1; nth == 1 || fired > 0; nth++) {
            struct kept_store kept = start;
            struct draft draft = {.user = "ane", .form = "visit", .filled = 4, .content = "more"};
            char content[20] = "";

            kept.source.context = &kept;
            kept_path(kept.path, "fault-draft-copy");
            kept_copy(start.path, kept.path);
            assert_int_equal(STATUS_OK,
                             store_open(kept.path, &kept.source, &kept.store, &kept.error));
            draft.casefile = kept.records[RECORD_CASEFILE];
            draft.request = store_new_id(kept.store);
            draft.saved_at = kept.now;
            fault_arm((enum fault_sort)sort, nth, false);
            enum status status = store_put_draft(kept.store, &draft, &kept.error);
            fired = fault_disarm();
            if (status != STATUS_OK)
                has_one_sentence(&kept.error);
            /* The same handle goes on. */
            assert_int_equal(
                STATUS_OK, store_each_draft(kept.store, "ane", read_content, content, &kept.error));
            if (status == STATUS_OK)
                assert_string_equal("more", content);
            else
                assert_true(strcmp(content, "typed") == 0 || strcmp(content, "more") == 0);
            assert_int_equal(STATUS_OK, store_put_draft(kept.store, &draft, &kept.error));
            trials += fired > 0;
            kept_close(&kept);
        }
    assert_true(trials > 20);
    kept_close(&start);
}

/* A limit on file size, as a quota is: SIGXFSZ ignored, the write fails (told as an I/O error). */
static void fill_to_the_limit(struct kept_store *kept, int out)
{
    struct rlimit limit = {0};
    int saved = 0;

    limit.rlim_cur = limit.rlim_max =
        (rlim_t)(kept_number(kept->path, "PRAGMA page_count") * 4096 + 40000);
    (void)signal(SIGXFSZ, SIG_IGN);
    if (setrlimit(RLIMIT_FSIZE, &limit) != 0)
        _exit(2);
    for (int i = 0; i < 2000; i++) {
        struct id request = {{3, (uint8_t)(i & 0xff), (uint8_t)(i >> 8)}};

        if (save_visit(kept, &request, 10 + i * 10) != STATUS_OK)
            break;
        saved++;
    }
    if (write(out, &saved, sizeof saved) != (ssize_t)sizeof saved ||
        write(out, &kept->error, sizeof kept->error) != (ssize_t)sizeof kept->error)
        _exit(3);
    store_close(kept->store);
    _exit(0);
}

static void a_full_disk_loses_nothing(void **state)
{
    struct kept_store kept;
    int ends[2], ended, saved = 0;
    struct error told;

    (void)state;
    starting_store(&kept, "full");
    assert_int_equal(0, pipe(ends));
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        kept.source.context = &kept;
        if (store_open(kept.path, &kept.source, &kept.store, &kept.error) != STATUS_OK)
            _exit(1);
        fill_to_the_limit(&kept, ends[1]);
    }
    assert_int_equal(sizeof saved, read(ends[0], &saved, sizeof saved));
    assert_int_equal(sizeof told, read(ends[0], &told, sizeof told));
    assert_int_equal(child, waitpid(child, &ended, 0));
    assert_int_equal(0, ended);
    (void)close(ends[0]);
    (void)close(ends[1]);
    assert_true(saved >= 1 && saved < 2000);
    assert_int_equal(STATUS_UNUSABLE, told.status);
    has_one_sentence(&told);
    assert_non_null(strstr(told.sentence, "full, at its limit or failing"));
    kept_reopen(&kept);
    assert_int_equal(1 + 2 * saved, kept_number(kept.path, "SELECT count(*) FROM visit"));
    assert_int_equal(1 + 2 * saved, kept_number(kept.path, "SELECT count(*) FROM judged"));
    struct verify_report report;
    assert_int_equal(STATUS_OK, store_verify(kept.store, &report, &kept.error));
    text_release(&report.findings);
    print_message("# %d saves until the limit\n", saved);
    kept_close(&kept);
}

/* A store that can not be made whole leaves no file. */
static void a_failed_creation_leaves_nothing(void **state)
{
    struct kept_store kept;
    int trials = 0;

    (void)state;
    for (int sort = 0; sort < FAULT_READ; sort++)
        for (int nth = 1;; nth += nth < 6 ? 1 : 41) {
            kept_source(&kept, "creation");
            fault_arm((enum fault_sort)sort, nth, true);
            enum status status = store_create(kept.path, &kept.source, &kept.store, &kept.error);
            int fired = fault_disarm();

            if (status != STATUS_OK) {
                has_one_sentence(&kept.error);
                assert_int_not_equal(0, access(kept.path, F_OK));
                trials++;
            } else {
                kept_close(&kept);
            }
            if (fired == 0)
                break;
        }
    assert_true(trials > 20);
}

static int install(void **state)
{
    (void)state;
    fault_install();
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_file_operation_may_fail),
        cmocka_unit_test(a_draft_is_old_or_new),
        cmocka_unit_test(a_full_disk_loses_nothing),
        cmocka_unit_test(a_failed_creation_leaves_nothing),
    };

    return cmocka_run_group_tests(tests, install, NULL);
}
