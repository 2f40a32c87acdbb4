/* SPDX-License-Identifier: GPL-3.0-or-later */
/* May a form be saved? Fields, single records, the template, and the case as it would be. */
#include <string.h>

#include "form_engine.h"

/* What stands before the first field is passed by nobody who types: it is taken as offered. */
static void take_offers(struct app *app, struct form *form)
{
    char sentence[200];

    for (int i = 0; i < form->first && i < form->field_count; i++) {
        const struct form_field *field = &form->fields[i];
        if (!field->skipped && !field->filled && field->entered[0] == '\0' &&
            field->if_empty[0] != '\0')
            (void)form_enter(app, form, i, "", sentence);
    }
}

/* Why the field is wrong, found again by reading what stands in it. */
static enum status tell_wrong(struct app *app, struct form *form, int index, struct error *error)
{
    struct form_inner *inner = form_inner(form);
    const struct form_field *field = &form->fields[index];
    const struct field *bound = inner->bound[index];
    struct form_slot *slot = &inner->slots[inner->slot_of[index]];
    union any_record read;
    char sentence[200];

    if (form_read(app, form, index, &read, sentence) == ENTRY_TAKEN &&
        inner->template->enter != NULL) {
        /* The template looks at the record, from which the wrong value was taken out again. */
        if (bound != NULL)
            form_copy_field(bound, &slot->now, &read);
        (void)inner->template->enter(app, form, index, sentence);
        if (bound != NULL)
            form_empty_field(slot->record, bound, &slot->now);
    }
    if (sentence[0] == '\0')
        form_cut("this is not right yet; enter it again.", sentence, sizeof sentence);
    return error_set(error, STATUS_INPUT, field->label, "%s: %s", field->label, sentence);
}

static enum status check_fields(struct app *app, struct form *form, int *index, struct error *error)
{
    for (int i = 0; i < form->field_count; i++) {
        const struct form_field *field = &form->fields[i];
        if (field->skipped)
            continue;
        *index = i;
        if (field->wrong)
            return tell_wrong(app, form, i, error);
        if (field->required && !field->filled)
            return error_set(error, STATUS_INPUT, field->label, "Enter \"%s\": it is needed here.",
                             field->label);
    }
    *index = 0;
    return STATUS_OK;
}

/* The field to go to for a column of a slot; the first of the slot when it is not on the form. */
static int index_of(const struct form *form, int slot, const char *column)
{
    int index = form_index(form, slot, column);

    for (int i = 0; index < 0 && i < form->field_count; i++) {
        if (form_inner(form)->slot_of[i] == slot && !form->fields[i].skipped)
            index = i;
    }
    return index < 0 ? 0 : index;
}

static enum status check_needed(const struct form *form, int slot, int *index, struct error *error)
{
    const struct form_slot *held = &form_inner(form)->slots[slot];
    const struct record_table *table = &record_tables[held->record];

    for (size_t i = 0; i < table->field_count; i++) {
        const struct field *field = &table->fields[i];
        if ((field->flags & FIELD_REQUIRED) == 0 || field->type == FIELD_ID ||
            form_recorded(held->record, field, &held->now))
            continue;
        *index = index_of(form, slot, field->name);
        int exact = form_index(form, slot, field->name);
        return error_set(
            error, STATUS_INPUT, field->name, "Enter \"%s\": no %s is kept without it.",
            exact < 0 ? field->name : form->fields[exact].label, form_kind_name(held->record));
    }
    return STATUS_OK;
}

/* Is an amount newly entered that no protocol would take? It is a slip. */
static bool is_slip(const struct protocol *protocol, um now, um before)
{
    return protocol != NULL && now != before && now > protocol->entry_cap;
}

static enum status check_amounts(const struct form *form, const struct form_slot *slot,
                                 struct error *error)
{
    const struct protocol *protocol = form->history.protocol;
    const struct visit *now = &slot->now.visit, *before = &slot->before.visit;
    char cap[MILLIMETRE_TEXT_SIZE];

    if (slot->record != RECORD_VISIT)
        return STATUS_OK;
    bool right = is_slip(protocol, now->right, before->right);
    if (!right && !is_slip(protocol, now->left, before->left))
        return STATUS_OK;
    return error_set(error, STATUS_INPUT, right ? "right_mm" : "left_mm",
                     "An amount above %s mm is taken for a slip; check the point.",
                     millimetre_to_text(protocol->entry_cap, cap));
}

static enum status check_slot(struct app *app, struct form *form, int slot, int *index,
                              struct error *error)
{
    const struct form_slot *held = &form_inner(form)->slots[slot];
    struct error wrong = {0};

    enum status status = check_needed(form, slot, index, error);
    if (status != STATUS_OK)
        return status;
    status = import_check_record(held->record, &held->now, app->today, &wrong);
    if (status == STATUS_OK)
        status = check_amounts(form, held, &wrong);
    if (status == STATUS_OK && held->record == RECORD_PROTOCOL)
        status = protocol_check(&held->now.protocol, &wrong);
    if (status == STATUS_OK)
        return STATUS_OK;
    *index = index_of(form, slot, wrong.where);
    form_name_fields(form, slot, &wrong);
    if (error != NULL)
        *error = wrong;
    return status;
}

static enum status check_slots(struct app *app, struct form *form, int *index, struct error *error)
{
    enum status status = STATUS_OK;
    bool any = form_withdraws(form) || form_dirty(form);

    for (int i = 0; i < FORM_SLOTS && status == STATUS_OK; i++) {
        if (!form_slot_written(&form_inner(form)->slots[i]))
            continue;
        any = true;
        status = check_slot(app, form, i, index, error);
    }
    if (status != STATUS_OK || any)
        return status;
    *index = form->first;
    return error_set(error, STATUS_INPUT, form->title,
                     "Nothing was entered that is not recorded yet; Esc leaves without saving.");
}

/* The whole case, with what is entered, as an import would see it. */
static enum status check_whole(struct app *app, struct form *form, int *index, struct error *error)
{
    struct arena arena = {0};
    struct history would;
    struct error wrong = {0};

    if (form->history.casefile == NULL)
        return STATUS_OK;
    enum status status = form_would_be(app, form, &arena, &would, &wrong);
    if (status == STATUS_OK)
        status = form_contradiction(form, &form->history, &would, INT64_MAX - FORM_SLOTS, &wrong);
    arena_release(&arena);
    if (status == STATUS_OK)
        return STATUS_OK;
    *index = form->first;
    for (int i = 0; i < FORM_SLOTS; i++) {
        if (form_slot_written(&form_inner(form)->slots[i]) && form_index(form, i, wrong.where) >= 0)
            *index = form_index(form, i, wrong.where);
    }
    if (error != NULL)
        *error = wrong;
    return status;
}

enum status form_ready(struct app *app, struct form *form, bool *needs_reason, int *index,
                       struct error *error)
{
    const struct form_template *template = form_inner(form)->template;

    *needs_reason = form_withdraws(form) || template->asks_why;
    *index = 0;
    take_offers(app, form);
    enum status status = check_fields(app, form, index, error);
    if (status == STATUS_OK)
        status = check_slots(app, form, index, error);
    if (status == STATUS_OK && template->check != NULL)
        status = template->check(app, form, index, error);
    if (status == STATUS_OK)
        status = check_whole(app, form, index, error);
    for (int i = 0; i < FORM_SLOTS && status == STATUS_OK; i++) {
        if (form_slot_needs_reason(form, &form_inner(form)->slots[i]))
            *needs_reason = true;
    }
    return status;
}
