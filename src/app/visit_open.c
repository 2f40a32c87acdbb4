/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Opening a visit sheet: the fields of this case, and what was entered the last time. */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "springline/app/authority.h"
#include "springline/app/erase.h"
#include "springline/app/visit.h"
#include "springline/core/tooth.h"
#include "springline/core/wear.h"
#include "springline/core/width.h"
#include "visit_private.h"

static struct sheet_field *add_field(struct visit_sheet *sheet, enum sheet_item item,
                                     enum arch arch, const char *label)
{
    struct sheet_field *field = &sheet->fields[sheet->field_count++];

    field->item = item;
    field->arch = arch;
    field->label = label;
    return field;
}

static void add_choices(struct sheet_field *field, const char *const *choices)
{
    while (choices[field->choice_count] != NULL) {
        field->choices[field->choice_count] = choices[field->choice_count];
        field->choice_count++;
    }
    field->at_once = true;
}

static void add_wear_fields(struct visit_sheet *sheet)
{
    static const char *const sources[] = {"", "sensor", "diary", "told", NULL};
    struct sheet_field *field;

    add_field(sheet, ITEM_WEAR_MET, ARCH_NONE, "wear: days met");
    field = add_field(sheet, ITEM_WEAR_ASKED, ARCH_NONE, "of days asked");
    if (sheet->wear_from != DAY_NONE)
        snprintf(field->if_empty, sizeof field->if_empty,
                 "all %" PRId32 " days since the last visit", sheet->date - sheet->wear_from);
    add_choices(add_field(sheet, ITEM_WEAR_SOURCE, ARCH_NONE, "known from"), sources);
}

static const char *width_label(struct visit_sheet *sheet, const struct expander *expander)
{
    char teeth[8];
    struct text label = {0};

    text_addf(&label, "width %s %s mm", teeth_to_text(expander->teeth, teeth),
              word_text(&words_landmark, (int)expander->landmark));
    const char *kept = arena_text(&sheet->arena, text_string(&label), label.length);
    text_release(&label);
    return kept == NULL ? "width mm" : kept;
}

static void add_arch_fields(struct visit_sheet *sheet, const struct expander *expander)
{
    static const char *const tissue[] = {"sound", "mild", "wound", NULL};
    static const char *const faults[] = {
        "intact", "loose band", "broken wire", "bent wire", "lost ligature", "lost bracket", NULL};
    static const char *const no_yes[] = {"no", "yes", NULL};
    enum arch arch = expander->arch;
    struct sheet_field *field;

    field = add_field(sheet, ITEM_WIDTH, arch, width_label(sheet, expander));
    field->skipped = expander->site == SITE_NONE || expander->landmark == LANDMARK_NONE ||
                     expander->teeth.right == 0;
    field = add_field(sheet, ITEM_TISSUE, arch, "tissue");
    add_choices(field, tissue);
    field->required = true;
    field = add_field(sheet, ITEM_HARDWARE, arch, "hardware");
    add_choices(field, faults);
    field->several = true;
    field->required = true;
    add_choices(add_field(sheet, ITEM_REPAIRED, arch, "all repaired now"), no_yes);
    field = add_field(sheet, ITEM_RIGHT, arch, "right mm");
    field->amount = true;
    field->skipped = expander->sides == SIDES_LEFT;
    field = add_field(sheet, ITEM_LEFT, arch, "left mm");
    field->amount = true;
    field->skipped = expander->sides == SIDES_RIGHT;
    add_choices(add_field(sheet, ITEM_RELIEF, arch, "loop closed (relief)"), no_yes);
}

static void show_last_amounts(struct visit_sheet *sheet, enum arch arch)
{
    const struct visit *last = visit_newest_of(&sheet->history, arch, sheet->date);
    char text[MILLIMETRE_TEXT_SIZE];

    if (last == NULL)
        return;
    snprintf(visit_field(sheet, ITEM_RIGHT, arch)->last, 64, "%s",
             millimetre_to_text(last->right, text));
    snprintf(visit_field(sheet, ITEM_LEFT, arch)->last, 64, "%s",
             millimetre_to_text(last->left, text));
    snprintf(visit_field(sheet, ITEM_TISSUE, arch)->last, 64, "%s",
             last->tissue == TISSUE_SOUND ? "sound" : word_text(&words_tissue, (int)last->tissue));
    char hardware[HARDWARE_TEXT_SIZE];
    snprintf(visit_field(sheet, ITEM_HARDWARE, arch)->last, 64, "%.60s",
             hardware_to_text(last->hardware, hardware));
}

static void show_last_width(struct visit_sheet *sheet, const struct expander *expander)
{
    struct width_view view;
    char text[MILLIMETRE_TEXT_SIZE], date[DAY_TEXT_SIZE];

    width_view(&sheet->history, sheet->history.protocol, expander, sheet->date, &view);
    if (view.latest.date != DAY_NONE)
        snprintf(visit_field(sheet, ITEM_WIDTH, expander->arch)->last, 64, "%s on %s",
                 millimetre_to_text(view.latest.value, text), day_to_text(view.latest.date, date));
}

/* The days about which wear is asked: from the last seen visit (or the first trainer) to yesterday.
 */
static day first_wear_day(const struct history *history, day date)
{
    const struct visit *last = visit_newest_of(history, ARCH_NONE, date);
    day issued = DAY_NONE;

    for (size_t i = 0; i < history->trainer_count; i++) {
        if (issued == DAY_NONE || history->trainers[i].issued_on < issued)
            issued = history->trainers[i].issued_on;
    }
    if (issued == DAY_NONE || issued >= date)
        return DAY_NONE;
    return last == NULL || last->date < issued ? issued : last->date;
}

static void build_fields(struct visit_sheet *sheet)
{
    add_wear_fields(sheet);
    for (int i = 0; i < sheet->arch_count; i++) {
        const struct expander *expander =
            visit_expander(&sheet->history, sheet->arches[i], sheet->date);
        add_arch_fields(sheet, expander);
        show_last_amounts(sheet, expander->arch);
        show_last_width(sheet, expander);
    }
    add_field(sheet, ITEM_NEXT, ARCH_NONE, "next visit, days or date");
    add_field(sheet, ITEM_NOTE, ARCH_NONE, "note");
}

static enum status find_arches(struct visit_sheet *sheet, struct error *error)
{
    const char *number = sheet->history.casefile->number;

    if (sheet->history.casefile->closed_on != DAY_NONE &&
        sheet->history.casefile->closed_on <= sheet->date)
        return error_set(error, STATUS_INPUT, number,
                         "Case %s is closed; a visit can not be entered.", number);
    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++) {
        if (visit_expander(&sheet->history, (enum arch)arch, sheet->date) != NULL)
            sheet->arches[sheet->arch_count++] = (enum arch)arch;
    }
    if (sheet->arch_count == 0)
        return error_set(error, STATUS_INPUT, number,
                         "Case %s has no expander in place today, so there is nothing to activate; "
                         "record the fit first.",
                         number);
    return STATUS_OK;
}

bool visit_make_room(struct visit_sheet *sheet)
{
    struct history *live = &sheet->live;
    const struct history *history = &sheet->history;
    struct width *widths = arena_array(&sheet->arena, history->width_count + 2, sizeof *widths);
    struct wear_count *counts =
        arena_array(&sheet->arena, history->wear_count_count + 1, sizeof *counts);

    if (widths == NULL || counts == NULL)
        return false;
    *live = *history;
    if (history->width_count > 0)
        memcpy(widths, history->widths, history->width_count * sizeof *widths);
    if (history->wear_count_count > 0)
        memcpy(counts, history->wear_counts, history->wear_count_count * sizeof *counts);
    live->widths = widths;
    live->wear_counts = counts;
    return true;
}

enum status visit_set_date(struct visit_sheet *sheet, day date, struct error *error)
{
    sheet->date = date;
    sheet->field_count = sheet->arch_count = 0;
    memset(sheet->fields, 0, sizeof sheet->fields);
    enum status status = find_arches(sheet, error);
    if (status != STATUS_OK)
        return status;
    sheet->wear_from = first_wear_day(&sheet->history, date);
    build_fields(sheet);
    visit_judge(sheet);
    return STATUS_OK;
}

enum status visit_open(struct app *app, const struct id *casefile, struct visit_sheet *sheet,
                       struct error *error)
{
    *sheet = (struct visit_sheet){.casefile = *casefile};
    uint8_t head[32];

    enum status status = app_allow(app, COMMAND_TO_VISIT, NULL, error);
    if (status == STATUS_OK)
        status = store_head(app->store, &sheet->opened_at, head, error);
    if (status == STATUS_OK)
        status =
            store_read_case(app->store, casefile, STORE_NOW, &sheet->arena, &sheet->history, error);
    if (status == STATUS_OK)
        status = erase_refuse_entry(&sheet->history, error);
    if (status == STATUS_OK && !visit_make_room(sheet))
        status = error_no_memory(error);
    sheet->overrides = authority_may(app->role, COMMAND_OVERRIDE);
    if (status == STATUS_OK)
        status = visit_set_date(sheet, app->today, error);
    if (status != STATUS_OK) {
        visit_release(sheet);
        return status;
    }
    sheet->request = store_new_id(app->store);
    return STATUS_OK;
}
