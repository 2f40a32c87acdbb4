/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rules on what was found in the mouth: tissue, hardware, a loop that had to be closed. */
#include "rules_private.h"

void judge_not_examined(struct inquiry *inquiry)
{
    const struct examination *found = &inquiry->question->examination;
    bool tissue = found->tissue != TISSUE_NONE;
    bool hardware = found->hardware != HARDWARE_NOT_RECORDED;

    if (tissue && hardware)
        return;
    struct finding *finding = finding_add(inquiry, RULE_NOT_EXAMINED, EFFECT_HOLD, SIDE_NONE, 0);
    finding_number(finding, "tissue", UNIT_ANSWER, tissue ? ANSWER_YES : ANSWER_NO);
    finding_number(finding, "hardware", UNIT_ANSWER, hardware ? ANSWER_YES : ANSWER_NO);
}

void judge_tissue_mild(struct inquiry *inquiry)
{
    if (inquiry->question->examination.tissue == TISSUE_MILD)
        finding_reduced(inquiry, RULE_TISSUE_MILD, NULL, 0);
}

/* Found now, or at an earlier visit of today: what was a wound this morning is not healed now. */
static bool wound_today(const struct inquiry *inquiry)
{
    return inquiry->question->examination.tissue == TISSUE_WOUND ||
           (inquiry->arch.wound && inquiry->arch.tissue_on == inquiry->question->today);
}

void judge_tissue_wound(struct inquiry *inquiry)
{
    if (wound_today(inquiry))
        finding_add(inquiry, RULE_TISSUE_WOUND, EFFECT_HOLD, SIDE_NONE, 0);
}

void judge_tissue_healed(struct inquiry *inquiry)
{
    const struct finding_value seen = {"seen", UNIT_DATE, inquiry->arch.tissue_on};

    if (inquiry->arch.wound && !wound_today(inquiry))
        finding_reduced(inquiry, RULE_TISSUE_HEALED, &seen, 1);
}

bool lowers_hardware(const struct inquiry *inquiry, enum side side)
{
    const struct examination *found = &inquiry->question->examination;

    (void)side;
    return hardware_faulty(found->hardware) && found->repaired == ANSWER_YES;
}

void judge_hardware(struct inquiry *inquiry)
{
    const struct examination *found = &inquiry->question->examination;

    if (!hardware_faulty(found->hardware))
        return;
    bool repaired = found->repaired == ANSWER_YES;
    struct finding *finding =
        finding_add(inquiry, RULE_HARDWARE, repaired ? EFFECT_LIMIT : EFFECT_HOLD, SIDE_NONE,
                    inquiry->protocol->first_step_max);
    finding_number(finding, "hardware", UNIT_COUNT, found->hardware);
}

/* On or after the arch's last activation: two visits of one day stand in no order. */
static bool since_activation(const struct inquiry *inquiry, day date)
{
    return date != DAY_NONE && date >= inquiry->arch.last;
}

bool lowers_hardware_recent(const struct inquiry *inquiry, enum side side)
{
    (void)side;
    return since_activation(inquiry, inquiry->arch.fault_on);
}

void judge_hardware_recent(struct inquiry *inquiry)
{
    if (!lowers_hardware_recent(inquiry, SIDE_NONE))
        return;
    struct finding *finding = finding_add(inquiry, RULE_HARDWARE_RECENT, EFFECT_LIMIT, SIDE_NONE,
                                          inquiry->protocol->first_step_max);
    finding_number(finding, "on", UNIT_DATE, inquiry->arch.fault_on);
}

bool lowers_relieved(const struct inquiry *inquiry, enum side side)
{
    (void)side;
    return inquiry->question->examination.relief ||
           since_activation(inquiry, inquiry->arch.relieved_on);
}

void judge_relieved(struct inquiry *inquiry)
{
    day today = inquiry->question->today;
    bool now = inquiry->question->examination.relief || inquiry->arch.relieved_on == today;

    if (!lowers_relieved(inquiry, SIDE_NONE))
        return;
    struct finding *finding = finding_add(inquiry, RULE_RELIEVED, now ? EFFECT_HOLD : EFFECT_LIMIT,
                                          SIDE_NONE, inquiry->protocol->first_step_max);
    finding_number(finding, "on", UNIT_DATE, now ? today : inquiry->arch.relieved_on);
}
