/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Trend and response of each arch as a row: worked out from the case alone. What needs the other
 * cases, the forecast, is read when the row is opened. */
#include "case_private.h"
#include "springline/app/forecast_view.h"

static void add_trend(struct row_maker *maker, const struct expander *expander)
{
    /* As a record it would be a width of its arch; with no date it has none to show. */
    struct width place = {.head = {.record = {{'t', (uint8_t)expander->arch}}}, .date = DAY_NONE};

    if (!forecast_view_brief(&maker->what, maker->history, expander, maker->app->today))
        maker->failed = true;
    maker->section = "trend";
    text_add(&maker->more, "Enter: when the target may be reached, and what that rests on");
    struct sorted_row *row = case_add_row(maker, RECORD_WIDTH, &place, "forecast", false);
    maker->section = NULL;
    if (row == NULL)
        return;
    row->row.arch = expander->arch;
    row->group = -1; /* before the widths */
    row->order = -(int64_t)expander->arch;
}

void case_add_trends(struct row_maker *maker)
{
    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++) {
        const struct expander *expander =
            case_expander_of(maker->history, (enum arch)arch, maker->app->today);
        if (expander != NULL && expander->fitted_on != DAY_NONE &&
            expander->fitted_on <= maker->app->today)
            add_trend(maker, expander);
    }
}
