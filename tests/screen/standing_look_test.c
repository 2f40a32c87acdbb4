/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The standing set: how every screen looks. Each test walks to each screen anew. Nothing sleeps,
 * but for the time in which a bouncing key must do nothing.
 */
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "standing.h"

enum { BYTES_MEDIAN_MOST = 400 };

/* The log tells the moment and the terminal of this run, and closing a month the newest row of the
 * ledger, which is who signed in: no two are the same. */
static bool tells_now(const struct place_of_screen *place)
{
    return strncmp(place->name, "log", 3) == 0 || strcmp(place->name, "close month") == 0;
}

/* Without any attribute the text says the same: colour, bold and reverse are decoration. */
static void bear_no_colour(struct practice *practice, struct screen *screen,
                           const struct place_of_screen *place)
{
    static const char *const plain[] = {"NO_COLOR=1", NULL};
    struct text coloured = {0}, without = {0};

    standing_rows(screen, STANDING_ROWS, &coloured);
    for (int row = 0; row < STANDING_ROWS; row++) {
        for (int column = 0; column < STANDING_COLUMNS; column++)
            assert_false(screen_cell_at(screen, row, column).blink);
    }
    screen_free(screen);
    practice_close(practice);
    practice_open(practice, "no_colour");
    screen = practice_screen(practice, STANDING_ROWS, STANDING_COLUMNS, plain);
    places_go(screen, place, true);
    standing_rows(screen, STANDING_ROWS, &without);
    if (!tells_now(place) && strcmp(text_string(&coloured), text_string(&without)) != 0)
        fail_msg("%s: other words without colour\n%s\n%s", place->name, text_string(&coloured),
                 text_string(&without));
    for (int row = 0; row < STANDING_ROWS; row++) {
        for (int column = 0; column < STANDING_COLUMNS; column++) {
            struct screen_cell cell = screen_cell_at(screen, row, column);
            assert_int_equal(cell.foreground, SCREEN_DEFAULT_COLOUR);
            assert_int_equal(cell.background, SCREEN_DEFAULT_COLOUR);
        }
    }
    text_release(&coloured);
    text_release(&without);
    standing_hang_up(screen, place->name);
}

static void no_colour(void **state)
{
    (void)state;
    standing_each("no_colour", STANDING_ROWS, STANDING_COLUMNS, NULL, bear_no_colour);
}

/* The cursor is seen, and stands on the row that has the focus: never on an empty one. */
static void bear_focus(struct practice *practice, struct screen *screen,
                       const struct place_of_screen *place)
{
    struct screen_place cursor = screen_cursor(screen);

    (void)practice;
    assert_true(screen_cursor_visible(screen));
    if (screen_row(screen, cursor.row)[0] == '\0') {
        screen_dump(screen, place->name);
        fail_msg("%s: the cursor stands on an empty row", place->name);
    }
    standing_hang_up(screen, place->name);
}

static void cursor_on_the_focus(void **state)
{
    (void)state;
    standing_each("focus", STANDING_ROWS, STANDING_COLUMNS, NULL, bear_focus);
    standing_each("focus", 12, 40, NULL, bear_focus);
    standing_each("focus", 43, 132, NULL, bear_focus);
}

static int compare_sizes(const void *a, const void *b)
{
    size_t one = *(const size_t *)a, other = *(const size_t *)b;

    return one < other ? -1 : one > other;
}

/* Bytes on the wire for a key that moves: their median. */
static size_t bytes_a_key(struct screen *screen)
{
    enum { KEYS = 21 };
    size_t bytes[KEYS];

    for (int i = 0; i < KEYS; i++) {
        size_t before = screen_bytes(screen);
        assert_true(screen_press(screen, i < KEYS / 2 ? "\033[B" : "\033[A"));
        bytes[i] = screen_bytes(screen) - before;
    }
    qsort(bytes, KEYS, sizeof bytes[0], compare_sizes);
    return bytes[KEYS / 2];
}

static bool is_gap(const struct screen_cell *cell)
{
    return cell->character == ' ' || cell->character == 0;
}

/* " ^" or " v", underlined, a word of its own. */
static bool is_sort_mark(struct screen *screen, int row, int column)
{
    struct screen_cell mark = screen_cell_at(screen, row, column),
                       before = screen_cell_at(screen, row, column - 1),
                       after = screen_cell_at(screen, row, column + 1);

    return (mark.character == '^' || mark.character == 'v') && mark.underline && before.underline &&
           is_gap(&before) && is_gap(&after);
}

/* The head of the column that a list is sorted by, the word before its underlined mark; false: the
 * list is in its own order. */
static bool sorted_by(struct screen *screen, char head[STANDING_COLUMNS + 1])
{
    for (int row = 0; row < STANDING_ROWS; row++) {
        for (int column = 2; column < STANDING_COLUMNS; column++) {
            if (!is_sort_mark(screen, row, column))
                continue;
            snprintf(head, STANDING_COLUMNS + 1, "%.*s", column - 1, screen_row(screen, row));
            const char *word = strrchr(head, ' ');
            if (word != NULL)
                memmove(head, word + 1, strlen(word));
            return true;
        }
    }
    return false;
}

static void is_few(const struct place_of_screen *place, const char *order, size_t bytes)
{
    if (place->list)
        print_message("# figure: %s, %s: %zu bytes a key\n", place->name, order, bytes);
    if (bytes > BYTES_MEDIAN_MOST)
        fail_msg("%s, %s: %zu bytes a key", place->name, order, bytes);
}

/* A list in each of its orders, from its first row down. */
static void bear_bytes(struct practice *practice, struct screen *screen,
                       const struct place_of_screen *place)
{
    enum { ORDERS_MOST = 24 };
    char head[STANDING_COLUMNS + 1] = "";
    int orders = 0;

    (void)practice;
    assert_false(sorted_by(screen, head));
    is_few(place, "its own order", bytes_a_key(screen));
    while (place->list && orders < ORDERS_MOST) {
        assert_true(screen_press(screen, "\t"));
        if (!sorted_by(screen, head))
            break;
        assert_true(screen_press(screen, "\033[H"));
        is_few(place, head, bytes_a_key(screen));
        orders++;
    }
    assert_true(!place->list || (orders > 0 && orders < ORDERS_MOST));
    standing_hang_up(screen, place->name);
}

static void few_bytes_a_key(void **state)
{
    /* The random keys left lists in an order of their own, which is remembered: not here. */
    static const char *const forgetful[] = {"XDG_STATE_HOME=/dev/null", NULL};

    (void)state;
    standing_each("bytes", STANDING_ROWS, STANDING_COLUMNS, forgetful, bear_bytes);
}

/* The screen can be reached and is drawn on every kind of terminal and in both locales. */
static void bear_being_there(struct practice *practice, struct screen *screen,
                             const struct place_of_screen *place)
{
    (void)practice;
    standing_hang_up(screen, place->name);
}

static void terminals_and_locales(void **state)
{
    static const char *const kinds[][3] = {
        {"TERM=screen", NULL},        {"TERM=tmux-256color", NULL}, {"TERM=linux", NULL},
        {"TERM=vt100", NULL},         {"TERM=xterm-odd", NULL},     {"LC_ALL=C", NULL},
        {"SPRINGLINE_ASCII=1", NULL},
    };

    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++)
        standing_each("kinds", STANDING_ROWS, STANDING_COLUMNS, kinds[i], bear_being_there);
}

/* At the least size the title and the footer stand, and something between them. */
static void bear_least_size(struct practice *practice, struct screen *screen,
                            const struct place_of_screen *place)
{
    int filled = 0;

    (void)practice;
    for (int row = 0; row < 12; row++)
        filled += screen_row(screen, row)[0] != '\0';
    if (screen_row(screen, 0)[0] == '\0' || screen_row(screen, 11)[0] == '\0' || filled < 4) {
        screen_dump(screen, place->name);
        fail_msg("%s: too little is seen at 40 x 12", place->name);
    }
    standing_hang_up(screen, place->name);
}

static void least_size(void **state)
{
    (void)state;
    standing_each("least", 12, 40, NULL, bear_least_size);
}

/* Through a shell with job control: stopped, resized, taken up again. */
static void suspended(void **state)
{
    static const char *const arguments[] = {"-i", NULL};
    const char *program = getenv("SPRINGLINE_PROGRAM");
    char command[PRACTICE_PATH + 100];

    (void)state;
    for (int i = 0; i < places_of_screens_count; i++) {
        struct practice practice = {0};
        practice_open(&practice, "suspended");
        const char *const environment[] = {practice.today, "PS1=prompt: ", "ENV", NULL};
        struct screen_options options = {
            .program = "/bin/sh", .arguments = arguments, .environment = environment};
        struct screen *screen = screen_start(&options);
        assert_non_null(screen);
        assert_true(screen_wait_text(screen, SCREEN_ANY_ROW, "prompt:", 0));
        snprintf(command, sizeof command, "clear; %s --store %s\r",
                 program == NULL ? "build/springline" : program, practice.path);
        assert_true(screen_send(screen, command, strlen(command)));
        assert_true(screen_wait_ready(screen, 0));
        places_go(screen, &places_of_screens[i], true);
        assert_true(screen_send(screen, "\032", 1));
        assert_true(screen_wait_text(screen, SCREEN_ANY_ROW, "prompt:", 0));
        assert_false(screen_alternate(screen));
        assert_true(screen_resize(screen, 30, 100));
        assert_true(screen_send(screen, "fg\r", 3));
        assert_true(screen_wait_text(screen, SCREEN_ANY_ROW, places_of_screens[i].shown, 0));
        assert_true(screen_alternate(screen));
        screen_free(screen);
        practice_close(&practice);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_colour),       cmocka_unit_test(cursor_on_the_focus),
        cmocka_unit_test(few_bytes_a_key), cmocka_unit_test(terminals_and_locales),
        cmocka_unit_test(least_size),      cmocka_unit_test(suspended),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
