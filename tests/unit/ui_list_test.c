/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The shared list over rows of its own: it draws, scrolls, sorts and keeps the selected record. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "springline/ui/list.h"

struct fruit {
    uint8_t id;
    const char *name, *colour;
    int count;
};

struct basket {
    const struct fruit *fruits;
    size_t count;
    size_t *asked; /* cells drawn so far */
};

static size_t basket_rows(const void *context)
{
    return ((const struct basket *)context)->count;
}

static void basket_cell(const void *context, size_t row, int column, struct text *out)
{
    const struct basket *basket = context;
    const struct fruit *fruit = &basket->fruits[row];

    if (basket->asked != NULL)
        (*basket->asked)++;
    if (column == 0)
        text_add(out, fruit->name);
    else if (column == 1)
        text_add(out, fruit->colour);
    else
        text_addf(out, "%d", fruit->count);
}

static struct id basket_id(const void *context, size_t row)
{
    return (struct id){{((const struct basket *)context)->fruits[row].id}};
}

static const struct list_column basket_columns[] = {
    {.head = "name", .cells = 8, .stretch = true, .wish = 10},
    {.head = "colour", .cells = 6, .keep = 2},
    {.head = "count", .cells = 5, .keep = LIST_LUXURY, .right = true},
};

static const struct list_ops basket_ops = {.columns = basket_columns,
                                           .column_count = 3,
                                           .rows = basket_rows,
                                           .cell = basket_cell,
                                           .id = basket_id};

static const struct fruit fruits[] = {{1, "pear", "green", 7},
                                      {2, "Apple", "red", 12},
                                      {3, "\xC3\xA9glantine", "", 3},
                                      {4, "plum", "blue", 1}};

static void draw(struct list *list, struct grid *grid, int rows, int columns, const char *expected)
{
    struct text text = {0};

    assert_true(grid_resize(grid, rows, columns));
    list_draw(list, grid, 0, rows, columns, "nothing", true);
    grid_text(grid, &text);
    assert_string_equal(text_string(&text), expected);
    text_release(&text);
}

static void draws_and_drops_columns(void **state)
{
    struct basket basket = {.fruits = fruits, .count = 4};
    struct list list;
    struct grid grid = {0};

    (void)state;
    list_open(&list, &basket_ops, &basket);
    assert_true(list_refresh(&list));
    draw(&list, &grid, 5, 26,
         "  name        colour count\n"
         "> pear        green      7\n"
         "  Apple       red       12\n"
         "  \xC3\xA9glantine              3\n"
         "  plum        blue       1\n");
    /* The name wants 10 cells: the luxury of a count goes before that. */
    draw(&list, &grid, 3, 24,
         "  name            colour\n"
         "> pear            green\n"
         "  Apple           red\n");
    draw(&list, &grid, 3, 14, "  name\n> pear\n  Apple\n");
    draw(&list, &grid, 2, 6, "  name\n> pear\n");
    list_release(&list);
    grid_release(&grid);
}

static void cursor_is_on_the_selected_row(void **state)
{
    struct basket basket = {.fruits = fruits, .count = 4};
    struct list list;
    struct grid grid = {0};

    (void)state;
    list_open(&list, &basket_ops, &basket);
    assert_true(list_refresh(&list));
    assert_true(list_command(&list, COMMAND_LAST));
    draw(&list, &grid, 3, 14, "  name\n  \xC3\xA9glantine\n> plum\n");
    assert_int_equal(grid.cursor_row, 2);
    assert_int_equal(grid.cursor_column, 2);
    assert_int_equal(grid_cell(&grid, 2, 5).look, LOOK_REVERSE);
    assert_true(list_command(&list, COMMAND_PAGE_PREVIOUS));
    draw(&list, &grid, 3, 14, "  name\n> Apple\n  \xC3\xA9glantine\n");
    assert_true(list_command(&list, COMMAND_PREVIOUS));
    assert_true(list_command(&list, COMMAND_PREVIOUS));
    draw(&list, &grid, 3, 14, "  name\n> pear\n  Apple\n");
    assert_false(list_command(&list, COMMAND_ACCEPT));
    list_release(&list);
    grid_release(&grid);
}

static void sorts_blind_to_case_and_marks(void **state)
{
    struct basket basket = {.fruits = fruits, .count = 4};
    struct list list;
    struct grid grid = {0};

    (void)state;
    list_open(&list, &basket_ops, &basket);
    assert_true(list_refresh(&list));
    list_command(&list, COMMAND_SORT);
    draw(&list, &grid, 5, 14,
         "  name ^\n  Apple\n  \xC3\xA9glantine\n> pear\n  plum\n"); /* pear stays selected */
    list_command(&list, COMMAND_SORT);
    draw(&list, &grid, 5, 24,
         "  name          colour ^\n"
         "  plum          blue\n"
         "> pear          green\n"
         "  Apple         red\n"
         "  \xC3\xA9glantine\n"); /* what has no value comes last */
    /* No room for the column: said at the end, and no head is cut by it or runs into it. */
    draw(&list, &grid, 2, 18, "  name by colour ^\n> pear\n");
    draw(&list, &grid, 2, 14, "   by colour ^\n> pear\n");
    list_command(&list, COMMAND_SORT);
    /* What one sorts by is the last to go. */
    draw(&list, &grid, 2, 20, "  name       count ^\n> pear             7\n");
    list_command(&list, COMMAND_SORT);
    draw(&list, &grid, 2, 14, "  name\n> pear\n");
    list_release(&list);
    grid_release(&grid);
}

static void keeps_the_record_not_the_row(void **state)
{
    struct basket basket = {.fruits = fruits, .count = 4};
    static const struct fruit later[] = {
        {9, "fig", "", 1}, {4, "plum", "blue", 1}, {8, "kiwi", "", 2}};
    struct list list;
    size_t row = 99;

    (void)state;
    list_open(&list, &basket_ops, &basket);
    assert_false(list_selected(&list, &row));
    assert_true(list_refresh(&list));
    list_command(&list, COMMAND_LAST);
    assert_true(list_selected(&list, &row));
    assert_int_equal(row, 3);
    basket = (struct basket){.fruits = later, .count = 3};
    assert_true(list_refresh(&list));
    assert_true(list_selected(&list, &row));
    assert_int_equal(later[row].id, 4);
    basket.count = 1; /* it went: the nearest place is kept */
    assert_true(list_refresh(&list));
    assert_true(list_selected(&list, &row));
    assert_int_equal(row, 0);
    basket.count = 0;
    assert_true(list_refresh(&list));
    assert_false(list_selected(&list, &row));
    list_command(&list, COMMAND_NEXT);
    list_command(&list, COMMAND_SORT);
    struct grid grid = {0};
    draw(&list, &grid, 3, 14, "  name ^\n  nothing\n\n");
    grid_release(&grid);
    list_release(&list);
}

/* A million rows cost no more to draw than a page. */
static size_t many_rows(const void *context)
{
    (void)context;
    return 1000000;
}

static struct id many_id(const void *context, size_t row)
{
    (void)context;
    return (struct id){
        {(uint8_t)(row & 0xFF), (uint8_t)(row >> 8 & 0xFF), (uint8_t)(row >> 16 & 0xFF), 1}};
}

static void many_cell(const void *context, size_t row, int column, struct text *out)
{
    const struct basket *basket = context;

    (void)column;
    (*basket->asked)++;
    text_addf(out, "%zu", row);
}

static void asks_only_for_what_is_seen(void **state)
{
    static const struct list_ops many_ops = {.columns = basket_columns,
                                             .column_count = 3,
                                             .rows = many_rows,
                                             .cell = many_cell,
                                             .id = many_id};
    size_t asked = 0;
    struct basket basket = {.asked = &asked};
    struct list list;
    struct grid grid = {0};

    (void)state;
    list_open(&list, &many_ops, &basket);
    assert_true(list_refresh(&list));
    list_command(&list, COMMAND_LAST);
    draw(&list, &grid, 3, 14, "  name\n  999998\n> 999999\n");
    assert_int_equal(asked, 2);
    list_release(&list);
    grid_release(&grid);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(draws_and_drops_columns),
        cmocka_unit_test(cursor_is_on_the_selected_row),
        cmocka_unit_test(sorts_blind_to_case_and_marks),
        cmocka_unit_test(keeps_the_record_not_the_row),
        cmocka_unit_test(asks_only_for_what_is_seen),
    };
    return cmocka_run_group_tests_name("ui_list", tests, NULL, NULL);
}
