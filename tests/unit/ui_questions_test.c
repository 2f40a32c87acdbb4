/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What is asked on the screens, and which keys answer: an unsaved visit, more than permitted, a
 * jump. On the keypad alone, and never by a key that was meant for something else.
 */
#include "desk.h"

/* A desk where a visit of C-0001 was begun and the program ended; C-0002 is there as well. */
static void open_with_unsaved(struct desk *desk, const char *name)
{
    struct case_maker other;

    desk_open(desk, name);
    struct id first = desk->kept.casefile;
    case_typical(&other);
    other.casefile.number = "C-0002";
    other.patient.chart = "2";
    other.patient.family = "Thistledown";
    other.patient.given = "Marigold";
    store_case_keep(&desk->kept, &other);
    desk->kept.casefile = first;
    desk_keys(desk, "1<Enter>20<Enter><Enter>2<Enter>0");
    desk_start_again(desk);
}

static const char question[] = "A visit of C-0001 Quillfeather, Odalys was not saved";

static void digits_search_and_never_answer(void **state)
{
    struct desk desk;
    char digit[2] = "0";

    (void)state;
    open_with_unsaved(&desk, "questions_digits");
    assert_shows(&desk, question);
    for (; digit[0] <= '9'; digit[0]++) {
        char found[] = "find: 0";
        desk_keys(&desk, digit);
        found[6] = digit[0];
        assert_shows(&desk, found);
        assert_false(desk_shows(&desk, question));
        desk_keys(&desk, "/"); /* the search is empty again: so the question is back */
        assert_shows(&desk, question);
    }
    assert_int_equal(desk_unsaved(&desk), 1);
    desk_keys(&desk, "2<Enter>"); /* the sheet that was searched, not the one asked about */
    assert_shows(&desk, "C-0002 Thistledown, Marigold born");
    desk_close(&desk);
}

static void letters_and_pastes_search_too(void **state)
{
    struct desk desk;

    (void)state;
    open_with_unsaved(&desk, "questions_letters");
    desk_keys(&desk, "thi");
    assert_shows(&desk, "find: thi");
    assert_shows(&desk, "1 found");
    desk_keys(&desk, "<Esc>");
    assert_shows(&desk, question);
    desk_keys(&desk, "<paste:0002|>");
    assert_shows(&desk, "find: 0002");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "C-0002 Thistledown");
    desk_close(&desk);
}

/* Enter that bounces while the question comes up, or comes back, is no answer to it. */
static void enter_answers_only_a_question_that_stands(void **state)
{
    struct desk desk;

    (void)state;
    open_with_unsaved(&desk, "questions_deaf");
    desk.headless.key_ms = 149;
    desk_keys(&desk, "<Enter>"); /* at the start */
    assert_shows(&desk, question);
    desk.headless.key_ms = 1;
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "20 days");
    desk_start_again(&desk);
    desk_keys(&desk, "7/");
    desk.headless.key_ms = 100;
    desk_keys(&desk, "<Enter>"); /* it came back 100 ms ago */
    assert_shows(&desk, question);
    desk.headless.key_ms = 200;
    desk_keys(&desk, "-");
    assert_shows(&desk, "away for good?");
    desk.headless.key_ms = 100;
    desk_keys(&desk, "-"); /* the same stroke twice throws nothing away */
    assert_shows(&desk, "away for good?");
    assert_int_equal(desk_unsaved(&desk), 1);
    desk_close(&desk);
}

static void thrown_away_only_when_asked_twice(void **state)
{
    struct desk desk;

    (void)state;
    open_with_unsaved(&desk, "questions_throw");
    desk_keys(&desk, "-");
    assert_shows(&desk, "Throw the visit of C-0001 Quillfeather, Odalys away for good?");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "away for good?");
    desk_keys(&desk, "/");
    assert_shows(&desk, question);
    desk_keys(&desk, "-0"); /* a digit is a search here too, and forgets the question asked twice */
    assert_shows(&desk, "find: 0");
    desk_keys(&desk, "/");
    assert_shows(&desk, question);
    assert_int_equal(desk_unsaved(&desk), 1);
    desk_keys(&desk, "--");
    assert_int_equal(desk_unsaved(&desk), 0);
    assert_false(desk_shows(&desk, question));
    assert_false(desk_shows(&desk, "not saved"));
    desk_close(&desk);
}

/* Once it is set aside nothing is asked on its own: the rows are marked, and the sheet asks. */
static void set_aside_it_is_marked_in_the_list(void **state)
{
    struct desk desk;

    (void)state;
    open_with_unsaved(&desk, "questions_aside");
    desk_keys(&desk, "/2<Enter>17<Enter><Esc><Enter>"); /* a second unsaved visit */
    assert_shows(&desk, "not saved yet: C-0002, C-0001");
    desk_start_again(&desk);
    assert_shows(&desk, "A visit of C-0002");
    desk_keys(&desk, "/");
    assert_false(desk_shows(&desk, "A visit of C-"));
    assert_shows(&desk, "C-0001 Quillfeather, Odalys unsaved"); /* its row */
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "This visit was begun and not saved");
    desk_keys(&desk, "0121"); /* no digit answers here */
    assert_shows(&desk, "This visit was begun and not saved");
    desk_keys(&desk, "-");
    assert_shows(&desk, "for good?");
    desk_keys(&desk, "/<Enter>");
    assert_shows(&desk, "20 days");
    assert_shows(&desk, "upper hardware:"); /* behind the last field that was filled */
    desk_keys(&desk, "<Esc>");
    assert_shows(&desk, "Not saved yet. Leave?");
    desk_keys(&desk, "/");
    assert_shows(&desk, "upper hardware:");
    desk_keys(&desk, "<Esc>00");
    assert_int_equal(desk_unsaved(&desk), 2);
    desk_keys(&desk, "--");
    assert_shows(&desk, "1 still booked");
    assert_int_equal(desk_unsaved(&desk), 1);
    assert_shows(&desk, "C-0001 Quillfeather, Odalys activation");
    desk_close(&desk);
}

/* What is said must not hide what the next key answers. */
static void a_message_does_not_hide_a_question(void **state)
{
    struct desk desk;
    struct ui_setup setup = {.notice = "The locale is not known; C.UTF-8 is assumed."};

    (void)state;
    open_with_unsaved(&desk, "questions_notice");
    ui_stop(&desk.ui);
    assert_int_equal(ui_start(&desk.ui, &desk.kept.app, &desk.display, &setup, &desk.error),
                     STATUS_OK);
    ui_draw(&desk.ui);
    assert_shows(&desk, question);
    assert_shows(&desk, "C.UTF-8 is assumed.");
    desk_keys(&desk, "2<Enter><Enter><Enter>/4.x<Esc>");
    assert_shows(&desk, "Not saved yet. Leave?");
    assert_shows(&desk, "is not a length");
    desk_close(&desk);
}

/* The line about backups comes with the first tick, beside what is not saved and never over it. */
static void a_missing_backup_hides_nothing(void **state)
{
    struct desk desk;

    (void)state;
    open_with_unsaved(&desk, "questions_backup");
    assert_false(desk_shows(&desk, "No backup was ever made")); /* the first screen never waits */
    assert_true(ui_event(&desk.ui, EVENT_NOTHING, NULL));
    ui_draw(&desk.ui);
    assert_shows(&desk, question);
    assert_shows(&desk, "not saved yet: C-0001");
    desk_keys(&desk, "/");
    assert_shows(&desk, "not saved yet: C-0001");
    assert_shows(&desk, "No backup was ever made");
    desk_resize(&desk, 12, 40);
    assert_shows(&desk, "not saved yet: C-0001");
    desk_resize(&desk, 24, 80);
    assert_false(ui_event(&desk.ui, EVENT_NOTHING, NULL)); /* asked once, then only when it may be
                                                              another */
    desk_keys(&desk, "<Enter>--<Esc>");                    /* thrown away on the sheet, and back */
    ui_event(&desk.ui, EVENT_NOTHING, NULL);
    ui_draw(&desk.ui);
    assert_false(desk_shows(&desk, "not saved yet"));
    assert_shows(&desk, "find: May 2026 is not closed"); /* there is room for it now */
    desk_close(&desk);
}

static void the_list_is_walked_and_searched_on_the_keypad(void **state)
{
    struct desk desk;

    (void)state;
    open_with_unsaved(&desk, "questions_keypad");
    desk_keys(&desk, "/");
    assert_shows(&desk, "+ - row");
    desk_keys(&desk, "0002");
    assert_shows(&desk, "1 found");
    desk_keys(&desk, "///");
    assert_shows(&desk, "find: 0 ");
    assert_shows(&desk, "2 found");
    desk_keys(&desk, "+");
    assert_shows(&desk, "> C-0002");
    desk_keys(&desk, "-");
    assert_shows(&desk, "> 09:00 C-0001");
    desk_keys(&desk, "//");
    assert_false(desk_shows(&desk, "found"));
    desk_close(&desk);
}

/* ---- more than permitted ---- */

static const char mild_and_above[] = "<Enter><Enter><Enter>10" /* mild: at most 1.00 mm */
                                     "1.5<Enter>1<Enter>";

static bool holds_reason(struct desk *desk, const char *text)
{
    struct arena arena = {0};
    struct history history;
    bool found = false;

    assert_int_equal(store_read_case(desk->kept.app.store, &desk->kept.casefile, STORE_NOW, &arena,
                                     &history, &desk->error),
                     STATUS_OK);
    for (size_t i = 0; i < history.visit_count; i++)
        found = found || (history.visits[i].override_reason != NULL &&
                          strstr(history.visits[i].override_reason, text) != NULL);
    arena_release(&arena);
    return found;
}

static void more_than_permitted_asks_why(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "questions_why");
    desk_keys(&desk, mild_and_above);
    desk_keys(&desk, "<Enter><Enter>");
    assert_shows(&desk, "More than permitted. Why?");
    assert_shows(&desk, "1  ");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Press the number of a reason");
    desk_keys(&desk, "9<Enter>");
    assert_shows(&desk, "Press the number of a reason");
    desk_keys(&desk, "2<Enter>sore from<paste: / >a crust<Enter>");
    assert_shows(&desk, "more than permitted, because: finding judged minor");
    assert_shows(&desk, "sore from / a crust");
    desk_keys(&desk, "1");
    assert_shows(&desk, "Saved: C-0001, more than permitted, because: finding judged minor");
    assert_shows(&desk, "sore from / a crust");
    assert_true(holds_reason(&desk, "sore from / a crust"));
    desk_close(&desk);
}

/* A reason belongs to the amounts it was given for. */
static void a_reason_is_not_used_again(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "questions_again");
    desk_keys(&desk, mild_and_above);
    desk_keys(&desk, "<Enter><Enter>2<Enter>a crust<Enter>");
    assert_shows(&desk, "Enter or 1 saves");
    desk_keys(&desk, "////2<Enter>"); /* back to the right amount, and more of it */
    assert_shows(&desk, "right 2.00");
    desk_keys(&desk, "<Enter><Enter><Enter>");
    assert_shows(&desk, "More than permitted. Why?");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Press the number of a reason");
    desk_keys(&desk, "1<Enter>");
    assert_false(desk_shows(&desk, "a crust"));
    desk_keys(&desk, "<Enter>1");
    assert_shows(&desk, "Saved: C-0001, more than permitted, because: wear shown");
    assert_false(holds_reason(&desk, "a crust"));
    desk_close(&desk);
}

/* "other" says nothing by itself: Enter alone leads nowhere, and a way back is always there. */
static void a_reason_that_says_nothing_needs_words(void **state)
{
    struct desk desk;
    char number[] = "1";

    (void)state;
    while (!visit_reason_needs_text(number[0] - '0'))
        number[0]++;
    desk_open(&desk, "questions_other");
    desk_keys(&desk, mild_and_above);
    desk_keys(&desk, "<Enter><Enter>");
    desk_keys(&desk, number);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Write the reason in words");
    assert_false(desk_shows(&desk, "Enter alone"));
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "says nothing by itself");
    assert_shows(&desk, "in words:");
    desk_keys(&desk, "  <Enter>"); /* nor do blanks */
    assert_shows(&desk, "says nothing by itself");
    desk_keys(&desk, "/");
    assert_shows(&desk, "reason:");
    desk_keys(&desk, "5<Enter>");
    assert_shows(&desk, "A few words of your own, or Enter alone");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Enter or 1 saves");
    desk_close(&desk);
}

/* From the moment the amount is entered, at every size, on the sheet and at the field. */
static void more_than_permitted_is_told_at_once(void **state)
{
    static const int sizes[][2] = {{24, 80}, {12, 40}, {43, 132}};
    struct desk desk;

    (void)state;
    desk_open(&desk, "questions_more");
    desk_keys(&desk, mild_and_above);
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        desk_resize(&desk, sizes[i][0], sizes[i][1]);
        assert_shows(&desk, "upper: REDUCE permitted R 1.00 L 1.00 mm MORE THAN PERMITTED: right "
                            "1.50.");
        desk_keys(&desk, "//"); /* at the amount itself */
        assert_shows(&desk, "MORE THAN PERMITTED: right 1.50.");
        assert_shows(&desk, "[1.5 ");
        assert_shows(&desk, "MORE");
        desk_keys(&desk, "<Enter>");
        if (sizes[i][0] >= 24) /* else there is room for the focused field alone */
            assert_shows(&desk, "1.50 MORE");
        desk_keys(&desk, "<Enter>");
    }
    desk_resize(&desk, 24, 80);
    desk_keys(&desk, "//1<Enter>");
    assert_false(desk_shows(&desk, "MORE"));
    desk_close(&desk);
}

/* ---- answered once ---- */

/* An answer holds for the value it was given for, until another one was entered. */
static void a_jump_typed_again_is_asked_again(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "questions_jump");
    desk_keys(&desk, "<Enter><Enter>47<Enter>");
    assert_shows(&desk, "47.00 mm is more than 2.00 mm from the last width");
    desk_keys(&desk, "<Enter>"); /* kept */
    assert_shows(&desk, "upper tissue:");
    desk_keys(&desk, "/<Enter>"); /* passing over it asks nothing */
    assert_shows(&desk, "upper tissue:");
    desk_keys(&desk, "/40.5<Enter>"); /* corrected */
    assert_shows(&desk, "upper tissue:");
    desk_keys(&desk, "/47<Enter>");
    assert_shows(&desk, "47.00 mm is more than 2.00 mm from the last width");
    assert_shows(&desk, "sure?");
    desk_close(&desk);
}

/* ---- the note ---- */

static void in_a_note_the_slash_goes_back(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "questions_note");
    desk_keys(&desk, "<Enter><Enter><Enter>001<Enter>1<Enter><Enter>");
    assert_shows(&desk, "? keys");
    desk_keys(&desk, "sore?");
    assert_shows(&desk, "note [sore?");
    assert_false(desk_shows(&desk, "? keys"));
    desk_keys(&desk, "/");
    assert_shows(&desk, "next visit, days or date:");
    assert_shows(&desk, "note sore?");
    desk_keys(&desk, "<Enter><paste: r/l>"); /* as text it comes out of a paste */
    assert_shows(&desk, "r/l");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "note: "); /* on the review */
    desk_close(&desk);
}

/* A point in an empty choice turns the pages of what stands above, round and round. */
static void a_point_turns_the_page(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "questions_page");
    desk_keys(&desk, "<Enter><Enter><Enter>");
    desk_resize(&desk, 12, 40);
    assert_shows(&desk, "more below: . or PageDown");
    assert_shows(&desk, "PROCEED");
    int pages = 0;
    for (; !desk_shows(&desk, "and guidance come first.") && pages < 20; pages++)
        desk_keys(&desk, ".");
    assert_in_range(pages, 1, 19);
    assert_false(desk_shows(&desk, "more below"));
    desk_keys(&desk, ".");
    assert_shows(&desk, "PROCEED");
    assert_shows(&desk, "upper tissue:"); /* and nothing was typed */
    desk_keys(&desk, "0");
    assert_shows(&desk, "upper hardware:");
    desk_close(&desk);
}

/* From the sheet as from any screen, in the middle of a field: and what was typed is offered again.
 */
static void the_sheet_is_left_at_once_and_kept(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "questions_quit");
    desk_keys(&desk, "1<Enter>20<Enter><Enter>2<Enter>0<Ctrl-Q>");
    assert_true(desk.ui.ending);
    assert_int_equal(desk_unsaved(&desk), 1);
    desk_start_again(&desk);
    assert_shows(&desk, question);
    desk_keys(&desk, "<Enter>21<Ctrl-Q>"); /* typed, the field not left */
    assert_true(desk.ui.ending);
    desk_start_again(&desk);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "21");
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(digits_search_and_never_answer),
        cmocka_unit_test(letters_and_pastes_search_too),
        cmocka_unit_test(enter_answers_only_a_question_that_stands),
        cmocka_unit_test(thrown_away_only_when_asked_twice),
        cmocka_unit_test(set_aside_it_is_marked_in_the_list),
        cmocka_unit_test(a_message_does_not_hide_a_question),
        cmocka_unit_test(a_missing_backup_hides_nothing),
        cmocka_unit_test(the_list_is_walked_and_searched_on_the_keypad),
        cmocka_unit_test(more_than_permitted_asks_why),
        cmocka_unit_test(a_reason_is_not_used_again),
        cmocka_unit_test(a_reason_that_says_nothing_needs_words),
        cmocka_unit_test(more_than_permitted_is_told_at_once),
        cmocka_unit_test(a_jump_typed_again_is_asked_again),
        cmocka_unit_test(in_a_note_the_slash_goes_back),
        cmocka_unit_test(a_point_turns_the_page),
        cmocka_unit_test(the_sheet_is_left_at_once_and_kept),
    };
    return cmocka_run_group_tests_name("ui_questions", tests, NULL, NULL);
}
