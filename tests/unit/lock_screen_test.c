/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The lock, without a terminal and with a clock that the test moves. 45 CFR 164.312(a)(2)(iii); 45
 * CFR 170.315(d)(5); ASVS 5.0 7.3.1, 7.3.2.
 */
#include "doors.h"

#include "kept_store.h"
#include "springline/app/secret.h"

/* ---- the lock ---- */

/* The visit of C-0001 with 20 given on the right, and 1 typed into the next field. */
static void begin_visit(struct desk *desk)
{
    desk_keys(desk, "1<Enter>20<Enter>1");
    assert_shows(desk, "Quillfeather");
}

static void a_left_seat_locks_and_keeps_what_was_typed(void **state)
{
    struct desk desk;

    (void)state;
    doors_open(&desk, "door_lock");
    doors_set_secrets(&desk, "ben");
    doors_come(&desk, "ben");
    begin_visit(&desk);
    doors_pass(&desk, 15 * MINUTE - 300);
    assert_int_equal(desk.headless.wipes, 0);
    doors_pass(&desk, 300);
    assert_int_equal(desk.headless.wipes, 1);
    assert_shows(&desk, "springline: locked");
    assert_shows(&desk, "Locked 2026-06-01 08:");
    assert_shows(&desk, "UTC by Ben Benchworth.");
    doors_show_nobody(&desk);
    assert_int_equal(desk_unsaved(&desk), 1); /* a draft, in case the seat is never opened again */
    assert_int_equal(doors_log_rows(&desk, "locked", "ben"), 1);
    doors_pass(&desk, MINUTE);
    doors_show_nobody(&desk);
    /* Nothing that is typed here reaches what is behind. */
    desk_keys(&desk, "<Enter><Tab>77777<Enter>");
    assert_shows(&desk, "This PIN is wrong; after 9 more the PIN is closed.");
    doors_show_nobody(&desk);
    desk_keys(&desk, doors_pin);
    doors_hide(&desk, doors_pin);
    desk_keys(&desk, "<Enter>");
    ui_draw(&desk.ui);
    assert_shows(&desk, "Quillfeather");
    assert_int_equal(doors_log_rows(&desk, "reopened", "ben"), 1);
    /* All as it was, what stood in the field being typed too. */
    assert_int_equal(desk.ui.depth, 2);
    assert_shows(&desk, "days met 20 days asked [1 ");
    desk_keys(&desk, "7");
    assert_shows(&desk, "days met 20 days asked [17 ");
    assert_int_equal(desk_unsaved(&desk), 1);
    desk_close(&desk);
}

static void a_key_pressed_on_a_left_seat_only_locks(void **state)
{
    struct desk desk;

    (void)state;
    doors_open(&desk, "door_key");
    doors_set_secrets(&desk, "ben");
    doors_come(&desk, "ben");
    desk.headless.clock_ms += 20 * MINUTE; /* no tick came: the machine slept */
    desk_keys(&desk, "1");
    assert_shows(&desk, "springline: locked");
    doors_show_nobody(&desk);
    desk_keys(&desk, doors_pin);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Quillfeather");
    assert_false(desk_shows(&desk, "find: 1")); /* the key was for nobody */
    desk_close(&desk);
}

static void ten_wrong_pins_leave_the_passphrase(void **state)
{
    struct desk desk;

    (void)state;
    doors_open(&desk, "door_ten");
    doors_set_secrets(&desk, "ben");
    doors_come(&desk, "ben");
    desk_keys(&desk, "<Ctrl-K>");
    for (int i = 0; i < 10; i++)
        desk_keys(&desk, "77777<Enter>");
    assert_shows(&desk, "the tenth time: it is closed");
    desk_keys(&desk, doors_pin);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Ten wrong PINs have closed the PIN");
    doors_show_nobody(&desk);
    desk_keys(&desk, doors_words);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Quillfeather");
    desk_keys(&desk, "<Ctrl-U>");
    doors_pass(&desk, 200);
    assert_shows(&desk, "your PIN is closed: * s");
    desk_close(&desk);
}

static void somebody_else_signs_in_at_a_locked_seat(void **state)
{
    struct desk desk;

    (void)state;
    doors_open(&desk, "door_other");
    doors_set_secrets(&desk, "ben");
    doors_set_secrets(&desk, "founder");
    doors_come(&desk, "ben");
    begin_visit(&desk);
    desk_keys(&desk, "<Ctrl-K>");
    doors_show_nobody(&desk);
    desk_keys(&desk, "<Esc>founder<Enter>");
    doors_show_nobody(&desk);
    desk_keys(&desk, doors_words);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Quillfeather"); /* the day's list */
    assert_int_equal(desk.ui.depth, 1);
    assert_string_equal(desk.kept.app.user, "founder");
    assert_int_equal(desk_unsaved(&desk), 0); /* that visit is ben's */
    desk_keys(&desk, "<Ctrl-K><Esc>ben<Enter>");
    desk_keys(&desk, doors_words);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "A visit of C-0001 Quillfeather, Odalys was not saved");
    assert_int_equal(desk_unsaved(&desk), 1);
    desk_close(&desk);
}

static void esc_at_the_door_goes_back_to_the_lock(void **state)
{
    struct desk desk;

    (void)state;
    doors_open(&desk, "door_esc");
    doors_set_secrets(&desk, "ben");
    doors_come(&desk, "ben");
    begin_visit(&desk);
    desk_keys(&desk, "<Ctrl-K><Esc>founder<Enter>something<Enter>");
    assert_shows(&desk, "Login or passphrase is wrong");
    /* Whose seat it is did not try. */
    assert_int_equal(kept_number(desk.kept.path, "SELECT count(*) FROM access WHERE what = "
                                                 "'sign-in-failed' AND person IS NOT NULL"),
                     0);
    desk_keys(&desk, "<Esc>");
    assert_shows(&desk, "springline: locked");
    desk_keys(&desk, doors_pin);
    desk_keys(&desk, "<Enter>");
    assert_int_equal(desk.ui.depth, 2);
    assert_shows(&desk, "Quillfeather");
    desk_close(&desk);
}

static void a_session_of_twelve_hours_wants_the_passphrase(void **state)
{
    struct desk desk;

    (void)state;
    doors_open(&desk, "door_session");
    doors_set_secrets(&desk, "ben");
    doors_come(&desk, "ben");
    begin_visit(&desk);
    for (int i = 0; i < 12 * 6; i++) { /* never left for long */
        doors_pass(&desk, 10 * MINUTE - 200);
        desk_keys(&desk, i % 2 == 0 ? "2" : "<Backspace>");
    }
    assert_shows(&desk, "springline: locked");
    assert_shows(&desk, "This session is 12 hours old");
    doors_show_nobody(&desk);
    desk_keys(&desk, doors_pin);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "This passphrase is wrong");
    desk.kept.now += 10;
    desk_keys(&desk, doors_words);
    desk_keys(&desk, "<Enter>");
    assert_int_equal(desk.ui.depth, 2);
    assert_int_equal(doors_log_rows(&desk, "signed-in", "ben"), 2);
    doors_pass(&desk, 5 * MINUTE);
    assert_shows(&desk, "Quillfeather"); /* another session of twelve hours */
    /* It also ends while the seat is locked. */
    doors_pass(&desk, 15 * MINUTE);
    assert_shows(&desk, "Your PIN or passphrase opens it");
    doors_pass(&desk, 12 * HOUR);
    assert_shows(&desk, "This session is 12 hours old");
    desk_close(&desk);
}

static void without_pin_and_passphrase_the_way_is_out(void **state)
{
    struct desk desk;

    (void)state;
    doors_open(&desk, "door_out");
    doors_come(&desk, "ben");
    begin_visit(&desk);
    doors_pass(&desk, 15 * MINUTE);
    desk_keys(&desk, "77777<Enter>");
    assert_shows(&desk, "Ctrl-Q leaves, what was typed is kept, and your login lets you in again.");
    desk_keys(&desk, "<Ctrl-Q>");
    assert_true(desk.ui.ending);
    desk_stand_up(&desk);
    desk.headless = (struct headless){.rows = 24, .columns = 80};
    doors_come(&desk, "ben");
    assert_shows(&desk, "was not saved");
    desk_close(&desk);
}

/* A PIN only goes on with a session. */
static void a_pin_begins_no_other_session(void **state)
{
    const struct secret_change change = {.pin = "40718"};
    struct desk desk;

    (void)state;
    doors_open(&desk, "door_pin_only");
    doors_come(&desk, "ben");
    doors_good(&desk, secret_change(&desk.kept.app, &change, &desk.error));
    doors_pass(&desk, 15 * MINUTE);
    desk_keys(&desk, "40718<Enter>");
    assert_shows(&desk, "Quillfeather");
    doors_pass(&desk, 12 * HOUR);
    desk_keys(&desk, "40718<Enter>");
    assert_shows(&desk, "No passphrase of yours is set: Ctrl-Q leaves, what was typed is kept");
    assert_int_equal(doors_log_rows(&desk, "sign-in-failed", "ben"), 0);
    doors_show_nobody(&desk);
    desk_close(&desk);
}

static void a_practice_of_one_is_never_locked(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "door_alone");
    ui_begin(&desk.ui);
    assert_shows(&desk, "alone: nobody is asked");
    for (int i = 0; i < 100; i++)
        doors_pass(&desk, HOUR);
    assert_shows(&desk, "Quillfeather");
    desk_keys(&desk, "<Ctrl-K>");
    assert_shows(&desk, "a lock would keep nobody out");
    assert_shows(&desk, "Quillfeather");
    assert_int_equal(desk.headless.wipes, 0);
    desk_keys(&desk, "*0");
    assert_shows(&desk, "people: 1, alone: nobody is asked");
    desk_close(&desk);
}

static void the_minutes_are_a_setting(void **state)
{
    struct config config = {.lock_minutes = 3};
    struct desk desk;

    (void)state;
    doors_open(&desk, "door_minutes");
    doors_set_secrets(&desk, "ben");
    doors_come(&desk, "ben");
    desk.ui.setup.config = &config;
    doors_pass(&desk, 3 * MINUTE - 1);
    assert_shows(&desk, "Quillfeather");
    doors_pass(&desk, 1);
    assert_shows(&desk, "springline: locked");
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_left_seat_locks_and_keeps_what_was_typed),
        cmocka_unit_test(a_key_pressed_on_a_left_seat_only_locks),
        cmocka_unit_test(ten_wrong_pins_leave_the_passphrase),
        cmocka_unit_test(somebody_else_signs_in_at_a_locked_seat),
        cmocka_unit_test(esc_at_the_door_goes_back_to_the_lock),
        cmocka_unit_test(a_session_of_twelve_hours_wants_the_passphrase),
        cmocka_unit_test(without_pin_and_passphrase_the_way_is_out),
        cmocka_unit_test(a_pin_begins_no_other_session),
        cmocka_unit_test(a_practice_of_one_is_never_locked),
        cmocka_unit_test(the_minutes_are_a_setting),
    };

    return cmocka_run_group_tests_name("lock_screen", tests, NULL, NULL);
}
