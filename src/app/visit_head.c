/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The head of the visit sheet: who, what is open of the case, and what today recorded already. */
#include <string.h>

#include "case_private.h"
#include "springline/app/advise.h"
#include "springline/app/command.h"
#include "springline/core/course.h"
#include "springline/core/tooth.h"
#include "springline/core/wear.h"

static void add_part(struct text *out, const char *head)
{
    text_add(out, out->length == 0 ? head : "; ");
}

/* The safety items that stand on the sheet's day. An open trouble stays in sight though a clinician
 * set it aside until a later day: what is entered now may end it. */
static void add_safety(struct text *out, const struct case_state *state, day on)
{
    char date[DAY_TEXT_SIZE];

    for (int item = SAFETY_NONE + 1; item < SAFETY_COUNT; item++) {
        day from = state->safety_from[item];
        if (from != DAY_NONE && from <= on) {
            add_part(out, "SAFETY: ");
            case_tell_safety(out, state, (enum safety)item);
        } else if (from != DAY_NONE && item == SAFETY_OPEN_TROUBLE) {
            add_part(out, "SAFETY: ");
            text_addf(out, "a wound or a fault is still open, set aside until %s",
                      day_to_text(from, date));
        }
    }
}

/* "upper activation R 1.25 L 1.00, tissue mild, hardware intact" */
static void add_recorded(struct text *out, const struct visit *visit)
{
    char hardware[HARDWARE_TEXT_SIZE];

    if (visit->arch != ARCH_NONE)
        text_addf(out, "%s ", word_text(&words_arch, (int)visit->arch));
    text_add(out, word_text(&words_visit_kind, (int)visit->kind));
    if (visit->kind == VISIT_ACTIVATION) {
        told_amount(out, " R ", visit->right, visit);
        told_amount(out, " L ", visit->left, visit);
    }
    if (visit->tissue != TISSUE_NONE)
        text_addf(out, ", tissue %s",
                  visit->tissue == TISSUE_SOUND ? "sound"
                                                : word_text(&words_tissue, (int)visit->tissue));
    if (visit->hardware == HARDWARE_INTACT)
        text_add(out, ", hardware intact");
    else if (visit->hardware != HARDWARE_NOT_RECORDED)
        text_addf(out, ", %s%s", hardware_to_text(visit->hardware, hardware),
                  visit->repaired == ANSWER_YES ? " repaired" : " NOT repaired");
}

/* "Esc", of "Esc q": the first key of a command. */
static void add_key(struct text *out, enum command command)
{
    const char *keys = command_table[command].keys;

    text_append(out, keys, strcspn(keys, " "));
}

static void add_today(struct text *out, const struct visit_sheet *sheet)
{
    for (size_t i = 0; i < sheet->history.visit_count; i++) {
        const struct visit *visit = &sheet->history.visits[i];
        if (visit->date != sheet->date || !visit_seen(visit))
            continue;
        add_part(out, "SEEN TODAY ALREADY: ");
        add_recorded(out, visit);
    }
    if (out->length == 0)
        return;
    text_add(out, ". Correct it in the case (");
    add_key(out, COMMAND_BACK);
    text_add(out, ", ");
    add_key(out, COMMAND_MENU);
    text_add(out, " ");
    add_key(out, COMMAND_TO_CASE);
    text_add(out, ").");
}

/* Before anything was given the answers to the health questions still change what is done; a case
 * that came with an import has none. Later the head of the case says so, and the sheet stays short.
 */
static void add_unanswered(struct text *out, const struct visit_sheet *sheet)
{
    for (size_t i = 0; i < sheet->history.visit_count; i++) {
        if (sheet->history.visits[i].right > 0 || sheet->history.visits[i].left > 0)
            return;
    }
    advise_tell_unanswered(out, sheet->history.casefile, sheet->date);
}

enum status visit_lines_who(struct app *app, struct visit_sheet *sheet, struct arena *arena,
                            struct lines *lines)
{
    struct history until;
    struct case_state state;
    struct text safety = {0}, today = {0}, unanswered = {0};

    (void)app;
    enum status status = visit_lines_person(&sheet->history, sheet->date, arena, lines);
    if (status != STATUS_OK)
        return status;
    if (!case_until(&sheet->history, sheet->date, arena, &until))
        return STATUS_NO_MEMORY;
    course_state(&until, &state);
    add_safety(&safety, &state, sheet->date);
    add_today(&today, sheet);
    add_unanswered(&unanswered, sheet);
    bool good = (safety.length == 0 || told_end_line(arena, lines, &safety)) &&
                (unanswered.length == 0 || told_end_line(arena, lines, &unanswered)) &&
                (today.length == 0 || told_end_line(arena, lines, &today));
    text_release(&safety);
    text_release(&today);
    text_release(&unanswered);
    return good ? STATUS_OK : STATUS_NO_MEMORY;
}
