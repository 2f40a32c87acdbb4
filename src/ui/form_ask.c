/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The questions of a form and its last steps: the reason, the review, saving. */
#include <string.h>

#include "form_view.h"
#include "springline/ui/screens.h"

/* ---- what is not saved ---- */

enum status form_ask_find(struct ui *ui, struct form_view *view, struct error *error)
{
    bool found = false;

    enum status status = form_find_draft(ui->app, &view->form, &view->unsaved, &found, error);
    if (status == STATUS_OK && found)
        enter_ask(ui, &view->enter, MODE_OFFER);
    return status;
}

/* Holds the field something that is not recorded? */
static bool is_entered(const struct form_field *field)
{
    return field->wrong || (field->filled && strcmp(field->shown, field->recorded) != 0);
}

/* To the field behind the last one that was entered. */
static void go_on(struct ui *ui, struct form_view *view)
{
    struct form *form = &view->form;
    struct error error = {0};
    int index = view->focus;

    enter_warn(ui, &view->enter);
    if (form_from_draft(ui->app, form, &view->unsaved, &error) != STATUS_OK) {
        ui_say_error(ui, &error);
        return;
    }
    for (int i = form_step(form, -1, 1); i < form->field_count; i = form_step(form, i, 1)) {
        if (is_entered(&form->fields[i]))
            index = i;
    }
    int next = form_step(form, index, 1);
    form_view_focus(view, form->fields[index].wrong || next >= form->field_count ? index : next);
}

static void throw_away(struct ui *ui, struct form_view *view)
{
    struct error error = {0};

    if (form_drop_draft(ui->app, &view->form, &error) != STATUS_OK)
        ui_say_error(ui, &error);
}

void form_ask_answer(struct ui *ui, struct form_view *view, enum command command)
{
    bool offered = view->enter.mode == MODE_OFFER_SURE;

    switch (enter_answer(ui, &view->enter, command)) {
    case ANSWER_DROP:
        throw_away(ui, view);
        if (offered)
            form_view_focus(view, view->focus);
        else
            ui_pop(ui);
        break;
    case ANSWER_GO_ON:
        go_on(ui, view);
        break;
    case ANSWER_KEEP:
        ui_say(ui, "Not saved yet: \"%s\" is kept and will be offered when it is opened again.",
               view->form.title);
        ui_pop(ui);
        break;
    case ANSWER_STAY:
        form_view_focus(view, view->focus);
        break;
    case ANSWER_AWAY:
        ui_pop(ui);
        break;
    case ANSWER_OPEN:
        break;
    }
}

/* ---- the review ---- */

/* A form without fields has nothing behind its reason. */
void form_ask_fields(struct ui *ui, struct form_view *view)
{
    int last = form_step(&view->form, view->form.field_count, -1);

    if (last >= 0) {
        form_view_focus(view, last);
    } else {
        ui_say(ui, "Nothing was saved.");
        ui_pop(ui);
    }
}

static void ask_reason(struct ui *ui, struct form_view *view)
{
    enter_ask(ui, &view->enter, MODE_REASON_TEXT);
    view->pages = (struct pages){0};
    editor_set(&view->enter.editor, view->reason, 0, false);
}

static void ask_review(struct ui *ui, struct form_view *view)
{
    enter_review(ui, &view->enter, form_signs(&view->form));
    view->pages = (struct pages){0};
}

/* What is missing is said, and the field has the focus. */
static void say_missing(struct ui *ui, struct form_view *view, int index, const struct error *error)
{
    if (index >= 0 && index < view->form.field_count)
        form_view_focus(view, index);
    ui_say_error(ui, error);
}

static enum status read_review(struct ui *ui, struct form_view *view, int *index,
                               struct error *error)
{
    enum status status = form_ready(ui->app, &view->form, &view->needs_reason, index, error);

    if (status != STATUS_OK)
        return status;
    arena_clear(&view->review_arena);
    view->review = (struct lines){0};
    return form_review(ui->app, &view->form, &view->review_arena, &view->review, error);
}

static void ask_for_save(struct ui *ui, struct form_view *view)
{
    if (view->needs_reason)
        ask_reason(ui, view);
    else
        ask_review(ui, view);
}

enum status form_ask_at_once(struct ui *ui, struct form_view *view, struct error *error)
{
    int index = -1;
    enum status status = read_review(ui, view, &index, error);

    if (status == STATUS_OK)
        ask_for_save(ui, view);
    return status;
}

void form_ask_review(struct ui *ui, struct form_view *view)
{
    struct error error = {0};
    int index = -1;

    if (read_review(ui, view, &index, &error) == STATUS_OK)
        ask_for_save(ui, view);
    else
        say_missing(ui, view, index, &error);
}

/* ---- saving ---- */

/* Back to where the form was opened; a new case is opened, and limits of a case's own, which are
 * still those it had, are shown to be changed. */
static void leave_saved(struct ui *ui, struct form_view *view)
{
    struct id casefile = form_casefile(&view->form);
    bool opens = view->form.kind == FORM_NEW_PATIENT || view->form.kind == FORM_NEW_CASE;
    bool limits = view->form.kind == FORM_PROTOCOL;

    ui_say(ui, "%s", form_saved(&view->form));
    ui_pop(ui);
    if (opens)
        ui_push(ui, &case_screen, &casefile);
    if (limits)
        (void)screen_go(ui, COMMAND_TO_PROTOCOL, &casefile);
}

static void save(struct ui *ui, struct form_view *view)
{
    const struct casefile *casefile = view->form.history.casefile;
    struct error error = {0};

    if (enter_asks_secret(&view->enter) &&
        !enter_prove(ui, &view->enter, casefile == NULL ? NULL : casefile->number,
                     &view->form.proof))
        return;
    enum status status =
        form_save(ui->app, &view->form, view->needs_reason ? view->reason : "", &error);
    if (status == STATUS_OK || status == STATUS_ALREADY) {
        leave_saved(ui, view);
        return;
    }
    /* Nothing was saved, and nothing typed is lost. */
    if (status == STATUS_CONFLICT) {
        form_conflict_show(ui, view, &error);
        return;
    }
    if (status == STATUS_INPUT && strcmp(error.where, "reason") == 0)
        ask_reason(ui, view);
    else if (status == STATUS_INPUT && form_view_has_fields(view))
        form_ask_fields(ui, view);
    ui_say_error(ui, &error);
}

void form_ask_review_key(struct ui *ui, struct form_view *view, enum command command,
                         const struct key *key)
{
    if (command == COMMAND_SAVE || command == COMMAND_SAVE_SIGNED)
        save(ui, view);
    else if (enter_asks_secret(&view->enter) && enter_secret_key(&view->enter, command, key))
        return;
    else if (command == COMMAND_FIELD_BACK && view->needs_reason)
        ask_reason(ui, view);
    else if (command == COMMAND_FIELD_BACK || command == COMMAND_BACK)
        form_ask_fields(ui, view);
    else
        pages_turn(&view->pages, command);
}

static void keep_reason(struct form_view *view)
{
    memcpy(view->reason, view->enter.editor.text, view->enter.editor.length + 1);
}

static void accept_reason(struct ui *ui, struct form_view *view)
{
    if (!text_says(view->enter.editor.text)) {
        ui_say(ui, "What is recorded changes: write why, in a few words; / goes back.");
        return;
    }
    keep_reason(view);
    ask_review(ui, view);
}

void form_ask_reason_key(struct ui *ui, struct form_view *view, enum command command,
                         const struct key *key)
{
    if (command == COMMAND_ACCEPT) {
        accept_reason(ui, view);
    } else if (command == COMMAND_BACK || command == COMMAND_FIELD_BACK) {
        keep_reason(view);
        form_ask_fields(ui, view);
    } else if (command == COMMAND_NONE && key->press == PRESS_NONE && !key->control) {
        editor_insert(&view->enter.editor, key->character);
    } else if (!editor_command(&view->enter.editor, command)) {
        pages_turn(&view->pages, command);
    }
}
