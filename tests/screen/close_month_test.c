/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A month of the demo practice closed in a real terminal, and what the screens and the shell say of
 * it: before, after, and when something came in since. The figures of October are those of
 * tests/cli/golden/audit.csv.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "practice.h"

static const char *const changes[] = {"--format", "csv",       "audit", "--month",
                                      "2026-10",  "--changes", NULL};
static const char *const figures[] = {"--format", "csv", "audit", "--month", "2026-10", NULL};
static const char *const verify[] = {"verify", NULL};

static void leave(struct screen *screen)
{
    assert_true(screen_send(screen, "\021", 1));
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    screen_free(screen);
}

/* A visit of October that came late. */
static void import_late(struct practice *practice)
{
    char path[PRACTICE_PATH + 8];
    const char *const import[] = {"import", path, NULL};

    snprintf(path, sizeof path, "%s.csv", practice->path);
    FILE *file = fopen(path, "we");
    assert_non_null(file);
    assert_true(fputs("case,date,kind,arch,right_mm,left_mm,tissue,hardware\r\n"
                      "C-0035,2026-10-20,check,upper,,,none,intact\r\n",
                      file) >= 0);
    assert_int_equal(fclose(file), 0);
    if (practice_run(practice, import) != 0)
        fail_msg("%s", practice->output);
    assert_int_equal(unlink(path), 0);
}

static void it_is_closed_and_stays_as_it_was_signed(void **state)
{
    static char before[PRACTICE_OUTPUT];
    struct practice practice;

    (void)state;
    practice_open(&practice, "close_month");
    assert_int_equal(practice_run(&practice, figures), 0);
    snprintf(before, sizeof before, "%s", practice.output);
    assert_int_equal(practice_run(&practice, changes), 1); /* not closed */

    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    practice_type(screen, "*7");
    practice_shows(screen, "Audit of 2026-10: 40 cases, not closed");
    practice_type(screen, "*7");
    practice_shows(screen, "Close 2026-10: 2026-10-01 to 2026-10-31.");
    practice_shows(screen, "40 cases: below the minimum 4 (2 LOW), unknown 5, not seen 3, meeting");
    practice_type(screen, "\r");
    practice_shows(screen, "2026-10 is closed and signed by ");
    practice_shows(screen, "Audit of 2026-10: 40 cases, as closed");
    practice_shows(screen, "nothing changed since the close");
    leave(screen);

    assert_int_equal(practice_run(&practice, verify), 0);
    assert_non_null(strstr(practice.output, "closed months: 1, every one as it was signed"));
    assert_int_equal(practice_run(&practice, changes), 1); /* nothing */
    import_late(&practice);
    assert_int_equal(practice_run(&practice, changes), 0);
    assert_non_null(strstr(practice.output, "C-0035,visits,"));
    assert_int_equal(practice_run(&practice, figures), 0);
    assert_non_null(strstr(practice.output, "2026-10 is closed "));
    assert_non_null(strstr(practice.output, before)); /* the rows are those of before */
    assert_int_equal(practice_run(&practice, verify), 0);

    screen = practice_screen(&practice, 24, 80, NULL);
    practice_type(screen, "*7");
    practice_shows(screen, "since the close 1 case changed");
    practice_type(screen, "*8");
    practice_shows(screen, "C-0035  visits: closed ");
    leave(screen);
    practice_close(&practice);
}

/* On the smallest screen the state of the month stands in the title, and the review in pages. */
static void it_can_be_closed_on_the_smallest_screen(void **state)
{
    struct practice practice;

    (void)state;
    practice_open(&practice, "close_small");
    struct screen *screen = practice_screen(&practice, 12, 40, NULL);
    practice_type(screen, "*7");
    practice_shows(screen, "Audit of 2026-10: 40 cases, not closed");
    practice_type(screen, "*7");
    practice_shows(screen, "Close 2026-10");
    practice_shows(screen, "more below: . or PageDown");
    practice_type(screen, "..");
    practice_shows(screen, "Decision support only");
    practice_type(screen, "1"); /* the keypad alone */
    practice_shows(screen, "Audit of 2026-10: 40 cases, as closed");
    leave(screen);
    practice_close(&practice);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_is_closed_and_stays_as_it_was_signed),
        cmocka_unit_test(it_can_be_closed_on_the_smallest_screen),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
