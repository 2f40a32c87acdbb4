/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What may stand in a field of a form: its parser by input, what is no value, what is unusual. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "digits.h"
#include "form_assessment.h"

enum { LONG_AGO_MONTHS = 24 }; /* a day further back is asked about once, setting */

struct reading {
    const struct app *app;
    const struct form *form;
    const struct form_field *field;
    const struct field *bound; /* of the record, or made up for a field of the template's own */
    enum record_kind kind;     /* RECORD_KIND_COUNT: the template's own */
    const char *typed;
    union any_record *into;
    char *sentence; /* 200 bytes */
};

static enum entry say(struct reading *reading, enum entry entry, const char *sentence)
{
    form_cut(sentence, reading->sentence, 200);
    return entry;
}

static enum entry refuse(struct reading *reading, const struct error *error)
{
    return say(reading, ENTRY_REFUSED, error->sentence);
}

/* A cell of the exchange format into the field. */
static enum entry read_cell(struct reading *reading, const char *cell)
{
    struct error error = {0};

    if (exchange_read_cell(reading->bound, cell, reading->into, &error) != STATUS_OK)
        return refuse(reading, &error);
    return ENTRY_TAKEN;
}

static bool of_record(const struct reading *reading, enum record_kind kind, size_t offset)
{
    return reading->kind == kind && reading->bound->offset == offset;
}

/* ---- days and times ---- */

/* A day of the record that lies after today, by the check every record goes through. */
static enum entry refuse_ahead(struct reading *reading)
{
    union any_record probe;
    struct error error = {0};

    if (reading->kind >= RECORD_KIND_COUNT || import_may_lie_ahead(reading->kind, reading->bound))
        return ENTRY_TAKEN;
    exchange_blank(reading->kind, &probe);
    form_copy_field(reading->bound, &probe, reading->into);
    if (exchange_int(reading->bound, &probe) <= reading->app->today ||
        import_check_record(reading->kind, &probe, reading->app->today, &error) == STATUS_OK)
        return ENTRY_TAKEN;
    return refuse(reading, &error);
}

static enum entry read_day(struct reading *reading)
{
    bool ahead =
        reading->kind < RECORD_KIND_COUNT && import_may_lie_ahead(reading->kind, reading->bound);
    char cell[DAY_TEXT_SIZE];

    if (!form_day_cell(reading->typed, reading->app->today, ahead, cell)) {
        snprintf(reading->sentence, 200,
                 "This is not a date; write it as 2026-11-25, 20261125, or 1125 for 25 November.");
        return ENTRY_REFUSED;
    }
    enum entry entry = read_cell(reading, cell);
    if (entry == ENTRY_TAKEN)
        entry = refuse_ahead(reading);
    if (entry != ENTRY_TAKEN || of_record(reading, RECORD_PATIENT, offsetof(struct patient, born)))
        return entry;
    if (exchange_int(reading->bound, reading->into) >=
        day_add_months(reading->app->today, -LONG_AGO_MONTHS))
        return ENTRY_TAKEN;
    snprintf(reading->sentence, 200, "%s is more than two years ago. Enter again to keep it.",
             cell);
    return ENTRY_ASK;
}

/* "930", "0930", "9:30" or "9.30" as "09:30". */
static enum entry read_clock(struct reading *reading)
{
    const char *typed = reading->typed;
    size_t length = strlen(typed), mark = strcspn(typed, ":.");
    size_t hours = mark < length ? mark : length - (length < 2 ? length : 2);
    const char *minutes = typed + hours + (mark < length ? 1 : 0);
    char cell[6];

    if ((hours != 1 && hours != 2) || strlen(minutes) != 2)
        return read_cell(reading, typed);
    snprintf(cell, sizeof cell, "%s%.*s:%s", hours == 1 ? "0" : "", (int)hours, typed, minutes);
    return read_cell(reading, cell);
}

/* ---- lengths ---- */

/* The newest width that can be compared with the one being typed; NULL: there is none. */
static const struct width *newest_comparable(const struct reading *reading)
{
    const struct history *history = &reading->form->history;
    const struct width *typed = &reading->into->width, *newest = NULL;

    for (size_t i = 0; i < history->width_count; i++) {
        const struct width *width = &history->widths[i];
        if (width->arch != typed->arch || width->site != typed->site ||
            width->landmark != typed->landmark || width->teeth.right != typed->teeth.right ||
            width->teeth.left != typed->teeth.left ||
            id_equal(&width->head.record, &typed->head.record))
            continue;
        if (newest == NULL || width->date > newest->date ||
            (width->date == newest->date && width->head.sequence > newest->head.sequence))
            newest = width;
    }
    return newest;
}

static enum entry ask_width(struct reading *reading)
{
    const struct width *newest = newest_comparable(reading);
    um value = reading->into->width.value;
    char text[MILLIMETRE_TEXT_SIZE], last[MILLIMETRE_TEXT_SIZE], date[DAY_TEXT_SIZE];

    if (newest == NULL || !digits_width_jumps(value, newest->value))
        return ENTRY_TAKEN;
    snprintf(reading->sentence, 200,
             "%s mm is more than 2.00 mm from %s mm of %s. Enter again to keep it.",
             millimetre_to_text(value, text), millimetre_to_text(newest->value, last),
             day_to_text(newest->date, date));
    return ENTRY_ASK;
}

/* An amount that no protocol would take is a slip, also in what was given long ago. */
static enum entry check_amount(struct reading *reading, um value)
{
    const struct protocol *protocol = reading->form->history.protocol;
    char text[MILLIMETRE_TEXT_SIZE], cap[MILLIMETRE_TEXT_SIZE];

    if (protocol == NULL || value <= protocol->entry_cap)
        return ENTRY_TAKEN;
    snprintf(reading->sentence, 200,
             "%s mm is above %s mm, the most that is taken as no slip; check the point.",
             millimetre_to_text(value, text), millimetre_to_text(protocol->entry_cap, cap));
    return ENTRY_REFUSED;
}

/* What the record's own check says of this one value. */
static enum entry check_length(struct reading *reading)
{
    struct error error = {0};

    if (import_check_record(reading->kind, reading->into, reading->app->today, &error) ==
            STATUS_OK ||
        strcmp(error.where, reading->bound->name) != 0)
        return ENTRY_TAKEN;
    return refuse(reading, &error);
}

static enum entry read_length(struct reading *reading)
{
    struct error error = {0};
    um value = 0;

    if (millimetre_from_text(reading->typed, MARK_POINT_OR_COMMA, reading->field->label, &value,
                             &error) != STATUS_OK)
        return refuse(reading, &error);
    exchange_set(reading->bound, reading->into, &value, sizeof value);
    if (reading->kind >= RECORD_KIND_COUNT)
        return ENTRY_TAKEN;
    enum entry entry = check_length(reading);
    if (entry != ENTRY_TAKEN)
        return entry;
    if (of_record(reading, RECORD_WIDTH, offsetof(struct width, value)))
        return ask_width(reading);
    if (of_record(reading, RECORD_TOOTH_WIDTH, offsetof(struct tooth_width, value)))
        return form_ask_tooth(NULL, &reading->into->tooth_width, reading->sentence);
    if (of_record(reading, RECORD_VISIT, offsetof(struct visit, right)) ||
        of_record(reading, RECORD_VISIT, offsetof(struct visit, left)))
        return check_amount(reading, value);
    return ENTRY_TAKEN;
}

/* ---- digits ---- */

static bool offered(const struct form_field *field, int digit)
{
    return digit >= 0 && digit < field->choice_count && field->choices[digit] != NULL &&
           field->choices[digit][0] != '\0';
}

/* The choice meant by its digit, or by its word; -1: none. */
static int choice_of(const struct form_field *field, const char *typed)
{
    int32_t digit = digits_number(typed);

    if (digit >= 0 && strlen(typed) <= 2)
        return offered(field, digit) ? digit : -1;
    for (int i = 0; i < field->choice_count; i++) {
        if (offered(field, i) && strcmp(field->choices[i], typed) == 0)
            return i;
    }
    return -1;
}

static enum entry read_choice(struct reading *reading)
{
    const struct form_field *field = reading->field;
    int digit = choice_of(field, reading->typed);

    if (digit < 0) {
        digits_say_choices(field->choices, field->choice_count, reading->sentence);
        return ENTRY_REFUSED;
    }
    if (reading->bound->type == FIELD_WORD) {
        int value = digits_value(reading->bound->words, digit);
        exchange_set(reading->bound, reading->into, &value, sizeof value);
    }
    const char *word = digit == 0 ? "" : field->choices[digit];
    if (reading->bound->type == FIELD_TEXT)
        exchange_set(reading->bound, reading->into, &word, sizeof word);
    return ENTRY_TAKEN;
}

static enum entry read_faults(struct reading *reading)
{
    uint32_t hardware = HARDWARE_NOT_RECORDED;

    if (!digits_faults(reading->typed, &hardware)) {
        digits_say_choices(reading->field->choices, reading->field->choice_count,
                           reading->sentence);
        return ENTRY_REFUSED;
    }
    exchange_set(reading->bound, reading->into, &hardware, sizeof hardware);
    return ENTRY_TAKEN;
}

/* "1626" as "16-26". */
static enum entry read_teeth(struct reading *reading)
{
    char cell[6];

    if (strlen(reading->typed) != 4 || digits_number(reading->typed) < 0)
        return read_cell(reading, reading->typed);
    snprintf(cell, sizeof cell, "%.2s-%.2s", reading->typed, reading->typed + 2);
    return read_cell(reading, cell);
}

/* ---- texts ---- */

static enum entry ask_phone(struct reading *reading)
{
    if (!of_record(reading, RECORD_PATIENT, offsetof(struct patient, phone)) &&
        !of_record(reading, RECORD_PATIENT, offsetof(struct patient, phone2)))
        return ENTRY_TAKEN;
    if (reading->typed[strcspn(reading->typed, "0123456789")] != '\0')
        return ENTRY_TAKEN;
    return say(reading, ENTRY_ASK, "A telephone number without a digit. Enter again to keep it.");
}

/* What a person types is taken as it is: no guard of a file stands before it. */
static enum entry read_text(struct reading *reading)
{
    struct error error = {0};
    const char *typed = reading->typed;
    size_t most =
        (reading->bound->flags & FIELD_NOTE) != 0 ? TEXT_NOTE_CHARACTERS : TEXT_CELL_CHARACTERS;

    enum status status = text_check(typed, strlen(typed), most, reading->field->label, &error);
    if (status == STATUS_OK && (reading->bound->flags & FIELD_KEY) != 0)
        status = import_check_key_text(reading->field->label, typed, &error);
    if (status == STATUS_OK && typed[strspn(typed, " ")] == '\0')
        status = error_set(&error, STATUS_INPUT, reading->field->label,
                           "This is nothing but blanks; write the text or leave the field empty.");
    if (status != STATUS_OK)
        return refuse(reading, &error);
    if (reading->kind == RECORD_KIND_COUNT) /* the template reads it, whatever its input */
        return ENTRY_TAKEN;
    if (reading->bound->type != FIELD_TEXT) /* a moment */
        return read_cell(reading, typed);
    exchange_set(reading->bound, reading->into, &typed, sizeof typed);
    return ask_phone(reading);
}

static enum entry read_input(struct reading *reading)
{
    switch (reading->field->input) {
    case INPUT_DAY:
        return read_day(reading);
    case INPUT_CLOCK:
        return read_clock(reading);
    case INPUT_LENGTH:
        return read_length(reading);
    case INPUT_COUNT:
        return read_cell(reading, reading->typed);
    case INPUT_CHOICE:
        return read_choice(reading);
    case INPUT_FAULTS:
        return read_faults(reading);
    case INPUT_TEETH:
        return read_teeth(reading);
    case INPUT_TEXT:
    case INPUT_NOTE:
        break;
    }
    return read_text(reading);
}

/* A field of the template's own is read like one of a record that no record has. */
static struct field made_up(const struct form_field *field)
{
    static const enum field_type types[] = {
        [INPUT_TEXT] = FIELD_TEXT,   [INPUT_NOTE] = FIELD_TEXT,       [INPUT_DAY] = FIELD_DAY,
        [INPUT_CLOCK] = FIELD_CLOCK, [INPUT_LENGTH] = FIELD_UM,       [INPUT_COUNT] = FIELD_INT,
        [INPUT_CHOICE] = FIELD_INT,  [INPUT_FAULTS] = FIELD_HARDWARE, [INPUT_TEETH] = FIELD_TEETH,
    };

    return (struct field){.name = field->label,
                          .offset = sizeof(struct row_head),
                          .type = types[field->input],
                          .refers = RECORD_KIND_COUNT};
}

enum entry form_read(struct app *app, const struct form *form, int index, union any_record *into,
                     char sentence[200])
{
    const struct form_inner *inner = form_inner(form);
    const struct field *bound = inner->bound[index];
    const struct form_slot *slot = &inner->slots[inner->slot_of[index]];
    struct field own = made_up(&form->fields[index]);
    struct reading reading = {.app = app,
                              .form = form,
                              .field = &form->fields[index],
                              .bound = bound == NULL ? &own : bound,
                              .kind = bound == NULL ? RECORD_KIND_COUNT : slot->record,
                              .typed = form->fields[index].entered,
                              .into = into,
                              .sentence = sentence};

    sentence[0] = '\0';
    memset(into, 0, sizeof *into);
    if (bound != NULL)
        *into = slot->now;
    else if (inner->template->enter != NULL) /* the template reads it; here only what no text may
                                                hold */
        return read_text(&reading);
    return read_input(&reading);
}
