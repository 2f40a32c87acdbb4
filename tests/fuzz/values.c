/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One text as everything a value is read from: days, months, moments, times, lengths, teeth,
 * hardware, ids, and as a cell of each field of each kind. What is taken comes out the same.
 */
#include <stdlib.h>
#include <string.h>

#include "../../src/app/exchange_private.h"
#include "fuzz.h"
#include "springline/base/date.h"
#include "springline/base/id.h"
#include "springline/base/millimetre.h"
#include "springline/core/tooth.h"

static void try_dates(const char *text)
{
    char date[DAY_TEXT_SIZE], month[MONTH_TEXT_SIZE], moment[INSTANT_TEXT_SIZE], clock[6];
    day taken = 0;
    instant at = 0;
    int32_t minutes = 0;

    if (day_from_text(text, &taken)) {
        int year = 0, number = 0, of_month = 0;
        day_civil(taken, &year, &number, &of_month);
        fuzz_demand(day_of(year, number, of_month) == taken, "a day is its civil date");
        fuzz_demand(strcmp(day_to_text(taken, date), text) == 0, "a day is written as it was read");
        fuzz_demand(day_month_start(taken, 0) <= taken, "a month begins before its days");
    }
    if (month_from_text(text, &taken))
        fuzz_demand(strcmp(month_to_text(taken, month), text) == 0, "a month likewise");
    if (instant_from_text(text, &at)) {
        fuzz_demand(strcmp(instant_to_text(at, moment), text) == 0, "a moment likewise");
        fuzz_demand(strncmp(day_to_text(instant_day(at), date), text, 10) == 0, "and its day");
    }
    if (clock_from_text(text, &minutes))
        fuzz_demand(strcmp(clock_to_text(minutes, clock), text) == 0, "a time likewise");
}

static void try_length(const char *text, enum millimetre_mark mark)
{
    char written[MILLIMETRE_TEXT_SIZE];
    struct error error = {0};
    um value = UM_NONE, again = UM_NONE;

    enum status status = millimetre_from_text(text, mark, "somewhere", &value, &error);
    if (status != STATUS_OK) {
        fuzz_demand(value == UM_NONE, "what is refused leaves the value alone");
        fuzz_refusal(status, &error);
        return;
    }
    fuzz_demand(value >= -999990 && value <= 999990 && value % 10 == 0, "a length is in range");
    millimetre_to_text(value, written);
    fuzz_demand(millimetre_from_text(written, MARK_POINT, "", &again, &error) == STATUS_OK &&
                    again == value,
                "a length is read as it was written");
}

static void try_teeth(const char *text)
{
    char written[8], hardware[HARDWARE_TEXT_SIZE];
    struct error error = {0};
    struct teeth teeth = {0}, same = {0};
    uint32_t found = 0, again = 0;
    struct id id;
    char number[ID_TEXT_SIZE];

    for (int arch = ARCH_NONE; arch <= ARCH_LOWER; arch++) {
        enum status status = teeth_from_text(text, (enum arch)arch, "teeth", &teeth, &error);
        if (status != STATUS_OK) {
            fuzz_refusal(status, &error);
            continue;
        }
        teeth_to_text(teeth, written);
        fuzz_demand(teeth_from_text(written, (enum arch)arch, "", &same, &error) == STATUS_OK &&
                        same.right == teeth.right && same.left == teeth.left,
                    "teeth are read as they were written");
    }
    enum status status = hardware_from_text(text, "hardware", &found, &error);
    if (status == STATUS_OK)
        fuzz_demand(hardware_from_text(hardware_to_text(found, hardware), "", &again, &error) ==
                            STATUS_OK &&
                        again == found,
                    "hardware is read as it was written");
    else
        fuzz_refusal(status, &error);
    if (id_from_text(text, &id))
        fuzz_demand(strncasecmp(id_to_text(&id, number), text, ID_TEXT_SIZE) == 0,
                    "an id likewise");
}

static void try_cell(enum record_kind kind, const struct field *field, const char *text)
{
    union any_record record, again;
    struct text cell = {0};
    struct error error = {0};

    exchange_blank(kind, &record);
    exchange_blank(kind, &again);
    enum status status = exchange_read_cell(field, text, &record, &error);
    if (status != STATUS_OK) {
        fuzz_refusal(status, &error);
        return;
    }
    if (field->type == FIELD_ID)
        return;
    exchange_add_cell(&cell, field, &record);
    fuzz_printable(text_string(&cell), false, "a cell that was taken");
    fuzz_demand(exchange_read_cell(field, text_string(&cell), &again, &error) ==
                        (cell.length == 0 && (field->flags & FIELD_REQUIRED) != 0 ? STATUS_INPUT
                                                                                  : STATUS_OK) &&
                    exchange_same(field, &record, &again),
                "a cell is read as it was written");
    text_release(&cell);
}

/* Cells are read by type, words and flags: one field of each sort. */
static bool is_first_of_its_sort(int kind, size_t index)
{
    const struct field *field = &record_tables[kind].fields[index];

    for (int i = 0; i <= kind; i++) {
        const struct record_table *table = &record_tables[i];
        for (size_t j = 0; j < (i == kind ? index : table->field_count); j++)
            if (table->fields[j].type == field->type && table->fields[j].words == field->words &&
                table->fields[j].flags == field->flags)
                return false;
    }
    return record_tables[kind].size <= sizeof(union any_record);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = fuzz_string(data, size);

    try_dates(text);
    try_length(text, MARK_POINT);
    try_length(text, MARK_POINT_OR_COMMA);
    try_teeth(text);
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++)
        for (size_t i = 0; i < record_tables[kind].field_count; i++)
            if (is_first_of_its_sort(kind, i))
                try_cell((enum record_kind)kind, &record_tables[kind].fields[i], text);
    free(text);
    return 0;
}
