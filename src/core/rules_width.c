/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Rules on the measured width. Changes are compared with the smallest detectable change (MDC) as it
 * is, not rounded: whole micrometres are exact in a double, and 1.96 sqrt(2) is irrational, so no
 * comparison can fall on the boundary by rounding.
 */
#include "rules_private.h"

enum { WEEK_DAYS = 7 };

static int64_t rounded_mdc(const struct inquiry *inquiry)
{
    return inquiry->width.mdc;
}

void judge_width_lag(struct inquiry *inquiry)
{
    const struct width_view *width = &inquiry->width;
    const struct arch_facts *arch = &inquiry->arch;
    const struct protocol *protocol = inquiry->protocol;

    if (arch->elsewhere_before) {
        inquiry->judgement->lag_switched_off = true;
        return;
    }
    if (!width->has_gain || arch->first == DAY_NONE || arch->first >= width->latest.date)
        return;
    double wanted = (double)(protocol->lag_share_permille * arch->before) / 1000;
    if (arch->before < protocol->lag_total ||
        width->latest.date - arch->first < protocol->lag_days ||
        width->gain + inquiry->mdc >= wanted)
        return;
    struct finding *finding = finding_add(inquiry, RULE_WIDTH_LAG, EFFECT_HOLD, SIDE_NONE, 0);
    finding_number(finding, "gain", UNIT_UM, width->gain);
    finding_number(finding, "mdc", UNIT_UM, rounded_mdc(inquiry));
    finding_number(finding, "sum", UNIT_UM, arch->before);
    finding_number(finding, "first", UNIT_DATE, arch->first);
    finding_number(finding, "measured", UNIT_DATE, width->latest.date);
}

/* latest - previous; false when there are not both. */
static bool width_change(const struct width_view *width, int64_t *change, int32_t *days)
{
    if (width->latest.date == DAY_NONE || width->previous.date == DAY_NONE)
        return false;
    *change = (int64_t)width->latest.value - width->previous.value;
    *days = width->latest.date - width->previous.date;
    return true;
}

void judge_width_rate(struct inquiry *inquiry)
{
    int64_t change;
    int32_t days;

    if (!width_change(&inquiry->width, &change, &days) ||
        ((double)change - inquiry->mdc) * WEEK_DAYS <=
            (double)inquiry->protocol->width_rate_max_per_week * days)
        return;
    struct finding *finding = finding_add(inquiry, RULE_WIDTH_RATE, EFFECT_HOLD, SIDE_NONE, 0);
    finding_number(finding, "change", UNIT_UM, change);
    finding_number(finding, "mdc", UNIT_UM, rounded_mdc(inquiry));
    finding_number(finding, "days", UNIT_DAYS, days);
    finding_number(finding, "measured", UNIT_DATE, inquiry->width.latest.date);
}

void judge_width_loss(struct inquiry *inquiry)
{
    const struct width_view *width = &inquiry->width;
    int64_t change;
    int32_t days;

    if (!width_change(width, &change, &days) || width->first_fitted == DAY_NONE ||
        width->previous.date <= width->first_fitted || (double)-change <= inquiry->mdc)
        return;
    struct finding *finding = finding_add(inquiry, RULE_WIDTH_LOSS, EFFECT_HOLD, SIDE_NONE, 0);
    finding_number(finding, "change", UNIT_UM, change);
    finding_number(finding, "mdc", UNIT_UM, rounded_mdc(inquiry));
    finding_number(finding, "days", UNIT_DAYS, days);
    finding_number(finding, "measured", UNIT_DATE, width->latest.date);
}

/* A target and a width to hold against it. */
static bool has_target(const struct inquiry *inquiry)
{
    return inquiry->expander->target != UM_NONE && inquiry->width.latest.date != DAY_NONE;
}

void judge_target_near(struct inquiry *inquiry)
{
    const struct width_point *latest = &inquiry->width.latest;
    const struct protocol *protocol = inquiry->protocol;
    int64_t sides = inquiry->sides_planned;

    if (!has_target(inquiry) || sides == 0)
        return;
    int64_t room = (int64_t)inquiry->expander->target - latest->value - inquiry->arch.since;
    if (room >= protocol->step_max * sides)
        return;
    bool measure = room < protocol->step_grain * sides && latest->date != inquiry->question->today;
    um share = (um)(room > 0 ? room / sides : 0);
    struct finding *finding = finding_add(inquiry, RULE_TARGET_NEAR,
                                          measure ? EFFECT_HOLD : EFFECT_LIMIT, SIDE_NONE, share);
    finding_number(finding, "target", UNIT_UM, inquiry->expander->target);
    finding_number(finding, "latest", UNIT_UM, latest->value);
    finding_number(finding, "given", UNIT_UM, inquiry->arch.since);
    finding_number(finding, "room", UNIT_UM, room);
    finding_number(finding, "sides", UNIT_COUNT, sides);
    finding_number(finding, "measured", UNIT_DATE, latest->date);
}

void judge_target_reached(struct inquiry *inquiry)
{
    const struct width_point *latest = &inquiry->width.latest;

    if (!has_target(inquiry) ||
        latest->value <= (int64_t)inquiry->expander->target - 2 * inquiry->protocol->step_grain)
        return;
    struct finding *finding = finding_add(inquiry, RULE_TARGET_REACHED, EFFECT_HOLD, SIDE_NONE, 0);
    finding_number(finding, "target", UNIT_UM, inquiry->expander->target);
    finding_number(finding, "latest", UNIT_UM, latest->value);
    finding_number(finding, "measured", UNIT_DATE, latest->date);
}

/* Amounts unknown, given elsewhere, have begun the activation as well. */
static bool begun(const struct inquiry *inquiry)
{
    return inquiry->arch.first != DAY_NONE || inquiry->arch.elsewhere;
}

void judge_no_target(struct inquiry *inquiry)
{
    if (begun(inquiry) && inquiry->expander->target == UM_NONE)
        finding_add(inquiry, RULE_NO_TARGET, EFFECT_CAUTION, SIDE_NONE, UM_NONE);
}

void judge_no_baseline(struct inquiry *inquiry)
{
    if (!begun(inquiry) || inquiry->width.baseline.date != DAY_NONE)
        return;
    struct finding *finding =
        finding_add(inquiry, RULE_NO_BASELINE, EFFECT_CAUTION, SIDE_NONE, UM_NONE);
    finding_number(finding, "fitted", UNIT_DATE, inquiry->width.first_fitted);
}

/* The day from which the width grows old: the newest width, or the first fit, if later. */
static day measured_from(const struct inquiry *inquiry)
{
    const struct width_view *width = &inquiry->width;

    return width->latest.date > width->first_fitted ? width->latest.date : width->first_fitted;
}

void judge_width_stale(struct inquiry *inquiry)
{
    int32_t days = inquiry->question->today - measured_from(inquiry);

    if (!begun(inquiry) || days <= inquiry->protocol->width_stale_days)
        return;
    struct finding *finding =
        finding_add(inquiry, RULE_WIDTH_STALE, EFFECT_CAUTION, SIDE_NONE, UM_NONE);
    finding_number(finding, "from", UNIT_DATE, measured_from(inquiry));
    finding_number(finding, "days", UNIT_DAYS, days);
}

void judge_width_missing(struct inquiry *inquiry)
{
    int32_t days = inquiry->question->today - measured_from(inquiry);
    const struct finding_value values[] = {{"from", UNIT_DATE, measured_from(inquiry)},
                                           {"days", UNIT_DAYS, days}};

    if (begun(inquiry) && days > inquiry->protocol->width_missing_days)
        finding_reduced(inquiry, RULE_WIDTH_MISSING, values, 2);
}
