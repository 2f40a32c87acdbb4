/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Closing a month while memory runs out or the disk fails: whichever allocation or operation it is,
 * afterwards the month is closed whole, with its signature, or not at all, and the store is sound;
 * asked again with the same review it is closed once. Reviewing changes nothing.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "fault_vfs.h"
#include "kept_store.h"
#include "memory_fault.h"
#include "month_office.h"

enum { TRIALS_MOST = 10000000 };

struct trial {
    struct office office;
    char origin[300]; /* the store as it is before a trial */
    long trials, refused;
};

static struct trial trial;

static void begin(const char *name)
{
    struct office *office = &trial.office;

    office_open(office, name, 1);
    store_close(office->kept.app.store);
    trial.trials = trial.refused = 0;
    snprintf(trial.origin, sizeof trial.origin, "%s.origin", office->kept.path);
    kept_copy(office->kept.path, trial.origin);
}

/* A fresh copy, opened, and the review drawn. */
static void start(struct month_review *review)
{
    struct office *office = &trial.office;
    struct app *app = &office->kept.app;

    kept_copy(trial.origin, office->kept.path);
    office_good(office,
                store_open(office->kept.path, &office->kept.source, &app->store, &office->error));
    office_good(office, month_review(app, MAY, review, &office->error));
}

static int64_t closed(void)
{
    return office_number(&trial.office, "SELECT count(*) FROM month_close");
}

static void open_again(void)
{
    struct office *office = &trial.office;
    struct app *app = &office->kept.app;

    store_close(app->store);
    office_good(office,
                store_open(office->kept.path, &office->kept.source, &app->store, &office->error));
}

/* Whole or not at all, by SQL on a connection of its own. */
static void count(enum status status)
{
    trial.trials++;
    trial.refused += status != STATUS_OK;
    assert_int_equal(closed(), office_number(&trial.office, "SELECT count(*) FROM signature"));
    assert_true(status != STATUS_OK || closed() == 1);
}

/* Tried again with the same review it is closed once, and the store is sound. */
static void settle(struct month_review *review)
{
    struct office *office = &trial.office;

    open_again();
    memset(&office->error, 0, sizeof office->error);
    enum status status = month_close(&office->kept.app, review, "", &office->error);
    if (status != STATUS_OK && status != STATUS_ALREADY)
        fail_msg("tried again: status %d: %s", (int)status, office->error.sentence);
    assert_int_equal(closed(), 1);
    office_sound(office, "closed months: 1, every one as it was signed\n");
    store_close(office->kept.app.store);
    month_review_release(review);
}

static void end(const char *what)
{
    print_message("# figure: %s: %ld trials, %ld refused\n", what, trial.trials, trial.refused);
    assert_true(trial.refused > 0);
    assert_int_equal(unlink(trial.origin), 0);
    arena_release(&trial.office.arena);
    unlink(trial.office.kept.path);
}

/* The first ones in turn, then at growing distances, unless SPRINGLINE_EVERY_BYTE asks for all. */
static long next(long nth)
{
    return nth < 20 || getenv("SPRINGLINE_EVERY_BYTE") != NULL ? 1 : 1 + nth / 10;
}

static void closing_short_of_memory(void **state)
{
    (void)state;
    begin("month_memory");
    for (int forever = 0; forever <= 1; forever++) {
        struct month_review review;
        long failed = 1;

        start(&review);
        for (long nth = 1; failed > 0 && nth < TRIALS_MOST; nth += next(nth)) {
            struct error error = {0};

            memory_arm(nth, forever == 1);
            enum status status = month_close(&trial.office.kept.app, &review, "", &error);
            failed = memory_disarm();
            if (status != STATUS_OK && status != STATUS_NO_MEMORY && status != STATUS_UNUSABLE)
                fail_msg("allocation %ld: status %d: %s", nth, (int)status, error.sentence);
            count(status);
            if (failed > 0 && closed() == 1) { /* a commit that failed may have been one */
                settle(&review);
                start(&review);
            }
        }
        assert_int_equal(failed, 0);
        settle(&review);
    }
    end("closing short of memory");
}

/* Each of the first allocations, later ones at growing distances: most are of the verification, of
 * which each is tried in memory_verify_test.c. */
static void reviewing_short_of_memory(void **state)
{
    long failed = 1;

    (void)state;
    begin("month_memory_review");
    trial.office.kept.app.store = NULL;
    open_again();
    for (long nth = 1; failed > 0 && nth < TRIALS_MOST; nth += 1 + nth / 10) {
        struct month_review review;
        struct error error = {0};

        memory_arm(nth, false);
        enum status status = month_review(&trial.office.kept.app, MAY, &review, &error);
        failed = memory_disarm();
        trial.trials++;
        trial.refused += status != STATUS_OK;
        if (status != STATUS_OK && status != STATUS_NO_MEMORY)
            fail_msg("allocation %ld: status %d: %s", nth, (int)status, error.sentence);
        assert_true(status == STATUS_OK || review.sheet.length == 0);
        month_review_release(&review);
    }
    store_close(trial.office.kept.app.store);
    assert_int_equal(failed, 0);
    end("reviewing short of memory");
}

static void closing_on_a_failing_disk(void **state)
{
    (void)state;
    begin("month_disk");
    for (int sort = 0; sort < FAULT_SORTS; sort++) {
        for (int forever = 0; forever <= 1; forever++) {
            struct month_review review;
            int failed = 1;

            start(&review);
            for (int nth = 1; failed > 0 && nth < TRIALS_MOST; nth += (int)next(nth)) {
                struct error error = {0};

                fault_arm((enum fault_sort)sort, nth, forever == 1);
                enum status status = month_close(&trial.office.kept.app, &review, "", &error);
                failed = fault_disarm();
                count(status);
                if (failed > 0 && closed() == 1) {
                    settle(&review);
                    start(&review);
                } else if (failed > 0) {
                    open_again();
                }
            }
            assert_int_equal(failed, 0);
            settle(&review);
        }
    }
    end("closing on a failing disk");
}

static int install(void **state)
{
    fault_install();
    return memory_install(state);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(closing_short_of_memory),
        cmocka_unit_test(reviewing_short_of_memory),
        cmocka_unit_test(closing_on_a_failing_disk),
    };

    return cmocka_run_group_tests(tests, install, NULL);
}
