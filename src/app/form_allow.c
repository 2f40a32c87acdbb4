/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who may open a form, and who may save what stands in it. */
#include <string.h>

#include "form_engine.h"
#include "springline/app/authority.h"

enum command form_command(const struct form *form)
{
    if (form->kind == FORM_CORRECT)
        return authority_correct(form->subject.record);
    return form_withdraws(form) ? authority_withdraw(form->subject.record)
                                : authority_form(form->kind);
}

static bool protocol_changes(const struct form_slot *slot)
{
    const char *before = slot->before.casefile.protocol, *now = slot->now.casefile.protocol;

    return slot->record == RECORD_CASEFILE &&
           strcmp(before == NULL ? "" : before, now == NULL ? "" : now) != 0;
}

static bool sets_aside(const struct form_slot *slot)
{
    return slot->record == RECORD_CONTACT &&
           (slot->now.contact.cleared == ANSWER_YES || slot->before.contact.cleared == ANSWER_YES);
}

static bool overrides(const struct form_slot *slot)
{
    const char *now = slot->now.visit.override_reason;

    return slot->record == RECORD_VISIT && now != NULL && now[0] != '\0';
}

/* A wound or a fault that was recorded is made less: that lifts a hold, as an override does. */
static bool lifts(const struct form_slot *slot)
{
    const struct visit *before = &slot->before.visit, *now = &slot->now.visit;

    return slot->record == RECORD_VISIT && slot->present &&
           (now->tissue < before->tissue ||
            (before->hardware & ~now->hardware & ~(uint32_t)HARDWARE_INTACT) != 0 ||
            (before->repaired != ANSWER_YES && now->repaired == ANSWER_YES));
}

/* What a form decides beside what it is: more authority is asked for that. */
static enum command decision_of(const struct form *form)
{
    for (int i = 0; i < FORM_SLOTS; i++) {
        const struct form_slot *slot = &form_inner(form)->slots[i];
        if (!slot->write && !form_withdraws(form))
            continue;
        if (protocol_changes(slot))
            return COMMAND_TO_PROTOCOL;
        if (sets_aside(slot))
            return COMMAND_SET_ASIDE;
        if (overrides(slot) || lifts(slot))
            return COMMAND_OVERRIDE;
    }
    return COMMAND_NONE;
}

enum status form_allow_save(struct app *app, const struct form *form, struct error *error)
{
    enum command decision = decision_of(form);
    const struct casefile *casefile = form->history.casefile;

    enum status status = app_allow(app, form_command(form), NULL, error);
    if (status == STATUS_OK && decision != COMMAND_NONE)
        status = app_allow(app, decision, casefile == NULL ? NULL : casefile->number, error);
    return status;
}

enum status form_allow(struct app *app, const struct form *form, struct error *error)
{
    return app_allow(app, form_command(form), NULL, error);
}
