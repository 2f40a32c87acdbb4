/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/core/history.h"

static day known_by(day date, day through)
{
    return date != DAY_NONE && date > through ? DAY_NONE : date;
}

static bool keep_visits(const struct history *history, day through, struct arena *arena,
                        struct history *until)
{
    struct visit *visits = arena_array(arena, history->visit_count, sizeof *visits);

    if (visits == NULL)
        return false;
    until->visits = visits;
    until->visit_count = 0;
    for (size_t i = 0; i < history->visit_count; i++) {
        if (history->visits[i].date <= through)
            visits[until->visit_count++] = history->visits[i];
    }
    return true;
}

static bool keep_widths(const struct history *history, day through, struct arena *arena,
                        struct history *until)
{
    struct width *widths = arena_array(arena, history->width_count, sizeof *widths);

    if (widths == NULL)
        return false;
    until->widths = widths;
    until->width_count = 0;
    for (size_t i = 0; i < history->width_count; i++) {
        if (history->widths[i].date <= through)
            widths[until->width_count++] = history->widths[i];
    }
    return true;
}

static bool keep_wear(const struct history *history, day through, struct arena *arena,
                      struct history *until)
{
    struct wear_day *days = arena_array(arena, history->wear_day_count, sizeof *days);
    struct wear_count *counts = arena_array(arena, history->wear_count_count, sizeof *counts);

    if (days == NULL || counts == NULL)
        return false;
    until->wear_days = days;
    until->wear_day_count = 0;
    for (size_t i = 0; i < history->wear_day_count; i++) {
        if (history->wear_days[i].date <= through)
            days[until->wear_day_count++] = history->wear_days[i];
    }
    until->wear_counts = counts;
    until->wear_count_count = 0;
    for (size_t i = 0; i < history->wear_count_count; i++) {
        if (history->wear_counts[i].to <= through)
            counts[until->wear_count_count++] = history->wear_counts[i];
    }
    return true;
}

static bool keep_contacts(const struct history *history, day through, struct arena *arena,
                          struct history *until)
{
    struct contact *contacts = arena_array(arena, history->contact_count, sizeof *contacts);

    if (contacts == NULL)
        return false;
    until->contacts = contacts;
    until->contact_count = 0;
    for (size_t i = 0; i < history->contact_count; i++) {
        if (instant_day(history->contacts[i].at) <= through)
            contacts[until->contact_count++] = history->contacts[i];
    }
    return true;
}

/* An expander of which nothing was known yet is left out. */
static bool expander_until(struct expander *expander, day through)
{
    expander->separators_on = known_by(expander->separators_on, through);
    expander->banded_on = known_by(expander->banded_on, through);
    expander->fitted_on = known_by(expander->fitted_on, through);
    expander->passive_on = known_by(expander->passive_on, through);
    if (known_by(expander->out_on, through) == DAY_NONE) {
        expander->out_on = DAY_NONE;
        expander->out_reason = OUT_NONE;
    }
    return expander->separators_on != DAY_NONE || expander->banded_on != DAY_NONE ||
           expander->fitted_on != DAY_NONE;
}

static bool keep_courses(const struct history *history, day through, struct arena *arena,
                         struct history *until)
{
    struct expander *expanders = arena_array(arena, history->expander_count, sizeof *expanders);
    struct trainer *trainers = arena_array(arena, history->trainer_count, sizeof *trainers);
    struct casefile *casefile = arena_alloc(arena, sizeof *casefile);

    if (expanders == NULL || trainers == NULL || casefile == NULL)
        return false;
    until->expanders = expanders;
    until->expander_count = 0;
    for (size_t i = 0; i < history->expander_count; i++) {
        expanders[until->expander_count] = history->expanders[i];
        if (expander_until(&expanders[until->expander_count], through))
            until->expander_count++;
    }
    until->trainers = trainers;
    until->trainer_count = 0;
    for (size_t i = 0; i < history->trainer_count; i++) {
        if (history->trainers[i].issued_on > through)
            continue;
        struct trainer *trainer = &trainers[until->trainer_count++];
        *trainer = history->trainers[i];
        if (known_by(trainer->ended_on, through) == DAY_NONE) {
            trainer->ended_on = DAY_NONE;
            trainer->ended_reason = TRAINER_END_NONE;
        }
    }
    *casefile = *history->casefile;
    casefile->consent_on = known_by(casefile->consent_on, through);
    casefile->asked_on = known_by(casefile->asked_on, through);
    if (known_by(casefile->closed_on, through) == DAY_NONE) {
        casefile->closed_on = DAY_NONE;
        casefile->closed_reason = CLOSED_NONE;
    }
    until->casefile = casefile;
    return true;
}

bool history_until(const struct history *history, day through, struct arena *arena,
                   struct history *until)
{
    *until = *history;
    return keep_visits(history, through, arena, until) &&
           keep_widths(history, through, arena, until) &&
           keep_wear(history, through, arena, until) &&
           keep_contacts(history, through, arena, until) &&
           keep_courses(history, through, arena, until);
}
