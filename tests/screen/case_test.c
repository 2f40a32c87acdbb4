/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The case and the record of the demo practice in a real terminal. What each case shows is told in
 * demo/README.md: C-0018 without a trainer and narrower than before, C-0035 without trouble, C-0012
 * with two arches, C-0014 with a second expander, C-0001 closed, C-0031 with open faults.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "practice.h"

enum { BOUNCE_MS = 160 };

/* Key by key; '~' waits until a bounce of the key before would be over. */
static void type(struct screen *screen, const char *keys)
{
    for (; *keys != '\0'; keys++) {
        if (*keys == '~') {
            practice_pass(screen, BOUNCE_MS);
            continue;
        }
        assert_true(screen_send(screen, keys, 1));
        assert_true(screen_wait_ready(screen, 0));
    }
}

static struct screen *open_case(struct practice *practice, const char *name, int rows, int columns,
                                const char *number)
{
    practice_open(practice, name);
    struct screen *screen = practice_screen(practice, rows, columns, NULL);
    type(screen, number);
    type(screen, "*1~");
    return screen;
}

static void close_case(struct practice *practice, struct screen *screen)
{
    screen_free(screen);
    practice_close(practice);
}

static void assert_hides(struct screen *screen, const char *text)
{
    if (screen_find(screen, SCREEN_ANY_ROW, text, NULL)) {
        screen_dump(screen, text);
        fail_msg("on the screen: %s", text);
    }
}

static void a_troubled_case_at_80_x_24(void **state)
{
    struct practice practice = {0};

    (void)state;
    struct screen *screen = open_case(&practice, "case_0018", 24, 80, "0018");
    practice_shows(screen, "born 2018-05-15, 8 years");
    practice_shows(screen, "ALERT: epilepsy");
    practice_shows(screen, "if tissue and hardware are sound: HOLD  permitted R 0.00 L 0.00");
    practice_shows(screen, "No trainer is current today");
    practice_shows(screen, "Missing: a current trainer");
    practice_shows(screen, "3 activations, R 3.00 L 3.00");
    practice_shows(screen, "OVERDUE by 14 days; booked 2026-11-25 15:30");
    practice_shows(screen, "LOW, 1 of 4 days met (told, runs high)");
    practice_shows(screen, "Also held by: wear low, wear run, width loss");
    practice_shows(screen, "33.45 on 2026-10-28, -1.45 since 2026-09-02, +1.60 since the fit;");
    practice_shows(screen, "7.55 to the target 41.00");
    practice_shows(screen, "Decision support only");
    close_case(&practice, screen);
}

static void a_case_without_trouble_at_80_x_24(void **state)
{
    struct practice practice = {0};

    (void)state;
    struct screen *screen = open_case(&practice, "case_0035", 24, 80, "0035");
    practice_shows(screen, "PROCEED  permitted R 2.00 L 2.00 mm");
    practice_shows(screen, "3 activations, R 3.25 L 3.25");
    practice_shows(screen, "FULL, 24 of 26 days met (sensor)");
    practice_shows(screen, "34.25 on 2026-10-30, +1.78 since 2026-10-05, +3.35 since the fit;");
    practice_shows(screen, "6.75 to the target 41.00");
    assert_hides(screen, "SAFETY");
    /* Of an imported case nobody knows what the family said. */
    practice_shows(screen, "missing: health questions asked on 2026-07-15, answers not recorded.");
    assert_hides(screen, "missing: a");
    /* The cusp width of the same day is another measure: 48.90 is no change from 30.90. */
    type(screen, "width");
    practice_shows(screen, "cusp 16-26 48.90, cast");
    practice_shows(screen, "gingival 16-26 30.90");
    close_case(&practice, screen);
}

static void two_arches_at_80_x_24(void **state)
{
    struct practice practice = {0};

    (void)state;
    struct screen *screen = open_case(&practice, "case_0012", 24, 80, "0012");
    practice_shows(screen, "upper, if tissue and hardware are sound: REDUCE");
    practice_shows(screen, "lower, if tissue and hardware are sound: REDUCE");
    practice_shows(screen, "7 activations, R 5.50 L 5.50");
    practice_shows(screen, "3 activations, R 2.50 L 2.50");
    practice_shows(screen, "upper 39.90");
    practice_shows(screen, "lower 41.35");
    practice_shows(screen, "Decision support only");
    close_case(&practice, screen);
}

static void a_second_expander_and_a_closed_case(void **state)
{
    struct practice practice = {0};

    (void)state;
    struct screen *screen = open_case(&practice, "case_0014", 24, 80, "0014");
    practice_shows(screen, "upper active: fitted 2026-09-25"); /* the one in place */
    practice_shows(screen, "2 activations since this");
    practice_shows(screen, "fit, R 1.75 L 1.75; 5 activations of the arch in all, R 4.75 L 4.75");
    practice_shows(screen, "> 2026-09-25 expander");
    practice_shows(screen, "upper out 2026-09-11 (repair)");
    close_case(&practice, screen);
    screen = open_case(&practice, "case_0001", 24, 80, "0001");
    practice_shows(screen, "CLOSED 2026-09-18 (finished)");
    assert_hides(screen, "permitted R");
    close_case(&practice, screen);
}

/* Whatever alarms stands there whole, and the list has room. */
static void nothing_that_alarms_is_lost_at_40_x_12(void **state)
{
    struct practice practice = {0};

    (void)state;
    struct screen *screen = open_case(&practice, "case_0018_small", 12, 40, "0018");
    practice_shows(screen, "C-0018");
    practice_shows(screen, "born 2018-05-15");
    practice_shows(screen, "ALERT: epilepsy");
    practice_shows(screen, "upper if sound: HOLD R 0.00 L 0.00");
    practice_shows(screen, "missing: trainer");
    practice_shows(screen, "2026-06-24");
    close_case(&practice, screen);
    screen = open_case(&practice, "case_0031_small", 12, 40, "0031");
    practice_shows(screen, "SAFETY: wound or fault open"); /* a loose band and a bent wire */
    practice_shows(screen, "upper if sound: HOLD");
    practice_shows(screen, "Esc back  ? keys date fixed"); /* dropped whole, never cut */
    type(screen, "trainer");
    practice_shows(screen, "trainer: issued"); /* the column that says it has no room */
    close_case(&practice, screen);
}

static void a_record_and_back_on_the_keypad(void **state)
{
    struct practice practice = {0};

    (void)state;
    struct screen *screen = open_case(&practice, "case_record", 24, 80, "0035");
    type(screen, "++");
    practice_shows(screen, "> 2026-10-30 visit");
    type(screen, "\r~");
    practice_shows(screen, "visit of 2026-10-30, case C-0035");
    practice_shows(screen, "right: 1.25 mm");
    practice_shows(screen, "2 withdraw");
    type(screen, "\033");
    practice_shows(screen, "> 2026-10-30 visit");
    close_case(&practice, screen);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_troubled_case_at_80_x_24),
        cmocka_unit_test(a_case_without_trouble_at_80_x_24),
        cmocka_unit_test(two_arches_at_80_x_24),
        cmocka_unit_test(a_second_expander_and_a_closed_case),
        cmocka_unit_test(nothing_that_alarms_is_lost_at_40_x_12),
        cmocka_unit_test(a_record_and_back_on_the_keypad),
    };
    return cmocka_run_group_tests_name("case", tests, NULL, NULL);
}
