/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A typed text into a field of a form and its record; a step up or down. */
#include <stdio.h>
#include <string.h>

#include "form_engine.h"

/* The template's word about the field, after the engine's. */
static enum entry ask_template(struct app *app, struct form *form, int index, char sentence[200])
{
    const struct form_template *template = form_inner(form)->template;

    if (template->enter == NULL)
        return ENTRY_TAKEN;
    return template->enter(app, form, index, sentence);
}

/* Puts the value that was read into the slot; texts move into the arena of the form. */
static bool take_value(struct form *form, int index, const union any_record *read)
{
    struct form_inner *inner = form_inner(form);
    const struct field *bound = inner->bound[index];
    union any_record *now = &inner->slots[inner->slot_of[index]].now;

    if (bound == NULL)
        return true;
    if (bound->type != FIELD_TEXT) {
        form_copy_field(bound, now, read);
        return true;
    }
    const char *text = exchange_text(bound, read);
    const char *kept = arena_text(&form->arena, text, strlen(text));
    if (kept != NULL)
        exchange_set(bound, now, &kept, sizeof kept);
    return kept != NULL;
}

static void empty_value(struct form *form, int index)
{
    struct form_inner *inner = form_inner(form);
    struct form_slot *slot = &inner->slots[inner->slot_of[index]];

    if (inner->bound[index] != NULL)
        form_empty_field(slot->record, inner->bound[index], &slot->now);
}

/* What the field means now. A field of the template's own shows its choice, or what was typed. */
static bool show_value(struct form *form, int index)
{
    struct form_inner *inner = form_inner(form);
    struct form_field *field = &form->fields[index];
    const struct field *bound = inner->bound[index];
    struct text text = {0};

    if (bound != NULL)
        form_add_shown(&text, bound, &inner->slots[inner->slot_of[index]].now);
    else if (field->shown[0] != '\0')
        text_add(&text, field->shown); /* by the template */
    else
        text_add(&text, field->entered);
    bool done = !text.failed;
    form_cut(text_string(&text), field->shown, sizeof field->shown);
    text_release(&text);
    return done;
}

/* An unusual value is asked about once: the same text again takes it. */
static enum entry ask_once(struct form *form, int index, enum entry entry)
{
    struct form_inner *inner = form_inner(form);
    const char *entered = form->fields[index].entered;
    bool asked = strcmp(inner->asked[index], entered) == 0;

    if (entry == ENTRY_ASK && asked)
        return ENTRY_TAKEN;
    if (entry == ENTRY_ASK) {
        const char *kept = arena_text(&form->arena, entered, strlen(entered));
        inner->asked[index] = kept == NULL ? "" : kept;
    } else if (!asked) {
        inner->asked[index] = "";
    }
    return entry;
}

/* A value that was understood stands in its full spelling: a draft read next week must not take
 * another year from it. False: no memory. */
static bool spell_out(struct form *form, int index, const union any_record *read)
{
    struct form_field *field = &form->fields[index];
    const struct field *bound = form_inner(form)->bound[index];
    struct text text = {0};

    if (bound == NULL || bound->type == FIELD_TEXT)
        return true;
    form_add_typed(&text, bound, read);
    bool done = !text.failed;
    if (done && text.length > 0 && text.length < sizeof field->entered)
        memcpy(field->entered, text_string(&text), text.length + 1);
    text_release(&text);
    return done;
}

static enum entry refuse_memory(char sentence[200])
{
    form_cut("Out of memory; the value was not taken.", sentence, 200);
    return ENTRY_REFUSED;
}

/* Reads what was just typed, the template last. */
static enum entry read_entered(struct app *app, struct form *form, int index, char sentence[200])
{
    union any_record read;
    bool asks = false;

    enum entry entry = form_read(app, form, index, &read, sentence);
    if (entry == ENTRY_REFUSED)
        return entry;
    asks = entry == ENTRY_ASK;
    if (!spell_out(form, index, &read) || !take_value(form, index, &read))
        return refuse_memory(sentence);
    char theirs[200] = "";
    entry = ask_template(app, form, index, theirs);
    if (entry == ENTRY_REFUSED || (entry == ENTRY_ASK && !asks))
        memcpy(sentence, theirs, sizeof theirs);
    else if (asks)
        entry = ENTRY_ASK;
    return ask_once(form, index, entry);
}

static enum entry fill_field(struct app *app, struct form *form, int index, char sentence[200])
{
    struct form_field *field = &form->fields[index];

    field->shown[0] = '\0';
    field->filled = field->wrong = false;
    enum entry entry = read_entered(app, form, index, sentence);
    if (entry == ENTRY_TAKEN && !show_value(form, index))
        entry = refuse_memory(sentence);
    if (entry == ENTRY_TAKEN) {
        sentence[0] = '\0';
        field->filled = true;
    } else {
        empty_value(form, index); /* what is not sure yet is not recorded */
        field->wrong = true;
        field->shown[0] = '\0';
    }
    return entry;
}

static void clear_field(struct app *app, struct form *form, int index)
{
    struct form_field *field = &form->fields[index];
    char sentence[200];

    field->entered[0] = field->shown[0] = '\0';
    field->filled = field->wrong = false;
    form_inner(form)->asked[index] = "";
    empty_value(form, index);
    (void)ask_template(app, form, index, sentence); /* nothing there: nothing to refuse */
}

enum entry form_enter(struct app *app, struct form *form, int index, const char *typed,
                      char sentence[200])
{
    struct form_field *field = &form->fields[index];
    enum entry entry = ENTRY_TAKEN;

    sentence[0] = '\0';
    if (field->skipped) {
        form_cut("This field is not entered here.", sentence, 200);
        return ENTRY_REFUSED;
    }
    if (typed[0] == '\0')
        typed = field->if_empty;
    size_t length = strlen(typed);
    if (length >= sizeof field->entered) {
        form_cut("This is too long to be taken; shorten it.", sentence, 200);
        return ENTRY_REFUSED;
    }
    memmove(field->entered, typed, length + 1); /* typed may be the field's own text */
    if (length == 0)
        clear_field(app, form, index);
    else
        entry = fill_field(app, form, index, sentence);
    form_settle(app, form);
    return entry;
}

/* ---- a step up or down ---- */

/* A step from what is typed, else from what Enter would take. Where neither stands, a day of what
 * happened starts at today, and it never goes beyond: tomorrow would be refused. */
static day nudged_day(const struct app *app, const struct form *form, int index, int steps,
                      const char *typed)
{
    const struct form_inner *inner = form_inner(form);
    const struct field *bound = inner->bound[index];
    bool ahead =
        bound != NULL && import_may_lie_ahead(inner->slots[inner->slot_of[index]].record, bound);
    bool past = form_is_past_day(form, index);
    const char *texts[] = {typed, form->fields[index].if_empty};
    char cell[DAY_TEXT_SIZE];
    day date;

    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        if (!form_day_cell(texts[i], app->today, ahead, cell) || !day_from_text(cell, &date))
            continue;
        return past && date <= app->today && date + steps > app->today ? app->today : date + steps;
    }
    return past ? app->today : app->today + steps;
}

/* What is measured is read, never counted up to. */
static bool is_measured(const struct form *form, int index)
{
    const struct form_inner *inner = form_inner(form);
    enum record_kind kind = inner->slots[inner->slot_of[index]].record;

    return kind == RECORD_TOOTH_WIDTH || kind == RECORD_ARCH_SEGMENT || kind == RECORD_ARCH_DEPTH ||
           (kind == RECORD_WIDTH && inner->bound[index] != NULL);
}

static bool nudge_length(const struct form *form, int index, int steps, char typed[SHEET_TEXT_SIZE])
{
    const struct protocol *protocol = form->history.protocol;
    const struct field *bound = form_inner(form)->bound[index];
    um grain =
        protocol == NULL ? protocol_settings[SETTING_STEP_GRAIN].value : protocol->step_grain;
    um value = 0;

    if (is_measured(form, index))
        return false;
    if (millimetre_from_text(typed, MARK_POINT_OR_COMMA, NULL, &value, NULL) != STATUS_OK &&
        millimetre_from_text(form->fields[index].if_empty, MARK_POINT, NULL, &value, NULL) !=
            STATUS_OK)
        value = 0;
    value += steps * grain;
    bool below_zero = bound != NULL && (strcmp(bound->name, "plan_gap_mm") == 0 ||
                                        strcmp(bound->name, "balance_mm") == 0);
    if (value < 0 && !below_zero)
        value = 0;
    millimetre_to_text(value, typed);
    return true;
}

bool form_nudge(struct app *app, const struct form *form, int index, int steps,
                char typed[SHEET_TEXT_SIZE])
{
    switch (form->fields[index].input) {
    case INPUT_DAY:
        day_to_text(nudged_day(app, form, index, steps, typed), typed);
        return typed[0] != '\0';
    case INPUT_LENGTH:
        return nudge_length(form, index, steps, typed);
    case INPUT_TEXT:
    case INPUT_NOTE:
    case INPUT_CLOCK:
    case INPUT_COUNT:
    case INPUT_CHOICE:
    case INPUT_FAULTS:
    case INPUT_TEETH:
        break;
    }
    return false;
}
