/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the tests of an erasure share: two families in a kept store, and an erasure of one. */
#ifndef SPRINGLINE_TESTS_ERASE_TRIAL_H
#define SPRINGLINE_TESTS_ERASE_TRIAL_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "../../src/store/handle.h"
#include "kept_store.h"
#include "springline/store/erase.h"
#include "springline/store/subject.h"

static inline void begin_erasing(struct kept_store *kept, struct store **erasing)
{
    struct store_request request;

    assert_int_equal(STATUS_OK, store_open_erasing(kept->store, erasing, &kept->error));
    request = (struct store_request){.id = store_new_id(*erasing), .command = "erase"};
    assert_int_equal(STATUS_OK, store_begin(*erasing, &request, &kept->error));
}

static inline void is_sound(struct kept_store *kept)
{
    struct verify_report report;

    if (store_verify(kept->store, &report, &kept->error) != STATUS_OK)
        fail_msg("%s", text_string(&report.findings));
    text_release(&report.findings);
}

/* A patient in two versions with a case, corrected, withdrawn and planned; and somebody else. */
struct family {
    struct id patient, casefile, other;
};

static inline void two_families(struct kept_store *kept, struct family *family)
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

static inline void put_draft(struct kept_store *kept, const struct id *casefile, const char *user)
{
    struct draft draft = {.user = user, .form = "visit", .filled = 1, .content = "typed"};

    draft.casefile = *casefile;
    draft.request = store_new_id(kept->store);
    draft.saved_at = kept->now;
    assert_int_equal(STATUS_OK, store_put_draft(kept->store, &draft, &kept->error));
}

#endif
