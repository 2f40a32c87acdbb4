/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The fields of the records behind a form: compared, copied, typed, shown. */
#include <stdio.h>
#include <string.h>

#include "case_private.h"
#include "digits.h"
#include "form_engine.h"

static size_t size_of(const struct field *field)
{
    switch (field->type) {
    case FIELD_TEXT:
        return sizeof(const char *);
    case FIELD_INSTANT:
        return sizeof(instant);
    case FIELD_TEETH:
        return sizeof(struct teeth);
    case FIELD_ID:
        return sizeof(struct id);
    case FIELD_DAY:
    case FIELD_UM:
    case FIELD_INT:
    case FIELD_CLOCK:
    case FIELD_WORD:
    case FIELD_HARDWARE:
        break;
    }
    return sizeof(int32_t);
}

void form_copy_field(const struct field *field, union any_record *to, const union any_record *from)
{
    exchange_set(field, to, (const char *)from + field->offset, size_of(field));
}

void form_empty_field(enum record_kind kind, const struct field *field, union any_record *record)
{
    union any_record blank;

    exchange_blank(kind, &blank);
    form_copy_field(field, record, &blank);
}

bool form_recorded(enum record_kind kind, const struct field *field, const union any_record *record)
{
    union any_record blank;

    exchange_blank(kind, &blank);
    if (field->type == FIELD_CLOCK || field->type == FIELD_INT)
        return exchange_int(field, record) >= 0;
    return !exchange_same(field, record, &blank);
}

/* The digits of the faults, each with the letter of its side. */
static void add_faults(struct text *out, uint32_t hardware)
{
    static const char *const letters[] = {"", "r", "l"};

    if (hardware == HARDWARE_INTACT)
        text_add(out, "0");
    for (int fault = FAULT_LOOSE_BAND; fault <= FAULT_COUNT; fault++) {
        for (int side = SIDE_NONE; side <= SIDE_LEFT; side++) {
            if ((hardware & hardware_bit((enum fault)fault, (enum side)side)) != 0)
                text_addf(out, "%d%s", fault, letters[side]);
        }
    }
}

void form_add_typed(struct text *out, const struct field *field, const union any_record *record)
{
    int32_t value;

    switch (field->type) {
    case FIELD_TEXT:
        text_add(out, exchange_text(field, record));
        break;
    case FIELD_WORD:
        value = exchange_int(field, record);
        if (value > 0)
            text_addf(out, "%d", digits_of_value(field->words, (int)value));
        break;
    case FIELD_HARDWARE:
        add_faults(out, (uint32_t)exchange_int(field, record));
        break;
    case FIELD_DAY:
    case FIELD_INSTANT:
    case FIELD_CLOCK:
    case FIELD_UM:
    case FIELD_INT:
    case FIELD_TEETH:
    case FIELD_ID:
        exchange_add_cell(out, field, record);
        break;
    }
}

/* A day that is agreed with a family: of a booking, of the next call. */
static bool is_appointment(const struct field *field)
{
    static const enum record_kind kinds[] = {RECORD_BOOKING, RECORD_CONTACT};

    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        const struct record_table *table = &record_tables[kinds[i]];
        for (size_t j = 0; j < table->field_count; j++) {
            if (&table->fields[j] == field)
                return field->type == FIELD_DAY;
        }
    }
    return false;
}

void form_add_shown(struct text *out, const struct field *field, const union any_record *record)
{
    if (field->type == FIELD_TEXT) {
        text_add(out, exchange_text(field, record));
        return;
    }
    if (field->type == FIELD_WORD) {
        text_add(out, digits_word(field->words, exchange_int(field, record)));
        return;
    }
    if (field->type == FIELD_INSTANT) { /* only of a contact; nobody reads seconds */
        if (record->contact.at != INSTANT_NONE)
            case_tell_instant(out, record->contact.at);
        return;
    }
    exchange_add_cell(out, field, record);
    if (field->type == FIELD_UM && exchange_int(field, record) != UM_NONE)
        text_add(out, " mm");
    if (is_appointment(field) && exchange_int(field, record) != DAY_NONE)
        text_addf(out, " (%s)", day_weekday_name((day)exchange_int(field, record)));
}

char *form_cut(const char *text, char *copy, size_t size)
{
    size_t length = strlen(text);

    if (length >= size) {
        length = size - 1;
        while (length > 0 && ((unsigned char)text[length] & 0xc0) == 0x80)
            length--;
    }
    memcpy(copy, text, length);
    copy[length] = '\0';
    return copy;
}

const struct id *form_case_of(enum record_kind kind, const union any_record *record)
{
    const struct record_table *table = &record_tables[kind];

    for (size_t i = 0; i < table->field_count; i++) {
        const struct field *field = &table->fields[i];
        if (field->type == FIELD_ID && field->refers == RECORD_CASEFILE)
            return (const struct id *)(const void *)((const char *)record + field->offset);
    }
    return kind == RECORD_CASEFILE ? &record->casefile.head.record : NULL;
}

bool form_slot_changed(const struct form_slot *slot)
{
    if (slot->record >= RECORD_KIND_COUNT)
        return false;
    const struct record_table *table = &record_tables[slot->record];

    for (size_t i = 0; i < table->field_count; i++) {
        if (table->fields[i].type != FIELD_ID &&
            !exchange_same(&table->fields[i], &slot->now, &slot->before))
            return true;
    }
    return false;
}

bool form_slot_written(const struct form_slot *slot)
{
    return slot->write && form_slot_changed(slot);
}

/* A booking that was kept, missed or cancelled took its course; nothing was recorded wrongly. */
static bool takes_its_course(const struct form *form, const struct form_slot *slot,
                             const struct field *field)
{
    return form->kind != FORM_CORRECT && slot->record == RECORD_BOOKING &&
           field->offset == offsetof(struct booking, state) &&
           slot->before.booking.state == BOOKED_STANDING;
}

bool form_slot_needs_reason(const struct form *form, const struct form_slot *slot)
{
    if (!slot->present || !form_slot_written(slot))
        return false;
    const char *given = slot->now.head.reason;
    if (given != NULL && given[0] != '\0') /* the template knows why */
        return false;
    const struct record_table *table = &record_tables[slot->record];
    if (!table->course) /* an event: any change is a correction */
        return true;
    for (size_t i = 0; i < table->field_count; i++) {
        const struct field *field = &table->fields[i];
        if (field->type != FIELD_ID && !exchange_same(field, &slot->now, &slot->before) &&
            form_recorded(slot->record, field, &slot->before) &&
            !takes_its_course(form, slot, field))
            return true;
    }
    return false;
}
