/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The trainer: issued, ended, lost and replaced in one form. */
#include "form_parts.h"
#include "form_templates.h"
#include "springline/core/wear.h"

enum { TRAINER_OLD, TRAINER_NEW };

/* The trainer that is current on the day; NULL: none is. */
static const struct trainer *current_trainer(const struct history *history, day on)
{
    for (size_t i = 0; i < history->trainer_count; i++) {
        const struct trainer *trainer = &history->trainers[i];
        if (trainer->issued_on <= on && (trainer->ended_on == DAY_NONE || trainer->ended_on > on))
            return trainer;
    }
    return NULL;
}

static enum status prepare_trainer(struct app *app, struct form *form, struct error *error)
{
    const struct trainer *current = current_trainer(&form->history, app->today);

    if (current == NULL) {
        enum status status = form_need_open(app, form, error);
        if (status != STATUS_OK)
            return status;
    } else {
        form_put_row(form, TRAINER_OLD, current);
    }
    form_put_new(form, TRAINER_NEW);
    return STATUS_OK;
}

static void follow_trainer(struct app *app, struct form *form)
{
    struct form_slot *slots = form_inner(form)->slots;
    bool current = slots[TRAINER_OLD].present;
    const struct trainer *old = &slots[TRAINER_OLD].now.trainer;
    bool ended = current && old->ended_on != DAY_NONE;
    bool replaceable = ended && old->ended_reason != TRAINER_STOPPED;

    form_skip(form, TRAINER_OLD, "ended_on", !current);
    form_demand(form, TRAINER_OLD, "ended_on", current);
    form_skip(form, TRAINER_OLD, "ended_reason", !ended);
    form_demand(form, TRAINER_OLD, "ended_reason", ended);
    form_make_answer(form, TRAINER_NEW, "replaced");
    form_skip(form, TRAINER_NEW, "replaced", !replaceable);
    form_demand(form, TRAINER_NEW, "replaced", replaceable);
    bool issues = !current || form_answered(form, TRAINER_NEW, "replaced") == ANSWER_YES;
    form_skip(form, TRAINER_NEW, "issued_on", !issues);
    form_demand(form, TRAINER_NEW, "issued_on", issues);
    /* Offered to who said that one was handed over; else Enter alone would end a hold. */
    form_offer_day(form, TRAINER_NEW, "issued_on", issues && current ? app->today : DAY_NONE);
    slots[TRAINER_OLD].write = current;
    slots[TRAINER_NEW].write = issues && form_filled(form, TRAINER_NEW);
}

static enum entry enter_trainer(struct app *app, struct form *form, int index, char sentence[200])
{
    (void)app;
    if (index == form_index(form, TRAINER_NEW, "replaced"))
        return form_take_choice(form, index, sentence);
    return ENTRY_TAKEN;
}

static enum status check_trainer(struct app *app, struct form *form, int *index,
                                 struct error *error)
{
    const struct form_slot *slots = form_inner(form)->slots;
    const struct trainer *old = &slots[TRAINER_OLD].now.trainer;
    const struct trainer *new = &slots[TRAINER_NEW].now.trainer;
    char on[DAY_TEXT_SIZE];

    (void)app;
    if (!slots[TRAINER_OLD].present || !slots[TRAINER_NEW].write || new->issued_on >= old->ended_on)
        return STATUS_OK;
    return form_refuse(form, TRAINER_NEW, "issued_on", index, error,
                       "The new trainer can not be issued before the old one ended (%s).",
                       day_to_text(old->ended_on, on));
}

static enum status warn_trainer(struct app *app, struct form *form, struct arena *arena,
                                struct lines *lines, struct error *error)
{
    struct history would;

    enum status status = form_would_be(app, form, arena, &would, error);
    if (status != STATUS_OK || wear_trainer_current(&would, app->today))
        return status;
    return form_lines_done(
        form_add_line(arena, lines,
                      "No trainer is current then: the expansion does not hold, so every "
                      "activation waits until one is issued."),
        error);
}

static const struct form_item trainer_items[] = {
    {TRAINER_OLD, "issued_on", "issued on", "Day the current trainer was handed over.",
     "current trainer", ITEM_LOCKED},
    {TRAINER_OLD, "ended_on", "ended on", "Day the current trainer was lost, broke or was stopped.",
     NULL, ITEM_TODAY | ITEM_FIRST},
    {TRAINER_OLD, "ended_reason", "why it ended",
     "Why it ended; the days without one are counted apart.", NULL, 0},
    {TRAINER_NEW, "replaced", "replaced", "Was a new trainer handed over?", "new trainer", 0},
    {TRAINER_NEW, "issued_on", "issued on", "Day the new trainer was handed over.", NULL, 0},
};
const struct form_template form_template_trainer = {
    .kind = FORM_TRAINER,
    .name = "trainer",
    .title = "Trainer",
    .items = trainer_items,
    .item_count = sizeof trainer_items / sizeof trainer_items[0],
    .slots = {RECORD_TRAINER, RECORD_TRAINER, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_trainer,
    .follow = follow_trainer,
    .check = check_trainer,
    .warn = warn_trainer,
    .enter = enter_trainer,
};
