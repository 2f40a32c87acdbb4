/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A store while memory runs out: an action is tried once for each allocation that may fail. Like
 * memory_fault.h it is included by one file of a test program.
 */
#ifndef SPRINGLINE_TESTS_MEMORY_TRIAL_H
#define SPRINGLINE_TESTS_MEMORY_TRIAL_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kept_store.h"
#include "memory_fault.h"

/* The texts of the rows are made before anything fails: the test's own memory must not. */
struct prepared {
    union any_row visit, patient, width;
    struct case_state derived;
    struct draft draft;
};

static void prepare(struct kept_store *kept, struct prepared *rows, int seed)
{
    memset(rows, 0, sizeof *rows);
    kept_fill(kept, RECORD_VISIT, seed, &rows->visit);
    kept_fill(kept, RECORD_PATIENT, seed, &rows->patient);
    kept_fill(kept, RECORD_WIDTH, seed, &rows->width);
    kept_state(kept, "C-0001", &rows->derived);
    rows->draft = (struct draft){
        .user = "ane", .form = "visit", .filled = 1, .content = "x", .saved_at = kept->now};
    rows->draft.request.bytes[0] = 1;
}

static void is_sound(struct kept_store *kept)
{
    struct verify_report report;
    enum status status = store_verify(kept->store, &report, &kept->error);

    if (status != STATUS_OK)
        fail_msg("%s\n%s", kept->error.sentence, text_string(&report.findings));
    text_release(&report.findings);
}

typedef enum status (*action)(struct kept_store *kept, struct prepared *rows);

/* The next allocation to fail: the first ones in turn, then some. */
static long next_step(long nth)
{
    if (getenv("SPRINGLINE_EVERY_BYTE") != NULL || nth < 40)
        return 1;
    return nth < 400 ? 23 : 191;
}

/* stride: of an action with very many allocations only so few in turn fail. */
static void try_action(const char *name, action act, bool forever, int stride)
{
    struct kept_store kept;
    struct prepared rows;
    long trials = 0, refused = 0;

    kept_open(&kept, "memory");
    kept_fill_all(&kept, 1);
    for (long nth = 1;; nth += next_step(nth) * stride) {
        prepare(&kept, &rows, 10 + (int)trials);
        memset(&kept.error, 0, sizeof kept.error);
        memory_arm(nth, forever);
        enum status status = act(&kept, &rows);
        long failed = memory_disarm();
        /* A connection that could not be renewed is closed, and says so. */
        if (status != STATUS_OK && status != STATUS_NO_MEMORY && status != STATUS_UNUSABLE)
            fail_msg("%s, allocation %ld: %d %s", name, nth, (int)status, kept.error.sentence);
        if (status != STATUS_OK)
            assert_true(strlen(kept.error.sentence) > 10);
        refused += status != STATUS_OK;
        if (failed == 0)
            break;
        trials++;
        if (trials % 16 == 1) {
            kept_reopen(&kept);
            is_sound(&kept);
        } else if (status == STATUS_UNUSABLE || kept.store == NULL) {
            kept_reopen(&kept);
        }
    }
    kept_reopen(&kept);
    is_sound(&kept);
    /* What was saved is all there: each save that went through brought one visit. */
    print_message("# %s %s: %ld trials, %ld refused\n", name, forever ? "for ever" : "once", trials,
                  refused);
    assert_true(trials > 20);
    assert_true(refused > 10);
    kept_close(&kept);
}

#endif
