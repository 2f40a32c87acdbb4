/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The last steps of a visit: why more than permitted, the review line, saving. */
#include <stdio.h>
#include <string.h>

#include "springline/ui/screens.h"
#include "visit_view.h"

enum { SAID_REASON_CELLS = 80 }; /* of a reason in the line "Saved: ..." */

static void ask_reason(struct visit_view *view)
{
    view->reason = 0;
    view->enter.mode = MODE_REASON;
    view->review = (struct pages){0};
    editor_set(&view->enter.editor, "", 1, true);
}

void visit_review(struct ui *ui, struct visit_view *view)
{
    struct error error = {0};
    bool needs_reason = false;
    int index = 0;

    if (visit_ready(&view->sheet, &needs_reason, &index, &error) != STATUS_OK) {
        visit_view_focus(view, index);
        ui_say_error(ui, &error);
    } else if (needs_reason && view->reason == 0) {
        ask_reason(view);
    } else {
        if (!needs_reason) {
            view->reason = 0;
            view->reason_text[0] = '\0';
        }
        view->review = (struct pages){0};
        enter_review(ui, &view->enter, true);
    }
}

static void back_to_fields(struct visit_view *view)
{
    visit_view_focus(view, visit_step(&view->sheet, view->sheet.field_count, -1));
}

/* What an override was saved with, cut: the screen has few rows for it. */
static void add_reason(const struct visit_view *view, struct text *out)
{
    if (view->reason == 0)
        return;
    text_addf(out, ", more than permitted, because: %s", visit_reason(view->reason));
    if (view->reason_text[0] == '\0')
        return;
    text_add(out, ": ");
    text_fit(out, view->reason_text, SAID_REASON_CELLS, false);
}

/* "Saved: C-0007 ..." from what the review line said. */
static void say_saved(struct ui *ui, struct visit_view *view)
{
    struct arena arena = {0};
    struct lines lines = {0};
    struct text text = {0};

    text_addf(&text, "Saved: %s", view->sheet.history.casefile->number);
    add_reason(view, &text);
    if (visit_lines_review(ui->app, &view->sheet, &arena, &lines) == STATUS_OK) {
        for (size_t i = 1; i < lines.count; i++)
            text_addf(&text, "%s %s", i == 1 && view->reason == 0 ? "" : ";", lines.line[i]);
    }
    text_add(&text, view->sheet.is_signed ? "; signed" : "; not signed yet");
    ui_say(ui, "%s", text_string(&text));
    text_release(&text);
    arena_release(&arena);
}

/* Nothing was saved. What was saved meanwhile is on the sheet now: it is read first. */
static void show_saved(struct ui *ui, struct visit_view *view, const struct error *error)
{
    const struct conflict_argument argument = {.sentence = view->happened,
                                               .history = &view->sheet.history,
                                               .saved = &view->sheet.saved,
                                               .agreed = &view->agreed};
    int depth = ui->depth;

    snprintf(view->happened, sizeof view->happened, "%s", error->sentence);
    view->agreed = false;
    ui_push(ui, &conflict_screen, &argument);
    view->compared = ui->depth > depth;
    if (!view->compared)
        back_to_fields(view);
}

void visit_review_resume(struct ui *ui, void *state)
{
    struct visit_view *view = state;
    bool again = view->agreed && !view->sheet.verdict_changed;

    if (!view->compared)
        return;
    view->compared = view->agreed = false;
    if (again)
        visit_review(ui, view);
    else
        back_to_fields(view);
}

static void save(struct ui *ui, struct visit_view *view)
{
    struct error error = {0};

    if (enter_asks_secret(&view->enter) &&
        !enter_prove(ui, &view->enter, view->sheet.history.casefile->number, &view->sheet.proof))
        return;
    enum status status = visit_save(ui->app, &view->sheet, view->reason, view->reason_text, &error);
    if (status == STATUS_OK || status == STATUS_ALREADY) {
        say_saved(ui, view);
        ui_pop(ui);
        return;
    }
    if (status == STATUS_CONFLICT) {
        show_saved(ui, view, &error);
        return;
    }
    ui_say_error(ui, &error);
    if (status == STATUS_INPUT && strcmp(error.where, "reason") == 0)
        ask_reason(view);
    else if (status == STATUS_INPUT)
        back_to_fields(view);
}

void visit_review_key(struct ui *ui, struct visit_view *view, enum command command,
                      const struct key *key)
{
    if (command == COMMAND_SAVE || command == COMMAND_SAVE_SIGNED)
        save(ui, view);
    else if (enter_asks_secret(&view->enter) && enter_secret_key(&view->enter, command, key))
        return;
    else if (command == COMMAND_FIELD_BACK || command == COMMAND_BACK)
        back_to_fields(view);
    else
        pages_turn(&view->review, command);
}

/* ---- the reason ---- */

void visit_reason_key(struct ui *ui, struct visit_view *view, enum command command,
                      const struct key *key)
{
    int number = view->enter.editor.length == 1 ? view->enter.editor.text[0] - '0' : 0;

    if (command == COMMAND_BACK || command == COMMAND_FIELD_BACK) {
        back_to_fields(view);
    } else if (command == COMMAND_ACCEPT && visit_reason(number) != NULL) {
        view->reason = number;
        view->enter.mode = MODE_REASON_TEXT;
        editor_set(&view->enter.editor, view->reason_text, 0, false);
    } else if (command == COMMAND_ACCEPT) {
        ui_say(ui, "Press the number of a reason, then Enter; / goes back to the amounts.");
    } else if (command == COMMAND_NONE && !key->pasted && key->character >= '0' &&
               key->character <= '9') {
        editor_set(&view->enter.editor, "", 1, true);
        editor_insert(&view->enter.editor, key->character);
    } else {
        pages_turn(&view->review, command);
    }
}

static void accept_reason_text(struct ui *ui, struct visit_view *view)
{
    const char *text = view->enter.editor.text;

    if (visit_reason_needs_text(view->reason) && !text_says(text)) {
        ui_say(ui, "\"%s\" says nothing by itself: write the reason; / goes back to the list.",
               visit_reason(view->reason));
        return;
    }
    memcpy(view->reason_text, text, view->enter.editor.length + 1);
    visit_review(ui, view);
}

void visit_reason_text_key(struct ui *ui, struct visit_view *view, enum command command,
                           const struct key *key)
{
    if (command == COMMAND_ACCEPT) {
        accept_reason_text(ui, view);
    } else if (command == COMMAND_BACK || command == COMMAND_FIELD_BACK) {
        memcpy(view->reason_text, view->enter.editor.text, view->enter.editor.length + 1);
        ask_reason(view);
    } else if (command == COMMAND_NONE && key->press == PRESS_NONE && !key->control) {
        editor_insert(&view->enter.editor, key->character);
    } else if (!editor_command(&view->enter.editor, command)) {
        pages_turn(&view->review, command);
    }
}
