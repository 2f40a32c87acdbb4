/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One cell of a file into its field: one parser per type, and a sentence for each way to be wrong.
 */
#include <string.h>

#include "exchange_private.h"
#include "springline/core/tooth.h"

static bool is_digit(char byte)
{
    return byte >= '0' && byte <= '9';
}

/* Written like YYYY-MM-DD? */
static bool looks_like_date(const char *cell)
{
    static const char pattern[] = "dddd-dd-dd";

    for (size_t i = 0; i < sizeof pattern; i++)
        if (pattern[i] == 'd' ? !is_digit(cell[i]) : cell[i] != pattern[i])
            return false;
    return true;
}

static enum status read_day(const struct field *field, const char *cell, union any_record *record,
                            struct error *error)
{
    day date;

    if (!day_from_text(cell, &date)) {
        if (looks_like_date(cell))
            return error_set(error, STATUS_INPUT, field->name,
                             "There is no day %s in the calendar (years 1800 to 2999); check day "
                             "and month.",
                             cell);
        return error_set(error, STATUS_INPUT, field->name,
                         "\"%.40s\" is not a date; write it as YYYY-MM-DD, as in 2026-03-04.",
                         cell);
    }
    exchange_set(field, record, &date, sizeof date);
    return STATUS_OK;
}

static enum status read_instant(const struct field *field, const char *cell,
                                union any_record *record, struct error *error)
{
    instant at;

    if (!instant_from_text(cell, &at))
        return error_set(error, STATUS_INPUT, field->name,
                         "\"%.40s\" is not a moment; write it in UTC as YYYY-MM-DDTHH:MM:SSZ, as "
                         "in 2026-03-04T09:30:00Z.",
                         cell);
    exchange_set(field, record, &at, sizeof at);
    return STATUS_OK;
}

static enum status read_clock(const struct field *field, const char *cell, union any_record *record,
                              struct error *error)
{
    int32_t minutes;

    if (!clock_from_text(cell, &minutes))
        return error_set(error, STATUS_INPUT, field->name,
                         "\"%.40s\" is not a time of day; write it as HH:MM, 00:00 to 23:59.",
                         cell);
    exchange_set(field, record, &minutes, sizeof minutes);
    return STATUS_OK;
}

static enum status read_length(const struct field *field, const char *cell,
                               union any_record *record, struct error *error)
{
    um value;

    enum status status = millimetre_from_text(cell, MARK_POINT, field->name, &value, error);
    if (status == STATUS_OK)
        exchange_set(field, record, &value, sizeof value);
    return status;
}

static enum status read_int(const struct field *field, const char *cell, union any_record *record,
                            struct error *error)
{
    int32_t value = 0;
    size_t digits = 0;

    for (; is_digit(cell[digits]) && digits < 6; digits++)
        value = value * 10 + (cell[digits] - '0');
    if (digits == 0 || cell[digits] != '\0' || digits > 5)
        return error_set(error, STATUS_INPUT, field->name,
                         "\"%.40s\" is not a whole number from 0 to 99999; write digits only.",
                         cell);
    exchange_set(field, record, &value, sizeof value);
    return STATUS_OK;
}

/* "upper or lower", "sensor, diary or told" */
static void add_choices(struct text *out, const struct words *words)
{
    for (size_t i = 1; i < words->count; i++) {
        if (i > 1)
            text_add(out, i + 1 == words->count ? " or " : ", ");
        text_add(out, words->texts[i]);
    }
}

static enum status read_word(const struct field *field, const char *cell, union any_record *record,
                             struct error *error)
{
    struct text choices = {0};
    int value = word_value(field->words, cell);

    if (value > 0) {
        exchange_set(field, record, &value, sizeof value);
        return STATUS_OK;
    }
    add_choices(&choices, field->words);
    enum status status =
        error_set(error, STATUS_INPUT, field->name, "\"%.40s\" is not known as %s; write %s.", cell,
                  field->words->name, text_string(&choices));
    text_release(&choices);
    return status;
}

static enum status read_hardware(const struct field *field, const char *cell,
                                 union any_record *record, struct error *error)
{
    uint32_t hardware;

    enum status status = hardware_from_text(cell, field->name, &hardware, error);
    if (status == STATUS_OK)
        exchange_set(field, record, &hardware, sizeof hardware);
    return status;
}

static enum status read_teeth(const struct field *field, const char *cell, union any_record *record,
                              struct error *error)
{
    struct teeth teeth;

    enum status status = teeth_from_text(cell, ARCH_NONE, field->name, &teeth, error);
    if (status == STATUS_OK)
        exchange_set(field, record, &teeth, sizeof teeth);
    return status;
}

enum status import_check_key_text(const char *column, const char *text, struct error *error)
{
    size_t length = strlen(text);

    if (length > 0 && (text[0] == ' ' || text[length - 1] == ' '))
        return error_set(error, STATUS_INPUT, column,
                         "\"%.60s\" begins or ends with a blank; take the blank out, or the same "
                         "number would be two.",
                         text);
    return STATUS_OK;
}

static enum status read_text(const struct field *field, const char *cell, union any_record *record,
                             struct error *error)
{
    const char *text = exchange_unguard(cell);
    size_t most = (field->flags & FIELD_NOTE) != 0 ? TEXT_NOTE_CHARACTERS : TEXT_CELL_CHARACTERS;

    enum status status = text_check(text, strlen(text), most, field->name, error);
    if (status == STATUS_OK && (field->flags & FIELD_KEY) != 0)
        status = import_check_key_text(field->name, text, error);
    if (status == STATUS_OK)
        exchange_set(field, record, &text, sizeof text);
    return status;
}

static enum status read_filled(const struct field *field, const char *cell,
                               union any_record *record, struct error *error)
{
    switch (field->type) {
    case FIELD_TEXT:
        return read_text(field, cell, record, error);
    case FIELD_DAY:
        return read_day(field, cell, record, error);
    case FIELD_INSTANT:
        return read_instant(field, cell, record, error);
    case FIELD_CLOCK:
        return read_clock(field, cell, record, error);
    case FIELD_UM:
        return read_length(field, cell, record, error);
    case FIELD_INT:
        return read_int(field, cell, record, error);
    case FIELD_WORD:
        return read_word(field, cell, record, error);
    case FIELD_HARDWARE:
        return read_hardware(field, cell, record, error);
    case FIELD_TEETH:
        return read_teeth(field, cell, record, error);
    case FIELD_ID:
        break;
    }
    return STATUS_OK;
}

enum status exchange_read_cell(const struct field *field, const char *cell,
                               union any_record *record, struct error *error)
{
    /* A lone guard is an empty text cell. */
    bool text = field->type == FIELD_TEXT || field->type == FIELD_ID;
    const char *content = text ? exchange_unguard(cell) : cell;

    if (content[0] != '\0')
        return read_filled(field, cell, record, error);
    if ((field->flags & FIELD_REQUIRED) != 0)
        return error_set(error, STATUS_INPUT, field->name,
                         "The cell is empty; every row needs it.");
    return STATUS_OK;
}
