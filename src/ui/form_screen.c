/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any form: which key does what in which mode. What is right is decided in app. */
#include <stdlib.h>
#include <string.h>

#include "form_view.h"
#include "springline/ui/screens.h"

static struct form_field *focused(struct form_view *view)
{
    return &view->form.fields[view->focus];
}

void form_view_focus(struct form_view *view, int index)
{
    view->enter.mode = MODE_FIELDS;
    view->focus = index;
    view->left_open = -1;
    editor_set(&view->enter.editor, focused(view)->entered, 0, true);
}

void form_view_put_draft(struct ui *ui, const struct form_view *view)
{
    struct error error = {0};

    if (form_put_draft(ui->app, &view->form, &error) != STATUS_OK)
        ui_say_error(ui, &error);
}

bool form_view_keep(struct ui *ui, struct form_view *view)
{
    char sentence[200];

    if (strcmp(view->enter.editor.text, focused(view)->entered) == 0)
        return !focused(view)->wrong;
    bool taken = form_enter(ui->app, &view->form, view->focus, view->enter.editor.text, sentence) ==
                 ENTRY_TAKEN;
    if (!taken)
        ui_say(ui, "%s", sentence);
    form_view_put_draft(ui, view);
    return taken;
}

/* ---- opening and closing ---- */

static void form_view_close(struct ui *ui, void *state)
{
    struct form_view *view = state;

    (void)ui;
    enter_forget(&view->enter);
    conflict_release(&view->conflict);
    form_release(&view->form);
    arena_release(&view->review_arena);
    free(view);
}

/* To the field to begin with and what is unsaved; a form without fields, to its reason. */
static enum status begin(struct ui *ui, struct form_view *view, struct error *error)
{
    const struct form *form = &view->form;
    int index = form_step(form, form->first - 1, 1);

    if (index >= form->field_count)
        index = form_step(form, -1, 1);
    enter_begin(ui, &view->enter);
    view->left_open = view->focus = -1;
    if (index >= form->field_count)
        return form_ask_at_once(ui, view, error);
    form_view_focus(view, index);
    return form_ask_find(ui, view, error);
}

static enum status form_view_open(struct ui *ui, const void *argument, void **state,
                                  struct error *error)
{
    const struct form_argument *wanted = argument;
    struct form_view *view = calloc(1, sizeof *view);

    if (view == NULL)
        return error_no_memory(error);
    enum status status = form_open(ui->app, wanted->kind, &wanted->subject, &view->form, error);
    if (status != STATUS_OK) {
        free(view);
        return status;
    }
    status = begin(ui, view, error);
    if (status != STATUS_OK) {
        form_view_close(ui, view);
        return status;
    }
    *state = view;
    return STATUS_OK;
}

/* ---- the fields ---- */

/* A required field is not passed over by a stray Enter: it is said once what stays open. */
static bool stays_open(struct ui *ui, struct form_view *view)
{
    const struct form_field *field = focused(view);

    if (view->enter.editor.length > 0 || !field->required || field->if_empty[0] != '\0' ||
        view->left_open == view->focus)
        return false;
    view->left_open = view->focus;
    enter_warn(ui, &view->enter);
    ui_say(ui, "Without \"%s\" nothing can be saved. Enter again leaves it open for now.",
           field->label);
    return true;
}

static bool is_words(const struct form_field *field)
{
    return field->input == INPUT_TEXT || field->input == INPUT_NOTE;
}

static void accept(struct ui *ui, struct form_view *view)
{
    char sentence[200];

    if (stays_open(ui, view))
        return;
    enum entry entry =
        form_enter(ui->app, &view->form, view->focus, view->enter.editor.text, sentence);
    form_view_put_draft(ui, view);
    if (entry != ENTRY_TAKEN) {
        ui_say(ui, "%s", sentence);
        enter_warn(ui, &view->enter);
        view->enter.editor.fresh = !is_words(focused(view));
        return;
    }
    int next = form_step(&view->form, view->focus, 1);
    if (next == view->form.field_count)
        form_ask_review(ui, view);
    else
        form_view_focus(view, next);
}

/* Going back keeps what was typed, right or wrong; what is wrong with it is said. */
static void field_back(struct ui *ui, struct form_view *view)
{
    form_view_keep(ui, view);
    int index = form_step(&view->form, view->focus, -1);
    if (index >= 0)
        form_view_focus(view, index);
    else
        ui_say(ui, "This is the first field. Esc leaves the form.");
}

/* From the last field to the review; an offer there is taken by Enter, never by paging past it. */
static void leave_last(struct ui *ui, struct form_view *view)
{
    if (view->enter.editor.length > 0 || focused(view)->entered[0] != '\0')
        accept(ui, view);
    else if (!stays_open(ui, view))
        form_ask_review(ui, view);
}

/* As many fields on or back as a page has, behind the last one to the review; what is missing on
 * the way is asked for there. */
static void turn_page(struct ui *ui, struct form_view *view, int direction)
{
    int index = view->focus;

    if (direction > 0 && form_step(&view->form, index, 1) == view->form.field_count) {
        leave_last(ui, view);
        return;
    }
    if (!form_view_keep(ui, view) && direction > 0)
        return;
    for (int i = 0; i < view->page; i++) {
        int next = form_step(&view->form, index, direction);
        if (next < 0 || next >= view->form.field_count)
            break;
        index = next;
    }
    form_view_focus(view, index);
}

/* On the keypad there is no Backspace: where nothing is stepped, - takes the last digit back. */
static void nudge(struct ui *ui, struct form_view *view, int steps)
{
    char typed[SHEET_TEXT_SIZE];

    memcpy(typed, view->enter.editor.text, view->enter.editor.length + 1);
    if (form_nudge(ui->app, &view->form, view->focus, steps, typed))
        editor_set(&view->enter.editor, typed, 0, true);
    else if (steps < 0)
        editor_command(&view->enter.editor, COMMAND_RUB_OUT);
}

static void take_same(struct ui *ui, struct form_view *view)
{
    char typed[SHEET_TEXT_SIZE];

    form_same(ui->app, &view->form, view->focus, typed);
    if (typed[0] == '\0')
        ui_say(ui, "Nothing is recorded or offered here; what is seen or measured is typed anew.");
    else
        editor_set(&view->enter.editor, typed, 0, true);
}

/* A line break of a paste takes a value and goes on, but answers no question and reviews nothing;
 * in a note it is a blank. */
static void paste_break(struct ui *ui, struct form_view *view)
{
    int index = view->focus;
    bool note = focused(view)->input == INPUT_NOTE;

    if (note)
        editor_insert(&view->enter.editor, ' ');
    else if (view->enter.editor.length > 0 &&
             strcmp(view->enter.editor.text, focused(view)->entered) != 0 &&
             form_step(&view->form, index, 1) < view->form.field_count)
        accept(ui, view);
    /* What was not taken stands where it was typed; the rest of the paste is passed over. */
    view->enter.paste_stopped = !note && index == view->focus;
}

static void type_character(struct ui *ui, struct form_view *view, const struct key *key)
{
    const struct form_field *field = focused(view);
    bool several = field->input == INPUT_FAULTS;

    if (key->press != PRESS_NONE) {
        if (key->pasted)
            paste_break(ui, view);
        return;
    }
    if (key->control)
        return;
    bool one_digit = field->choice_count > 0 && (several || field->choice_count <= 10);
    if (!one_digit || key->pasted)
        editor_insert(&view->enter.editor, key->character);
    else if (enter_choice(ui, &view->enter, key->character, several, field->at_once))
        accept(ui, view);
}

static void leave_fields(struct ui *ui, struct form_view *view)
{
    form_view_keep(ui, view);
    if (form_dirty(&view->form))
        enter_ask(ui, &view->enter, MODE_LEAVE);
    else
        ui_pop(ui);
}

static void fields_command(struct ui *ui, struct form_view *view, enum command command,
                           const struct key *key)
{
    switch ((int)command) {
    case COMMAND_ACCEPT:
        accept(ui, view);
        break;
    case COMMAND_FIELD_BACK:
        field_back(ui, view);
        break;
    case COMMAND_MORE:
    case COMMAND_LESS:
        nudge(ui, view, command == COMMAND_MORE ? 1 : -1);
        break;
    case COMMAND_SAME:
        take_same(ui, view);
        break;
    case COMMAND_PAGE_NEXT:
    case COMMAND_PAGE_AROUND:
    case COMMAND_PAGE_PREVIOUS:
        turn_page(ui, view, command == COMMAND_PAGE_PREVIOUS ? -1 : 1);
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

/* Where no point can be typed it pages: so the review is near on the keypad too. */
static bool pages_by_point(const struct form_view *view)
{
    const struct editor *editor = &view->enter.editor;

    if (view->enter.mode != MODE_FIELDS || (editor->length > 0 && !editor->fresh))
        return false;
    const struct form_field *field = &view->form.fields[view->focus];
    return !is_words(field) && field->input != INPUT_LENGTH;
}

static unsigned form_view_places(const void *state)
{
    const struct form_view *view = state;

    return enter_places(&view->enter, pages_by_point(view));
}

/*
 * In words every character is text, but at their very beginning / goes back and * and ? are
 * commands; a hyphen is text inside a date and between two teeth.
 */
static bool form_view_takes_text(const void *state, const struct key *key)
{
    const struct form_view *view = state;
    const struct editor *editor = &view->enter.editor;
    bool begins = editor->length == 0 || editor->fresh;

    if (key->press != PRESS_NONE || key->control)
        return false;
    if (view->enter.mode == MODE_REASON_TEXT)
        begins = editor->length == 0;
    else if (view->enter.mode != MODE_FIELDS)
        return enter_takes_secret(&view->enter, key);
    else if (!is_words(&view->form.fields[view->focus])) {
        enum form_input input = view->form.fields[view->focus].input;
        return key->character == '-' && !begins &&
               ((input == INPUT_DAY && editor->length >= 4) || input == INPUT_TEETH);
    }
    return !begins || (key->character != '/' && key->character != '*' && key->character != '?');
}

static bool form_view_ignores(const struct ui *ui, const void *state, const struct key *key)
{
    return enter_ignores(ui, &((const struct form_view *)state)->enter, key);
}

static void form_view_command(struct ui *ui, void *state, enum command command,
                              const struct key *key)
{
    struct form_view *view = state;

    enter_strike(&view->enter, key);
    switch (view->enter.mode) {
    case MODE_OFFER:
    case MODE_OFFER_SURE:
    case MODE_LEAVE:
    case MODE_LEAVE_SURE:
        form_ask_answer(ui, view, command);
        break;
    case MODE_REASON:
    case MODE_REASON_TEXT:
        form_ask_reason_key(ui, view, command, key);
        break;
    case MODE_REVIEW:
        form_ask_review_key(ui, view, command, key);
        break;
    case MODE_FIELDS:
    default:
        fields_command(ui, view, command, key);
        break;
    }
}

/* The line drops: what stands in the field being typed is worth as much as the fields before. */
static void form_view_hang_up(struct ui *ui, void *state)
{
    struct form_view *view = state;

    if (view->enter.mode == MODE_FIELDS)
        form_view_keep(ui, view);
}

static bool form_view_case(const void *state, struct id *casefile)
{
    *casefile = ((const struct form_view *)state)->form.subject.casefile;
    return !id_is_none(casefile);
}

const struct screen_ops form_screen = {.name = "form",
                                       .open = form_view_open,
                                       .close = form_view_close,
                                       .draw = form_view_draw,
                                       .places = form_view_places,
                                       .takes_text = form_view_takes_text,
                                       .ignores = form_view_ignores,
                                       .command = form_view_command,
                                       .hint = form_view_hint,
                                       .resume = form_conflict_resume,
                                       .hang_up = form_view_hang_up,
                                       .casefile = form_view_case};
