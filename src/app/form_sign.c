/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Forms about visits: what is signed with the save, and who may change what is signed. */
#include "form_engine.h"
#include "springline/app/authority.h"
#include "springline/app/sign.h"

static bool was_seen(const struct visit *visit)
{
    return visit->kind != VISIT_NONE && visit->kind != VISIT_MISSED;
}

bool form_signs(const struct form *form)
{
    for (int i = 0; i < FORM_SLOTS; i++) {
        const struct form_slot *slot = &form_inner(form)->slots[i];
        if (slot->record == RECORD_VISIT && (slot->write || form_withdraws(form)) &&
            (was_seen(&slot->now.visit) || (slot->present && was_seen(&slot->before.visit))))
            return true;
    }
    return false;
}

enum status form_may_amend(struct app *app, const struct form *form, struct error *error)
{
    const struct form_slot *slot = &form_inner(form)->slots[0];

    if (slot->record != RECORD_VISIT || !slot->present)
        return STATUS_OK;
    return sign_may_amend(app, &slot->before.head.record, error);
}

enum status form_refuse_amend(struct app *app, const struct form *form, struct error *error)
{
    const struct casefile *casefile = form->history.casefile;

    return app_refuse(app, COMMAND_AMEND, casefile == NULL ? NULL : casefile->number, error);
}
