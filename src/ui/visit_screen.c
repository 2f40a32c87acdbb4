/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Entering a visit: which key does what in which mode. What is right is decided in app. */
#include <stdlib.h>
#include <string.h>

#include "springline/ui/screens.h"
#include "visit_view.h"

static struct sheet_field *focused(struct visit_view *view)
{
    return &view->sheet.fields[view->focus];
}

static bool has_entries(const struct visit_view *view)
{
    for (int i = 0; i < view->sheet.field_count; i++) {
        if (view->sheet.fields[i].entered[0] != '\0')
            return true;
    }
    return false;
}

void visit_view_focus(struct visit_view *view, int index)
{
    view->enter.mode = MODE_FIELDS;
    view->focus = index;
    view->left_open = -1;
    view->reason = 0;
    view->reason_text[0] = '\0';
    editor_set(&view->enter.editor, focused(view)->entered, 0, true);
}

static void put_draft(struct ui *ui, struct visit_view *view)
{
    struct error error = {0};

    if (has_entries(view) && visit_put_draft(ui->app, &view->sheet, &error) != STATUS_OK)
        ui_say_error(ui, &error);
}

/* ---- opening and closing ---- */

static void visit_view_close(struct ui *ui, void *state)
{
    struct visit_view *view = state;

    (void)ui;
    enter_forget(&view->enter);
    visit_release(&view->sheet);
    arena_release(&view->unsaved_arena);
    free(view);
}

static enum status visit_view_open(struct ui *ui, const void *argument, void **state,
                                   struct error *error)
{
    const struct visit_argument *wanted = argument;
    struct visit_view *view = calloc(1, sizeof *view);

    if (view == NULL)
        return error_no_memory(error);
    enum status status = visit_open(ui->app, &wanted->casefile, &view->sheet, error);
    if (status != STATUS_OK) {
        free(view);
        return status;
    }
    enter_begin(ui, &view->enter);
    visit_view_focus(view, visit_step(&view->sheet, -1, 1));
    status = visit_ask_find(ui, view, error);
    if (status != STATUS_OK) {
        visit_view_close(ui, view);
        return status;
    }
    if (view->enter.mode == MODE_OFFER && wanted->resume)
        visit_ask_go_on(ui, view);
    *state = view;
    return STATUS_OK;
}

/* ---- the fields ---- */

/* What is needed is not passed over by a stray Enter: it is said once what stays open. */
static bool stays_open(struct ui *ui, struct visit_view *view)
{
    const struct sheet_field *field = focused(view);

    if (view->enter.editor.length > 0 || !visit_needs(&view->sheet, view->focus) ||
        view->left_open == view->focus)
        return false;
    view->left_open = view->focus;
    enter_warn(ui, &view->enter);
    if (field->amount)
        ui_say(ui,
               "The amount of %s, %s is needed; 0 if nothing is given. Enter again leaves it "
               "open for now.",
               word_text(&words_arch, (int)field->arch), field->label);
    else
        ui_say(ui, "Without %s no amount can be saved. Press a digit; Enter again leaves it open.",
               field->label);
    return true;
}

static void accept(struct ui *ui, struct visit_view *view)
{
    char sentence[200];

    if (stays_open(ui, view))
        return;
    enum entry entry =
        visit_enter(ui->app, &view->sheet, view->focus, view->enter.editor.text, sentence);
    put_draft(ui, view);
    if (entry != ENTRY_TAKEN) {
        ui_say(ui, "%s", sentence);
        enter_warn(ui, &view->enter);
        view->enter.editor.fresh = focused(view)->item != ITEM_NOTE;
        return;
    }
    int next = visit_step(&view->sheet, view->focus, 1);
    if (next == view->sheet.field_count)
        visit_review(ui, view);
    else
        visit_view_focus(view, next);
}

/* Going back keeps what was typed, right or wrong; what is wrong with it is said. */
static void keep_typed(struct ui *ui, struct visit_view *view)
{
    char sentence[200];

    if (strcmp(view->enter.editor.text, focused(view)->entered) == 0)
        return;
    if (visit_enter(ui->app, &view->sheet, view->focus, view->enter.editor.text, sentence) !=
        ENTRY_TAKEN)
        ui_say(ui, "%s", sentence);
    put_draft(ui, view);
}

static void field_back(struct ui *ui, struct visit_view *view)
{
    int index = visit_step(&view->sheet, view->focus, -1);

    keep_typed(ui, view);
    if (index >= 0)
        visit_view_focus(view, index);
    else
        ui_say(ui, "This is the first field. Esc leaves the visit.");
}

static void nudge(struct visit_view *view, int steps)
{
    char typed[SHEET_TEXT_SIZE];

    memcpy(typed, view->enter.editor.text, view->enter.editor.length + 1);
    visit_nudge(&view->sheet, view->focus, steps, typed);
    editor_set(&view->enter.editor, typed, 0, true);
}

static void same_as_last(struct ui *ui, struct visit_view *view)
{
    const char *last = visit_last(&view->sheet, view->focus);
    struct text permitted = {0};

    if (last[0] != '\0') {
        editor_set(&view->enter.editor, last, 0, true);
    } else if (focused(view)->amount) { /* named, never filled in: it is the clinician's decision */
        visit_view_permitted(view, focused(view), &permitted);
        ui_say(ui, "There is no amount before this one to repeat: %s mm; type what is given.",
               text_string(&permitted));
    } else {
        ui_say(ui, "There is nothing to repeat here; what is seen or measured is typed anew.");
    }
    text_release(&permitted);
}

/* A line break of a paste takes a value and goes on, but answers no question and reviews nothing;
 * in the note it is a blank. */
static void paste_break(struct ui *ui, struct visit_view *view)
{
    const struct sheet_field *field = focused(view);

    if (field->item == ITEM_NOTE)
        editor_insert(&view->enter.editor, ' ');
    else if (view->enter.editor.length > 0 &&
             strcmp(view->enter.editor.text, field->entered) != 0 &&
             visit_step(&view->sheet, view->focus, 1) < view->sheet.field_count)
        accept(ui, view);
    /* What was not taken stands where it was typed; the rest of the paste is passed over. */
    view->enter.paste_stopped = field->item != ITEM_NOTE && field == focused(view);
}

static void type_character(struct ui *ui, struct visit_view *view, const struct key *key)
{
    if (key->press != PRESS_NONE) {
        if (key->pasted)
            paste_break(ui, view);
        return;
    }
    if (key->control)
        return;
    if (focused(view)->choice_count == 0 || key->pasted)
        editor_insert(&view->enter.editor, key->character);
    else if (enter_choice(ui, &view->enter, key->character, focused(view)->several,
                          focused(view)->at_once))
        accept(ui, view);
}

static void leave_fields(struct ui *ui, struct visit_view *view)
{
    keep_typed(ui, view);
    if (has_entries(view))
        enter_ask(ui, &view->enter, MODE_LEAVE);
    else
        ui_pop(ui);
}

static void fields_command(struct ui *ui, struct visit_view *view, enum command command,
                           const struct key *key)
{
    bool amount = focused(view)->amount;

    switch ((int)command) {
    case COMMAND_ACCEPT:
        accept(ui, view);
        break;
    case COMMAND_FIELD_BACK:
        field_back(ui, view);
        break;
    case COMMAND_MORE:
        nudge(view, 1);
        break;
    case COMMAND_LESS: /* on the keypad there is no Backspace: - takes the last digit back */
        if (amount)
            nudge(view, -1);
        else
            editor_command(&view->enter.editor, COMMAND_RUB_OUT);
        break;
    case COMMAND_SAME:
        same_as_last(ui, view);
        break;
    case COMMAND_PAGE_NEXT:
    case COMMAND_PAGE_PREVIOUS:
    case COMMAND_PAGE_AROUND:
        pages_turn(&view->why, command);
        break;
    case COMMAND_BACK:
        leave_fields(ui, view);
        break;
    case COMMAND_NONE:
        type_character(ui, view, key);
        break;
    default:
        editor_command(&view->enter.editor, command);
        break;
    }
}

/* ---- the table of the screen ---- */

static unsigned visit_view_places(const void *state)
{
    const struct visit_view *view = state;

    return enter_places(&view->enter, visit_view_pages_by_point(view));
}

/*
 * In words every character is text but /, and at their very beginning * and ?; in a date a hyphen
 * is. So / goes back everywhere on the keypad alone; as text it comes only out of a paste.
 */
static bool visit_view_takes_text(const void *state, const struct key *key)
{
    const struct visit_view *view = state;
    const struct sheet_field *field = &view->sheet.fields[view->focus];
    bool words = view->enter.mode == MODE_REASON_TEXT ||
                 (view->enter.mode == MODE_FIELDS && field->item == ITEM_NOTE);

    if (key->press != PRESS_NONE || key->control)
        return false;
    if (view->enter.mode == MODE_REVIEW)
        return enter_takes_secret(&view->enter, key);
    if (words)
        return key->character != '/' &&
               ((key->character != '*' && key->character != '?') || view->enter.editor.length > 0);
    return view->enter.mode == MODE_FIELDS && field->item == ITEM_NEXT && key->character == '-' &&
           view->enter.editor.length >= 4 && !view->enter.editor.fresh;
}

static bool visit_view_ignores(const struct ui *ui, const void *state, const struct key *key)
{
    return enter_ignores(ui, &((const struct visit_view *)state)->enter, key);
}

static void visit_view_command(struct ui *ui, void *state, enum command command,
                               const struct key *key)
{
    struct visit_view *view = state;

    enter_strike(&view->enter, key);
    switch (view->enter.mode) {
    case MODE_OFFER:
    case MODE_OFFER_SURE:
    case MODE_LEAVE:
    case MODE_LEAVE_SURE:
        visit_ask_answer(ui, view, command);
        break;
    case MODE_REASON:
        visit_reason_key(ui, view, command, key);
        break;
    case MODE_REASON_TEXT:
        visit_reason_text_key(ui, view, command, key);
        break;
    case MODE_REVIEW:
        visit_review_key(ui, view, command, key);
        break;
    case MODE_FIELDS:
    default:
        fields_command(ui, view, command, key);
        break;
    }
}

/* The line drops: what stands in the field being typed is worth as much as the fields before. */
static void visit_view_hang_up(struct ui *ui, void *state)
{
    struct visit_view *view = state;

    if (view->enter.mode == MODE_FIELDS)
        keep_typed(ui, view);
}

static bool visit_view_case(const void *state, struct id *casefile)
{
    *casefile = ((const struct visit_view *)state)->sheet.casefile;
    return true;
}

const struct screen_ops visit_screen = {.name = "visit",
                                        .open = visit_view_open,
                                        .close = visit_view_close,
                                        .draw = visit_view_draw,
                                        .places = visit_view_places,
                                        .takes_text = visit_view_takes_text,
                                        .ignores = visit_view_ignores,
                                        .command = visit_view_command,
                                        .hint = visit_view_hint,
                                        .resume = visit_review_resume,
                                        .hang_up = visit_view_hang_up,
                                        .casefile = visit_view_case};
