/* SPDX-License-Identifier: GPL-3.0-or-later */
/* today: the day's bookings by time, then who is due; or every case that a search finds. */
#include <stdlib.h>
#include <string.h>

#include "springline/app/grow.h"
#include "springline/app/lists.h"

struct today_maker {
    struct app *app;
    struct arena *arena;
    struct today_list *list;
    size_t capacity;
    const char *folded;
};

enum { SEARCH_MOST = 500 }; /* more rows than a person reads; the search narrows as they type */

static struct today_row *next_row(struct today_maker *maker, const struct case_state *state)
{
    struct today_list *list = maker->list;

    if (!app_grow(maker->arena, (void **)&list->rows, list->count, &maker->capacity,
                  sizeof *list->rows))
        return NULL;
    struct today_row *row = &list->rows[list->count];
    *row = (struct today_row){.casefile = state->casefile, .time_min = -1};
    if (!app_copy_state(maker->arena, state, &row->state))
        return NULL;
    list->count++;
    return row;
}

static bool matches(const struct today_maker *maker, const struct case_state *state)
{
    return maker->folded[0] == '\0' || text_matches(state->number, maker->folded) ||
           text_matches(state->family, maker->folded) || text_matches(state->given, maker->folded);
}

static enum status take_booking(void *context, const struct booking *booking,
                                const struct case_state *state, struct error *error)
{
    struct today_maker *maker = context;

    if (!matches(maker, state))
        return STATUS_OK;
    struct today_row *row = next_row(maker, state);
    if (row == NULL)
        return error_no_memory(error);
    row->booking = true;
    row->time_min = booking->time_min;
    row->kind = booking->kind;
    row->booking_state = booking->state;
    recall_row(&row->state, maker->app->today, 0, maker->app->today, &row->recall);
    maker->list->booking_count++;
    return STATUS_OK;
}

static bool listed(const struct today_list *list, const struct id *casefile)
{
    for (size_t i = 0; i < list->booking_count; i++) {
        if (id_equal(&list->rows[i].casefile, casefile))
            return true;
    }
    return false;
}

/* Nobody typed anything: who is due, overdue or a safety item, unless booked today anyway. */
static enum status add_due(struct today_maker *maker, struct error *error)
{
    struct arena arena = {0};
    struct recall_list recalls;

    enum status status =
        lists_recall(maker->app, maker->app->today, 0, RECALL_NONE, &arena, &recalls, error);
    for (size_t i = 0; i < recalls.count && status == STATUS_OK; i++) {
        const struct listed_recall *recall = &recalls.rows[i];
        if (recall->row.group > RECALL_DUE || listed(maker->list, &recall->state.casefile))
            continue;
        struct today_row *row = next_row(maker, &recall->state);
        if (row == NULL)
            status = error_no_memory(error);
        else
            row->recall = recall->row;
    }
    arena_release(&arena);
    return status;
}

static enum status take_found(void *context, const struct case_state *state, day booked,
                              struct error *error)
{
    struct today_maker *maker = context;

    if (listed(maker->list, &state->casefile))
        return STATUS_OK;
    struct today_row *row = next_row(maker, state);
    if (row == NULL)
        return error_no_memory(error);
    if (!recall_row(&row->state, maker->app->today, 0, booked, &row->recall))
        row->recall =
            (struct recall_row){.state = &row->state, .due_on = DAY_NONE, .booked = booked};
    return STATUS_OK;
}

enum status lists_today(struct app *app, const char *folded, struct arena *arena,
                        struct today_list *list, struct error *error)
{
    struct today_maker maker = {.app = app, .arena = arena, .list = list, .folded = folded};

    *list = (struct today_list){0};
    enum status status = store_each_booking(app->store, app->today, take_booking, &maker, error);
    if (status == STATUS_OK && folded[0] == '\0')
        status = add_due(&maker, error);
    else if (status == STATUS_OK)
        status =
            store_search(app->store, folded, app->today, SEARCH_MOST, take_found, &maker, error);
    for (size_t i = 0; i < list->count; i++) {
        list->rows[i].recall.state = &list->rows[i].state;
        list->safety_count += list->rows[i].recall.safety != SAFETY_NONE;
    }
    return status;
}
