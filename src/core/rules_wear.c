/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rules on the wear of the trainer: without it the expansion does not hold. */
#include "rules_private.h"

/* What the judged source knows, in the order in which a sentence tells it; how many they are where
 * the class is told as well. */
static int judged_values(const struct wear_period *period, struct finding_value values[6])
{
    values[0] = (struct finding_value){"met", UNIT_DAYS, period->judged.met};
    values[1] = (struct finding_value){"known", UNIT_DAYS, period->judged.known};
    values[2] = (struct finding_value){"days", UNIT_DAYS, period->days};
    values[3] = (struct finding_value){"source", UNIT_COUNT, period->source};
    values[4] = (struct finding_value){"from", UNIT_DATE, period->from};
    values[5] = (struct finding_value){"stricter", UNIT_COUNT, 1};
    return period->stricter ? 6 : 5;
}

static void add_values(struct finding *finding, const struct finding_value *values, int count)
{
    for (int i = 0; i < count; i++)
        finding_number(finding, values[i].name, values[i].unit, values[i].value);
}

/*
 * A period whose every day lacked a trainer is unknown as well: it has days, if none that could be
 * judged, and a new trainer does not wipe the past.
 */
void judge_wear_unknown(struct inquiry *inquiry)
{
    const struct wear_period *period = &inquiry->wear.period;
    int32_t known = 0;

    if (!inquiry->wear.any || period->class != WEAR_UNKNOWN)
        return;
    for (int s = SOURCE_SENSOR; s <= SOURCE_TOLD; s++)
        known = period->sources[s].known > known ? period->sources[s].known : known;
    const struct finding_value values[] = {{"known", UNIT_DAYS, known},
                                           {"days", UNIT_DAYS, period->days},
                                           {"untrained", UNIT_DAYS, period->untrained_days},
                                           {"from", UNIT_DATE, period->from},
                                           {"stricter", UNIT_COUNT, 1}};
    finding_reduced(inquiry, RULE_WEAR_UNKNOWN, values, period->stricter ? 5 : 4);
}

void judge_wear_thin(struct inquiry *inquiry)
{
    const struct wear_period *period = &inquiry->wear.period;

    if (!inquiry->wear.any || !period->thin)
        return;
    struct finding_value values[6];
    judged_values(period, values);
    add_values(finding_add(inquiry, RULE_WEAR_THIN, EFFECT_CAUTION, SIDE_NONE, UM_NONE), values, 5);
}

void judge_wear_differs(struct inquiry *inquiry)
{
    const struct wear_period *period = &inquiry->wear.period;

    if (!inquiry->wear.any || period->differs == SOURCE_NONE)
        return;
    const struct wear_tally *better = &period->differs_tally;
    const struct finding_value values[] = {{"met", UNIT_DAYS, better->met},
                                           {"known", UNIT_DAYS, better->known},
                                           {"source", UNIT_COUNT, period->differs},
                                           {"judged_met", UNIT_DAYS, period->judged.met},
                                           {"judged_known", UNIT_DAYS, period->judged.known},
                                           {"judged_source", UNIT_COUNT, period->source},
                                           {"stricter", UNIT_COUNT, 1}};
    finding_reduced(inquiry, RULE_WEAR_DIFFERS, values, period->differs_stricter ? 7 : 6);
}

void judge_wear_short(struct inquiry *inquiry)
{
    if (!inquiry->wear.any || inquiry->wear.period.class != WEAR_SHORT)
        return;
    struct finding_value values[6];
    int count = judged_values(&inquiry->wear.period, values);
    finding_reduced(inquiry, RULE_WEAR_SHORT, values, count);
}

void judge_wear_low(struct inquiry *inquiry)
{
    if (!inquiry->wear.any || inquiry->wear.period.class != WEAR_LOW)
        return;
    struct finding_value values[6];
    int count = judged_values(&inquiry->wear.period, values);
    add_values(finding_add(inquiry, RULE_WEAR_LOW, EFFECT_HOLD, SIDE_NONE, 0), values, count);
}

void judge_wear_run(struct inquiry *inquiry)
{
    if (inquiry->wear.run < inquiry->protocol->wear_run_hold)
        return;
    struct finding *finding = finding_add(inquiry, RULE_WEAR_RUN, EFFECT_HOLD, SIDE_NONE, 0);
    finding_number(finding, "run", UNIT_VISITS, inquiry->wear.run);
}

void judge_wear_rest(struct inquiry *inquiry)
{
    if (inquiry->wear.rest_run < inquiry->protocol->wear_run_rest)
        return;
    struct finding *finding = finding_add(inquiry, RULE_WEAR_REST, EFFECT_REST, SIDE_NONE, 0);
    finding_number(finding, "run", UNIT_VISITS, inquiry->wear.rest_run);
}
