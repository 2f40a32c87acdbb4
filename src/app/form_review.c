/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a save will write, and what follows from it. */
#include <string.h>

#include "form_engine.h"
#include "springline/app/lists.h"
#include "springline/core/course.h"
#include "told.h"

/* What a review is made of. */
struct review {
    struct app *app;
    struct form *form;
    struct arena *arena;
    struct lines *lines;
    struct history would;
    struct effects before, after;
};

/* ---- what will be written ---- */

/* The label of a field on the form, or its name in words; the unit stands with the value. */
static void add_label(struct text *out, const struct form *form, int slot, const char *name)
{
    int index = form_index(form, slot, name);

    if (form_inner(form)->slots[slot].record == RECORD_PROTOCOL) { /* as the settings call it */
        text_add(out, name);
        return;
    }
    if (index >= 0) {
        const char *label = form->fields[index].label;
        size_t length = strlen(label);
        bool unit = length > 3 && strcmp(label + length - 3, " mm") == 0;
        text_append(out, label, unit ? length - 3 : length);
        return;
    }
    for (; *name != '\0'; name++)
        text_add_byte(out, *name == '_' ? ' ' : *name);
}

void form_add_value(struct text *out, enum record_kind kind, const struct field *field,
                    const union any_record *record)
{
    enum setting setting = kind == RECORD_PROTOCOL ? form_setting_of(field) : SETTING_NONE;

    if (!form_recorded(kind, field, record))
        text_add(out, "nothing");
    else if (setting != SETTING_NONE)
        form_add_setting(out, setting, exchange_int(field, record));
    else
        form_add_shown(out, field, record);
}

static void add_fields(struct text *out, const struct form *form, int which)
{
    const struct form_slot *slot = &form_inner(form)->slots[which];
    const struct record_table *table = &record_tables[slot->record];
    const char *before = ": ";

    for (size_t i = 0; i < table->field_count; i++) {
        const struct field *field = &table->fields[i];
        if (field->type == FIELD_ID || exchange_same(field, &slot->now, &slot->before))
            continue;
        text_add(out, before);
        add_label(out, form, which, field->name);
        text_add(out, " ");
        if (form_recorded(slot->record, field, &slot->before)) {
            form_add_value(out, slot->record, field, &slot->before);
            text_add(out, " -> ");
        }
        form_add_value(out, slot->record, field, &slot->now);
        before = "; ";
    }
}

static void add_slot(struct text *out, const struct form *form, int which)
{
    const struct form_slot *slot = &form_inner(form)->slots[which];

    if (slot->copied_from != NULL) {
        text_add(out, "new ");
        form_describe(out, slot->record, &slot->now);
        text_addf(out, ": copied from \"%s\", %d values, none changed", slot->copied_from,
                  (int)SETTING_COUNT - 1);
        return;
    }
    if (slot->present) {
        form_describe(out, slot->record, &slot->before);
    } else {
        text_add(out, "new ");
        text_add(out, form_kind_name(slot->record));
    }
    add_fields(out, form, which);
}

static enum status end_line(struct review *review, struct text *text, struct error *error)
{
    bool done = told_end_line(review->arena, review->lines, text);

    text_release(text);
    return done ? STATUS_OK : error_no_memory(error);
}

static enum status tell_slots(struct review *review, struct error *error)
{
    const struct form *form = review->form;
    enum status status = STATUS_OK;

    for (int i = 0; i < FORM_SLOTS && status == STATUS_OK; i++) {
        struct text text = {0};
        if (!form_slot_written(&form_inner(form)->slots[i]))
            continue;
        add_slot(&text, form, i);
        status = end_line(review, &text, error);
    }
    return status;
}

/* ---- what is written beside it ---- */

static bool in_a_slot(const struct form *form, const struct id *record)
{
    for (int i = 0; i < FORM_SLOTS; i++) {
        const struct form_slot *slot = &form_inner(form)->slots[i];
        if (slot->present && id_equal(&slot->now.head.record, record))
            return true;
    }
    return false;
}

static bool tell_booking(const struct review *review, const struct booking *booking)
{
    const struct history *history = &review->form->history;
    char date[DAY_TEXT_SIZE], clock[6];

    for (size_t i = 0; i < history->booking_count; i++) {
        const struct booking *before = &history->bookings[i];
        if (id_equal(&before->head.record, &booking->head.record) &&
            before->state != booking->state)
            return form_add_line(
                review->arena, review->lines, "The booking of %s at %s becomes %s.",
                day_to_text(booking->date, date), clock_to_text(booking->time_min, clock),
                word_text(&words_booking_state, (int)booking->state));
    }
    return true;
}

static bool tell_alerts(const struct review *review)
{
    const struct patient *before = review->form->history.patient;
    const struct patient *after = review->would.patient;
    const char *alerts = after->alerts == NULL ? "" : after->alerts;

    return in_a_slot(review->form, &after->head.record) ||
           strcmp(before->alerts == NULL ? "" : before->alerts, alerts) == 0 ||
           form_add_line(review->arena, review->lines, "Alerts: %s.", alerts);
}

/* What the template appends without a slot of its own. */
static enum status tell_beside(const struct review *review, struct error *error)
{
    bool done = tell_alerts(review);

    for (size_t i = 0; i < review->would.booking_count && done; i++) {
        const struct booking *booking = &review->would.bookings[i];
        if (!in_a_slot(review->form, &booking->head.record))
            done = tell_booking(review, booking);
    }
    return done ? STATUS_OK : error_no_memory(error);
}

/* ---- what follows ---- */

static void add_visit(struct text *out, const struct effect_row *row)
{
    char date[DAY_TEXT_SIZE];

    text_addf(out, "%s %s", day_to_text(row->visit->date, date),
              word_text(&words_arch, (int)row->visit->arch));
}

static enum status tell_marked(struct review *review, const struct effect_row *row,
                               struct error *error)
{
    struct text text = {0};

    text_add(&text, "The verdict of ");
    add_visit(&text, row);
    text_add(&text, ", ");
    effect_stored(&text, row);
    text_add(&text, ", would be ");
    effect_now(&text, row);
    text_add(&text, " by the record as it stands then; the visit is marked.");
    return end_line(review, &text, error);
}

static bool still_marked(const struct effects *after, const struct effect_row *row)
{
    for (size_t i = 0; i < after->count; i++) {
        if (id_equal(&after->rows[i].visit->head.record, &row->visit->head.record))
            return true;
    }
    return false;
}

/* Is the visit still there, so that its mark can go? */
static bool still_there(const struct history *would, const struct visit *visit)
{
    for (size_t i = 0; i < would->visit_count; i++) {
        if (id_equal(&would->visits[i].head.record, &visit->head.record))
            return true;
    }
    return false;
}

static enum status tell_unmarked(struct review *review, const struct effect_row *row,
                                 struct error *error)
{
    struct text text = {0};

    if (still_marked(&review->after, row) || !still_there(&review->would, row->visit))
        return STATUS_OK;
    text_add(&text, "The mark of ");
    add_visit(&text, row);
    text_add(&text, " goes: the record gives the verdict that was stored again.");
    return end_line(review, &text, error);
}

static enum status tell_verdicts(struct review *review, struct error *error)
{
    struct effects added;

    enum status status =
        effect_marks(review->app, &review->form->history, review->arena, &review->before, error);
    if (status == STATUS_OK)
        status = effect_marks(review->app, &review->would, review->arena, &review->after, error);
    if (status == STATUS_OK)
        status = effect_added(&review->before, &review->after, review->arena, &added, error);
    for (size_t i = 0; status == STATUS_OK && i < added.count; i++)
        status = tell_marked(review, &added.rows[i], error);
    for (size_t i = 0; status == STATUS_OK && i < review->before.count; i++)
        status = tell_unmarked(review, &review->before.rows[i], error);
    return status;
}

static bool stands(day from, day today)
{
    return from != DAY_NONE && from <= today;
}

static bool tell_safety(const struct review *review, const struct case_state *before,
                        const struct case_state *after)
{
    day today = review->app->today;
    char date[DAY_TEXT_SIZE];
    bool done = true;

    for (int item = SAFETY_NONE + 1; item < SAFETY_COUNT && done; item++) {
        bool was = stands(before->safety_from[item], today);
        bool is = stands(after->safety_from[item], today);
        if (is && !was)
            done = form_add_line(review->arena, review->lines, "A safety item arises: %s since %s.",
                                 lists_safety_word((enum safety)item, false),
                                 day_to_text(after->safety_from[item], date));
        else if (was && !is)
            done = form_add_line(review->arena, review->lines, "A safety item goes: %s.",
                                 lists_safety_word((enum safety)item, false));
    }
    return done;
}

static void add_window(struct text *out, const struct case_state *state)
{
    char from[DAY_TEXT_SIZE], to[DAY_TEXT_SIZE];

    if (state->due_from == DAY_NONE) {
        text_add(out, "none");
        return;
    }
    text_add(out, day_to_text(state->due_from, from));
    if (state->due_to != DAY_NONE && state->due_to != state->due_from)
        text_addf(out, " to %s", day_to_text(state->due_to, to));
}

static enum status tell_due(struct review *review, const struct case_state *before,
                            const struct case_state *after, struct error *error)
{
    struct text text = {0};

    if (before->due_from == after->due_from && before->due_to == after->due_to)
        return STATUS_OK;
    text_add(&text, "Next date: ");
    add_window(&text, after);
    text_add(&text, " (now ");
    add_window(&text, before);
    text_add(&text, ").");
    return end_line(review, &text, error);
}

static enum status tell_effects(struct review *review, struct error *error)
{
    struct case_state before, after;

    enum status status = tell_verdicts(review, error);
    if (status != STATUS_OK)
        return status;
    course_state(&review->form->history, &before);
    course_state(&review->would, &after);
    if (!tell_safety(review, &before, &after))
        return error_no_memory(error);
    return tell_due(review, &before, &after, error);
}

enum status form_review(struct app *app, struct form *form, struct arena *arena,
                        struct lines *lines, struct error *error)
{
    const struct form_template *template = form_inner(form)->template;
    struct review review = {.app = app, .form = form, .arena = arena, .lines = lines};
    bool of_case = form->history.casefile != NULL;

    enum status status = tell_slots(&review, error);
    if (status == STATUS_OK && of_case)
        status = form_would_be(app, form, arena, &review.would, error);
    if (status == STATUS_OK && of_case)
        status = tell_beside(&review, error);
    if (status == STATUS_OK && template->warn != NULL)
        status = template->warn(app, form, arena, lines, error);
    return status == STATUS_OK && of_case ? tell_effects(&review, error) : status;
}
