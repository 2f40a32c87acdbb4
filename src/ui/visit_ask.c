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
            visit_view_ask(ui, view, MODE_OFFER);
        }
    }
    return status;
}

void visit_ask_go_on(struct ui *ui, struct visit_view *view)
{
    struct error error = {0};
    int index = visit_step(&view->sheet, -1, 1);

    view->asked_at_ms = ui_now_ms(ui);
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

void visit_ask_offer(struct ui *ui, struct visit_view *view, enum command command)
{
    bool no = command == COMMAND_NO || command == COMMAND_BACK;

    if (view->mode == MODE_OFFER_SURE) {
        if (command == COMMAND_THROW_AWAY) {
            throw_away(ui, view);
            visit_view_focus(view, view->focus);
        } else if (no) {
            visit_view_ask(ui, view, MODE_OFFER);
        }
    } else if (command == COMMAND_YES) {
        visit_ask_go_on(ui, view);
    } else if (command == COMMAND_THROW_AWAY) {
        visit_view_ask(ui, view, MODE_OFFER_SURE);
    } else if (no) {
        ui_pop(ui);
    }
}

void visit_ask_leave(struct ui *ui, struct visit_view *view, enum command command)
{
    bool no = command == COMMAND_NO || command == COMMAND_BACK;

    if (view->mode == MODE_LEAVE_SURE) {
        if (command == COMMAND_THROW_AWAY) {
            throw_away(ui, view);
            ui_pop(ui);
        } else if (no) {
            visit_view_ask(ui, view, MODE_LEAVE);
        }
    } else if (command == COMMAND_YES) {
        ui_say(ui, "Not saved yet: the visit of %s is kept and will be offered again.",
               view->sheet.history.casefile->number);
        ui_pop(ui);
    } else if (command == COMMAND_THROW_AWAY) {
        visit_view_ask(ui, view, MODE_LEAVE_SURE);
    } else if (no) {
        visit_view_focus(view, view->focus);
    }
}
