/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Slots and fields, as the templates of the forms speak of them. */
#include "form_parts.h"

#include <stdio.h>
#include <string.h>

#include "digits.h"
#include "springline/core/tooth.h"

/* ---- slots ---- */

void form_put_row(struct form *form, int slot, const void *row)
{
    struct form_slot *put = &form_inner(form)->slots[slot];

    memcpy(&put->now, row, record_tables[put->record].size);
    put->before = put->now;
    put->present = true;
    put->write = true;
}

void form_put_new(struct form *form, int slot)
{
    struct form_slot *put = &form_inner(form)->slots[slot];
    const struct record_table *table = &record_tables[put->record];

    exchange_blank(put->record, &put->now);
    exchange_blank(put->record, &put->before);
    put->present = false;
    put->write = true;
    for (size_t i = 0; i < table->field_count; i++) {
        if (table->fields[i].type == FIELD_ID && table->fields[i].refers == RECORD_CASEFILE)
            exchange_set(&table->fields[i], &put->now, &form->subject.casefile, sizeof(struct id));
    }
}

enum status form_need_open(const struct app *app, const struct form *form, struct error *error)
{
    const struct casefile *casefile = form->history.casefile;
    char text[DAY_TEXT_SIZE];

    if (casefile->closed_on == DAY_NONE || casefile->closed_on > app->today)
        return STATUS_OK;
    return error_set(error, STATUS_INPUT, casefile->number,
                     "Case %s was closed on %s; open a new case, or correct the day it was closed.",
                     casefile->number, day_to_text(casefile->closed_on, text));
}

const char *form_by(const struct app *app, struct form *form)
{
    return form_textf(form, "%s", app_by(app));
}

const char *form_textf(struct form *form, const char *format, ...)
{
    char buffer[400];
    va_list arguments;

    va_start(arguments, format);
    int length = vsnprintf(buffer, sizeof buffer, format, arguments);
    va_end(arguments);
    if (length < 0)
        return "";
    if ((size_t)length >= sizeof buffer)
        length = (int)sizeof buffer - 1;
    const char *kept = arena_text(&form->arena, buffer, (size_t)length);
    return kept == NULL ? "" : kept;
}

/* ---- fields ---- */

struct form_field *form_at(struct form *form, int slot, const char *name)
{
    int index = form_index(form, slot, name);

    return index < 0 ? NULL : &form->fields[index];
}

void form_skip(struct form *form, int slot, const char *name, bool skipped)
{
    struct form_field *field = form_at(form, slot, name);

    if (field != NULL)
        field->skipped = skipped;
}

void form_demand(struct form *form, int slot, const char *name, bool required)
{
    struct form_field *field = form_at(form, slot, name);

    if (field != NULL)
        field->required = required;
}

void form_offer(struct form *form, int slot, const char *name, const char *text)
{
    struct form_field *field = form_at(form, slot, name);

    if (field != NULL)
        snprintf(field->if_empty, sizeof field->if_empty, "%s",
                 field->recorded[0] == '\0' && text != NULL ? text : "");
}

void form_offer_day(struct form *form, int slot, const char *name, day date)
{
    char text[DAY_TEXT_SIZE];

    form_offer(form, slot, name, day_to_text(date, text));
}

void form_offer_mm(struct form *form, int slot, const char *name, um value)
{
    char text[MILLIMETRE_TEXT_SIZE];

    form_offer(form, slot, name, millimetre_to_text(value, text));
}

void form_offer_word(struct form *form, int slot, const char *name, const struct words *words,
                     int value)
{
    form_offer(form, slot, name, word_text(words, value));
}

void form_offer_teeth(struct form *form, int slot, const char *name, struct teeth teeth)
{
    char text[8];

    form_offer(form, slot, name, teeth_to_text(teeth, text));
}

void form_leave(struct form *form, int slot, const char *name, unsigned choices)
{
    int index = form_index(form, slot, name);
    const struct field *bound = index < 0 ? NULL : form_inner(form)->bound[index];

    if (bound == NULL || bound->words == NULL)
        return;
    for (int i = 1; (size_t)i < bound->words->count && i < FORM_CHOICES_MAX; i++)
        form->fields[index].choices[digits_of_value(bound->words, i)] =
            (choices & (1U << (unsigned)i)) != 0 ? digits_word(bound->words, i) : NULL;
}

void form_word(struct form *form, int slot, const char *name, const char *label, const char *help)
{
    struct form_field *field = form_at(form, slot, name);

    if (field != NULL && label != NULL)
        field->label = label;
    if (field != NULL && help != NULL)
        field->help = help;
}

bool form_filled(const struct form *form, int slot)
{
    const struct form_inner *inner = form_inner(form);

    for (int i = 0; i < form->field_count; i++) {
        if (inner->slot_of[i] == slot && inner->bound[i] != NULL && form->fields[i].filled)
            return true;
    }
    return false;
}

/* ---- choices of a template's own ---- */

void form_make_choice(struct form *form, int slot, const char *name, const char *const *choices,
                      int count, int offered)
{
    struct form_field *field = form_at(form, slot, name);

    if (field == NULL)
        return;
    field->input = INPUT_CHOICE;
    field->at_once = true;
    field->choices[0] = NULL;
    for (int i = 0; i < count && i + 1 < FORM_CHOICES_MAX; i++)
        field->choices[i + 1] = choices[i];
    field->choice_count = count + 1 < FORM_CHOICES_MAX ? count + 1 : (int)FORM_CHOICES_MAX;
    form_offer(form, slot, name, offered > 0 && offered <= count ? choices[offered - 1] : "");
}

void form_make_answer(struct form *form, int slot, const char *name)
{
    struct form_field *field = form_at(form, slot, name);

    if (field == NULL)
        return;
    form_make_choice(form, slot, name, NULL, 0, 0);
    for (int i = ANSWER_YES; i <= ANSWER_NO; i++)
        field->choices[digits_of_value(&words_answer, i)] = word_text(&words_answer, i);
    field->choice_count = 2;
}

/* -1: none. */
static int choice_of(const struct form_field *field)
{
    for (int i = 0; i < field->choice_count; i++) {
        const char digit[2] = {(char)('0' + i), '\0'};
        if (field->choices[i] != NULL &&
            (strcmp(field->entered, digit) == 0 || strcmp(field->entered, field->choices[i]) == 0))
            return i;
    }
    return -1;
}

static int digit_chosen(const struct form *form, int slot, const char *name)
{
    int index = form_index(form, slot, name);

    if (index < 0 || form->fields[index].skipped || !form->fields[index].filled)
        return -1;
    return choice_of(&form->fields[index]);
}

int form_chosen(const struct form *form, int slot, const char *name)
{
    int digit = digit_chosen(form, slot, name);

    return digit > 0 ? digit : 0;
}

enum answer form_answered(const struct form *form, int slot, const char *name)
{
    return (enum answer)digits_value(&words_answer, digit_chosen(form, slot, name));
}

enum entry form_take_choice(struct form *form, int index, char sentence[200])
{
    struct form_field *field = &form->fields[index];
    int choice = choice_of(field);

    if (field->entered[0] == '\0')
        return ENTRY_TAKEN;
    if (choice >= 0) {
        form_cut(field->choices[choice], field->shown, sizeof field->shown);
        return ENTRY_TAKEN;
    }
    digits_say_choices(field->choices, field->choice_count, sentence);
    return ENTRY_REFUSED;
}

/* ---- sentences ---- */

enum entry form_say(char sentence[200], enum entry entry, const char *format, ...)
{
    va_list arguments;

    va_start(arguments, format);
    vsnprintf(sentence, 200, format, arguments);
    va_end(arguments);
    return entry;
}

enum status form_refuse(const struct form *form, int slot, const char *name, int *index,
                        struct error *error, const char *format, ...)
{
    char sentence[sizeof error->sentence];
    va_list arguments;
    int at = form_index(form, slot, name);

    va_start(arguments, format);
    vsnprintf(sentence, sizeof sentence, format, arguments);
    va_end(arguments);
    *index = at < 0 ? 0 : at;
    return error_set(error, STATUS_INPUT, at < 0 ? name : form->fields[at].label, "%s", sentence);
}

enum status form_lines_done(bool added, struct error *error)
{
    return added ? STATUS_OK : error_no_memory(error);
}

/* ---- a choice between two arches ---- */

static bool may_choose(const struct form *form, const struct expander *expander)
{
    return expander != NULL && (form->kind != FORM_PASSIVE || expander->passive_on == DAY_NONE);
}

static const struct expander *choosable(const struct app *app, const struct form *form, int arch)
{
    const struct expander *expander = visit_expander(&form->history, (enum arch)arch, app->today);

    return may_choose(form, expander) ? expander : NULL;
}

enum status form_put_in_place(struct app *app, struct form *form, int slot, struct error *error)
{
    const char *number = form->history.casefile->number;

    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++) {
        const struct expander *expander = choosable(app, form, arch);
        if (expander == NULL)
            continue;
        form_put_row(form, slot, expander);
        return STATUS_OK;
    }
    return error_set(error, STATUS_INPUT, number,
                     form->kind == FORM_PASSIVE
                         ? "Case %s has no expander in place that is not left in passively yet."
                         : "Case %s has no expander in place, so there is none to take out.",
                     number);
}

void form_follow_arch(struct app *app, struct form *form, int slot)
{
    static const char *const arches[] = {"upper", "lower"};
    bool both =
        choosable(app, form, ARCH_UPPER) != NULL && choosable(app, form, ARCH_LOWER) != NULL;

    form_make_choice(form, slot, "which_arch", arches, 2, 0);
    form_skip(form, slot, "which_arch", !both);
    form_demand(form, slot, "which_arch", both);
    int chosen = form_chosen(form, slot, "which_arch");
    const struct expander *expander = chosen > 0 ? choosable(app, form, chosen) : NULL;
    struct form_field *field = form_at(form, slot, "which_arch");
    if (field != NULL && !both) /* shown, not asked */
        form_cut(word_text(&words_arch, (int)form_now(form, slot)->expander.arch), field->shown,
                 sizeof field->shown);
    if (expander == NULL || (int)form_now(form, slot)->expander.arch == chosen)
        return;
    form_put_row(form, slot, expander);
    form_show(form, slot);
}
