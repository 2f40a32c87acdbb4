/* SPDX-License-Identifier: GPL-3.0-or-later */
/* recall and today: rows from the derived states, joined with the day's bookings. */
#include "springline/app/lists.h"

#include <stdlib.h>
#include <string.h>

#include "springline/app/grow.h"
#include "springline/core/course.h"

struct recall_maker {
    struct app *app;
    struct recall_list *list;
    struct arena growing; /* the pointers to the rows while they come, and late */
    struct listed_recall **rows;
    size_t capacity;
    day on;
    int32_t within;
    enum recall_group first, last; /* groups that are kept */
    bool whole;                    /* rows get their states at once */
    struct id *late;               /* cases whose state is newer than the day asked for */
    size_t late_count, late_capacity;
};

static const char *kept(struct arena *arena, const char *text)
{
    return arena_text(arena, text == NULL ? "" : text, text == NULL ? 0 : strlen(text));
}

/* A copy of the state, its texts in arena; NULL: no memory. */
static struct case_state *copy_state(struct arena *arena, const struct case_state *state)
{
    struct case_state *copy = arena_alloc(arena, sizeof *copy);

    return copy != NULL && app_copy_state(arena, state, copy) ? copy : NULL;
}

/* Lists the case; with its state where that is wanted. */
static enum status add_row(struct recall_maker *maker, const struct case_state *state,
                           const struct recall_row *row, bool with_state, struct error *error)
{
    struct recall_list *list = maker->list;
    struct listed_recall *listed = arena_alloc(list->arena, sizeof *listed);

    if (listed == NULL || !app_grow(&maker->growing, (void **)&maker->rows, list->count,
                                    &maker->capacity, sizeof(struct listed_recall *)))
        return error_no_memory(error);
    *listed = (struct listed_recall){
        .casefile = state->casefile, .again_on = state->again_on, .row = *row};
    listed->row.state = with_state ? copy_state(list->arena, state) : NULL;
    listed->number = with_state && listed->row.state != NULL ? listed->row.state->number
                                                             : kept(list->arena, state->number);
    if (listed->number == NULL || (with_state && listed->row.state == NULL))
        return error_no_memory(error);
    maker->rows[list->count++] = listed;
    return STATUS_OK;
}

static enum status keep_row(struct recall_maker *maker, const struct case_state *state, day booked,
                            bool with_state, struct error *error)
{
    struct recall_row row;

    if (!recall_row(state, maker->on, maker->within, booked, &row) || row.group < maker->first ||
        row.group > maker->last)
        return STATUS_OK;
    return add_row(maker, state, &row, with_state, error);
}

static enum status take_state(void *context, const struct case_state *state, day booked,
                              struct error *error)
{
    struct recall_maker *maker = context;

    if (state->newest == DAY_NONE || state->newest <= maker->on)
        return keep_row(maker, state, booked, maker->whole, error);
    if (!app_grow(&maker->growing, (void **)&maker->late, maker->late_count, &maker->late_capacity,
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
        /* A state that is made up from history can not be read again. */
        status = keep_row(maker, &state, next_booking(&history, maker->on), true, error);
    }
    arena_release(&arena);
    return status;
}

static int compare_listed(const void *a, const void *b)
{
    const struct listed_recall *left = *(struct listed_recall *const *)a;
    const struct listed_recall *right = *(struct listed_recall *const *)b;

    return recall_order(&left->row, left->number, &right->row, right->number);
}

/* Keeps the rows that have come, in order. */
static enum status sort_list(struct recall_maker *maker, struct error *error)
{
    struct recall_list *list = maker->list;

    if (list->count == 0)
        return STATUS_OK;
    qsort(maker->rows, list->count, sizeof(struct listed_recall *), compare_listed);
    list->rows = arena_array(list->arena, list->count, sizeof(struct listed_recall *));
    if (list->rows == NULL)
        return error_no_memory(error);
    memcpy(list->rows, maker->rows, list->count * sizeof(struct listed_recall *));
    return STATUS_OK;
}

static enum status make_list(struct recall_maker *maker, struct arena *arena, struct error *error)
{
    struct recall_list *list = maker->list;

    *list = (struct recall_list){.arena = arena};
    enum status status = store_each_state(maker->app->store, maker->on, take_state, maker, error);
    for (size_t i = 0; i < maker->late_count && status == STATUS_OK; i++)
        status = take_past(maker, &maker->late[i], error);
    if (status == STATUS_OK)
        status = sort_list(maker, error);
    if (status != STATUS_OK)
        *list = (struct recall_list){.arena = arena};
    arena_release(&maker->growing);
    return status;
}

enum status lists_recall(struct app *app, day on, int32_t within, enum recall_group group,
                         struct arena *arena, struct recall_list *list, struct error *error)
{
    struct recall_maker maker = {.app = app,
                                 .list = list,
                                 .on = on,
                                 .within = within,
                                 .first = group == RECALL_NONE ? RECALL_SAFETY : group,
                                 .last = group == RECALL_NONE ? RECALL_RETENTION : group,
                                 .whole = true};

    return make_list(&maker, arena, error);
}

enum status lists_recall_rows(struct app *app, enum recall_group last, struct arena *arena,
                              struct recall_list *list, struct error *error)
{
    struct recall_maker maker = {
        .app = app, .list = list, .on = app->today, .first = RECALL_SAFETY, .last = last};

    return make_list(&maker, arena, error);
}

/* ---- states that come later ---- */

/* Nothing is known: no text that could be taken for the case's own, no day, no verdict. */
static const struct case_state unread = {
    .stability_from_upper = DAY_NONE,
    .stability_from_lower = DAY_NONE,
    .newest = DAY_NONE,
    .last_seen = DAY_NONE,
    .due_from = DAY_NONE,
    .due_to = DAY_NONE,
    .safety_from = {DAY_NONE, DAY_NONE, DAY_NONE, DAY_NONE, DAY_NONE, DAY_NONE},
    .again_on = DAY_NONE,
    .last_contact = DAY_NONE,
    .number = "?",
    .family = "?",
    .given = "?",
    .phone = "?",
    .clinician = "?"};

_Static_assert(SAFETY_COUNT == 6, "unread stands for every safety item");

const struct case_state *lists_recall_state(struct app *app, const struct recall_list *list,
                                            struct listed_recall *row)
{
    struct case_state read, *state;

    if (row->row.state != NULL)
        return row->row.state;
    if (store_read_state(app->store, &row->casefile, list->arena, &read, NULL) != STATUS_OK)
        return &unread;
    state = arena_alloc(list->arena, sizeof *state);
    if (state == NULL)
        return &unread;
    *state = read;
    row->row.state = state;
    return state;
}

static int compare_cases(const void *a, const void *b)
{
    const struct listed_recall *left = *(struct listed_recall *const *)a;
    const struct listed_recall *right = *(struct listed_recall *const *)b;

    return id_compare(&left->casefile, &right->casefile);
}

/* Rows without a state, by case. */
struct filler {
    struct listed_recall **rows;
    size_t count;
    struct arena *arena;
};

static enum status fill_state(void *context, const struct case_state *state, day booked,
                              struct error *error)
{
    struct filler *filler = context;
    const struct listed_recall wanted = {.casefile = state->casefile};
    const struct listed_recall *key = &wanted;
    struct listed_recall **found =
        bsearch(&key, filler->rows, filler->count, sizeof(struct listed_recall *), compare_cases);

    (void)booked;
    if (found == NULL)
        return STATUS_OK;
    (*found)->row.state = copy_state(filler->arena, state);
    return (*found)->row.state == NULL ? error_no_memory(error) : STATUS_OK;
}

enum status lists_recall_states(struct app *app, const struct recall_list *list,
                                struct error *error)
{
    struct arena arena = {0};
    struct filler filler = {.arena = list->arena};
    enum status status = STATUS_OK;

    filler.rows = arena_array(&arena, list->count, sizeof(struct listed_recall *));
    if (filler.rows == NULL)
        return error_no_memory(error);
    for (size_t i = 0; i < list->count; i++) {
        if (list->rows[i]->row.state == NULL)
            filler.rows[filler.count++] = list->rows[i];
    }
    if (filler.count > 0) {
        qsort(filler.rows, filler.count, sizeof(struct listed_recall *), compare_cases);
        status = store_each_state(app->store, app->today, fill_state, &filler, error);
    }
    arena_release(&arena);
    return status;
}

/* The safety items of a row that stand on the day behind the leading one: the next one behind
 * after; SAFETY_COUNT: there is none. */
static int next_safety(const struct recall_row *row, day on, int after)
{
    for (int item = after + 1; item < SAFETY_COUNT; item++) {
        day from = row->state->safety_from[item];
        if (item != (int)row->safety && from != DAY_NONE && from <= on)
            return item;
    }
    return SAFETY_COUNT;
}

void lists_safety(struct text *out, const struct recall_row *row, day on)
{
    text_add(out, word_text(&words_safety, (int)row->safety));
    for (int item = next_safety(row, on, SAFETY_NONE); item < SAFETY_COUNT;
         item = next_safety(row, on, item))
        text_addf(out, "%s%s", row->safety == SAFETY_NONE ? "" : ";",
                  word_text(&words_safety, item));
}

const char *lists_safety_word(enum safety item, bool brief)
{
    static const struct {
        const char *word, *brief;
    } words[SAFETY_COUNT] = {
        [SAFETY_NONE] = {"", ""},
        [SAFETY_UNSEEN] = {"expander in place, not seen", "expander not seen"},
        [SAFETY_CLOSED_WITH_EXPANDER] = {"closed with the expander in", "closed, expander in"},
        [SAFETY_SEPARATORS] = {"separators left in", "separators left in"},
        [SAFETY_BANDS] = {"bands without a wire", "bands without a wire"},
        [SAFETY_OPEN_TROUBLE] = {"wound or fault open", "wound or fault open"},
    };

    return brief ? words[item].brief : words[item].word;
}

void lists_safety_told(struct text *out, const struct recall_row *row, day on)
{
    text_add(out, lists_safety_word(row->safety, false));
    for (int item = next_safety(row, on, SAFETY_NONE); item < SAFETY_COUNT;
         item = next_safety(row, on, item))
        text_addf(out, "%s%s", row->safety == SAFETY_NONE ? "" : "; ",
                  lists_safety_word((enum safety)item, false));
}
