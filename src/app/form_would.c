/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The case as it would be: the rows of a form put in the place of those they replace. */
#include <string.h>

#include "form_engine.h"

struct row_list form_rows_of(const struct history *history, enum record_kind kind)
{
    switch (kind) {
    case RECORD_TRAINER:
        return (struct row_list){history->trainers, history->trainer_count};
    case RECORD_EXPANDER:
        return (struct row_list){history->expanders, history->expander_count};
    case RECORD_VISIT:
        return (struct row_list){history->visits, history->visit_count};
    case RECORD_WIDTH:
        return (struct row_list){history->widths, history->width_count};
    case RECORD_WEAR_DAY:
        return (struct row_list){history->wear_days, history->wear_day_count};
    case RECORD_WEAR_COUNT:
        return (struct row_list){history->wear_counts, history->wear_count_count};
    case RECORD_CONTACT:
        return (struct row_list){history->contacts, history->contact_count};
    case RECORD_BOOKING:
        return (struct row_list){history->bookings, history->booking_count};
    case RECORD_PATIENT:
    case RECORD_CASEFILE:
    case RECORD_TOOTH_WIDTH:
    case RECORD_ARCH_SEGMENT:
    case RECORD_ARCH_DEPTH:
    case RECORD_PLAN:
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
    return (struct row_list){NULL, 0};
}

static void set_rows(struct history *history, enum record_kind kind, struct row_list list)
{
    switch (kind) {
    case RECORD_TRAINER:
        history->trainers = list.rows;
        history->trainer_count = list.count;
        break;
    case RECORD_EXPANDER:
        history->expanders = list.rows;
        history->expander_count = list.count;
        break;
    case RECORD_VISIT:
        history->visits = list.rows;
        history->visit_count = list.count;
        break;
    case RECORD_WIDTH:
        history->widths = list.rows;
        history->width_count = list.count;
        break;
    case RECORD_WEAR_DAY:
        history->wear_days = list.rows;
        history->wear_day_count = list.count;
        break;
    case RECORD_WEAR_COUNT:
        history->wear_counts = list.rows;
        history->wear_count_count = list.count;
        break;
    case RECORD_CONTACT:
        history->contacts = list.rows;
        history->contact_count = list.count;
        break;
    case RECORD_BOOKING:
        history->bookings = list.rows;
        history->booking_count = list.count;
        break;
    case RECORD_PATIENT:
    case RECORD_CASEFILE:
    case RECORD_TOOTH_WIDTH:
    case RECORD_ARCH_SEGMENT:
    case RECORD_ARCH_DEPTH:
    case RECORD_PLAN:
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
}

/* The rows without the record, and with row behind them (NULL: nothing is). */
static bool put_row(struct history *would, enum record_kind kind, const struct id *record,
                    const void *row, struct arena *arena)
{
    size_t size = record_tables[kind].size, kept = 0;
    struct row_list list = form_rows_of(would, kind);
    char *rows = arena_array(arena, list.count + 1, size);

    if (rows == NULL)
        return false;
    for (size_t i = 0; i < list.count; i++) {
        const char *old = (const char *)list.rows + i * size;
        const struct row_head *head = (const struct row_head *)(const void *)old;
        if (!id_equal(&head->record, record))
            memcpy(rows + kept++ * size, old, size);
    }
    if (row != NULL)
        memcpy(rows + kept++ * size, row, size);
    set_rows(would, kind, (struct row_list){rows, kept});
    return true;
}

/* The patient, the case and the protocol stand alone: another one's is no part of this case. */
static void put_alone(struct history *would, enum record_kind kind, const union any_record *row)
{
    const struct id *record = &row->head.record;

    if (kind == RECORD_PATIENT && id_equal(record, &would->patient->head.record))
        would->patient = &row->patient;
    else if (kind == RECORD_CASEFILE && id_equal(record, &would->casefile->head.record))
        would->casefile = &row->casefile;
    else if (kind == RECORD_PROTOCOL && id_equal(record, &would->protocol->head.record))
        would->protocol = &row->protocol;
}

/* A row as if it had just been saved, after everything that was. */
static union any_record *saved_row(const struct form_slot *slot, int which, struct arena *arena)
{
    union any_record *row = arena_alloc(arena, sizeof *row);

    if (row == NULL)
        return NULL;
    *row = slot->now;
    row->head.sequence = INT64_MAX - FORM_SLOTS + which;
    row->head.version++;
    if (id_is_none(&row->head.id))
        memset(row->head.id.bytes, 0xf0 + which, sizeof row->head.id.bytes);
    if (id_is_none(&row->head.record))
        row->head.record = row->head.id;
    return row;
}

static enum status put_slot(const struct form *form, int which, struct arena *arena,
                            struct history *would, struct error *error)
{
    const struct form_slot *slot = &form_inner(form)->slots[which];
    union any_record *row = saved_row(slot, which, arena);

    if (row == NULL)
        return error_no_memory(error);
    const struct id *owner = form_case_of(slot->record, row);
    bool of_case = owner != NULL && slot->record != RECORD_CASEFILE;
    if (!of_case)
        put_alone(would, slot->record, row);
    else if (id_equal(owner, &would->casefile->head.record) &&
             !put_row(would, slot->record, &row->head.record, row, arena))
        return error_no_memory(error);
    return STATUS_OK;
}

/* Another protocol for the case: its own row of this form, or one that is recorded. */
static enum status follow_protocol(struct app *app, const struct form *form, struct arena *arena,
                                   struct history *would, struct error *error)
{
    const struct form_inner *inner = form_inner(form);
    const char *before = form->history.casefile->protocol, *after = would->casefile->protocol;

    if (strcmp(before == NULL ? "" : before, after == NULL ? "" : after) == 0)
        return STATUS_OK;
    for (int i = 0; i < FORM_SLOTS; i++) {
        const struct form_slot *slot = &inner->slots[i];
        if (slot->record == RECORD_PROTOCOL && form_slot_written(slot) && after != NULL &&
            slot->now.protocol.name != NULL && strcmp(slot->now.protocol.name, after) == 0) {
            would->protocol = &slot->now.protocol;
            return STATUS_OK;
        }
    }
    struct protocol *protocol = arena_alloc(arena, sizeof *protocol);
    if (protocol == NULL)
        return error_no_memory(error);
    would->protocol = protocol;
    enum status status = store_read_protocol(app->store, after, STORE_NOW, arena, protocol, error);
    if (status == STATUS_NOT_FOUND)
        return error_set(error, STATUS_INPUT, "protocol",
                         "There is no protocol \"%.60s\" here; leave the field empty for the "
                         "practice's own.",
                         after);
    return status;
}

enum status form_would_be(struct app *app, const struct form *form, struct arena *arena,
                          struct history *would, struct error *error)
{
    const struct form_inner *inner = form_inner(form);
    const struct form_slot *first = &inner->slots[0];
    enum status status = STATUS_OK;

    *would = form->history;
    if (form_withdraws(form)) {
        if (form_rows_of(would, first->record).count > 0 &&
            !put_row(would, first->record, &first->now.head.record, NULL, arena))
            return error_no_memory(error);
        return STATUS_OK;
    }
    for (int i = 0; i < FORM_SLOTS && status == STATUS_OK; i++) {
        if (form_slot_written(&inner->slots[i]))
            status = put_slot(form, i, arena, would, error);
    }
    if (status == STATUS_OK)
        status = follow_protocol(app, form, arena, would, error);
    if (status == STATUS_OK && inner->template->beside != NULL)
        status = inner->template->beside(app, form, arena, would, error);
    return status;
}
