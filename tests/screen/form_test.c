/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Forms of the demo practice in a real terminal: a fit sheet on the keypad alone, a mistyped width
 * corrected, a form through a kill and a dropped line, and at other sizes. C-0035 is the demo's
 * case without trouble: an upper expander in place, none in the lower arch. What must stand in the
 * store is what was typed (interchange.md's columns); the molars of the lower arch are 46 and 36 by
 * ISO 3950. The keys are our own design, no source.
 */
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "practice.h"

static const char *const verify_arguments[] = {"verify", NULL};
static const char *const expanders_arguments[] = {"export", "expanders", NULL};
static const char *const widths_arguments[] = {"export", "widths", NULL};

/* From the day's list to a form of C-0035. */
static const char to_fit[] = "0035*1*6";
static const char fit_row[] = "C-0035,lower,2026-11-18,2026-11-23,2026-11-25,yes,yes,yes,yes,yes,"
                              "0.70,6.50,6.25,both,,intermolar,fossa,46-36,46.00,,,";

static void assert_holds(struct practice *practice, const char *const *arguments, const char *text,
                         bool wanted)
{
    assert_int_equal(practice_run(practice, arguments), 0);
    if ((strstr(practice->output, text) != NULL) != wanted)
        fail_msg("%s: %s\n%s", wanted ? "missing" : "not wanted", text, practice->output);
}

static void assert_sound(struct practice *practice)
{
    int status = practice_run(practice, verify_arguments);

    if (status != 0)
        fail_msg("verify: status %d: %s", status, practice->output);
}

static void a_fit_sheet_on_the_keypad(void **state)
{
    static const char keypad[] = "0123456789.,+-*/\r";
    static const char typed[] = "2"                        /* lower */
                                "1118\r1123\r\r\r\r"       /* separators, bands, teeth, sizes */
                                "1125\r\r6.5\r6,25\r11111" /* fitted, wire, loops, five checks */
                                "1\r12"                    /* both; no gap; intermolar, fossa */
                                "46\r";                    /* target */
    struct practice practice = {0};

    (void)state;
    for (const char *at = typed; *at != '\0'; at++)
        assert_non_null(strchr(keypad, *at));
    practice_open(&practice, "form_keypad");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    practice_type(screen, to_fit);
    practice_shows(screen, "C-0035  Copperkettle, Isolde   Fit sheet");
    practice_shows(screen, "born 2017-06-11, 9 years");
    practice_shows(screen, "Decision support only");
    practice_type(screen, typed);
    practice_shows(screen, "Enter or 1 saves");
    assert_holds(&practice, expanders_arguments, fit_row, false); /* not before it is said */
    practice_type(screen, "\r");
    practice_shows(screen, "Saved: ");
    practice_shows(screen, "lower"); /* the case, with it */
    screen_free(screen);
    assert_holds(&practice, expanders_arguments, fit_row, true);
    assert_sound(&practice);
    practice_close(&practice);
}

static void a_mistyped_width_is_corrected(void **state)
{
    static const char before[] = "C-0035,2026-10-30,upper,intermolar,gingival,16-26,mouth,1,34.25,";
    static const char after[] = "C-0035,2026-10-30,upper,intermolar,gingival,16-26,mouth,1,33.25,";
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "form_width");
    assert_holds(&practice, widths_arguments, before, true);
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    practice_type(screen, "0035*134.25\r1"); /* found by the value that is wrong */
    practice_shows(screen, "[34.25");        /* where the slip is, not the key of the record */
    practice_shows(screen, "was 34.25 mm");
    practice_type(screen, "335.2\r"); /* a slip once more */
    practice_shows(screen, "[335.2");
    practice_type(screen, "33.25\r\r");
    practice_shows(screen, "write why, then Enter");
    practice_shows(screen, "34.25 mm -> 33.25 mm");
    practice_type(screen, "\r"); /* not without */
    practice_shows(screen, "write why, in a few words");
    practice_type(screen, "read from the wrong line\r");
    practice_shows(screen, "because: read from the wrong line");
    practice_type(screen, "\r");
    practice_shows(screen, "Saved: width of 2026-10-30, upper 33.25 mm");
    practice_shows(screen, "reason: read from the wrong line");
    practice_pass(screen, 160);
    assert_true(screen_send(screen, "\033", 1)); /* the search finds it no more: it is shown */
    assert_true(screen_wait_ready(screen, 0));
    practice_shows(screen, "> 2026-10-30 width    upper intermolar gingival 16-26 33.25");
    practice_shows(screen, "corrected");
    practice_type(screen, "corrected");
    practice_shows(screen, "> 2026-10-30 width    upper intermolar gingival 16-26 33.25");
    practice_shows(screen, "since 2026-10-05; corrected 2026");
    screen_free(screen);
    assert_int_equal(practice_run(&practice, (const char *const[]){"chart", "C-0035", NULL}), 0);
    assert_non_null(strstr(practice.output, "repeat 1, corrected: read from the wrong line"));
    assert_holds(&practice, widths_arguments, after, true);
    assert_holds(&practice, widths_arguments, before, false);
    assert_sound(&practice);
    practice_close(&practice);
}

/* Types into a form, ends the program by end, starts it again: the form is offered whole. */
static void survives(const char *name, void (*end)(struct screen *screen), const char *typed,
                     const char *kept)
{
    struct practice practice = {0};

    practice_open(&practice, name);
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    practice_type(screen, to_fit);
    practice_type(screen, typed);
    end(screen);
    screen_free(screen);
    assert_sound(&practice);

    screen = practice_screen(&practice, 24, 80, NULL);
    practice_type(screen, to_fit);
    practice_shows(screen, "was begun and not saved");
    practice_type(screen, "\r");
    practice_shows(screen, "2026-11-18");
    practice_shows(screen, kept);
    practice_type(screen, "\033");
    practice_shows(screen, "Not saved yet. Leave?");
    practice_pass(screen, 160);
    practice_type(screen, "--"); /* asked twice */
    practice_type(screen, "*6");
    assert_false(screen_find(screen, SCREEN_ANY_ROW, "not saved", NULL));
    screen_free(screen);
    assert_sound(&practice);
    practice_close(&practice);
}

static void end_by_kill(struct screen *screen)
{
    assert_true(screen_signal(screen, SIGKILL));
    assert_int_equal(screen_wait_exit(screen, 0), -SIGKILL);
}

static void end_by_line(struct screen *screen)
{
    screen_close_master(screen);
    assert_int_equal(screen_wait_exit(screen, 0), 0);
}

/* Every field that was left is kept, whatever happens. */
static void a_killed_form_is_offered_again(void **state)
{
    (void)state;
    survives("form_killed", end_by_kill, "21118\r1123\r", "2026-11-23");
}

/* When the line drops, the field being typed is kept too. */
static void a_dropped_line_loses_nothing(void **state)
{
    (void)state;
    survives("form_dropped", end_by_line, "21118\r1123\r\r34", "band size right");
}

/* The cursor stands on what is typed, the one it is about stays in sight, at every size. */
static void it_works_at_every_size(void **state)
{
    static const struct {
        int rows, columns;
    } sizes[] = {{12, 40}, {43, 132}, {24, 60}, {60, 200}, {24, 80}};
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "form_sizes");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    practice_type(screen, to_fit);
    practice_type(screen, "2");
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        assert_true(screen_resize(screen, 1, 1));
        assert_true(screen_wait_ready(screen, 0));
        practice_type(screen, "9"); /* nobody types blind */
        assert_true(screen_resize(screen, sizes[i].rows, sizes[i].columns));
        assert_true(screen_wait_ready(screen, 0));
        struct screen_place cursor = screen_cursor(screen), label;
        assert_true(screen_find(screen, cursor.row, "separators on", &label));
        assert_int_equal(screen_cell_at(screen, cursor.row, cursor.column - 1).character, '[');
        assert_true(screen_cursor_visible(screen));
        practice_shows(screen, "C-0035  Copperkettle, Isolde");
        practice_shows(screen, "Fit sheet");
        practice_shows(screen, "born 2017-06-11, 9 years");
        practice_shows(screen, "arch");     /* the field before */
        practice_shows(screen, "bands on"); /* and the field behind */
    }
    screen_free(screen);
    practice_close(&practice);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_fit_sheet_on_the_keypad),
        cmocka_unit_test(a_mistyped_width_is_corrected),
        cmocka_unit_test(a_killed_form_is_offered_again),
        cmocka_unit_test(a_dropped_line_loses_nothing),
        cmocka_unit_test(it_works_at_every_size),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
