/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Closing a month without a terminal: what is read before it is signed, at every size; how it is
 * signed, alone and by PIN; and what the screen of the month says afterwards. The desk's case is
 * the typical one on 2026-06-01, so that May can be closed.
 */
#include "desk.h"
#include "kept_store.h"
#include "springline/app/secret.h"

static int64_t closed(struct desk *desk)
{
    return kept_number(desk->kept.path, "SELECT count(*) FROM month_close");
}

static void save_row(struct desk *desk, enum record_kind kind, void *row)
{
    const struct store_request request = {
        .id = store_new_id(desk->kept.app.store), .command = "import", .imported = true};
    struct app_save save;

    assert_int_equal(app_save_begin(&desk->kept.app, COMMAND_IMPORT, &request, &save, &desk->error),
                     STATUS_OK);
    assert_int_equal(store_append(desk->kept.app.store, kind, row, &desk->error), STATUS_OK);
    assert_int_equal(app_save_touch(&save, &desk->kept.casefile, &desk->error), STATUS_OK);
    assert_int_equal(app_save_commit(&save, &desk->error), STATUS_OK);
}

/* A sensor that knows better than the diary: 12 of the 24 days before the visit of 8 May. */
static void save_wear(struct desk *desk)
{
    struct wear_count count = *case_count(&desk->maker, SOURCE_SENSOR, 48, 25, 12, 24);

    count.head = (struct row_head){0};
    count.casefile = desk->kept.casefile;
    save_row(desk, RECORD_WEAR_COUNT, &count);
}

static void it_is_read_and_enter_signs_it(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "close_alone");
    desk_keys(&desk, "*7");
    assert_shows(&desk, "Audit of 2026-05: 1 case, not closed");
    desk_keys(&desk, "*");
    assert_shows(&desk, "7 close the month: sign its account, which is frozen then");
    desk_keys(&desk, "7");
    assert_shows(&desk, "Close 2026-05: 2026-05-01 to 2026-05-31.");
    assert_shows(&desk,
                 "1 case: below the minimum 0 (0 LOW), unknown 0, not seen 0, meeting it 1.");
    assert_shows(&desk, "No visit of the month waits for a signature.");
    assert_shows(&desk, "As of row ");
    assert_shows(&desk, "Decision support only");
    assert_shows(&desk, "Enter or 1 signs and closes the month; / goes back, nothing is closed.");
    assert_false(desk_shows(&desk, "PIN:"));
    desk_keys(&desk, "/"); /* back, nothing done */
    assert_shows(&desk, "not closed");
    assert_int_equal(closed(&desk), 0);
    desk_keys(&desk, "*7<Enter>");
    assert_int_equal(closed(&desk), 1);
    assert_shows(&desk, "2026-05 is closed and signed by tester.");
    assert_shows(&desk, "Audit of 2026-05: 1 case, as closed");
    assert_shows(&desk, "closed 2026-06-01 by tester (ledger row ");
    assert_shows(&desk, "nothing changed since the close");
    desk_keys(&desk, "*7");
    assert_shows(&desk, "2026-05 is closed 2026-06-01 by tester already");
    desk_close(&desk);
}

/* The last line of the review can be reached by the point of the keypad, whatever the size. */
static void it_can_be_read_at_every_size(void **state)
{
    static const int sizes[][2] = {{12, 40}, {12, 80}, {24, 80}, {43, 132}};
    struct desk desk;

    (void)state;
    desk_open(&desk, "close_sizes");
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        desk_resize(&desk, sizes[i][0], sizes[i][1]);
        desk_keys(&desk, "*7*7");
        assert_shows(&desk, "1 case: below the minimum 0");
        for (int page = 0; page < 12 && !desk_shows(&desk, "come first."); page++)
            desk_keys(&desk, ".");
        assert_shows(&desk, "come first.");
        assert_shows(&desk, "Close 2026-05");
        desk_keys(&desk, "//");
    }
    assert_int_equal(closed(&desk), 0);
    desk_close(&desk);
}

static void set_secrets(struct desk *desk)
{
    const struct secret_change change = {.passphrase = "seven herons over the weir/1?",
                                         .pin = "83057162"};
    struct person person = {.login = "pia", .name = "Pia", .role = ROLE_ASSISTANT};

    desk->kept.app.user = "founder";
    desk->kept.app.by_login = true;
    save_row(desk, RECORD_PERSON, &person);
    assert_int_equal(app_know_person(&desk->kept.app, &desk->error), STATUS_OK);
    desk->kept.app.signed_in_at = desk->kept.now;
    assert_int_equal(secret_change(&desk->kept.app, &change, &desk->error), STATUS_OK);
}

static void a_pin_is_asked_and_never_shown(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "close_pin");
    set_secrets(&desk);
    desk_keys(&desk, "*7*7");
    assert_shows(&desk, "PIN:");
    assert_shows(&desk,
                 "Your PIN and Enter signs and closes the month; / goes back, nothing is closed.");
    desk_keys(&desk, "8305716");
    assert_shows(&desk, "PIN: *******");
    assert_false(desk_shows(&desk, "8305"));
    desk_keys(&desk, "<Enter>"); /* a digit short */
    assert_int_equal(closed(&desk), 0);
    assert_shows(&desk, "PIN:");
    assert_false(desk_shows(&desk, "PIN: *")); /* what was typed is gone */
    desk_keys(&desk, "83057163<Backspace>2<Enter>");
    assert_int_equal(closed(&desk), 1);
    assert_int_equal(
        kept_number(desk.kept.path, "SELECT count(*) FROM signature WHERE proof = 'pin'"), 1);
    desk_close(&desk);
}

/* Blanks, digits and signs are text; only an empty line leads back by "/". */
static void a_passphrase_may_hold_any_sign(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "close_words");
    set_secrets(&desk);
    desk_keys(&desk, "*7*7seven herons over the weir/1?<Enter>");
    assert_int_equal(closed(&desk), 1);
    assert_int_equal(
        kept_number(desk.kept.path, "SELECT count(*) FROM signature WHERE proof = 'passphrase'"),
        1);
    desk_close(&desk);
}

static void an_assistant_is_not_offered_it(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "close_assistant");
    set_secrets(&desk);
    desk.kept.app.user = "pia";
    assert_int_equal(app_know_person(&desk.kept.app, &desk.error), STATUS_OK);
    desk_keys(&desk, "*7*");
    assert_shows(&desk, "8 what changed since the month was closed");
    assert_false(desk_shows(&desk, "close the month"));
    desk_keys(&desk, "7");
    assert_shows(&desk, "7 is no choice here.");
    assert_int_equal(closed(&desk), 0);
    desk_close(&desk);
}

/* Another seat saves while the review stands there: the new figures are shown, nothing is signed.
 */
static void other_figures_are_read_first(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "close_other");
    desk_keys(&desk, "*7*7");
    save_wear(&desk);
    desk_keys(&desk, "<Enter>");
    assert_int_equal(closed(&desk), 0);
    assert_shows(&desk, "Something was saved meanwhile and the figures are others now");
    assert_shows(&desk, "1 case: below the minimum 1 (0 LOW)");
    desk_keys(&desk, "<Enter>");
    assert_int_equal(closed(&desk), 1);
    assert_int_equal(kept_number(desk.kept.path, "SELECT sheet LIKE '%C-0001,below,%' FROM "
                                                 "month_close"),
                     1);
    desk_close(&desk);
}

static void what_changed_since_is_listed_and_today_can_be_shown(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "close_since");
    desk_keys(&desk, "*7*9");
    assert_shows(&desk, "This month is not closed: today's figures stand here.");
    desk_keys(&desk, "*8");
    assert_shows(&desk, "2026-05 is not closed: there is nothing to compare it with.");
    desk_keys(&desk, "*7<Enter>");
    save_wear(&desk);
    desk_keys(&desk, "*9*9"); /* read again */
    assert_shows(&desk, "since the close 1 case changed");
    assert_shows(&desk, "meeting"); /* as closed */
    desk_keys(&desk, "*8");
    assert_shows(&desk, "2026-05, closed 2026-06-01 by tester");
    assert_shows(&desk, "since the close 1 case changed.");
    assert_shows(&desk, "C-0001 group: closed meeting, now below");
    desk_keys(&desk, "/");
    desk_keys(&desk, "*9");
    assert_shows(&desk, "Audit of 2026-05: 1 case, NOT AS CLOSED");
    assert_shows(&desk, "these are today's figures");
    assert_shows(&desk, "2026-05: below 1");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "12 of 24 known days met (sensor)");
    desk_keys(&desk, "/*9<Enter>");
    assert_shows(&desk, "as closed"); /* the figures of the case, too */
    assert_shows(&desk, "24 of 24 known days met (diary)");
    desk_close(&desk);
}

/* The screen opens all the same, and says what it shows. */
static void a_damaged_close_is_told(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "close_damaged");
    desk_keys(&desk, "*7*7<Enter>");
    desk_stand_up(&desk);
    store_close(desk.kept.app.store);
    assert_int_equal(kept_raw(desk.kept.path, true,
                              "UPDATE month_close SET sheet = replace(sheet, 'meeting', 'below')"),
                     0);
    assert_int_equal(
        store_open(desk.kept.path, &desk.kept.source, &desk.kept.app.store, &desk.error),
        STATUS_OK);
    desk_start_again(&desk);
    desk_keys(&desk, "*7");
    assert_shows(&desk, "Audit of 2026-05: 1 case, NOT AS CLOSED");
    assert_shows(&desk, "DAMAGED: it can not be drawn as it was signed");
    desk_keys(&desk, "*8");
    assert_shows(&desk, "its sheet does not have the digest it was signed with");
    desk_close(&desk);
}

static void the_day_reminds_of_it(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "close_chase");
    ui_event(&desk.ui, EVENT_NOTHING, NULL); /* a tick */
    ui_draw(&desk.ui);
    assert_shows(&desk, "May 2026 is not closed");
    desk_keys(&desk, "*7*7<Enter>/");
    ui_event(&desk.ui, EVENT_NOTHING, NULL);
    ui_draw(&desk.ui);
    assert_false(desk_shows(&desk, "is not closed"));
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_is_read_and_enter_signs_it),
        cmocka_unit_test(it_can_be_read_at_every_size),
        cmocka_unit_test(a_pin_is_asked_and_never_shown),
        cmocka_unit_test(a_passphrase_may_hold_any_sign),
        cmocka_unit_test(an_assistant_is_not_offered_it),
        cmocka_unit_test(other_figures_are_read_first),
        cmocka_unit_test(what_changed_since_is_listed_and_today_can_be_shown),
        cmocka_unit_test(a_damaged_close_is_told),
        cmocka_unit_test(the_day_reminds_of_it),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
