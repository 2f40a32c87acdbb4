/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What happens to an expander in place: repaired, taken out, left in passively. */
#include "form_parts.h"
#include "form_templates.h"
#include "springline/core/course.h"

/* What a faulty expander must say: was all of it repaired? */
static void follow_faults(struct form *form, int slot)
{
    bool faulty = hardware_faulty(form_now(form, slot)->visit.hardware);

    form_skip(form, slot, "repaired", !faulty);
    form_demand(form, slot, "repaired", faulty);
}

/* ---- a repair ---- */

static unsigned arches_with_expander(const struct app *app, const struct history *history)
{
    unsigned arches = 0;

    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++) {
        if (form_last_expander(history, (enum arch)arch, app->today) != NULL)
            arches |= 1U << (unsigned)arch;
    }
    return arches;
}

static enum status prepare_repair(struct app *app, struct form *form, struct error *error)
{
    const char *number = form->history.casefile->number;

    if (arches_with_expander(app, &form->history) == 0)
        return error_set(error, STATUS_INPUT, number,
                         "Case %s has no bands and no expander, so there is nothing to repair.",
                         number);
    form_put_new(form, 0);
    form_now(form, 0)->visit.kind = VISIT_REPAIR;
    form_now(form, 0)->visit.by = form_by(app, form);
    return STATUS_OK;
}

static void follow_repair(struct app *app, struct form *form)
{
    enum arch only = form_only_arch(&form->history, app->today, true);

    if (only == ARCH_NONE)
        only = form_only_arch(&form->history, app->today, false);
    form_leave(form, 0, "arch", arches_with_expander(app, &form->history));
    form_offer_word(form, 0, "arch", &words_arch, (int)only);
    follow_faults(form, 0);
}

static enum status check_repair(struct app *app, struct form *form, int *index, struct error *error)
{
    return form_need_new(app, form, 0, "date", index, error);
}

static enum status warn_repair(struct app *app, struct form *form, struct arena *arena,
                               struct lines *lines, struct error *error)
{
    const struct visit *visit = &form_now(form, 0)->visit;

    (void)app;
    if (hardware_faulty(visit->hardware) && visit->repaired != ANSWER_YES &&
        !form_add_line(arena, lines,
                       "The fault stays a safety item, and holds the next activation, until it is "
                       "repaired."))
        return error_no_memory(error);
    return form_lines_done(
        visit->tissue != TISSUE_NONE ||
            form_add_line(arena, lines, "The tissue was not recorded; a wound must be."),
        error);
}

static enum status append_repair(struct app *app, struct form *form, struct app_save *save,
                                 struct error *error)
{
    (void)save;
    return form_append_visit(app, form, -1, 0, error);
}

static enum status beside_repair(struct app *app, const struct form *form, struct arena *arena,
                                 struct history *would, struct error *error)
{
    (void)app;
    return form_foresee_visit(form, 0, arena, would, error);
}

static const struct form_item repair_items[] = {
    {0, "date", "date", "Day of the repair.", NULL, ITEM_REQUIRED | ITEM_TODAY | ITEM_FIRST},
    {0, "arch", "arch", "The arch that was looked at.", NULL, ITEM_REQUIRED},
    {0, "hardware", "hardware found",
     "0 intact, or the numbers of all faults found; r or l behind one names its side.", NULL,
     ITEM_REQUIRED},
    {0, "repaired", "all repaired", "Was every fault repaired at this visit?", NULL, 0},
    {0, "tissue", "tissue",
     "Soft tissue around the expander: sound, red or sore, or a wound (ulcer, wire pressing in).",
     NULL, 0},
    {0, "note", "note", "What was done, in a few words.", NULL, 0},
};
const struct form_template form_template_repair = {
    .kind = FORM_REPAIR,
    .name = "repair",
    .title = "Repair",
    .items = repair_items,
    .item_count = sizeof repair_items / sizeof repair_items[0],
    .slots = {RECORD_VISIT, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_repair,
    .follow = follow_repair,
    .check = check_repair,
    .warn = warn_repair,
    .append = append_repair,
    .beside = beside_repair,
};

/* ---- taken out ---- */

enum { OUT_EXPANDER, OUT_VISIT };

/* A closed case keeps its expanders: taking them out is what ends the safety item. */
static enum status prepare_out(struct app *app, struct form *form, struct error *error)
{
    enum status status = form_put_in_place(app, form, OUT_EXPANDER, error);

    if (status != STATUS_OK)
        return status;
    form_put_new(form, OUT_VISIT);
    form_now(form, OUT_VISIT)->visit.kind = VISIT_REMOVAL;
    form_now(form, OUT_VISIT)->visit.by = form_by(app, form);
    return STATUS_OK;
}

static void follow_out(struct app *app, struct form *form)
{
    form_follow_arch(app, form, OUT_EXPANDER);
    const struct expander *expander = &form_now(form, OUT_EXPANDER)->expander;
    struct visit *visit = &form_now(form, OUT_VISIT)->visit;
    visit->arch = expander->arch;
    visit->date = expander->out_on;
    follow_faults(form, OUT_VISIT);
}

static enum entry enter_which_arch(struct app *app, struct form *form, int index,
                                   char sentence[200])
{
    (void)app;
    if (index == form_index(form, 0, "which_arch"))
        return form_take_choice(form, index, sentence);
    return ENTRY_TAKEN;
}

static enum status check_out(struct app *app, struct form *form, int *index, struct error *error)
{
    *index = form_index(form, OUT_EXPANDER, "out_on");
    enum status status = form_need_new(app, form, OUT_VISIT, "date", index, error);
    if (status == STATUS_INPUT)
        *index = form_index(form, OUT_EXPANDER, "out_on");
    return status;
}

/* Which stage follows. */
static enum status tell_stage(struct app *app, struct form *form, struct arena *arena,
                              struct lines *lines, struct error *error)
{
    struct history would;
    enum arch arch = form_now(form, OUT_EXPANDER)->expander.arch;

    enum status status = form_would_be(app, form, arena, &would, error);
    if (status != STATUS_OK)
        return status;
    enum stage stage = course_arch_stage(&would, arch, app->today);
    bool added =
        form_add_line(arena, lines, "The %s arch is then in: %s.",
                      word_text(&words_arch, (int)arch), word_text(&words_stage, (int)stage));
    if (added && stage == STAGE_RETENTION)
        added =
            form_add_line(arena, lines, "Retention lasts %d days; no activation is meant in it.",
                          (int)would.protocol->retention_days);
    return form_lines_done(added, error);
}

static enum status warn_out(struct app *app, struct form *form, struct arena *arena,
                            struct lines *lines, struct error *error)
{
    return tell_stage(app, form, arena, lines, error);
}

static enum status append_out(struct app *app, struct form *form, struct app_save *save,
                              struct error *error)
{
    (void)save;
    return form_append_visit(app, form, OUT_EXPANDER, OUT_VISIT, error);
}

static enum status beside_out(struct app *app, const struct form *form, struct arena *arena,
                              struct history *would, struct error *error)
{
    (void)app;
    return form_foresee_visit(form, OUT_VISIT, arena, would, error);
}

static const struct form_item out_items[] = {
    {OUT_EXPANDER, "which_arch", "arch", "The arch whose expander was taken out.", NULL,
     ITEM_FIRST},
    {OUT_EXPANDER, "out_on", "taken out on", "Day the expander was taken out.", NULL,
     ITEM_REQUIRED | ITEM_TODAY},
    {OUT_EXPANDER, "out_reason", "why it came out",
     "Rest and repair: it goes in again; target: retention follows.", NULL, ITEM_REQUIRED},
    {OUT_VISIT, "tissue", "tissue",
     "Soft tissue after the removal: sound, red or sore, or a wound (ulcer, wire pressing in).",
     NULL, 0},
    {OUT_VISIT, "hardware", "hardware found",
     "0 intact, or the numbers of all faults found; r or l behind one names its side.", NULL, 0},
    {OUT_VISIT, "repaired", "all repaired", "Was every fault repaired, or taken out with the wire?",
     NULL, 0},
    {OUT_VISIT, "note", "note", "What was done, in a few words.", NULL, 0},
};
const struct form_template form_template_out = {
    .kind = FORM_OUT,
    .name = "out",
    .title = "Taken out",
    .items = out_items,
    .item_count = sizeof out_items / sizeof out_items[0],
    .slots = {RECORD_EXPANDER, RECORD_VISIT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_out,
    .follow = follow_out,
    .check = check_out,
    .warn = warn_out,
    .append = append_out,
    .beside = beside_out,
    .enter = enter_which_arch,
};

/* ---- left in passively ---- */

static enum status prepare_passive(struct app *app, struct form *form, struct error *error)
{
    enum status status = form_need_open(app, form, error);

    return status == STATUS_OK ? form_put_in_place(app, form, OUT_EXPANDER, error) : status;
}

static void follow_passive(struct app *app, struct form *form)
{
    form_follow_arch(app, form, OUT_EXPANDER);
}

static enum status warn_passive(struct app *app, struct form *form, struct arena *arena,
                                struct lines *lines, struct error *error)
{
    if (!form_add_line(arena, lines,
                       "While it is left in passively it holds what was gained; no further "
                       "activation is meant."))
        return error_no_memory(error);
    return tell_stage(app, form, arena, lines, error);
}

static const struct form_item passive_items[] = {
    {OUT_EXPANDER, "which_arch", "arch", "The arch whose expander stays in passively.", NULL,
     ITEM_FIRST},
    {OUT_EXPANDER, "passive_on", "passive from", "Day from which the expander only holds.", NULL,
     ITEM_REQUIRED},
};
const struct form_template form_template_passive = {
    .kind = FORM_PASSIVE,
    .name = "passive",
    .title = "Left in passively",
    .items = passive_items,
    .item_count = sizeof passive_items / sizeof passive_items[0],
    .slots = {RECORD_EXPANDER, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_passive,
    .follow = follow_passive,
    .warn = warn_passive,
    .enter = enter_which_arch,
};
