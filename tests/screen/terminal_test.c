/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What a terminal can do to the program: kinds, sizes, character sets, colours, keys in all their
 * spellings, broken input, suspend. Sequences: ECMA-48 and the control sequences of the VT220 and
 * xterm families; NO_COLOR as its page says: set and not empty.
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
#include <sqlite3.h>

#include "kept_store.h"
#include "practice.h"

static void leave(struct screen *screen)
{
    assert_true(screen_send(screen, "\021", 1)); /* Ctrl-Q */
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    screen_free(screen);
}

/* Starts over a store of its own with this environment and expects it to end with status. */
static void ends_with(const char *name, const char *const *environment, int status,
                      const char *sentence)
{
    struct practice practice = {0};
    const char *all[8];
    int count = 0;

    practice_open(&practice, name);
    const char *const arguments[] = {"--store", practice.path, NULL};
    all[count++] = practice.today;
    for (; *environment != NULL && count < 7; environment++)
        all[count++] = *environment;
    all[count] = NULL;
    struct screen_options options = {
        .program = getenv("SPRINGLINE_PROGRAM"), .arguments = arguments, .environment = all};
    struct screen *screen = screen_start(&options);
    assert_non_null(screen);
    assert_int_equal(screen_wait_exit(screen, 0), status);
    assert_false(screen_alternate(screen));
    practice_shows(screen, sentence);
    screen_free(screen);
    practice_close(&practice);
}

static void kinds_of_terminal(void **state)
{
    static const char *const good[] = {"xterm-256color", "xterm-unheard-of", "screen", "linux",
                                       "vt100"};
    struct practice practice = {0};

    (void)state;
    ends_with("no_term", (const char *const[]){"TERM", NULL}, 3, "TERM is not set");
    ends_with("empty_term", (const char *const[]){"TERM=", NULL}, 3, "TERM is not set");
    ends_with("odd_term", (const char *const[]){"TERM=unheard-of", NULL}, 3, "TERM=unheard-of");
    ends_with("dumb_term", (const char *const[]){"TERM=dumb", NULL}, 3, "can not place");
    practice_open(&practice, "kinds");
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        char term[64];
        snprintf(term, sizeof term, "TERM=%s", good[i]);
        struct screen *screen =
            practice_screen(&practice, 24, 80, (const char *const[]){term, NULL});
        practice_shows(screen, "C-0035");
        leave(screen);
    }
    practice_close(&practice);
}

/* Not every table is looked at for the first screen. One that is not as it must be is told before
 * a key is taken: what was typed ahead does nothing. */
static void a_lacking_store_ends_before_any_key(void **state)
{
    struct practice practice = {0};
    struct text told = {0};

    (void)state;
    practice_open(&practice, "lacking");
    assert_int_equal(0, practice_run(&practice, (const char *const[]){"verify", NULL}));
    assert_int_equal(SQLITE_OK,
                     kept_raw(practice.path, true, "ALTER TABLE width RENAME COLUMN um TO length"));
    const char *const arguments[] = {"--store", practice.path, NULL};
    const char *const environment[] = {practice.today, NULL};
    struct screen_options options = {.program = getenv("SPRINGLINE_PROGRAM"),
                                     .arguments = arguments,
                                     .environment = environment};
    struct screen *screen = screen_start(&options);
    assert_non_null(screen);
    assert_true(screen_send(screen, "\r17", 3));
    assert_int_equal(screen_wait_exit(screen, 0), 3);
    assert_false(screen_alternate(screen));
    /* The path may break the sentence anywhere. */
    for (int row = 0; row < 24; row++)
        text_addf(&told, "%-80s", screen_row(screen, row));
    assert_non_null(strstr(text_string(&told), "does not hold the tables of this program"));
    text_release(&told);
    assert_int_equal(0, screen_ready_count(screen));
    screen_free(screen);
    assert_int_equal(0, kept_number(practice.path, "SELECT count(*) FROM draft"));
    practice_close(&practice);
}

static void fixed_dates(void **state)
{
    struct practice practice = {0};

    (void)state;
    ends_with("bad_date", (const char *const[]){"SPRINGLINE_TODAY=2026-02-30", NULL}, 2,
              "2026-02-30");
    practice_open(&practice, "date");
    struct screen *screen =
        practice_screen(&practice, 24, 80, (const char *const[]){"SPRINGLINE_TODAY", NULL});
    assert_false(screen_find(screen, SCREEN_ANY_ROW, "date fixed", NULL));
    leave(screen);
    screen = practice_screen(&practice, 12, 40, NULL);
    practice_shows(screen, "date fixed: 2026-11-25");
    leave(screen);
    practice_close(&practice);
}

static bool has_colour(struct screen *screen)
{
    for (int row = 0; row < 24; row++) {
        for (int column = 0; column < 80; column++) {
            struct screen_cell cell = screen_cell_at(screen, row, column);
            if (cell.foreground != SCREEN_DEFAULT_COLOUR ||
                cell.background != SCREEN_DEFAULT_COLOUR)
                return true;
        }
    }
    return false;
}

/* Colour is decoration: the same text stands there without it. */
static void colours(void **state)
{
    static const struct {
        const char *const environment[3];
        bool coloured;
    } rows[] = {{{NULL}, true},
                {{"NO_COLOR=", NULL}, true},
                {{"NO_COLOR=1", NULL}, false},
                {{"TERM=vt100", NULL}, false},
                {{"TERM=linux", NULL}, true},
                {{"TERM=xterm-direct", NULL}, true}};
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "colours");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct screen *screen = practice_screen(&practice, 24, 80, rows[i].environment);
        assert_true(screen_keys(screen, "0035\r"));
        practice_shows(screen, "are sound: PROCEED");
        assert_int_equal(has_colour(screen), rows[i].coloured);
        /* Words are in the terminal's own colours on any background. */
        struct screen_place place;
        assert_true(screen_find(screen, SCREEN_ANY_ROW, "PROCEED", &place));
        struct screen_cell cell = screen_cell_at(screen, place.row, place.column);
        assert_int_equal(cell.foreground, SCREEN_DEFAULT_COLOUR);
        assert_int_equal(cell.background, SCREEN_DEFAULT_COLOUR);
        screen_free(screen);
    }
    practice_close(&practice);
}

static void character_sets(void **state)
{
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "charset");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    practice_shows(screen, "Lj\xC3\xB3s\xC3\xA1lfabrekka, \xC3\x9Drr");
    assert_false(screen_find(screen, SCREEN_ANY_ROW, "locale", NULL));
    leave(screen);
    screen = practice_screen(&practice, 24, 80, (const char *const[]){"LC_ALL=C", NULL});
    practice_shows(screen, "The locale names no UTF-8");
    practice_shows(screen, "Lj\xC3\xB3s\xC3\xA1lfabrekka, \xC3\x9Drr");
    leave(screen);
    screen = practice_screen(&practice, 24, 80, (const char *const[]){"SPRINGLINE_ASCII=1", NULL});
    practice_shows(screen, "letters are shown without their marks");
    practice_shows(screen, "Ljosalfabrekka, Yrr");
    assert_true(screen_press(screen, "lj\xC3\xB3s")); /* typed with its mark, shown without */
    assert_true(screen_wait_text(screen, 1, "find: ljos", 0));
    practice_shows(screen, "1 found");
    for (int row = 0; row < 24; row++) {
        for (const char *at = screen_row(screen, row); *at != '\0'; at++)
            assert_true((unsigned char)*at < 0x80);
    }
    leave(screen);
    practice_close(&practice);
}

struct spelling {
    const char *bytes;
    const char *shown;
};

/* Each on a fresh list: what stands there afterwards. */
static void keys_in_every_spelling(void **state)
{
    static const struct spelling rows[] = {
        {"\033Op\033Op\033Os\033Ou", "find: 0035"}, /* the keypad in application mode */
        {"00\x7F", "find: 0"},
        {"00\b", "find: 0"},
        {"\xC4\x85", "find: \xC4\x85"}, /* U+0105 has the number of an arrow's key code */
        {"\xC4\x82k", "find: \xC4\x82k"},
        {"\xE9\xBD\xBF", "find: \xE9\xBD\xBF"},
        {"\xFF\xC4\x80\x80k", "find: \xC4\x80k"}, /* broken UTF-8 eats no key */
        {"\xC4k", "find: k"},
        {"\033[99;3qk", "find: k"}, /* sequences nobody knows are swallowed whole */
        {"\033[?62;4ck", "find: k"},
        {"\033[<0;3;4Mk", "find: k"},
        {"\033]0;title\007k", "find: k"},
        {"\033P1$r0m\033\\k", "find: k"},
        {"\033Oj6copp", "find: copp"}, /* keypad * opens the menu; 6 is the recall list */
        {"\033[[Ak", "find: k"},
        {"\033[12\033[Bk", "find: k"}, /* a broken one does not swallow the next */
        {"\033[1~k", "find: k"},
        {"C-0035", "find: C-0035"},
        {"\023\021", NULL}, /* Ctrl-S does not freeze: Ctrl-Q leaves */
    };
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "spelling");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct screen *screen = practice_screen(&practice, 24, 80, NULL);
        assert_true(screen_send(screen, rows[i].bytes, strlen(rows[i].bytes)));
        if (rows[i].shown == NULL) {
            assert_int_equal(screen_wait_exit(screen, 0), 0);
        } else {
            assert_true(screen_wait_text(screen, 1, rows[i].shown, 0));
            assert_string_equal(screen_row(screen, 1), rows[i].shown);
        }
        screen_free(screen);
    }
    practice_close(&practice);
}

static void moving_in_every_spelling(void **state)
{
    static const char *const down[] = {"\033[B", "\033OB", "+", "\033Ok"};
    static const char *const end[] = {"\033[F", "\033OF", "\033[4~", "\033[8~"};
    static const char *const home[] = {"\033[H", "\033OH", "\033[1~", "\033[7~"};
    static const char *const enter[] = {"\r", "\n", "\033OM"};
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "moving");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    for (size_t i = 0; i < 4; i++) {
        assert_true(screen_press(screen, home[i]));
        practice_shows(screen, "> 08:00 C-0016");
        assert_int_equal(screen_cursor(screen).row, 3);
        assert_true(screen_press(screen, down[i]));
        practice_shows(screen, "> 08:30 C-0047");
        assert_int_equal(screen_cursor(screen).row, 4);
        assert_true(screen_press(screen, end[i]));
        assert_false(screen_find(screen, SCREEN_ANY_ROW, "> 08", NULL));
        assert_true(screen_cursor(screen).row > 15);
    }
    assert_true(screen_press(screen, "\033[5~"));
    assert_true(screen_press(screen, "\033[6~"));
    assert_true(screen_press(screen, home[0]));
    for (size_t i = 0; i < sizeof enter / sizeof enter[0]; i++) {
        assert_true(screen_press(screen, enter[i]));
        practice_shows(screen, "wear: days met:");
        assert_true(screen_press(screen, "\033"));
        practice_shows(screen, "> 08:00 C-0016");
        practice_pass(screen, 160); /* an Enter that bounces would open nothing */
    }
    assert_true(screen_cursor_visible(screen));
    leave(screen);
    practice_close(&practice);
}

/* A lone ESC is known after ESCDELAY: 25 ms, where curses alone takes 1000. */
/* Behind the empty search stands who is asked here. */
static void assert_searches_nothing(struct screen *screen)
{
    assert_memory_equal(screen_row(screen, 1), "find:       ", 12);
}

static void esc_acts_at_once(void **state)
{
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "esc");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    assert_true(screen_press(screen, "k"));
    int64_t sent = screen_now_ns();
    assert_true(screen_press(screen, "\033"));
    double ms = (double)(screen_ready_at_ns(screen) - sent) / 1e6;
    assert_searches_nothing(screen);
    print_message("# ESC: %.1f ms\n", ms);
    assert_true(ms < 500.0);
    /* Cut off its ESC by a slow line, the rest of a sequence is still no text. */
    assert_true(screen_press(screen, "\033"));
    assert_true(screen_press(screen, "[B"));
    assert_searches_nothing(screen);
    leave(screen);
    practice_close(&practice);
}

static void redraws_whole_on_ctrl_l(void **state)
{
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "redraw");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    size_t before = screen_bytes(screen);
    assert_true(screen_press(screen, "\033[B"));
    size_t moved = screen_bytes(screen) - before;
    before = screen_bytes(screen);
    assert_true(screen_press(screen, "\014"));
    size_t redrawn = screen_bytes(screen) - before;
    print_message("# one row down: %zu bytes, Ctrl-L: %zu bytes\n", moved, redrawn);
    assert_in_range(moved, 1, 400);
    assert_true(redrawn > 3 * moved);
    leave(screen);
    practice_close(&practice);
}

/* The whole screen, and where the cursor is. */
struct sight {
    struct screen_cell cells[24][80];
    struct screen_place cursor;
};

static void remember(struct screen *screen, struct sight *sight)
{
    memset(sight, 0, sizeof *sight);
    for (int row = 0; row < 24; row++) {
        for (int column = 0; column < 80; column++) {
            struct screen_cell cell = screen_cell_at(screen, row, column);
            sight->cells[row][column] = cell;
            if (cell.character == 0 && cell.width == 1) /* never written, or written as a blank */
                sight->cells[row][column].character = ' ';
        }
    }
    sight->cursor = screen_cursor(screen);
}

/* What a person can see of a cell: a blank shows no weight and no colour of its own. */
static bool looks_same(const struct screen_cell *one, const struct screen_cell *other)
{
    bool blank = one->character == ' ';

    return one->character == other->character && one->width == other->width &&
           one->reverse == other->reverse && one->underline == other->underline &&
           (blank || (one->bold == other->bold && one->foreground == other->foreground));
}

static void is_same(const struct sight *one, const struct sight *other)
{
    for (int row = 0; row < 24; row++) {
        for (int column = 0; column < 80; column += one->cells[row][column].width == 2 ? 2 : 1) {
            if (!looks_same(&one->cells[row][column], &other->cells[row][column]))
                fail_msg("row %d, column %d: U+%04X, whole U+%04X", row, column,
                         (unsigned)one->cells[row][column].character,
                         (unsigned)other->cells[row][column].character);
        }
    }
    assert_int_equal(one->cursor.row, other->cursor.row);
    assert_int_equal(one->cursor.column, other->cursor.column);
}

/* Only what changed is handed on from frame to frame; a new size makes the next frame whole. Both
 * must show the same, double-width characters typed into the search included. */
static void a_changed_screen_is_as_a_whole_one(void **state)
{
    static const char *const steps[] = {
        "\033[B", "\033[6~", "\033[B", "\033[5~", "a", "\344\270\255", "\346\226\207", "b",
        "\177",   "\177",    "\177",   "\033",    "?", "\033",         "35",           "\r",
        "1",      "7",       "\r",     "\033"};
    static struct sight changed, whole;
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "changed");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
        assert_true(screen_press(screen, steps[i]));
        remember(screen, &changed);
        assert_true(screen_resize(screen, 24, 79));
        assert_true(screen_wait_ready(screen, 0));
        assert_true(screen_resize(screen, 24, 80));
        assert_true(screen_wait_ready(screen, 0));
        remember(screen, &whole);
        is_same(&changed, &whole);
    }
    screen_free(screen);
    practice_close(&practice);
}

static void sizes(void **state)
{
    struct practice practice = {0};

    (void)state;
    practice_open(&practice, "sizes");
    struct screen *screen = practice_screen(&practice, 1, 1, NULL);
    assert_true(screen_press(screen, "k")); /* nobody types blind */
    assert_true(screen_resize(screen, 5, 30));
    assert_true(screen_wait_ready(screen, 0));
    practice_shows(screen, "Too small: 30 x 5.");
    assert_true(screen_resize(screen, 24, 80));
    assert_true(screen_wait_ready(screen, 0));
    assert_searches_nothing(screen);
    practice_shows(screen, "8 still booked");
    leave(screen);

    /* The terminal's own size counts, not a stale one of the environment. */
    screen =
        practice_screen(&practice, 24, 80, (const char *const[]){"LINES=10", "COLUMNS=30", NULL});
    practice_shows(screen, "8 still booked");
    leave(screen);
    practice_close(&practice);
}

/* xorshift, so that a failure can be repeated: Marsaglia, J Stat Softw 2003;8(14). */
static uint32_t next_random(uint32_t *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 17;
    *state ^= *state << 5;
    return *state;
}

static void random_sizes(void **state)
{
    struct practice practice = {0};
    uint32_t seed = 20261125;

    (void)state;
    practice_open(&practice, "random_sizes");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    for (int i = 0; i < 300; i++) {
        static const char keys[] = "\r+-0123k/*?";
        char key = keys[next_random(&seed) % (sizeof keys - 1)];
        int rows = 1 + (int)(next_random(&seed) % 60);
        int columns = 1 + (int)(next_random(&seed) % 200);
        assert_true(screen_resize(screen, rows, columns));
        assert_true(screen_wait_ready(screen, 0));
        assert_true(screen_cursor(screen).row < rows);
        assert_true(screen_send(screen, &key, 1));
        assert_true(screen_wait_ready(screen, 0));
    }
    assert_true(screen_resize(screen, 24, 80));
    assert_true(screen_press(screen, "\014"));
    assert_true(screen_signal(screen, SIGTERM));
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    screen_free(screen);
    assert_int_equal(practice_run(&practice, (const char *const[]){"verify", NULL}), 0);
    practice_close(&practice);
}

/* Any byte at all, but the four that end or stop a program on purpose. */
static void random_bytes(void **state)
{
    struct practice practice = {0};
    uint32_t seed = 35;

    (void)state;
    practice_open(&practice, "random_bytes");
    struct screen *screen = practice_screen(&practice, 24, 80, NULL);
    for (int i = 0; i < 5000; i++) {
        char byte = (char)(unsigned char)(next_random(&seed) >> 8);
        if (strchr("\003\021\032\034", byte) != NULL && byte != '\0')
            continue;
        assert_true(screen_send(screen, &byte, 1));
        if (i % 50 == 0)
            screen_drain(screen);
    }
    assert_true(screen_press(screen, "\014"));
    assert_true(screen_signal(screen, SIGTERM));
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    assert_false(screen_alternate(screen));
    screen_free(screen);
    assert_int_equal(practice_run(&practice, (const char *const[]){"verify", NULL}), 0);
    practice_close(&practice);
}

/* Ctrl-Z needs a shell with job control in between. While stopped the terminal is the shell's own
 * again; a size that changed meanwhile is noticed though no signal told of it. */
static void suspends_and_resumes(void **state)
{
    struct practice practice = {0};
    char command[PRACTICE_PATH + 100];
    const char *program = getenv("SPRINGLINE_PROGRAM");
    static const char *const arguments[] = {"-i", NULL};

    (void)state;
    practice_open(&practice, "suspend");
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
    assert_true(screen_keys(screen, "0035\r17"));
    assert_true(screen_send(screen, "\032", 1));
    assert_true(screen_wait_text(screen, SCREEN_ANY_ROW, "prompt:", 0));
    assert_false(screen_alternate(screen));
    assert_true(screen_resize(screen, 30, 100));
    assert_true(screen_send(screen, "stty -a | tr -d '\\n'\r", 22));
    assert_true(screen_wait_text(screen, SCREEN_ANY_ROW, " ixon", 0));
    assert_true(screen_send(screen, "fg\r", 3));
    assert_true(screen_wait_text(screen, 29, "Esc back", 0)); /* the footer on the new last row */
    practice_shows(screen, "[17 ");
    assert_true(screen_press(screen, "\r"));
    practice_shows(screen, "17 days");
    screen_free(screen);
    practice_close(&practice);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kinds_of_terminal),
        cmocka_unit_test(a_lacking_store_ends_before_any_key),
        cmocka_unit_test(fixed_dates),
        cmocka_unit_test(colours),
        cmocka_unit_test(character_sets),
        cmocka_unit_test(keys_in_every_spelling),
        cmocka_unit_test(moving_in_every_spelling),
        cmocka_unit_test(esc_acts_at_once),
        cmocka_unit_test(redraws_whole_on_ctrl_l),
        cmocka_unit_test(a_changed_screen_is_as_a_whole_one),
        cmocka_unit_test(sizes),
        cmocka_unit_test(random_sizes),
        cmocka_unit_test(random_bytes),
        cmocka_unit_test(suspends_and_resumes),
    };
    return cmocka_run_group_tests_name("terminal", tests, NULL, NULL);
}
