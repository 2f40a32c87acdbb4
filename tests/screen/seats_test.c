/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Two real programs over one store, each in a terminal of its own: what one saves the other sees,
 * and does not overwrite; who has a child open is told; a store that another process holds is said
 * to be waited for. C-0035 is the demo's case without trouble, C-0047 has a booking today. The
 * limits in time are the design's: told from 100 ms on, given up after 5 s.
 */
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

#include <sqlite3.h>

#include "practice.h"

static const char to_patient[] = "0035*1*a";
static const char *const verify_arguments[] = {"verify", NULL};
static const char *const patients_arguments[] = {"export", "patients", NULL};

struct two {
    struct practice practice;
    struct screen *one, *other;
};

static void sit_down(struct two *two, const char *name)
{
    *two = (struct two){.one = NULL};
    practice_open(&two->practice, name);
    two->one = practice_screen(&two->practice, 24, 80, NULL);
    two->other = practice_screen(&two->practice, 24, 80, NULL);
}

static void is_sound(struct two *two)
{
    int status = practice_run(&two->practice, verify_arguments);

    if (status != 0)
        fail_msg("verify: status %d: %s", status, two->practice.output);
}

static void stand_up(struct two *two)
{
    screen_free(two->one);
    screen_free(two->other);
    is_sound(two);
    practice_close(&two->practice);
}

static void waits_for(struct screen *screen, const char *text)
{
    if (!screen_wait_text(screen, SCREEN_ANY_ROW, text, 0))
        fail_msg("never on the screen: %s", text);
}

static bool lacks(struct screen *screen, void *text)
{
    return !screen_find(screen, SCREEN_ANY_ROW, text, NULL);
}

static void waits_without(struct screen *screen, char *text)
{
    assert_true(screen_wait(screen, lacks, text, text, 0));
}

static void exports(struct two *two, const char *text, bool wanted)
{
    assert_int_equal(practice_run(&two->practice, patients_arguments), 0);
    if ((strstr(two->practice.output, text) != NULL) != wanted)
        fail_msg("%s: %s\n%s", wanted ? "missing" : "not wanted", text, two->practice.output);
}

/* Keys that no bounce is feared of, one at once after the other; Tab takes a field and goes on. */
static void quick(struct screen *screen, const char *keys)
{
    for (; *keys != '\0'; keys++) {
        assert_true(screen_send(screen, keys, 1));
        assert_true(screen_wait_ready(screen, 0));
    }
}

/* By the page to the last field, and behind it to the reason or the review. */
static void to_review(struct screen *screen)
{
    for (int i = 0; i < 8 && lacks(screen, (char[]){"Enter or 1 saves"}) &&
                    lacks(screen, (char[]){"write why"});
         i++)
        assert_true(screen_press(screen, "\033[6~"));
}

/* Opens the form of the patient and types the second telephone, to the review. */
static void type_phone(struct screen *screen, const char *phone)
{
    practice_type(screen, to_patient);
    quick(screen, "\t\t\t\t\t\t\t"); /* from the family name */
    quick(screen, phone);
    quick(screen, "\t");
    to_review(screen);
}

/* Both seats change the second telephone of one child; the second one decides field by field. */
static void two_seats_change_one_record(void **state)
{
    struct two two;

    (void)state;
    sit_down(&two, "seats_conflict");
    practice_type(two.other, to_patient);
    type_phone(two.one, "+49 555-01");
    practice_shows(two.one, "second telephone +49 555-01");
    quick(two.other, "\t\t\t\t\t\tOma Example\t+49 555-02\t");
    to_review(two.other);
    practice_type(two.one, "\r");
    practice_shows(two.one, "Saved: ");
    exports(&two, "+49 555-01", true);
    practice_type(two.other, "\r");
    practice_shows(two.other, "was saved meanwhile: nothing is saved");
    practice_shows(two.other, "+49 555-01       ?"); /* theirs, nobody decided */
    practice_shows(two.other, "> second telephone");
    practice_shows(two.other, "Oma Example");
    exports(&two, "+49 555-02", false);
    practice_type(two.other, "\r");
    practice_shows(two.other, "was changed at both seats");
    practice_type(two.other, "1\r");
    practice_shows(two.other, "write why, then Enter");
    practice_shows(two.other, "555-01 -> +49 555-02");
    practice_type(two.other, "misheard\r\r");
    practice_shows(two.other, "Saved: ");
    exports(&two, "Oma Example", true);
    exports(&two, "+49 555-02", true);
    exports(&two, "+49 555-01", false);
    stand_up(&two);
}

/* The line drops while the page stands there: what was typed is offered again. */
static void a_dropped_line_loses_nothing(void **state)
{
    struct two two;

    (void)state;
    sit_down(&two, "seats_dropped");
    practice_type(two.other, to_patient);
    type_phone(two.one, "+49 555-01");
    quick(two.other, "\t\t\t\t\t\t\t+49 555-02\t");
    to_review(two.other);
    practice_type(two.one, "\r");
    practice_type(two.other, "\r");
    practice_shows(two.other, "+49 555-01       ?");
    screen_close_master(two.other);
    assert_int_equal(screen_wait_exit(two.other, 0), 0);
    screen_free(two.other);
    two.other = practice_screen(&two.practice, 24, 80, NULL);
    practice_type(two.other, to_patient);
    practice_shows(two.other, "was begun and not saved");
    practice_type(two.other, "\r");
    practice_shows(two.other, "+49 555-02");
    practice_shows(two.other, "was +49 555-01");
    stand_up(&two);
}

/* The row of the screen whose row begins with ">"; "" none. */
static const char *selected(struct screen *screen)
{
    for (int row = 0; row < 24; row++) {
        if (strncmp(screen_row(screen, row), "> ", 2) == 0)
            return screen_row(screen, row);
    }
    return "";
}

/* A booking made elsewhere appears on the day's list without a key, and who was selected is. */
static void lists_follow_and_keep_the_selection(void **state)
{
    char before[200], after[200];
    struct two two;

    (void)state;
    sit_down(&two, "seats_lists");
    practice_type(two.one, "++++");
    snprintf(before, sizeof before, "%s", selected(two.one));
    assert_non_null(strstr(before, "C-0"));
    practice_shows(two.one, "8 still booked");
    practice_type(two.other, "0007*4"); /* a booking of today, before all others */
    practice_type(two.other, "1125\r0730\r6");
    to_review(two.other);
    practice_type(two.other, "\r");
    practice_shows(two.other, "Saved: ");
    waits_for(two.one, "9 still booked");
    waits_for(two.one, "07:30 C-0007");
    snprintf(after, sizeof after, "%s", selected(two.one));
    assert_string_equal(before, after);
    stand_up(&two);
}

/* The case and a record stand on one screen while the other seat corrects a width. */
static void case_and_record_follow(void **state)
{
    char before[200];
    struct two two;

    (void)state;
    sit_down(&two, "seats_case");
    practice_type(two.one, "0035*1width");
    practice_shows(two.one, "gingival 16-26 34.25");
    practice_type(two.one, "+");
    snprintf(before, sizeof before, "%s", selected(two.one));
    practice_type(two.other, "0035*1width 34.25\r"); /* the record, */
    practice_shows(two.other, "version 1");
    practice_type(two.other, "1"); /* corrected */
    practice_type(two.other, "33.25\r");
    to_review(two.other);
    practice_type(two.other, "caliper misread\r");
    practice_shows(two.other, "Enter or 1 saves");
    /* Meanwhile the first seat reads the same record. */
    struct screen *third = practice_screen(&two.practice, 24, 80, NULL);
    practice_type(third, "0035*1width 34.25\r");
    practice_shows(third, "version 1");
    practice_type(two.other, "\r");
    practice_shows(two.other, "Saved: ");
    waits_for(two.one, "gingival 16-26 33.25");
    assert_string_equal(before, selected(two.one));
    waits_for(third, "version 2");
    waits_for(third, "caliper misread");
    screen_free(third);
    stand_up(&two);
}

/* Said at the head within a tick or two; a seat that is killed is still named, one that leaves is
 * not. That a killed one is forgotten: presence_test.c. */
static void who_has_it_open_is_told(void **state)
{
    struct two two;

    (void)state;
    sit_down(&two, "seats_presence");
    practice_type(two.one, "0035*1");
    waits_without(two.one, (char[]){"open at another seat"});
    practice_type(two.other, "0035*1");
    waits_for(two.one, "open at another seat since ");
    waits_for(two.other, "open at another seat since ");
    practice_type(two.other, "*2"); /* the visit */
    practice_shows(two.other, "open at another seat since ");
    practice_type(two.other, "\033");
    practice_pass(two.other, 200);
    practice_type(two.other, "*a"); /* a form */
    practice_shows(two.other, "open at another seat since ");
    assert_true(screen_send(two.one, "\033", 1));
    waits_without(two.other, (char[]){"open at another seat"});
    practice_pass(two.one, 200);
    practice_type(two.one, "0035*1");
    waits_for(two.other, "open at another seat since ");
    assert_true(screen_signal(two.one, SIGKILL));
    assert_int_equal(screen_wait_exit(two.one, 0), -SIGKILL);
    practice_pass(two.other, 500);
    practice_shows(two.other, "open at another seat since ");
    stand_up(&two);
}

/* ---- a store that is held ---- */

static sqlite3 *hold(struct two *two, const char *how)
{
    sqlite3 *holder = NULL;

    assert_int_equal(sqlite3_open(two->practice.path, &holder), SQLITE_OK);
    assert_int_equal(sqlite3_busy_timeout(holder, 5000), SQLITE_OK);
    assert_int_equal(sqlite3_exec(holder, how, NULL, NULL, NULL), SQLITE_OK);
    return holder;
}

static void let_go(sqlite3 *holder)
{
    assert_int_equal(sqlite3_exec(holder, "ROLLBACK", NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_close(holder), SQLITE_OK);
}

/* Sends the key while the store is held: the screen says so, at least after least_ms, at most after
 * a second. */
static void says_after(struct screen *screen, const char *key, int least_ms)
{
    practice_pass(screen, 300); /* the hand has left the key before */
    int64_t began = screen_now_ns();
    assert_true(screen_send(screen, key, strlen(key)));
    waits_for(screen, "Another seat is saving: waiting");
    int64_t took = (screen_now_ns() - began) / 1000000;
    if (took < least_ms || took > 1000) {
        screen_dump(screen, "told too early or too late");
        fail_msg("told after %d ms", (int)took);
    }
}

/* A save waits from the key on: it is said after 100 ms. */
static void says_that_it_waits(struct screen *screen, const char *key)
{
    says_after(screen, key, 100);
}

/* Each way to save: a form, a visit, and a draft while typing. Then it is saved all the same. */
static void every_save_says_that_it_waits(void **state)
{
    struct two two;
    sqlite3 *holder;

    (void)state;
    sit_down(&two, "seats_busy");
    /* a form */
    type_phone(two.one, "+49 555-01");
    holder = hold(&two, "BEGIN IMMEDIATE");
    says_that_it_waits(two.one, "\r");
    let_go(holder);
    waits_for(two.one, "Saved: ");
    waits_without(two.one, (char[]){"Another seat is saving"});
    exports(&two, "+49 555-01", true);
    /* a draft, when a field is left */
    practice_type(two.other, "0035*2");
    holder = hold(&two, "BEGIN IMMEDIATE");
    says_that_it_waits(two.other, "20\r");
    let_go(holder);
    waits_without(two.other, (char[]){"Another seat is saving"});
    /* a visit: of 26 days, known from the sensor; no width; sound and intact; R 1.00 L 1.00 */
    practice_type(two.other, "\r1\r001\r1\r\r\r");
    practice_shows(two.other, "Enter or 1 saves");
    holder = hold(&two, "BEGIN IMMEDIATE");
    says_that_it_waits(two.other, "\r");
    let_go(holder);
    waits_for(two.other, "Saved: C-0035");
    stand_up(&two);
}

/* Held for longer than 5 s: nothing is saved, it is said, what was typed stands, and the same key
 * saves it. Reads that are kept out at the end of a save wait as well, and are told. */
static void a_store_held_for_long_is_told(void **state)
{
    struct two two;

    (void)state;
    sit_down(&two, "seats_held");
    type_phone(two.one, "+49 555-01");
    sqlite3 *holder = hold(&two, "BEGIN EXCLUSIVE");
    says_after(two.one, "\r", 0); /* reads are kept out too: one of a tick may be waiting already */
    waits_for(two.one, "waiting, 3 s");
    waits_for(two.one, "so nothing was read or saved; try again");
    practice_shows(two.one, "second telephone +49 555-01"); /* the review stands */
    let_go(holder);
    exports(&two, "+49 555-01", false);
    practice_pass(two.one, 300);
    practice_type(two.one, "\r");
    practice_shows(two.one, "Saved: ");
    exports(&two, "+49 555-01", true);
    stand_up(&two);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_seats_change_one_record),
        cmocka_unit_test(a_dropped_line_loses_nothing),
        cmocka_unit_test(lists_follow_and_keep_the_selection),
        cmocka_unit_test(case_and_record_follow),
        cmocka_unit_test(who_has_it_open_is_told),
        cmocka_unit_test(every_save_says_that_it_waits),
        cmocka_unit_test(a_store_held_for_long_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
