/* SPDX-License-Identifier: GPL-3.0-or-later */
/* When the child should be seen next. */
#include "rules_private.h"

enum { AFTER_FREE_DAYS = 7 }; /* "the first day they free + 7" */

/* Amounts given today as far as anyone can tell: the proposed ones, else the permitted ones; a side
 * that is not in plan counts nowhere. */
static void amounts_given(const struct inquiry *inquiry, bool permitted, um given[SIDES_SIZE])
{
    const struct proposal *proposal = &inquiry->question->proposal;
    const struct judgement *judgement = inquiry->judgement;
    bool proposed = false;

    given[SIDE_RIGHT] = proposal->right > 0 ? proposal->right : 0;
    given[SIDE_LEFT] = proposal->left > 0 ? proposal->left : 0;
    for (int s = SIDES_FIRST; s <= SIDES_LAST; s++) {
        given[s] = inquiry->side[s].planned ? given[s] : 0;
        proposed = proposed || given[s] > 0;
    }
    if (!proposed && permitted) {
        given[SIDE_RIGHT] = judgement->permitted_right;
        given[SIDE_LEFT] = judgement->permitted_left;
    }
}

static day spaced(const struct inquiry *inquiry, enum side side, um given)
{
    const struct side_facts *facts = &inquiry->side[side];
    day last = facts->last > facts->last_elsewhere ? facts->last : facts->last_elsewhere;

    if (given > 0)
        last = inquiry->question->today;
    return last == DAY_NONE ? DAY_NONE : last + inquiry->protocol->interval_min_days;
}

/* The first day from `from` on which the window leaves the side at least a grain. */
static day window_frees(const struct inquiry *inquiry, enum side side, um given, day from)
{
    const struct protocol *protocol = inquiry->protocol;
    int64_t most = (int64_t)protocol->window_max - protocol->step_grain;

    /* Sums only fall as days pass: most often today's already fits. */
    if (inquiry->side[side].window + given <= most)
        return from;
    for (;;) {
        day oldest;
        int64_t sum = inquiry_window(inquiry, side, from, &oldest);
        if (given > 0 && from - inquiry->question->today < protocol->window_days) {
            sum += given;
            if (oldest == DAY_NONE)
                oldest = inquiry->question->today;
        }
        if (sum <= most || oldest == DAY_NONE)
            return from;
        from = oldest + protocol->window_days;
    }
}

/* The first day after today on which neither too-soon nor window-sum holds a side in plan. */
static day free_day(const struct inquiry *inquiry, const um given[SIDES_SIZE])
{
    day from = inquiry->question->today + 1;

    for (int s = SIDES_FIRST; s <= SIDES_LAST; s++) {
        day side = inquiry->side[s].planned ? spaced(inquiry, (enum side)s, given[s]) : DAY_NONE;
        from = side > from ? side : from;
    }
    for (int s = SIDES_FIRST; s <= SIDES_LAST; s++) {
        if (inquiry->side[s].planned)
            from = window_frees(inquiry, (enum side)s, given[s], from);
    }
    return from;
}

/* Keeps the window that closes first; of two that close together the one that opens first. */
static void take_window(struct judgement *judgement, day from, day to)
{
    if (judgement->next_to != DAY_NONE &&
        (to > judgement->next_to || (to == judgement->next_to && from >= judgement->next_from)))
        return;
    judgement->next_from = from;
    judgement->next_to = to;
}

static void take_recheck(const struct inquiry *inquiry, enum recheck recheck)
{
    const struct protocol *protocol = inquiry->protocol;
    struct judgement *judgement = inquiry->judgement;
    day today = inquiry->question->today, from;
    um given[SIDES_SIZE];

    switch (recheck) {
    case RECHECK_OWN_DAY:
        return;
    case RECHECK_FREE:
        amounts_given(inquiry, false, given);
        from = free_day(inquiry, given);
        take_window(judgement, from, from + AFTER_FREE_DAYS);
        return;
    case RECHECK_WEAR:
        take_window(judgement, today + protocol->recheck_wear_min_days,
                    today + protocol->recheck_wear_max_days);
        return;
    case RECHECK_REST:
        take_window(judgement, today + protocol->recheck_rest_min_days,
                    today + protocol->recheck_rest_max_days);
        return;
    case RECHECK_FAULT:
        break;
    }
    take_window(judgement, today + protocol->recheck_fault_min_days,
                today + protocol->recheck_fault_max_days);
}

/*
 * After a hold or a rest: of everything that permits nothing, the one to be looked at first, so
 * that a wound does not wait for the interval. A rest for wear takes the place of a hold for wear.
 * done-today adds nothing: the activation that was given today makes its own window by too-soon.
 */
static void next_after_hold(struct inquiry *inquiry)
{
    struct judgement *judgement = inquiry->judgement;
    um grain = inquiry->protocol->step_grain;
    bool taken[RECHECK_OWN_DAY + 1] = {false};

    for (int i = 0; i < judgement->finding_count; i++) {
        const struct finding *finding = &judgement->findings[i];
        bool nothing = finding->effect >= EFFECT_HOLD ||
                       (finding->effect == EFFECT_LIMIT && finding->limit < grain);
        enum recheck recheck = rules_recheck(finding->rule);
        if (!nothing || taken[recheck] ||
            (recheck == RECHECK_WEAR && judgement->verdict == VERDICT_REST))
            continue;
        taken[recheck] = true;
        take_recheck(inquiry, recheck);
    }
    if (judgement->next_to == DAY_NONE)
        take_recheck(inquiry, RECHECK_FAULT);
}

void judge_next_visit(struct inquiry *inquiry)
{
    struct judgement *judgement = inquiry->judgement;
    um given[SIDES_SIZE];

    judgement->next_from = judgement->next_to = DAY_NONE;
    if (judgement->verdict == VERDICT_HOLD || judgement->verdict == VERDICT_REST) {
        next_after_hold(inquiry);
        return;
    }
    amounts_given(inquiry, true, given);
    day from = free_day(inquiry, given);
    day to = inquiry->question->today + inquiry->protocol->interval_max_days;
    judgement->next_from = from;
    judgement->next_to = to > from + AFTER_FREE_DAYS ? to : from + AFTER_FREE_DAYS;
}
