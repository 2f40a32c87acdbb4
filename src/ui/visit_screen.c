/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Entering a visit: which key does what in which mode. What is right is decided in app. */
#include <stdlib.h>
#include <string.h>

#include "springline/ui/screens.h"
#include "visit_view.h"

enum { BOUNCE_MS = 100 }; /* a digit taken at once must not bounce into the next field: judgement */

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
    view->mode = MODE_FIELDS;
    view->focus = index;
    view->left_open = -1;
    view->reason = 0;
    view->reason_text[0] = '\0';
    editor_set(&view->editor, focused(view)->entered, 0, true);
}

void visit_view_ask(struct ui *ui, struct visit_view *view, enum visit_mode mode)
{
    view->mode = mode;
    view->asked_at_ms = ui_now_ms(ui);
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
    view->bounce_at_ms = INT64_MIN / 2;
    view->asked_at_ms = ui_now_ms(ui); /* the Enter that opened it is no answer to a field */
    visit_view_focus(view, visit_step(&view->sheet, -1, 1));
    status = visit_ask_find(ui, view, error);
    if (status != STATUS_OK) {
        visit_view_close(ui, view);
        return status;
    }
    if (view->mode == MODE_OFFER && wanted->resume)
        visit_ask_go_on(ui, view);
    *state = view;
    return STATUS_OK;
}

/* ---- the fields ---- */

/* A required choice is not passed over by a stray Enter: it is said once what stays open. */
static bool stays_open(struct ui *ui, struct visit_view *view)
{
    const struct sheet_field *field = focused(view);

    if (view->editor.length > 0 || !field->required || view->left_open == view->focus)
        return false;
    view->left_open = view->focus;
    view->asked_at_ms = ui_now_ms(ui);
    ui_say(ui, "Without %s no amount can be saved. Press a digit; Enter again leaves it open.",
           field->label);
    return true;
}

static void accept(struct ui *ui, struct visit_view *view)
{
    char sentence[200];

    if (stays_open(ui, view))
        return;
    enum entry entry = visit_enter(ui->app, &view->sheet, view->focus, view->editor.text, sentence);
    put_draft(ui, view);
    if (entry != ENTRY_TAKEN) {
        ui_say(ui, "%s", sentence);
        view->asked_at_ms = ui_now_ms(ui);
        view->editor.fresh = focused(view)->item != ITEM_NOTE;
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

    if (strcmp(view->editor.text, focused(view)->entered) == 0)
        return;
    if (visit_enter(ui->app, &view->sheet, view->focus, view->editor.text, sentence) != ENTRY_TAKEN)
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

    memcpy(typed, view->editor.text, view->editor.length + 1);
    visit_nudge(&view->sheet, view->focus, steps, typed);
    editor_set(&view->editor, typed, 0, true);
}

static void same_as_last(struct ui *ui, struct visit_view *view)
{
    const char *last = visit_last(&view->sheet, view->focus);

    if (last[0] == '\0')
        ui_say(ui, "There is nothing to repeat here; what is seen or measured is typed anew.");
    else
        editor_set(&view->editor, last, 0, true);
}

/* A digit of a choice replaces the one before; of several, it is added once. */
static void type_choice(struct ui *ui, struct visit_view *view, uint32_t character)
{
    const struct sheet_field *field = focused(view);
    struct editor *editor = &view->editor;
    bool empty = editor->length == 0 || editor->fresh;
    bool at_once = field->at_once && character >= '0' && character <= '9' &&
                   (!field->several || (character == '0' && empty));

    if (!field->several)
        editor_set(editor, "", 0, true);
    else if (!empty && (uint32_t)(unsigned char)editor->text[editor->length - 1] == character)
        return;
    if (!editor_insert(editor, character) || !at_once)
        return;
    view->bounce_at_ms = ui_now_ms(ui);
    view->bounce_key = character;
    accept(ui, view);
}

/* A line break of a paste takes a value and goes on, but answers no question and reviews nothing;
 * in the note it is a blank. */
static void paste_break(struct ui *ui, struct visit_view *view)
{
    const struct sheet_field *field = focused(view);

    if (field->item == ITEM_NOTE)
        editor_insert(&view->editor, ' ');
    else if (view->editor.length > 0 && strcmp(view->editor.text, field->entered) != 0 &&
             visit_step(&view->sheet, view->focus, 1) < view->sheet.field_count)
        accept(ui, view);
    /* What was not taken stands where it was typed; the rest of the paste is passed over. */
    view->paste_stopped = field->item != ITEM_NOTE && field == focused(view);
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
    if (focused(view)->choice_count > 0 && !key->pasted)
        type_choice(ui, view, key->character);
    else
        editor_insert(&view->editor, key->character);
}

static void leave_fields(struct ui *ui, struct visit_view *view)
{
    keep_typed(ui, view);
    if (has_entries(view))
        visit_view_ask(ui, view, MODE_LEAVE);
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
            editor_command(&view->editor, COMMAND_RUB_OUT);
        break;
    case COMMAND_SAME:
        same_as_last(ui, view);
        break;
    case COMMAND_PAGE_NEXT:
    case COMMAND_PAGE_PREVIOUS:
    case COMMAND_PAGE_AROUND:
        visit_page(&view->why, command);
        break;
    case COMMAND_BACK:
        leave_fields(ui, view);
        break;
    case COMMAND_NONE:
        type_character(ui, view, key);
        break;
    default:
        editor_command(&view->editor, command);
        break;
    }
}

/* ---- the table of the screen ---- */

static unsigned visit_view_places(const void *state)
{
    const struct visit_view *view = state;

    switch (view->mode) {
    case MODE_FIELDS:
        return PLACE_FORM | (visit_view_pages_by_point(view) ? PLACE_CHOICE : 0U);
    case MODE_REASON:
        return PLACE_FORM | PLACE_CHOICE;
    case MODE_REASON_TEXT:
        return PLACE_FORM;
    case MODE_REVIEW:
        return PLACE_REVIEW;
    case MODE_OFFER_SURE:
    case MODE_LEAVE_SURE:
        return PLACE_SURE;
    default:
        return PLACE_ASK;
    }
}

/*
 * In words every character is text but /, and at their very beginning * and ?; in a date a hyphen
 * is. So / goes back everywhere on the keypad alone; as text it comes only out of a paste.
 */
static bool visit_view_takes_text(const void *state, const struct key *key)
{
    const struct visit_view *view = state;
    const struct sheet_field *field = &view->sheet.fields[view->focus];
    bool words =
        view->mode == MODE_REASON_TEXT || (view->mode == MODE_FIELDS && field->item == ITEM_NOTE);

    if (key->press != PRESS_NONE || key->control)
        return false;
    if (words)
        return key->character != '/' &&
               ((key->character != '*' && key->character != '?') || view->editor.length > 0);
    return view->mode == MODE_FIELDS && field->item == ITEM_NEXT && key->character == '-' &&
           view->editor.length >= 4 && !view->editor.fresh;
}

static bool is_question(const struct visit_view *view)
{
    return (visit_view_places(view) & (PLACE_ASK | PLACE_SURE)) != 0;
}

/* A key has just brought up what it would answer, or a digit was just taken at once: the same
 * stroke, felt twice, is no answer to what stands there now. */
static bool visit_view_ignores(const struct ui *ui, const void *state, const struct key *key)
{
    const struct visit_view *view = state;
    int64_t now = ui_now_ms(ui);

    if (key->pasted)
        return view->paste_stopped && !key->paste_begins;
    if (key->press == PRESS_ENTER || (is_question(view) && key->press == PRESS_NONE))
        return now - view->asked_at_ms < UI_DEAF_MS;
    return key->press == PRESS_NONE && key->character == view->bounce_key &&
           now - view->bounce_at_ms < BOUNCE_MS;
}

static void visit_view_command(struct ui *ui, void *state, enum command command,
                               const struct key *key)
{
    struct visit_view *view = state;

    view->paste_stopped = false;
    /* Another key came between: what follows is no bounce. */
    if (key->press != PRESS_ENTER && !is_question(view))
        view->asked_at_ms = INT64_MIN / 2;
    if (key->press != PRESS_NONE || key->character != view->bounce_key)
        view->bounce_at_ms = INT64_MIN / 2;
    switch (view->mode) {
    case MODE_OFFER:
    case MODE_OFFER_SURE:
        visit_ask_offer(ui, view, command);
        break;
    case MODE_REASON:
        visit_reason_key(ui, view, command, key);
        break;
    case MODE_REASON_TEXT:
        visit_reason_text_key(ui, view, command, key);
        break;
    case MODE_REVIEW:
        visit_review_key(ui, view, command);
        break;
    case MODE_LEAVE:
    case MODE_LEAVE_SURE:
        visit_ask_leave(ui, view, command);
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

    if (view->mode == MODE_FIELDS)
        keep_typed(ui, view);
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
                                        .hang_up = visit_view_hang_up};
