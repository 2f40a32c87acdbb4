/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rules on whether the arch is ready at all: in place, checked, agreed to, a trainer at hand. */
#include "rules_private.h"

/* True when date is recorded and not later than today. */
static bool given_by(day date, const struct inquiry *inquiry)
{
    return date != DAY_NONE && date <= inquiry->question->today;
}

void judge_not_in_place(struct inquiry *inquiry)
{
    const struct expander *expander = inquiry->expander;
    day today = inquiry->question->today;
    bool out = expander->out_on != DAY_NONE && expander->out_on <= today;

    if (expander->fitted_on <= today && !out)
        return;
    struct finding *finding = finding_add(inquiry, RULE_NOT_IN_PLACE, EFFECT_HOLD, SIDE_NONE, 0);
    finding_number(finding, "fitted", UNIT_DATE, expander->fitted_on);
    if (out)
        finding_number(finding, "out", UNIT_DATE, expander->out_on);
}

/*
 * Left in passively the expander only holds: the arch is in retention (domain.md 8), so an
 * activation is a decision of its own and wants a reason. A rule of our own: domain.md 4 has none
 * for it, and permitted an activation in the middle of retention.
 */
void judge_passive(struct inquiry *inquiry)
{
    const struct expander *expander = inquiry->expander;

    if (!given_by(expander->passive_on, inquiry) || given_by(expander->out_on, inquiry))
        return;
    struct finding *finding = finding_add(inquiry, RULE_PASSIVE, EFFECT_HOLD, SIDE_NONE, 0);
    finding_number(finding, "passive", UNIT_DATE, expander->passive_on);
}

void judge_fit_check(struct inquiry *inquiry)
{
    const struct expander *expander = inquiry->expander;
    const enum answer checks[] = {expander->passive_ends, expander->width_equal,
                                  expander->loops_clear, expander->tied, expander->ends_rounded};
    int missing = 0, failed = 0;

    for (size_t i = 0; i < sizeof checks / sizeof checks[0]; i++) {
        failed += checks[i] == ANSWER_NO;
        missing += checks[i] != ANSWER_NO && checks[i] != ANSWER_YES;
    }
    if (missing + failed == 0)
        return;
    struct finding *finding = finding_add(inquiry, RULE_FIT_CHECK, EFFECT_HOLD, SIDE_NONE, 0);
    finding_number(finding, "missing", UNIT_COUNT, missing);
    finding_number(finding, "failed", UNIT_COUNT, failed);
}

void judge_no_trainer(struct inquiry *inquiry)
{
    if (!wear_trainer_current(inquiry->history, inquiry->question->today))
        finding_add(inquiry, RULE_NO_TRAINER, EFFECT_HOLD, SIDE_NONE, 0);
}

void judge_no_consent(struct inquiry *inquiry)
{
    const struct casefile *casefile = inquiry->history->casefile;
    day consent = casefile == NULL ? DAY_NONE : casefile->consent_on;
    enum effect effect = inquiry->arch.last == DAY_NONE ? EFFECT_HOLD : EFFECT_CAUTION;

    if (given_by(consent, inquiry))
        return;
    struct finding *finding = finding_add(inquiry, RULE_NO_CONSENT, effect, SIDE_NONE, 0);
    if (consent != DAY_NONE)
        finding_number(finding, "consent", UNIT_DATE, consent);
}

void judge_not_asked(struct inquiry *inquiry)
{
    const struct casefile *casefile = inquiry->history->casefile;

    if (casefile == NULL || !given_by(casefile->asked_on, inquiry))
        finding_add(inquiry, RULE_NOT_ASKED, EFFECT_CAUTION, SIDE_NONE, UM_NONE);
}

/* The upper arch's first fitting: a later refit of the upper does not make the lower early. */
void judge_lower_early(struct inquiry *inquiry)
{
    const struct history *history = inquiry->history;
    day upper = DAY_NONE, lower = inquiry->expander->fitted_on;

    if (inquiry->question->arch != ARCH_LOWER)
        return;
    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        if (expander->arch == ARCH_UPPER && given_by(expander->fitted_on, inquiry) &&
            (upper == DAY_NONE || expander->fitted_on < upper))
            upper = expander->fitted_on;
    }
    if (upper == DAY_NONE || lower - upper >= inquiry->protocol->lower_after_days)
        return;
    struct finding *finding =
        finding_add(inquiry, RULE_LOWER_EARLY, EFFECT_CAUTION, SIDE_NONE, UM_NONE);
    finding_number(finding, "upper", UNIT_DATE, upper);
    finding_number(finding, "lower", UNIT_DATE, lower);
    finding_number(finding, "days", UNIT_DAYS, lower - upper);
}
