/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Entering a visit: which key does what in which mode. What is right is decided in app. */
#include <stdlib.h>
#include <string.h>

#include "springline/ui/screens.h"
#include "visit_view.h"

enum {
    DEAF_MS = 150,  /* a rubber Enter that bounces must not save nor answer a question: judgement */
    BOUNCE_MS = 100 /* nor a digit that was taken at once the next field: judgement */
};

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

static void focus_on(struct visit_view *view, int index)
{
    view->mode = MODE_FIELDS;
    view->focus = index;
    view->left_open = -1;
    editor_set(&view->editor, focused(view)->entered, 0, true);
}

static void put_draft(struct ui *ui, struct visit_view *view)
{
    struct error error = {0};

    if (has_entries(view) && visit_put_draft(ui->app, &view->sheet, &error) != STATUS_OK)
        ui_say_error(ui, &error);
}

/* ---- opening and closing ---- */

static enum status find_unsaved(struct ui *ui, struct visit_view *view, struct error *error)
{
    struct unsaved_list list;

    enum status status = seat_unsaved(ui->app, &view->unsaved_arena, &list, error);
    for (size_t i = 0; i < list.count && status == STATUS_OK; i++) {
        if (id_equal(&list.rows[i].draft.casefile, &view->sheet.casefile)) {
            view->unsaved = list.rows[i].draft;
            view->mode = MODE_OFFER;
        }
    }
    return status;
}

/* Fills the sheet from the unsaved visit, and goes to the first field that is still open. */
static void go_on_with_unsaved(struct ui *ui, struct visit_view *view)
{
    struct error error = {0};
    int index = visit_step(&view->sheet, -1, 1);
    char date[DAY_TEXT_SIZE];

    if (visit_from_draft(ui->app, &view->sheet, &view->unsaved, &error) != STATUS_OK) {
        ui_say_error(ui, &error);
        return;
    }
    for (int i = index; i < view->sheet.field_count; i = visit_step(&view->sheet, i, 1)) {
        if (view->sheet.fields[i].entered[0] != '\0')
            index = i;
    }
    int next = visit_step(&view->sheet, index, 1);
    if (!view->sheet.fields[index].wrong && next < view->sheet.field_count)
        index = next;
    focus_on(view, index);
    if (view->sheet.date != ui->app->today)
        ui_say(ui, "This visit is of %s, the day it was begun.",
               day_to_text(view->sheet.date, date));
}

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
    view->bounce_at_ms = view->asked_at_ms = INT64_MIN / 2;
    focus_on(view, visit_step(&view->sheet, -1, 1));
    status = find_unsaved(ui, view, error);
    if (status != STATUS_OK) {
        visit_view_close(ui, view);
        return status;
    }
    if (view->mode == MODE_OFFER && wanted->resume)
        go_on_with_unsaved(ui, view);
    *state = view;
    return STATUS_OK;
}

/* ---- reviewing and saving ---- */

static void to_review(struct ui *ui, struct visit_view *view)
{
    struct error error = {0};
    bool needs_reason = false;
    int index = 0;

    if (visit_ready(&view->sheet, &needs_reason, &index, &error) != STATUS_OK) {
        focus_on(view, index);
        ui_say_error(ui, &error);
        return;
    }
    if (!needs_reason) {
        view->reason = 0;
        view->reason_text[0] = '\0';
    } else if (view->reason == 0) {
        view->mode = MODE_REASON;
        editor_set(&view->editor, "", 1, true);
        return;
    }
    view->mode = MODE_REVIEW;
    view->asked_at_ms = ui_now_ms(ui);
}

static void back_to_fields(struct visit_view *view)
{
    focus_on(view, visit_step(&view->sheet, view->sheet.field_count, -1));
}

/* "Saved: C-0007 ..." from what the review line said. */
static void say_saved(struct ui *ui, struct visit_view *view)
{
    struct arena arena = {0};
    struct lines lines = {0};
    struct text text = {0};

    text_addf(&text, "Saved: %s", view->sheet.history.casefile->number);
    if (visit_lines_review(ui->app, &view->sheet, &arena, &lines) == STATUS_OK) {
        for (size_t i = 1; i < lines.count; i++)
            text_addf(&text, "%s %s", i == 1 ? "" : ";", lines.line[i]);
    }
    ui_say(ui, "%s", text_string(&text));
    text_release(&text);
    arena_release(&arena);
}

static void save(struct ui *ui, struct visit_view *view)
{
    struct error error = {0};

    enum status status = visit_save(ui->app, &view->sheet, view->reason, view->reason_text, &error);
    if (status == STATUS_OK || status == STATUS_ALREADY) {
        say_saved(ui, view);
        ui_pop(ui);
        return;
    }
    ui_say_error(ui, &error);
    /* Nothing was saved. What another seat changed is on the sheet now: it is read first. */
    if (status == STATUS_CONFLICT || status == STATUS_INPUT)
        back_to_fields(view);
}

static void review_command(struct ui *ui, struct visit_view *view, enum command command)
{
    if (command == COMMAND_SAVE)
        save(ui, view);
    else if (command == COMMAND_FIELD_BACK || command == COMMAND_BACK)
        back_to_fields(view);
}

/* ---- the reason ---- */

static void reason_command(struct ui *ui, struct visit_view *view, enum command command,
                           const struct key *key)
{
    int number = view->editor.length == 1 ? view->editor.text[0] - '0' : 0;

    if (command == COMMAND_BACK || command == COMMAND_FIELD_BACK) {
        back_to_fields(view);
    } else if (command == COMMAND_ACCEPT && visit_reason(number) != NULL) {
        view->reason = number;
        view->mode = MODE_REASON_TEXT;
        editor_set(&view->editor, view->reason_text, 0, false);
    } else if (command == COMMAND_ACCEPT) {
        ui_say(ui, "Press the number of a reason, then Enter; / goes back to the amounts.");
    } else if (command == COMMAND_NONE && !key->pasted && key->character >= '0' &&
               key->character <= '9') {
        editor_set(&view->editor, "", 1, true);
        editor_insert(&view->editor, key->character);
    }
}

static void reason_text_command(struct ui *ui, struct visit_view *view, enum command command,
                                const struct key *key)
{
    if (command == COMMAND_ACCEPT) {
        memcpy(view->reason_text, view->editor.text, view->editor.length + 1);
        to_review(ui, view);
    } else if (command == COMMAND_BACK || command == COMMAND_FIELD_BACK) {
        memcpy(view->reason_text, view->editor.text, view->editor.length + 1);
        view->mode = MODE_REASON;
        view->reason = 0;
        editor_set(&view->editor, "", 1, true);
    } else if (command == COMMAND_NONE && key->press == PRESS_NONE && !key->control) {
        editor_insert(&view->editor, key->character);
    } else {
        editor_command(&view->editor, command);
    }
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
        to_review(ui, view);
    else
        focus_on(view, next);
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
        focus_on(view, index);
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
        view->mode = MODE_LEAVE;
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
        view->why_top += 3;
        break;
    case COMMAND_PAGE_PREVIOUS:
        view->why_top -= 3;
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

/* ---- questions ---- */

static void throw_away(struct ui *ui, struct visit_view *view)
{
    struct error error = {0};

    if (seat_throw_away(ui->app, &view->sheet.casefile, &error) != STATUS_OK)
        ui_say_error(ui, &error);
}

static void offer_command(struct ui *ui, struct visit_view *view, enum command command)
{
    if (view->mode == MODE_OFFER_SURE) {
        if (command == COMMAND_THROW_AWAY) {
            throw_away(ui, view);
            focus_on(view, view->focus);
        } else if (command == COMMAND_NO || command == COMMAND_BACK) {
            view->mode = MODE_OFFER;
        }
    } else if (command == COMMAND_YES) {
        go_on_with_unsaved(ui, view);
    } else if (command == COMMAND_THROW_AWAY) {
        view->mode = MODE_OFFER_SURE;
    } else if (command == COMMAND_NO || command == COMMAND_BACK) {
        ui_pop(ui);
    }
}

static void leave_command(struct ui *ui, struct visit_view *view, enum command command)
{
    if (view->mode == MODE_LEAVE_SURE) {
        if (command == COMMAND_THROW_AWAY) {
            throw_away(ui, view);
            ui_pop(ui);
        } else if (command == COMMAND_NO || command == COMMAND_BACK) {
            view->mode = MODE_LEAVE;
        }
    } else if (command == COMMAND_YES) {
        ui_say(ui, "Not saved yet: the visit of %s is kept and will be offered again.",
               view->sheet.history.casefile->number);
        ui_pop(ui);
    } else if (command == COMMAND_THROW_AWAY) {
        view->mode = MODE_LEAVE_SURE;
    } else if (command == COMMAND_NO || command == COMMAND_BACK) {
        focus_on(view, view->focus);
    }
}

/* ---- the table of the screen ---- */

static unsigned visit_view_places(const void *state)
{
    const struct visit_view *view = state;

    switch (view->mode) {
    case MODE_FIELDS:
    case MODE_REASON:
    case MODE_REASON_TEXT:
        return PLACE_FORM;
    case MODE_REVIEW:
        return PLACE_REVIEW;
    default:
        return PLACE_ASK;
    }
}

/*
 * In words every character is text, but / and * at their very beginning; in a date a hyphen is. So
 * going back stays possible everywhere on the keypad alone.
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
        return (key->character != '/' && key->character != '*') || view->editor.length > 0;
    return view->mode == MODE_FIELDS && field->item == ITEM_NEXT && key->character == '-' &&
           view->editor.length >= 4 && !view->editor.fresh;
}

/* Enter has just brought up what Enter would answer, or a digit was just taken at once: the same
 * stroke, felt twice, is no answer to what stands there now. */
static bool visit_view_ignores(const struct ui *ui, const void *state, const struct key *key)
{
    const struct visit_view *view = state;
    int64_t now = ui_now_ms(ui);

    if (key->pasted)
        return view->paste_stopped && !key->paste_begins;
    if (key->press == PRESS_ENTER)
        return now - view->asked_at_ms < DEAF_MS;
    return key->press == PRESS_NONE && key->character == view->bounce_key &&
           now - view->bounce_at_ms < BOUNCE_MS;
}

static void visit_view_command(struct ui *ui, void *state, enum command command,
                               const struct key *key)
{
    struct visit_view *view = state;

    view->paste_stopped = false;
    /* Another key came between: what follows is no bounce. */
    if (key->press != PRESS_ENTER)
        view->asked_at_ms = INT64_MIN / 2;
    if (key->press != PRESS_NONE || key->character != view->bounce_key)
        view->bounce_at_ms = INT64_MIN / 2;
    switch (view->mode) {
    case MODE_OFFER:
    case MODE_OFFER_SURE:
        offer_command(ui, view, command);
        break;
    case MODE_REASON:
        reason_command(ui, view, command, key);
        break;
    case MODE_REASON_TEXT:
        reason_text_command(ui, view, command, key);
        break;
    case MODE_REVIEW:
        review_command(ui, view, command);
        break;
    case MODE_LEAVE:
    case MODE_LEAVE_SURE:
        leave_command(ui, view, command);
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
