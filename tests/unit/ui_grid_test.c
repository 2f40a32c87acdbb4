/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The cell grid and the wrapped text in it. Cells of characters: Unicode 15 as glibc 2.36 counts
 * them (checked character by character in text_test.c). Controls as escapes: CWE-150.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "springline/ui/grid.h"
#include "springline/ui/panel.h"

static struct grid make(int rows, int columns)
{
    struct grid grid = {0};

    assert_true(grid_resize(&grid, rows, columns));
    return grid;
}

static void assert_row(const struct grid *grid, int row, const char *expected)
{
    struct text text = {0};

    grid_row_text(grid, row, &text);
    assert_string_equal(text_string(&text), expected);
    text_release(&text);
}

static void puts_and_cuts(void **state)
{
    struct grid grid = make(3, 10);

    (void)state;
    assert_int_equal(grid_put(&grid, 0, 0, 10, LOOK_PLAIN, "0123456789"), 10);
    assert_row(&grid, 0, "0123456789");
    assert_int_equal(grid_put(&grid, 1, 0, 5, LOOK_BOLD, "0123456789"), 5);
    assert_row(&grid, 1, "0123~");
    assert_int_equal(grid_cell(&grid, 1, 4).look, LOOK_BOLD);
    assert_int_equal(grid_put(&grid, 2, 0, 1, LOOK_PLAIN, "ab"), 1);
    assert_row(&grid, 2, "~");
    assert_int_equal(grid_put(&grid, 2, 0, 0, LOOK_PLAIN, "ab"), 0);
    grid_put_padded(&grid, 2, 0, 6, LOOK_REVERSE, "ab");
    assert_row(&grid, 2, "ab");
    assert_int_equal(grid_cell(&grid, 2, 5).look, LOOK_REVERSE);
    assert_int_equal(grid_cell(&grid, 2, 6).look, LOOK_PLAIN);
    grid_put_right(&grid, 2, 0, 6, LOOK_PLAIN, "12");
    assert_row(&grid, 2, "    12");
    grid_release(&grid);
}

static void stays_inside(void **state)
{
    struct grid grid = make(2, 4);

    (void)state;
    grid_put(&grid, -1, 0, 4, LOOK_PLAIN, "up");
    grid_put(&grid, 2, 0, 4, LOOK_PLAIN, "down");
    grid_put(&grid, 0, -2, 6, LOOK_PLAIN, "abcd");
    grid_put(&grid, 1, 2, 100, LOOK_PLAIN, "abcd");
    assert_row(&grid, 0, "cd");
    assert_row(&grid, 1, "  ab");
    grid_look(&grid, 1, 3, 100, LOOK_BOLD);
    grid_cursor(&grid, 99, 99);
    assert_int_equal(grid.cursor_row, 1);
    assert_int_equal(grid.cursor_column, 3);
    grid_cursor(&grid, -1, -1);
    assert_int_equal(grid.cursor_row, 0);
    assert_int_equal(grid.cursor_column, 0);
    assert_int_equal(grid_cell(&grid, 5, 5).character, ' ');
    grid_release(&grid);
}

static void wide_and_combining(void **state)
{
    struct grid grid = make(4, 6);

    (void)state;
    /* U+9F7F takes two cells, e with U+0301 one. */
    assert_int_equal(grid_put(&grid, 0, 0, 6, LOOK_PLAIN,
                              "\xE9\xBD\xBF"
                              "e\xCC\x81x"),
                     4);
    assert_int_equal(grid_cell(&grid, 0, 0).width, 2);
    assert_int_equal(grid_cell(&grid, 0, 1).width, 0);
    assert_int_equal(grid_cell(&grid, 0, 2).character, 'e');
    assert_int_equal(grid_cell(&grid, 0, 2).marks[0], 0x301);
    assert_row(&grid, 0,
               "\xE9\xBD\xBF"
               "e\xCC\x81x");
    /* Half of it overwritten: the other half goes. */
    grid_put(&grid, 0, 1, 1, LOOK_PLAIN, "z");
    assert_row(&grid, 0, " ze\xCC\x81x");
    /* No half character at a cut or at the edge. */
    assert_int_equal(grid_put(&grid, 1, 0, 2, LOOK_PLAIN, "a\xE9\xBD\xBF"), 2);
    assert_row(&grid, 1, "a~");
    grid_put(&grid, 2, 5, 2, LOOK_PLAIN, "\xE9\xBD\xBF");
    assert_int_equal(grid_cell(&grid, 2, 5).width, 1);
    /* More marks than a cell keeps are left away, and a joiner is not shown. */
    grid_put(&grid, 3, 0, 6, LOOK_PLAIN,
             "a\xCC\x81\xCC\x82\xCC\x83\xCC\x84\xE2\x80\x8D"
             "b");
    assert_int_equal(grid_cell(&grid, 3, 0).marks[2], 0x303);
    assert_int_equal(grid_cell(&grid, 3, 1).character, 'b');
    grid_release(&grid);
}

static void hostile_texts_are_harmless(void **state)
{
    struct grid grid = make(4, 40);

    (void)state;
    grid_put(&grid, 0, 0, 40, LOOK_PLAIN, "a\033[2Jb\x7F");
    assert_row(&grid, 0, "a\\x1B[2Jb\\x7F");
    grid_put(&grid, 1, 0, 40, LOOK_PLAIN, "x\xE2\x80\xAEy\xC2\x9B");
    assert_row(&grid, 1, "x\\u{202E}y\\u{009B}");
    grid_put(&grid, 2, 0, 40, LOOK_PLAIN, "\xFFz\n");
    assert_row(&grid, 2, "\\xFFz\\x0A");
    assert_int_equal(grid_measure(&grid, "\xFF"), 4);
    grid_release(&grid);
}

static void plain_grid_is_ascii(void **state)
{
    struct grid grid = make(3, 30);

    (void)state;
    grid.plain = true;
    grid_put(&grid, 0, 0, 30, LOOK_PLAIN, "\xC3\x89toile S\xC3\xB8lv \xC5\x81\xC3\xB3 \xC3\x86");
    assert_row(&grid, 0, "Etoile Solv Lo Ae");
    grid_put(&grid, 1, 0, 30, LOOK_PLAIN,
             "\xE2\x80\x9Cq\xE2\x80\x9D \xE2\x94\x80\xE2\x94\x82\xE2"
             "\x94\xBC \xE2\x88\x92"
             "1 \xE9\xBD\xBF");
    assert_row(&grid, 1, "\"q\" -|+ -1 ?");
    assert_int_equal(grid_measure(&grid, "\xC3\x86"), 2);
    grid_put(&grid, 2, 0, 30, LOOK_PLAIN, "e\xCC\x81");
    assert_row(&grid, 2, "e");
    grid_release(&grid);
}

static void transliterates_letters(void **state)
{
    static const struct {
        uint32_t character;
        const char *ascii;
    } rows[] = {{'a', "a"},      {0xC0, "A"},   {0xFF, "y"},    {0x178, "Y"}, {0x141, "L"},
                {0x142, "l"},    {0x139, "L"},  {0x13A, "l"},   {0x17D, "Z"}, {0x17E, "z"},
                {0x147, "N"},    {0x148, "n"},  {0xDF, "ss"},   {0xDE, "Th"}, {0xF0, "d"},
                {0x2026, "..."}, {0x4E00, "?"}, {0x1F600, "?"}, {0x251C, "+"}};
    char ascii[8];

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_int_equal(grid_transliterate(rows[i].character, ascii), strlen(rows[i].ascii));
        assert_string_equal(ascii, rows[i].ascii);
    }
}

static void resizes(void **state)
{
    struct grid grid = make(2, 2);

    (void)state;
    grid_put(&grid, 0, 0, 2, LOOK_PLAIN, "ab");
    assert_true(grid_resize(&grid, 0, -3));
    assert_int_equal(grid.rows, 1);
    assert_int_equal(grid.columns, 1);
    assert_row(&grid, 0, "");
    struct text text = {0};
    assert_true(grid_resize(&grid, 2, 3));
    grid_put(&grid, 1, 0, 3, LOOK_PLAIN, "x");
    grid_text(&grid, &text);
    assert_string_equal(text_string(&text), "\nx\n");
    text_release(&text);
    grid_release(&grid);
}

static void wraps_at_blanks(void **state)
{
    struct grid grid = make(8, 10);
    struct panel panel = {0};

    (void)state;
    panel_add(&panel, LOOK_PLAIN, 2, "one two three fourteenletters");
    panel_add(&panel, LOOK_BOLD, 0, "");
    panel_add_marked(&panel, LOOK_PLAIN, 1, "if so: HOLD now", "HOLD now", LOOK_RED, LOOK_GREEN);
    panel_add_marked(&panel, LOOK_PLAIN, 1, "so: HOLD", "HOLD", LOOK_RED, LOOK_GREEN);
    assert_int_equal(panel_rows(&panel, &grid, 10), 8);
    assert_int_equal(panel_draw(&panel, &grid, 0, 0, 8, 10, 0), 8);
    assert_row(&grid, 0, "one two");
    assert_row(&grid, 1, "  three");
    assert_row(&grid, 2, "  fourteen");
    assert_row(&grid, 3, "  letters");
    assert_row(&grid, 4, "");
    assert_row(&grid, 5, "if so:");
    assert_row(&grid, 6, " HOLD now");
    assert_int_equal(grid_cell(&grid, 5, 0).look, LOOK_PLAIN);
    assert_int_equal(grid_cell(&grid, 6, 0).look, LOOK_PLAIN);
    for (int i = 1; i <= 8; i++)
        assert_int_equal(grid_cell(&grid, 6, i).look, LOOK_RED);
    assert_row(&grid, 7, "so: HOLD");
    assert_int_equal(grid_cell(&grid, 7, 2).look, LOOK_PLAIN);
    assert_int_equal(grid_cell(&grid, 7, 3).look, LOOK_GREEN); /* the cell before it */
    assert_int_equal(grid_cell(&grid, 7, 4).look, LOOK_RED);
    panel_release(&panel);
    grid_release(&grid);
}

/* Words say that there is more, and never over a text. */
static void says_that_there_is_more(void **state)
{
    struct grid grid = make(3, 30);
    struct panel panel = {0};

    (void)state;
    panel_add(&panel, LOOK_PLAIN, 0, "one");
    panel_add(&panel, LOOK_PLAIN, 0, "At most 1.00 mm on that side.");
    panel_add(&panel, LOOK_PLAIN, 0, "three");
    panel_add(&panel, LOOK_PLAIN, 0, "four");
    assert_int_equal(panel_draw(&panel, &grid, 0, 0, 3, 30, 0), 3);
    assert_row(&grid, 1, "At most 1.00 mm on that side.");
    assert_row(&grid, 2, "three     more below: PageDown");
    grid_erase(&grid);
    assert_int_equal(panel_draw(&panel, &grid, 0, 0, 3, 30, 1), 3);
    assert_row(&grid, 0, "            more above: PageUp"); /* the row is the words' alone */
    assert_row(&grid, 2, "four");
    grid_erase(&grid);
    panel.below = "...";
    assert_int_equal(panel_draw(&panel, &grid, 0, 0, 2, 30, 0), 2);
    assert_row(&grid, 1, "At most 1.00 mm on that sid...");
    panel_release(&panel);
    grid_release(&grid);
}

/* Every width down to one cell ends, and loses no letter. */
static void wraps_to_any_width(void **state)
{
    struct grid grid = make(1, 80);
    const char *text = "ab  \xE9\xBD\xBF cd e\xCC\x81"
                       "fghij k";

    (void)state;
    for (int width = 1; width < 30; width++) {
        const char *rest = text, *piece;
        size_t length, letters = 0;
        while ((rest = panel_wrap(&grid, rest, width, &piece, &length)) != NULL) {
            assert_true(length > 0);
            assert_int_not_equal(piece[length - 1], ' '); /* a gap is not drawn beyond the width */
            for (size_t i = 0; i < length; i++)
                letters += piece[i] != ' ';
        }
        assert_int_equal(letters, strlen("ab\xE9\xBD\xBF"
                                         "cde\xCC\x81"
                                         "fghijk"));
    }
    grid_release(&grid);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(puts_and_cuts),
        cmocka_unit_test(stays_inside),
        cmocka_unit_test(wide_and_combining),
        cmocka_unit_test(hostile_texts_are_harmless),
        cmocka_unit_test(plain_grid_is_ascii),
        cmocka_unit_test(transliterates_letters),
        cmocka_unit_test(resizes),
        cmocka_unit_test(wraps_at_blanks),
        cmocka_unit_test(says_that_there_is_more),
        cmocka_unit_test(wraps_to_any_width),
    };
    return cmocka_run_group_tests_name("ui_grid", tests, NULL, NULL);
}
