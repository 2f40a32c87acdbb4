/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The fields of a form made from the template's items, and which of them apply. */
#include <string.h>

#include "digits.h"
#include "form_engine.h"

/* What a digit means: the words of the list; the faults. */
static void choices_of(struct form_field *field, const struct field *bound)
{
    const struct words *words = field->input == INPUT_FAULTS ? &words_fault : bound->words;

    if (words == NULL)
        return;
    for (int i = 1; (size_t)i < words->count && i < FORM_CHOICES_MAX; i++) {
        int digit = digits_of_value(words, i);
        field->choices[digit] = digits_word(words, i);
        if (field->choice_count <= digit)
            field->choice_count = digit + 1;
    }
    if (field->input == INPUT_FAULTS)
        field->choices[0] = "intact";
    field->at_once = field->input == INPUT_CHOICE && field->choice_count <= 10;
}

static enum form_input input_of(const struct field *bound)
{
    switch (bound->type) {
    case FIELD_DAY:
        return INPUT_DAY;
    case FIELD_CLOCK:
        return INPUT_CLOCK;
    case FIELD_UM:
        return INPUT_LENGTH;
    case FIELD_INT:
        return INPUT_COUNT;
    case FIELD_WORD:
        return INPUT_CHOICE;
    case FIELD_HARDWARE:
        return INPUT_FAULTS;
    case FIELD_TEETH:
        return INPUT_TEETH;
    case FIELD_TEXT:
    case FIELD_INSTANT:
    case FIELD_ID:
        break;
    }
    return (bound->flags & FIELD_NOTE) != 0 ? INPUT_NOTE : INPUT_TEXT;
}

static const char *help_of(enum form_input input)
{
    static const char *const helps[] = {
        [INPUT_TEXT] = "A text of one line.",
        [INPUT_NOTE] = "A text of one line.",
        [INPUT_DAY] = "A day: 2026-11-25, 20261125, or 1125 of this year; + and - step a day.",
        [INPUT_CLOCK] = "A time of day: 09:30 or 0930.",
        [INPUT_LENGTH] = "Millimetres: 1.25 or 1,25.",
        [INPUT_COUNT] = "A whole number.",
        [INPUT_CHOICE] = "One of the numbers shown.",
        [INPUT_FAULTS] =
            "0 intact, or the numbers of all faults; r or l behind one names its side.",
        [INPUT_TEETH] = "The two teeth by ISO 3950: 16-26 or 1626.",
    };

    return helps[input];
}

/* "fitted_on" as "fitted on"; NULL: no memory. */
static const char *label_of(struct form *form, const char *name)
{
    char *label = arena_text(&form->arena, name, strlen(name));

    for (char *at = label; at != NULL && *at != '\0'; at++) {
        if (*at == '_')
            *at = ' ';
    }
    return label;
}

static const struct field *field_named(enum record_kind kind, const char *name)
{
    const struct record_table *table = &record_tables[kind];

    for (size_t i = 0; i < table->field_count; i++) {
        if (strcmp(table->fields[i].name, name) == 0)
            return &table->fields[i];
    }
    return NULL;
}

/* A text in a buffer of the field, cut where it is too long. */
static void show_in(struct text *text, char *buffer, size_t size)
{
    form_cut(text_string(text), buffer, size);
    text_clear(text);
}

/* A text longer than what can be typed is shown and left alone: half of it would be saved. */
static bool too_long(const struct form *form, int index)
{
    const struct form_inner *inner = form_inner(form);
    const struct field *bound = inner->bound[index];

    return bound != NULL && bound->type == FIELD_TEXT &&
           strlen(exchange_text(bound, &inner->opened[inner->slot_of[index]])) >= SHEET_TEXT_SIZE;
}

static bool locked(const struct form *form, int index)
{
    const struct form_inner *inner = form_inner(form);
    const struct field *bound = inner->bound[index];

    return (inner->template->items[index].flags & ITEM_LOCKED) != 0 ||
           (bound != NULL && bound->type == FIELD_ID) || too_long(form, index);
}

bool form_fill(struct form *form, int index)
{
    struct form_inner *inner = form_inner(form);
    struct form_field *field = &form->fields[index];
    const struct form_slot *slot = &inner->slots[inner->slot_of[index]];
    const struct field *bound = inner->bound[index];
    struct text text = {0};

    field->wrong = field->filled = false;
    field->entered[0] = field->shown[0] = field->recorded[0] = '\0';
    inner->asked[index] = "";
    if (bound != NULL) {
        field->filled = form_recorded(slot->record, bound, &slot->now);
        if (!too_long(form, index))
            form_add_typed(&text, bound, &slot->now);
        show_in(&text, field->entered, sizeof field->entered);
        form_add_shown(&text, bound, &slot->now);
        show_in(&text, field->shown, sizeof field->shown);
        if (slot->present)
            form_add_shown(&text, bound, &slot->before);
        show_in(&text, field->recorded, sizeof field->recorded);
    }
    bool done = !text.failed;
    text_release(&text);
    const char *opened = arena_text(&form->arena, field->entered, strlen(field->entered));
    inner->opened_text[index] = opened == NULL ? "" : opened;
    return done && opened != NULL;
}

static void offer_today(const struct app *app, struct form *form, int index)
{
    struct form_field *field = &form->fields[index];

    if ((form_inner(form)->template->items[index].flags & ITEM_TODAY) != 0 &&
        field->recorded[0] == '\0')
        day_to_text(app->today, field->if_empty);
}

bool form_make_field(struct app *app, struct form *form, int index)
{
    struct form_inner *inner = form_inner(form);
    const struct form_item *item = &inner->template->items[index];
    struct form_field *field = &form->fields[index];
    const struct form_slot *slot = &inner->slots[item->slot];
    const struct field *bound =
        slot->record < RECORD_KIND_COUNT ? field_named(slot->record, item->name) : NULL;

    inner->bound[index] = bound;
    inner->slot_of[index] = item->slot;
    *field = (struct form_field){.heads = item->heads};
    field->required = (item->flags & ITEM_REQUIRED) != 0;
    if ((item->flags & ITEM_FIRST) != 0)
        form->first = index;
    field->label = item->label != NULL ? item->label : label_of(form, item->name);
    field->input = bound == NULL ? INPUT_TEXT : input_of(bound);
    field->help = item->help != NULL ? item->help : help_of(field->input);
    if (bound != NULL)
        choices_of(field, bound);
    if (field->label == NULL || !form_fill(form, index))
        return false;
    offer_today(app, form, index);
    return true;
}

void form_show(struct form *form, int slot)
{
    struct form_inner *inner = form_inner(form);

    struct form_slot *held = &inner->slots[slot];

    /* Why it was changed last is no reason to change it again; a reason of the template's is. */
    if (held->present && held->now.head.reason == held->before.head.reason)
        held->now.head.reason = "";
    inner->opened[slot] = held->now;
    for (int i = 0; i < form->field_count; i++) {
        if (inner->slot_of[i] == slot && inner->bound[i] != NULL)
            (void)form_fill(form, i); /* without memory a field is empty, and is left empty */
    }
}

/* ---- which fields apply ---- */

/* A field that does not apply any more gives back what was typed into it. */
static bool give_back(struct form *form, int index)
{
    struct form_inner *inner = form_inner(form);
    struct form_field *field = &form->fields[index];
    const struct field *bound = inner->bound[index];
    int slot = inner->slot_of[index];

    if (!field->skipped || locked(form, index) ||
        strcmp(field->entered, inner->opened_text[index]) == 0)
        return false;
    if (bound != NULL)
        form_copy_field(bound, &inner->slots[slot].now, &inner->opened[slot]);
    (void)form_fill(form, index);
    return true;
}

static bool settle_once(struct app *app, struct form *form)
{
    const struct form_template *template = form_inner(form)->template;
    bool again = false;

    if (template->follow != NULL)
        template->follow(app, form);
    for (int i = 0; i < form->field_count; i++) {
        if (locked(form, i))
            form->fields[i].skipped = true;
        else if (give_back(form, i))
            again = true;
    }
    return again;
}

void form_settle(struct app *app, struct form *form)
{
    /* Each turn gives back at least one field, so there are never more turns than fields. */
    for (int i = 0; i <= form->field_count && settle_once(app, form); i++)
        ;
}

void form_restore(struct app *app, struct form *form, int index)
{
    struct form_inner *inner = form_inner(form);
    const struct field *bound = inner->bound[index];
    char sentence[200];

    if (bound == NULL) { /* of the template's own: it reads what it has shown */
        (void)form_enter(app, form, index, inner->opened_text[index], sentence);
        return;
    }
    form_copy_field(bound, &inner->slots[inner->slot_of[index]].now,
                    &inner->opened[inner->slot_of[index]]);
    (void)form_fill(form, index); /* without memory the field is empty, and is left empty */
    form_settle(app, form);
}
