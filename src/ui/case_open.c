/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "case_open.h"

#include "behind.h"
#include "springline/app/forecast_view.h"
#include "springline/ui/screens.h"

struct case_arch { /* an arch of a case */
    struct id casefile;
    enum arch arch;
};

static enum status fill_forecast(struct ui *ui, const void *subject, struct arena *arena,
                                 struct lines *lines, struct error *error)
{
    const struct case_arch *of = subject;

    return forecast_view_case(ui->app, &of->casefile, of->arch, arena, lines, error);
}

void case_row_open(struct ui *ui, const struct id *casefile, const char *who,
                   const struct case_row *row)
{
    const struct record_argument record = {
        .casefile = *casefile, .kind = row->record, .record = row->id};
    const struct case_arch arch = {*casefile, row->arch};
    const struct text_argument forecast_text = {NULL, fill_forecast, &arch, sizeof arch, NULL};

    if (row->arch != ARCH_NONE)
        ui_push(ui, &text_screen, &forecast_text);
    else if (id_is_none(&row->row))
        behind_case_row(ui, casefile, row, who);
    else
        ui_push(ui, &record_screen, &record);
}
