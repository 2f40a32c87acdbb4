/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Taking an import back (interchange.md): one withdrawal per row in one save, refused where
 * something later stands on a row, the keys free again; the states, the settings and the verdicts
 * that rested on it follow. What is recorded of it is read by SQL on a connection of its own.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kept_store.h"
#include "springline/app/keep.h"
#include "springline/app/visit.h"
#include "store_case.h"

static struct error error;

static void good(enum status status)
{
    if (status != STATUS_OK)
        fail_msg("status %d: %s", (int)status, error.sentence);
}

/* A store with one case, imported. */
static void begin(struct store_case *kept, struct case_maker *maker, const char *name)
{
    case_typical(maker);
    store_case_open(kept, name, maker->today);
    store_case_keep(kept, maker);
}

static void begin_save(struct store_case *kept, const char *command, struct app_save *save)
{
    const struct store_request request = {.id = store_new_id(kept->app.store),
                                          .command = command,
                                          .label = "more.csv",
                                          .imported = strcmp(command, "import") == 0};

    good(app_save_begin(&kept->app, COMMAND_IMPORT, &request, save, &error));
    good(app_save_touch(save, &kept->casefile, &error));
}

/* One row of the kept case in a save of its own; it becomes a new record. */
static void save_row(struct store_case *kept, const char *command, enum record_kind kind, void *row)
{
    struct app_save save;

    memset(row, 0, sizeof(struct row_head));
    memcpy((char *)row + sizeof(struct row_head), &kept->casefile, sizeof kept->casefile);
    begin_save(kept, command, &save);
    good(store_append(kept->app.store, kind, row, &error));
    good(app_save_commit(&save, &error));
}

static void withdraw(struct store_case *kept, enum record_kind kind, const struct id *row)
{
    struct app_save save;

    begin_save(kept, "withdraw", &save);
    good(store_withdraw(kept->app.store, kind, row, "slip", &error));
    good(app_save_commit(&save, &error));
}

/* The batch of the newest import but so many. */
static const char *batch(const struct store_case *kept, int before)
{
    static char text[32];
    char query[120];

    (void)snprintf(query, sizeof query,
                   "SELECT sequence FROM request WHERE imported = 1 ORDER BY sequence DESC "
                   "LIMIT 1 OFFSET %d",
                   before);
    (void)snprintf(text, sizeof text, "@%lld", (long long)kept_number(kept->path, query));
    return text;
}

static enum status undo(struct store_case *kept, const char *which, struct text *out)
{
    text_clear(out);
    memset(&error, 0, sizeof error);
    return keep_undo_import(&kept->app, which, out, &error);
}

static int64_t ledger_rows(const struct store_case *kept)
{
    return kept_number(kept->path, "SELECT count(*) FROM ledger");
}

/* Refused with these words, and nothing written. */
static void refused(struct store_case *kept, const char *which, enum status wanted,
                    const char *words)
{
    struct text out = {0};
    int64_t before = ledger_rows(kept);

    assert_int_equal(wanted, undo(kept, which, &out));
    if (strstr(error.sentence, words) == NULL)
        fail_msg("\"%s\" is not in: %s", words, error.sentence);
    assert_int_equal(before, ledger_rows(kept));
    text_release(&out);
}

static void sound(struct store_case *kept)
{
    struct text out = {0};
    enum status status = app_verify(&kept->app, &out, &error);

    if (status != STATUS_OK)
        fail_msg("%s %s", error.sentence, text_string(&out));
    text_release(&out);
}

static void taken_back(struct store_case *kept, const char *which, const char *words)
{
    struct text out = {0};

    good(undo(kept, which, &out));
    if (strstr(text_string(&out), words) == NULL)
        fail_msg("\"%s\" is not in: %s", words, text_string(&out));
    text_release(&out);
    sound(kept);
}

static void every_row_is_withdrawn_and_may_come_again(void **state)
{
    struct store_case kept;
    struct case_maker maker;

    (void)state;
    begin(&kept, &maker, "whole");
    int64_t rows = kept_number(kept.path, "SELECT count(*) FROM ledger, request WHERE "
                                          "request.imported = 1 AND ledger.sequence > "
                                          "request.sequence");
    taken_back(&kept, batch(&kept, 0), "1 case among them");
    /* One withdrawal a row, all of one save, none of the settings; the state is gone. */
    assert_int_equal(rows, kept_number(kept.path, "SELECT count(*) FROM withdrawal"));
    assert_int_equal(1, kept_number(kept.path, "SELECT count(DISTINCT request) FROM withdrawal"));
    assert_int_equal(1, kept_number(kept.path, "SELECT count(*) FROM protocol_current"));
    assert_int_equal(0, kept_number(kept.path, "SELECT count(*) FROM case_state"));
    assert_int_equal(0, kept_number(kept.path, "SELECT count(*) FROM casefile_current"));
    refused(&kept, batch(&kept, 0), STATUS_INPUT, "taken back already");

    store_case_keep(&kept, &maker); /* the same keys */
    sound(&kept);
    assert_int_equal(1, kept_number(kept.path, "SELECT count(*) FROM case_state"));
    assert_int_equal(rows, kept_number(kept.path, "SELECT count(*) FROM withdrawal"));
    taken_back(&kept, batch(&kept, 0) + 1, "is taken back"); /* spelled without the sign */
    store_case_close(&kept);
}

/* The first in the way is named: its kind, its key, when; and what to do. */
static void a_later_row_is_in_the_way(void **state)
{
    struct store_case kept;
    struct case_maker maker;
    struct contact contact = {.channel = CHANNEL_LETTER, .again_on = DAY_NONE};
    struct visit visit;

    (void)state;
    begin(&kept, &maker, "later");
    visit = *case_visit(&maker, VISIT_CHECK, ARCH_UPPER, 3, UM_NONE, UM_NONE);
    save_row(&kept, "visit", RECORD_VISIT, &visit);
    assert_true(instant_from_text("2026-05-30T09:15:00Z", &contact.at));
    save_row(&kept, "contact", RECORD_CONTACT, &contact);
    refused(&kept, batch(&kept, 0), STATUS_INPUT,
            "visit of case C-0001, date 2026-05-29, kind check, arch upper (later, recorded "
            "2026-06-01T08:");
    refused(&kept, batch(&kept, 0), STATUS_INPUT, "withdraw that first");
    withdraw(&kept, RECORD_VISIT, &visit.head.id);
    refused(&kept, batch(&kept, 0), STATUS_INPUT,
            "contact of case C-0001, at 2026-05-30T09:15:00Z, channel letter (later");
    withdraw(&kept, RECORD_CONTACT, &contact.head.id);
    taken_back(&kept, batch(&kept, 0), "1 case among them");
    store_case_close(&kept);
}

/* Nothing names an expander, but an activation without one would stand on no list. */
static void an_activation_on_an_imported_expander_is_in_the_way(void **state)
{
    struct store_case kept;
    struct case_maker maker;

    (void)state;
    begin(&kept, &maker, "expander");
    struct expander expander = *case_expander(&maker, ARCH_LOWER, 30);
    save_row(&kept, "import", RECORD_EXPANDER, &expander);
    struct visit visit = *case_visit(&maker, VISIT_ACTIVATION, ARCH_LOWER, 3, 500, 500);
    save_row(&kept, "visit", RECORD_VISIT, &visit);
    refused(&kept, batch(&kept, 0), STATUS_INPUT,
            "what is left of case C-0001 would contradict itself (No expander of this arch");
    assert_int_equal(1, kept_number(kept.path, "SELECT count(*) FROM expander_current WHERE arch "
                                               "= 'lower'"));
    sound(&kept);
    withdraw(&kept, RECORD_VISIT, &visit.head.id);
    taken_back(&kept, batch(&kept, 0), "1 row withdrawn");
    store_case_close(&kept);
}

static void a_correction_is_in_the_way(void **state)
{
    struct store_case kept;
    struct case_maker maker;
    struct arena arena = {0};
    struct app_save save;
    struct casefile file;

    (void)state;
    begin(&kept, &maker, "corrected");
    good(
        store_read_current(kept.app.store, RECORD_CASEFILE, &kept.casefile, &arena, &file, &error));
    file.clinician = "Dr Wilhelmina Quillfeather";
    begin_save(&kept, "correct", &save);
    good(store_append(kept.app.store, RECORD_CASEFILE, &file, &error));
    good(app_save_commit(&save, &error));
    refused(&kept, batch(&kept, 0), STATUS_INPUT, "case C-0001 (corrected, recorded");
    arena_release(&arena);
    store_case_close(&kept);
}

static void another_import_is_taken_back_first(void **state)
{
    struct store_case kept;
    struct case_maker maker;
    struct booking booking;
    char wanted[80], first[32];

    (void)state;
    begin(&kept, &maker, "imports");
    booking = *case_booking(&maker, -14, BOOKING_CHECK, BOOKED_STANDING);
    save_row(&kept, "import", RECORD_BOOKING, &booking);
    (void)snprintf(first, sizeof first, "%s", batch(&kept, 1));
    (void)snprintf(wanted, sizeof wanted, "take back import %s first", batch(&kept, 0));
    refused(&kept, first, STATUS_INPUT, wanted);
    taken_back(&kept, batch(&kept, 0), "1 row withdrawn, 0 cases among them");
    taken_back(&kept, first, "1 case among them");
    store_case_close(&kept);
}

/* Nobody's unsaved visit loses its case. */
static void an_unsaved_visit_is_in_the_way(void **state)
{
    struct store_case kept;
    struct case_maker maker;
    struct draft draft = {.user = "pia", .form = "visit", .filled = 2, .content = "typed"}, found;
    struct arena arena = {0};

    (void)state;
    begin(&kept, &maker, "unsaved");
    draft.casefile = kept.casefile;
    draft.saved_at = kept.now;
    draft.request = store_new_id(kept.app.store);
    assert_int_equal(STATUS_NOT_FOUND,
                     store_find_draft(kept.app.store, &kept.casefile, &arena, &found, &error));
    good(store_put_draft(kept.app.store, &draft, &error));
    good(store_find_draft(kept.app.store, &kept.casefile, &arena, &found, &error));
    assert_string_equal("pia", found.user);
    assert_string_equal("typed", found.content);
    assert_true(id_equal(&draft.request, &found.request));
    refused(&kept, batch(&kept, 0), STATUS_INPUT, "pia has an unsaved visit of case C-0001");
    good(store_drop_draft(kept.app.store, "pia", "visit", &kept.casefile, &error));
    taken_back(&kept, batch(&kept, 0), "is taken back");
    arena_release(&arena);
    store_case_close(&kept);
}

static void rows_withdrawn_by_hand_stay_withdrawn(void **state)
{
    struct store_case kept;
    struct case_maker maker;
    struct booking booking;
    struct text out = {0};

    (void)state;
    begin(&kept, &maker, "partly");
    booking = *case_booking(&maker, -14, BOOKING_CHECK, BOOKED_STANDING);
    save_row(&kept, "import", RECORD_BOOKING, &booking);
    withdraw(&kept, RECORD_BOOKING, &booking.head.id);
    refused(&kept, batch(&kept, 0), STATUS_INPUT, "taken back already");
    taken_back(&kept, batch(&kept, 1), "is taken back");
    assert_int_equal(
        1, kept_number(kept.path, "SELECT count(*) FROM withdrawal WHERE kind = 'booking'"));
    assert_int_equal(STATUS_NOT_FOUND, undo(&kept, "@1", &out));
    assert_non_null(strstr(text_string(&out), ", taken back\n"));
    text_release(&out);
    store_case_close(&kept);
}

static void an_unknown_batch_gets_the_list(void **state)
{
    static const char *const unknown[] = {
        "@1", "0", "", "@", "@-3", "3x", "all", "@99999999999999999999999999", "\033[2J"};
    struct store_case kept;
    struct case_maker maker;
    struct text out = {0};

    (void)state;
    case_typical(&maker);
    store_case_open(&kept, "unknown", maker.today);
    refused(&kept, "@3", STATUS_NOT_FOUND, "nothing was imported yet");
    store_case_keep(&kept, &maker);
    for (size_t i = 0; i < sizeof unknown / sizeof unknown[0]; i++) {
        assert_int_equal(STATUS_NOT_FOUND, undo(&kept, unknown[i], &out));
        assert_int_equal(0, strncmp(batch(&kept, 0), text_string(&out), 2));
        assert_non_null(strstr(text_string(&out), " rows\n"));
    }
    text_release(&out);
    store_case_close(&kept);
}

/* ---- what follows ---- */

/* The wear of a case that was there comes with an import; a visit is judged by it. */
static void import_wear(struct store_case *kept, const struct case_maker *maker)
{
    struct app_save save;

    begin_save(kept, "import", &save);
    for (size_t i = 0; i < maker->history.wear_day_count; i++) {
        struct wear_day wear = maker->wear_days[i];

        memset(&wear.head, 0, sizeof wear.head);
        wear.casefile = kept->casefile;
        good(store_append(kept->app.store, RECORD_WEAR_DAY, &wear, &error));
    }
    good(app_save_commit(&save, &error));
}

static void save_judged_visit(struct store_case *kept)
{
    static const struct {
        enum sheet_item item;
        const char *typed;
    } entries[] = {
        {ITEM_TISSUE, "0"}, {ITEM_HARDWARE, "0"}, {ITEM_RIGHT, "1.00"}, {ITEM_LEFT, "1.00"}};
    struct visit_sheet sheet;
    char sentence[200];

    good(visit_open(&kept->app, &kept->casefile, &sheet, &error));
    for (size_t i = 0; i < sizeof entries / sizeof entries[0]; i++) {
        for (int j = 0; j < sheet.field_count; j++) {
            if (sheet.fields[j].item == entries[i].item)
                assert_int_equal(ENTRY_TAKEN,
                                 visit_enter(&kept->app, &sheet, j, entries[i].typed, sentence));
        }
    }
    good(visit_save(&kept->app, &sheet, 0, "", &error));
    visit_release(&sheet);
    assert_int_equal(VERDICT_PROCEED, kept_number(kept->path, "SELECT verdict FROM judged"));
}

/* Proceed was right by what was known; without the wear it would not have been given. */
static void a_verdict_that_rested_on_it_is_named(void **state)
{
    struct store_case kept;
    struct case_maker maker, bare;

    (void)state;
    case_typical(&maker);
    case_typical(&bare);
    bare.history.wear_day_count = 0;
    store_case_open(&kept, "verdict", maker.today);
    store_case_keep(&kept, &bare);
    import_wear(&kept, &maker);
    save_judged_visit(&kept);
    taken_back(&kept, batch(&kept, 0),
               "case C-0001, visit of 2026-06-01 upper: PROCEED was stored");
    assert_int_equal(1, kept_number(kept.path, "SELECT count(*) FROM judged_current"));
    assert_int_equal(1, kept_number(kept.path, "SELECT count(*) FROM casefile_current"));
    assert_int_equal(0, kept_number(kept.path, "SELECT count(*) FROM wear_day_current"));
    store_case_close(&kept);
}

/* Repeat pairs of one width, so many, differing by so much; the error follows in the same save. */
static void import_pairs(struct store_case *kept, const struct case_maker *maker, int pairs,
                         um difference, int from)
{
    struct app_save save;

    begin_save(kept, "import", &save);
    for (int i = 0; i < 2 * pairs; i++) {
        struct width width = maker->widths[0];

        memset(&width.head, 0, sizeof width.head);
        width.casefile = kept->casefile;
        width.date = maker->today - from - i / 2;
        width.repeat = 1 + i % 2;
        width.value = 36000 + (i % 2) * difference;
        good(store_append(kept->app.store, RECORD_WIDTH, &width, &error));
    }
    good(app_save_width_error(&save, &error));
    good(app_save_commit(&save, &error));
}

static int64_t width_error(const struct store_case *kept)
{
    return kept_number(kept->path, "SELECT width_error_um FROM protocol_current");
}

/* Dahlberg's error of ten equal differences d is d / sqrt(2): sqrt(10 d^2 / 20). */
static void the_own_error_of_a_width_goes_with_its_pairs(void **state)
{
    struct store_case kept;
    struct case_maker maker;

    (void)state;
    begin(&kept, &maker, "pairs");
    int64_t published = width_error(&kept);
    import_pairs(&kept, &maker, 10, 1000, 200);
    assert_int_equal(710, width_error(&kept));
    import_pairs(&kept, &maker, 10, 0, 230); /* twenty pairs, half of them without a difference */
    assert_int_equal(500, width_error(&kept));
    taken_back(&kept, batch(&kept, 0), "20 rows withdrawn");
    assert_int_equal(710, width_error(&kept));
    assert_int_equal(4, kept_number(kept.path, "SELECT version FROM protocol_current"));
    /* Ten pairs are left each time, and the error is worked out of these. */
    import_pairs(&kept, &maker, 10, 3000, 260);
    int64_t both = width_error(&kept);
    assert_true(both > 710);
    taken_back(&kept, batch(&kept, 0), "20 rows withdrawn");
    assert_int_equal(710, width_error(&kept));
    store_case_close(&kept);

    begin(&kept, &maker, "alone");
    import_pairs(&kept, &maker, 10, 1000, 200);
    assert_int_equal(710, width_error(&kept));
    taken_back(&kept, batch(&kept, 0), "20 rows withdrawn");
    assert_int_equal(published, width_error(&kept));
    assert_int_equal(1, kept_number(kept.path, "SELECT count(*) FROM protocol_current WHERE reason "
                                               "LIKE 'import @% was taken back'"));
    store_case_close(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_row_is_withdrawn_and_may_come_again),
        cmocka_unit_test(a_later_row_is_in_the_way),
        cmocka_unit_test(an_activation_on_an_imported_expander_is_in_the_way),
        cmocka_unit_test(a_correction_is_in_the_way),
        cmocka_unit_test(another_import_is_taken_back_first),
        cmocka_unit_test(an_unsaved_visit_is_in_the_way),
        cmocka_unit_test(rows_withdrawn_by_hand_stay_withdrawn),
        cmocka_unit_test(an_unknown_batch_gets_the_list),
        cmocka_unit_test(a_verdict_that_rested_on_it_is_named),
        cmocka_unit_test(the_own_error_of_a_width_goes_with_its_pairs),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
