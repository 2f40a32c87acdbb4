/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The questions of the visit screen: go on with an unsaved visit, leave one unsaved. */
#include "visit_view.h"

enum status visit_ask_find(struct ui *ui, struct visit_view *view, struct error *error)
{
    struct unsaved_list list;

    enum status status = seat_unsaved(ui->app, &view->unsaved_arena, &list, error);
    for (size_t i = 0; i < list.count && status == STATUS_OK; i++) {
        if (id_equal(&list.rows[i].draft.casefile, &view->sheet.casefile)) {
            view->unsaved = list.rows[i].draft;
            enter_ask(ui, &view->enter, MODE_OFFER);
        }
    }
    return status;
}

void visit_ask_go_on(struct ui *ui, struct visit_view *view)
{
    struct error error = {0};
    int index = visit_step(&view->sheet, -1, 1);

    enter_warn(ui, &view->enter);
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
    visit_view_focus(view, index);
}

static void throw_away(struct ui *ui, struct visit_view *view)
{
    struct error error = {0};

    if (seat_throw_away(ui->app, &view->sheet.casefile, &error) != STATUS_OK)
        ui_say_error(ui, &error);
}

void visit_ask_answer(struct ui *ui, struct visit_view *view, enum command command)
{
    bool offered = view->enter.mode == MODE_OFFER_SURE;

    switch (enter_answer(ui, &view->enter, command)) {
    case ANSWER_DROP:
        throw_away(ui, view);
        if (offered)
            visit_view_focus(view, view->focus);
        else
            ui_pop(ui);
        break;
    case ANSWER_GO_ON:
        visit_ask_go_on(ui, view);
        break;
    case ANSWER_KEEP:
        ui_say(ui, "Not saved yet: the visit of %s is kept and will be offered again.",
               view->sheet.history.casefile->number);
        ui_pop(ui);
        break;
    case ANSWER_STAY:
        visit_view_focus(view, view->focus);
        break;
    case ANSWER_AWAY:
        ui_pop(ui);
        break;
    case ANSWER_OPEN:
        break;
    }
}
