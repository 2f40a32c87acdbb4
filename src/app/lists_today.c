/* SPDX-License-Identifier: GPL-3.0-or-later */
/* today: the day's bookings by time, then who is due; or every case that a search finds. */
#include <stdlib.h>
#include <string.h>

#include "springline/app/grow.h"
#include "springline/app/lists.h"
#include "springline/app/lists_find.h"

struct today_maker {
    struct app *app;
    struct arena *arena;
    struct today_list *list;
    size_t capacity;
    const char *folded; /* what is searched; "" nothing */
    char word[256];     /* the longest word of it: what the store looks for */
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

/* Is every word of the search in the number or the name, but for one that the store has looked for
 * (it knows the chart number, too)? NULL: none was. */
static bool matches(const struct today_maker *maker, const struct case_state *state,
                    const char *known)
{
    const char *const texts[] = {state->number, state->family, state->given};
    const char *folded = maker->folded;
    char word[sizeof maker->word];

    while (lists_next_word(&folded, word, sizeof word)) {
        if ((known == NULL || strcmp(word, known) != 0) &&
            !lists_found(texts, sizeof texts / sizeof texts[0], word))
            return false;
    }
    return true;
}

static enum status take_booking(void *context, const struct booking *booking,
                                const struct case_state *state, struct error *error)
{
    struct today_maker *maker = context;

    if (!matches(maker, state, NULL))
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

    if (listed(maker->list, &state->casefile) || !matches(maker, state, maker->word))
        return STATUS_OK;
    if (maker->list->count - maker->list->booking_count == SEARCH_MOST)
        return STATUS_NO; /* enough */
    struct today_row *row = next_row(maker, state);
    if (row == NULL)
        return error_no_memory(error);
    if (!recall_row(&row->state, maker->app->today, 0, booked, &row->recall))
        row->recall =
            (struct recall_row){.state = &row->state, .due_on = DAY_NONE, .booked = booked};
    return STATUS_OK;
}

/* Looks for the longest word, which is in the fewest cases; the others are looked for in what it
 * finds. Of a single word no more is read than is shown. */
static enum status add_found(struct today_maker *maker, struct error *error)
{
    const char *folded = maker->folded;
    char word[sizeof maker->word];
    int words = 0;

    for (; lists_next_word(&folded, word, sizeof word); words++) {
        if (strlen(word) > strlen(maker->word))
            memcpy(maker->word, word, sizeof word);
    }
    enum status status =
        store_search(maker->app->store, maker->word, maker->app->today,
                     words > 1 ? INT32_MAX : SEARCH_MOST, take_found, maker, error);
    return status == STATUS_NO ? STATUS_OK : status;
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
        status = add_found(&maker, error);
    for (size_t i = 0; i < list->count; i++) {
        list->rows[i].recall.state = &list->rows[i].state;
        list->safety_count += list->rows[i].recall.safety != SAFETY_NONE;
    }
    return status;
}
