/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a form's screen asks beside what is typed. */
#include <stdio.h>
#include <string.h>

#include "form_engine.h"

/* The digit of the choice with this word; "" none. */
static void digit_of(const struct form_field *field, const char *word, char typed[SHEET_TEXT_SIZE])
{
    for (int i = 0; i < field->choice_count; i++) {
        if (field->choices[i] != NULL && strcmp(field->choices[i], word) == 0)
            snprintf(typed, SHEET_TEXT_SIZE, "%d", i);
    }
}

/* A day of the record that can not lie ahead. When somebody was born is no matter of today. */
bool form_is_past_day(const struct form *form, int index)
{
    const struct form_inner *inner = form_inner(form);
    const struct field *bound = inner->bound[index];
    enum record_kind kind = inner->slots[inner->slot_of[index]].record;

    return form->fields[index].input == INPUT_DAY && bound != NULL &&
           !import_may_lie_ahead(kind, bound) &&
           !(kind == RECORD_PATIENT && bound->offset == offsetof(struct patient, born));
}

void form_same(const struct app *app, const struct form *form, int index,
               char typed[SHEET_TEXT_SIZE])
{
    const struct form_inner *inner = form_inner(form);
    const struct form_field *field = &form->fields[index];
    const struct form_slot *slot = &inner->slots[inner->slot_of[index]];
    const struct field *bound = inner->bound[index];
    struct text text = {0};

    typed[0] = '\0';
    if (bound != NULL && slot->present && form_recorded(slot->record, bound, &slot->before)) {
        form_add_typed(&text, bound, &slot->before);
        form_cut(text_string(&text), typed, SHEET_TEXT_SIZE);
    } else if (field->input == INPUT_CHOICE) {
        digit_of(field, field->if_empty, typed);
    } else {
        form_cut(field->if_empty, typed, SHEET_TEXT_SIZE);
    }
    if (typed[0] == '\0' && form_is_past_day(form, index))
        day_to_text(app->today, typed);
    text_release(&text);
}

enum status form_own_protocol(struct app *app, const struct id *casefile, struct arena *arena,
                              const char **name, struct error *error)
{
    struct history history;

    *name = NULL;
    enum status status = store_read_case(app->store, casefile, STORE_NOW, arena, &history, error);
    if (status == STATUS_OK && history.casefile->protocol != NULL &&
        strcmp(history.casefile->protocol, history.casefile->number) == 0)
        *name = history.casefile->protocol;
    return status;
}
