/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What can be judged from one row alone. The ranges are there to catch slips (a forgotten point, a
 * wrong unit), not to say what is permitted: history may lie above every limit of today. They are
 * the program's own: wide around published widths of children (palatal gingival 31.9-42.3 mm,
 * facial axis mean 57.92 mm) and around what a loop can give (common practice, no source).
 */
#include "exchange_private.h"
#include "springline/core/tooth.h"

enum {
    AMOUNT_MOST_UM = 20000,
    WIRE_LEAST_UM = 100,
    WIRE_MOST_UM = 3000,
    LOOP_MOST_UM = 30000,
    DAY_MINUTES = 24 * 60,
    AHEAD_MOST_DAYS = 730
};

enum status import_check_repeat(int32_t repeat, struct error *error)
{
    if (repeat >= 1)
        return STATUS_OK;
    return error_set(error, STATUS_INPUT, "repeat",
                     "Measurements are counted from 1; write 1 for the first.");
}

enum status import_check_length(const char *column, um value, um least, um most,
                                struct error *error)
{
    char given[MILLIMETRE_TEXT_SIZE], low[MILLIMETRE_TEXT_SIZE], high[MILLIMETRE_TEXT_SIZE];

    if (value == UM_NONE || (value >= least && value <= most))
        return STATUS_OK;
    return error_set(error, STATUS_INPUT, column,
                     "%s mm is outside %s to %s mm, so it is taken for a slip; check the point "
                     "and the unit.",
                     millimetre_to_text(value, given), millimetre_to_text(least, low),
                     millimetre_to_text(most, high));
}

enum status import_check_order(const char *column, day later, const char *earlier_column,
                               day earlier, struct error *error)
{
    char a[DAY_TEXT_SIZE], b[DAY_TEXT_SIZE];

    if (later == DAY_NONE || earlier == DAY_NONE || later >= earlier)
        return STATUS_OK;
    return error_set(error, STATUS_INPUT, column, "%s lies before %s (%s); one of them is wrong.",
                     day_to_text(later, a), earlier_column, day_to_text(earlier, b));
}

/* A date to come, at most two years after base: further away it would hide a child from the lists.
 */
static enum status check_ahead(const char *column, day date, day base, struct error *error)
{
    char a[DAY_TEXT_SIZE], b[DAY_TEXT_SIZE];

    if (date == DAY_NONE || date <= base + AHEAD_MOST_DAYS)
        return STATUS_OK;
    return error_set(error, STATUS_INPUT, column,
                     "%s is more than two years after %s, so it is taken for a slip; check the "
                     "year.",
                     day_to_text(date, a), day_to_text(base, b));
}

static enum status check_date_there(const char *column, bool filled, const char *date_column,
                                    day date, struct error *error)
{
    if (!filled || date != DAY_NONE)
        return STATUS_OK;
    return error_set(error, STATUS_INPUT, column, "It is filled but %s is empty; give the day too.",
                     date_column);
}

enum status import_check_teeth(struct teeth teeth, enum arch arch, struct error *error)
{
    char text[8];
    struct teeth read;

    if (teeth.right == 0 && teeth.left == 0)
        return STATUS_OK;
    return teeth_from_text(teeth_to_text(teeth, text), arch, "teeth", &read, error);
}

static enum status check_casefile(const struct casefile *row, struct error *error)
{
    enum status status = check_date_there("closed_reason", row->closed_reason != CLOSED_NONE,
                                          "closed_on", row->closed_on, error);

    if (status == STATUS_OK)
        status = import_check_order("closed_on", row->closed_on, "opened", row->opened, error);
    return status;
}

static enum status check_trainer(const struct trainer *row, struct error *error)
{
    enum status status = check_date_there("ended_reason", row->ended_reason != TRAINER_END_NONE,
                                          "ended_on", row->ended_on, error);

    if (status == STATUS_OK)
        status = import_check_order("ended_on", row->ended_on, "issued_on", row->issued_on, error);
    return status;
}

/* Separators, bands, fit, passive, out: each after those before it. */
static enum status check_expander_days(const struct expander *row, struct error *error)
{
    const char *const columns[] = {"separators_on", "banded_on", "fitted_on", "passive_on",
                                   "out_on"};
    const day days[] = {row->separators_on, row->banded_on, row->fitted_on, row->passive_on,
                        row->out_on};
    const size_t count = sizeof days / sizeof days[0];
    enum status status = STATUS_OK;

    for (size_t later = 1; later < count; later++)
        for (size_t earlier = 0; earlier < later && status == STATUS_OK; earlier++)
            status = import_check_order(columns[later], days[later], columns[earlier],
                                        days[earlier], error);
    if (status == STATUS_OK)
        status = check_date_there("out_reason", row->out_reason != OUT_NONE, "out_on", row->out_on,
                                  error);
    if (status == STATUS_OK)
        status = check_date_there("passive_on", row->passive_on != DAY_NONE, "fitted_on",
                                  row->fitted_on, error);
    return status;
}

static enum status check_expander(const struct expander *row, struct error *error)
{
    enum status status = check_expander_days(row, error);

    if (status == STATUS_OK)
        status = import_check_teeth(row->teeth, row->arch, error);
    if (status == STATUS_OK)
        status = import_check_length("wire_mm", row->wire, WIRE_LEAST_UM, WIRE_MOST_UM, error);
    if (status == STATUS_OK)
        status = import_check_length("loop_right_mm", row->loop_right, 0, LOOP_MOST_UM, error);
    if (status == STATUS_OK)
        status = import_check_length("loop_left_mm", row->loop_left, 0, LOOP_MOST_UM, error);
    if (status == STATUS_OK)
        status = import_check_length("plan_gap_mm", row->plan_gap, -AMOUNT_MOST_UM, AMOUNT_MOST_UM,
                                     error);
    if (status == STATUS_OK)
        status =
            import_check_length("target_mm", row->target, WIDTH_LEAST_UM, WIDTH_MOST_UM, error);
    return status;
}

static bool has_amount(const struct visit *row)
{
    return row->right != UM_NONE || row->left != UM_NONE;
}

/* What was given and found belongs to an arch; a missed visit has neither. */
static enum status check_visit_arch(const struct visit *row, struct error *error)
{
    bool found = row->tissue != TISSUE_NONE || row->hardware != HARDWARE_NOT_RECORDED;

    if (row->kind == VISIT_MISSED && (has_amount(row) || found))
        return error_set(error, STATUS_INPUT, "kind",
                         "A missed visit can not carry amounts or findings; give the kind of visit "
                         "it was, or leave them empty.");
    if (row->arch != ARCH_NONE)
        return STATUS_OK;
    if (row->kind == VISIT_ACTIVATION || row->kind == VISIT_REPAIR || row->kind == VISIT_RELIEF ||
        row->kind == VISIT_REMOVAL)
        return error_set(error, STATUS_INPUT, "arch",
                         "A visit of the kind %s needs its arch; write upper or lower.",
                         word_text(&words_visit_kind, (int)row->kind));
    if (has_amount(row) || found)
        return error_set(error, STATUS_INPUT, "arch",
                         "Amounts and findings need their arch; write upper or lower.");
    return STATUS_OK;
}

static enum status check_visit(const struct visit *row, struct error *error)
{
    enum status status = check_visit_arch(row, error);

    if (status == STATUS_OK)
        status = import_check_length("right_mm", row->right, 0, AMOUNT_MOST_UM, error);
    if (status == STATUS_OK)
        status = import_check_length("left_mm", row->left, 0, AMOUNT_MOST_UM, error);
    if (status == STATUS_OK && row->kind == VISIT_ACTIVATION && !has_amount(row) &&
        row->elsewhere != ANSWER_YES)
        status = error_set(error, STATUS_INPUT, "right_mm",
                           "An activation needs right_mm or left_mm (0.00 where none was given), "
                           "unless it was given elsewhere.");
    if (status == STATUS_OK && row->next_on != DAY_NONE && row->next_on <= row->date)
        status = error_set(error, STATUS_INPUT, "next_on",
                           "The next visit must lie after the date of this one.");
    if (status == STATUS_OK)
        status = check_ahead("next_on", row->next_on, row->date, error);
    return status;
}

static enum status check_width(const struct width *row, struct error *error)
{
    enum status status = import_check_teeth(row->teeth, row->arch, error);

    if (status == STATUS_OK)
        status = import_check_repeat(row->repeat, error);
    if (status == STATUS_OK)
        status = import_check_length("mm", row->value, WIDTH_LEAST_UM, WIDTH_MOST_UM, error);
    return status;
}

static enum status check_wear_day(const struct wear_day *row, struct error *error)
{
    if (row->day_minutes > DAY_MINUTES)
        return error_set(error, STATUS_INPUT, "day_minutes",
                         "%d minutes are more than a day has (%d).", (int)row->day_minutes,
                         (int)DAY_MINUTES);
    return STATUS_OK;
}

static enum status check_wear_count(const struct wear_count *row, struct error *error)
{
    enum status status = import_check_order("to", row->to, "from", row->from, error);

    if (status != STATUS_OK)
        return status;
    if (row->days_met > row->days_asked)
        return error_set(error, STATUS_INPUT, "days_met",
                         "%d days met of %d asked is more than all; check both.",
                         (int)row->days_met, (int)row->days_asked);
    if (row->days_asked > row->to - row->from + 1)
        return error_set(error, STATUS_INPUT, "days_asked",
                         "%d days asked are more than the %d days from \"from\" to \"to\".",
                         (int)row->days_asked, (int)(row->to - row->from + 1));
    return STATUS_OK;
}

static enum status check_contact(const struct contact *row, day today, struct error *error)
{
    day on = instant_day(row->at);
    char now[DAY_TEXT_SIZE];

    /* An instant is in UTC and today is local: it may be a day ahead. */
    if (on > today + 1)
        return error_set(error, STATUS_INPUT, "at",
                         "The moment lies after today (%s); check the date.",
                         day_to_text(today, now));
    if (row->again_on != DAY_NONE && row->again_on < on - 1)
        return error_set(error, STATUS_INPUT, "again_on",
                         "The day to call again lies before the contact itself.");
    return check_ahead("again_on", row->again_on, on, error);
}

static enum status check_booking(const struct booking *row, day today, struct error *error)
{
    if (row->date > today && (row->state == BOOKED_KEPT || row->state == BOOKED_MISSED))
        return error_set(error, STATUS_INPUT, "state",
                         "A booking after today can not be %s yet; write booked or cancelled.",
                         word_text(&words_booking_state, (int)row->state));
    if (row->cancelled_by != CANCELLER_NONE && row->state != BOOKED_CANCELLED)
        return error_set(error, STATUS_INPUT, "cancelled_by",
                         "It says who cancelled, but state is %s; write cancelled or leave it "
                         "empty.",
                         word_text(&words_booking_state, (int)row->state));
    return check_ahead("date", row->date, today, error);
}

bool import_may_lie_ahead(enum record_kind kind, const struct field *field)
{
    return (kind == RECORD_BOOKING && field->offset == offsetof(struct booking, date)) ||
           (kind == RECORD_VISIT && field->offset == offsetof(struct visit, next_on)) ||
           (kind == RECORD_CONTACT && field->offset == offsetof(struct contact, again_on)) ||
           (kind == RECORD_PLAN && field->offset != offsetof(struct plan, made_on));
}

static enum status check_not_ahead(enum record_kind kind, const union any_record *record, day today,
                                   struct error *error)
{
    const struct record_table *table = &record_tables[kind];
    char given[DAY_TEXT_SIZE], now[DAY_TEXT_SIZE];

    for (size_t i = 0; i < table->field_count; i++) {
        const struct field *field = &table->fields[i];

        if (field->type == FIELD_DAY && !import_may_lie_ahead(kind, field) &&
            exchange_int(field, record) > today)
            return error_set(
                error, STATUS_INPUT, field->name, "%s lies after today (%s); %s.",
                day_to_text(exchange_int(field, record), given), day_to_text(today, now),
                kind == RECORD_VISIT ? "what is still to come is a booking" : "check the date");
    }
    return STATUS_OK;
}

enum status import_check_record(enum record_kind kind, const union any_record *record, day today,
                                struct error *error)
{
    enum status status = check_not_ahead(kind, record, today, error);

    if (status != STATUS_OK)
        return status;
    switch (kind) {
    case RECORD_CASEFILE:
        return check_casefile(&record->casefile, error);
    case RECORD_TRAINER:
        return check_trainer(&record->trainer, error);
    case RECORD_EXPANDER:
        return check_expander(&record->expander, error);
    case RECORD_VISIT:
        return check_visit(&record->visit, error);
    case RECORD_WIDTH:
        return check_width(&record->width, error);
    case RECORD_WEAR_DAY:
        return check_wear_day(&record->wear_day, error);
    case RECORD_WEAR_COUNT:
        return check_wear_count(&record->wear_count, error);
    case RECORD_CONTACT:
        return check_contact(&record->contact, today, error);
    case RECORD_BOOKING:
        return check_booking(&record->booking, today, error);
    case RECORD_TOOTH_WIDTH:
        return import_check_tooth_width(&record->tooth_width, error);
    case RECORD_ARCH_SEGMENT:
        return import_check_arch_segment(&record->arch_segment, error);
    case RECORD_ARCH_DEPTH:
        return import_check_arch_depth(&record->arch_depth, error);
    case RECORD_PLAN:
        return import_check_plan(&record->plan, error);
    case RECORD_PATIENT:
    case RECORD_PROTOCOL:
    case RECORD_PERSON:
    case RECORD_JUDGED:
    case RECORD_ACCESS:
    case RECORD_SIGNATURE:
    case RECORD_MONTH_CLOSE:
    case RECORD_ERASURE:
    case RECORD_KIND_COUNT:
        break;
    }
    return STATUS_OK;
}
