/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "behind.h"

#include <string.h>

#include "springline/app/lists_settings.h"
#include "springline/ui/screens.h"

static enum status fill_wear(struct ui *ui, const void *subject, struct arena *arena,
                             struct lines *lines, struct error *error)
{
    return case_view_wear(ui->app, subject, arena, lines, error);
}

static enum status fill_stability(struct ui *ui, const void *subject, struct arena *arena,
                                  struct lines *lines, struct error *error)
{
    return case_view_stability(ui->app, subject, arena, lines, error);
}

void behind_case_row(struct ui *ui, const struct id *casefile, const struct case_row *row,
                     const char *who)
{
    struct case_wear wear = {*casefile, row->from, row->to, row->month};
    struct text_argument text = {"wear of the trainer", fill_wear, &wear, sizeof wear, who};

    if (row->record == RECORD_WIDTH)
        text =
            (struct text_argument){"does it hold", fill_stability, casefile, sizeof *casefile, who};
    ui_push(ui, &text_screen, &text);
}

static enum status fill_width_error(struct ui *ui, const void *subject, struct arena *arena,
                                    struct lines *lines, struct error *error)
{
    return lists_width_error(ui->app, subject, arena, lines, error);
}

void behind_width_error(struct ui *ui, const char *name)
{
    struct text_argument argument = {.title = "error of measuring a width",
                                     .fill = fill_width_error,
                                     .subject = name,
                                     .size = strlen(name) + 1};

    if (argument.size > TEXT_SUBJECT_MAX)
        ui_say(ui, "The name of this protocol is too long to look it up.");
    else
        ui_push(ui, &text_screen, &argument);
}
