/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The visit sheet: which fields there are, which apply now, and the verdict over them. */
#include "springline/app/visit.h"

#include <stdio.h>
#include <string.h>

#include "springline/core/tooth.h"
#include "springline/core/wear.h"
#include "visit_private.h"

struct sheet_field *visit_field(struct visit_sheet *sheet, enum sheet_item item, enum arch arch)
{
    for (int i = 0; i < sheet->field_count; i++) {
        if (sheet->fields[i].item == item && sheet->fields[i].arch == arch)
            return &sheet->fields[i];
    }
    return NULL;
}

const struct sheet_field *visit_field_of(const struct visit_sheet *sheet, enum sheet_item item,
                                         enum arch arch)
{
    return visit_field((struct visit_sheet *)(uintptr_t)sheet, item, arch);
}

int64_t visit_value(const struct visit_sheet *sheet, enum sheet_item item, enum arch arch,
                    int64_t none)
{
    const struct sheet_field *field = visit_field_of(sheet, item, arch);

    return field == NULL || field->skipped || !field->filled || field->wrong ? none : field->value;
}

const struct expander *visit_expander(const struct history *history, enum arch arch, day on)
{
    const struct expander *newest = NULL;

    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        if (expander->arch != arch || expander->fitted_on == DAY_NONE || expander->fitted_on > on ||
            (expander->out_on != DAY_NONE && expander->out_on <= on))
            continue;
        if (newest == NULL || expander->fitted_on > newest->fitted_on)
            newest = expander;
    }
    return newest;
}

const struct visit *visit_newest_of(const struct history *history, enum arch arch, day before)
{
    const struct visit *newest = NULL;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (!visit_seen(visit) || visit->date >= before ||
            (arch != ARCH_NONE && visit->arch != arch))
            continue;
        if (newest == NULL || visit->date > newest->date ||
            (visit->date == newest->date && visit->head.sequence > newest->head.sequence))
            newest = visit;
    }
    return newest;
}

struct examination visit_examination(const struct visit_sheet *sheet, enum arch arch, bool assume)
{
    struct examination found = {
        .tissue = (enum tissue)visit_value(sheet, ITEM_TISSUE, arch, TISSUE_NONE),
        .hardware = (uint32_t)visit_value(sheet, ITEM_HARDWARE, arch, HARDWARE_NOT_RECORDED),
        .repaired = (enum answer)visit_value(sheet, ITEM_REPAIRED, arch, ANSWER_NONE),
        .relief = visit_value(sheet, ITEM_RELIEF, arch, ANSWER_NO) == ANSWER_YES};

    if (assume && found.tissue == TISSUE_NONE)
        found.tissue = TISSUE_SOUND;
    if (assume && found.hardware == HARDWARE_NOT_RECORDED)
        found.hardware = HARDWARE_INTACT;
    return found;
}

struct proposal visit_amounts(const struct visit_sheet *sheet, enum arch arch)
{
    return (struct proposal){.right = (um)visit_value(sheet, ITEM_RIGHT, arch, UM_NONE),
                             .left = (um)visit_value(sheet, ITEM_LEFT, arch, UM_NONE)};
}

enum visit_kind visit_kind_of(const struct visit_sheet *sheet, enum arch arch)
{
    struct proposal amounts = visit_amounts(sheet, arch);
    struct examination found = visit_examination(sheet, arch, false);

    if (found.relief)
        return VISIT_RELIEF;
    if (amounts.right > 0 || amounts.left > 0)
        return VISIT_ACTIVATION;
    return found.repaired == ANSWER_YES ? VISIT_REPAIR : VISIT_CHECK;
}

static bool nothing_given(const struct visit_sheet *sheet, enum arch arch)
{
    const struct sheet_field *right = visit_field_of(sheet, ITEM_RIGHT, arch);
    const struct sheet_field *left = visit_field_of(sheet, ITEM_LEFT, arch);
    struct proposal amounts = visit_amounts(sheet, arch);

    return (right->skipped || amounts.right == 0) && (left->skipped || amounts.left == 0);
}

static void skip_field(struct visit_sheet *sheet, enum sheet_item item, enum arch arch,
                       bool skipped)
{
    struct sheet_field *field = visit_field(sheet, item, arch);

    if (field != NULL)
        field->skipped = skipped;
}

/* Which fields apply follows from the others: no fault, nothing to repair; nothing given, was the
 * loop closed? */
static void decide_skips(struct visit_sheet *sheet)
{
    bool wear = visit_value(sheet, ITEM_WEAR_MET, ARCH_NONE, -1) >= 0;

    skip_field(sheet, ITEM_WEAR_MET, ARCH_NONE, sheet->wear_from == DAY_NONE);
    skip_field(sheet, ITEM_WEAR_ASKED, ARCH_NONE, !wear);
    skip_field(sheet, ITEM_WEAR_SOURCE, ARCH_NONE, !wear);
    for (int i = 0; i < sheet->arch_count; i++) {
        enum arch arch = sheet->arches[i];
        uint32_t hardware = (uint32_t)visit_value(sheet, ITEM_HARDWARE, arch, 0);
        skip_field(sheet, ITEM_REPAIRED, arch, !hardware_faulty(hardware));
        skip_field(sheet, ITEM_RELIEF, arch, !nothing_given(sheet, arch));
    }
}

/* A side out of plan needs no amount; one that is not on the sheet is not taken for that. */
static bool side_settled(const struct visit_sheet *sheet, enum sheet_item item, enum arch arch,
                         um amount)
{
    const struct sheet_field *field = visit_field_of(sheet, item, arch);

    return amount != UM_NONE || (field != NULL && field->skipped);
}

/* Until every side in plan has its amount, an empty one is not yet a zero. */
static struct proposal whole_amounts(const struct visit_sheet *sheet, enum arch arch)
{
    struct proposal amounts = visit_amounts(sheet, arch);
    bool right = side_settled(sheet, ITEM_RIGHT, arch, amounts.right);
    bool left = side_settled(sheet, ITEM_LEFT, arch, amounts.left);

    return right && left ? amounts : (struct proposal){.right = UM_NONE, .left = UM_NONE};
}

static void show_window(struct visit_sheet *sheet)
{
    day from, to;
    char first[DAY_TEXT_SIZE], last[DAY_TEXT_SIZE];
    struct sheet_field *next = visit_field(sheet, ITEM_NEXT, ARCH_NONE);

    visit_window(sheet, &from, &to);
    next->if_empty[0] = '\0';
    if (from != DAY_NONE)
        snprintf(next->if_empty, sizeof next->if_empty, "due %s to %s", day_to_text(from, first),
                 day_to_text(to, last));
}

static void mark_above(struct visit_sheet *sheet, const struct judgement *judgement)
{
    struct proposal amounts = visit_amounts(sheet, judgement->arch);

    visit_field(sheet, ITEM_RIGHT, judgement->arch)->above =
        amounts.right > judgement->permitted_right;
    visit_field(sheet, ITEM_LEFT, judgement->arch)->above =
        amounts.left > judgement->permitted_left;
}

static void judge_arch(struct visit_sheet *sheet, int which, bool assume,
                       struct judgement *judgement)
{
    enum arch arch = sheet->arches[which];
    struct question question = {.arch = arch,
                                .today = sheet->date,
                                .except = &sheet->request,
                                .examination = visit_examination(sheet, arch, assume),
                                .proposal = whole_amounts(sheet, arch)};

    *judgement = (struct judgement){.arch = arch, .verdict = VERDICT_HOLD};
    rules_judge(&sheet->live, &question, judgement);
}

void visit_judge(struct visit_sheet *sheet)
{
    decide_skips(sheet);
    visit_live(sheet);
    for (int i = 0; i < sheet->arch_count; i++) {
        struct examination found = visit_examination(sheet, sheet->arches[i], false);
        sheet->examined[i] = found.tissue != TISSUE_NONE && found.hardware != HARDWARE_NOT_RECORDED;
        judge_arch(sheet, i, true, &sheet->judgements[i]);
        mark_above(sheet, &sheet->judgements[i]);
    }
    show_window(sheet);
}

void visit_judge_recorded(struct visit_sheet *sheet, struct judgement judgements[2])
{
    visit_live(sheet);
    for (int i = 0; i < sheet->arch_count; i++)
        judge_arch(sheet, i, false, &judgements[i]);
}

int visit_step(const struct visit_sheet *sheet, int index, int direction)
{
    do {
        index += direction;
    } while (index >= 0 && index < sheet->field_count && sheet->fields[index].skipped);
    return index < 0 ? -1 : index;
}

void visit_nudge(const struct visit_sheet *sheet, int index, int steps, char typed[SHEET_TEXT_SIZE])
{
    const struct sheet_field *field = &sheet->fields[index];
    um value = 0;

    if (!field->amount)
        return;
    if (millimetre_from_text(typed, MARK_POINT_OR_COMMA, NULL, &value, NULL) != STATUS_OK)
        value = 0;
    value += steps * sheet->history.protocol->step_grain;
    if (value < 0)
        value = 0;
    if (value > sheet->history.protocol->entry_cap)
        value = sheet->history.protocol->entry_cap;
    char text[MILLIMETRE_TEXT_SIZE];
    millimetre_to_text(value, text);
    memcpy(typed, text, strlen(text) + 1);
}

const char *visit_last(const struct visit_sheet *sheet, int index)
{
    const struct sheet_field *field = &sheet->fields[index];

    /* A measurement is read, never repeated: a width has no "same as last". */
    return field->amount ? field->last : "";
}

const char *visit_reason(int number)
{
    static const char *const reasons[] = {
        "wear shown by other evidence",
        "finding judged minor after a closer look",
        "width measured again and found sound",
        "visit brought forward for the family",
        "side behind its plan",
        "other, see text",
    };

    return number < 1 || number > (int)(sizeof reasons / sizeof reasons[0]) ? NULL
                                                                            : reasons[number - 1];
}

bool visit_reason_needs_text(int number)
{
    return visit_reason(number) != NULL && visit_reason(number + 1) == NULL;
}

void visit_release(struct visit_sheet *sheet)
{
    arena_release(&sheet->arena);
    *sheet = (struct visit_sheet){0};
}
