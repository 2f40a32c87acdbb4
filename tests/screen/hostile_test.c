/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Hostile text on every screen: a practice in every text column of which stands what
 * tests/support/hostile.h lists, put there behind the program's back. Of all that the program sends
 * to the terminal nothing steers it but the program's own sequences (those that curses sends for
 * xterm-256color, and the ready mark), and what is seen is what is stored, spelled out (CWE-150).
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

#include "hostile.h"
#include "kept_store.h"
#include "places.h"
#include "printable.h"

enum { PARAMETER_MOST = 1049, CELLS_AHEAD = 14, SEEN_LEAST = 36 };

static struct practice spoilt;

/* ---- what was sent ---- */

/* The end of a control sequence behind its ESC [: parameters and a final byte that curses sends. */
static const char *own_sequence(const char *at, const char *end)
{
    long number = 0;

    for (; at < end && *at >= 0x20 && *at < 0x40; at++) {
        if (*at >= '0' && *at <= '9')
            number = number * 10 + (*at - '0');
        else
            number = 0;
        if (number > PARAMETER_MOST && number != 2004)
            return NULL;
    }
    return at < end && strchr("ABCDGHIJKLMPSTXZbdfghlmrt", *at) != NULL ? at + 1 : NULL;
}

/* The end of the sequence that begins with ESC at at; NULL: it is none of the program's. */
static const char *skip_sequence(const char *at, const char *end)
{
    static const char mark[] = "]777;ready;";

    at++;
    if (at >= end)
        return NULL;
    if (*at == '[')
        return own_sequence(at + 1, end);
    if (*at == '(' && at + 1 < end && (at[1] == 'B' || at[1] == '0'))
        return at + 2;
    if (strchr("=>78M", *at) != NULL)
        return at + 1;
    if ((size_t)(end - at) < sizeof mark || memcmp(at, mark, sizeof mark - 1) != 0)
        return NULL;
    for (at += sizeof mark - 1; at < end && *at >= '0' && *at <= '9'; at++) {
    }
    return at < end && *at == '\a' ? at + 1 : NULL;
}

/* Every byte is text that may be seen, curses moving its cursor, or a sequence of the program. */
static void check_sent(const char *name, const char *bytes, size_t length, bool plain)
{
    const char *end = bytes + length;
    const char *why = NULL;

    for (const char *at = bytes; at < end;) {
        size_t run = 0;
        while (at + run < end && strchr("\033\r\n\b\t", at[run]) == NULL)
            run++;
        if (!printable(at, run, false, NULL, &why))
            fail_msg("%s: %s was sent: %.*s", name, why, (int)run, at);
        for (size_t i = 0; plain && i < run; i++)
            assert_true((unsigned char)at[i] < 0x80);
        at += run;
        if (at < end && *at == '\033') {
            const char *behind = skip_sequence(at, end);
            if (behind == NULL)
                fail_msg("%s: a sequence that is none of ours: ESC %.12s", name, at + 1);
            at = behind;
        } else {
            at++;
        }
    }
}

/* ---- what is seen ---- */

static bool is_blank(const struct screen_cell *cell)
{
    return cell->character == ' ' || cell->character == 0;
}

/* Behind the mark a piece is spelled out: no blank may follow there, and then the other mark. */
static void check_mark(struct screen *screen, const char *name, int row, int column, int columns)
{
    bool blank = false;
    struct screen_cell cell = screen_cell_at(screen, row, column + 2);

    if (column + 2 >= columns || !is_blank(&cell))
        return;
    for (int i = 2; i < CELLS_AHEAD && column + i + 1 < columns; i++) {
        struct screen_cell one = screen_cell_at(screen, row, column + i),
                           two = screen_cell_at(screen, row, column + i + 1);
        blank = blank || (one.character == 'Z' && two.character == 'q');
    }
    if (!blank)
        return;
    screen_dump(screen, name);
    fail_msg("%s: row %d: a piece is seen as a blank", name, row);
}

/* Every row is printable; returns how often hostile text stands there. */
static int check_seen(struct screen *screen, const char *name, int rows, int columns)
{
    const char *why = NULL;
    int seen = 0;

    for (int row = 0; row < rows; row++) {
        const char *text = screen_row(screen, row);
        if (!printable(text, strlen(text), false, NULL, &why)) {
            screen_dump(screen, name);
            fail_msg("%s: row %d shows %s", name, row, why);
        }
        for (int column = 0; column + 1 < columns; column++) {
            struct screen_cell one = screen_cell_at(screen, row, column),
                               two = screen_cell_at(screen, row, column + 1);
            if (one.character != 'q' || two.character != 'Z')
                continue;
            check_mark(screen, name, row, column, columns);
            seen++;
        }
    }
    return seen;
}

/* ---- every screen ---- */

/* The number of a case is spoilt as well. */
static void check_there(struct screen *screen, const struct place_of_screen *place)
{
    const char *shown = strncmp(place->shown, "C-00", 4) == 0 ? "C" HOSTILE_BEFORE : place->shown;

    if (screen_find(screen, SCREEN_ANY_ROW, shown, NULL))
        return;
    screen_dump(screen, place->name);
    fail_msg("%s: not on the screen: %s", place->name, shown);
}

static struct screen *start(const struct practice *practice, const char *more, FILE *log)
{
    const char *const arguments[] = {"--store", practice->path, NULL};
    const char *const environment[] = {practice->today, more, NULL};
    const struct screen_options options = {
        .arguments = arguments, .environment = environment, .log = log};
    struct screen *screen = screen_start(&options);

    assert_non_null(screen);
    assert_true(screen_wait_ready(screen, 0));
    return screen;
}

/* One screen: as it comes, turned over, narrow and wide. Returns how much hostile text was seen. */
static int bear_hostile_text(const struct place_of_screen *place, const char *more, bool plain)
{
    static const int sizes[][2] = {{12, 40}, {43, 132}};
    struct practice practice = {0};
    char *bytes = NULL;
    size_t length = 0;
    FILE *log = open_memstream(&bytes, &length);

    assert_non_null(log);
    practice_open(&practice, "hostile");
    kept_copy(spoilt.path, practice.path);
    struct screen *screen = start(&practice, more, log);
    places_go(screen, place, false);
    /* A spoilt store is not signed: the refusal, on the screen below, is looked at instead. */
    if (strcmp(place->name, "close month") != 0)
        check_there(screen, place);
    int seen = check_seen(screen, place->name, 24, 80);
    assert_true(screen_press(screen, "\033[6~"));
    seen += check_seen(screen, place->name, 24, 80);
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        assert_true(screen_resize(screen, sizes[i][0], sizes[i][1]));
        assert_true(screen_wait_ready(screen, 0));
        seen += check_seen(screen, place->name, sizes[i][0], sizes[i][1]);
    }
    screen_close_master(screen);
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    screen_free(screen);
    assert_int_equal(fclose(log), 0);
    check_sent(place->name, bytes, length, plain);
    free(bytes);
    practice_close(&practice);
    return seen;
}

static void every_screen(const char *more, bool plain)
{
    int with = 0;

    for (int i = 0; i < places_of_screens_count; i++)
        with += bear_hostile_text(&places_of_screens[i], more, plain) > 0;
    print_message("# figure: hostile text was seen, spelled out, on %d of %d screens%s\n", with,
                  places_of_screens_count, plain ? " (ASCII)" : "");
    assert_true(with >= SEEN_LEAST);
}

static void no_screen_lets_hostile_text_steer(void **state)
{
    (void)state;
    every_screen("LC_ALL=C.UTF-8", false);
}

static void nor_in_ascii(void **state)
{
    (void)state;
    every_screen("SPRINGLINE_ASCII=1", true);
}

/* The check itself would see it: raw pieces, sent by something else. */
static void the_check_sees_raw_text(void **state)
{
    int refused = 0;

    (void)state;
    for (size_t i = 0; i < hostile_piece_count; i++) {
        const struct hostile_piece *piece = &hostile_pieces[i];
        const char *at = piece->bytes, *end = at + strlen(at);
        bool good = printable(at, strlen(at), false, NULL, NULL);
        const char *sequence = strchr(at, '\033');
        assert_true(good != piece->refused || strstr(at, "\xCC\x81\xCC\x81") != NULL);
        if (sequence != NULL)
            assert_null(skip_sequence(sequence, end));
        refused += piece->refused;
    }
    assert_true(refused > 40);
}

/* ---- what is typed ---- */

/* Pastes the pieces into the reason of a correction, with a pile of marks or without, and Enter. */
static struct screen *paste_reason(const struct practice *practice, bool pile, FILE *log)
{
    struct text paste = {0};
    struct screen *screen = start(practice, "LC_ALL=C.UTF-8", log);

    practice_type(screen, "0035*134.25\r133.25\r");
    practice_type(screen, "\r");
    practice_shows(screen, "write why, then Enter");
    text_add(&paste, "\033[200~read wrongly ");
    for (size_t i = 0; i < hostile_piece_count; i++) {
        const char *piece = hostile_pieces[i].bytes;
        /* Of controls the kernel takes Ctrl-Z itself; the others are keys, and tested as such. */
        if (hostile_pieces[i].refused && strpbrk(piece, "\033\r\n\t\x1A") == NULL &&
            (pile || strstr(piece, "\xCC\x81") == NULL))
            text_add(&paste, piece);
    }
    text_add(&paste, "\033[201~");
    assert_true(screen_send(screen, paste.data, paste.length));
    assert_true(screen_wait_ready(screen, 0));
    check_seen(screen, "a paste", 24, 80);
    practice_type(screen, "\r");
    text_release(&paste);
    return screen;
}

/* What no text may hold is left out of a line that is typed; a pile is refused in a sentence, for
 * none of its marks is wrong by itself. */
static void what_is_pasted_is_not_stored(void **state)
{
    struct practice practice = {0};
    char *bytes = NULL;
    size_t length = 0;
    FILE *log = open_memstream(&bytes, &length);
    const char *why = NULL;

    (void)state;
    practice_open(&practice, "pasted");
    struct screen *screen = paste_reason(&practice, true, log);
    practice_type(screen, "\r");
    practice_shows(screen, "are marks piled on one letter; take them out.");
    screen_free(screen);
    practice_close(&practice);
    practice_open(&practice, "pasted");
    screen = paste_reason(&practice, false, log);
    practice_type(screen, "\r");
    practice_shows(screen, "Saved: width of 2026-10-30");
    screen_free(screen);
    assert_int_equal(fclose(log), 0);
    check_sent("a paste", bytes, length, false);
    free(bytes);
    assert_int_equal(practice_run(&practice, (const char *const[]){"chart", "C-0035", NULL}), 0);
    assert_non_null(strstr(practice.output, "corrected: read wrongly qZ"));
    if (!printable(practice.output, strlen(practice.output), true, NULL, &why))
        fail_msg("%s was stored and printed", why);
    practice_close(&practice);
}

/* ---- the practice ---- */

/* With a visit that was judged here, a correction with its reason, and a form that was left. */
static int make_spoilt(void **state)
{
    (void)state;
    if (chdir(getenv("TMPDIR")) != 0)
        return 1;
    practice_open(&spoilt, "spoilt");
    struct screen *screen = practice_screen(&spoilt, 24, 80, NULL);
    practice_type(screen, "0035\r20\r\r2\r00*\r*\r\r\r\r");
    practice_shows(screen, "Saved: C-0035");
    screen_free(screen);
    screen = practice_screen(&spoilt, 24, 80, NULL);
    practice_type(screen, "0007*1*0"); /* a width, begun and left */
    practice_type(screen, "\r\r\r35");
    screen_close_master(screen);
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    screen_free(screen);
    assert_true(hostile_spoil(spoilt.path));
    return 0;
}

static int drop_spoilt(void **state)
{
    (void)state;
    practice_close(&spoilt);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_check_sees_raw_text),
        cmocka_unit_test(no_screen_lets_hostile_text_steer),
        cmocka_unit_test(nor_in_ascii),
        cmocka_unit_test(what_is_pasted_is_not_stored),
    };

    return cmocka_run_group_tests(tests, make_spoilt, drop_spoilt);
}
