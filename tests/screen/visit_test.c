/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A visit of the demo practice in a real terminal: on the keypad alone, with slips, through a kill,
 * a dropped line, a request to end, and at other sizes. C-0035 is the demo's case without trouble
 * (full step permitted), C-0032 one with short wear (half a step).
 */
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "practice.h"

enum { KEYS_MOST = 25, BYTES_MEDIAN_MOST = 400, DEAF_MS = 160 };

static const char *const no_arguments[] = {NULL};
static const char *const verify_arguments[] = {"verify", NULL};
static const char *const export_arguments[] = {"export", "visits", NULL};
static const char saved_row[] = "C-0035,2026-11-25,";

struct strokes {
    int count;
    size_t bytes[200];
    double ms[200];
};

static int compare_sizes(const void *a, const void *b)
{
    size_t one = *(const size_t *)a, other = *(const size_t *)b;

    return one < other ? -1 : one > other;
}

static int compare_times(const void *a, const void *b)
{
    double one = *(const double *)a, other = *(const double *)b;

    return one < other ? -1 : one > other;
}

/* Types as a person does: key by key, a digit struck again only after the hand has left it. */
static void type(struct screen *screen, const char *keys, struct strokes *strokes)
{
    char before = '\r'; /* the key before may have been one */

    for (; *keys != '\0'; keys++) {
        if (*keys == before)
            practice_pass(screen, DEAF_MS);
        before = *keys;
        size_t bytes = screen_bytes(screen);
        int64_t sent = screen_now_ns();
        assert_true(screen_send(screen, keys, 1));
        assert_true(screen_wait_ready(screen, 0));
        if (strokes == NULL)
            continue;
        strokes->bytes[strokes->count] = screen_bytes(screen) - bytes;
        strokes->ms[strokes->count] = (double)(screen_ready_at_ns(screen) - sent) / 1e6;
        strokes->count++;
    }
}

static void leave(struct screen *screen)
{
    assert_true(screen_send(screen, "\021", 1)); /* Ctrl-Q, on the day's list */
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    assert_false(screen_alternate(screen));
    screen_free(screen);
}

static void assert_sound(struct practice *practice)
{
    int status = practice_run(practice, verify_arguments);

    if (status != 0)
        fail_msg("verify: status %d: %s", status, practice->output);
}

static bool visits_hold(struct practice *practice, const char *text)
{
    assert_int_equal(practice_run(practice, export_arguments), 0);
    return strstr(practice->output, text) != NULL;
}

static void at_most_25_keys_on_the_keypad(void **state)
{
    struct practice practice = {0};
    struct strokes strokes = {0};
    static const char keypad[] = "0123456789.,+-*/\r";

    (void)state;
    practice_open(&practice, "keypad");
    assert_false(visits_hold(&practice, saved_row));
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    practice_shows(screen, "date fixed: 2026-11-25");
    type(screen, "0035\r", &strokes);
    /* Why: before anything is typed, headed with what is not known yet. */
    practice_shows(screen, "C-0035");
    practice_shows(screen, "born ");
    practice_shows(screen, "PROCEED");
    practice_shows(screen, "if tissue and hardware are");
    practice_shows(screen, "The protocol's largest step is 2.00 mm. At most 2.00 mm.");
    practice_shows(screen, "wear since");
    practice_shows(screen, "Decision support only");
    type(screen, "20\r\r2\r00*\r*\r\r\r", &strokes);
    practice_shows(screen, "Save for ");
    practice_shows(screen, "Enter or 1 saves");
    type(screen, "\r", &strokes);
    practice_shows(screen, "Saved: C-0035");
    assert_in_range(strokes.count, 1, KEYS_MOST);
    for (const char *at = "0035\r20\r\r2\r00*\r*\r\r\r\r"; *at != '\0'; at++)
        assert_non_null(strchr(keypad, *at));
    leave(screen);
    assert_true(visits_hold(&practice, saved_row));
    assert_sound(&practice);
    practice_close(&practice);

    qsort(strokes.bytes, (size_t)strokes.count, sizeof strokes.bytes[0], compare_sizes);
    qsort(strokes.ms, (size_t)strokes.count, sizeof strokes.ms[0], compare_times);
    print_message("# visit: %d keys; bytes per key median %zu, most %zu; ms per key median %.2f, "
                  "most %.2f\n",
                  strokes.count, strokes.bytes[strokes.count / 2], strokes.bytes[strokes.count - 1],
                  strokes.ms[strokes.count / 2], strokes.ms[strokes.count - 1]);
    assert_in_range(strokes.bytes[strokes.count / 2], 1, BYTES_MEDIAN_MOST);
}

/* Both arches on one sheet: the most a visit ever asks for. */
static void at_most_25_keys_for_two_arches(void **state)
{
    struct practice practice = {0};
    struct strokes strokes = {0};

    (void)state;
    practice_open(&practice, "arches");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    type(screen, "12\r", &strokes);
    practice_shows(screen, "C-0012  ");
    practice_shows(screen, "Maximiliana-Theodolinde Rosamunde"); /* however long the family name */
    practice_shows(screen, "born 2016-04-03, 10 years");
    type(screen, "20\r\r2\r00*\r*\r\r00*\r*\r\r\r", &strokes);
    practice_shows(screen, "Save for ");
    practice_shows(screen, "lower activation");
    type(screen, "\r", &strokes);
    practice_shows(screen, "Saved: C-0012");
    assert_in_range(strokes.count, 1, KEYS_MOST);
    print_message("# visit of two arches: %d keys\n", strokes.count);
    leave(screen);
    assert_sound(&practice);
    practice_close(&practice);
}

static void slips_are_caught(void **state)
{
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "slips");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    type(screen, "0035\r99\r", NULL);
    practice_shows(screen, "days have passed since the last visit");
    type(screen, "\r", NULL); /* it stays */
    practice_shows(screen, "days have passed since the last visit");
    type(screen, "20\r\r2", NULL);
    type(screen, "44,25\r", NULL);
    practice_shows(screen, "44.25 mm is more than 2.00 mm from the last width");
    type(screen, "\r", NULL);
    practice_shows(screen, "44.25   ");
    type(screen, "0", NULL);
    practice_pass(screen, DEAF_MS);
    type(screen, "012.5\r", NULL);
    practice_shows(screen, "12.50 mm is above 5.00 mm");
    type(screen, "1,25\r", NULL);
    type(screen, "0.x\r", NULL);
    practice_shows(screen, "is not a length in mm");
    type(screen, "/", NULL);          /* back from a wrong value */
    practice_shows(screen, "[1,25 "); /* as it was typed */
    practice_shows(screen, "0.x ");
    practice_shows(screen, "wrong");
    screen_free(screen);
    assert_sound(&practice);
    practice_close(&practice);
}

static void above_permitted_wants_a_reason(void **state)
{
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "reason");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    type(screen, "0035\r\r\r", NULL); /* no wear entered, no width */
    type(screen, "1", NULL);          /* mild: half a step */
    practice_shows(screen, "REDUCE");
    type(screen, "01.5\r1\r", NULL);
    practice_pass(screen, DEAF_MS);
    type(screen, "\r\r", NULL);
    practice_shows(screen, "More than permitted. Why?");
    type(screen, "2\r\r", NULL);
    practice_shows(screen, "more than permitted, because: finding judged minor");
    type(screen, "1", NULL);
    practice_shows(screen, "Saved: C-0035");
    leave(screen);
    assert_true(visits_hold(&practice, "finding judged minor"));
    assert_sound(&practice);
    practice_close(&practice);
}

/* A stray Enter after Esc or a save opens nobody but the child just handled. C-0005 is closed and
 * on no list of the day; C-0035 is booked. The rule: the program's own. */
static void whoever_was_handled_stays_selected(void **state)
{
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "handled");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    type(screen, "0005\r", NULL); /* no visit can be entered: the case */
    practice_shows(screen, "C-0005");
    practice_pass(screen, DEAF_MS);
    type(screen, "\033", NULL);
    practice_shows(screen, "find: 0005");
    practice_shows(screen, ">       C-0005");
    practice_pass(screen, DEAF_MS);
    type(screen, "0035\r", NULL); /* typed anew, not behind what stood there */
    practice_shows(screen, "C-0035");
    type(screen, "20\r\r2\r00*\r*\r\r\r", NULL);
    practice_shows(screen, "Enter or 1 saves");
    type(screen, "\r", NULL);
    practice_shows(screen, "Saved: C-0035");
    practice_shows(screen, "> 09:00 C-0035");
    screen_free(screen);
    practice_close(&practice);
}

/* A digit meant as a search opens the sheet that is searched, not the one that is asked about. */
static void a_question_takes_no_digit(void **state)
{
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "question");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    type(screen, "0035\r20\r", NULL);
    type(screen, "\033", NULL);
    practice_pass(screen, DEAF_MS);
    type(screen, "\r", NULL);
    practice_shows(screen, "not saved yet: C-0035");
    leave(screen);

    screen = practice_screen(&practice, 24, 80, NULL);
    practice_shows(screen, "A visit of C-0035");
    type(screen, "12", NULL);
    practice_shows(screen, "find: 12");
    type(screen, "\r", NULL);
    practice_shows(screen, "C-0012  ");
    practice_shows(screen, "REDUCE");
    type(screen, "\033", NULL);
    practice_shows(screen, "not saved yet: C-0035");
    practice_shows(screen, "Copperkettle, Isolde    unsaved");
    assert_false(screen_find(screen, SCREEN_ANY_ROW, "A visit of", NULL));
    type(screen, "0035\r", NULL); /* the sheet offers it */
    practice_shows(screen, "This visit was begun and not saved");
    practice_pass(screen, DEAF_MS);
    type(screen, "-", NULL);
    practice_shows(screen, "for good?");
    practice_pass(screen, DEAF_MS);
    type(screen, "-", NULL);
    practice_shows(screen, "wear: days met:");
    type(screen, "\033", NULL);
    assert_false(screen_find(screen, SCREEN_ANY_ROW, "not saved yet", NULL));
    leave(screen);
    assert_sound(&practice);
    practice_close(&practice);
}

/* The reason is of the amounts it was given for: after any way back it is asked for again. "other"
 * alone is none. */
static void a_reason_is_asked_again(void **state)
{
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "again");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    type(screen, "0035\r\r\r101.5\r", NULL);
    practice_shows(screen, "MORE THAN PERMITTED: right 1.50");
    practice_shows(screen, "1.50 MORE");
    type(screen, "1\r\r\r6\r\r", NULL);
    practice_shows(screen, "says nothing by itself");
    practice_shows(screen, "in words:");
    type(screen, "/2\r\r", NULL);
    practice_shows(screen, "because: finding judged minor");
    type(screen, "////2\r\r\r\r", NULL);
    practice_shows(screen, "More than permitted. Why?");
    type(screen, "\r", NULL);
    practice_shows(screen, "Press the number of a reason");
    type(screen, "1\r\r", NULL);
    practice_shows(screen, "because: wear shown by other evidence");
    type(screen, "1", NULL);
    practice_shows(screen, "Saved: C-0035, more than permitted, because: wear shown");
    leave(screen);
    assert_true(visits_hold(&practice, "wear shown by other evidence"));
    assert_false(visits_hold(&practice, "finding judged minor"));
    assert_sound(&practice);
    practice_close(&practice);
}

/* The answer to a jump is of one value: typed again after another one it is asked again. */
static void a_jump_is_asked_again(void **state)
{
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "jump");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    type(screen, "0035\r\r44.25\r", NULL);
    practice_shows(screen, "44.25 mm is more than 2.00 mm from the last width");
    type(screen, "\r", NULL);
    practice_shows(screen, "upper tissue:");
    type(screen, "/34.25\r", NULL);
    practice_shows(screen, "upper tissue:");
    type(screen, "/44.25\r", NULL);
    practice_shows(screen, "44.25 mm is more than 2.00 mm from the last width");
    screen_free(screen);
    practice_close(&practice);
}

/* Types into a visit, ends the program by end, starts it again: the visit is offered whole. */
static void survives(const char *name, void (*end)(struct screen *screen), const char *typed,
                     const char *kept)
{
    struct practice practice = {0};

    practice_open(&practice, name);
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    type(screen, "0035\r20\r\r2", NULL);
    type(screen, typed, NULL);
    end(screen);
    screen_free(screen);
    assert_sound(&practice);

    screen = practice_screen(&practice, 24, 80, NULL);
    practice_shows(screen, "A visit of C-0035");
    practice_shows(screen, "was not saved");
    practice_pass(screen, DEAF_MS);
    type(screen, "\r", NULL);
    practice_shows(screen, "20 days");
    practice_shows(screen, "diary");
    practice_shows(screen, kept);
    type(screen, "\033", NULL);
    practice_shows(screen, "Not saved yet. Leave?");
    practice_pass(screen, DEAF_MS);
    type(screen, "\r", NULL);
    leave(screen);
    assert_sound(&practice);
    practice_close(&practice);
}

static void end_by_kill(struct screen *screen)
{
    assert_true(screen_signal(screen, SIGKILL));
    assert_int_equal(screen_wait_exit(screen, 0), -SIGKILL);
}

static void end_by_hang_up(struct screen *screen)
{
    screen_close_master(screen);
    assert_int_equal(screen_wait_exit(screen, 0), 0);
}

static void end_by_request(struct screen *screen)
{
    assert_true(screen_signal(screen, SIGTERM));
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    assert_false(screen_alternate(screen));
    assert_true(screen_cursor_visible(screen));
}

static void end_by_interrupt(struct screen *screen)
{
    assert_true(screen_send(screen, "\003", 1)); /* Ctrl-C */
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    assert_false(screen_alternate(screen));
}

static void survives_a_kill(void **state)
{
    (void)state;
    survives("kill", end_by_kill, "33.5\r0", "33.50");
}

static void survives_a_dropped_line(void **state)
{
    (void)state;
    survives("drop", end_by_hang_up, "33.5", "33.50"); /* with the field being typed */
}

static void survives_a_request_to_end(void **state)
{
    (void)state;
    survives("term", end_by_request, "33.5", "33.50");
}

static void survives_ctrl_c(void **state)
{
    (void)state;
    survives("interrupt", end_by_interrupt, "33.5", "33.50");
}

/* A parent that ignores the hang-up must not leave a program behind that spins on dead input. */
static void ends_though_hang_ups_are_ignored(void **state)
{
    struct practice practice = {0};
    char script[PRACTICE_PATH + 200];
    const char *program = getenv("SPRINGLINE_PROGRAM");

    (void)state;
    practice_open(&practice, "nohup");
    snprintf(script, sizeof script, "trap '' HUP; exec %s --store %s",
             program == NULL ? "build/springline" : program, practice.path);
    const char *const arguments[] = {"-c", script, NULL};
    const char *const environment[] = {practice.today, NULL};
    struct screen_options options = {
        .program = "/bin/sh", .arguments = arguments, .environment = environment};
    struct screen *screen = screen_start(&options);
    assert_non_null(screen);
    assert_true(screen_wait_ready(screen, 0));
    type(screen, "0035\r17", NULL);
    end_by_hang_up(screen);
    screen_free(screen);
    screen = practice_screen(&practice, 24, 80, NULL);
    practice_shows(screen, "A visit of C-0035");
    screen_free(screen);
    practice_close(&practice);
}

static void a_paste_never_saves(void **state)
{
    static const char paste[] = "\033[200~20\r\n24\r\n3\r\n34.25\r\n0\r\n0\r\n1\r\n1\r\n28\r\n"
                                "pasted\r\nnote\r\n\r\n1\r\n1\033[201~";
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "paste");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    assert_true(screen_press(screen, "\033[200~0035\r\n\033[201~"));
    practice_shows(screen, "find: 0035"); /* and nothing was opened */
    type(screen, "\r", NULL);
    assert_true(screen_press(screen, paste));
    assert_true(screen_wait_text(screen, SCREEN_ANY_ROW, "pasted note", 0));
    assert_false(screen_find(screen, SCREEN_ANY_ROW, "Saved", NULL));
    assert_false(screen_find(screen, SCREEN_ANY_ROW, "Save for", NULL));
    type(screen, "\033", NULL);
    practice_shows(screen, "Not saved yet. Leave?");
    screen_free(screen);
    assert_false(visits_hold(&practice, saved_row));
    practice_close(&practice);
}

static void enters_at(int rows, int columns, const char *name)
{
    struct practice practice = {0};

    practice_open(&practice, name);
    struct screen *screen = practice_screen(&practice, rows, columns, NULL);
    type(screen, "0035\r", NULL);
    practice_shows(screen, "C-0035");
    practice_shows(screen, "PROCEED");
    practice_shows(screen, "days met");
    type(screen, "20\r\r2\r00*\r*\r\r\r", NULL);
    practice_shows(screen, "Save for ");
    type(screen, "1", NULL);
    practice_shows(screen, "Saved: C-0035");
    leave(screen);
    assert_true(visits_hold(&practice, saved_row));
    practice_close(&practice);
}

static void enters_at_40_x_12(void **state)
{
    (void)state;
    enters_at(12, 40, "narrow");
}

static void enters_at_132_x_43(void **state)
{
    (void)state;
    enters_at(43, 132, "wide");
}

/* Two seats on one store: the other's save refreshes the list and keeps the selected case. */
static void sees_what_another_seat_saved(void **state)
{
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "seats");
    struct screen *one = practice_screen(&practice, 24, 80, NULL);
    struct screen *other = practice_screen(&practice, 24, 80, NULL);
    assert_true(screen_press(one, "+"));
    assert_true(screen_press(one, "+"));
    practice_shows(one, "> 09:30 C-0012");
    assert_true(screen_find(one, SCREEN_ANY_ROW, "C-0035", NULL));
    type(other, "0035\r\r\r0", NULL);
    practice_pass(other, DEAF_MS);
    type(other, "01\r1\r\r\r1", NULL);
    practice_shows(other, "Saved: C-0035");
    assert_true(screen_wait_text(one, 5, "2026-11-25", 0));
    practice_shows(one, "> 09:30 C-0012");
    screen_free(one);
    screen_free(other);
    practice_close(&practice);
}

static void without_a_terminal_it_says_what_to_do(void **state)
{
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "pipe");
    assert_int_equal(practice_run(&practice, no_arguments), 3);
    assert_non_null(strstr(practice.output, "terminal"));
    assert_non_null(strstr(practice.output, "springline recall"));
    assert_int_equal(strcspn(practice.output, "\n"), strlen(practice.output) - 1);
    practice_close(&practice);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(at_most_25_keys_on_the_keypad),
        cmocka_unit_test(at_most_25_keys_for_two_arches),
        cmocka_unit_test(slips_are_caught),
        cmocka_unit_test(above_permitted_wants_a_reason),
        cmocka_unit_test(whoever_was_handled_stays_selected),
        cmocka_unit_test(a_question_takes_no_digit),
        cmocka_unit_test(a_reason_is_asked_again),
        cmocka_unit_test(a_jump_is_asked_again),
        cmocka_unit_test(survives_a_kill),
        cmocka_unit_test(survives_a_dropped_line),
        cmocka_unit_test(survives_a_request_to_end),
        cmocka_unit_test(survives_ctrl_c),
        cmocka_unit_test(ends_though_hang_ups_are_ignored),
        cmocka_unit_test(a_paste_never_saves),
        cmocka_unit_test(enters_at_40_x_12),
        cmocka_unit_test(enters_at_132_x_43),
        cmocka_unit_test(sees_what_another_seat_saved),
        cmocka_unit_test(without_a_terminal_it_says_what_to_do),
    };
    return cmocka_run_group_tests_name("visit", tests, NULL, NULL);
}
