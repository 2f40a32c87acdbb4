/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rows the sheet will write, placed beside the history so that the rules see them at once. */
#include <string.h>

#include "springline/app/visit.h"
#include "visit_private.h"

static int32_t next_repeat(const struct visit_sheet *sheet, const struct width *width)
{
    int32_t repeat = 1;

    for (size_t i = 0; i < sheet->history.width_count; i++) {
        const struct width *other = &sheet->history.widths[i];
        if (other->date == width->date && other->arch == width->arch &&
            other->site == width->site && other->landmark == width->landmark &&
            other->teeth.right == width->teeth.right && other->teeth.left == width->teeth.left &&
            other->method == width->method && other->repeat >= repeat)
            repeat = other->repeat + 1;
    }
    return repeat;
}

static void live_width(struct visit_sheet *sheet, int which)
{
    enum arch arch = sheet->arches[which];
    int64_t value = visit_value(sheet, ITEM_WIDTH, arch, UM_NONE);
    struct width *width = &sheet->widths[which];

    if (value == UM_NONE)
        return;
    const struct expander *expander = visit_expander(&sheet->history, arch, sheet->date);
    if (expander == NULL) /* taken out at another seat since the sheet was opened */
        return;
    *width = (struct width){.casefile = sheet->casefile,
                            .date = sheet->date,
                            .arch = arch,
                            .site = expander->site,
                            .landmark = expander->landmark,
                            .teeth = expander->teeth,
                            .method = METHOD_MOUTH,
                            .value = (um)value};
    width->repeat = next_repeat(sheet, width);
    struct width *rows = (struct width *)(uintptr_t)sheet->live.widths; /* live's own array */
    rows[sheet->live.width_count++] = *width;
}

static void live_wear(struct visit_sheet *sheet)
{
    int64_t met = visit_value(sheet, ITEM_WEAR_MET, ARCH_NONE, -1);
    int64_t asked = visit_value(sheet, ITEM_WEAR_ASKED, ARCH_NONE, -1);
    int64_t source = visit_value(sheet, ITEM_WEAR_SOURCE, ARCH_NONE, SOURCE_NONE);

    sheet->wear = (struct wear_count){0};
    if (met < 0 || source == SOURCE_NONE || sheet->wear_from == DAY_NONE)
        return;
    if (asked < 0)
        asked = sheet->date - sheet->wear_from;
    sheet->wear = (struct wear_count){.casefile = sheet->casefile,
                                      .from = sheet->wear_from,
                                      .to = sheet->date - 1,
                                      .days_met = (int32_t)met,
                                      .days_asked = (int32_t)asked,
                                      .source = (enum source)source};
    struct wear_count *rows = (struct wear_count *)(uintptr_t)sheet->live.wear_counts;
    rows[sheet->live.wear_count_count++] = sheet->wear;
}

void visit_live(struct visit_sheet *sheet)
{
    sheet->live.width_count = sheet->history.width_count;
    sheet->live.wear_count_count = sheet->history.wear_count_count;
    for (int i = 0; i < sheet->arch_count; i++) {
        sheet->widths[i] = (struct width){.value = UM_NONE};
        live_width(sheet, i);
    }
    live_wear(sheet);
}
