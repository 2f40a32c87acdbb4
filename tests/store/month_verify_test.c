/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Closed months that are not what was signed, each found by verify and by drawing; and the reminder
 * of one that is not closed. The store is changed by SQL on a connection of its own, the ledger
 * left aside: what a chain hashed anew would hide.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>
#include <sodium.h>

#include "kept_store.h"
#include "month_office.h"

/* ---- tampering ---- */

/* What month_verify finds, the chain left aside. */
static void found(struct office *office, const char *line)
{
    struct text out = {0};

    memset(&office->error, 0, sizeof office->error);
    assert_int_equal(month_verify(&office->kept.app, &out, &office->error), STATUS_DAMAGED);
    if (strstr(text_string(&out), line) == NULL)
        fail_msg("\"%s\" is not in: %s", line, text_string(&out));
    text_release(&out);
}

static enum status redraw(struct office *office, enum month_truth *truth)
{
    struct arena arena = {0};
    struct audit_list list;
    struct month_closed closed = office_find_may(office);

    memset(&office->error, 0, sizeof office->error);
    enum status status =
        month_redraw(&office->kept.app, &closed, &arena, &list, truth, &office->error);
    assert_true(status == STATUS_OK || list.count == 0);
    arena_release(&arena);
    return status;
}

static void tamper(struct office *office, const char *sql)
{
    store_close(office->kept.app.store);
    assert_int_equal(kept_raw(office->kept.path, true, sql), 0);
    office_good(office, store_open(office->kept.path, &office->kept.source, &office->kept.app.store,
                                   &office->error));
}

/* As libsodium spells BLAKE2b-256 (RFC 7693). */
static const char *digest_of(const char *text, char digest[65])
{
    unsigned char hash[32];

    assert_int_equal(
        crypto_generichash(hash, sizeof hash, (const unsigned char *)text, strlen(text), NULL, 0),
        0);
    return sodium_bin2hex(digest, 65, hash, sizeof hash);
}

/* One byte of the sheet; then, by someone who knows more, its digest too; then the figure beneath
 * it, so that the sheet is right and the month is not. */
static void a_changed_sheet_is_found(void **state)
{
    static struct office office;
    enum month_truth truth = MONTH_AS_SIGNED;
    static char changed[SHEET_MOST];
    char sql[256], digest[65];

    (void)state;
    office_open(&office, "month_tamper", 2);
    office_close_may(&office);
    tamper(&office, "UPDATE month_close SET sheet = replace(sheet, 'C-0001,meeting', "
                    "'C-0001,unknown')");
    found(&office, "closed month 2026-05: The closed month 2026-05: its sheet does not have the "
                   "digest it was signed with");
    assert_int_equal(redraw(&office, &truth), STATUS_DAMAGED);
    assert_non_null(strstr(office.error.sentence, "today's figures can still be drawn"));

    kept_text(office.kept.path, "SELECT sheet FROM month_close", changed, sizeof changed);
    snprintf(sql, sizeof sql, "UPDATE month_close SET digest = '%s'", digest_of(changed, digest));
    tamper(&office, sql);
    found(&office, "drawn as of its close it does not come out as it was signed");
    assert_int_equal(redraw(&office, &truth), STATUS_OK);
    assert_int_equal(truth, MONTH_OTHER);
    office_close(&office);
}

static void a_changed_record_beneath_it_is_found(void **state)
{
    static struct office office;

    (void)state;
    office_open(&office, "month_beneath", 2);
    office_close_may(&office);
    tamper(&office, "UPDATE visit SET right_um = 2500, left_um = 2500 WHERE date = '2026-05-08'");
    found(&office, "drawn as of its close it does not come out as it was signed");
    office_close(&office);
}

static void another_place_or_signature_is_found(void **state)
{
    static struct office office;

    (void)state;
    office_open(&office, "month_place", 1);
    office_close_may(&office);
    tamper(&office, "UPDATE month_close SET newest_row = newest_row - 1");
    found(&office, "the ledger's row it was drawn as of has another hash now");
    tamper(&office, "UPDATE month_close SET newest_row = 100000");
    found(&office, "the ledger does not reach the row it was drawn as of");
    tamper(&office, "UPDATE signature SET row_hash = '"
                    "0000000000000000000000000000000000000000000000000000000000000000'");
    found(&office, "its signature is of another row");
    tamper(&office, "UPDATE signature SET meaning = 'corrected'");
    found(&office, "it was signed as something else");
    tamper(&office, "DELETE FROM signature");
    found(&office, "nobody's signature stands under it");
    office_close(&office);
}

/* Signed under other rules: told, and no damage. */
static void other_rules_are_information(void **state)
{
    static struct office office;
    enum month_truth truth = MONTH_AS_SIGNED;
    struct text out = {0};

    (void)state;
    office_open(&office, "month_rules", 1);
    office_close_may(&office);
    tamper(&office, "UPDATE month_close SET rules_version = rules_version + 1");
    office_good(&office, month_verify(&office.kept.app, &out,
                                      &office.error)); /* the figures are the same all the same */
    assert_non_null(strstr(text_string(&out), "closed months: 1, every one as it was signed"));
    text_clear(&out);
    tamper(&office, "UPDATE visit SET right_um = 2500, left_um = 2500 WHERE date = '2026-05-08'");
    office_good(&office, month_verify(&office.kept.app, &out, &office.error));
    assert_non_null(strstr(text_string(&out), "some figures come out otherwise (information)"));
    assert_int_equal(redraw(&office, &truth), STATUS_OK);
    assert_int_equal(truth, MONTH_OTHER_RULES);
    text_release(&out);
    office_close(&office);
}

/* ---- a month that is not closed ---- */

static void chased(struct office *office, day today, const char *wanted)
{
    struct text out = {0};

    office->kept.app.today = today;
    office_good(office, app_know_person(&office->kept.app, &office->error));
    office_good(office, month_chase(&office->kept.app, &out, &office->error));
    assert_string_equal(text_string(&out), wanted);
    text_release(&out);
}

/* Weekdays by the calendar: 1 June 2026 is a Monday, 1 August a Saturday, 1 November a Sunday. */
static void a_month_left_open_is_chased_from_the_first_working_day(void **state)
{
    static struct office office;

    (void)state;
    office_open(&office, "month_chase", 0);
    chased(&office, JUNE, ""); /* no case */
    office_add_case(&office, 1);
    chased(&office, JUNE, "May 2026 is not closed");
    chased(&office, day_of(2026, 6, 30), "May 2026 is not closed");
    chased(&office, day_of(2026, 8, 1), "");
    chased(&office, day_of(2026, 8, 2), "");
    chased(&office, day_of(2026, 8, 3), "July 2026 is not closed");
    chased(&office, day_of(2026, 11, 1), "");
    chased(&office, day_of(2026, 11, 2), "October 2026 is not closed");
    /* Its trainer came 200 days before 1 June: no case of October 2025. */
    chased(&office, day_of(2025, 11, 3), "");
    chased(&office, day_of(2025, 12, 1), "November 2025 is not closed");
    office.kept.app.today = JUNE;
    office_close_may(&office);
    chased(&office, JUNE, "");
    chased(&office, day_of(2026, 7, 1), "June 2026 is not closed");
    office_add_person(&office, "pia", ROLE_ASSISTANT);
    office.kept.app.user = "pia";
    chased(&office, day_of(2026, 7, 1), "");
    office_close(&office);
}

/* The reminder's question in SQL must be answered as the audit itself answers it. */
static void the_reminder_and_the_audit_agree(void **state)
{
    static struct office office;
    struct app_save save;
    struct history history;

    (void)state;
    office_open(&office, "month_agree", 1);
    for (int closed = 0; closed <= 1; closed++) {
        for (day month = day_of(2025, 9, 1); month <= MAY; month = day_month_start(month, 1)) {
            struct audit_list list;
            bool has = false;
            day last = day_month_start(month, 1) - 1;

            arena_clear(&office.arena);
            office_good(&office, lists_audit_on(&office.kept.app, month, last + 1, STORE_NOW,
                                                &office.arena, &list, &office.error));
            office_good(&office,
                        store_month_has_cases(office.kept.app.store, last, &has, &office.error));
            assert_int_equal(has, list.count > 0);
        }
        if (closed == 1)
            break;
        office_history(&office, 1, &history);
        struct casefile file = *history.casefile;
        file.closed_on = day_of(2026, 3, 31);
        file.closed_reason = CLOSED_FINISHED;
        office_begin(&office, 1, false, &save);
        office_good(&office,
                    store_append(office.kept.app.store, RECORD_CASEFILE, &file, &office.error));
        office_good(&office, app_save_commit(&save, &office.error));
    }
    office_close(&office);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_changed_sheet_is_found),
        cmocka_unit_test(a_changed_record_beneath_it_is_found),
        cmocka_unit_test(another_place_or_signature_is_found),
        cmocka_unit_test(other_rules_are_information),
        cmocka_unit_test(a_month_left_open_is_chased_from_the_first_working_day),
        cmocka_unit_test(the_reminder_and_the_audit_agree),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
