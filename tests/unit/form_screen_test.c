/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The form screen over a real store and the real forms, without a terminal: what the keys do, what
 * stands on the screen, that nothing typed is lost and nothing is saved by accident. The case is
 * case_maker's typical one of an invented child, today 2026-06-01. The keys are our own design, no
 * source.
 */
#include "desk.h"
#include "springline/ui/screens.h"

static const struct screen_ops *top(const struct desk *desk)
{
    return desk->ui.stack[desk->ui.depth - 1].ops;
}

static void open_form(struct desk *desk, const char *name, enum command command)
{
    desk_open(desk, name);
    assert_true(screen_go(&desk->ui, command, &desk->kept.casefile));
    if (top(desk) != &form_screen)
        fail_msg("no form: %s", text_string(&desk->ui.message));
    ui_draw(&desk->ui);
}

/* The case as it stands in the store; the caller releases the arena. */
static struct history read_case(struct desk *desk, struct arena *arena)
{
    struct history history;

    assert_int_equal(store_read_case(desk->kept.app.store, &desk->kept.casefile, STORE_NOW, arena,
                                     &history, &desk->error),
                     STATUS_OK);
    return history;
}

static void assert_phone(struct desk *desk, const char *phone)
{
    struct arena arena = {0};
    struct history history = read_case(desk, &arena);

    assert_string_equal(history.patient->phone == NULL ? "" : history.patient->phone, phone);
    arena_release(&arena);
}

/* The focus, and the fields on both sides of it, are on the screen; the cursor stands on it. */
static void who_and_fields_are_seen(void **state)
{
    struct desk desk;

    (void)state;
    open_form(&desk, "form_seen", COMMAND_TO_PATIENT);
    assert_shows(&desk, "C-0001 Quillfeather, Odalys Patient");
    assert_shows(&desk, "born 2017-03-09, 9 years");
    assert_shows(&desk, "chart K-0001"); /* shown, not entered */
    assert_shows(&desk, "family name [Quillfeather");
    assert_shows(&desk, "was Quillfeather");
    assert_shows(&desk, "telephone ...");
    assert_shows(&desk, "Family name of the child.");
    assert_shows(&desk, "Decision support only");
    int row = desk.headless.cursor_row;
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "given name [Odalys");
    assert_int_equal(desk.headless.cursor_row, row + 1);
    desk_keys(&desk, "/");
    assert_int_equal(desk.headless.cursor_row, row);
    desk_keys(&desk, "/");
    assert_shows(&desk, "This is the first field");
    desk_keys(&desk, "<Esc>"); /* nothing entered: no question */
    assert_int_equal(desk.ui.depth, 1);
    desk_close(&desk);
}

/* Filling what was empty asks for no reason; nothing is saved before the review. */
static void an_empty_field_is_filled(void **state)
{
    struct desk desk;

    (void)state;
    open_form(&desk, "form_fill", COMMAND_TO_PATIENT);
    desk_keys(&desk, "<Enter><Enter><Enter><Enter><Enter>+49 555-01<Enter>");
    assert_shows(&desk, "telephone +49 555-01");
    desk_keys(&desk, "<Enter><Enter><Enter>");
    assert_shows(&desk, "Enter or 1 saves");
    assert_shows(&desk, "+49 555-01");
    assert_phone(&desk, "");
    desk_keys(&desk, "/"); /* back to the last field */
    assert_shows(&desk, "alerts [");
    desk_keys(&desk, "<Enter>");
    desk_keys(&desk, "<Enter>");
    assert_int_equal(desk.ui.depth, 1);
    assert_shows(&desk, "Saved: ");
    assert_phone(&desk, "+49 555-01");
    desk_close(&desk);
}

/* Changing what is recorded asks why, in words, and does not take an empty answer. */
static void a_change_asks_for_its_reason(void **state)
{
    struct desk desk;
    struct arena arena = {0};

    (void)state;
    open_form(&desk, "form_reason", COMMAND_TO_PATIENT);
    desk_keys(&desk, "Quillfether<Enter>");
    assert_shows(&desk, "was Quillfeather"); /* stays beside it */
    desk_keys(&desk, "<Enter><Enter><Enter><Enter><Enter><Enter><Enter><Enter>");
    assert_shows(&desk, "write why, then Enter");
    assert_shows(&desk, "Quillfeather -> Quillfether"); /* what changes */
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "write why, in a few words");
    desk_keys(&desk, " <Enter>"); /* blanks say nothing */
    assert_shows(&desk, "write why, in a few words");
    desk_keys(&desk, "the mother spells it so<Enter>");
    assert_shows(&desk, "because: the mother spells it so");
    assert_shows(&desk, "Enter or 1 saves");
    desk_keys(&desk, "/"); /* to the reason, kept */
    assert_shows(&desk, "the mother spells it so");
    desk_keys(&desk, "<Enter>1");
    assert_shows(&desk, "Saved: ");
    struct history history = read_case(&desk, &arena);
    assert_string_equal(history.patient->family, "Quillfether");
    assert_string_equal(history.patient->head.reason, " the mother spells it so");
    arena_release(&arena);
    desk_close(&desk);
}

static void star_takes_back_what_is_recorded(void **state)
{
    struct desk desk;

    (void)state;
    open_form(&desk, "form_same", COMMAND_TO_PATIENT);
    desk_keys(&desk, "Xylo<Enter>/");
    assert_shows(&desk, "family name [Xylo");
    desk_keys(&desk, "*");
    assert_shows(&desk, "family name [Quillfeather");
    desk_keys(&desk, "<Enter><Enter><Enter>*"); /* sex: nothing recorded, nothing offered */
    assert_shows(&desk, "Nothing is recorded or offered here");
    desk_close(&desk);
}

static void a_choice_is_taken_at_once(void **state)
{
    struct desk desk;

    (void)state;
    open_form(&desk, "form_choice", COMMAND_TO_PATIENT);
    desk_keys(&desk, "<Enter><Enter><Enter>");
    assert_shows(&desk, "] 1 male 2 female 3 other 4 unknown");
    desk_keys(&desk, "2");
    assert_shows(&desk, "sex female");
    assert_shows(&desk, "guardian [");
    desk_keys(&desk, "/");
    assert_shows(&desk, "sex [2 female");
    desk_keys(&desk, "7"); /* not one of them: it stays, and what to write is said */
    assert_shows(&desk, "sex [7");
    assert_shows(&desk, "wrong");
    desk_keys(&desk, "/"); /* back is always open */
    assert_shows(&desk, "born [2017-03-09");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "sex [7");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "sex [7"); /* forwards is not */
    desk_keys(&desk, "1");
    assert_shows(&desk, "sex male");
    desk_close(&desk);
}

static void a_double_strike_answers_once(void **state)
{
    struct desk desk;

    (void)state;
    open_form(&desk, "form_bounce", COMMAND_TO_QUESTIONS);
    desk_keys(&desk, "<Enter>"); /* the day they were asked */
    assert_shows(&desk, "nickel allergy [");
    desk.headless.key_ms = 99;
    int row = desk.headless.cursor_row;
    assert_shows(&desk, "0 no 1 yes"); /* as at the chair */
    desk_keys(&desk, "0");
    assert_int_equal(desk.headless.cursor_row, row + 1);
    assert_shows(&desk, "nickel allergy no");
    desk_keys(&desk, "0"); /* the same stroke */
    assert_int_equal(desk.headless.cursor_row, row + 1);
    desk.headless.key_ms = 200;
    desk_keys(&desk, "0");
    assert_int_equal(desk.headless.cursor_row, row + 2);
    desk_keys(&desk, "2"); /* no answer at all */
    assert_int_equal(desk.headless.cursor_row, row + 2);
    assert_shows(&desk, "Press one of 0 no, 1 yes.");
    desk_close(&desk);
}

static void a_bouncing_enter_does_not_save(void **state)
{
    struct desk desk;

    (void)state;
    open_form(&desk, "form_enter", COMMAND_TO_PATIENT);
    desk_keys(&desk, "<Enter><Enter><Enter><Enter><Enter>555<Enter><Enter><Enter><Enter>");
    assert_shows(&desk, "Enter or 1 saves");
    desk.headless.key_ms = 149;
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Enter or 1 saves");
    assert_phone(&desk, "");
    desk.headless.key_ms = 2;
    desk_keys(&desk, "<Enter>");
    assert_phone(&desk, "555");
    desk_close(&desk);
}

/* The word of a choice is read where it was typed, also while it is asked about. */
static void a_choice_is_read_while_it_is_asked_about(void **state)
{
    struct desk desk;

    (void)state;
    open_form(&desk, "form_asked", COMMAND_TO_CLOSE);
    desk_keys(&desk, "<Enter>2");
    assert_shows(&desk, "still in: closed, the case is a safety item");
    assert_shows(&desk, "why it is closed [2 transferred] wrong");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "why it is closed transferred");
    desk_close(&desk);
}

static void what_is_wrong_stays_and_is_said(void **state)
{
    struct desk desk;

    (void)state;
    open_form(&desk, "form_wrong", COMMAND_TO_PATIENT);
    desk_keys(&desk, "<Enter><Enter>2017-13-40<Enter>");
    assert_shows(&desk, "born [2017-13-40");
    assert_shows(&desk, "wrong");
    assert_true(desk.ui.message.length > 0);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "born [2017-13-40");
    desk_keys(&desk, "20170309<Enter>"); /* what is typed replaces it */
    assert_shows(&desk, "born 2017-03-09");
    assert_shows(&desk, "sex [");
    desk_close(&desk);
}

static void a_day_is_stepped(void **state)
{
    struct desk desk;

    (void)state;
    open_form(&desk, "form_day", COMMAND_TO_PATIENT);
    desk_keys(&desk, "<Enter><Enter>++-");
    assert_shows(&desk, "born [2017-03-10");
    desk_keys(&desk, "2017-03"); /* inside a date the hyphen is text */
    assert_shows(&desk, "born [2017-03 ");
    desk_close(&desk);
}

/* A telephone number holds + - and /; at the beginning / still goes back. */
static void in_words_signs_are_text(void **state)
{
    struct desk desk;

    (void)state;
    open_form(&desk, "form_words", COMMAND_TO_PATIENT);
    desk_keys(&desk, "<Enter><Enter><Enter><Enter><Enter>030/12-3*?");
    assert_shows(&desk, "telephone [030/12-3*?");
    desk_keys(&desk, "<Enter>/");
    assert_shows(&desk, "telephone [030/12-3*?");
    desk_keys(&desk, "/");
    assert_shows(&desk, "guardian [");
    desk_keys(&desk, "?");
    assert_shows(&desk, "Keys that work here");
    desk_close(&desk);
}

static void nothing_typed_is_lost(void **state)
{
    struct desk desk;

    (void)state;
    open_form(&desk, "form_draft", COMMAND_TO_PATIENT);
    desk_keys(&desk, "<Enter><Enter><Enter>2Corvin<Esc>");
    assert_shows(&desk, "Not saved yet. Leave?");
    desk_keys(&desk, "/");
    assert_shows(&desk, "guardian [Corvin");
    desk_keys(&desk, "<Esc><Enter>");
    assert_int_equal(desk.ui.depth, 1);
    assert_shows(&desk, "is kept and will be offered");
    desk_start_again(&desk);
    screen_go(&desk.ui, COMMAND_TO_PATIENT, &desk.kept.casefile);
    ui_draw(&desk.ui);
    assert_shows(&desk, "was begun and not saved");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "sex female");
    assert_shows(&desk, "guardian Corvin");
    assert_shows(&desk, "telephone ["); /* behind the last one entered */
    desk_keys(&desk, "<Esc>");
    desk_keys(&desk, "-");
    assert_shows(&desk, "for good?");
    desk_keys(&desk, "-");
    assert_int_equal(desk.ui.depth, 1);
    screen_go(&desk.ui, COMMAND_TO_PATIENT, &desk.kept.casefile);
    ui_draw(&desk.ui);
    assert_false(desk_shows(&desk, "not saved"));
    assert_shows(&desk, "family name [");
    desk_close(&desk);
}

static void a_dropped_line_keeps_what_is_being_typed(void **state)
{
    struct desk desk;

    (void)state;
    open_form(&desk, "form_hang_up", COMMAND_TO_PATIENT);
    desk_keys(&desk, "<Enter><Enter><Enter><Enter>Corv");
    ui_event(&desk.ui, EVENT_END, NULL);
    desk_start_again(&desk);
    screen_go(&desk.ui, COMMAND_TO_PATIENT, &desk.kept.casefile);
    ui_draw(&desk.ui);
    assert_shows(&desk, "was begun and not saved");
    desk_keys(&desk, "--"); /* thrown away: asked twice, then the form is empty */
    assert_shows(&desk, "guardian ...");
    desk_close(&desk);
}

static void a_new_patient_opens_the_new_case(void **state)
{
    struct desk desk;

    (void)state;
    open_form(&desk, "form_new", COMMAND_TO_NEW_PATIENT);
    assert_shows(&desk, "family name [");
    desk_keys(&desk, "<Enter>"); /* required: said once */
    assert_shows(&desk, "Without \"family name\" nothing can be saved");
    desk_keys(&desk, "Thistledown<Enter>Marigold<Enter>2017-04-05<Enter>1");
    desk_keys(&desk, "<Enter>555-02<Enter><Enter><Enter><Enter>");
    assert_shows(&desk, "Enter: 2026-06-01"); /* offered, beside the field */
    desk_keys(&desk, "*");
    assert_shows(&desk, "opened [2026-06-01");
    desk_keys(&desk, "<Enter><Enter><Enter>");
    /* chart and case stand before the first field: they are offered, and asked for now */
    for (int i = 0; i < 4 && !desk_shows(&desk, "Enter or 1 saves"); i++)
        desk_keys(&desk, "*<Enter>");
    assert_shows(&desk, "Enter or 1 saves");
    assert_shows(&desk, "Thistledown");
    desk_keys(&desk, "<Enter>");
    assert_ptr_equal(top(&desk), &case_screen);
    assert_int_equal(desk.ui.depth, 2);
    assert_shows(&desk, "Thistledown, Marigold");
    assert_shows(&desk, "Saved: ");
    desk_close(&desk);
}

/* Another seat changed the same record: nothing is saved, and nothing typed is gone. */
static void a_conflict_loses_nothing(void **state)
{
    struct desk desk;
    struct arena arena = {0};
    struct app_save save;

    (void)state;
    open_form(&desk, "form_conflict", COMMAND_TO_PATIENT);
    desk_keys(&desk, "<Enter><Enter><Enter><Enter><Enter>555<Enter>");
    struct patient patient = *read_case(&desk, &arena).patient;
    struct store_request request = {.id = store_new_id(desk.kept.app.store), .command = "test"};
    assert_int_equal(app_save_begin(&desk.kept.app, COMMAND_IMPORT, &request, &save, &desk.error),
                     STATUS_OK);
    patient.phone = "777";
    assert_int_equal(store_append(desk.kept.app.store, RECORD_PATIENT, &patient, &desk.error),
                     STATUS_OK);
    assert_int_equal(app_save_touch(&save, &desk.kept.casefile, &desk.error), STATUS_OK);
    assert_int_equal(app_save_commit(&save, &desk.error), STATUS_OK);
    arena_release(&arena);
    desk_keys(&desk, "<Enter><Enter><Enter><Enter>");
    assert_ptr_equal(top(&desk), &conflict_screen); /* more of it: conflict_screen_test.c */
    desk_keys(&desk, "<Esc>");
    assert_ptr_equal(top(&desk), &form_screen);
    assert_shows(&desk, "Nothing was saved; what was typed is kept.");
    assert_shows(&desk, "telephone 555");
    assert_phone(&desk, "777");
    desk_close(&desk);
}

/* Only the reason is asked; / leaves everything as it is. */
static void a_withdrawal_asks_for_its_reason_only(void **state)
{
    struct desk desk;
    struct arena arena = {0};

    (void)state;
    desk_open(&desk, "form_withdraw");
    struct history history = read_case(&desk, &arena);
    struct form_argument argument = {
        .kind = FORM_WITHDRAW,
        .subject = {.casefile = desk.kept.casefile,
                    .record = RECORD_WIDTH,
                    .row = history.widths[history.width_count - 1].head.id}};
    size_t before = history.width_count;
    ui_push(&desk.ui, &form_screen, &argument);
    ui_draw(&desk.ui);
    assert_shows(&desk, "40.00"); /* what goes */
    assert_shows(&desk, "write why");
    desk_keys(&desk, "/");
    assert_int_equal(desk.ui.depth, 1);
    assert_shows(&desk, "Nothing was saved");
    ui_push(&desk.ui, &form_screen, &argument);
    ui_draw(&desk.ui);
    desk_keys(&desk, "wrong child<Enter><Enter>");
    assert_int_equal(desk.ui.depth, 1);
    assert_shows(&desk, "Withdrawn: ");
    arena_clear(&arena);
    assert_int_equal(read_case(&desk, &arena).width_count, before - 1);
    arena_release(&arena);
    desk_close(&desk);
}

/* A pasted line takes the value and goes on, but it reviews, saves and answers nothing. */
static void a_paste_is_text(void **state)
{
    struct desk desk;

    (void)state;
    open_form(&desk, "form_paste", COMMAND_TO_PATIENT);
    desk_keys(&desk, "<Enter><Enter><Enter><Enter><paste:Corvin|555/66*|>");
    assert_shows(&desk, "guardian Corvin");
    assert_shows(&desk, "telephone 555/66*");
    assert_shows(&desk, "second guardian [");
    desk_keys(&desk, "<Enter><Enter><paste:none known|1|>");
    assert_false(desk_shows(&desk, "Enter or 1 saves"));
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Enter or 1 saves");
    desk_keys(&desk, "<paste:1|>");
    assert_shows(&desk, "Enter or 1 saves");
    assert_phone(&desk, "");
    desk_close(&desk);
}

/* Every field can be reached, with a field on both sides in sight, also at the least size. */
static void a_small_screen_follows_the_focus(void **state)
{
    static const char *const labels[] = {"family name",   "given name",     "born",
                                         "sex",           "guardian",       "telephone",
                                         "second guardi", "second telepho", "alerts"};
    enum { COUNT = sizeof labels / sizeof labels[0] };
    struct desk desk;

    (void)state;
    open_form(&desk, "form_small", COMMAND_TO_PATIENT);
    desk_resize(&desk, 12, 40);
    for (int i = 0; i < COUNT; i++) {
        assert_shows(&desk, "C-0001");
        assert_shows(&desk, "born 2017-03-09, 9 years");
        assert_shows(&desk, labels[i]);
        assert_shows(&desk, labels[i > 0 ? i - 1 : 0]);
        assert_shows(&desk, labels[i < COUNT - 1 ? i + 1 : i]);
        struct cell cell = grid_cell(&desk.ui.grid, desk.headless.cursor_row, 17);
        assert_int_equal(cell.character, '['); /* the cursor stands in the field being typed */
        desk_keys(&desk, i == COUNT - 1 ? "/" : "<Enter>");
    }
    desk_keys(&desk, "<PageUp><PageUp><PageUp><PageUp><PageUp>");
    assert_shows(&desk, "family name [Quill");
    for (int i = 0; i < COUNT && !desk_shows(&desk, "alerts ["); i++)
        desk_keys(&desk, "<PageDown>");
    assert_shows(&desk, "alerts [");
    desk_keys(&desk, "/////."); /* on the keypad . pages where no point can be typed */
    assert_shows(&desk, "second guardian [");
    desk_keys(&desk, "<PageDown>");
    assert_shows(&desk, "alerts [");
    desk_keys(&desk, "nuts<Enter>");
    assert_shows(&desk, "Enter or 1 saves");
    desk_close(&desk);
}

/* An offer is taken by Enter; who pages past the last field did not look at it. */
static void paging_takes_no_offer(void **state)
{
    struct desk desk;

    (void)state;
    open_form(&desk, "form_paging", COMMAND_TO_TRAINER);
    desk_keys(&desk, "<Enter>11"); /* ended today, lost, replaced */
    assert_shows(&desk, "Enter alone: 2026-06-01");
    desk_keys(&desk, "<PageDown>");
    assert_false(desk_shows(&desk, "Enter or 1 saves"));
    assert_shows(&desk, "it is needed here");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Enter or 1 saves");
    desk_close(&desk);
}

static void a_fit_sheet_is_filled(void **state)
{
    struct desk desk;
    struct arena arena = {0};

    (void)state;
    open_form(&desk, "form_fit", COMMAND_TO_FIT);
    assert_shows(&desk, "Fit sheet");
    assert_shows(&desk, "separators"); /* a heading */
    assert_shows(&desk, "1 upper 2 lower");
    desk_keys(&desk, "2"); /* the lower arch: no expander yet */
    assert_shows(&desk, "arch lower");
    desk_keys(&desk, "0520<Enter>0527<Enter><Enter>3<Enter>4<Enter>");
    assert_shows(&desk, "fitted on [");
    desk_keys(&desk, "<Enter>"); /* not yet fitted: wire and checks are not asked */
    assert_false(desk_shows(&desk, "wire mm"));
    assert_shows(&desk, "sides in plan [");
    for (int i = 0; i < 40 && !desk_shows(&desk, "Enter or 1 saves"); i++)
        desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Enter or 1 saves");
    desk_keys(&desk, "1");
    assert_shows(&desk, "Saved: ");
    struct history history = read_case(&desk, &arena);
    const struct expander *lower = &history.expanders[history.expander_count - 1];
    for (size_t i = 0; i < history.expander_count; i++) {
        if (history.expanders[i].arch == ARCH_LOWER)
            lower = &history.expanders[i];
    }
    assert_int_equal(lower->arch, ARCH_LOWER);
    assert_int_equal(lower->separators_on, case_day(&desk.maker, 12)); /* 2026-05-20 */
    assert_int_equal(lower->banded_on, case_day(&desk.maker, 5));
    assert_int_equal(lower->teeth.right, 46); /* ISO 3950: the first lower molars */
    assert_int_equal(lower->teeth.left, 36);
    assert_string_equal(lower->band_right, "3");
    assert_int_equal(lower->fitted_on, DAY_NONE);
    arena_release(&arena);
    desk_close(&desk);
}

/* From the menu to the saved rows with the keys of the keypad alone; at 40 x 12 too. */
static void tooth_widths_are_entered_on_the_keypad(void **state)
{
    struct desk desk;
    struct arena arena = {0};
    struct assessment all;

    (void)state;
    open_form(&desk, "form_teeth", COMMAND_TO_TEETH);
    assert_shows(&desk, "Tooth widths");
    assert_shows(&desk, "1 upper 2 lower");
    assert_false(desk_shows(&desk, "45 mm"));
    desk_keys(&desk, "2<Enter>2"); /* lower, today, cast */
    assert_shows(&desk, "permanent teeth");
    assert_shows(&desk, "Right second premolar, mesial to distal; empty: not measured.");
    desk_keys(&desk, "<Enter><Enter><Enter>6.05<Enter>54<Enter>"); /* 42, then ten times 41 */
    assert_shows(&desk, "42 mm 6.05 mm");
    assert_shows(&desk, "taken for a slip");
    desk_keys(&desk, "---5.4<Enter>");
    assert_shows(&desk, "41 mm 5.40 mm");
    desk_resize(&desk, 12, 40);
    for (int i = 0; i < 40 && !desk_shows(&desk, "Enter or 1 saves"); i++)
        desk_keys(&desk, "<Enter>");
    desk_resize(&desk, 24, 80);
    assert_shows(&desk, "42 6.05 mm; 41 5.40 mm");
    desk_keys(&desk, "1");
    assert_shows(&desk, "Saved: 2 widths of teeth of 2026-06-01.");
    assert_int_equal(store_read_assessment(desk.kept.app.store, &desk.kept.casefile, STORE_NOW,
                                           &arena, &all, &desk.error),
                     STATUS_OK);
    assert_int_equal(all.tooth_width_count, 2);
    arena_release(&arena);
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(who_and_fields_are_seen),
        cmocka_unit_test(an_empty_field_is_filled),
        cmocka_unit_test(a_change_asks_for_its_reason),
        cmocka_unit_test(star_takes_back_what_is_recorded),
        cmocka_unit_test(a_choice_is_taken_at_once),
        cmocka_unit_test(a_double_strike_answers_once),
        cmocka_unit_test(a_bouncing_enter_does_not_save),
        cmocka_unit_test(a_choice_is_read_while_it_is_asked_about),
        cmocka_unit_test(what_is_wrong_stays_and_is_said),
        cmocka_unit_test(a_day_is_stepped),
        cmocka_unit_test(in_words_signs_are_text),
        cmocka_unit_test(nothing_typed_is_lost),
        cmocka_unit_test(a_dropped_line_keeps_what_is_being_typed),
        cmocka_unit_test(a_new_patient_opens_the_new_case),
        cmocka_unit_test(a_conflict_loses_nothing),
        cmocka_unit_test(a_withdrawal_asks_for_its_reason_only),
        cmocka_unit_test(a_paste_is_text),
        cmocka_unit_test(a_small_screen_follows_the_focus),
        cmocka_unit_test(paging_takes_no_offer),
        cmocka_unit_test(a_fit_sheet_is_filled),
        cmocka_unit_test(tooth_widths_are_entered_on_the_keypad),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
