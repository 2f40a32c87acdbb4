/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reads a history once, so that no rule has to walk it again. */
#include <string.h>

#include "rules_private.h"
#include "springline/core/statistics.h"

/* The newer row of two fitted on one day: by its place in the ledger, then by its id. */
static bool later_row(const struct expander *a, const struct expander *b)
{
    if (a->head.sequence != b->head.sequence)
        return a->head.sequence > b->head.sequence;
    return id_compare(&a->head.id, &b->head.id) > 0;
}

/* Fitted by today counts before fitted later; then the newer. */
static bool newer_expander(const struct expander *a, const struct expander *b, day today)
{
    bool a_fitted = a->fitted_on <= today, b_fitted = b->fitted_on <= today;

    if (a_fitted != b_fitted)
        return a_fitted;
    if (a->fitted_on != b->fitted_on)
        return a->fitted_on > b->fitted_on;
    return later_row(a, b);
}

const struct expander *inquiry_expander(const struct history *history, enum arch arch, day today)
{
    const struct expander *newest = NULL;

    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        if (expander->arch == arch && expander->fitted_on != DAY_NONE &&
            (newest == NULL || newer_expander(expander, newest, today)))
            newest = expander;
    }
    return newest;
}

static day later_day(day a, day b)
{
    return a > b ? a : b; /* DAY_NONE lies before every day */
}

static um amount_of(const struct visit *visit, enum side side)
{
    return side == SIDE_RIGHT ? visit->right : visit->left;
}

static um given_on(const struct visit *visit, enum side side)
{
    um amount = amount_of(visit, side);

    return amount > 0 ? amount : 0;
}

/* An activation elsewhere that does not say what was given on the side. Of the other kinds an empty
 * amount means none, as it does of visits here. */
static bool lacks_amount(const struct visit *visit, enum side side)
{
    return visit->elsewhere == ANSWER_YES && visit->kind == VISIT_ACTIVATION &&
           amount_of(visit, side) == UM_NONE;
}

static int64_t window_amount(const struct visit *visit, enum side side)
{
    return lacks_amount(visit, side) ? ELSEWHERE_STEP_UM : given_on(visit, side);
}

int64_t inquiry_window(const struct inquiry *inquiry, enum side side, day on, day *oldest)
{
    int64_t sum = 0;

    *oldest = DAY_NONE;
    for (size_t i = 0; i < inquiry->history->visit_count; i++) {
        const struct visit *visit = &inquiry->history->visits[i];
        if (visit->arch != inquiry->question->arch || !visit_reached(visit, &inquiry->reach) ||
            on - visit->date >= inquiry->protocol->window_days)
            continue;
        int64_t amount = window_amount(visit, side);
        sum += amount;
        if (amount > 0 && (*oldest == DAY_NONE || visit->date < *oldest))
            *oldest = visit->date;
    }
    return sum;
}

/*
 * Sides that are not in plan. They "count nowhere else", but what was given on them did move the
 * arch: its amounts (target-near, width-lag, "activation begun", done-today) are summed whatever
 * the present expander is meant to move, or else a second expander of one side would make the first
 * one's millimetres unseen, and permit them again. The safe reading of "nowhere" is: nothing
 * is permitted because of them. So the last activation of the arch (no-consent, hardware-recent,
 * relieved), which lifts a limit, is one of a side in plan; and an amount that a visit elsewhere
 * lacks does not switch width-lag off for them, for what is known is the least that was given.
 */
static void collect_lacking(struct inquiry *inquiry, const struct visit *visit, enum side side)
{
    struct arch_facts *arch = &inquiry->arch;
    day latest = inquiry->width.latest.date;

    arch->elsewhere = true;
    if (inquiry->side[side].planned && (latest == DAY_NONE || visit->date < latest))
        arch->elsewhere_before = true;
    inquiry->side[side].last_elsewhere = later_day(inquiry->side[side].last_elsewhere, visit->date);
}

static void collect_amount(struct inquiry *inquiry, const struct visit *visit, enum side side,
                           um amount)
{
    struct side_facts *facts = &inquiry->side[side];
    struct arch_facts *arch = &inquiry->arch;

    facts->last = later_day(facts->last, visit->date);
    facts->since_fit = facts->since_fit || visit->date >= inquiry->expander->fitted_on;
    facts->total += amount;
    if (visit->date == inquiry->question->today)
        facts->today += amount;
    if (facts->planned)
        arch->last = later_day(arch->last, visit->date);
    if (arch->first == DAY_NONE || visit->date < arch->first)
        arch->first = visit->date;
    if (inquiry->width.latest.date != DAY_NONE && visit->date >= inquiry->width.latest.date)
        arch->since += amount;
    else
        arch->before += amount;
}

/* What was given; true when the row is an activation of a side in plan. */
static bool collect_given(struct inquiry *inquiry, const struct visit *visit)
{
    bool activation = false;
    bool in_window = inquiry->question->today - visit->date < inquiry->protocol->window_days;

    for (int s = SIDES_FIRST; s <= SIDES_LAST; s++) {
        enum side side = (enum side)s;
        um amount = given_on(visit, side);
        if (amount > 0) {
            activation = activation || inquiry->side[s].planned;
            collect_amount(inquiry, visit, side, amount);
        } else if (lacks_amount(visit, side)) {
            collect_lacking(inquiry, visit, side);
        }
        if (in_window)
            inquiry->side[s].window += window_amount(visit, side);
    }
    return activation;
}

/*
 * What was found. A visit of the case as a whole speaks for both arches. A fault found at the very
 * visit that gave an activation is not since that activation: it was judged there. A visit that
 * says nothing of the tissue does not heal a wound.
 */
static void collect_found(struct arch_facts *arch, const struct visit *visit, bool activation)
{
    if (visit->kind == VISIT_RELIEF)
        arch->relieved_on = later_day(arch->relieved_on, visit->date);
    if (hardware_faulty(visit->hardware) && !activation)
        arch->fault_on = later_day(arch->fault_on, visit->date);
    if (visit->tissue == TISSUE_NONE || !visit_seen(visit) || visit->date < arch->tissue_on)
        return;
    arch->wound = visit->tissue == TISSUE_WOUND || (visit->date == arch->tissue_on && arch->wound);
    arch->tissue_on = visit->date;
}

static void collect_visits(struct inquiry *inquiry)
{
    for (size_t i = 0; i < inquiry->history->visit_count; i++) {
        const struct visit *visit = &inquiry->history->visits[i];
        bool own = visit->arch == inquiry->question->arch;
        if ((!own && visit->arch != ARCH_NONE) || !visit_reached(visit, &inquiry->reach))
            continue;
        bool activation = own && collect_given(inquiry, visit);
        collect_found(&inquiry->arch, visit, activation);
    }
}

/*
 * Periods in a row. Where the case has no wear record at all, no period ends before its first: all
 * count as unknown.
 */
static void collect_runs(struct inquiry *inquiry, struct wear_walk *walk)
{
    struct wear_facts *wear = &inquiry->wear;
    struct wear_period period = wear->period;
    day first_record = wear_first_record(inquiry->history, inquiry->question->today);
    bool low = period.class == WEAR_LOW;
    int32_t periods = 0;

    do {
        if (period.class == WEAR_FULL)
            break;
        if (wear->run == periods && (first_record == DAY_NONE || period.to >= first_record))
            wear->run++;
        wear->rest_run += low && period.class != WEAR_UNKNOWN;
        periods++;
    } while (periods < WEAR_PERIODS_MAX && (low || wear->run == periods) &&
             wear_walk_next(walk, &period));
}

static void collect_wear(struct inquiry *inquiry)
{
    struct wear_walk walk;

    wear_walk_start(&walk, inquiry->history, inquiry->protocol, inquiry->question->today,
                    inquiry->reach);
    inquiry->wear.any = wear_walk_next(&walk, &inquiry->wear.period);
    if (inquiry->wear.any)
        collect_runs(inquiry, &walk);
}

void inquiry_collect(struct inquiry *inquiry)
{
    enum sides sides = inquiry->expander->sides;
    struct arch_facts *arch = &inquiry->arch;

    for (int s = SIDES_FIRST; s <= SIDES_LAST; s++)
        inquiry->side[s] = (struct side_facts){.last = DAY_NONE, .last_elsewhere = DAY_NONE};
    inquiry->side[SIDE_RIGHT].planned = sides == SIDES_BOTH || sides == SIDES_RIGHT;
    inquiry->side[SIDE_LEFT].planned = sides == SIDES_BOTH || sides == SIDES_LEFT;
    inquiry->sides_planned = inquiry->side[SIDE_RIGHT].planned + inquiry->side[SIDE_LEFT].planned;
    *arch = (struct arch_facts){.first = DAY_NONE,
                                .last = DAY_NONE,
                                .relieved_on = DAY_NONE,
                                .fault_on = DAY_NONE,
                                .tissue_on = DAY_NONE};
    width_view(inquiry->history, inquiry->protocol, inquiry->expander, inquiry->question->today,
               &inquiry->width);
    inquiry->mdc = statistics_mdc95((double)inquiry->protocol->width_error);
    collect_visits(inquiry);
    inquiry->wear.run = inquiry->wear.rest_run = 0;
    collect_wear(inquiry);
}
