/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Does the result hold: a row for each arch that is no longer moved, and all that is behind it. */
#include "case_private.h"
#include "told_stability.h"

void case_add_stability(struct row_maker *maker)
{
    struct stability stability;

    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++) {
        if (!stability_of(maker->history, (enum arch)arch, maker->app->today, &stability))
            continue;
        /* As a record it would be a width of the day it was measured last. */
        struct width place = {.head = {.record = {{'h', (uint8_t)arch}}},
                              .date = stability.answer == STABILITY_MEASURED ? stability.latest.date
                                                                             : stability.held_from};
        const char *mark = told_stability_mark(&stability);
        told_stability(&maker->what, &stability);
        text_add(&maker->more, "Enter: its checks, and what is published");
        struct sorted_row *row =
            case_add_row(maker, RECORD_WIDTH, &place, mark,
                         stability.change_is == CHANGE_REAL && stability.change < 0);
        if (row != NULL)
            row->group = 0; /* before the widths */
    }
}

enum status case_view_stability(struct app *app, const struct id *casefile, struct arena *arena,
                                struct lines *lines, struct error *error)
{
    struct history history;
    struct stability stability;
    struct text text = {0};

    enum status status = store_read_case(app->store, casefile, STORE_NOW, arena, &history, error);
    if (status != STATUS_OK)
        return status;
    bool good = true, any = false;
    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER && good; arch++) {
        if (!stability_of(&history, (enum arch)arch, app->today, &stability))
            continue;
        good = told_stability_lines(arena, lines, &text, &stability);
        any = true;
    }
    if (good && !any) {
        text_add(&text, "No arch is held any more: what is moved has no relapse.");
        good = told_end_line(arena, lines, &text);
    }
    for (size_t i = 0; i < told_stability_published_count && any && good; i++) {
        text_add(&text, told_stability_published[i]);
        good = told_end_line(arena, lines, &text);
    }
    text_release(&text);
    return good ? STATUS_OK : error_no_memory(error);
}
