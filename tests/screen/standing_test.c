/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The standing set: what every screen must bear of keys, pastes and sizes. Each test walks to each
 * screen anew. Nothing sleeps, but for the time in which a bouncing key must do nothing. The
 * sequences are those of ECMA-48, the VT220 and the xterm family; the sizes and counts are our own.
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
#include "standing.h"

/* xorshift, so that a failure can be repeated: Marsaglia, J Stat Softw 2003;8(14). */
static uint32_t next_random(uint32_t *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 17;
    *state ^= *state << 5;
    return *state;
}

/* And finds the store sound, where something may have been written. */
static void end_and_verify(struct practice *practice, struct screen *screen, const char *name)
{
    standing_hang_up(screen, name);
    if (practice_run(practice, (const char *const[]){"verify", NULL}) != 0)
        fail_msg("%s: %s", name, practice->output);
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
        struct screen *screen = practice_screen(&practice, STANDING_ROWS, STANDING_COLUMNS, NULL);
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
    standing_rows(screen, STANDING_ROWS, &before);
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
    assert_true(screen_resize(screen, STANDING_ROWS, STANDING_COLUMNS));
    assert_true(screen_wait_ready(screen, 0));
    standing_rows(screen, STANDING_ROWS, &after);
    if (strcmp(text_string(&before), text_string(&after)) != 0)
        fail_msg("%s: another picture after resizing\n%s\n%s", place->name, text_string(&before),
                 text_string(&after));
    text_release(&before);
    text_release(&after);
    standing_hang_up(screen, place->name);
}

static void any_size(void **state)
{
    (void)state;
    standing_each("size", STANDING_ROWS, STANDING_COLUMNS, NULL, bear_sizes);
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
    standing_each("keys", STANDING_ROWS, STANDING_COLUMNS, NULL, bear_every_key);
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
    standing_each("random", STANDING_ROWS, STANDING_COLUMNS, NULL, bear_random_keys);
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
    standing_each("paste", STANDING_ROWS, STANDING_COLUMNS, NULL, bear_paste);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_screen_is_there),
        cmocka_unit_test(any_size),
        cmocka_unit_test(every_key),
        cmocka_unit_test(random_keys),
        cmocka_unit_test(a_paste_saves_nothing),
    };

    /* Random keys may write the sheet of a month where the program stands. */
    if (chdir(getenv("TMPDIR")) != 0)
        return 1;
    return cmocka_run_group_tests(tests, NULL, NULL);
}
