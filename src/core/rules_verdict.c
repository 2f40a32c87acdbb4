/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From findings to what is permitted, the verdict, and what a clinician may override. */
#include "rules_private.h"

um rules_grain(int64_t limit, um grain)
{
    if (limit <= 0)
        return 0;
    return (um)(grain > 0 ? limit - limit % grain : 0);
}

/* What the findings say of one side. */
struct side_answer {
    bool stepped;  /* first-step or step-size spoke: without them nothing is permitted */
    int64_t least; /* the least limit */
    um base;       /* first_step_max where first-step fires, else step_max */
    um nominal;
    um permitted;
};

static bool lowers_nominal(const struct finding *finding)
{
    switch (finding->rule) {
    case RULE_FIRST_STEP:
    case RULE_RESTART:
    case RULE_HARDWARE_RECENT:
    case RULE_RELIEVED:
        return true;
    case RULE_HARDWARE:
        return finding->effect == EFFECT_LIMIT;
    default:
        return false;
    }
}

static void take_finding(struct side_answer *answer, const struct finding *finding)
{
    int64_t limit = finding->effect == EFFECT_LIMIT ? finding->limit : 0;

    if (finding->rule == RULE_FIRST_STEP || finding->rule == RULE_STEP_SIZE) {
        answer->stepped = true;
        answer->base = finding->limit;
        if (answer->nominal == UM_NONE)
            answer->nominal = finding->limit;
    }
    /* relieved, on its day, is a hold: first_step_max is then the setting it names. */
    if (lowers_nominal(finding))
        answer->nominal = finding->effect == EFFECT_LIMIT ? finding->limit : finding->setting_value;
    if (finding->effect >= EFFECT_LIMIT && (limit < answer->least || answer->least < 0))
        answer->least = limit > 0 ? limit : 0;
}

static struct side_answer answer_side(const struct finding *findings, int count, enum side side,
                                      um grain)
{
    struct side_answer answer = {.least = -1, .nominal = UM_NONE};

    for (int i = 0; i < count; i++) {
        if (findings[i].side == SIDE_NONE || findings[i].side == side)
            take_finding(&answer, &findings[i]);
    }
    if (!answer.stepped)
        answer.least = answer.nominal = 0;
    answer.permitted = rules_grain(answer.least, grain);
    return answer;
}

static enum verdict verdict_of(const struct finding *findings, int count,
                               const struct side_answer *right, const struct side_answer *left)
{
    for (int i = 0; i < count; i++) {
        if (findings[i].effect == EFFECT_REST)
            return VERDICT_REST;
    }
    if (right->permitted == 0 && left->permitted == 0)
        return VERDICT_HOLD;
    if (right->permitted < right->base || left->permitted < left->base)
        return VERDICT_REDUCE;
    return VERDICT_PROCEED;
}

void rules_replay(const struct finding *findings, int count, enum sides sides, um grain,
                  struct judgement *judgement)
{
    struct side_answer right = {0}, left = {0}; /* a side not in plan counts nowhere */

    if (sides == SIDES_BOTH || sides == SIDES_RIGHT)
        right = answer_side(findings, count, SIDE_RIGHT, grain);
    if (sides == SIDES_BOTH || sides == SIDES_LEFT)
        left = answer_side(findings, count, SIDE_LEFT, grain);
    judgement->permitted_right = right.permitted;
    judgement->permitted_left = left.permitted;
    judgement->nominal_right = right.nominal;
    judgement->nominal_left = left.nominal;
    judgement->verdict = verdict_of(findings, count, &right, &left);
}

static enum status above_cap(um amount, um cap, const char *where, struct error *error)
{
    char given[MILLIMETRE_TEXT_SIZE], most[MILLIMETRE_TEXT_SIZE];

    return error_set(error, STATUS_INPUT, where,
                     "%s mm is above %s mm, the most that is taken as no slip of the key. "
                     "Correct the amount.",
                     millimetre_to_text(amount, given), millimetre_to_text(cap, most));
}

static enum status above_wound(um amount, um most, const char *where, struct error *error)
{
    char given[MILLIMETRE_TEXT_SIZE], reduced[MILLIMETRE_TEXT_SIZE];

    return error_set(error, STATUS_INPUT, where,
                     "%s mm can not be given over a wound: with a recorded reason at most %s mm. "
                     "Lower the amount, or give none.",
                     millimetre_to_text(amount, given), millimetre_to_text(most, reduced));
}

static const char *what_bars(enum rule rule)
{
    switch (rule) {
    case RULE_NOT_IN_PLACE:
        return "The expander is not in place today";
    case RULE_DONE_TODAY:
        return "The arch was already activated today";
    case RULE_NOT_EXAMINED:
        return "Tissue and hardware were not both examined today";
    case RULE_HARDWARE:
        return "A hardware fault stands unrepaired";
    default:
        return rule_row(rule)->name;
    }
}

static enum status barred(enum rule rule, const char *where, struct error *error)
{
    return error_set(error, STATUS_INPUT, where,
                     "%s; no reason overrides that. Give no more than is permitted.",
                     what_bars(rule));
}

/* More than permitted on one side: is a recorded reason enough? */
static enum status override_side(const struct judgement *judgement, const struct protocol *protocol,
                                 um amount, um nominal, const char *where, struct error *error)
{
    um reduced = (um)((int64_t)nominal * protocol->reduce_permille / 1000);

    for (int i = 0; i < judgement->finding_count; i++) {
        const struct finding *finding = &judgement->findings[i];
        if (finding->effect == EFFECT_HOLD && !rule_row(finding->rule)->overridable)
            return barred(finding->rule, where, error);
    }
    for (int i = 0; i < judgement->finding_count; i++) {
        if (judgement->findings[i].rule == RULE_TISSUE_WOUND && amount > reduced)
            return above_wound(amount, reduced, where, error);
    }
    return STATUS_OK;
}

enum status rules_override(const struct judgement *judgement, const struct protocol *protocol,
                           struct proposal amounts, bool *needs_reason, struct error *error)
{
    bool right = amounts.right > judgement->permitted_right && amounts.right > 0;
    bool left = amounts.left > judgement->permitted_left && amounts.left > 0;
    enum status status = STATUS_OK;

    *needs_reason = right || left;
    if (amounts.right > protocol->entry_cap)
        return above_cap(amounts.right, protocol->entry_cap, "right_mm", error);
    if (amounts.left > protocol->entry_cap)
        return above_cap(amounts.left, protocol->entry_cap, "left_mm", error);
    if (right)
        status = override_side(judgement, protocol, amounts.right, judgement->nominal_right,
                               "right_mm", error);
    if (status == STATUS_OK && left)
        status = override_side(judgement, protocol, amounts.left, judgement->nominal_left,
                               "left_mm", error);
    return status;
}
