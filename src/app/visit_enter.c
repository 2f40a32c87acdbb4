/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What may stand in each field of the visit sheet: format errors, soft ranges, and the meaning. */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "digits.h"
#include "springline/app/visit.h"
#include "springline/core/tooth.h"
#include "springline/core/width.h"
#include "visit_private.h"

enum { WIDTH_LEAST_UM = 5000, WIDTH_MOST_UM = 100000 }; /* 5 to 100 mm: slips beyond, setting */
enum { NEXT_MOST_DAYS = 400 };

struct reading {
    struct visit_sheet *sheet;
    struct sheet_field *field;
    const char *typed;
    char *sentence; /* 200 bytes */
    int64_t value;
};

static enum entry say(struct reading *reading, enum entry entry, const char *sentence)
{
    snprintf(reading->sentence, 200, "%s", sentence);
    return entry;
}

static enum entry read_wear_met(struct reading *reading)
{
    int32_t days = reading->sheet->date - reading->sheet->wear_from;
    int32_t met = digits_number(reading->typed);

    if (met < 0)
        return say(reading, ENTRY_REFUSED, "Give the days on which the wear was met as a number.");
    if (met > days) {
        snprintf(reading->sentence, 200, "Only %" PRId32 " days have passed since the last visit.",
                 days);
        return ENTRY_REFUSED;
    }
    reading->value = met;
    snprintf(reading->field->shown, sizeof reading->field->shown, "%" PRId32 " days", met);
    return ENTRY_TAKEN;
}

static enum entry read_wear_asked(struct reading *reading)
{
    int32_t days = reading->sheet->date - reading->sheet->wear_from;
    int64_t met = visit_value(reading->sheet, ITEM_WEAR_MET, ARCH_NONE, 0);
    int32_t asked = digits_number(reading->typed);

    if (asked < 0)
        return say(reading, ENTRY_REFUSED, "Give the days that were asked about as a number.");
    if (asked < met || asked < 1 || asked > days) {
        snprintf(reading->sentence, 200,
                 "The days asked about lie between the days met (%" PRId64 ") and the %" PRId32
                 " days since the last visit.",
                 met, days);
        return ENTRY_REFUSED;
    }
    reading->value = asked;
    snprintf(reading->field->shown, sizeof reading->field->shown, "of %" PRId32 " days", asked);
    return ENTRY_TAKEN;
}

/* The choice a digit stands for; -1 when it stands for none. */
static int chosen(const struct reading *reading)
{
    int32_t digit = digits_number(reading->typed);

    if (digit < 0 || strlen(reading->typed) != 1 || digit >= reading->field->choice_count ||
        reading->field->choices[digit][0] == '\0')
        return -1;
    return digit;
}

static enum entry refuse_choice(struct reading *reading)
{
    digits_say_choices(reading->field->choices, reading->field->choice_count, reading->sentence);
    return ENTRY_REFUSED;
}

static enum entry read_choice(struct reading *reading)
{
    int digit = chosen(reading);

    if (digit < 0)
        return refuse_choice(reading);
    switch (reading->field->item) {
    case ITEM_TISSUE:
        reading->value = TISSUE_SOUND + digit;
        break;
    case ITEM_REPAIRED:
    case ITEM_RELIEF:
        reading->value = digit == 1 ? ANSWER_YES : ANSWER_NO;
        break;
    default: /* the digit is the source itself */
        reading->value = digit;
        break;
    }
    snprintf(reading->field->shown, sizeof reading->field->shown, "%s",
             reading->field->choices[digit]);
    return ENTRY_TAKEN;
}

static enum entry read_hardware(struct reading *reading)
{
    uint32_t hardware = 0;
    char text[HARDWARE_TEXT_SIZE];

    if (!digits_faults(reading->typed, &hardware))
        return refuse_choice(reading);
    reading->value = hardware;
    snprintf(reading->field->shown, sizeof reading->field->shown, "%.90s",
             hardware_to_text(hardware, text));
    return ENTRY_TAKEN;
}

static enum entry read_millimetre(struct reading *reading, um *value)
{
    struct error error = {0};

    if (millimetre_from_text(reading->typed, MARK_POINT_OR_COMMA, reading->field->label, value,
                             &error) == STATUS_OK)
        return ENTRY_TAKEN;
    snprintf(reading->sentence, 200, "%.190s", error.sentence);
    return ENTRY_REFUSED;
}

static enum entry read_width(struct reading *reading)
{
    struct visit_sheet *sheet = reading->sheet;
    struct width_view view;
    um value = 0;
    char text[MILLIMETRE_TEXT_SIZE], date[DAY_TEXT_SIZE];

    if (read_millimetre(reading, &value) != ENTRY_TAKEN)
        return ENTRY_REFUSED;
    if (value < WIDTH_LEAST_UM || value > WIDTH_MOST_UM)
        return say(reading, ENTRY_REFUSED,
                   "A width lies between 5.00 and 100.00 mm; check the point.");
    reading->value = value;
    snprintf(reading->field->shown, sizeof reading->field->shown, "%s mm, mouth",
             millimetre_to_text(value, text));
    const struct expander *expander =
        visit_expander(&sheet->history, reading->field->arch, sheet->date);
    if (expander == NULL)
        return say(reading, ENTRY_REFUSED, "The expander of this arch was taken out meanwhile.");
    width_view(&sheet->history, sheet->history.protocol, expander, sheet->date, &view);
    if (view.latest.date == DAY_NONE || !digits_width_jumps(value, view.latest.value))
        return ENTRY_TAKEN;
    snprintf(reading->sentence, 200,
             "%s mm is more than 2.00 mm from the last width (%s). Enter again to keep it.", text,
             day_to_text(view.latest.date, date));
    return ENTRY_ASK;
}

/* Above the permitted amount is no slip but a decision: that is asked for at the review. */
static enum entry ask_amount(struct reading *reading, um value)
{
    const struct protocol *protocol = reading->sheet->history.protocol;
    char text[MILLIMETRE_TEXT_SIZE], limit[MILLIMETRE_TEXT_SIZE];

    if (value > protocol->step_max) {
        snprintf(reading->sentence, 200,
                 "%s mm is above the protocol's largest step, %s mm. Enter again to keep it.",
                 millimetre_to_text(value, text), millimetre_to_text(protocol->step_max, limit));
        return ENTRY_ASK;
    }
    if (value % protocol->step_grain != 0) {
        snprintf(reading->sentence, 200,
                 "%s mm is no whole number of %s mm steps. Enter again to keep it.",
                 millimetre_to_text(value, text), millimetre_to_text(protocol->step_grain, limit));
        return ENTRY_ASK;
    }
    return ENTRY_TAKEN;
}

static enum entry read_amount(struct reading *reading)
{
    const struct protocol *protocol = reading->sheet->history.protocol;
    um value = 0;
    char text[MILLIMETRE_TEXT_SIZE], cap[MILLIMETRE_TEXT_SIZE];

    if (read_millimetre(reading, &value) != ENTRY_TAKEN)
        return ENTRY_REFUSED;
    if (value < 0)
        return say(reading, ENTRY_REFUSED,
                   "An amount is never negative; a loop that was closed is a relief: enter 0.");
    if (value > protocol->entry_cap) {
        snprintf(reading->sentence, 200,
                 "%s mm is above %s mm, the most that is taken as no slip; check the point.",
                 millimetre_to_text(value, text), millimetre_to_text(protocol->entry_cap, cap));
        return ENTRY_REFUSED;
    }
    reading->value = value;
    snprintf(reading->field->shown, sizeof reading->field->shown, "%s mm",
             millimetre_to_text(value, text));
    return ask_amount(reading, value);
}

void visit_window(const struct visit_sheet *sheet, day *from, day *to)
{
    *from = *to = DAY_NONE;
    for (int i = 0; i < sheet->arch_count; i++) {
        const struct judgement *judgement = &sheet->judgements[i];
        if (judgement->next_from != DAY_NONE &&
            (*from == DAY_NONE || judgement->next_from < *from)) {
            *from = judgement->next_from;
            *to = judgement->next_to;
        }
    }
}

static enum entry read_next(struct reading *reading)
{
    struct visit_sheet *sheet = reading->sheet;
    int32_t days = digits_number(reading->typed);
    day date, from, to;
    char text[DAY_TEXT_SIZE], first[DAY_TEXT_SIZE], last[DAY_TEXT_SIZE];

    if (days > 0 && days <= NEXT_MOST_DAYS)
        date = sheet->date + days;
    else if (!day_from_text(reading->typed, &date))
        return say(reading, ENTRY_REFUSED,
                   "Give the next visit as a number of days (1 to 400) or as YYYY-MM-DD.");
    if (date <= sheet->date || date > sheet->date + NEXT_MOST_DAYS)
        return say(reading, ENTRY_REFUSED, "The next visit lies 1 to 400 days after this one.");
    reading->value = date;
    snprintf(reading->field->shown, sizeof reading->field->shown, "%s (in %" PRId32 " days)",
             day_to_text(date, text), date - sheet->date);
    visit_window(sheet, &from, &to);
    if (from == DAY_NONE || (date >= from && date <= to))
        return ENTRY_TAKEN;
    snprintf(reading->sentence, 200, "%s lies outside the window %s to %s. Enter again to keep it.",
             text, day_to_text(from, first), day_to_text(to, last));
    return ENTRY_ASK;
}

static enum entry read_note(struct reading *reading)
{
    struct error error = {0};

    if (text_check(reading->typed, strlen(reading->typed), SHEET_TEXT_SIZE, "note", &error) !=
        STATUS_OK) {
        snprintf(reading->sentence, 200, "%.190s", error.sentence);
        return ENTRY_REFUSED;
    }
    snprintf(reading->field->shown, sizeof reading->field->shown, "taken");
    return ENTRY_TAKEN;
}

static enum entry read_item(struct reading *reading)
{
    switch (reading->field->item) {
    case ITEM_WEAR_MET:
        return read_wear_met(reading);
    case ITEM_WEAR_ASKED:
        return read_wear_asked(reading);
    case ITEM_WIDTH:
        return read_width(reading);
    case ITEM_HARDWARE:
        return read_hardware(reading);
    case ITEM_RIGHT:
    case ITEM_LEFT:
        return read_amount(reading);
    case ITEM_NEXT:
        return read_next(reading);
    case ITEM_NOTE:
        return read_note(reading);
    default:
        return read_choice(reading);
    }
}

/* Days met without a number of days asked: the whole stretch was asked about, the stricter reading.
 */
static void fill_asked(struct visit_sheet *sheet)
{
    struct sheet_field *asked = visit_field(sheet, ITEM_WEAR_ASKED, ARCH_NONE);

    asked->value = sheet->date - sheet->wear_from;
    asked->filled = true;
    snprintf(asked->shown, sizeof asked->shown, "of all %" PRId64 " days", asked->value);
}

static void empty_field(struct visit_sheet *sheet, struct sheet_field *field)
{
    field->entered[0] = field->shown[0] = field->kept[0] = '\0';
    field->filled = field->wrong = false;
    if (field->item == ITEM_WEAR_ASKED && !field->skipped)
        fill_asked(sheet);
}

/* Reads the text just stored in the field; a soft range is answered by the same text again. */
static enum entry read_field(struct reading *reading)
{
    struct sheet_field *field = reading->field;

    field->shown[0] = '\0';
    field->filled = field->wrong = false;
    enum entry entry = read_item(reading);
    if (entry == ENTRY_ASK && strcmp(field->kept, field->entered) == 0)
        entry = ENTRY_TAKEN;
    else if (entry == ENTRY_ASK)
        memcpy(field->kept, field->entered, sizeof field->kept);
    if (entry != ENTRY_ASK && strcmp(field->kept, field->entered) != 0)
        field->kept[0] = '\0'; /* another value: the old question is open again */
    if (entry == ENTRY_TAKEN) {
        field->filled = true;
        field->value = reading->value;
        reading->sentence[0] = '\0';
    } else {
        field->wrong = true;
    }
    return entry;
}

enum entry visit_enter(struct app *app, struct visit_sheet *sheet, int index, const char *typed,
                       char sentence[200])
{
    struct sheet_field *field = &sheet->fields[index];
    struct reading reading = {
        .sheet = sheet, .field = field, .typed = field->entered, .sentence = sentence};
    enum entry entry = ENTRY_TAKEN;
    size_t length = strlen(typed);

    (void)app;
    sentence[0] = '\0';
    if (length >= sizeof field->entered)
        return say(&reading, ENTRY_REFUSED, "This is too long to be taken; shorten it.");
    memmove(field->entered, typed, length + 1); /* typed may be the field's own text */
    if (length == 0)
        empty_field(sheet, field);
    else
        entry = read_field(&reading);
    sheet->dirty = true;
    visit_judge(sheet);
    return entry;
}
