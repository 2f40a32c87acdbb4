/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A booking is made, and what became of it. */
#include <stdlib.h>

#include "form_parts.h"
#include "form_templates.h"
#include "springline/core/course.h"

enum { SUNDAY = 0, SATURDAY = 6 };
/* Asked about once: outside of these minutes a time is more often a slip than a visit. A setting of
 * our own, no source. */
enum { USUAL_FROM_MIN = 7 * 60, USUAL_TO_MIN = 19 * 60 };

/* ---- a new booking ---- */

struct booking_kept {
    struct case_state state; /* for the due window */
    const char *help;        /* with the window; NULL: there is none */
};

/* A closed case is booked only while something of it must be looked at. */
static bool safety_today(const struct case_state *state, day on)
{
    for (int item = SAFETY_NONE + 1; item < SAFETY_COUNT; item++) {
        if (state->safety_from[item] != DAY_NONE && state->safety_from[item] <= on)
            return true;
    }
    return false;
}

static const char *tell_due(struct form *form, const struct case_state *state)
{
    char from[DAY_TEXT_SIZE], to[DAY_TEXT_SIZE];

    if (state->due_from == DAY_NONE)
        return NULL;
    return form_textf(form, "Due %s to %s; 14 is in 14 days.", day_to_text(state->due_from, from),
                      day_to_text(state->due_to, to));
}

static enum status prepare_booking(struct app *app, struct form *form, struct error *error)
{
    struct booking_kept *kept = arena_alloc(&form->arena, sizeof *kept);

    if (kept == NULL)
        return error_no_memory(error);
    course_state(&form->history, &kept->state);
    if (!safety_today(&kept->state, app->today)) {
        enum status status = form_need_open(app, form, error);
        if (status != STATUS_OK)
            return status;
    }
    form_inner(form)->kept = kept;
    kept->help = tell_due(form, &kept->state);
    form_put_new(form, 0);
    form_now(form, 0)->booking.state = BOOKED_STANDING;
    return STATUS_OK;
}

/* What the next visit of a stage is usually for. */
static enum booking_kind kind_offered(const struct case_state *state, enum stage stage, day on)
{
    static const enum booking_kind kinds[] = {
        [STAGE_NONE] = BOOKING_ASSESSMENT,     [STAGE_ASSESSED] = BOOKING_ASSESSMENT,
        [STAGE_PLANNED] = BOOKING_SEPARATORS,  [STAGE_SEPARATORS] = BOOKING_BANDS,
        [STAGE_BANDED] = BOOKING_FIT,          [STAGE_FITTED] = BOOKING_ACTIVATION,
        [STAGE_ACTIVE] = BOOKING_ACTIVATION,   [STAGE_RETENTION] = BOOKING_CHECK,
        [STAGE_STABILITY] = BOOKING_STABILITY, [STAGE_RESTING] = BOOKING_CHECK,
        [STAGE_CLOSED] = BOOKING_REMOVAL,
    };
    day trouble = state->safety_from[SAFETY_OPEN_TROUBLE];

    if (trouble != DAY_NONE && trouble <= on)
        return BOOKING_REPAIR;
    return kinds[stage];
}

static bool is_weekend(day date)
{
    return day_weekday(date) == SUNDAY || day_weekday(date) == SATURDAY;
}

/* The first day of the window that is still to come and no weekend, if there is one. */
static day date_offered(const struct case_state *state, day today)
{
    day date = state->due_from;

    if (date == DAY_NONE || date <= today)
        return DAY_NONE;
    for (day later = date; later <= state->due_to; later++) {
        if (!is_weekend(later))
            return later;
    }
    return date;
}

static void follow_booking(struct app *app, struct form *form)
{
    const struct booking_kept *kept = form_inner(form)->kept;
    enum stage stage = course_stage(&form->history, app->today);

    form_word(form, 0, "date", NULL, kept->help);
    form_offer_day(form, 0, "date", date_offered(&kept->state, app->today));
    form_offer_word(form, 0, "kind", &words_booking_kind,
                    (int)kind_offered(&kept->state, stage, app->today));
}

static enum entry ask_time(int32_t time_min, char sentence[200])
{
    char clock[6], from[6], to[6];

    if (time_min < 0 || (time_min >= USUAL_FROM_MIN && time_min <= USUAL_TO_MIN))
        return ENTRY_TAKEN;
    return form_say(sentence, ENTRY_ASK, "%s is outside %s to %s. Enter again to keep it.",
                    clock_to_text(time_min, clock), clock_to_text(USUAL_FROM_MIN, from),
                    clock_to_text(USUAL_TO_MIN, to));
}

static enum entry enter_booking(struct app *app, struct form *form, int index, char sentence[200])
{
    day date = form_now(form, 0)->booking.date;
    char on[DAY_TEXT_SIZE];

    if (index == form_index(form, 0, "time"))
        return ask_time(form_now(form, 0)->booking.time_min, sentence);
    if (index != form_index(form, 0, "date") || date == DAY_NONE)
        return ENTRY_TAKEN;
    if (date < app->today)
        return form_say(sentence, ENTRY_REFUSED,
                        "%s is past; a booking is made for today or later.", day_to_text(date, on));
    if (!is_weekend(date))
        return ENTRY_TAKEN;
    return form_say(sentence, ENTRY_ASK, "%s is a %s. Enter again to keep it.",
                    day_to_text(date, on), day_weekday_name(date));
}

static enum status check_booking(struct app *app, struct form *form, int *index,
                                 struct error *error)
{
    return form_need_new(app, form, 0, "time", index, error);
}

struct clash { /* the bookings of one day beside the new one */
    const struct form *form;
    struct arena *arena;
    struct lines *lines;
};

static enum status tell_clash(void *context, const struct booking *booking,
                              const struct case_state *state, struct error *error)
{
    const struct clash *clash = context;
    const struct booking *made = &form_now(clash->form, 0)->booking;
    char clock[6];

    if (booking->state != BOOKED_STANDING || booking->time_min != made->time_min ||
        id_equal(&booking->casefile, &made->casefile))
        return STATUS_OK;
    return form_lines_done(
        form_add_line(clash->arena, clash->lines, "Case %s (%s) is booked for the same time, %s.",
                      state->number, state->family, clock_to_text(booking->time_min, clock)),
        error);
}

static bool tell_window(const struct case_state *state, day date, struct arena *arena,
                        struct lines *lines)
{
    char from[DAY_TEXT_SIZE], to[DAY_TEXT_SIZE];

    if (date == DAY_NONE || state->due_from == DAY_NONE ||
        (date >= state->due_from && date <= state->due_to))
        return true;
    return form_add_line(arena, lines, "The day lies outside the window %s to %s.",
                         day_to_text(state->due_from, from), day_to_text(state->due_to, to));
}

/* Of a case whose arches are kept as they are, or that is closed, nothing is activated. */
static bool tell_stage(const struct app *app, const struct form *form, struct arena *arena,
                       struct lines *lines)
{
    enum stage stage = course_stage(&form->history, app->today);

    if (form_now(form, 0)->booking.kind != BOOKING_ACTIVATION ||
        (stage != STAGE_RETENTION && stage != STAGE_STABILITY && stage != STAGE_CLOSED))
        return true;
    return form_add_line(arena, lines,
                         "The case is %s%s: no activation is planned; is another visit meant?",
                         stage == STAGE_CLOSED ? "" : "in ", word_text(&words_stage, (int)stage));
}

static enum status warn_booking(struct app *app, struct form *form, struct arena *arena,
                                struct lines *lines, struct error *error)
{
    const struct booking_kept *kept = form_inner(form)->kept;
    const struct booking *made = &form_now(form, 0)->booking;
    struct clash clash = {form, arena, lines};
    char on[DAY_TEXT_SIZE], clock[6];

    if (!tell_stage(app, form, arena, lines) ||
        !tell_window(&kept->state, made->date, arena, lines))
        return error_no_memory(error);
    for (size_t i = 0; i < form->history.booking_count; i++) {
        const struct booking *other = &form->history.bookings[i];
        if (other->state == BOOKED_STANDING && other->date >= app->today &&
            !form_add_line(arena, lines, "A booking of this case stands already: %s at %s.",
                           day_to_text(other->date, on), clock_to_text(other->time_min, clock)))
            return error_no_memory(error);
    }
    return store_each_booking(app->store, made->date, tell_clash, &clash, error);
}

static const struct form_item booking_items[] = {
    {0, "date", "date", "Day of the visit, or 14 for in 14 days.", NULL,
     ITEM_REQUIRED | ITEM_FIRST},
    {0, "time", "time", "Time of the visit: 09:30 or 0930.", NULL, ITEM_REQUIRED},
    {0, "kind", "for", "What the visit is for.", NULL, ITEM_REQUIRED},
};
const struct form_template form_template_booking = {
    .kind = FORM_BOOKING,
    .name = "booking",
    .title = "Booking",
    .items = booking_items,
    .item_count = sizeof booking_items / sizeof booking_items[0],
    .slots = {RECORD_BOOKING, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_booking,
    .follow = follow_booking,
    .check = check_booking,
    .warn = warn_booking,
    .enter = enter_booking,
};

/* ---- what became of it ---- */

enum { END_BOOKING, END_VISIT, END_MOST = 9 };

struct end_kept {
    const struct booking *standing[END_MOST]; /* by day and time */
    const char *names[END_MOST];
    int count;
};

static int compare_bookings(const void *a, const void *b)
{
    const struct booking *left = *(const struct booking *const *)a;
    const struct booking *right = *(const struct booking *const *)b;

    if (left->date != right->date)
        return left->date < right->date ? -1 : 1;
    return (left->time_min > right->time_min) - (left->time_min < right->time_min);
}

/* The standing bookings, the oldest first: what nobody said anything about, then what is to come.
 */
static bool find_standing(struct form *form, struct end_kept *kept)
{
    const struct history *history = &form->history;
    const struct booking **all = arena_array(&form->arena, history->booking_count + 1, sizeof *all);
    size_t count = 0;

    if (all == NULL)
        return false;
    for (size_t i = 0; i < history->booking_count; i++) {
        if (history->bookings[i].state == BOOKED_STANDING)
            all[count++] = &history->bookings[i];
    }
    if (count > 0)
        qsort(all, count, sizeof *all, compare_bookings);
    for (kept->count = 0; kept->count < END_MOST && (size_t)kept->count < count; kept->count++) {
        const struct booking *booking = all[kept->count];
        char on[DAY_TEXT_SIZE], clock[6];
        kept->standing[kept->count] = booking;
        kept->names[kept->count] = form_textf(form, "%s %s", day_to_text(booking->date, on),
                                              clock_to_text(booking->time_min, clock));
    }
    return true;
}

/* The state is what is asked for, so the form begins without one. */
static void take_booking(struct form *form, const struct booking *booking)
{
    struct form_slot *slot = &form_inner(form)->slots[END_BOOKING];

    form_put_row(form, END_BOOKING, booking);
    slot->now.booking.state = slot->before.booking.state = BOOKED_NONE;
    slot->now.head.reason = "what became of the booking";
    struct visit *visit = &form_now(form, END_VISIT)->visit;
    visit->date = booking->date;
}

static enum status prepare_booking_end(struct app *app, struct form *form, struct error *error)
{
    struct end_kept *kept = arena_alloc(&form->arena, sizeof *kept);
    const char *number = form->history.casefile->number;

    if (kept == NULL || !find_standing(form, kept))
        return error_no_memory(error);
    if (kept->count == 0)
        return error_set(error, STATUS_INPUT, number, "Case %s has no booking that stands.",
                         number);
    form_inner(form)->kept = kept;
    form_put_new(form, END_VISIT);
    form_now(form, END_VISIT)->visit.kind = VISIT_MISSED;
    form_now(form, END_VISIT)->visit.by = form_by(app, form);
    take_booking(form, kept->standing[0]);
    return STATUS_OK;
}

static bool missed_already(const struct history *history, day date)
{
    for (size_t i = 0; i < history->visit_count; i++) {
        if (history->visits[i].date == date && history->visits[i].kind == VISIT_MISSED)
            return true;
    }
    return false;
}

static void follow_booking_end(struct app *app, struct form *form)
{
    const struct end_kept *kept = form_inner(form)->kept;

    form_make_choice(form, END_BOOKING, "which", kept->names, kept->count, 1);
    form_skip(form, END_BOOKING, "which", kept->count == 1);
    form_demand(form, END_BOOKING, "which", kept->count > 1);
    int chosen = form_chosen(form, END_BOOKING, "which");
    const struct booking *now = &form_now(form, END_BOOKING)->booking;
    if (chosen > 0 && !id_equal(&kept->standing[chosen - 1]->head.record, &now->head.record)) {
        take_booking(form, kept->standing[chosen - 1]);
        form_show(form, END_BOOKING);
    }
    unsigned over = now->date <= app->today ? 1U << BOOKED_KEPT | 1U << BOOKED_MISSED : 0;
    form_leave(form, END_BOOKING, "state", over | 1U << BOOKED_CANCELLED);
    bool cancelled = now->state == BOOKED_CANCELLED;
    form_skip(form, END_BOOKING, "cancelled_by", !cancelled);
    form_demand(form, END_BOOKING, "cancelled_by", cancelled);
    bool missed = now->state == BOOKED_MISSED && !missed_already(&form->history, now->date);
    form_inner(form)->slots[END_VISIT].write = missed;
    form_skip(form, END_VISIT, "note", !missed);
}

static enum entry enter_booking_end(struct app *app, struct form *form, int index,
                                    char sentence[200])
{
    (void)app;
    if (index == form_index(form, END_BOOKING, "which"))
        return form_take_choice(form, index, sentence);
    return ENTRY_TAKEN;
}

static enum status warn_booking_end(struct app *app, struct form *form, struct arena *arena,
                                    struct lines *lines, struct error *error)
{
    const struct booking *booking = &form_now(form, END_BOOKING)->booking;
    const struct history *history = &form->history;

    (void)app;
    if (booking->state != BOOKED_KEPT)
        return STATUS_OK;
    for (size_t i = 0; i < history->visit_count; i++) {
        if (history->visits[i].date == booking->date && history->visits[i].kind != VISIT_MISSED)
            return STATUS_OK;
    }
    return form_lines_done(form_add_line(arena, lines,
                                         "No visit of that day is recorded; a kept booking alone "
                                         "says nothing of what was found."),
                           error);
}

static const struct form_item booking_end_items[] = {
    {END_BOOKING, "which", "booking", "Which booking; the oldest that stands comes first.", NULL,
     ITEM_FIRST},
    {END_BOOKING, "state", "what became of it",
     "Kept: the child came. Missed counts once a day; cancelled does not count.", NULL,
     ITEM_REQUIRED},
    {END_BOOKING, "cancelled_by", "cancelled by", "Who cancelled it.", NULL, 0},
    {END_VISIT, "note", "note", "What the family said, if anything.", NULL, 0},
};
const struct form_template form_template_booking_end = {
    .kind = FORM_BOOKING_END,
    .name = "booking-end",
    .title = "What became of a booking",
    .items = booking_end_items,
    .item_count = sizeof booking_end_items / sizeof booking_end_items[0],
    .slots = {RECORD_BOOKING, RECORD_VISIT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_booking_end,
    .follow = follow_booking_end,
    .warn = warn_booking_end,
    .enter = enter_booking_end,
};
