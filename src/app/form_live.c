/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The case as it will be once a form is saved, and what is written beside a visit. */
#include "form_parts.h"
#include "springline/core/course.h"

/* The last day that the expander's own course has reached; DAY_NONE: planned only. */
static day begun_on(const struct expander *expander)
{
    if (expander->fitted_on != DAY_NONE)
        return expander->fitted_on;
    return expander->banded_on != DAY_NONE ? expander->banded_on : expander->separators_on;
}

const struct expander *form_last_expander(const struct history *history, enum arch arch, day on)
{
    const struct expander *last = visit_expander(history, arch, on);

    if (last != NULL)
        return last;
    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        if (expander->arch == arch && (last == NULL || begun_on(expander) > begun_on(last)))
            last = expander;
    }
    return last;
}

enum arch form_only_arch(const struct history *history, day on, bool in_place)
{
    enum arch only = ARCH_NONE;

    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++) {
        const struct expander *expander = in_place
                                              ? visit_expander(history, (enum arch)arch, on)
                                              : form_last_expander(history, (enum arch)arch, on);
        if (expander == NULL)
            continue;
        if (only != ARCH_NONE)
            return ARCH_NONE;
        only = (enum arch)arch;
    }
    return only;
}

/* ---- saving ---- */

static enum status append_slot(struct app *app, struct form *form, int slot, struct error *error)
{
    struct form_slot *written = &form_inner(form)->slots[slot];

    enum status status = store_append(app->store, written->record, &written->now, error);
    written->write = false;
    return status;
}

/* The verdict the visit stands under, by the case as it is with everything of this save in it. */
static enum status append_verdict(struct app *app, struct form *form, const struct visit *visit,
                                  struct error *error)
{
    struct history history;
    struct judgement judgement;

    enum status status = store_read_case(app->store, &form->subject.casefile, STORE_NOW,
                                         &form->arena, &history, error);
    if (status != STATUS_OK || !course_verdict_now(&history, visit, &judgement))
        return status;
    return visit_append_judged(app, &visit->head.record, &judgement, history.protocol, error);
}

enum status form_append_visit(struct app *app, struct form *form, int expander, int visit,
                              struct error *error)
{
    const struct visit *made = &form_now(form, visit)->visit;
    bool judged = made->arch != ARCH_NONE && visit_seen(made) && made->elsewhere != ANSWER_YES;
    enum status status = STATUS_OK;

    if (expander >= 0)
        status = append_slot(app, form, expander, error);
    if (status == STATUS_OK)
        status = append_slot(app, form, visit, error);
    if (status == STATUS_OK && judged)
        status = append_verdict(app, form, made, error);
    if (status == STATUS_OK && made->elsewhere != ANSWER_YES)
        status = visit_end_bookings(app, &form->history, made->date,
                                    visit_seen(made) ? BOOKED_KEPT : BOOKED_MISSED, error);
    return status;
}

enum status form_foresee_bookings(day date, enum booking_state state, struct arena *arena,
                                  struct history *would, struct error *error)
{
    struct booking *bookings = arena_array(arena, would->booking_count + 1, sizeof *bookings);

    if (bookings == NULL)
        return error_no_memory(error);
    for (size_t i = 0; i < would->booking_count; i++) {
        bookings[i] = would->bookings[i];
        if (bookings[i].date == date && bookings[i].state == BOOKED_STANDING)
            bookings[i].state = state;
    }
    would->bookings = bookings;
    return STATUS_OK;
}

enum status form_foresee_visit(const struct form *form, int visit, struct arena *arena,
                               struct history *would, struct error *error)
{
    const struct visit *made = &form_now(form, visit)->visit;

    if (made->date == DAY_NONE || made->elsewhere == ANSWER_YES)
        return STATUS_OK;
    return form_foresee_bookings(made->date, visit_seen(made) ? BOOKED_KEPT : BOOKED_MISSED, arena,
                                 would, error);
}

enum status form_need_new(struct app *app, struct form *form, int slot, const char *name,
                          int *index, struct error *error)
{
    const struct form_slot *made = &form_inner(form)->slots[slot];
    union any_record same;

    if (!made->write || made->present)
        return STATUS_OK;
    enum status status =
        store_find_same_key(app->store, made->record, &made->now, &form->arena, &same, error);
    if (status == STATUS_NOT_FOUND)
        return STATUS_OK;
    if (status != STATUS_OK)
        return status;
    return form_refuse(form, slot, name, index, error,
                       "The same %s is recorded already; open it in the case to correct it.",
                       form_kind_name(made->record));
}
