/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Two seats save what belongs together: the second one reads field by field what the first one
 * saved, decides, and saves over it. Without a terminal; the other seat has a connection of its
 * own. The case is case_maker's typical one of an invented child, today 2026-06-01. The screen and
 * its keys are our own design, no source.
 */
#include "other_seat.h"
#include "springline/ui/screens.h"

static const struct screen_ops *top(const struct desk *desk)
{
    return desk->ui.stack[desk->ui.depth - 1].ops;
}

/* ---- this seat ---- */

static void open_form(struct desk *desk, const char *name, enum command command)
{
    desk_open(desk, name);
    assert_true(screen_go(&desk->ui, command, &desk->kept.casefile));
    if (top(desk) != &form_screen)
        fail_msg("no form: %s", text_string(&desk->ui.message));
    ui_draw(&desk->ui);
}

static struct history read_case(struct desk *desk, struct arena *arena)
{
    struct history history;

    assert_int_equal(store_read_case(desk->kept.app.store, &desk->kept.casefile, STORE_NOW, arena,
                                     &history, &desk->error),
                     STATUS_OK);
    return history;
}

static void is_patient(struct desk *desk, const char *given, const char *guardian,
                       const char *phone)
{
    struct arena arena = {0};
    const struct patient *patient = read_case(desk, &arena).patient;

    assert_string_equal(patient->given == NULL ? "" : patient->given, given);
    assert_string_equal(patient->guardian == NULL ? "" : patient->guardian, guardian);
    assert_string_equal(patient->phone == NULL ? "" : patient->phone, phone);
    arena_release(&arena);
}

/* Rows of the given name, guardian and telephone of the patient's form, from its first field. */
static void type_patient(struct desk *desk, const char *given, const char *guardian,
                         const char *phone)
{
    desk_keys(desk, "<Enter>"); /* family name */
    desk_keys(desk, given);
    desk_keys(desk, "<Enter><Enter><Enter>"); /* birth date, sex */
    desk_keys(desk, guardian);
    desk_keys(desk, "<Enter>");
    desk_keys(desk, phone);
    desk_keys(desk, "<Enter><Enter><Enter><Enter>");
}

static void no_draft_is_left(struct desk *desk)
{
    struct arena arena = {0};
    struct draft draft;

    assert_int_equal(
        store_find_draft(desk->kept.app.store, &desk->kept.casefile, &arena, &draft, &desk->error),
        STATUS_NOT_FOUND);
    arena_release(&arena);
}

static void is_sound(struct desk *desk)
{
    struct text findings = {0};

    if (app_verify(&desk->kept.app, &findings, &desk->error) != STATUS_OK)
        fail_msg("%s %s", desk->error.sentence, text_string(&findings));
    text_release(&findings);
}

/* Both changed the telephone, this one the guardian too, the other the given name: three kinds of
 * field on one page, and who saved theirs. */
static void meet(struct desk *desk, struct other *other, const char *name)
{
    open_form(desk, name, COMMAND_TO_PATIENT);
    other_sits_down(desk, other, "Ben Exemplar");
    type_patient(desk, "", "Wilma Quillfeather", "+49 555-01");
    assert_shows(desk, "Enter or 1 saves");
    other_opens(desk, other, FORM_PATIENT);
    other_types(other, "given name", "Odalis");
    other_types(other, "telephone", "+49 555-02");
    other_saves(other);
    desk_keys(desk, "<Enter>");
    assert_ptr_equal(top(desk), &conflict_screen);
}

static void both_values_stand_side_by_side(void **state)
{
    struct desk desk;
    struct other other;

    (void)state;
    meet(&desk, &other, "conflict_seen");
    assert_shows(&desk, "C-0001 Quillfeather, Odalys");
    assert_shows(&desk, "was saved meanwhile: nothing is saved here yet");
    assert_shows(&desk, "by Ben Exemplar (other@pts/9), patient");
    assert_shows(&desk, "changed: patient Quillfeather, Odalys: given Odalys -> Odalis");
    assert_shows(&desk, "before 1 mine 2 theirs taken");
    assert_shows(&desk, "given name Odalys Odalys Odalis theirs");
    assert_shows(&desk, "guardian: mine is taken before: nothing mine: Wilma Quillfeather");
    assert_shows(&desk, "> telephone nothing +49 555-01 +49 555-02 ?");
    assert_shows(&desk, "1 keeps mine, 2 takes theirs");
    is_patient(&desk, "Odalis", "", "+49 555-02");
    other_stands_up(&other);
    desk_close(&desk);
}

/* Enter does not go past an open field; mine is kept, the reason asked, and all three stand. */
static void mine_is_kept(void **state)
{
    struct desk desk;
    struct other other;

    (void)state;
    meet(&desk, &other, "conflict_mine");
    desk_keys(&desk, "<Enter>");
    assert_ptr_equal(top(&desk), &conflict_screen);
    assert_shows(&desk, "\"telephone\" was changed at both seats");
    desk_keys(&desk, "1");
    assert_shows(&desk, "> telephone nothing +49 555-01 +49 555-02 mine");
    desk_keys(&desk, "<Enter>");
    assert_ptr_equal(top(&desk), &form_screen);
    /* The other seat recorded a number: to change that is asked why. */
    assert_shows(&desk, "write why, then Enter");
    assert_shows(&desk, "telephone +49 555-02 -> +49 555-01");
    is_patient(&desk, "Odalis", "", "+49 555-02");
    desk_keys(&desk, "read from the card<Enter><Enter>");
    assert_int_equal(desk.ui.depth, 1);
    is_patient(&desk, "Odalis", "Wilma Quillfeather", "+49 555-01");
    no_draft_is_left(&desk);
    is_sound(&desk);
    other_stands_up(&other);
    desk_close(&desk);
}

static void theirs_is_taken(void **state)
{
    struct desk desk;
    struct other other;

    (void)state;
    meet(&desk, &other, "conflict_theirs");
    desk_keys(&desk, "12"); /* may be changed as long as it stands here */
    assert_shows(&desk, "> telephone nothing +49 555-01 +49 555-02 theirs");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Enter or 1 saves"); /* only an empty field is filled: no reason */
    assert_shows(&desk, "guardian Wilma Quillfeather");
    assert_false(desk_shows(&desk, "555-01"));
    desk_keys(&desk, "1");
    assert_int_equal(desk.ui.depth, 1);
    is_patient(&desk, "Odalis", "Wilma Quillfeather", "+49 555-02");
    no_draft_is_left(&desk);
    is_sound(&desk);
    other_stands_up(&other);
    desk_close(&desk);
}

/* The key that saved, bouncing, decides nothing; Esc leads back, and all that was typed is there.
 */
static void nothing_is_decided_by_accident(void **state)
{
    struct desk desk;
    struct other other;

    (void)state;
    open_form(&desk, "conflict_bounce", COMMAND_TO_PATIENT);
    other_sits_down(&desk, &other, "Ben Exemplar");
    type_patient(&desk, "", "Wilma", "555");
    other_changes(&desk, &other, "telephone", "777");
    desk.headless.key_ms = 20;
    desk.headless.clock_ms += 500;
    desk_keys(&desk, "11");
    assert_ptr_equal(top(&desk), &conflict_screen);
    assert_shows(&desk, "> telephone nothing 555 777 ?");
    desk.headless.key_ms = 200;
    desk_keys(&desk, "<Esc>");
    assert_ptr_equal(top(&desk), &form_screen);
    assert_shows(&desk, "Nothing was saved; what was typed is kept.");
    assert_shows(&desk, "telephone 555");
    is_patient(&desk, "Odalys", "", "777");
    /* Left and opened again: the draft is offered, and says the same. */
    desk_keys(&desk, "<Esc><Enter>");
    assert_int_equal(desk.ui.depth, 1);
    assert_true(screen_go(&desk.ui, COMMAND_TO_PATIENT, &desk.kept.casefile));
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "telephone 555");
    assert_shows(&desk, "was 777");
    other_stands_up(&other);
    desk_close(&desk);
}

/* A third save while the page is being read is shown before anything is saved over it. */
static void a_third_save_is_shown_too(void **state)
{
    struct desk desk;
    struct other other;

    (void)state;
    meet(&desk, &other, "conflict_third");
    desk_keys(&desk, "1");
    other_changes(&desk, &other, "alerts", "nickel allergy");
    desk_keys(&desk, "<Enter>read from the card<Enter><Enter>");
    assert_ptr_equal(top(&desk), &conflict_screen);
    assert_shows(&desk, "alerts nothing nothing nickel allergy theirs");
    assert_shows(&desk, "telephone +49 555-02 +49 555-01 +49 555-02 mine");
    is_patient(&desk, "Odalis", "", "+49 555-02");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "read from the card"); /* the reason stands as it was typed */
    desk_keys(&desk, "<Enter><Enter>");
    assert_int_equal(desk.ui.depth, 1);
    is_patient(&desk, "Odalis", "Wilma Quillfeather", "+49 555-01");
    is_sound(&desk);
    other_stands_up(&other);
    desk_close(&desk);
}

/* Both typed the same: nothing is asked, and nothing is left to save. */
static void the_same_is_no_conflict(void **state)
{
    struct desk desk;
    struct other other;

    (void)state;
    open_form(&desk, "conflict_same", COMMAND_TO_PATIENT);
    other_sits_down(&desk, &other, "Ben Exemplar");
    type_patient(&desk, "", "", "555");
    other_changes(&desk, &other, "telephone", "555");
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "telephone nothing 555 555 same");
    desk_keys(&desk, "<Enter>");
    assert_ptr_equal(top(&desk), &form_screen);
    assert_shows(&desk, "Nothing was entered that is not recorded yet");
    no_draft_is_left(&desk);
    other_stands_up(&other);
    desk_close(&desk);
}

/* What belongs to the same case and stands in no field of the form is told before it is saved. */
static void rows_of_the_case_are_told(void **state)
{
    struct desk desk;
    struct other other;

    (void)state;
    open_form(&desk, "conflict_rows", COMMAND_TO_CASE_DATA);
    other_sits_down(&desk, &other, "Ben Exemplar");
    desk_keys(&desk, "<Enter>Dr Ada Example<Enter><Enter><Enter>");
    other_opens(&desk, &other, FORM_WIDTH);
    other_types(&other, "date", "");
    other_types(&other, "arch", "1");
    other_types(&other, "site", "1");
    other_types(&other, "landmark", "2");
    other_types(&other, "teeth", "16-26");
    other_types(&other, "method", "1");
    other_types(&other, "repeat number", "1");
    other_types(&other, "width mm", "40.50");
    other_saves(&other);
    other_opens(&desk, &other, FORM_BOOKING_END);
    other_types(&other, "what became of it", "4");
    other_types(&other, "cancelled by", "1");
    other_saves(&other);
    for (int i = 0; i < 3 && top(&desk) == &form_screen; i++)
        desk_keys(&desk, "<Enter>");
    assert_ptr_equal(top(&desk), &conflict_screen);
    assert_shows(&desk, "by Ben Exemplar (other@pts/9), width");
    assert_shows(&desk, "new: width of 2026-06-01, upper 40.50 mm");
    assert_shows(&desk, "changed: booking of 2026-06-01");
    assert_shows(&desk, "state booked -> cancelled");
    assert_shows(&desk, "Nothing is saved here yet");
    desk_keys(&desk, "1"); /* nothing to be decided */
    assert_ptr_equal(top(&desk), &conflict_screen);
    desk_keys(&desk, "<Enter>");
    assert_shows(&desk, "Dr Ada Example");
    other_stands_up(&other);
    desk_close(&desk);
}

/* The booking was ended at the other seat: what was typed about it must not end another one. */
static void what_was_typed_moves_to_no_other_record(void **state)
{
    struct desk desk;
    struct other other;
    struct arena arena = {0};

    (void)state;
    desk_open(&desk, "conflict_moved");
    other_sits_down(&desk, &other, "Ben Exemplar");
    other_opens(&desk, &other, FORM_BOOKING);
    other_types(&other, "date", "2026-06-22");
    other_types(&other, "time", "0930");
    other_types(&other, "for", "5");
    other_saves(&other);
    assert_true(screen_go(&desk.ui, COMMAND_TO_BOOKING_END, &desk.kept.casefile));
    desk_keys(&desk, "1"); /* of the two the one of today */
    desk_keys(&desk, "4"); /* cancelled */
    desk_keys(&desk, "1"); /* by the family */
    assert_shows(&desk, "Enter or 1 saves");
    other_opens(&desk, &other, FORM_BOOKING_END);
    other_types(&other, "booking", "1");
    other_types(&other, "what became of it", "2");
    other_saves(&other);
    desk_keys(&desk, "<Enter>");
    assert_ptr_equal(top(&desk), &conflict_screen);
    assert_shows(&desk, "can not be changed in this way any more");
    desk_keys(&desk, "<Enter>");
    assert_ptr_equal(top(&desk), &conflict_screen);
    desk_keys(&desk, "<Esc>");
    assert_ptr_equal(top(&desk), &form_screen);
    struct history history = read_case(&desk, &arena);
    for (size_t i = 0; i < history.booking_count; i++)
        assert_int_equal(history.bookings[i].state, history.bookings[i].date == desk.kept.app.today
                                                        ? BOOKED_KEPT
                                                        : BOOKED_STANDING);
    arena_release(&arena);
    other_stands_up(&other);
    desk_close(&desk);
}

/* At 40 x 12 all of it is on pages: what is out of sight is not decided, what is unread not agreed
 * to. */
static void it_is_read_by_the_page(void **state)
{
    struct desk desk;
    struct other other;
    int keys = 0;

    (void)state;
    open_form(&desk, "conflict_small", COMMAND_TO_PATIENT);
    other_sits_down(&desk, &other, "Ben Exemplar");
    type_patient(&desk, "", "Wilma", "555");
    desk_resize(&desk, 12, 40);
    other_opens(&desk, &other, FORM_PATIENT);
    other_types(&other, "guardian", "Walther Quillfeather-Overlong of the Long Lane");
    other_types(&other, "telephone", "777");
    other_saves(&other);
    desk_keys(&desk, "<Enter>");
    assert_ptr_equal(top(&desk), &conflict_screen);
    assert_false(desk_shows(&desk, "1 mine"));
    assert_shows(&desk, "more below");
    desk_keys(&desk, "1"); /* shows the first field that is open, and decides nothing */
    assert_shows(&desk, "> guardian: changed at both seats: 1 or 2?");
    assert_shows(&desk, "1 mine: Wilma");
    desk_keys(&desk, "2");
    assert_shows(&desk, "> telephone: changed at both seats: 1 or 2?");
    assert_shows(&desk, "2 theirs: 777");
    desk_keys(&desk, "1-");
    assert_shows(&desk, "> guardian: theirs is taken");
    for (; top(&desk) == &conflict_screen && keys < 12; keys++)
        desk_keys(&desk, "<Enter>");
    assert_ptr_equal(top(&desk), &form_screen);
    assert_true(keys > 1); /* to the end first */
    desk_keys(&desk, "dialled<Enter><Enter>");
    is_patient(&desk, "Odalys", "Walther Quillfeather-Overlong of the Long Lane", "555");
    other_stands_up(&other);
    desk_close(&desk);
}

/* Corrections of one width at both seats: the reason is asked, the older version stays to be read,
 * and the draft of the version that is gone is gone. */
static void a_correction_goes_on_over_the_newer_version(void **state)
{
    struct desk desk;
    struct other other;
    struct arena arena = {0};

    (void)state;
    desk_open(&desk, "conflict_correct");
    other_sits_down(&desk, &other, "Ben Exemplar");
    struct history history = read_case(&desk, &arena);
    struct form_argument argument = {
        .kind = FORM_CORRECT,
        .subject = {.casefile = desk.kept.casefile,
                    .record = RECORD_WIDTH,
                    .row = history.widths[history.width_count - 1].head.id}};
    struct id record = history.widths[history.width_count - 1].head.record;
    assert_int_equal(
        form_open(&other.app, FORM_CORRECT, &argument.subject, &other.form, &other.error),
        STATUS_OK);
    ui_push(&desk.ui, &form_screen, &argument);
    desk_keys(&desk, "40.20<Enter>");
    while (!desk_shows(&desk, "write why, then Enter"))
        desk_keys(&desk, "<Enter>");
    desk_keys(&desk, "misread<Enter>");
    other_types(&other, "width mm", "40.30");
    other_saves(&other);
    desk_keys(&desk, "<Enter>");
    assert_ptr_equal(top(&desk), &conflict_screen);
    assert_shows(&desk, "> width mm 40.00 mm 40.20 mm 40.30 mm ?");
    assert_shows(&desk, "reason: asked on the telephone");
    desk_keys(&desk, "1<Enter>");
    assert_shows(&desk, "40.30 mm -> 40.20 mm");
    desk_keys(&desk, "<Enter><Enter>");
    arena_clear(&arena);
    struct width width;
    assert_int_equal(
        store_read_current(desk.kept.app.store, RECORD_WIDTH, &record, &arena, &width, &desk.error),
        STATUS_OK);
    assert_int_equal(width.value, 40200);
    assert_int_equal(width.head.version, 3);
    assert_string_equal(width.head.reason, "misread");
    no_draft_is_left(&desk);
    is_sound(&desk);
    arena_release(&arena);
    other_stands_up(&other);
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(both_values_stand_side_by_side),
        cmocka_unit_test(mine_is_kept),
        cmocka_unit_test(theirs_is_taken),
        cmocka_unit_test(nothing_is_decided_by_accident),
        cmocka_unit_test(a_third_save_is_shown_too),
        cmocka_unit_test(the_same_is_no_conflict),
        cmocka_unit_test(rows_of_the_case_are_told),
        cmocka_unit_test(what_was_typed_moves_to_no_other_record),
        cmocka_unit_test(it_is_read_by_the_page),
        cmocka_unit_test(a_correction_goes_on_over_the_newer_version),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
