/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/core/recall.h"

#include <string.h>

#include "springline/core/course.h"

static const char *const group_texts[] = {
    "", "safety", "overdue", "due", "booked", "resting", "retention",
};
const struct words words_recall_group = {"group", group_texts,
                                         sizeof group_texts / sizeof *group_texts};

/* The item that has stood longest on the day; the first named where two began together. */
static enum safety leading_item(const struct case_state *state, day on)
{
    enum safety leading = SAFETY_NONE;

    for (int i = SAFETY_NONE + 1; i < SAFETY_COUNT; i++) {
        day from = state->safety_from[i];
        if (from != DAY_NONE && from <= on &&
            (leading == SAFETY_NONE || from < state->safety_from[leading]))
            leading = (enum safety)i;
    }
    return leading;
}

static enum recall_group group_by_stage(const struct case_state *state, day on)
{
    switch (course_stage_on(state, on, NULL, NULL)) {
    case STAGE_RESTING:
        return RECALL_RESTING;
    case STAGE_RETENTION:
    case STAGE_STABILITY: /* the checks after retention are part of it (domain.md 8) */
        return RECALL_RETENTION;
    default:
        return RECALL_NONE;
    }
}

/* The group when no safety item stands and the case is open. */
static enum recall_group group_by_date(const struct case_state *state, day on, int32_t within,
                                       day booked)
{
    if (booked != DAY_NONE)
        return RECALL_BOOKED;
    if (state->due_from != DAY_NONE) {
        if (on > state->due_to)
            return RECALL_OVERDUE;
        if ((int64_t)state->due_from <= (int64_t)on + within)
            return RECALL_DUE;
    }
    return group_by_stage(state, on);
}

bool recall_row(const struct case_state *state, day on, int32_t within, day booked,
                struct recall_row *row)
{
    struct recall_row made = {.state = state, .booked = booked < on ? DAY_NONE : booked};

    made.safety = leading_item(state, on);
    if (made.safety != SAFETY_NONE) {
        made.group = RECALL_SAFETY;
        made.due_on = state->safety_from[made.safety];
        made.days_late = on - made.due_on;
    } else {
        if (state->stage == STAGE_CLOSED)
            return false;
        made.group = group_by_date(state, on, within, made.booked);
        made.due_on = state->due_from;
        if (state->due_from != DAY_NONE && on > state->due_to)
            made.days_late = on - state->due_to;
    }
    if (made.group == RECALL_NONE)
        return false;
    *row = made;
    return true;
}

static int compare_numbers(const char *a, const char *b)
{
    return strcmp(a == NULL ? "" : a, b == NULL ? "" : b);
}

/* A row without a day stands behind those with one. */
static day sort_day(day due_on)
{
    return due_on == DAY_NONE ? INT32_MAX : due_on;
}

int recall_order(const struct recall_row *left, const char *left_number,
                 const struct recall_row *right, const char *right_number)
{
    day left_day = sort_day(left->due_on), right_day = sort_day(right->due_on);

    if (left->group != right->group)
        return left->group < right->group ? -1 : 1;
    if (left->days_late != right->days_late)
        return left->days_late > right->days_late ? -1 : 1;
    if (left_day != right_day)
        return left_day < right_day ? -1 : 1;
    return compare_numbers(left_number, right_number);
}

int recall_compare(const void *a, const void *b)
{
    const struct recall_row *left = a, *right = b;

    return recall_order(left, left->state->number, right, right->state->number);
}
