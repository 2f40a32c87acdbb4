/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A field of a record as a value and as a cell of a file. */
#include <stdio.h>
#include <string.h>

#include "exchange_private.h"
#include "springline/core/tooth.h"

static const void *place_of(const struct field *field, const union any_record *record)
{
    return (const char *)record + field->offset;
}

void exchange_set(const struct field *field, union any_record *record, const void *value,
                  size_t size)
{
    memcpy((char *)record + field->offset, value, size);
}

const char *exchange_text(const struct field *field, const union any_record *record)
{
    const char *text;

    memcpy(&text, place_of(field, record), sizeof text);
    return text == NULL ? "" : text;
}

int32_t exchange_int(const struct field *field, const union any_record *record)
{
    int32_t value;

    memcpy(&value, place_of(field, record), sizeof value);
    return value;
}

static instant instant_of(const struct field *field, const union any_record *record)
{
    instant value;

    memcpy(&value, place_of(field, record), sizeof value);
    return value;
}

static struct teeth teeth_of(const struct field *field, const union any_record *record)
{
    struct teeth value;

    memcpy(&value, place_of(field, record), sizeof value);
    return value;
}

/* All other types are zero when not recorded. */
static void blank_field(const struct field *field, union any_record *record)
{
    const int32_t none = field->type == FIELD_DAY  ? DAY_NONE
                         : field->type == FIELD_UM ? UM_NONE
                                                   : -1;
    const instant never = INSTANT_NONE;

    switch (field->type) {
    case FIELD_DAY:
    case FIELD_UM:
    case FIELD_INT:
    case FIELD_CLOCK:
        exchange_set(field, record, &none, sizeof none);
        break;
    case FIELD_INSTANT:
        exchange_set(field, record, &never, sizeof never);
        break;
    case FIELD_TEXT:
    case FIELD_WORD:
    case FIELD_HARDWARE:
    case FIELD_TEETH:
    case FIELD_ID:
        break;
    }
}

void exchange_blank(enum record_kind kind, union any_record *record)
{
    const struct record_table *table = &record_tables[kind];

    memset(record, 0, sizeof *record);
    for (size_t i = 0; i < table->field_count; i++)
        blank_field(&table->fields[i], record);
}

bool exchange_same(const struct field *field, const union any_record *a, const union any_record *b)
{
    size_t size = sizeof(int32_t);

    switch (field->type) {
    case FIELD_TEXT:
        return strcmp(exchange_text(field, a), exchange_text(field, b)) == 0;
    case FIELD_INSTANT:
        size = sizeof(instant);
        break;
    case FIELD_TEETH:
        size = sizeof(struct teeth);
        break;
    case FIELD_ID:
        size = sizeof(struct id);
        break;
    case FIELD_DAY:
    case FIELD_UM:
    case FIELD_INT:
    case FIELD_CLOCK:
    case FIELD_WORD:
    case FIELD_HARDWARE:
        break;
    }
    return memcmp(place_of(field, a), place_of(field, b), size) == 0;
}

static void add_int(struct text *out, int32_t value)
{
    if (value >= 0)
        text_addf(out, "%d", (int)value);
}

void exchange_add_cell(struct text *out, const struct field *field, const union any_record *record)
{
    union {
        char date[DAY_TEXT_SIZE], at[INSTANT_TEXT_SIZE], clock[6], length[MILLIMETRE_TEXT_SIZE],
            hardware[HARDWARE_TEXT_SIZE], teeth[8];
    } buffer;

    switch (field->type) {
    case FIELD_TEXT:
        exchange_guard(out, exchange_text(field, record));
        break;
    case FIELD_DAY:
        text_add(out, day_to_text(exchange_int(field, record), buffer.date));
        break;
    case FIELD_INSTANT:
        text_add(out, instant_to_text(instant_of(field, record), buffer.at));
        break;
    case FIELD_CLOCK:
        text_add(out, clock_to_text(exchange_int(field, record), buffer.clock));
        break;
    case FIELD_UM:
        text_add(out, millimetre_to_text(exchange_int(field, record), buffer.length));
        break;
    case FIELD_INT:
        add_int(out, exchange_int(field, record));
        break;
    case FIELD_WORD:
        text_add(out, word_text(field->words, exchange_int(field, record)));
        break;
    case FIELD_HARDWARE:
        text_add(out, hardware_to_text((uint32_t)exchange_int(field, record), buffer.hardware));
        break;
    case FIELD_TEETH:
        text_add(out, teeth_to_text(teeth_of(field, record), buffer.teeth));
        break;
    case FIELD_ID:
        break;
    }
}
