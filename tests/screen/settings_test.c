/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The practice's limits and its people in a real terminal. What each setting stands on is told by
 * core/protocol.h; the width error is the demo's own (25 repeated pairs), so no published one.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "practice.h"

enum { DEAF_MS = 160 };

static struct screen *open_by(struct practice *practice, const char *name, const char *keys,
                              int rows, int columns)
{
    practice_open(practice, name);
    struct screen *screen = practice_screen(practice, rows, columns, NULL);
    assert_true(screen_keys(screen, keys));
    return screen;
}

static void leave(struct screen *screen, struct practice *practice)
{
    assert_true(screen_send(screen, "\021", 1)); /* Ctrl-Q */
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    screen_free(screen);
    practice_close(practice);
}

static void each_value_has_its_standing(void **state)
{
    struct practice practice = {0};
    struct screen *screen = open_by(&practice, "settings_standing", "*9", 24, 80);

    (void)state;
    practice_shows(screen, "settings: practice, version 2 of ");
    practice_shows(screen, "no published limit in mm per visit exists.");
    practice_shows(screen, "The licensed clinician decides.");
    assert_true(screen_find(screen, 5,
                            "> first_step_max_mm          1.00 mm        common practice", NULL));
    practice_shows(screen, "step_grain_mm              0.25 mm        practice setting");
    assert_true(screen_keys(screen, "retention"));
    practice_shows(screen, "> retention_days             180 days       published");
    practice_shows(screen, "Source of the default: ");
    assert_true(screen_keys(screen, "\025"
                                    "width error"));
    practice_shows(screen, "> width_error_mm             0.27 mm        practice setting");
    practice_shows(screen, "0.30 mm, publish");
    leave(screen, &practice);
}

/* The demo practice has 25 pairs: its own error replaces the published 0.30 mm from 10 on. */
static void the_error_of_a_width_says_whose_it_is(void **state)
{
    struct practice practice = {0};
    struct screen *screen = open_by(&practice, "settings_error", "*9width error*0", 24, 80);

    (void)state;
    practice_shows(screen, "error of measuring a width");
    practice_shows(screen, "In use: 0.27 mm, the practice's OWN, from its repeat pairs.");
    practice_shows(screen, "Own error: 0.27 mm, MDC95 0.75 mm, from 25 repeat pairs.");
    practice_shows(screen,
                   "All pairs: 25 pairs, Dahlberg 0.27 mm; bias, second reading less first,");
    practice_shows(screen, "gingival: ");
    practice_shows(screen, "landmarks are never compared");
    leave(screen, &practice);
}

/* A change asks why, and is a version that can be read again. */
static void a_change_is_a_version(void **state)
{
    struct practice practice = {0};
    struct screen *screen = open_by(&practice, "settings_change",
                                    "*9"
                                    "step_max",
                                    24, 80);

    (void)state;
    practice_shows(screen, "> first_step_max_mm");
    assert_true(screen_keys(screen, "+"));
    practice_shows(screen, "> step_max_mm");
    assert_true(screen_keys(screen, "\r"));
    practice_pass(screen, DEAF_MS);
    assert_true(screen_keys(screen, "1.75\r"));
    for (int i = 0; i < 6 && !screen_find(screen, SCREEN_ANY_ROW, "eason", NULL); i++)
        assert_true(screen_keys(screen, "\r"));
    assert_true(screen_keys(screen, "agreed at the meeting\r"));
    practice_shows(screen, "Enter or 1 saves");
    practice_pass(screen, DEAF_MS);
    assert_true(screen_keys(screen, "\r"));
    practice_shows(screen, "settings: practice, version 3 of ");
    practice_shows(screen, "> step_max_mm                1.75 mm        practice setting");
    practice_shows(screen, "2.00 mm, common ");
    practice_pass(screen, DEAF_MS);
    assert_true(screen_keys(screen, "*2"));
    practice_shows(screen, "step max: 1.75 mm");
    assert_false(screen_find(screen, SCREEN_ANY_ROW, "withdraw  ", NULL)); /* it would be refused */
    assert_true(screen_press(screen, "\033"));
    practice_shows(screen, "> step_max_mm");
    leave(screen, &practice);
}

static void people_are_added(void **state)
{
    struct practice practice = {0};
    struct screen *screen = open_by(&practice, "settings_people", "*0", 24, 80);

    (void)state;
    practice_shows(screen, "people: 1"); /* who made the store */
    assert_true(screen_keys(screen, "*"));
    practice_shows(screen, "1  add one");
    assert_true(screen_keys(screen, "1"));
    practice_pass(screen, DEAF_MS);
    assert_true(screen_keys(screen, "pia\rPia Lanternhouse\r3"));
    practice_shows(screen, "Enter or 1 saves");
    practice_pass(screen, DEAF_MS);
    assert_true(screen_keys(screen, "\r"));
    practice_shows(screen, "people: 2");
    assert_true(screen_keys(screen, "pia"));
    practice_shows(screen, "> pia          Pia Lanternhouse");
    practice_shows(screen, "desk");
    assert_true(screen_keys(screen, "*2"));
    practice_shows(screen, "name: Pia Lanternhouse");
    leave(screen, &practice);
}

/* In the menu of the settings nothing can be added. */
static void settings_are_not_added(void **state)
{
    struct practice practice = {0};
    struct screen *screen = open_by(&practice, "settings_menu", "*9*", 12, 40);

    (void)state;
    practice_shows(screen, "every version: who, when, why");
    assert_false(screen_find(screen, SCREEN_ANY_ROW, "add one", NULL));
    assert_true(screen_press(screen, "\033"));
    practice_shows(screen, "> first_step_max_mm");
    practice_shows(screen, "1.00 mm");
    leave(screen, &practice);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_value_has_its_standing),
        cmocka_unit_test(the_error_of_a_width_says_whose_it_is),
        cmocka_unit_test(a_change_is_a_version),
        cmocka_unit_test(people_are_added),
        cmocka_unit_test(settings_are_not_added),
    };
    return cmocka_run_group_tests_name("settings", tests, NULL, NULL);
}
