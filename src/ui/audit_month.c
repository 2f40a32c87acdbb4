/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "audit_month.h"

#include "springline/ui/screens.h"

static enum status fill_changes(struct ui *ui, const void *subject, struct arena *arena,
                                struct lines *lines, struct error *error)
{
    return month_change_lines(ui->app, *(const day *)subject, arena, lines, error);
}

static bool move(struct ui *ui, struct audit_shown *shown, int months)
{
    if (audit_shown_move(shown, months, ui->app->today))
        return true;
    ui_say(ui, "The next month has not begun yet.");
    return false;
}

static bool turn(struct ui *ui, struct audit_shown *shown)
{
    if (audit_shown_turn(shown))
        return true;
    ui_say(ui, "This month is not closed: today's figures stand here.");
    return false;
}

bool audit_month_command(struct ui *ui, struct audit_shown *shown, enum command command)
{
    const struct text_argument changes = {
        .fill = fill_changes, .subject = &shown->month, .size = sizeof shown->month};

    switch ((int)command) {
    case COMMAND_MONTH_BEFORE:
        return move(ui, shown, -1);
    case COMMAND_MONTH_AFTER:
        return move(ui, shown, 1);
    case COMMAND_MONTH_NOW:
        return turn(ui, shown);
    case COMMAND_WRITE_SHEET:
        (void)(shown->now ? audit_view_write_now : audit_view_write)(ui->app, shown->month,
                                                                     &ui->message);
        return false;
    case COMMAND_CLOSE_MONTH:
        ui_push(ui, &close_month_screen, &shown->month);
        return false;
    case COMMAND_MONTH_CHANGES:
        ui_push(ui, &text_screen, &changes);
        return false;
    default:
        return false;
    }
}
