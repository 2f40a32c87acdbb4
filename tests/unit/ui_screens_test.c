/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * today and visit over a real store and no terminal: what the keys do, what stands on the screen.
 * The case is the typical one of case_maker: permitted is one full step of 2.00 mm a side.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "springline/app/seat.h"
#include "springline/app/visit.h"
#include "springline/ui/headless.h"
#include "springline/ui/ui.h"
#include "store_case.h"

struct desk {
    struct store_case kept;
    struct case_maker maker;
    struct headless headless;
    struct display display;
    struct ui ui;
    struct error error;
    day clock; /* DAY_NONE: stands still */
};

static day look_at_clock(void *context)
{
    return ((struct desk *)context)->clock;
}

static void sit_down(struct desk *desk)
{
    struct ui_setup setup = {.today = look_at_clock, .context = desk};

    desk->headless.key_ms = 200; /* a quick typist */
    desk->clock = DAY_NONE;
    desk->display = headless_display(&desk->headless);
    if (ui_start(&desk->ui, &desk->kept.app, &desk->display, &setup, &desk->error) != STATUS_OK)
        fail_msg("%s", desk->error.sentence);
    ui_draw(&desk->ui);
}

/* A desk of 80 x 24 with one case and a booking for it today. */
static void open_desk(struct desk *desk, const char *name)
{
    *desk = (struct desk){.headless = {.rows = 24, .columns = 80}};
    case_typical(&desk->maker);
    case_booking(&desk->maker, 0, BOOKING_ACTIVATION, BOOKED_STANDING);
    store_case_open(&desk->kept, name, desk->maker.today);
    store_case_keep(&desk->kept, &desk->maker);
    sit_down(desk);
}

static void stand_up(struct desk *desk)
{
    ui_stop(&desk->ui);
    headless_release(&desk->headless);
}

static void close_desk(struct desk *desk)
{
    stand_up(desk);
    store_case_close(&desk->kept);
}

/* Types a script and returns the number of keys. */
static int keys(struct desk *desk, const char *script)
{
    struct key key = {0};
    int count = 0;

    desk->headless.script = script;
    while (*desk->headless.script != '\0' && !desk->ui.ending) {
        enum event event = desk->display.ops->read(&desk->headless, 1, &key);
        if (event != EVENT_KEY && *desk->headless.script == '\0')
            break; /* the end of a paste */
        if (event != EVENT_KEY)
            fail_msg("no key: %s", desk->headless.script);
        ui_event(&desk->ui, event, &key);
        ui_draw(&desk->ui);
        count++;
    }
    return count;
}

/* Runs of blanks and line breaks as one blank each: a sentence is found however it is wrapped. */
static void add_collapsed(struct text *out, const char *text)
{
    for (; *text != '\0'; text++) {
        bool blank = *text == ' ' || *text == '\n';
        if (!blank)
            text_add_byte(out, *text);
        else if (out->length > 0 && out->data[out->length - 1] != ' ')
            text_add_byte(out, ' ');
    }
}

static bool shows(const struct desk *desk, const char *text)
{
    struct text frame = {0}, wanted = {0};

    add_collapsed(&frame, text_string(&desk->headless.frame));
    add_collapsed(&wanted, text);
    bool found = strstr(text_string(&frame), text_string(&wanted)) != NULL;
    text_release(&frame);
    text_release(&wanted);
    return found;
}

#define assert_shows(desk, text)                                                                   \
    do {                                                                                           \
        if (!shows(desk, text))                                                                    \
            fail_msg("not on the screen: %s\n%s", text, text_string(&(desk)->headless.frame));     \
    } while (0)

static size_t visits_kept(struct desk *desk)
{
    struct arena arena = {0};
    struct history history;

    assert_int_equal(store_read_case(desk->kept.app.store, &desk->kept.casefile, STORE_NOW, &arena,
                                     &history, &desk->error),
                     STATUS_OK);
    size_t count = history.visit_count;
    arena_release(&arena);
    return count;
}

static size_t unsaved_kept(struct desk *desk)
{
    struct arena arena = {0};
    struct unsaved_list list;

    assert_int_equal(seat_unsaved(&desk->kept.app, &arena, &list, &desk->error), STATUS_OK);
    size_t count = list.count;
    arena_release(&arena);
    return count;
}

static void today_leads_to_the_verdict(void **state)
{
    struct desk desk;

    (void)state;
    open_desk(&desk, "screens_today");
    assert_shows(&desk, "1 booked, 0 due");
    assert_shows(&desk, "09:00 C-0001");
    assert_int_equal(desk.headless.cursor_row, 3);
    keys(&desk, "<Enter>");
    assert_shows(&desk, "C-0001");
    assert_shows(&desk, "born ");
    assert_shows(&desk, "PROCEED");
    assert_shows(&desk, "if tissue and hardware");
    assert_shows(&desk, "largest step is 2.00 mm");
    assert_shows(&desk, "upper width: 40.00");
    assert_shows(&desk, "Decision support only");
    keys(&desk, "<Esc>"); /* nothing typed: no question */
    assert_shows(&desk, "1 booked");
    close_desk(&desk);
}

static void a_visit_on_the_keypad(void **state)
{
    struct desk desk;

    (void)state;
    open_desk(&desk, "screens_keypad");
    size_t before = visits_kept(&desk);
    int count = keys(&desk, "<Enter>20<Enter><Enter>2<Enter>00*<Enter>*<Enter>28<Enter><Enter>");
    assert_shows(&desk, "Save for ");
    assert_shows(&desk, "right 1.00  left 1.00");
    assert_int_equal(visits_kept(&desk), before); /* running off the last field saves nothing */
    assert_int_equal(unsaved_kept(&desk), 1);
    count += keys(&desk, "<Enter>");
    assert_true(count <= 25);
    assert_shows(&desk, "Saved: C-0001 upper activation");
    assert_shows(&desk, "1 booked");
    assert_int_equal(visits_kept(&desk), before + 1);
    assert_int_equal(unsaved_kept(&desk), 0);
    close_desk(&desk);
}

static void the_verdict_follows_every_field(void **state)
{
    struct desk desk;

    (void)state;
    open_desk(&desk, "screens_follow");
    keys(&desk, "<Enter><Enter><Enter>1");
    assert_shows(&desk, "REDUCE");
    assert_shows(&desk, "mild");
    keys(&desk, "0");
    assert_false(shows(&desk, "if tissue and hardware"));
    keys(&desk, "//1"); /* back to tissue, then to its value */
    assert_shows(&desk, "REDUCE");
    keys(&desk, "/2");
    assert_shows(&desk, "HOLD");
    close_desk(&desk);
}

static void a_format_error_blocks_forwards_only(void **state)
{
    struct desk desk;

    (void)state;
    open_desk(&desk, "screens_format");
    keys(&desk, "<Enter><Enter><Enter>001.2.3<Enter>");
    assert_shows(&desk, ">1.2.3");
    assert_false(shows(&desk, "+ and - one step")); /* the hint gave way to the sentence */
    int row = desk.headless.cursor_row, column = desk.headless.cursor_column;
    keys(&desk, "<Enter>");
    assert_int_equal(desk.headless.cursor_row, row);
    assert_int_equal(desk.headless.cursor_column, column);
    keys(&desk, "/");
    assert_shows(&desk, ">0 intact");
    assert_shows(&desk, "!1.2.3"); /* not wiped */
    keys(&desk, "<Enter>");
    keys(&desk, "1.25<Enter>"); /* what is typed replaces it */
    assert_shows(&desk, "1.25");
    assert_false(shows(&desk, "1.2.3"));
    close_desk(&desk);
}

static void a_soft_range_asks_once(void **state)
{
    struct desk desk;

    (void)state;
    open_desk(&desk, "screens_soft");
    keys(&desk, "<Enter><Enter>47.00<Enter>");
    assert_shows(&desk, "Enter again to keep it");
    desk.headless.key_ms = 100; /* the same stroke bounces */
    keys(&desk, "<Enter>");
    assert_false(shows(&desk, ">?"));
    desk.headless.key_ms = 200;
    keys(&desk, "<Enter>");
    assert_shows(&desk, "47.00");
    assert_shows(&desk, "upper tissue:");
    close_desk(&desk);
}

static void an_empty_required_choice_is_said_once(void **state)
{
    struct desk desk;

    (void)state;
    open_desk(&desk, "screens_open");
    keys(&desk, "<Enter><Enter><Enter><Enter>");
    assert_shows(&desk, "Without tissue no amount can be saved");
    keys(&desk, "<Enter>");
    assert_shows(&desk, "upper hardware:");
    keys(&desk, "<Enter><Enter>1<Enter>1<Enter><Enter><Enter>");
    assert_shows(&desk, "An amount is not saved before");
    assert_shows(&desk, "> "); /* and the field to go to has the focus */
    assert_int_equal(visits_kept(&desk), desk.maker.history.visit_count);
    close_desk(&desk);
}

static void more_than_permitted_asks_why(void **state)
{
    struct desk desk;
    struct arena arena = {0};
    struct history history;

    (void)state;
    open_desk(&desk, "screens_why");
    keys(&desk, "<Enter><Enter><Enter>10" /* mild: at most 1.00 mm */
                "1.5<Enter>1<Enter><Enter><Enter>");
    assert_shows(&desk, "More than permitted. Why?");
    assert_shows(&desk, "1  ");
    keys(&desk, "<Enter>");
    assert_shows(&desk, "Press the number of a reason");
    keys(&desk, "9<Enter>");
    assert_shows(&desk, "Press the number of a reason");
    keys(&desk, "2<Enter>sore from / a crust<Enter>");
    assert_shows(&desk, "more than permitted, because:");
    assert_shows(&desk, "sore from / a crust");
    keys(&desk, "/");
    assert_shows(&desk, "note");
    keys(&desk, "<Enter>1");
    assert_shows(&desk, "Saved: C-0001");
    assert_int_equal(store_read_case(desk.kept.app.store, &desk.kept.casefile, STORE_NOW, &arena,
                                     &history, &desk.error),
                     STATUS_OK);
    bool found = false;
    for (size_t i = 0; i < history.visit_count; i++)
        found = found || (history.visits[i].override_reason != NULL &&
                          strstr(history.visits[i].override_reason, "sore from / a crust") != NULL);
    assert_true(found);
    arena_release(&arena);
    close_desk(&desk);
}

static void a_bouncing_key_does_not_save(void **state)
{
    struct desk desk;

    (void)state;
    open_desk(&desk, "screens_bounce");
    keys(&desk, "<Enter><Enter><Enter>001<Enter>1<Enter><Enter><Enter>");
    assert_shows(&desk, "Enter or 1 saves");
    desk.headless.key_ms = 149;
    keys(&desk, "<Enter>");
    assert_shows(&desk, "Enter or 1 saves");
    assert_int_equal(visits_kept(&desk), desk.maker.history.visit_count);
    desk.headless.key_ms = 1;
    keys(&desk, "<Enter>");
    assert_shows(&desk, "Saved: C-0001");
    close_desk(&desk);
}

/* A digit taken at once and struck twice is one answer. */
static void a_double_strike_is_one_answer(void **state)
{
    struct desk desk;

    (void)state;
    open_desk(&desk, "screens_strike");
    keys(&desk, "<Enter><Enter><Enter>");
    desk.headless.key_ms = 40;
    keys(&desk, "00");
    assert_shows(&desk, "upper hardware:");
    desk.headless.key_ms = 100;
    keys(&desk, "0");
    assert_shows(&desk, "upper right mm:");
    close_desk(&desk);
}

static void a_paste_is_text_and_never_saves(void **state)
{
    struct desk desk;

    (void)state;
    open_desk(&desk, "screens_paste");
    keys(&desk, "<Enter>");
    keys(&desk, "<paste:20|24|3|40.1|0|0|1|1|28|note /*-+ of two|lines|||1|||>");
    assert_shows(&desk, "note >note /*-+ of two lines");
    assert_int_equal(visits_kept(&desk), desk.maker.history.visit_count);
    keys(&desk, "<Enter><paste:|1|>");
    assert_shows(&desk, "Enter or 1 saves");
    assert_int_equal(visits_kept(&desk), desk.maker.history.visit_count);
    keys(&desk, "1");
    assert_shows(&desk, "Saved: C-0001");
    close_desk(&desk);
}

/* A soft range that a paste leaves is not answered by the paste's own line breaks. */
static void a_paste_answers_no_question(void **state)
{
    struct desk desk;

    (void)state;
    open_desk(&desk, "screens_paste_ask");
    keys(&desk, "<Enter><Enter><paste:47.00||||0|0|1|>");
    assert_shows(&desk, "47.00 mm is more than 2.00 mm from the last width");
    assert_shows(&desk, "upper >47.00 ? ?"); /* and nothing behind it was filled */
    keys(&desk, "<paste:40>");
    assert_shows(&desk, "upper >40 ? ?");
    close_desk(&desk);
}

static void an_unsaved_visit_is_offered(void **state)
{
    struct desk desk;

    (void)state;
    open_desk(&desk, "screens_offer");
    keys(&desk, "<Enter>20<Enter><Enter>2<Enter>0");
    stand_up(&desk);
    desk.headless = (struct headless){.rows = 24, .columns = 80};
    sit_down(&desk);
    assert_shows(&desk, "A visit of C-0001");
    assert_shows(&desk, "was not saved");
    keys(&desk, "/"); /* later: it is still there on opening the case */
    keys(&desk, "<Enter>");
    assert_shows(&desk, "This visit was begun and not saved");
    keys(&desk, "0");
    assert_shows(&desk, "for good?");
    keys(&desk, "/<Enter>");
    assert_shows(&desk, "20 days");
    assert_shows(&desk, "upper hardware:"); /* behind the last field that was filled */
    keys(&desk, "<Esc>");
    assert_shows(&desk, "Not saved yet. Leave?");
    keys(&desk, "/");
    assert_shows(&desk, "upper hardware:");
    keys(&desk, "<Esc>00");
    assert_shows(&desk, "1 booked");
    assert_int_equal(unsaved_kept(&desk), 0);
    close_desk(&desk);
}

static void a_dropped_line_keeps_the_field_being_typed(void **state)
{
    struct desk desk;

    (void)state;
    open_desk(&desk, "screens_drop");
    keys(&desk, "<Enter>17");
    assert_int_equal(unsaved_kept(&desk), 0);
    ui_event(&desk.ui, EVENT_END, NULL);
    assert_true(desk.ui.ending);
    assert_int_equal(unsaved_kept(&desk), 1);
    stand_up(&desk);
    desk.headless = (struct headless){.rows = 24, .columns = 80};
    sit_down(&desk);
    keys(&desk, "<Enter>");
    assert_shows(&desk, "17 days");
    close_desk(&desk);
}

static void midnight_passes(void **state)
{
    struct desk desk;

    (void)state;
    open_desk(&desk, "screens_midnight");
    keys(&desk, "<Enter>17<Enter>");
    desk.clock = desk.kept.app.today + 1;
    ui_event(&desk.ui, EVENT_NOTHING, NULL);
    assert_int_equal(desk.kept.app.today, desk.maker.today); /* an open visit keeps its day */
    keys(&desk, "<Esc><Enter>");
    assert_shows(&desk, "1 booked");
    assert_true(ui_event(&desk.ui, EVENT_NOTHING, NULL));
    ui_draw(&desk.ui);
    assert_int_equal(desk.kept.app.today, desk.maker.today + 1);
    assert_shows(&desk, "It is 2026-06-02 now.");
    assert_shows(&desk, "0 booked");
    keys(&desk, "0001<Enter><Enter>");
    assert_shows(&desk, "This visit is of 2026-06-01");
    close_desk(&desk);
}

static void searches_blind_to_case_and_marks(void **state)
{
    struct desk desk;

    (void)state;
    desk = (struct desk){.headless = {.rows = 24, .columns = 80}};
    case_typical(&desk.maker);
    desk.maker.patient.family = "\xC5\x81\xC3\xB3\xC5\xBC-Wierzba";
    store_case_open(&desk.kept, "screens_search", desk.maker.today);
    store_case_keep(&desk.kept, &desk.maker);
    sit_down(&desk);
    keys(&desk, "loz-w");
    assert_shows(&desk, "find: loz-w");
    assert_shows(&desk, "1 found");
    assert_shows(&desk, "Wierzba");
    assert_int_equal(desk.headless.cursor_row, 1);
    assert_int_equal(desk.headless.cursor_column, 11);
    keys(&desk, "q");
    assert_shows(&desk, "No case has this");
    keys(&desk, "<Backspace><Enter>");
    assert_shows(&desk, "PROCEED");
    keys(&desk, "<Esc>0001");
    assert_shows(&desk, "1 found");
    keys(&desk, "<Esc>");
    assert_false(shows(&desk, "found"));
    close_desk(&desk);
}

static void help_lists_what_works_here(void **state)
{
    struct desk desk;

    (void)state;
    open_desk(&desk, "screens_help");
    keys(&desk, "?");
    assert_shows(&desk, "Keys that work here");
    assert_shows(&desk, "Ctrl-Q");
    keys(&desk, "<PageDown><PageDown>");
    assert_shows(&desk, "Decision support only");
    keys(&desk, "<Esc><Enter>?");
    assert_shows(&desk, "/ Up Shift-Tab");
    keys(&desk, "x"); /* any key goes back and does nothing else */
    assert_shows(&desk, "wear: days met:");
    keys(&desk, "<Ctrl-L>");
    assert_int_equal(desk.headless.repaints, 1);
    close_desk(&desk);
}

/* Every size: nothing is lost, nothing crashes, what is needed to type is there from 40 x 12. */
static void any_size(void **state)
{
    static const int sizes[][2] = {{1, 1},   {2, 200}, {11, 80}, {12, 39},  {12, 40}, {13, 41},
                                   {20, 79}, {24, 80}, {23, 80}, {43, 132}, {60, 200}};
    struct desk desk;

    (void)state;
    open_desk(&desk, "screens_size");
    keys(&desk, "<Enter>2");
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        desk.headless.rows = sizes[i][0];
        desk.headless.columns = sizes[i][1];
        ui_event(&desk.ui, EVENT_RESIZE, NULL);
        ui_draw(&desk.ui);
        bool enough = sizes[i][0] >= 12 && sizes[i][1] >= 40;
        if (enough) {
            assert_shows(&desk, "C-0001");
            assert_shows(&desk, "PROCEED");
            assert_shows(&desk, "wear");
            assert_shows(&desk, "days met");
        } else if (sizes[i][1] >= 9 && sizes[i][0] > 1) {
            assert_shows(&desk, "Too small");
            keys(&desk, "7"); /* nobody types blind */
        }
        assert_true(desk.headless.cursor_row < sizes[i][0]);
        assert_true(desk.headless.cursor_column < sizes[i][1]);
    }
    desk.headless.rows = 12;
    desk.headless.columns = 40;
    keys(&desk, "<PageDown><PageDown><PageDown><PageDown><PageDown><PageDown><PageDown>");
    assert_shows(&desk, "and guidance come first."); /* the caution has no row of its own here */
    keys(&desk, "0<Enter><Enter>2<Enter>001<Enter>1<Enter><Enter><Enter>");
    assert_shows(&desk, "Save for ");
    keys(&desk, "1");
    assert_shows(&desk, "Saved: C-0001");
    close_desk(&desk);
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
    sit_down(&desk);
    keys(&desk, "0001<Enter>");
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        desk.headless.rows = sizes[i][0];
        desk.headless.columns = sizes[i][1];
        ui_event(&desk.ui, EVENT_RESIZE, NULL);
        ui_draw(&desk.ui);
        assert_shows(&desk, "C-0001");
        assert_shows(&desk, "born ");
        assert_shows(&desk, " years");
        assert_shows(&desk, "ALERT: nickel allergy");
        assert_shows(&desk, "PROCEED");
    }
    close_desk(&desk);
}

/* Without any attribute and without colour every state still differs. */
static void nothing_is_said_by_looks_alone(void **state)
{
    struct desk desk;

    (void)state;
    open_desk(&desk, "screens_looks");
    assert_shows(&desk, "> 09:00");
    keys(&desk, "<Enter><Enter><Enter>");
    assert_shows(&desk, "PROCEED");
    keys(&desk, "2");
    assert_shows(&desk, "# upper: HOLD");
    keys(&desk, "/1");
    assert_shows(&desk, "- upper: REDUCE");
    close_desk(&desk);
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
        cmocka_unit_test(more_than_permitted_asks_why),
        cmocka_unit_test(a_bouncing_key_does_not_save),
        cmocka_unit_test(a_double_strike_is_one_answer),
        cmocka_unit_test(a_paste_is_text_and_never_saves),
        cmocka_unit_test(a_paste_answers_no_question),
        cmocka_unit_test(an_unsaved_visit_is_offered),
        cmocka_unit_test(a_dropped_line_keeps_the_field_being_typed),
        cmocka_unit_test(midnight_passes),
        cmocka_unit_test(searches_blind_to_case_and_marks),
        cmocka_unit_test(help_lists_what_works_here),
        cmocka_unit_test(any_size),
        cmocka_unit_test(a_long_name_hides_nothing),
        cmocka_unit_test(nothing_is_said_by_looks_alone),
    };
    return cmocka_run_group_tests_name("ui_screens", tests, NULL, NULL);
}
