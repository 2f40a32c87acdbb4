/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The loop sheet: what is told of typed loops, over no terminal. Stiffness: H 7, R 1, d 0.7 mm at
 * 193 GPa is 5.51871 N/mm free and 22.43942 held (tests/reference/loop_test.c), so a loop of 2.00
 * by 8.00 mm; H 8, R 1.5 (3.00 by 9.50) is 3.15827 and 12.94558: left to right 0.57 and 0.58.
 */
#include "desk.h"

static void open_sheet(struct desk *desk, const char *name, int rows, int columns)
{
    *desk = (struct desk){.headless = {.rows = rows, .columns = columns}};
    case_typical(&desk->maker);

    store_case_open(&desk->kept, name, desk->maker.today);
    store_case_keep(&desk->kept, &desk->maker);
    desk_sit_down(desk);
    desk_keys(desk, "0001*1*q");
}

static void two_loops_are_told_as_ranges(void **state)
{
    struct desk desk;

    (void)state;
    open_sheet(&desk, "loop_two", 24, 80);
    assert_shows(&desk, "BENCH AID, never used by the rules; nothing is stored.");
    assert_shows(&desk, "right loop: wire, width and height are needed");
    assert_shows(&desk, "left to right: both loops are needed");
    assert_shows(&desk, app_caution);
    desk_keys(&desk, "0.7<Enter>2<Enter>8<Enter>");
    assert_shows(
        &desk,
        "right loop: 5.52 N/mm with its ends free to turn, to 22.44 N/mm with its ends held");
    assert_shows(&desk, "left loop: wire, width and height are needed");
    assert_shows(&desk, "A straight arm of 20 mm in this wire, held at one end: 0.85 N/mm.");
    desk_keys(&desk, "3,00<Enter>9,5<Enter>");
    assert_shows(&desk, "left loop: 3.16 N/mm with its ends free to turn, to 12.95 N/mm");
    assert_shows(&desk, "left to right: 0.57 (ends free), 0.58 (ends held); 1.00 is as stiff");
    assert_shows(&desk, "makes each 18 % less");
    desk_close(&desk);
}

static void what_is_no_loop_is_said(void **state)
{
    struct desk desk;

    (void)state;
    open_sheet(&desk, "loop_bad", 24, 80);
    desk_keys(&desk, "7<Enter>2<Enter>8<Enter>");
    assert_shows(&desk, "right loop: a wire is 0.20 to 1.50 mm thick; type the wire again");
    desk_keys(&desk, "<Up><Up><Up>0.7<Enter>1.3<Enter>");
    assert_shows(&desk, "right loop: a loop is at least twice as wide as the wire is thick");
    desk_keys(&desk, "<Up>6<Enter>2<Enter>");
    assert_shows(&desk, "right loop: a loop is at least half as high as it is wide");
    desk_keys(&desk, "<Up>0<Enter>");
    assert_shows(&desk, "right loop: a loop is at least half as high as it is wide");
    desk_keys(&desk, "<Up>-5<Enter>"); /* - rubs out; so 5 */
    assert_shows(&desk, "right loop: height  5");
    assert_shows(&desk, "right loop: 14.45 N/mm"); /* H 2, R 3 */
    desk_keys(&desk, "<Up>x<Enter>");
    assert_shows(&desk, "right loop: height  x"); /* refused: it stands there still */
    assert_shows(&desk, "right loop: wire, width and height are needed");
    desk_keys(&desk, "<Esc>");
    assert_shows(&desk, "C-0001");
    desk_close(&desk);
}

/* On the least screen the fields stand, and what follows from them is paged. */
static void it_bears_the_least_screen(void **state)
{
    struct desk desk;

    (void)state;
    open_sheet(&desk, "loop_small", 12, 40);
    desk_keys(&desk, "0.7<Enter>2<Enter>8<Enter>");
    assert_shows(&desk, "left loop: width");
    assert_shows(&desk, "BENCH AID, never used by the rules;");
    assert_shows(&desk, "right loop: 5.52 N/mm with its ends");
    desk_keys(&desk, "<PageDown>");
    assert_shows(&desk, "left to right: both loops are needed");
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_loops_are_told_as_ranges),
        cmocka_unit_test(what_is_no_loop_is_said),
        cmocka_unit_test(it_bears_the_least_screen),
    };

    return cmocka_run_group_tests_name("loop_sheet", tests, NULL, NULL);
}
