/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Signing on the screens, over a real store and no terminal: at the review of a visit and of a
 * form, from the record, from the list of what waits. Keys are counted; that they may be at most
 * four more is the order's own bar.
 */
#include "desk.h"

#include "kept_store.h"
#include "team.h"

enum { KEYS_MORE = 4 };

/* Up to the review; the wear, both amounts as permitted, the next date and no note. */
static const char typed[] = "<Enter>20<Enter><Enter>2<Enter>00*<Enter>*<Enter>28<Enter><Enter>";

static void open_team(struct desk *desk, const char *name, const char *login)
{
    desk_open(desk, name);
    team_join(&desk->kept);
    team_sit(&desk->kept, login);
}

static int64_t number(const struct desk *desk, const char *sql)
{
    return kept_number(desk->kept.path, sql);
}

static int64_t signatures(const struct desk *desk)
{
    return number(desk, "SELECT count(*) FROM signature");
}

static void a_pin_costs_four_keys_and_nobody_else_any(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "sign_keys_alone");
    int alone = desk_keys(&desk, typed);
    assert_shows(&desk, "Enter or 1 saves and signs, / goes back.");
    alone += desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Saved: C-0001");
    assert_shows(&desk, "; signed");
    assert_int_equal(signatures(&desk), 1);
    desk_close(&desk);

    open_team(&desk, "sign_keys_pin", "ada");
    int with_pin = desk_keys(&desk, typed);
    assert_shows(&desk, "Your PIN and Enter saves and signs, Enter alone saves unsigned");
    assert_shows(&desk, "PIN:");
    with_pin += desk_keys(&desk, "2580<Enter>");
    assert_shows(&desk, "Saved: C-0001");
    assert_shows(&desk, "; signed");
    assert_int_equal(signatures(&desk), 1);
    desk_close(&desk);

    open_team(&desk, "sign_keys_none", "ada");
    int unsigned_keys = desk_keys(&desk, typed) + desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "; not signed yet");
    assert_int_equal(signatures(&desk), 0);
    desk_close(&desk);

    open_team(&desk, "sign_keys_assistant", "ben");
    int assistant = desk_keys(&desk, typed);
    assert_shows(&desk, "Enter or 1 saves, / goes back. It waits for an orthodontist to sign it.");
    assert_false(desk_shows(&desk, "PIN"));
    assistant += desk_keys(&desk, "1");
    assert_shows(&desk, "; not signed yet");
    desk_close(&desk);

    print_message("# figure: visit entered and saved in %d keys alone, %d with a PIN of 4 digits, "
                  "%d unsigned, %d by an assistant\n",
                  alone, with_pin, unsigned_keys, assistant);
    assert_int_equal(with_pin - alone, KEYS_MORE);
    assert_int_equal(unsigned_keys, alone);
    assert_int_equal(assistant, alone);
}

static void what_is_typed_is_hidden_and_saves_nothing_by_itself(void **state)
{
    struct desk desk;

    (void)state;
    open_team(&desk, "sign_hidden", "ada");
    size_t visits = desk_visits(&desk);
    desk_keys(&desk, typed);
    desk_keys(&desk, "1"); /* without a PIN to ask for, 1 saves here */
    assert_shows(&desk, "PIN: *");
    assert_int_equal(desk_visits(&desk), visits);
    desk_keys(&desk, "234");
    assert_shows(&desk, "PIN: ****");
    assert_false(desk_shows(&desk, "1234"));
    desk_keys(&desk, "--");
    assert_shows(&desk, "PIN: ** ");
    desk_keys(&desk, "<Ctrl-U>2581");
    desk_keys(&desk, "/"); /* back to the fields: it is forgotten */
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "PIN:");
    assert_false(desk_shows(&desk, "PIN: *"));
    assert_int_equal(desk_visits(&desk), visits);
    desk_keys(&desk, "2580<Enter>");
    assert_shows(&desk, "; signed");
    assert_int_equal(desk_visits(&desk), visits + 1);
    desk_close(&desk);
}

static void a_wrong_pin_blocks_no_save(void **state)
{
    struct desk desk;

    (void)state;
    open_team(&desk, "sign_wrong_pin", "ada");
    size_t visits = desk_visits(&desk);
    desk_keys(&desk, typed);
    desk_keys(&desk, "12<Enter>");
    assert_shows(&desk, "A PIN has at least 4 digits. Nothing is saved yet");
    desk_keys(&desk, "2581<Enter>");
    assert_shows(&desk, "Nothing is saved yet: type it again; Enter alone saves unsigned.");
    assert_int_equal(desk_visits(&desk), visits);
    /* The hand that struck Enter twice has read none of that. */
    desk.headless.key_ms = 20;
    desk_keys(&desk, "<Enter>");
    assert_int_equal(desk_visits(&desk), visits);
    desk.headless.key_ms = 200;
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "; not signed yet");
    assert_int_equal(desk_visits(&desk), visits + 1);
    assert_int_equal(signatures(&desk), 0);
    desk_close(&desk);
}

/* Behind a letter every character belongs to it: what goes back, pages or rubs out before one. */
static void a_passphrase_signs_too(void **state)
{
    struct desk desk;

    (void)state;
    open_team(&desk, "sign_passphrase", "ada");
    desk_keys(&desk, typed);
    desk_keys(&desk, "seven/?.-1");
    assert_shows(&desk, "PIN: ********** ");
    desk_keys(&desk, "<Ctrl-U>");
    desk_keys(&desk, TEAM_PASSPHRASE);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "; signed");
    assert_int_equal(number(&desk, "SELECT count(*) FROM signature WHERE proof = 'passphrase'"), 1);
    desk_close(&desk);
}

/* Ben's visit, then Ada. */
static void open_waiting(struct desk *desk, const char *name)
{
    open_team(desk, name, "ben");
    desk_keys(desk, typed);
    desk_keys(desk, "<Enter>");
    /* Another of the case as a whole, with a form. */
    desk_keys(desk, "0001*1*f2<Enter><Enter><Enter>");
    while (!desk_shows(desk, "Right person, right values?"))
        desk_keys(desk, "<PageDown>");
    assert_shows(desk, "It waits for an orthodontist to sign it.");
    desk_keys(desk, "<Enter>");
    assert_shows(desk, "; not signed yet.");
    desk_keys(desk, "<Esc><Esc>");
    team_sit(&desk->kept, "ada");
}

static void the_list_leads_from_one_to_the_next(void **state)
{
    struct desk desk;

    (void)state;
    open_waiting(&desk, "sign_list");
    desk_keys(&desk, "*u");
    assert_shows(&desk, "unsigned: 2 visits wait for a signature");
    assert_shows(&desk, "upper activation R");
    assert_shows(&desk, "Ben Benchworth");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "NOT SIGNED: it counts, and waits for an orthodontist to sign it");
    desk_keys(&desk, "3");
    assert_shows(&desk, "It is signed as examined and decided, Dr Ada Example: your PIN and Enter "
                        "signs it");
    desk_keys(&desk, "2222<Enter>");
    assert_int_equal(signatures(&desk), 0);
    desk_keys(&desk, "2580<Enter>");
    assert_shows(&desk, "Signed by Dr Ada Example, examined and decided: visit of 2026-06-01");
    assert_shows(&desk, "unsigned: 1 visit waits for a signature");
    assert_int_equal(signatures(&desk), 1);
    int keys = desk_keys(&desk, "<Enter>32580<Enter>");
    assert_shows(&desk, "Every visit is signed.");
    assert_int_equal(signatures(&desk), 2);
    print_message("# figure: a waiting visit is signed from the list in %d keys\n", keys);
    /* From the case its record says so, and offers nothing more to sign. */
    desk_keys(&desk, "<Esc>0001*1visit<Enter>");
    assert_shows(&desk, "signed by Dr Ada Example, 2026-06-01");
    desk_keys(&desk, "3");
    assert_shows(&desk, "This is signed already.");
    desk_close(&desk);
}

static void who_may_not_sign_is_told_and_it_is_logged(void **state)
{
    struct desk desk;

    (void)state;
    open_waiting(&desk, "sign_may_not");
    team_sit(&desk.kept, "ben");
    desk_keys(&desk, "*u<Enter>3");
    assert_shows(&desk, "Ben Benchworth is recorded here as assistant; this is for an orthodontist "
                        "to do.");
    assert_int_equal(number(&desk, "SELECT count(*) FROM access WHERE what = 'refused' AND command "
                                   "= 'sign' AND subject = 'C-0001'"),
                     1);
    desk_close(&desk);
}

static void the_days_list_reminds_whom_it_concerns(void **state)
{
    struct desk desk;

    (void)state;
    open_waiting(&desk, "sign_reminds");
    desk.kept.now += 3 * 86400;
    ui_event(&desk.ui, EVENT_NOTHING, NULL);
    ui_draw(&desk.ui);
    assert_shows(&desk, "2 visits unsigned, oldest 3 days");
    desk_resize(&desk, 12, 40); /* wherever there is room for it */
    assert_shows(&desk, "2 visits unsigned, oldest 3 days");
    desk_close(&desk);
}

/* A correction is signed where it is reviewed; the reason is asked before. */
static void a_correction_is_signed_at_its_review(void **state)
{
    struct desk desk;

    (void)state;
    open_team(&desk, "sign_correction", "ada");
    desk_keys(&desk, typed);
    desk_keys(&desk, "2580<Enter>");
    desk_keys(&desk, "0001*1visit<Enter><Enter>");
    while (!desk_shows(&desk, "write why") && !desk_shows(&desk, "note:"))
        desk_keys(&desk, "<PageDown>");
    desk_keys(&desk, "seen with her mother<Enter>");
    while (!desk_shows(&desk, "write why"))
        desk_keys(&desk, "<Enter>");
    desk_keys(&desk, "was left out<Enter>");
    assert_shows(&desk, "Your PIN and Enter saves and signs");
    desk_keys(&desk, "2580<Enter>");
    assert_shows(&desk, "; signed.");
    assert_int_equal(number(&desk, "SELECT count(*) FROM signature WHERE meaning = 'corrected'"),
                     1);
    /* And withdrawn from its page. */
    desk_keys(&desk, "2wrong child<Enter>");
    assert_shows(&desk, "Your PIN and Enter saves and signs");
    desk_keys(&desk, "2580<Enter>");
    assert_shows(&desk, "; signed.");
    assert_int_equal(number(&desk, "SELECT count(*) FROM signature WHERE meaning = 'withdrawn'"),
                     1);
    desk_close(&desk);
}

static void all_of_it_works_at_12_by_40(void **state)
{
    struct desk desk;

    (void)state;
    open_waiting(&desk, "sign_small");
    desk_resize(&desk, 12, 40);
    desk_keys(&desk, "*u");
    assert_shows(&desk, "unsigned: 2 visits wait");
    desk_keys(&desk, "<Enter>3");
    assert_shows(&desk, "PIN:");
    desk_keys(&desk, "25");
    assert_shows(&desk, "PIN: **");
    desk_keys(&desk, "80<Enter>");
    assert_int_equal(signatures(&desk), 1);
    assert_shows(&desk, "unsigned: 1 visit waits");
    desk_close(&desk);

    open_team(&desk, "sign_small_visit", "ada");
    desk_resize(&desk, 12, 40);
    desk_keys(&desk, typed);
    assert_shows(&desk, "PIN:");
    assert_shows(&desk, "Your PIN and Enter saves and signs");
    desk_keys(&desk, "2580<Enter>");
    assert_int_equal(signatures(&desk), 1);
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_pin_costs_four_keys_and_nobody_else_any),
        cmocka_unit_test(what_is_typed_is_hidden_and_saves_nothing_by_itself),
        cmocka_unit_test(a_wrong_pin_blocks_no_save),
        cmocka_unit_test(a_passphrase_signs_too),
        cmocka_unit_test(the_list_leads_from_one_to_the_next),
        cmocka_unit_test(who_may_not_sign_is_told_and_it_is_logged),
        cmocka_unit_test(the_days_list_reminds_whom_it_concerns),
        cmocka_unit_test(a_correction_is_signed_at_its_review),
        cmocka_unit_test(all_of_it_works_at_12_by_40),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
