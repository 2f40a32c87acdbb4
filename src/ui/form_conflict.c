/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A form that met what another seat saved: side by side first, then over what is recorded now. */
#include <stdio.h>

#include "form_view.h"
#include "springline/ui/screens.h"

static void forget(struct form_view *view)
{
    conflict_release(&view->conflict);
    view->compared = view->agreed = false;
}

void form_conflict_show(struct ui *ui, struct form_view *view, const struct error *error)
{
    struct error failure = {0};
    const struct conflict_argument argument = {.sentence = view->happened,
                                               .history = &view->form.history,
                                               .saved = &view->conflict.saved,
                                               .conflict = &view->conflict,
                                               .agreed = &view->agreed};
    int depth = ui->depth;

    snprintf(view->happened, sizeof view->happened, "%s", error->sentence);
    if (conflict_read(ui->app, &view->form, &view->conflict, &failure) != STATUS_OK) {
        ui_say_error(ui, &failure);
        return;
    }
    ui_push(ui, &conflict_screen, &argument);
    view->compared = ui->depth > depth;
    if (!view->compared)
        forget(view);
}

/* The form is another one now: nothing that pointed into the old one stays. */
static void go_on(struct ui *ui, struct form_view *view)
{
    struct error error = {0};

    if (conflict_settle(ui->app, &view->form, &view->conflict, &error) != STATUS_OK) {
        ui_say_error(ui, &error);
        return;
    }
    view->unsaved = (struct draft){0};
    if (view->focus >= view->form.field_count)
        view->focus = form_step(&view->form, view->form.field_count, -1);
    form_ask_review(ui, view);
}

void form_conflict_resume(struct ui *ui, void *state)
{
    struct form_view *view = state;
    bool agreed = view->agreed;

    if (!view->compared)
        return;
    if (agreed)
        go_on(ui, view);
    forget(view);
    if (!agreed) {
        ui_say(ui, "Nothing was saved; what was typed is kept.");
        form_ask_fields(ui, view);
    }
}
