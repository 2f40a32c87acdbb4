/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Forms: opened from their template, their fields made, which of them apply. */
#include "springline/app/form.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "form_engine.h"
#include "form_templates.h"
#include "springline/app/erase.h"
#include "told.h"

const struct form_template *form_template(enum form_kind kind)
{
    static const struct form_template *const templates[FORM_KIND_COUNT] = {
        [FORM_NEW_PATIENT] = &form_template_new_patient,
        [FORM_NEW_CASE] = &form_template_new_case,
        [FORM_PATIENT] = &form_template_patient,
        [FORM_CASE] = &form_template_case,
        [FORM_QUESTIONS] = &form_template_questions,
        [FORM_FIT] = &form_template_fit,
        [FORM_TRAINER] = &form_template_trainer,
        [FORM_REPAIR] = &form_template_repair,
        [FORM_OUT] = &form_template_out,
        [FORM_PASSIVE] = &form_template_passive,
        [FORM_CHECK] = &form_template_check,
        [FORM_MISSED] = &form_template_missed,
        [FORM_ELSEWHERE] = &form_template_elsewhere,
        [FORM_WIDTH] = &form_template_width,
        [FORM_WEAR] = &form_template_wear,
        [FORM_TEETH] = &form_template_teeth,
        [FORM_ARCH_SIZE] = &form_template_arch_size,
        [FORM_PLAN] = &form_template_plan,
        [FORM_CONTACT] = &form_template_contact,
        [FORM_BOOKING] = &form_template_booking,
        [FORM_BOOKING_END] = &form_template_booking_end,
        [FORM_CLOSE] = &form_template_close,
        [FORM_PROTOCOL] = &form_template_protocol,
        [FORM_SETTING] = &form_template_setting,
        [FORM_PERSON] = &form_template_person,
        [FORM_CORRECT] = &form_template_correct,
        [FORM_WITHDRAW] = &form_template_withdraw,
    };

    return kind > FORM_NONE && kind < FORM_KIND_COUNT ? templates[kind] : &form_template_correct;
}

int form_index(const struct form *form, int slot, const char *name)
{
    const struct form_template *template = form_inner(form)->template;

    for (int i = 0; i < form->field_count; i++) {
        if (template->items[i].slot == slot && strcmp(template->items[i].name, name) == 0)
            return i;
    }
    return -1;
}

bool form_add_line(struct arena *arena, struct lines *lines, const char *format, ...)
{
    struct text text = {0};
    va_list arguments;

    va_start(arguments, format);
    int length = vsnprintf(NULL, 0, format, arguments);
    va_end(arguments);
    char *line = length < 0 ? NULL : arena_alloc(arena, (size_t)length + 1);
    if (line == NULL)
        return false;
    va_start(arguments, format);
    vsnprintf(line, (size_t)length + 1, format, arguments);
    va_end(arguments);
    text_add(&text, line);
    bool added = told_end_line(arena, lines, &text);
    text_release(&text);
    return added;
}

/* ---- opening ---- */

enum status form_read_history(struct app *app, struct form *form, struct error *error)
{
    if (id_is_none(&form->subject.casefile))
        return STATUS_OK;
    enum status status = store_read_case(app->store, &form->subject.casefile, STORE_NOW,
                                         &form->arena, &form->history, error);
    return status == STATUS_OK ? erase_refuse_entry(&form->history, error) : status;
}

static void blank_slots(struct form_inner *inner)
{
    for (int i = 0; i < FORM_SLOTS; i++) {
        struct form_slot *slot = &inner->slots[i];
        slot->record = inner->template->slots[i];
        slot->write = true;
        if (slot->record >= RECORD_KIND_COUNT)
            continue;
        exchange_blank(slot->record, &slot->now);
        slot->before = slot->now;
    }
}

static enum status make_fields(struct app *app, struct form *form, struct error *error)
{
    struct form_inner *inner = form_inner(form);
    int count = inner->template->item_count;

    for (int i = 0; i < FORM_SLOTS; i++) {
        inner->slots[i].present = inner->slots[i].before.head.version > 0;
        form_show(form, i); /* no fields yet: what was opened, and why it was changed last */
    }
    form->title = inner->template->title;
    if (count > FORM_FIELDS_MAX)
        return error_set(error, STATUS_INPUT, form->title,
                         "This form has more fields than can be shown; tell the maintainers.");
    form->field_count = count;
    for (int i = 0; i < count; i++) {
        if (!form_make_field(app, form, i))
            return error_no_memory(error);
    }
    form_settle(app, form);
    if (form->first < count && count > 0 && form->fields[form->first].skipped)
        form->first = form_step(form, form->first, +1);
    return STATUS_OK;
}

static enum status open_inner(struct app *app, struct form *form, struct error *error)
{
    struct form_inner *inner = arena_alloc(&form->arena, sizeof *inner);
    uint8_t head[32];

    if (inner == NULL)
        return error_no_memory(error);
    form->inner = inner;
    inner->template = form_template(form->kind);
    inner->saved = "";
    blank_slots(inner);
    enum status status = store_head(app->store, &form->opened_at, head, error);
    if (status == STATUS_OK)
        status = form_read_history(app, form, error);
    if (status == STATUS_OK && inner->template->prepare != NULL)
        status = inner->template->prepare(app, form, error);
    return status == STATUS_OK ? make_fields(app, form, error) : status;
}

enum status form_open(struct app *app, enum form_kind kind, const struct form_subject *subject,
                      struct form *form, struct error *error)
{
    *form = (struct form){.kind = kind};
    if (subject != NULL)
        form->subject = *subject;
    enum status status = form_allow(app, form, error);
    if (status == STATUS_OK)
        status = open_inner(app, form, error);
    if (status == STATUS_OK) {
        status = form_may_amend(app, form, error);
        if (status == STATUS_REFUSED)
            status = form_refuse_amend(app, form, error);
    }
    if (status != STATUS_OK) {
        form_release(form);
        return status;
    }
    form->request = store_new_id(app->store);
    return STATUS_OK;
}

void form_release(struct form *form)
{
    arena_release(&form->arena);
    *form = (struct form){0};
}

/* ---- looking at it ---- */

int form_step(const struct form *form, int index, int direction)
{
    do {
        index += direction;
    } while (index >= 0 && index < form->field_count && form->fields[index].skipped);
    return index < 0 ? -1 : index;
}

enum status form_about(const struct app *app, const struct form *form, struct arena *arena,
                       struct lines *lines)
{
    const struct form_template *template = form_inner(form)->template;

    return template->about == NULL || template->about(app, form, arena, lines) ? STATUS_OK
                                                                               : STATUS_NO_MEMORY;
}

bool form_dirty(const struct form *form)
{
    for (int i = 0; i < form->field_count; i++) {
        if (!form->fields[i].skipped &&
            strcmp(form->fields[i].entered, form_inner(form)->opened_text[i]) != 0)
            return true;
    }
    return false;
}

const char *form_saved(const struct form *form)
{
    return form_inner(form)->saved == NULL ? "" : form_inner(form)->saved;
}

struct id form_casefile(const struct form *form)
{
    const struct id *made = &form_inner(form)->new_casefile;

    return id_is_none(made) ? form->subject.casefile : *made;
}
