/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A visit and what another seat saved meanwhile: read before the visit is saved, whether its
 * verdict is another one by it or the same. Without a terminal, over case_maker's typical case of
 * an invented child, today 2026-06-01. The screen and its keys are our own design, no source.
 */
#include "other_seat.h"
#include "springline/ui/screens.h"

static const struct screen_ops *top(const struct desk *desk)
{
    return desk->ui.stack[desk->ui.depth - 1].ops;
}

static void is_sound(struct desk *desk)
{
    struct text findings = {0};

    if (app_verify(&desk->kept.app, &findings, &desk->error) != STATUS_OK)
        fail_msg("%s %s", desk->error.sentence, text_string(&findings));
    text_release(&findings);
}

static void open_visit(struct desk *desk, const char *name)
{
    struct visit_argument argument = {0};

    desk_open(desk, name);
    argument.casefile = desk->kept.casefile;
    ui_push(&desk->ui, &visit_screen, &argument);
    assert_ptr_equal(top(desk), &visit_screen);
    ui_draw(&desk->ui);
}

/* Sound and intact, R 1.00 L 1.00, to the review. */
static void type_visit(struct desk *desk)
{
    desk_keys(desk, "<Enter><Enter>00"); /* wear and width stay open */
    desk_keys(desk, "1<Enter>1<Enter>");
    for (int i = 0; i < 6 && !desk_shows(desk, "Right person, right values?"); i++)
        desk_keys(desk, "<Enter>");
    assert_shows(desk, "Right person, right values?");
}

/* The verdict is the same and still what it stands on is read before it is saved. */
static void a_visit_tells_what_it_stands_on(void **state)
{
    struct desk desk;
    struct other other;

    (void)state;
    open_visit(&desk, "conflict_visit");
    other_sits_down(&desk, &other, "Ben Exemplar");
    type_visit(&desk);
    other_changes(&desk, &other, "alerts", "latex allergy");
    other_opens(&desk, &other, FORM_CONTACT); /* stops nobody at the chair */
    other_types(&other, "channel", "1");
    other_types(&other, "outcome", "1");
    other_saves(&other);
    size_t before = desk_visits(&desk);
    desk_keys(&desk, "<Enter>");
    assert_ptr_equal(top(&desk), &conflict_screen);
    assert_shows(&desk, "the verdict is the same, nothing is saved here yet");
    assert_shows(&desk, "alerts not recorded -> latex allergy");
    assert_false(desk_shows(&desk, "contact"));
    assert_int_equal(desk_visits(&desk), before);
    desk_keys(&desk, "<Enter>");
    assert_ptr_equal(top(&desk), &visit_screen);
    assert_shows(&desk, "Right person, right values?");
    assert_shows(&desk, "latex allergy"); /* at its head now */
    desk_keys(&desk, "<Enter>");
    assert_int_equal(desk.ui.depth, 1);
    assert_int_equal(desk_visits(&desk), before + 1);
    is_sound(&desk);
    other_stands_up(&other);
    desk_close(&desk);
}

/* The same child at two chairs: the second one reads that it was activated today, and is held. */
static void a_second_activation_is_not_given(void **state)
{
    struct desk desk;
    struct other other;
    struct visit_sheet sheet;
    char sentence[200];

    (void)state;
    open_visit(&desk, "conflict_chairs");
    other_sits_down(&desk, &other, "Ben Exemplar");
    type_visit(&desk);
    assert_int_equal(visit_open(&other.app, &desk.kept.casefile, &sheet, &other.error), STATUS_OK);
    for (int i = 0; i < sheet.field_count; i++) {
        enum sheet_item item = sheet.fields[i].item;
        if (item == ITEM_TISSUE || item == ITEM_HARDWARE)
            (void)visit_enter(&other.app, &sheet, i, "0", sentence);
        if (item == ITEM_RIGHT || item == ITEM_LEFT)
            (void)visit_enter(&other.app, &sheet, i, "2", sentence);
    }
    assert_int_equal(visit_save(&other.app, &sheet, 0, "", &other.error), STATUS_OK);
    visit_release(&sheet);
    size_t before = desk_visits(&desk);
    desk_keys(&desk, "<Enter>");
    assert_ptr_equal(top(&desk), &conflict_screen);
    assert_shows(&desk, "the verdict of the upper arch is another one");
    assert_shows(&desk, "new: visit of 2026-06-01, upper, activation, right 2.00 mm, left 2.00 mm");
    assert_shows(&desk, "by Ben Exemplar (other@pts/9), visit");
    desk_keys(&desk, "<Enter>");
    assert_ptr_equal(top(&desk), &visit_screen);
    assert_shows(&desk, "HOLD");
    assert_false(desk_shows(&desk, "Right person, right values?")); /* back at the fields */
    assert_int_equal(desk_visits(&desk), before);
    other_stands_up(&other);
    desk_close(&desk);
}

/* A visit that was left unsaved and is gone on with: what came since stands before the save. */
static void what_came_since_a_draft_is_told(void **state)
{
    struct desk desk;
    struct other other;

    (void)state;
    open_visit(&desk, "conflict_draft");
    other_sits_down(&desk, &other, "Ben Exemplar");
    type_visit(&desk);
    desk_keys(&desk, "<Esc><Esc><Enter>");
    assert_int_equal(desk.ui.depth, 1);
    assert_int_equal(desk_unsaved(&desk), 1);
    desk.kept.now += 60;
    other_changes(&desk, &other, "alerts", "latex allergy");
    struct visit_argument argument = {.casefile = desk.kept.casefile, .resume = true};
    ui_push(&desk.ui, &visit_screen, &argument);
    for (int i = 0; i < 6 && !desk_shows(&desk, "Right person, right values?"); i++)
        desk_keys(&desk, "<Enter>");
    desk_keys(&desk, "<Enter>");
    assert_ptr_equal(top(&desk), &conflict_screen);
    assert_shows(&desk, "latex allergy");
    desk_keys(&desk, "<Enter><Enter>");
    assert_int_equal(desk.ui.depth, 1);
    assert_int_equal(desk_unsaved(&desk), 0);
    other_stands_up(&other);
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_visit_tells_what_it_stands_on),
        cmocka_unit_test(a_second_activation_is_not_given),
        cmocka_unit_test(what_came_since_a_draft_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
