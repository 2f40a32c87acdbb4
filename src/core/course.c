/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The stage of an arch and of a case (domain.md 8): the first that fits. */
#include "springline/core/course.h"

#include "course_parts.h"
#include "springline/core/wear.h"

/* The day of the last step an expander took on its way into the mouth. DAY_NONE: it is planned
 * only, or was given up before it was fitted. */
static day expander_begun(const struct expander *expander, day today)
{
    const day steps[] = {expander->fitted_on, expander->banded_on, expander->separators_on};
    day begun = DAY_NONE;

    if (course_reached(expander->out_on, today) && !course_reached(expander->fitted_on, today))
        return DAY_NONE;
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        if (course_reached(steps[i], today) && steps[i] > begun)
            begun = steps[i];
    }
    return begun;
}

static bool newer(const struct expander *a, day a_on, const struct expander *b, day b_on)
{
    if (b == NULL || a_on != b_on)
        return b == NULL || a_on > b_on;
    return course_recorded_later(&a->head, &b->head);
}

const struct expander *course_expander(const struct history *history, enum arch arch, day today)
{
    const struct expander *newest = NULL, *fitted = NULL;
    day newest_on = DAY_NONE, fitted_on = DAY_NONE;

    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        if (expander->arch != arch)
            continue;
        day begun = expander_begun(expander, today);
        if (newer(expander, begun, newest, newest_on)) {
            newest = expander;
            newest_on = begun;
        }
        if (course_reached(expander->fitted_on, today) &&
            newer(expander, expander->fitted_on, fitted, fitted_on)) {
            fitted = expander;
            fitted_on = expander->fitted_on;
        }
    }
    return fitted != NULL && !course_reached(fitted->out_on, today) ? fitted : newest;
}

static bool out_for_a_while(const struct expander *expander)
{
    return expander->out_reason == OUT_REST || expander->out_reason == OUT_REPAIR;
}

day course_retention_end(const struct history *history, const struct expander *expander, day today)
{
    bool out = course_reached(expander->out_on, today);
    bool passive =
        course_reached(expander->passive_on, today) && course_reached(expander->fitted_on, today);

    if (out && out_for_a_while(expander))
        return DAY_NONE;
    if (passive)
        return expander->passive_on + history->protocol->retention_days;
    if (out && expander->out_reason == OUT_TARGET)
        return expander->out_on + history->protocol->retention_days;
    return DAY_NONE;
}

bool course_activates(const struct visit *visit)
{
    if (visit->right > 0 || visit->left > 0)
        return true;
    return visit->elsewhere == ANSWER_YES && visit_seen(visit) && visit->right == UM_NONE &&
           visit->left == UM_NONE;
}

static bool activated(const struct history *history, const struct expander *expander, day today)
{
    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit->arch == expander->arch && visit->date >= expander->fitted_on &&
            course_reached(visit->date, today) && course_activates(visit))
            return true;
    }
    return false;
}

static enum stage expander_stage(const struct history *history, const struct expander *expander,
                                 day today)
{
    day retained = course_retention_end(history, expander, today);

    if (retained != DAY_NONE)
        return today >= retained ? STAGE_STABILITY : STAGE_RETENTION;
    /* Out for another or for no reason: nothing is in the mouth, and somebody has to decide. */
    if (course_reached(expander->out_on, today))
        return STAGE_RESTING;
    if (course_reached(expander->fitted_on, today))
        return activated(history, expander, today) ? STAGE_ACTIVE : STAGE_FITTED;
    if (course_reached(expander->banded_on, today))
        return STAGE_BANDED;
    return course_reached(expander->separators_on, today) ? STAGE_SEPARATORS : STAGE_PLANNED;
}

enum stage course_arch_stage(const struct history *history, enum arch arch, day today)
{
    const struct expander *expander = course_expander(history, arch, today);

    if (expander == NULL)
        return STAGE_NONE;
    if (course_reached(history->casefile->closed_on, today))
        return STAGE_CLOSED;
    return expander_stage(history, expander, today);
}

/* Something in the mouth moves or prepares. */
static bool at_work(enum stage stage)
{
    return stage >= STAGE_SEPARATORS && stage <= STAGE_ACTIVE;
}

static enum stage stage_of_both(enum stage upper, enum stage lower)
{
    if (at_work(upper) != at_work(lower))
        return at_work(upper) ? upper : lower;
    enum stage later = upper > lower ? upper : lower;
    return later == STAGE_NONE ? STAGE_ASSESSED : later;
}

enum stage course_stage(const struct history *history, day today)
{
    if (course_reached(history->casefile->closed_on, today))
        return STAGE_CLOSED;
    return stage_of_both(course_arch_stage(history, ARCH_UPPER, today),
                         course_arch_stage(history, ARCH_LOWER, today));
}

static enum stage stage_turned(enum stage stage, day stability_from, day on)
{
    return stage == STAGE_RETENTION && course_reached(stability_from, on) ? STAGE_STABILITY : stage;
}

enum stage course_stage_on(const struct case_state *state, day on, enum stage *upper,
                           enum stage *lower)
{
    enum stage stage_upper = stage_turned(state->stage_upper, state->stability_from_upper, on);
    enum stage stage_lower = stage_turned(state->stage_lower, state->stability_from_lower, on);

    if (upper != NULL)
        *upper = stage_upper;
    if (lower != NULL)
        *lower = stage_lower;
    return state->stage == STAGE_CLOSED ? STAGE_CLOSED : stage_of_both(stage_upper, stage_lower);
}

day course_last_seen(const struct history *history, day through)
{
    day last = DAY_NONE;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit_seen(visit) && course_reached(visit->date, through) && visit->date > last)
            last = visit->date;
    }
    return last;
}

day course_arch_last_seen(const struct history *history, enum arch arch)
{
    day last = DAY_NONE;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit_seen(visit) && course_shows(visit, arch) && visit->date > last)
            last = visit->date;
    }
    return last;
}
