/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The standing set: what every screen must bear. Each test walks to each screen anew. Nothing
 * sleeps, but for the time in which a bouncing key must do nothing. The sequences are those of
 * ECMA-48, the VT220 and the xterm family; the sizes and counts are our own.
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

#include "kept_store.h"
#include "places.h"

enum { ROWS = 24, COLUMNS = 80, BYTES_MEDIAN_MOST = 400 };

/* xorshift, so that a failure can be repeated: Marsaglia, J Stat Softw 2003;8(14). */
static uint32_t next_random(uint32_t *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 17;
    *state ^= *state << 5;
    return *state;
}

/* Ends by a hang-up, which every screen must take. */
static void hang_up(struct screen *screen, const char *name)
{
    screen_close_master(screen);
    if (screen_wait_exit(screen, 0) != 0)
        fail_msg("%s: a dropped line did not end it", name);
    screen_free(screen);
}

/* And finds the store sound, where something may have been written. */
static void end_and_verify(struct practice *practice, struct screen *screen, const char *name)
{
    hang_up(screen, name);
    if (practice_run(practice, (const char *const[]){"verify", NULL}) != 0)
        fail_msg("%s: %s", name, practice->output);
}

typedef void (*bearer)(struct practice *practice, struct screen *screen,
                       const struct place_of_screen *place);

/* Walks to every screen and lets it bear something. */
/* The order that keys struck at random gave a list is remembered by the program, and is none of the
 * next screen's. */
static void forget_orders(void)
{
    const char *state = getenv("XDG_STATE_HOME");
    char path[PRACTICE_PATH];

    assert_non_null(state);
    snprintf(path, sizeof path, "%s/springline/lists", state);
    (void)unlink(path);
}

static void each_screen(const char *name, int rows, int columns, const char *const *environment,
                        bearer bear)
{
    for (int i = 0; i < places_of_screens_count; i++) {
        const struct place_of_screen *place = &places_of_screens[i];
        struct practice practice = {0};

        forget_orders();
        practice_open(&practice, name);
        struct screen *screen = practice_screen(&practice, rows, columns, environment);
        places_go(screen, place, rows >= ROWS);
        bear(&practice, screen, place);
        practice_close(&practice);
    }
}

static void text_of(struct screen *screen, int rows, struct text *out)
{
    text_clear(out);
    for (int row = 0; row < rows; row++)
        text_addf(out, "%s\n", screen_row(screen, row));
}

/* Says of every screen that is not where it should be, so that one run shows all. */
static void every_screen_is_there(void **state)
{
    int missing = 0;

    (void)state;
    for (int i = 0; i < places_of_screens_count; i++) {
        const struct place_of_screen *place = &places_of_screens[i];
        struct practice practice = {0};
        practice_open(&practice, "there");
        struct screen *screen = practice_screen(&practice, ROWS, COLUMNS, NULL);
        places_go(screen, place, false);
        if (!screen_find(screen, SCREEN_ANY_ROW, place->shown, NULL)) {
            print_message("# %s: \"%s\" is not on the screen\n", place->name, place->shown);
            screen_dump(screen, place->name);
            missing++;
        }
        screen_free(screen);
        practice_close(&practice);
    }
    assert_int_equal(missing, 0);
}

/* Rows 1 and 16: any size is survived, "too small" is said, and the picture comes back. */
static void bear_sizes(struct practice *practice, struct screen *screen,
                       const struct place_of_screen *place)
{
    static const int sizes[][2] = {{1, 1}, {12, 40}, {60, 200}, {11, 80}, {24, 39}, {43, 132}};
    struct text before = {0}, after = {0};
    uint32_t seed = 1 + (uint32_t)(place - places_of_screens);

    (void)practice;
    text_of(screen, ROWS, &before);
    for (int i = 0; i < 30; i++) {
        int rows = i < 6 ? sizes[i][0] : 1 + (int)(next_random(&seed) % 60);
        int columns = i < 6 ? sizes[i][1] : 1 + (int)(next_random(&seed) % 200);
        assert_true(screen_resize(screen, rows, columns));
        assert_true(screen_wait_ready(screen, 0));
        struct screen_place cursor = screen_cursor(screen);
        assert_in_range(cursor.row, 0, rows - 1);
        assert_in_range(cursor.column, 0, columns - 1);
        if ((rows < 12 || columns < 40) && rows >= 4 && columns >= 20 &&
            !screen_find(screen, SCREEN_ANY_ROW, "Too small", NULL))
            fail_msg("%s: nothing said at %d x %d", place->name, columns, rows);
    }
    assert_true(screen_resize(screen, ROWS, COLUMNS));
    assert_true(screen_wait_ready(screen, 0));
    text_of(screen, ROWS, &after);
    if (strcmp(text_string(&before), text_string(&after)) != 0)
        fail_msg("%s: another picture after resizing\n%s\n%s", place->name, text_string(&before),
                 text_string(&after));
    text_release(&before);
    text_release(&after);
    hang_up(screen, place->name);
}

static void any_size(void **state)
{
    (void)state;
    each_screen("size", ROWS, COLUMNS, NULL, bear_sizes);
}

/* Every key once: no key may end the program but the one that is for it, which is not sent. */
static void bear_every_key(struct practice *practice, struct screen *screen,
                           const struct place_of_screen *place)
{
    static const char *const sequences[] = {
        "\033[A",   "\033[B",       "\033[C",   "\033[D",  "\033OA",    "\033OB",
        "\033[H",   "\033[F",       "\033[1~",  "\033[4~", "\033[2~",   "\033[3~",
        "\033[5~",  "\033[6~",      "\033OM",   "\033Ok",  "\033Om",    "\033Oj",
        "\033Oo",   "\033[Z",       "\033OP",   "\033OQ",  "\033OR",    "\033OS",
        "\033[15~", "\033[24~",     "\033[I",   "\033[O",  "\033[1;5A", "\033[200~text\033[201~",
        "\303\244", "\344\270\255", "\033\033", "\177",    "\t"};

    for (size_t i = 0; i < sizeof sequences / sizeof sequences[0]; i++)
        assert_true(screen_press(screen, sequences[i]));
    for (int byte = 1; byte < 127; byte++) {
        char key = (char)byte;
        if (strchr("\003\021\032\033\034", key) != NULL)
            continue;
        assert_true(screen_send(screen, &key, 1));
        assert_true(screen_wait_ready(screen, 0));
        assert_true(screen_cursor_visible(screen));
    }
    end_and_verify(practice, screen, place->name);
}

static void every_key(void **state)
{
    (void)state;
    each_screen("keys", ROWS, COLUMNS, NULL, bear_every_key);
}

/* Random bytes, broken UTF-8 and broken sequences among them. */
static void bear_random_keys(struct practice *practice, struct screen *screen,
                             const struct place_of_screen *place)
{
    uint32_t seed = 77 + (uint32_t)(place - places_of_screens);

    for (int i = 0; i < 1200; i++) {
        char byte = (char)(unsigned char)(next_random(&seed) >> 8);
        /* Half of it is what a hand would press. */
        if (next_random(&seed) % 2 == 0)
            byte = "\r\r0123456789.+-*/ abk\t\033"[next_random(&seed) % 23];
        if (byte != '\0' && strchr("\003\021\032\034", byte) != NULL)
            continue;
        assert_true(screen_send(screen, &byte, 1));
        if (i % 50 == 0)
            screen_drain(screen);
    }
    assert_true(screen_press(screen, "\014"));
    end_and_verify(practice, screen, place->name);
}

static void random_keys(void **state)
{
    (void)state;
    each_screen("random", ROWS, COLUMNS, NULL, bear_random_keys);
}

static int64_t rows_kept(const struct practice *practice)
{
    return kept_number(practice->path, "SELECT count(*) FROM ledger");
}

/* Ten kilobytes of a paste, line breaks and broken sequences in it, save nothing. */
static void bear_paste(struct practice *practice, struct screen *screen,
                       const struct place_of_screen *place)
{
    struct text paste = {0};
    int64_t before = rows_kept(practice);

    text_add(&paste, "\033[200~");
    while (paste.length < 10000)
        text_add(&paste, "1\r\n2.00\n\303\n\033[ \033O 0\t\r\r1\n");
    text_add(&paste, "\033[201~");
    assert_true(screen_send(screen, text_string(&paste), paste.length));
    assert_true(screen_wait_ready(screen, 0));
    text_release(&paste);
    end_and_verify(practice, screen, place->name);
    assert_int_equal(before, rows_kept(practice));
}

static void a_paste_saves_nothing(void **state)
{
    (void)state;
    each_screen("paste", ROWS, COLUMNS, NULL, bear_paste);
}

/* Without any attribute the text says the same: colour, bold and reverse are decoration. */
static void bear_no_colour(struct practice *practice, struct screen *screen,
                           const struct place_of_screen *place)
{
    static const char *const plain[] = {"NO_COLOR=1", NULL};
    struct text coloured = {0}, without = {0};

    text_of(screen, ROWS, &coloured);
    for (int row = 0; row < ROWS; row++) {
        for (int column = 0; column < COLUMNS; column++)
            assert_false(screen_cell_at(screen, row, column).blink);
    }
    screen_free(screen);
    practice_close(practice);
    practice_open(practice, "no_colour");
    screen = practice_screen(practice, ROWS, COLUMNS, plain);
    places_go(screen, place, true);
    text_of(screen, ROWS, &without);
    if (strcmp(text_string(&coloured), text_string(&without)) != 0)
        fail_msg("%s: other words without colour\n%s\n%s", place->name, text_string(&coloured),
                 text_string(&without));
    for (int row = 0; row < ROWS; row++) {
        for (int column = 0; column < COLUMNS; column++) {
            struct screen_cell cell = screen_cell_at(screen, row, column);
            assert_int_equal(cell.foreground, SCREEN_DEFAULT_COLOUR);
            assert_int_equal(cell.background, SCREEN_DEFAULT_COLOUR);
        }
    }
    text_release(&coloured);
    text_release(&without);
    hang_up(screen, place->name);
}

static void no_colour(void **state)
{
    (void)state;
    each_screen("no_colour", ROWS, COLUMNS, NULL, bear_no_colour);
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
    hang_up(screen, place->name);
}

static void cursor_on_the_focus(void **state)
{
    (void)state;
    each_screen("focus", ROWS, COLUMNS, NULL, bear_focus);
    each_screen("focus", 12, 40, NULL, bear_focus);
    each_screen("focus", 43, 132, NULL, bear_focus);
}

static int compare_sizes(const void *a, const void *b)
{
    size_t one = *(const size_t *)a, other = *(const size_t *)b;

    return one < other ? -1 : one > other;
}

/* Bytes on the wire for a key that moves. */
static void bear_bytes(struct practice *practice, struct screen *screen,
                       const struct place_of_screen *place)
{
    enum { KEYS = 21 };
    size_t bytes[KEYS];

    (void)practice;
    for (int i = 0; i < KEYS; i++) {
        size_t before = screen_bytes(screen);
        assert_true(screen_press(screen, i < KEYS / 2 ? "\033[B" : "\033[A"));
        bytes[i] = screen_bytes(screen) - before;
    }
    qsort(bytes, KEYS, sizeof bytes[0], compare_sizes);
    if (bytes[KEYS / 2] > BYTES_MEDIAN_MOST)
        fail_msg("%s: %zu bytes a key", place->name, bytes[KEYS / 2]);
    hang_up(screen, place->name);
}

static void few_bytes_a_key(void **state)
{
    /* The random keys left lists in an order of their own, which is remembered: not here. */
    static const char *const forgetful[] = {"XDG_STATE_HOME=/dev/null", NULL};

    (void)state;
    each_screen("bytes", ROWS, COLUMNS, forgetful, bear_bytes);
}

/* The screen can be reached and is drawn on every kind of terminal and in both locales. */
static void bear_being_there(struct practice *practice, struct screen *screen,
                             const struct place_of_screen *place)
{
    (void)practice;
    hang_up(screen, place->name);
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
        each_screen("kinds", ROWS, COLUMNS, kinds[i], bear_being_there);
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
    hang_up(screen, place->name);
}

static void least_size(void **state)
{
    (void)state;
    each_screen("least", 12, 40, NULL, bear_least_size);
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
        cmocka_unit_test(every_screen_is_there),
        cmocka_unit_test(any_size),
        cmocka_unit_test(every_key),
        cmocka_unit_test(random_keys),
        cmocka_unit_test(a_paste_saves_nothing),
        cmocka_unit_test(no_colour),
        cmocka_unit_test(cursor_on_the_focus),
        cmocka_unit_test(few_bytes_a_key),
        cmocka_unit_test(terminals_and_locales),
        cmocka_unit_test(least_size),
        cmocka_unit_test(suspended),
    };

    /* Random keys may write the sheet of a month where the program stands. */
    if (chdir(getenv("TMPDIR")) != 0)
        return 1;
    return cmocka_run_group_tests(tests, NULL, NULL);
}
