/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The verdict of a past visit: the stored one, else what the rules say as of its date. */
#include "course_parts.h"
#include "springline/core/wear.h"

/* All bits of one fault, whatever the side. */
static uint32_t fault_bits(enum fault fault)
{
    return hardware_bit(fault, SIDE_NONE) | hardware_bit(fault, SIDE_RIGHT) |
           hardware_bit(fault, SIDE_LEFT);
}

uint32_t course_repaired(const struct visit *visit)
{
    uint32_t repaired = 0;

    if (visit->repaired != ANSWER_YES)
        return 0;
    if (!hardware_faulty(visit->hardware))
        return ~(uint32_t)HARDWARE_INTACT;
    for (int i = FAULT_LOOSE_BAND; i <= FAULT_COUNT; i++) {
        enum fault fault = (enum fault)i;
        uint32_t named = visit->hardware & fault_bits(fault);
        if ((named & hardware_bit(fault, SIDE_NONE)) != 0)
            repaired |= fault_bits(fault);
        else if (named != 0)
            repaired |= named | hardware_bit(fault, SIDE_NONE);
    }
    return repaired;
}

/* The worst of what the rows of one date found: faults add up, each until a row repairs it. */
static void add_findings(struct examination *found, uint32_t *repaired, const struct visit *visit)
{
    if (visit->tissue > found->tissue)
        found->tissue = visit->tissue;
    found->hardware |= visit->hardware;
    *repaired |= course_repaired(visit);
    if (visit->kind == VISIT_RELIEF)
        found->relief = true;
}

static void add_amount(um *sum, um amount)
{
    if (amount != UM_NONE)
        *sum = *sum == UM_NONE ? amount : *sum + amount;
}

/* What was fitted later is no part of a verdict of then. */
static bool fitted_by(const struct history *history, enum arch arch, day date)
{
    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        if (expander->arch == arch && course_reached(expander->fitted_on, date))
            return true;
    }
    return false;
}

bool course_judge_day(const struct history *history, enum arch arch, day date,
                      struct judgement *judgement)
{
    struct question question = {.arch = arch,
                                .today = date,
                                .strictly_before = true,
                                .proposal = {.right = UM_NONE, .left = UM_NONE}};
    struct examination *found = &question.examination;
    uint32_t repaired = 0;

    if (!fitted_by(history, arch, date))
        return false;
    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit->date != date || !visit_seen(visit) || !course_shows(visit, arch))
            continue;
        add_findings(found, &repaired, visit);
        if (visit->arch == arch) {
            add_amount(&question.proposal.right, visit->right);
            add_amount(&question.proposal.left, visit->left);
        }
    }
    if (hardware_faulty(found->hardware)) {
        found->hardware &= ~(uint32_t)HARDWARE_INTACT;
        found->repaired = (found->hardware & ~repaired) == 0 ? ANSWER_YES : ANSWER_NO;
    }
    return rules_judge(history, &question, judgement);
}

static bool stored_usable(const struct judged *judged)
{
    return judged->verdict >= VERDICT_PROCEED && judged->verdict <= VERDICT_REST;
}

/* The verdict stored with this row of the visit, else with its first: a corrected visit is another
 * row, and was judged as it was entered. */
static const struct judged *stored_for(const struct history *history, const struct visit *visit)
{
    const struct judged *first = NULL;

    for (size_t i = 0; i < history->judged_count; i++) {
        const struct judged *judged = &history->judged[i];
        if (!stored_usable(judged))
            continue;
        if (id_equal(&judged->visit, &visit->head.id))
            return judged;
        if (first == NULL && judged_with(judged, visit))
            first = judged;
    }
    return first;
}

/* The newest verdict stored with any row of the same arch and date. */
static const struct judged *stored_that_day(const struct history *history,
                                            const struct visit *visit)
{
    const struct judged *newest = NULL;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *row = &history->visits[i];
        if (row->date != visit->date || row->arch != visit->arch || !visit_seen(row))
            continue;
        const struct judged *judged = stored_for(history, row);
        if (judged != NULL &&
            (newest == NULL || course_recorded_later(&judged->head, &newest->head)))
            newest = judged;
    }
    return newest;
}

/* Does the row of then still stand? The window that was given with it holds for its day and its
 * amounts only. */
static bool as_it_was(const struct history *history, const struct judged *judged)
{
    for (size_t i = 0; i < history->visit_count; i++) {
        if (id_equal(&history->visits[i].head.id, &judged->visit))
            return true;
    }
    return false;
}

bool course_verdict_of(const struct history *history, const struct visit *visit,
                       struct judgement *judgement, bool *recomputed)
{
    if (visit->arch == ARCH_NONE || !visit_seen(visit))
        return false;
    const struct judged *judged = stored_for(history, visit);
    if (judged == NULL && history->judged_count > 0)
        judged = stored_that_day(history, visit);
    if (judged == NULL) {
        if (!course_judge_day(history, visit->arch, visit->date, judgement))
            return false;
        *recomputed = true;
        return true;
    }
    bool window = as_it_was(history, judged);
    *judgement = (struct judgement){.arch = visit->arch,
                                    .verdict = (enum verdict)judged->verdict,
                                    .permitted_right = judged->permitted_right,
                                    .permitted_left = judged->permitted_left,
                                    .next_from = window ? judged->next_from : DAY_NONE,
                                    .next_to = window ? judged->next_to : DAY_NONE};
    *recomputed = false;
    return true;
}

bool course_verdict_now(const struct history *history, const struct visit *visit,
                        struct judgement *now)
{
    if (visit->arch == ARCH_NONE || !visit_seen(visit))
        return false;
    return course_judge_day(history, visit->arch, visit->date, now);
}
