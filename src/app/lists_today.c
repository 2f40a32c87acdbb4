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
    struct id *booked;             /* the cases that are booked today, sorted */
    const char *folded;            /* what is searched; "" nothing */
    char word[256];                /* the longest word of it: what the store looks for */
    char digits[LISTS_PHONE_SIZE]; /* the search, where it is a telephone number; "" it is none */
};

enum { SEARCH_MOST = 500 }; /* more rows than a person reads; the search narrows as they type */
/* ---- the rows ---- */

static struct today_row *next_row(struct today_maker *maker, struct listed_recall *listed)
{
    struct today_list *list = maker->list;

    if (!app_grow(maker->arena, (void **)&list->rows, list->count, &maker->capacity,
                  sizeof *list->rows))
        return NULL;
    struct today_row *row = &list->rows[list->count++];
    *row = (struct today_row){.listed = listed, .time_min = -1};
    return row;
}

/* Adds a row for a case with its state; on no list until recall says otherwise. */
static struct today_row *next_case(struct today_maker *maker, const struct case_state *state)
{
    struct listed_recall *listed = arena_alloc(maker->arena, sizeof *listed);
    struct case_state *copy = arena_alloc(maker->arena, sizeof *copy);

    if (listed == NULL || copy == NULL || !app_copy_state(maker->arena, state, copy))
        return NULL;
    *listed =
        (struct listed_recall){.casefile = state->casefile,
                               .number = copy->number,
                               .again_on = copy->again_on,
                               .row = {.state = copy, .due_on = DAY_NONE, .booked = DAY_NONE}};
    return next_row(maker, listed);
}

/* Is every word of the search in the number or the name, but for one that the store has looked for
 * (it knows the chart number, too)? NULL: none was. */
static bool matches(const struct today_maker *maker, const struct case_state *state,
                    const char *known)
{
    const char *const texts[] = {state->number, state->family, state->given};
    const char *folded = maker->folded;
    char word[sizeof maker->word];

    if (lists_phone_found(state->phone, maker->digits))
        return true;
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
    struct today_row *row = next_case(maker, state);
    if (row == NULL)
        return error_no_memory(error);
    row->booking = true;
    row->time_min = booking->time_min;
    row->kind = booking->kind;
    row->booking_state = booking->state;
    recall_row(row->listed->row.state, maker->app->today, 0, maker->app->today, &row->listed->row);
    maker->list->booking_count++;
    maker->list->standing_count += booking->state == BOOKED_STANDING;
    return STATUS_OK;
}

static int compare_ids(const void *a, const void *b)
{
    return id_compare(a, b);
}

/* The cases booked today, sorted, so that a long list is not compared with all of them. */
static enum status note_booked(struct today_maker *maker, struct error *error)
{
    const struct today_list *list = maker->list;

    maker->booked = arena_array(maker->arena, list->booking_count, sizeof *maker->booked);
    if (maker->booked == NULL)
        return error_no_memory(error);
    for (size_t i = 0; i < list->booking_count; i++)
        maker->booked[i] = list->rows[i].listed->casefile;
    if (list->booking_count > 0)
        qsort(maker->booked, list->booking_count, sizeof *maker->booked, compare_ids);
    return STATUS_OK;
}

static bool is_booked(const struct today_maker *maker, const struct id *casefile)
{
    size_t count = maker->list->booking_count;

    return count > 0 &&
           bsearch(casefile, maker->booked, count, sizeof *maker->booked, compare_ids) != NULL;
}

/* Nobody typed anything: who is due, overdue or a safety item, unless booked today anyway. */
static enum status add_due(struct today_maker *maker, struct error *error)
{
    struct recall_list *recalls = &maker->list->recalls;

    enum status status = lists_recall_rows(maker->app, RECALL_DUE, maker->arena, recalls, error);
    for (size_t i = 0; i < recalls->count && status == STATUS_OK; i++) {
        if (!is_booked(maker, &recalls->rows[i]->casefile) &&
            next_row(maker, recalls->rows[i]) == NULL)
            status = error_no_memory(error);
    }
    return status;
}

static enum status take_found(void *context, const struct case_state *state, day booked,
                              struct error *error)
{
    struct today_maker *maker = context;

    if (is_booked(maker, &state->casefile) || !matches(maker, state, maker->word))
        return STATUS_OK;
    if (maker->list->count - maker->list->booking_count == SEARCH_MOST)
        return STATUS_NO; /* enough */
    struct today_row *row = next_case(maker, state);
    if (row == NULL)
        return error_no_memory(error);
    struct recall_row *recall = &row->listed->row;
    if (!recall_row(recall->state, maker->app->today, 0, booked, recall))
        *recall = (struct recall_row){.state = recall->state, .due_on = DAY_NONE, .booked = booked};
    return STATUS_OK;
}

static bool is_listed(const struct today_list *list, const struct id *casefile)
{
    bool found = false;

    for (size_t i = 0; i < list->count && !found; i++)
        found = id_equal(&list->rows[i].listed->casefile, casefile);
    return found;
}

/* Of a telephone number the store keeps no index: every case is looked at. */
static enum status take_phone(void *context, const struct case_state *state, day booked,
                              struct error *error)
{
    struct today_maker *maker = context;

    if (!lists_phone_found(state->phone, maker->digits) || is_listed(maker->list, &state->casefile))
        return STATUS_OK;
    return take_found(context, state, booked, error);
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
    if (status == STATUS_OK && maker->digits[0] != '\0')
        status = store_each_state(maker->app->store, maker->app->today, take_phone, maker, error);
    return status == STATUS_NO ? STATUS_OK : status;
}

enum status lists_today(struct app *app, const char *folded, struct arena *arena,
                        struct today_list *list, struct error *error)
{
    struct today_maker maker = {.app = app, .arena = arena, .list = list, .folded = folded};

    *list = (struct today_list){.recalls = {.arena = arena}};
    lists_phone_digits(folded, maker.digits);
    enum status status = store_each_booking(app->store, app->today, take_booking, &maker, error);
    if (status == STATUS_OK)
        status = note_booked(&maker, error);
    if (status == STATUS_OK && folded[0] == '\0')
        status = add_due(&maker, error);
    else if (status == STATUS_OK)
        status = add_found(&maker, error);
    list->call_count = list->recalls.count;
    for (size_t i = 0; i < list->recalls.count; i++)
        list->safety_count += list->recalls.rows[i]->row.group == RECALL_SAFETY;
    return status;
}
