/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rules on what was given and when: steps, intervals, the window, the gap between the sides. */
#include "rules_private.h"

void judge_first_step(struct inquiry *inquiry)
{
    for (int s = SIDES_FIRST; s <= SIDES_LAST; s++) {
        if (!lowers_first_step(inquiry, (enum side)s))
            continue;
        struct finding *finding = finding_add(inquiry, RULE_FIRST_STEP, EFFECT_LIMIT, (enum side)s,
                                              inquiry->protocol->first_step_max);
        finding_number(finding, "fitted", UNIT_DATE, inquiry->expander->fitted_on);
    }
}

bool lowers_first_step(const struct inquiry *inquiry, enum side side)
{
    return inquiry->side[side].planned && !inquiry->side[side].since_fit;
}

void judge_step_size(struct inquiry *inquiry)
{
    for (int s = SIDES_FIRST; s <= SIDES_LAST; s++) {
        if (inquiry->side[s].planned && inquiry->side[s].since_fit)
            finding_add(inquiry, RULE_STEP_SIZE, EFFECT_LIMIT, (enum side)s,
                        inquiry->protocol->step_max);
    }
}

/* An activation of the arch, whether or not its side is in plan. */
void judge_done_today(struct inquiry *inquiry)
{
    if (inquiry->side[SIDE_RIGHT].today + inquiry->side[SIDE_LEFT].today == 0)
        return;
    struct finding *finding = finding_add(inquiry, RULE_DONE_TODAY, EFFECT_HOLD, SIDE_NONE, 0);
    finding_number(finding, "right", UNIT_UM, inquiry->side[SIDE_RIGHT].today);
    finding_number(finding, "left", UNIT_UM, inquiry->side[SIDE_LEFT].today);
}

static void add_since(struct inquiry *inquiry, enum rule rule, enum effect effect, enum side side,
                      um limit, day last)
{
    struct finding *finding = finding_add(inquiry, rule, effect, side, limit);

    finding_number(finding, "last", UNIT_DATE, last);
    finding_number(finding, "days", UNIT_DAYS, inquiry->question->today - last);
}

/* A visit elsewhere without amounts counts here as an activation. */
void judge_too_soon(struct inquiry *inquiry)
{
    for (int s = SIDES_FIRST; s <= SIDES_LAST; s++) {
        const struct side_facts *side = &inquiry->side[s];
        day last = side->last > side->last_elsewhere ? side->last : side->last_elsewhere;
        if (side->planned && last != DAY_NONE &&
            inquiry->question->today - last < inquiry->protocol->interval_min_days)
            add_since(inquiry, RULE_TOO_SOON, EFFECT_HOLD, (enum side)s, 0, last);
    }
}

/* Days since the side's last activation are more than days; never when there is none. */
static bool later_than(const struct inquiry *inquiry, enum side side, int32_t days)
{
    day last = inquiry->side[side].last;

    return inquiry->side[side].planned && last != DAY_NONE &&
           inquiry->question->today - last > days;
}

void judge_seen_late(struct inquiry *inquiry)
{
    for (int s = SIDES_FIRST; s <= SIDES_LAST; s++) {
        if (later_than(inquiry, (enum side)s, inquiry->protocol->interval_max_days))
            add_since(inquiry, RULE_SEEN_LATE, EFFECT_CAUTION, (enum side)s, UM_NONE,
                      inquiry->side[s].last);
    }
}

bool lowers_restart(const struct inquiry *inquiry, enum side side)
{
    return later_than(inquiry, side, inquiry->protocol->restart_after_days);
}

void judge_restart(struct inquiry *inquiry)
{
    for (int s = SIDES_FIRST; s <= SIDES_LAST; s++) {
        if (lowers_restart(inquiry, (enum side)s))
            add_since(inquiry, RULE_RESTART, EFFECT_LIMIT, (enum side)s,
                      inquiry->protocol->first_step_max, inquiry->side[s].last);
    }
}

void judge_window_sum(struct inquiry *inquiry)
{
    int64_t most = inquiry->protocol->window_max;

    for (int s = SIDES_FIRST; s <= SIDES_LAST; s++) {
        const struct side_facts *side = &inquiry->side[s];
        if (!side->planned || side->window <= most - side->nominal)
            continue;
        int64_t left = most > side->window ? most - side->window : 0;
        struct finding *finding =
            finding_add(inquiry, RULE_WINDOW_SUM, EFFECT_LIMIT, (enum side)s, (um)left);
        finding_number(finding, "sum", UNIT_UM, side->window);
        finding_number(finding, "days", UNIT_DAYS, inquiry->protocol->window_days);
        finding_number(finding, "nominal", UNIT_UM, side->nominal);
    }
}

void judge_side_gap(struct inquiry *inquiry)
{
    const struct proposal *proposal = &inquiry->question->proposal;
    int64_t planned = inquiry->expander->plan_gap == UM_NONE ? 0 : inquiry->expander->plan_gap;
    int64_t right = inquiry->side[SIDE_RIGHT].total + (proposal->right > 0 ? proposal->right : 0);
    int64_t left = inquiry->side[SIDE_LEFT].total + (proposal->left > 0 ? proposal->left : 0);
    int64_t beyond = right - left - planned;

    if (inquiry->expander->sides != SIDES_BOTH ||
        (beyond <= inquiry->protocol->side_gap && beyond >= -(int64_t)inquiry->protocol->side_gap))
        return;
    struct finding *finding =
        finding_add(inquiry, RULE_SIDE_GAP, EFFECT_CAUTION, SIDE_NONE, UM_NONE);
    finding_number(finding, "right", UNIT_UM, right);
    finding_number(finding, "left", UNIT_UM, left);
    finding_number(finding, "gap", UNIT_UM, right - left);
    finding_number(finding, "plan", UNIT_UM, planned);
}
