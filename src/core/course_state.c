/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Everything a list needs of one case, such that it holds for any day on or after the newest row.
 */
#include "course_parts.h"
#include "springline/core/wear.h"

static day later_of(day a, day b)
{
    return a > b ? a : b; /* DAY_NONE is the least of all days */
}

static day newest_of_courses(const struct history *history)
{
    const struct casefile *casefile = history->casefile;
    day newest = later_of(later_of(casefile->opened, casefile->closed_on),
                          later_of(casefile->consent_on, casefile->asked_on));

    for (size_t i = 0; i < history->trainer_count; i++) {
        const struct trainer *trainer = &history->trainers[i];
        newest = later_of(newest, later_of(trainer->issued_on, trainer->ended_on));
    }
    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        newest = later_of(newest, later_of(expander->separators_on, expander->banded_on));
        newest = later_of(newest, later_of(expander->fitted_on, expander->passive_on));
        newest = later_of(newest, expander->out_on);
    }
    return newest;
}

static day newest_of_events(const struct history *history)
{
    day newest = DAY_NONE;

    for (size_t i = 0; i < history->visit_count; i++)
        newest = later_of(newest, history->visits[i].date);
    for (size_t i = 0; i < history->width_count; i++)
        newest = later_of(newest, history->widths[i].date);
    for (size_t i = 0; i < history->wear_day_count; i++)
        newest = later_of(newest, history->wear_days[i].date);
    for (size_t i = 0; i < history->wear_count_count; i++)
        newest = later_of(newest, history->wear_counts[i].to);
    for (size_t i = 0; i < history->contact_count; i++)
        newest = later_of(newest, instant_day(history->contacts[i].at));
    return newest;
}

static bool newer_contact(const struct contact *a, const struct contact *b)
{
    if (b == NULL || a->at != b->at)
        return b == NULL || a->at > b->at;
    return course_recorded_later(&a->head, &b->head);
}

static void contact_state(const struct history *history, struct case_state *state)
{
    const struct contact *newest = NULL;

    for (size_t i = 0; i < history->contact_count; i++) {
        if (newer_contact(&history->contacts[i], newest))
            newest = &history->contacts[i];
    }
    state->last_contact = newest == NULL ? DAY_NONE : instant_day(newest->at);
    state->again_on = newest == NULL ? DAY_NONE : newest->again_on;
}

/* The newest seen day before a day; DAY_NONE when there is none. */
static day seen_before(const struct history *history, day before)
{
    day last = DAY_NONE;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit_seen(visit) && visit->date < before)
            last = later_of(last, visit->date);
    }
    return last;
}

/* The gravest verdict over the arches seen on date (the order of enum verdict). */
static void verdict_on(const struct history *history, day date, struct case_state *state)
{
    struct judgement judgement;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        bool recomputed;
        if (visit->date != date || !course_verdict_of(history, visit, &judgement, &recomputed))
            continue;
        int32_t verdict = (int32_t)judgement.verdict;
        if (verdict > state->last_verdict) {
            state->last_verdict = verdict;
            state->last_recomputed = recomputed;
        } else if (verdict == state->last_verdict && !recomputed) {
            state->last_recomputed = false;
        }
    }
}

/* The last verdict given: a visit of the case as a whole carries none, so the one before it. */
static void verdict_state(const struct history *history, struct case_state *state)
{
    day date = INT32_MAX;

    do {
        date = seen_before(history, date);
        if (date != DAY_NONE)
            verdict_on(history, date, state);
    } while (date != DAY_NONE && state->last_verdict == VERDICT_NONE);
}

static const char *recorded(const char *text)
{
    return text == NULL ? "" : text;
}

static void name_state(const struct history *history, struct case_state *state)
{
    const struct patient *patient = history->patient;

    state->number = recorded(history->casefile->number);
    state->clinician = recorded(history->casefile->clinician);
    state->family = recorded(patient->family);
    state->given = recorded(patient->given);
    state->phone = recorded(patient->phone);
    if (state->phone[0] == '\0')
        state->phone = recorded(patient->phone2);
}

static day stability_from(const struct history *history, enum arch arch, day through)
{
    const struct expander *expander = course_expander(history, arch, through);
    return expander == NULL ? DAY_NONE : course_retention_end(history, expander, through);
}

void course_state(const struct history *history, struct case_state *state)
{
    day newest = later_of(newest_of_courses(history), newest_of_events(history));
    struct course_window due = course_due(history, newest);

    *state = (struct case_state){.casefile = history->casefile->head.record};
    state->newest = newest;
    state->stage = course_stage(history, newest);
    state->stage_upper = course_arch_stage(history, ARCH_UPPER, newest);
    state->stage_lower = course_arch_stage(history, ARCH_LOWER, newest);
    state->stability_from_upper = stability_from(history, ARCH_UPPER, newest);
    state->stability_from_lower = stability_from(history, ARCH_LOWER, newest);
    state->last_seen = course_last_seen(history, newest);
    state->due_from = due.from;
    state->due_to = due.to;
    course_safety(history, state->safety_from);
    contact_state(history, state);
    verdict_state(history, state);
    name_state(history, state);
}
