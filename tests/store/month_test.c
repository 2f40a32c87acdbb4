/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A month is closed, and then everything is done to the store that is done to a living practice.
 * Drawn as of its close it must come out byte for byte as it was signed, and against today's
 * figures exactly what was changed must stand as a difference. What was written is read by SQL on a
 * connection of its own.
 *
 * The cases are typical ones of case_maker, today 2026-06-01, a Monday: visits on 21 March, 14
 * April and 8 May, a diary of 24 days met of 24 between the last two.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kept_store.h"
#include "month_office.h"
#include "springline/app/secret.h"
#include "springline/store/erase.h"

/* Drawn as of the close it is what was signed: by what month_redraw says, by the sheet in the store
 * read with SQL, and whatever day the program takes for today. */
static void comes_out_as_signed(struct office *office, const char *after)
{
    static const int days[] = {0, 1, 400, -10};
    static char stored[SHEET_MOST];
    day today = office->kept.app.today;

    for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
        struct arena arena = {0};
        struct audit_list list;
        enum month_truth truth = MONTH_OTHER;
        struct month_closed closed = office_find_may(office);

        office->kept.app.today = today + days[i];
        office_good(office, month_redraw(&office->kept.app, &closed, &arena, &list, &truth,
                                         &office->error));
        if (truth != MONTH_AS_SIGNED)
            fail_msg("not as it was signed after %s", after);
        assert_ptr_equal(list.closed, &closed);
        arena_release(&arena);
    }
    office->kept.app.today = today;
    kept_text(office->kept.path, "SELECT sheet FROM month_close", stored, sizeof stored);
    assert_string_equal(stored, office->sheet);
}

/* One difference, as it is told. */
static void differs(const struct month_changes *changes, const char *told)
{
    for (size_t i = 0; i < changes->count; i++) {
        struct text text = {0};

        month_add_change(&text, &changes->rows[i]);
        bool same = strcmp(text_string(&text), told) == 0;
        text_release(&text);
        if (same)
            return;
    }
    for (size_t i = 0; i < changes->count; i++)
        print_error("%s %s %s -> %s\n", changes->rows[i].number, changes->rows[i].figure,
                    changes->rows[i].closed, changes->rows[i].now);
    fail_msg("no such difference: %s", told);
}

/* How many differences a case has ("": the month as a whole). */
static int count_of(const struct month_changes *changes, const char *number)
{
    int count = 0;

    for (size_t i = 0; i < changes->count; i++)
        count += strcmp(changes->rows[i].number, number) == 0;
    return count;
}

static void read_changes(struct office *office, struct month_changes *changes)
{
    struct month_closed closed = office_find_may(office);

    office_good(office,
                month_changes(&office->kept.app, &closed, &office->arena, changes, &office->error));
}

/* Names and notes of the patient of a case go; what an app would ask before is not asked here. */
static void erase_patient_of(struct office *office, int number)
{
    struct app beside = office->kept.app;
    struct store_erased erased;
    struct app_save save;
    struct id patient, casefile;
    char name[16], sql[160], text[ID_TEXT_SIZE];

    (void)snprintf(name, sizeof name, "C-%04d", number);
    (void)snprintf(sql, sizeof sql,
                   "SELECT lower(hex(patient)) FROM casefile_current WHERE \"case\" = '%s'", name);
    kept_text(office->kept.path, sql, text, sizeof text);
    assert_true(id_from_text(text, &patient));
    office_good(office, store_find_case(office->kept.app.store, name, STORE_NOW, &casefile,
                                        &office->error));
    office_good(office, store_open_erasing(office->kept.app.store, &beside.store, &office->error));
    struct store_request request = {.id = store_new_id(beside.store), .command = "erase"};
    office_good(office, app_save_begin(&beside, COMMAND_ERASE, &request, &save, &office->error));
    office_good(office, store_erase_patient(beside.store, &patient, "asked for in writing", &erased,
                                            &office->error));
    office_good(office, app_save_touch(&save, &casefile, &office->error));
    office_good(office, app_save_commit(&save, &office->error));
    store_close(beside.store);
    assert_true(erased.values > 0);
}

static void what_came_later_is_a_difference_and_nothing_else(void **state)
{
    static struct office office;
    struct month_changes changes;
    struct text text = {0};

    (void)state;
    office_open(&office, "month_later", 6);
    office_close_may(&office);
    comes_out_as_signed(&office, "closing");
    read_changes(&office, &changes);
    assert_int_equal(changes.count, 0);
    month_add_changed(&text, &changes);
    assert_string_equal(text_string(&text), "nothing changed since the close");

    office_correct_visit(&office, 1, 2500);
    comes_out_as_signed(&office, "a correction");
    office_withdraw_visit(&office, 2);
    comes_out_as_signed(&office, "a withdrawal");
    office_import_visit(&office, 3);
    comes_out_as_signed(&office, "a late import");
    office_import_wear(&office, 4);
    comes_out_as_signed(&office, "a count of wear");
    office_rename_patient(&office, 5);
    comes_out_as_signed(&office, "a new name");
    office_change_settings(&office, 5, 800, 200);
    comes_out_as_signed(&office, "another setting");
    office_measure_twice(&office, 5);
    comes_out_as_signed(&office, "another error of a width");
    office_undo_import(&office, 6);
    comes_out_as_signed(&office, "a case taken back");
    erase_patient_of(&office, 1);
    comes_out_as_signed(&office, "an erasure");
    office_add_case(&office, 7);
    comes_out_as_signed(&office, "a case that came later");

    read_changes(&office, &changes);
    text_clear(&text);
    month_add_changed(&text, &changes);
    assert_string_equal(text_string(&text), "since the close 6 cases changed");
    text_release(&text);
    /* 2.50 mm a side where 2.00, the largest step, was permitted. */
    differs(&changes, "C-0001  overrides: closed 0, now 1");
    differs(&changes, "C-0001  above_permitted: closed none, now 2026-05-08 upper 2.50/2.50 of "
                      "2.00/2.00 recomputed");
    assert_int_equal(count_of(&changes, "C-0001"), 2);
    differs(&changes, "C-0002  group: closed meeting, now not-seen");
    differs(&changes, "C-0002  visits: closed 1, now 0");
    differs(&changes, "C-0002  days_met: closed 24, now 0");
    assert_int_equal(count_of(&changes, "C-0002"), 14);
    differs(&changes, "C-0003  visits: closed 1, now 2");
    differs(&changes, "C-0003  days_known: closed 24, now 36");
    assert_int_equal(count_of(&changes, "C-0003"), 9);
    differs(&changes, "C-0004  group: closed meeting, now below");
    differs(&changes, "C-0004  source: closed diary, now sensor");
    differs(&changes, "C-0004  adherence: closed 1.0000, now 0.5000");
    assert_int_equal(count_of(&changes, "C-0004"), 11);
    assert_int_equal(count_of(&changes, "C-0005"), 0);
    differs(&changes, "C-0006  accounted for then, is not now");
    assert_int_equal(count_of(&changes, "C-0006"), 1);
    differs(&changes, "C-0007  not accounted for then, is now");
    assert_int_equal(count_of(&changes, "C-0007"), 1);
    differs(&changes, "the month  below: closed 0, now 1");
    differs(&changes, "the month  not_seen: closed 0, now 1");
    differs(&changes, "the month  meeting: closed 6, now 4");
    differs(&changes, "the month  overrides: closed 0, now 1");
    differs(&changes, "the month  setting retention_days: closed 180, now 200");
    differs(&changes, "the month  setting width_error_mm: closed 0.30, now 0.21");
    office_sound(&office, "closed months: 1, every one as it was signed\n");
    office_close(&office);
}

/* The minimum of another day judges no month that was signed under this one. */
static void another_minimum_changes_every_case_but_not_the_close(void **state)
{
    static struct office office;
    struct month_changes changes;

    (void)state;
    office_open(&office, "month_minimum", 2);
    office_close_may(&office);
    office_change_settings(&office, 1, 1000, 180);
    comes_out_as_signed(&office, "another minimum");
    read_changes(&office, &changes);
    assert_int_equal(changes.cases, 2);
    differs(&changes, "C-0001  wear_full: closed 800, now 1000");
    differs(&changes, "C-0002  wear_full: closed 800, now 1000");
    differs(&changes, "the month  setting wear_full: closed 800, now 1000");
    assert_int_equal(changes.count, 3); /* 24 of 24 days meet any minimum */
    office_close(&office);
}

/* ---- what is recorded ---- */

static void one_save_holds_the_month_and_its_signature(void **state)
{
    static struct office office;
    char found[128], wanted[128];

    (void)state;
    office_open(&office, "month_record", 3);
    int64_t head = office_number(&office, "SELECT max(sequence) FROM ledger");
    office_close_may(&office);
    assert_int_equal(office_number(&office, "SELECT count(*) FROM month_close"), 1);
    assert_int_equal(office_number(&office, "SELECT newest_row FROM month_close"), head);
    assert_int_equal(office_number(&office, "SELECT max(sequence) FROM ledger"), head + 3);
    kept_text(office.kept.path,
              "SELECT month || ' ' || through || ' ' || cases || ' ' || unsigned_visits || ' ' || "
              "rules_version FROM month_close",
              found, sizeof found);
    snprintf(wanted, sizeof wanted, "2026-05 2026-05-31 3 0 %d", (int)RULES_VERSION);
    assert_string_equal(found, wanted);
    assert_int_equal(office_number(&office, "SELECT count(*) FROM month_close, ledger WHERE "
                                            "ledger.sequence = newest_row AND "
                                            "lower(hex(ledger.hash)) = month_close.hash"),
                     1);
    /* The signature is of that very row, of the same save, and says who, as what, proved how. */
    kept_text(office.kept.path,
              "SELECT sign.name || ' ' || meaning || ' ' || proof FROM signature AS sign, "
              "month_close, ledger WHERE sign.row = lower(hex(month_close.id)) AND "
              "ledger.sequence = month_close.sequence AND sign.row_hash = lower(hex(ledger.hash)) "
              "AND sign.kind = 'month_close' AND sign.request = month_close.request",
              found, sizeof found);
    assert_string_equal(found, "tester month-closed alone");
    assert_null(strstr(office.sheet, office.maker.patient.family));
    assert_null(strstr(office.sheet, office.maker.patient.given));
    office_close(&office);
}

/* A visit recorded here waits for its signature, and so does a withdrawal; what came with an import
 * does not (store/signature.h). */
static void what_waits_for_a_signature_is_counted(void **state)
{
    static struct office office;
    struct month_review review;

    (void)state;
    office_open(&office, "month_unsigned", 2);
    office_good(&office, month_review(&office.kept.app, MAY, &review, &office.error));
    assert_int_equal(review.unsigned_visits, 0);
    month_review_release(&review);
    office_correct_visit(&office, 1, 500);
    office_withdraw_visit(&office, 2);
    office_good(&office, month_review(&office.kept.app, MAY, &review, &office.error));
    assert_int_equal(review.unsigned_visits, 2);
    month_review_release(&review);
    office_close_may(&office);
    assert_int_equal(office_number(&office, "SELECT unsigned_visits FROM month_close"), 2);
    office_close(&office);
}

/* ---- what is refused ---- */

static void a_month_is_closed_once_when_it_is_over(void **state)
{
    static struct office office;

    (void)state;
    office_open(&office, "month_refused", 1);
    assert_int_equal(office_try_review(&office, JUNE), STATUS_INPUT); /* begins today */
    assert_non_null(strstr(office.error.sentence, "2026-06 has not ended yet"));
    office.kept.app.today = JUNE - 1;
    assert_int_equal(office_try_review(&office, MAY), STATUS_INPUT); /* its last day */
    assert_non_null(strstr(office.error.sentence, "2026-05 has not ended yet"));
    office.kept.app.today = JUNE;
    assert_int_equal(office_try_review(&office, day_of(2024, 1, 1)), STATUS_INPUT);
    assert_non_null(strstr(office.error.sentence, "No case is accounted for in 2024-01"));
    assert_int_equal(office_number(&office, "SELECT count(*) FROM month_close"), 0);
    office_close_may(&office);
    assert_int_equal(office_try_review(&office, MAY), STATUS_INPUT);
    assert_non_null(
        strstr(office.error.sentence, "2026-05 is closed 2026-06-01 by tester already"));
    assert_int_equal(office_number(&office, "SELECT count(*) FROM month_close"), 1);
    office_close(&office);
}

static void only_an_orthodontist_closes_and_a_refusal_is_logged(void **state)
{
    static struct office office;
    struct month_review review;

    (void)state;
    office_open(&office, "month_role", 1);
    office_good(&office, month_review(&office.kept.app, MAY, &review, &office.error));
    office_add_person(&office, "pia", ROLE_ASSISTANT);
    office.kept.app.user = "pia";
    assert_int_equal(office_try_review(&office, MAY), STATUS_REFUSED);
    assert_non_null(strstr(office.error.sentence, "this is for an orthodontist to do"));
    assert_int_equal(office_number(&office,
                                   "SELECT count(*) FROM access WHERE what = 'refused' AND "
                                   "command = 'close-month' AND subject = '2026-05' AND "
                                   "login = 'pia'"),
                     1);
    /* Nor with a review that another drew. */
    assert_int_equal(month_close(&office.kept.app, &review, "1234", &office.error), STATUS_REFUSED);
    assert_int_equal(office_number(&office, "SELECT count(*) FROM access WHERE what = 'refused'"),
                     2);
    assert_int_equal(office_number(&office, "SELECT count(*) FROM month_close"), 0);
    month_review_release(&review);
    office_close(&office);
}

/* Two people work here: the orthodontist must prove to be it. */
static void nobody_signs_without_proof(void **state)
{
    const struct secret_change change = {.passphrase = "seven herons over the weir",
                                         .pin = "83057162"};
    static struct office office;
    struct month_review review;
    struct app *app = &office.kept.app;

    (void)state;
    office_open(&office, "month_proof", 1);
    office_add_person(&office, "pia", ROLE_ASSISTANT);
    app->user = "founder";
    office_good(&office, month_review(app, MAY, &review, &office.error));
    assert_int_equal(month_close(app, &review, "83057162", &office.error), STATUS_REFUSED);
    app->by_login = true; /* the login of the machine: a first secret may be set */
    app->signed_in_at = office.kept.now;
    office_good(&office, secret_change(app, &change, &office.error));
    assert_int_equal(month_close(app, &review, "83057163", &office.error), STATUS_REFUSED);
    assert_int_equal(month_close(app, &review, "", &office.error), STATUS_REFUSED);
    assert_int_equal(office_number(&office, "SELECT count(*) FROM month_close"), 0);
    assert_int_equal(office_number(&office, "SELECT count(*) FROM signature"), 0);
    /* What failed is in the log, and so in the ledger: the figures are the same all the same. */
    office_good(&office, month_close(app, &review, "83057162", &office.error));
    assert_int_equal(office_number(&office, "SELECT count(*) FROM signature WHERE proof = 'pin'"),
                     1);
    office_sound(&office, "closed months: 1, every one as it was signed\n");
    month_review_release(&review);
    office_close(&office);
}

static void a_store_that_is_not_sound_is_not_signed(void **state)
{
    static struct office office;

    (void)state;
    office_open(&office, "month_unsound", 1);
    assert_int_equal(kept_raw(office.kept.path, true, "UPDATE wear_day SET day_minutes = 10"), 0);
    assert_int_equal(office_try_review(&office, MAY), STATUS_DAMAGED);
    assert_int_equal(office_number(&office, "SELECT count(*) FROM month_close"), 0);
    office_close(&office);
}

/* ---- others save ---- */

static void what_is_signed_is_what_was_read(void **state)
{
    static struct office office;
    struct month_review review;
    int64_t head;

    (void)state;
    office_open(&office, "month_between", 3);
    office_good(&office, month_review(&office.kept.app, MAY, &review, &office.error));
    office_import_wear(&office, 2); /* another seat */
    assert_int_equal(month_close(&office.kept.app, &review, "", &office.error), STATUS_CONFLICT);
    assert_int_equal(office_number(&office, "SELECT count(*) FROM month_close"), 0);
    assert_int_equal(review.totals.below, 1); /* the new figures are the review now */
    /* A row that changes no figure of the month is no reason to read again. */
    office_rename_patient(&office, 1);
    head = office_number(&office, "SELECT max(sequence) FROM ledger");
    office_good(&office, month_close(&office.kept.app, &review, "", &office.error));
    assert_int_equal(office_number(&office, "SELECT newest_row FROM month_close"), head);
    assert_int_equal(office_number(&office,
                                   "SELECT count(*) FROM ledger, month_close WHERE "
                                   "ledger.sequence = newest_row + 1 AND kind = 'request'"),
                     1);
    /* The same review once more is the same save. */
    assert_int_equal(month_close(&office.kept.app, &review, "", &office.error), STATUS_ALREADY);
    assert_int_equal(office_number(&office, "SELECT count(*) FROM month_close"), 1);
    office_sound(&office, "closed months: 1, every one as it was signed\n");
    month_review_release(&review);
    office_close(&office);
}

static void two_reviews_close_it_once(void **state)
{
    static struct office office;
    struct month_review first, second;

    (void)state;
    office_open(&office, "month_twice", 1);
    office_good(&office, month_review(&office.kept.app, MAY, &first, &office.error));
    office_good(&office, month_review(&office.kept.app, MAY, &second, &office.error));
    office_good(&office, month_close(&office.kept.app, &first, "", &office.error));
    assert_int_equal(month_close(&office.kept.app, &second, "", &office.error), STATUS_INPUT);
    assert_non_null(strstr(office.error.sentence, "this month is closed already"));
    assert_int_equal(office_number(&office, "SELECT count(*) FROM month_close"), 1);
    assert_int_equal(office_number(&office, "SELECT count(*) FROM signature"), 1);
    office_sound(&office, "closed months: 1, every one as it was signed\n");
    month_review_release(&first);
    month_review_release(&second);
    office_close(&office);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_came_later_is_a_difference_and_nothing_else),
        cmocka_unit_test(another_minimum_changes_every_case_but_not_the_close),
        cmocka_unit_test(one_save_holds_the_month_and_its_signature),
        cmocka_unit_test(what_waits_for_a_signature_is_counted),
        cmocka_unit_test(a_month_is_closed_once_when_it_is_over),
        cmocka_unit_test(only_an_orthodontist_closes_and_a_refusal_is_logged),
        cmocka_unit_test(nobody_signs_without_proof),
        cmocka_unit_test(a_store_that_is_not_sound_is_not_signed),
        cmocka_unit_test(what_is_signed_is_what_was_read),
        cmocka_unit_test(two_reviews_close_it_once),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
