/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The next date of a case (domain.md 8): the earliest window over its arches. */
#include "course_parts.h"
#include "springline/core/wear.h"

static const struct course_window nothing_due = {DAY_NONE, DAY_NONE};

/* Months after the end of retention at which stability is checked: common practice, no source. */
static const int stability_months[STABILITY_CHECKS] = {1, 3, 6, 12};

/* How long the end of retention and a stability check stay due before they are overdue: a setting
 * of our own (standing S), no source. */
enum { CHECK_WINDOW_DAYS = 14 };

/* Of two windows the one that closes first, as the rules choose between theirs: so that a case is
 * overdue as soon as one arch is. */
static bool earlier(struct course_window a, struct course_window b)
{
    if (a.from == DAY_NONE || b.from == DAY_NONE)
        return a.from != DAY_NONE;
    return a.to < b.to || (a.to == b.to && a.from < b.from);
}

static struct course_window days_after(day from, int32_t first_days, int32_t last_days)
{
    return (struct course_window){from + first_days, from + last_days};
}

static bool fit_checked(const struct expander *expander)
{
    return expander->passive_ends == ANSWER_YES && expander->width_equal == ANSWER_YES &&
           expander->loops_clear == ANSWER_YES && expander->tied == ANSWER_YES &&
           expander->ends_rounded == ANSWER_YES;
}

/* Fitted, and nobody has seen the arch since: the ordinary interval, or, while a fit check is
 * missing or failed, the recheck of a fault. */
static struct course_window after_fit(const struct protocol *protocol,
                                      const struct expander *expander)
{
    if (!fit_checked(expander))
        return days_after(expander->fitted_on, protocol->recheck_fault_min_days,
                          protocol->recheck_fault_max_days);
    return days_after(expander->fitted_on, protocol->interval_min_days,
                      protocol->interval_max_days);
}

/* The row of the date that names the arch, was seen, and so may carry a stored verdict. Of several
 * the one recorded last: it knows what the others found and gave. */
static const struct visit *arch_row(const struct history *history, enum arch arch, day date)
{
    const struct visit *last = NULL;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit->date == date && visit->arch == arch && visit_seen(visit) &&
            (last == NULL || course_recorded_later(&visit->head, &last->head)))
            last = visit;
    }
    return last;
}

/* The window given at the arch's visit of date: stored with it, else as the rules say for then. */
static void after_visit(const struct history *history, enum arch arch, day date,
                        struct course_window *window)
{
    const struct visit *visit = arch_row(history, arch, date);
    struct judgement judgement;
    bool recomputed;

    bool told = visit != NULL && course_verdict_of(history, visit, &judgement, &recomputed) &&
                judgement.next_from != DAY_NONE && judgement.next_to != DAY_NONE;
    if (told || course_judge_day(history, arch, date, &judgement))
        *window = (struct course_window){judgement.next_from, judgement.next_to};
}

static struct course_window in_place_due(const struct history *history,
                                         const struct expander *expander)
{
    struct course_window window = after_fit(history->protocol, expander);
    day seen = course_arch_last_seen(history, expander->arch);

    if (seen >= expander->fitted_on)
        after_visit(history, expander->arch, seen, &window);
    return window;
}

/* A rest is looked at again: counted from the removal, or from a later visit that did look. */
static struct course_window resting_due(const struct history *history,
                                        const struct expander *expander)
{
    day seen = course_arch_last_seen(history, expander->arch);

    return days_after(seen > expander->out_on ? seen : expander->out_on,
                      history->protocol->recheck_rest_min_days,
                      history->protocol->recheck_rest_max_days);
}

/* The first stability visit of the arch from a day on; DAY_NONE. */
static day stability_seen(const struct history *history, enum arch arch, day from, day through)
{
    day first = DAY_NONE;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit->kind == VISIT_STABILITY && course_shows(visit, arch) && visit->date >= from &&
            visit->date <= through && (first == DAY_NONE || visit->date < first))
            first = visit->date;
    }
    return first;
}

/* An expander left in beyond its retention holds the teeth, so checks count from its removal. */
void course_checks(const struct history *history, const struct expander *expander, day today,
                   struct stability_check checks[STABILITY_CHECKS])
{
    day end = course_retention_end(history, expander, today);
    day released =
        course_reached(expander->out_on, today) && expander->out_on > end ? expander->out_on : end;

    for (int i = 0; i < STABILITY_CHECKS; i++) {
        day due = day_add_months(released, stability_months[i]);
        checks[i] =
            (struct stability_check){.months = stability_months[i],
                                     .due = due,
                                     .made = stability_seen(history, expander->arch, due, today)};
    }
}

/* The end of retention until a visit on or after it; then the first stability check not yet made.
 */
static struct course_window retained_due(const struct history *history,
                                         const struct expander *expander, day newest)
{
    struct stability_check checks[STABILITY_CHECKS];
    day end = course_retention_end(history, expander, newest);

    if (course_arch_last_seen(history, expander->arch) < end)
        return days_after(end, 0, CHECK_WINDOW_DAYS);
    course_checks(history, expander, newest, checks);
    for (int i = 0; i < STABILITY_CHECKS; i++) {
        if (checks[i].made == DAY_NONE)
            return days_after(checks[i].due, 0, CHECK_WINDOW_DAYS);
    }
    return nothing_due;
}

/* While the expander is still in place somebody looks at it as often as at a rest, long before it
 * becomes a safety item. */
static struct course_window retention_due(const struct history *history,
                                          const struct expander *expander, day newest)
{
    struct course_window window = retained_due(history, expander, newest);

    if (course_reached(expander->out_on, newest))
        return window;
    day seen = course_arch_last_seen(history, expander->arch);
    struct course_window look = days_after(seen > expander->fitted_on ? seen : expander->fitted_on,
                                           history->protocol->recheck_rest_min_days,
                                           history->protocol->recheck_rest_max_days);
    return earlier(look, window) ? look : window;
}

static struct course_window arch_due(const struct history *history, enum arch arch, day newest)
{
    const struct protocol *protocol = history->protocol;
    const struct expander *expander = course_expander(history, arch, newest);

    switch (course_arch_stage(history, arch, newest)) {
    case STAGE_SEPARATORS:
        return days_after(expander->separators_on, protocol->separator_days,
                          protocol->separator_days);
    case STAGE_BANDED:
        return days_after(expander->banded_on, protocol->recheck_fault_min_days,
                          protocol->recheck_fault_max_days);
    case STAGE_FITTED:
    case STAGE_ACTIVE:
        return in_place_due(history, expander);
    case STAGE_RESTING:
        return resting_due(history, expander);
    case STAGE_RETENTION:
    case STAGE_STABILITY:
        return retention_due(history, expander, newest);
    case STAGE_NONE:
    case STAGE_ASSESSED:
    case STAGE_PLANNED:
    case STAGE_CLOSED:
        break;
    }
    return nothing_due;
}

/* The next_on a person set at the last visit. A missed visit since does not undo it, but may carry
 * a newer one. The rows of one date may differ: the earliest stands. */
static day set_by_person(const struct history *history)
{
    day last_seen = course_last_seen(history, INT32_MAX), set_on = DAY_NONE, next = DAY_NONE;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit->next_on == DAY_NONE || visit->date < last_seen)
            continue;
        if (visit->date > set_on || (visit->date == set_on && visit->next_on < next)) {
            set_on = visit->date;
            next = visit->next_on;
        }
    }
    return next;
}

/*
 * Nothing in the mouth asks for a day, as before the separators: then the newest appointment that
 * the child did not come to still does, whether it was missed, cancelled or nobody recorded it;
 * else the case is on no list ever again. A child seen since, or a later booking, ends it.
 */
static struct course_window let_pass(const struct history *history)
{
    day seen = course_last_seen(history, INT32_MAX), passed = DAY_NONE;

    for (size_t i = 0; i < history->booking_count; i++) {
        const struct booking *booking = &history->bookings[i];
        if (booking->state != BOOKED_KEPT && booking->date > passed)
            passed = booking->date;
    }
    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit->kind == VISIT_MISSED && visit->date > passed)
            passed = visit->date;
    }
    if (passed == DAY_NONE || passed <= seen)
        return nothing_due;
    return (struct course_window){passed, passed};
}

struct course_window course_due(const struct history *history, day newest)
{
    if (course_reached(history->casefile->closed_on, newest))
        return nothing_due;
    day set = set_by_person(history);
    if (set != DAY_NONE)
        return (struct course_window){set, set};
    struct course_window upper = arch_due(history, ARCH_UPPER, newest);
    struct course_window lower = arch_due(history, ARCH_LOWER, newest);
    struct course_window window = earlier(lower, upper) ? lower : upper;
    return window.from == DAY_NONE ? let_pass(history) : window;
}
