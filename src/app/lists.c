/* SPDX-License-Identifier: GPL-3.0-or-later */
/* recall and today: rows from the derived states, joined with the day's bookings. */
#include "springline/app/lists.h"

#include <stdlib.h>
#include <string.h>

#include "springline/app/grow.h"
#include "springline/core/course.h"

struct recall_maker {
    struct app *app;
    struct arena *arena;
    struct recall_list *list;
    size_t capacity;
    day on;
    int32_t within;
    enum recall_group group;
    struct id *late; /* cases whose state is newer than the day asked for */
    size_t late_count, late_capacity;
};

static enum status keep_row(struct recall_maker *maker, const struct case_state *state, day booked,
                            struct error *error)
{
    struct recall_row row;

    if (!recall_row(state, maker->on, maker->within, booked, &row))
        return STATUS_OK;
    if (maker->group != RECALL_NONE && row.group != maker->group)
        return STATUS_OK;
    if (!app_grow(maker->arena, (void **)&maker->list->rows, maker->list->count, &maker->capacity,
                  sizeof *maker->list->rows))
        return error_no_memory(error);
    struct listed_recall *listed = &maker->list->rows[maker->list->count];
    listed->row = row;
    if (!app_copy_state(maker->arena, state, &listed->state))
        return error_no_memory(error);
    maker->list->count++;
    return STATUS_OK;
}

static enum status take_state(void *context, const struct case_state *state, day booked,
                              struct error *error)
{
    struct recall_maker *maker = context;

    if (state->newest == DAY_NONE || state->newest <= maker->on)
        return keep_row(maker, state, booked, error);
    if (!app_grow(maker->arena, (void **)&maker->late, maker->late_count, &maker->late_capacity,
                  sizeof *maker->late))
        return error_no_memory(error);
    maker->late[maker->late_count++] = state->casefile;
    return STATUS_OK;
}

/* The next standing booking on or after a day; DAY_NONE when there is none. */
static day next_booking(const struct history *history, day on)
{
    day next = DAY_NONE;

    for (size_t i = 0; i < history->booking_count; i++) {
        const struct booking *booking = &history->bookings[i];
        if (booking->state == BOOKED_STANDING && booking->date >= on &&
            (next == DAY_NONE || booking->date < next))
            next = booking->date;
    }
    return next;
}

/* The day asked for lies before the case's newest row: its state as it stood then. */
static enum status take_past(struct recall_maker *maker, const struct id *casefile,
                             struct error *error)
{
    struct arena arena = {0};
    struct history history, until;
    struct case_state state;

    enum status status =
        store_read_case(maker->app->store, casefile, STORE_NOW, &arena, &history, error);
    if (status == STATUS_OK && !history_until(&history, maker->on, &arena, &until))
        status = error_no_memory(error);
    if (status == STATUS_OK && until.casefile->opened <= maker->on) {
        course_state(&until, &state);
        status = keep_row(maker, &state, next_booking(&history, maker->on), error);
    }
    arena_release(&arena);
    return status;
}

enum status lists_recall(struct app *app, day on, int32_t within, enum recall_group group,
                         struct arena *arena, struct recall_list *list, struct error *error)
{
    struct recall_maker maker = {
        .app = app, .arena = arena, .list = list, .on = on, .within = within, .group = group};

    *list = (struct recall_list){0};
    enum status status = store_each_state(app->store, on, take_state, &maker, error);
    for (size_t i = 0; i < maker.late_count && status == STATUS_OK; i++)
        status = take_past(&maker, &maker.late[i], error);
    if (status != STATUS_OK)
        return status;
    for (size_t i = 0; i < list->count; i++)
        list->rows[i].row.state = &list->rows[i].state;
    if (list->count > 0)
        qsort(list->rows, list->count, sizeof *list->rows, lists_compare_recall);
    for (size_t i = 0; i < list->count; i++)
        list->rows[i].row.state = &list->rows[i].state;
    return STATUS_OK;
}

int lists_compare_recall(const void *a, const void *b)
{
    const struct listed_recall *left = a, *right = b;
    struct recall_row left_row = left->row, right_row = right->row;

    left_row.state = &left->state; /* qsort moves the rows their pointers point to */
    right_row.state = &right->state;
    return recall_compare(&left_row, &right_row);
}

void lists_safety(struct text *out, const struct recall_row *row, day on)
{
    text_add(out, word_text(&words_safety, (int)row->safety));
    for (int safety = SAFETY_NONE + 1; safety < SAFETY_COUNT; safety++) {
        day from = row->state->safety_from[safety];
        if (safety != (int)row->safety && from != DAY_NONE && from <= on)
            text_addf(out, "%s%s", row->safety == SAFETY_NONE ? "" : ";",
                      word_text(&words_safety, safety));
    }
}
