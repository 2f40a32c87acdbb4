/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A record in one breath, for questions, reviews and what was saved. */
#include <inttypes.h>
#include <string.h>

#include "aside.h"
#include "form_engine.h"
#include "springline/app/sentence.h"
#include "springline/core/tooth.h"

static void add_day(struct text *out, const char *before, day date)
{
    char text[DAY_TEXT_SIZE];

    if (date != DAY_NONE)
        text_addf(out, "%s%s", before, day_to_text(date, text));
}

static void add_word(struct text *out, const char *before, const struct words *words, int value)
{
    if (word_text(words, value)[0] != '\0')
        text_addf(out, "%s%s", before, word_text(words, value));
}

static void add_length(struct text *out, const char *before, um value)
{
    char text[MILLIMETRE_TEXT_SIZE];

    if (value != UM_NONE)
        text_addf(out, "%s%s mm", before, millimetre_to_text(value, text));
}

static void add_name(struct text *out, const char *before, const char *name)
{
    if (name != NULL && name[0] != '\0')
        text_addf(out, "%s%.120s", before, name);
}

static void add_repeat(struct text *out, int32_t repeat)
{
    if (repeat > 1)
        text_addf(out, ", repeat %" PRId32, repeat);
}

static void tell_patient(struct text *out, const union any_record *record)
{
    text_add(out, "patient");
    add_name(out, " ", record->patient.family);
    add_name(out, ", ", record->patient.given);
}

static void tell_casefile(struct text *out, const union any_record *record)
{
    text_add(out, "case");
    add_name(out, " ", record->casefile.number);
}

static void tell_trainer(struct text *out, const union any_record *record)
{
    text_add(out, "trainer");
    add_day(out, " issued on ", record->trainer.issued_on);
    add_day(out, ", ended on ", record->trainer.ended_on);
}

static void tell_expander(struct text *out, const union any_record *record)
{
    const struct expander *expander = &record->expander;

    add_word(out, "", &words_arch, (int)expander->arch);
    text_add(out, " expander");
    if (expander->out_on != DAY_NONE)
        add_day(out, ", out on ", expander->out_on);
    else if (expander->fitted_on != DAY_NONE)
        add_day(out, ", fitted on ", expander->fitted_on);
    else if (expander->banded_on != DAY_NONE)
        add_day(out, ", banded on ", expander->banded_on);
    else
        add_day(out, ", separators on ", expander->separators_on);
}

static void tell_visit(struct text *out, const union any_record *record)
{
    const struct visit *visit = &record->visit;

    text_add(out, "visit");
    add_day(out, " of ", visit->date);
    add_word(out, ", ", &words_arch, (int)visit->arch);
    add_word(out, ", ", &words_visit_kind, (int)visit->kind);
    add_length(out, ", right ", visit->right);
    add_length(out, ", left ", visit->left);
}

static void tell_width(struct text *out, const union any_record *record)
{
    text_add(out, "width");
    add_day(out, " of ", record->width.date);
    add_word(out, ", ", &words_arch, (int)record->width.arch);
    add_length(out, " ", record->width.value);
    add_repeat(out, record->width.repeat);
}

static void tell_wear_day(struct text *out, const union any_record *record)
{
    text_add(out, "wear");
    add_day(out, " of ", record->wear_day.date);
    add_word(out, ", ", &words_source, (int)record->wear_day.source);
}

static void tell_wear_count(struct text *out, const union any_record *record)
{
    const struct wear_count *count = &record->wear_count;

    text_add(out, "wear");
    add_day(out, " from ", count->from);
    add_day(out, " to ", count->to);
    if (count->days_met >= 0 && count->days_asked >= 0)
        text_addf(out, ", %" PRId32 " of %" PRId32 " days met", count->days_met, count->days_asked);
    add_word(out, ", ", &words_source, (int)count->source);
}

static void tell_contact(struct text *out, const union any_record *record)
{
    text_add(out, "contact");
    add_day(out, " of ", instant_day(record->contact.at));
    add_word(out, ", ", &words_channel, (int)record->contact.channel);
    add_word(out, ", ", &words_outcome, (int)record->contact.outcome);
    add_day(out, ", call again on ", record->contact.again_on);
    text_add(out, record->contact.cleared == ANSWER_YES ? ", " : "");
    aside_tell_contact(out, &record->contact, record->contact.again_on);
}

static void tell_booking(struct text *out, const union any_record *record)
{
    const struct booking *booking = &record->booking;
    char clock[6];

    text_add(out, "booking");
    add_day(out, " of ", booking->date);
    if (booking->time_min >= 0)
        text_addf(out, " at %s", clock_to_text(booking->time_min, clock));
    add_word(out, ", ", &words_booking_kind, (int)booking->kind);
    if (booking->state != BOOKED_STANDING)
        add_word(out, ", ", &words_booking_state, (int)booking->state);
}

static void tell_tooth_width(struct text *out, const union any_record *record)
{
    text_addf(out, "width of tooth %" PRId32, record->tooth_width.tooth);
    add_day(out, " of ", record->tooth_width.date);
    add_length(out, ", ", record->tooth_width.value);
    add_repeat(out, record->tooth_width.repeat);
}

static void tell_arch_segment(struct text *out, const union any_record *record)
{
    const struct arch_segment *segment = &record->arch_segment;

    add_word(out, "", &words_arch, (int)segment->arch);
    text_add(out, " segments");
    add_day(out, " of ", segment->date);
    add_length(out, ", back right ", segment->back_right);
    add_length(out, ", front right ", segment->front_right);
    add_length(out, ", front left ", segment->front_left);
    add_length(out, ", back left ", segment->back_left);
    add_repeat(out, segment->repeat);
}

static void tell_arch_depth(struct text *out, const union any_record *record)
{
    char teeth[8];

    add_word(out, "", &words_arch, (int)record->arch_depth.arch);
    text_add(out, " depth");
    add_day(out, " of ", record->arch_depth.date);
    text_addf(out, ", %s", teeth_to_text(record->arch_depth.teeth, teeth));
    add_length(out, " ", record->arch_depth.value);
    add_repeat(out, record->arch_depth.repeat);
}

static void tell_plan(struct text *out, const union any_record *record)
{
    add_word(out, "", &words_arch, (int)record->plan.arch);
    text_add(out, " plan");
    add_day(out, " of ", record->plan.made_on);
    add_length(out, ", balance ", record->plan.balance);
    add_length(out, ", target ", record->plan.target);
}

static void tell_protocol(struct text *out, const union any_record *record)
{
    text_add(out, "protocol");
    add_name(out, " ", record->protocol.name);
}

static void tell_person(struct text *out, const union any_record *record)
{
    text_add(out, "person");
    add_name(out, " ", record->person.name);
    add_name(out, ", login ", record->person.login);
}

void form_describe(struct text *out, enum record_kind kind, const union any_record *record)
{
    static void (*const tellers[RECORD_KIND_COUNT])(struct text *, const union any_record *) = {
        [RECORD_PATIENT] = tell_patient,
        [RECORD_CASEFILE] = tell_casefile,
        [RECORD_TRAINER] = tell_trainer,
        [RECORD_EXPANDER] = tell_expander,
        [RECORD_VISIT] = tell_visit,
        [RECORD_WIDTH] = tell_width,
        [RECORD_WEAR_DAY] = tell_wear_day,
        [RECORD_WEAR_COUNT] = tell_wear_count,
        [RECORD_CONTACT] = tell_contact,
        [RECORD_BOOKING] = tell_booking,
        [RECORD_TOOTH_WIDTH] = tell_tooth_width,
        [RECORD_ARCH_SEGMENT] = tell_arch_segment,
        [RECORD_ARCH_DEPTH] = tell_arch_depth,
        [RECORD_PLAN] = tell_plan,
        [RECORD_PROTOCOL] = tell_protocol,
        [RECORD_PERSON] = tell_person,
    };

    if (kind < RECORD_KIND_COUNT && tellers[kind] != NULL)
        tellers[kind](out, record);
    else
        text_add(out, "record");
}

void form_name(struct text *out, enum record_kind kind, const union any_record *record)
{
    struct text told = {0};
    /* Of these there may be one in each arch. */
    int parts = kind == RECORD_VISIT || kind == RECORD_EXPANDER ? 2 : 1;

    form_describe(&told, kind, record);
    const char *all = text_string(&told), *end = all;
    for (; parts > 0; parts--)
        end += (end > all) + strcspn(end + (end > all), ",");
    text_append(out, all, (size_t)(end - all));
    text_release(&told);
}

const char *form_kind_name(enum record_kind kind)
{
    switch (kind) {
    case RECORD_CASEFILE:
        return "case";
    case RECORD_WEAR_DAY:
        return "day of wear";
    case RECORD_WEAR_COUNT:
        return "count of wear";
    case RECORD_TOOTH_WIDTH:
        return "width of a tooth";
    case RECORD_ARCH_SEGMENT:
        return "arch segments";
    case RECORD_ARCH_DEPTH:
        return "arch depth";
    case RECORD_PATIENT:
    case RECORD_TRAINER:
    case RECORD_EXPANDER:
    case RECORD_VISIT:
    case RECORD_WIDTH:
    case RECORD_CONTACT:
    case RECORD_BOOKING:
    case RECORD_PLAN:
    case RECORD_PROTOCOL:
    case RECORD_PERSON:
    case RECORD_JUDGED:
    case RECORD_ACCESS:
    case RECORD_SIGNATURE:
    case RECORD_MONTH_CLOSE:
    case RECORD_ERASURE:
        return record_tables[kind].table;
    case RECORD_KIND_COUNT:
        break;
    }
    return "record";
}

enum setting form_setting_of(const struct field *field)
{
    for (enum setting setting = SETTING_NONE + 1; setting < SETTING_COUNT; setting++) {
        if (protocol_settings[setting].offset == field->offset)
            return setting;
    }
    return SETTING_NONE;
}

void form_add_setting(struct text *out, enum setting setting, int32_t value)
{
    sentence_value(out, protocol_settings[setting].unit, value);
}
