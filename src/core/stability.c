/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/core/stability.h"

#include "course_parts.h"

/* Newest day on which the arch was given an activation, amounts known or not. */
static day last_activation(const struct history *history, enum arch arch, day today)
{
    day last = DAY_NONE;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit->arch == arch && course_reached(visit->date, today) && visit->date > last &&
            course_activates(visit))
            last = visit->date;
    }
    return last;
}

static void find_end(const struct history *history, day today, struct stability *stability)
{
    const struct expander *expander = stability->expander;
    day held = stability->held_from, last = last_activation(history, expander->arch, today);
    day closes = held + STABILITY_END_DAYS < today ? held + STABILITY_END_DAYS : today;

    stability->end = width_newest(history, expander, last + 1, held);
    if (stability->end.date == DAY_NONE)
        stability->end = width_oldest(history, expander, held > last ? held + 1 : last + 1, closes);
}

static void judge_change(struct stability *stability)
{
    stability->change = stability->latest.value - stability->end.value;
    stability->change_is = repeat_change_of(stability->change, stability->mdc);
    if (stability->gain <= 0 || repeat_change_of(stability->gain, stability->mdc) != CHANGE_REAL)
        return;
    stability->has_share = true;
    stability->share_lost = -(double)stability->change / (double)stability->gain;
    stability->share_error = (double)stability->mdc / (double)stability->gain;
}

static void measure(const struct history *history, day today, struct stability *stability)
{
    struct width_view view;

    width_view(history, history->protocol, stability->expander, today, &view);
    stability->baseline = view.baseline;
    stability->mdc = view.mdc;
    find_end(history, today, stability);
    stability->answer = STABILITY_NO_END;
    if (stability->end.date == DAY_NONE)
        return;
    if (view.baseline.date != DAY_NONE)
        stability->gain = stability->end.value - view.baseline.value;
    stability->latest = width_newest(history, stability->expander, stability->end.date + 1, today);
    stability->answer =
        stability->latest.date == DAY_NONE ? STABILITY_NO_LATER : STABILITY_MEASURED;
    if (stability->answer == STABILITY_MEASURED)
        judge_change(stability);
}

bool stability_of(const struct history *history, enum arch arch, day today,
                  struct stability *stability)
{
    const struct width_point none = {.date = DAY_NONE, .value = UM_NONE};
    const struct expander *expander = course_expander(history, arch, today);
    day end = expander == NULL ? DAY_NONE : course_retention_end(history, expander, today);

    if (end == DAY_NONE)
        return false;
    *stability = (struct stability){.expander = expander,
                                    .held_from = end - history->protocol->retention_days,
                                    .retention_end = end,
                                    .baseline = none,
                                    .end = none,
                                    .latest = none,
                                    .change = UM_NONE,
                                    .gain = UM_NONE};
    measure(history, today, stability);
    course_checks(history, expander, today, stability->checks);
    return true;
}
