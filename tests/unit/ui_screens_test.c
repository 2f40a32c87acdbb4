/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * today and visit over a real store and no terminal: what the keys do, what stands on the screen.
 * The case is the typical one of case_maker: permitted is one full step of 2.00 mm a side.
 */
#include "desk.h"

static void today_leads_to_the_verdict(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_today");
    assert_shows(&desk, "1 still booked, 0 to call");
    assert_shows(&desk, "09:00 C-0001");
    assert_int_equal(desk.headless.cursor_row, 3);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "C-0001");
    assert_shows(&desk, "born ");
    assert_shows(&desk, "PROCEED");
    assert_shows(&desk, "if tissue and hardware");
    assert_shows(&desk, "largest step is 2.00 mm");
    assert_shows(&desk, "upper width: 40.00");
    assert_shows(&desk, "Decision support only");
    desk_keys(&desk, "<Esc>"); /* nothing typed: no question */
    assert_shows(&desk, "1 still booked");
    desk_close(&desk);
}

static void a_visit_on_the_keypad(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_keypad");
    size_t before = desk_visits(&desk);
    int count =
        desk_keys(&desk, "<Enter>20<Enter><Enter>2<Enter>00*<Enter>*<Enter>28<Enter><Enter>");
    assert_shows(&desk, "Save for ");
    assert_shows(&desk, "right 1.00  left 1.00");
    assert_shows(&desk, "next visit 2026-06-29 (in 28 days)");
    assert_shows(&desk, "the booking of 2026-06-01 at 09:00 becomes kept");
    assert_int_equal(desk_visits(&desk), before); /* running off the last field saves nothing */
    assert_int_equal(desk_unsaved(&desk), 1);
    count += desk_keys(&desk, "<Enter>");
    assert_true(count <= 25);
    assert_shows(&desk, "Saved: C-0001 upper activation");
    assert_shows(&desk, "0 still booked");
    assert_int_equal(desk_visits(&desk), before + 1);
    assert_int_equal(desk_unsaved(&desk), 0);
    desk_close(&desk);
}

static void the_verdict_follows_every_field(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_follow");
    desk_keys(&desk, "<Enter><Enter><Enter>1");
    assert_shows(&desk, "REDUCE");
    assert_shows(&desk, "mild");
    desk_keys(&desk, "0");
    assert_false(desk_shows(&desk, "if tissue and hardware"));
    desk_keys(&desk, "//1"); /* back to tissue, then to its value */
    assert_shows(&desk, "REDUCE");
    desk_keys(&desk, "/2");
    assert_shows(&desk, "HOLD");
    desk_close(&desk);
}

static void a_format_error_blocks_forwards_only(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_format");
    desk_keys(&desk, "<Enter><Enter><Enter>001.2.3<Enter>");
    assert_shows(&desk, "[1.2.3 ]");
    assert_shows(&desk, "wrong");
    assert_false(desk_shows(&desk, "+ and - one step")); /* the hint gave way to the sentence */
    int row = desk.headless.cursor_row, column = desk.headless.cursor_column;
    desk_keys(&desk, "<Enter>");
    assert_int_equal(desk.headless.cursor_row, row);
    assert_int_equal(desk.headless.cursor_column, column);
    desk_keys(&desk, "/");
    assert_shows(&desk, "[0 intact ]");
    assert_shows(&desk, "1.2.3"); /* not wiped */
    assert_shows(&desk, "wrong");
    desk_keys(&desk, "<Enter>");
    desk_keys(&desk, "1.25<Enter>"); /* what is typed replaces it */
    assert_shows(&desk, "1.25");
    assert_false(desk_shows(&desk, "1.2.3"));
    desk_close(&desk);
}

static void a_soft_range_asks_once(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_soft");
    desk_keys(&desk, "<Enter><Enter>47.00<Enter>");
    assert_shows(&desk, "Enter again to keep it");
    desk.headless.key_ms = 100; /* the same stroke bounces */
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "sure?");
    desk.headless.key_ms = 200;
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "47.00");
    assert_shows(&desk, "upper tissue:");
    desk_close(&desk);
}

static void an_empty_required_choice_is_said_once(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_open");
    desk_keys(&desk, "<Enter><Enter><Enter><Enter>");
    assert_shows(&desk, "Without tissue no amount can be saved");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "upper hardware:");
    desk_keys(&desk, "<Enter><Enter>1<Enter>1<Enter><Enter><Enter>");
    assert_shows(&desk, "An amount is not saved before");
    assert_shows(&desk, "[ ] needed"); /* and the field to go to has the focus */
    assert_int_equal(desk_visits(&desk), desk.maker.history.visit_count);
    desk_close(&desk);
}

/* The trade's words where a newcomer stumbled. The wording: the program's own. */
static void words_say_what_they_mean(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_words");
    assert_shows(&desk, "+ - row");
    desk_keys(&desk, "quill"); /* a hyphen is text now; "+ Up row" would read as "+ goes up" */
    assert_shows(&desk, "Down Up row");
    desk_keys(&desk, "<Enter><Enter><Enter>");
    assert_shows(&desk, "2 wound (ulcer, wire pressing in)");
    desk_keys(&desk, "000<Enter>0<Enter>");
    assert_shows(&desk, "yes: a loop was closed again, so that it presses no more");
    desk_close(&desk);
}

/* An amount passed over is said at once, not at the end only; what may be given is named, never
 * filled in. The second case has no activation before,
 * and wear that is mostly unknown: 0.50 mm by the rules, half of the first step. */
static void a_needed_amount_is_said_at_once(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_amount");
    desk_keys(&desk, "<Enter><Enter><Enter>00<Enter>");
    assert_shows(&desk, "The amount of upper, right mm is needed; 0 if nothing is given.");
    desk_keys(&desk, "<Enter>"); /* going on is possible all the same */
    assert_shows(&desk, "upper left mm:");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "The amount of upper, left mm is needed");
    desk_close(&desk);

    desk = (struct desk){.headless = {.rows = 24, .columns = 80}};
    case_typical(&desk.maker);
    desk.maker.history.visit_count = 0; /* fitted, and nothing given yet */
    case_booking(&desk.maker, 0, BOOKING_ACTIVATION, BOOKED_STANDING);
    store_case_open(&desk.kept, "screens_first_step", desk.maker.today);
    store_case_keep(&desk.kept, &desk.maker);
    desk_sit_down(&desk);
    desk_keys(&desk, "<Enter><Enter><Enter>00*");
    assert_shows(&desk, "There is no amount before this one to repeat: permitted 0.50 mm; type "
                        "what is given.");
    assert_shows(&desk, "[ ]needed");
    desk_close(&desk);
}

static void a_bouncing_key_does_not_save(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_bounce");
    desk_keys(&desk, "<Enter><Enter><Enter>001<Enter>1<Enter><Enter><Enter>");
    assert_shows(&desk, "Enter or 1 saves");
    desk.headless.key_ms = 149;
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Enter or 1 saves");
    assert_int_equal(desk_visits(&desk), desk.maker.history.visit_count);
    desk.headless.key_ms = 1;
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Saved: C-0001");
    desk_close(&desk);
}

/* A digit taken at once and struck twice is one answer. */
static void a_double_strike_is_one_answer(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_strike");
    desk_keys(&desk, "<Enter><Enter><Enter>");
    desk.headless.key_ms = 40;
    desk_keys(&desk, "00");
    assert_shows(&desk, "upper hardware:");
    desk.headless.key_ms = 100;
    desk_keys(&desk, "0");
    assert_shows(&desk, "upper right mm:");
    desk_close(&desk);
}

static void a_paste_is_text_and_never_saves(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_paste");
    desk_keys(&desk, "<Enter>");
    desk_keys(&desk, "<paste:20|24|3|40.1|0|0|1|1|28|note /*-+ of two|lines|||1|||>");
    assert_shows(&desk, "note [note /*-+ of two lines");
    assert_int_equal(desk_visits(&desk), desk.maker.history.visit_count);
    desk_keys(&desk, "<Enter><paste:|1|>");
    assert_shows(&desk, "Enter or 1 saves");
    assert_int_equal(desk_visits(&desk), desk.maker.history.visit_count);
    desk_keys(&desk, "1");
    assert_shows(&desk, "Saved: C-0001");
    desk_close(&desk);
}

/* A soft range that a paste leaves is not answered by the paste's own line breaks. */
static void a_paste_answers_no_question(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_paste_ask");
    desk_keys(&desk, "<Enter><Enter><paste:47.00||||0|0|1|>");
    assert_shows(&desk, "47.00 mm is more than 2.00 mm from the last width");
    assert_shows(&desk, "upper [47.00 ] needed needed"); /* and nothing behind it was filled */
    desk_keys(&desk, "<paste:40>");
    assert_shows(&desk, "upper [40 ] needed needed");
    desk_close(&desk);
}

static void a_dropped_line_keeps_the_field_being_typed(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_drop");
    desk_keys(&desk, "<Enter>17");
    assert_int_equal(desk_unsaved(&desk), 0);
    ui_event(&desk.ui, EVENT_END, NULL);
    assert_true(desk.ui.ending);
    assert_int_equal(desk_unsaved(&desk), 1);
    desk_start_again(&desk);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "17 days");
    desk_close(&desk);
}

static void midnight_passes(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_midnight");
    desk_keys(&desk, "<Enter>17<Enter>");
    desk.clock = desk.kept.app.today + 1;
    ui_event(&desk.ui, EVENT_NOTHING, NULL);
    assert_int_equal(desk.kept.app.today, desk.maker.today); /* an open visit keeps its day */
    desk_keys(&desk, "<Esc><Enter>");
    assert_shows(&desk, "1 still booked");
    assert_true(ui_event(&desk.ui, EVENT_NOTHING, NULL));
    ui_draw(&desk.ui);
    assert_int_equal(desk.kept.app.today, desk.maker.today + 1);
    assert_shows(&desk, "It is 2026-06-02 now.");
    assert_shows(&desk, "0 still booked");
    desk_keys(&desk, "0001<Enter><Enter>");
    assert_shows(&desk, "visit of 2026-06-01, not of today"); /* in the title */
    desk_close(&desk);
}

/* A family that was called and asked for another day is not called a second time. */
static void today_shows_who_is_called_again_later(void **state)
{
    struct desk desk = {.headless = {.rows = 24, .columns = 80}};

    (void)state;
    case_typical(&desk.maker);
    case_contact(&desk.maker, 1, OUTCOME_LEFT_WORD)->again_on = case_day(&desk.maker, -3);
    store_case_open(&desk.kept, "screens_again", desk.maker.today);
    store_case_keep(&desk.kept, &desk.maker);
    desk_sit_down(&desk);
    assert_shows(&desk, "again 06-04");
    assert_shows(&desk, "last contact 2026-05-31, call again 2026-06-04");
    desk_close(&desk);
}

static void searches_blind_to_case_and_marks(void **state)
{
    struct desk desk;

    (void)state;
    desk = (struct desk){.headless = {.rows = 24, .columns = 80}};
    case_typical(&desk.maker);
    desk.maker.patient.family = "\xC5\x81\xC3\xB3\xC5\xBC-Wierzba";
    desk.maker.patient.phone = "000 55 0123";
    store_case_open(&desk.kept, "screens_search", desk.maker.today);
    store_case_keep(&desk.kept, &desk.maker);
    desk_sit_down(&desk);
    desk_keys(&desk, "loz-w");
    assert_shows(&desk, "find: loz-w");
    assert_shows(&desk, "1 found");
    assert_shows(&desk, "Wierzba");
    assert_int_equal(desk.headless.cursor_row, 1);
    assert_int_equal(desk.headless.cursor_column, 11);
    desk_keys(&desk, "q");
    assert_shows(&desk, "No case has this");
    desk_keys(&desk, "<Backspace><Enter>");
    assert_shows(&desk, "PROCEED");
    desk_keys(&desk, "<Esc>odal wierz"); /* every word, in any order */
    assert_shows(&desk, "1 found");
    desk_keys(&desk, " x");
    assert_shows(&desk, "No case has this");
    desk_keys(&desk, "<Esc>0001");
    assert_shows(&desk, "1 found");
    desk_keys(&desk, "<Esc>"); /* without what parts a name or a number */
    desk_keys(&desk, "lozwie");
    assert_shows(&desk, "1 found");
    desk_keys(&desk, "<Esc>c1");
    assert_shows(&desk, "1 found");
    desk_keys(&desk, "<Esc>c1 wier");
    assert_shows(&desk, "1 found");
    desk_keys(&desk, "<Esc>c2");
    assert_shows(&desk, "No case has this");
    desk_keys(&desk, "<Esc>c11");
    assert_shows(&desk, "No case has this");
    desk_keys(&desk, "<Esc>000 55 012"); /* a telephone number, with blanks or without */
    assert_shows(&desk, "1 found");
    desk_keys(&desk, "<Esc>5501");
    assert_shows(&desk, "No case has this"); /* four digits are a number of a case */
    desk_keys(&desk, "<Esc>55012");
    assert_shows(&desk, "1 found");
    desk_keys(&desk, "<Esc>55013");
    assert_shows(&desk, "No case has this");
    desk_keys(&desk, "<Esc>");
    assert_false(desk_shows(&desk, "found"));
    desk_close(&desk);
}

static void help_lists_what_works_here(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_help");
    desk_keys(&desk, "?");
    assert_shows(&desk, "Keys that work here");
    assert_shows(&desk, "Ctrl-Q");
    desk_keys(&desk, "<PageDown><PageDown>");
    assert_shows(&desk, "Decision support only");
    desk_keys(&desk, "<Esc><Enter>?");
    assert_shows(&desk, "/ Up Shift-Tab");
    desk_keys(&desk, "x"); /* any key goes back and does nothing else */
    assert_shows(&desk, "wear: days met:");
    desk_keys(&desk, "<Ctrl-L>");
    assert_int_equal(desk.headless.repaints, 1);
    desk_close(&desk);
}

/* Every size: nothing is lost, nothing crashes, what is needed to type is there from 40 x 12. */
static void any_size(void **state)
{
    static const int sizes[][2] = {{1, 1},   {2, 200}, {11, 80}, {12, 39},  {12, 40}, {13, 41},
                                   {20, 79}, {24, 80}, {23, 80}, {43, 132}, {60, 200}};
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_size");
    desk_keys(&desk, "<Enter>2");
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        desk_resize(&desk, sizes[i][0], sizes[i][1]);
        bool enough = sizes[i][0] >= 12 && sizes[i][1] >= 40;
        if (enough) {
            assert_shows(&desk, "C-0001");
            assert_shows(&desk, "PROCEED");
            assert_shows(&desk, "wear");
            assert_shows(&desk, "days met");
        } else if (sizes[i][1] >= 9 && sizes[i][0] > 1) {
            assert_shows(&desk, "Too small");
            desk_keys(&desk, "7"); /* nobody types blind */
        }
        assert_true(desk.headless.cursor_row < sizes[i][0]);
        assert_true(desk.headless.cursor_column < sizes[i][1]);
    }
    desk.headless.rows = 12;
    desk.headless.columns = 40;
    desk_keys(&desk, "<PageDown><PageDown><PageDown><PageDown><PageDown><PageDown><PageDown>");
    assert_shows(&desk, "and guidance come first."); /* the caution has no row of its own here */
    desk_keys(&desk, "0<Enter><Enter>2<Enter>001<Enter>1<Enter><Enter><Enter>");
    assert_shows(&desk, "Save for ");
    desk_keys(&desk, "1");
    assert_shows(&desk, "Saved: C-0001");
    desk_close(&desk);
}

/* The name may be cut; the number, the birth date and the alert may not be out of sight. */
static void a_long_name_hides_nothing(void **state)
{
    static const int sizes[][2] = {{12, 40}, {24, 80}};
    struct desk desk = {.headless = {.rows = 24, .columns = 80}};
    char name[201];

    (void)state;
    case_typical(&desk.maker);
    memset(name, 'w', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    desk.maker.patient.family = name;
    desk.maker.patient.alerts = "nickel allergy";
    store_case_open(&desk.kept, "screens_name", desk.maker.today);
    store_case_keep(&desk.kept, &desk.maker);
    desk_sit_down(&desk);
    desk_keys(&desk, "0001<Enter>");
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        desk_resize(&desk, sizes[i][0], sizes[i][1]);
        assert_shows(&desk, "C-0001");
        assert_shows(&desk, "born ");
        assert_shows(&desk, " years");
        assert_shows(&desk, "ALERT: nickel allergy");
        assert_shows(&desk, "PROCEED");
    }
    desk_close(&desk);
}

/* The looks of the cells a text on the screen stands in, when they are all the same. */
static unsigned look_of(const struct desk *desk, const char *text)
{
    const struct grid *grid = &desk->ui.grid;
    struct text row = {0};
    unsigned look = 0;

    for (int at = 0; at < grid->rows; at++) {
        text_clear(&row);
        grid_row_text(grid, at, &row);
        const char *found = strstr(text_string(&row), text);
        if (found == NULL)
            continue;
        int column = (int)(found - text_string(&row));
        look = grid_cell(grid, at, column).look;
        for (int i = 1; i < (int)strlen(text); i++)
            assert_int_equal(grid_cell(grid, at, column + i).look, look);
        text_release(&row);
        return look;
    }
    text_release(&row);
    fail_msg("not on the screen: %s", text);
    return 0;
}

/* Without any attribute and without colour every state still differs; the word that says it stands
 * out. */
static void nothing_is_said_by_looks_alone(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "screens_looks");
    assert_shows(&desk, "> 09:00");
    desk_keys(&desk, "<Enter><Enter><Enter>");
    assert_shows(&desk, "upper, if tissue and hardware are sound: PROCEED");
    assert_shows(&desk, "[ ] needed");
    assert_int_equal(look_of(&desk, "PROCEED"), LOOK_BOLD | LOOK_REVERSE);
    assert_int_equal(look_of(&desk, "upper, if tissue"), LOOK_BOLD);
    desk_keys(&desk, "2");
    assert_shows(&desk, "upper, if hardware is sound: HOLD");
    assert_int_equal(look_of(&desk, "HOLD"), LOOK_BOLD | LOOK_REVERSE);
    desk_keys(&desk, "/1");
    assert_shows(&desk, "upper, if hardware is sound: REDUCE");
    assert_int_equal(look_of(&desk, "REDUCE"), LOOK_BOLD | LOOK_REVERSE);
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(today_leads_to_the_verdict),
        cmocka_unit_test(a_visit_on_the_keypad),
        cmocka_unit_test(the_verdict_follows_every_field),
        cmocka_unit_test(a_format_error_blocks_forwards_only),
        cmocka_unit_test(a_soft_range_asks_once),
        cmocka_unit_test(an_empty_required_choice_is_said_once),
        cmocka_unit_test(words_say_what_they_mean),
        cmocka_unit_test(a_needed_amount_is_said_at_once),
        cmocka_unit_test(a_bouncing_key_does_not_save),
        cmocka_unit_test(a_double_strike_is_one_answer),
        cmocka_unit_test(a_paste_is_text_and_never_saves),
        cmocka_unit_test(a_paste_answers_no_question),
        cmocka_unit_test(a_dropped_line_keeps_the_field_being_typed),
        cmocka_unit_test(midnight_passes),
        cmocka_unit_test(today_shows_who_is_called_again_later),
        cmocka_unit_test(searches_blind_to_case_and_marks),
        cmocka_unit_test(help_lists_what_works_here),
        cmocka_unit_test(any_size),
        cmocka_unit_test(a_long_name_hides_nothing),
        cmocka_unit_test(nothing_is_said_by_looks_alone),
    };
    return cmocka_run_group_tests_name("ui_screens", tests, NULL, NULL);
}
