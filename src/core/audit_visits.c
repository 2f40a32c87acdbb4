/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the visits of a month brought: verdicts, overrides, missed days. */
#include "audit_parts.h"
#include "course_parts.h"
#include "springline/core/wear.h"

/* The days of one month as bits: bit 0 is its first day. */
typedef uint32_t day_set;

static void add_day(day_set *set, day date, day first, day last)
{
    if (date >= first && date <= last)
        *set |= UINT32_C(1) << (uint32_t)(date - first);
}

static int32_t days_in(day_set set)
{
    int32_t count = 0;

    for (; set != 0; set &= set - 1)
        count++;
    return count;
}

static bool gave(const struct visit *visit)
{
    return visit->right > 0 || visit->left > 0;
}

/* The row that stands for the date: the newest that gave an amount. */
static bool stands_before(const struct visit *a, const struct visit *b)
{
    if (b == NULL || gave(a) != gave(b))
        return b == NULL || gave(a);
    return course_recorded_later(&a->head, &b->head);
}

static void add_row(struct audit_arch *on, const struct visit *visit)
{
    bool has_reason = visit->override_reason != NULL && visit->override_reason[0] != '\0';

    if (visit->right > 0)
        on->right += visit->right;
    if (visit->left > 0)
        on->left += visit->left;
    bool stands = stands_before(visit, on->row);
    if (has_reason && (stands || on->reason[0] == '\0'))
        on->reason = visit->override_reason;
    if (stands)
        on->row = visit;
}

bool audit_arch_on(const struct history *history, enum arch arch, day date, struct audit_arch *on)
{
    const struct judgement *judgement = &on->judgement;

    on->row = NULL;
    on->right = on->left = 0;
    on->reason = "";
    on->judged = on->recomputed = on->above = false;
    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit->arch == arch && visit->date == date && visit_seen(visit))
            add_row(on, visit);
    }
    if (on->row == NULL)
        return false;
    on->judged = course_verdict_of(history, on->row, &on->judgement, &on->recomputed);
    on->above = on->judged &&
                (on->right > judgement->permitted_right || on->left > judgement->permitted_left);
    return true;
}

static void note_override(const struct audit_arch *on, struct audit_row *row)
{
    if (row->overrides < AUDIT_OVERRIDES_MAX)
        row->override_rows[row->overrides] =
            (struct audit_override){.date = on->row->date,
                                    .arch = on->row->arch,
                                    .given_right = on->right,
                                    .given_left = on->left,
                                    .permitted_right = on->judgement.permitted_right,
                                    .permitted_left = on->judgement.permitted_left,
                                    .reason = on->reason,
                                    .recomputed = on->recomputed};
    row->overrides++;
}

/* The verdict of the arch on the date; VERDICT_NONE when it was not seen or not fitted. row: where
 * an override is noted; NULL: nowhere. */
static enum verdict arch_verdict(const struct history *history, enum arch arch, day date,
                                 struct audit_row *row)
{
    struct audit_arch on;

    if (!audit_arch_on(history, arch, date, &on) || !on.judged)
        return VERDICT_NONE;
    if (on.above && row != NULL)
        note_override(&on, row);
    return on.judgement.verdict;
}

/* A visit counts once, under the gravest verdict of its arches (the order of enum verdict). */
static enum verdict gravest_verdict(const struct history *history, day date, struct audit_row *row)
{
    enum verdict upper = arch_verdict(history, ARCH_UPPER, date, row);
    enum verdict lower = arch_verdict(history, ARCH_LOWER, date, row);

    return upper > lower ? upper : lower;
}

enum verdict audit_verdict_on(const struct history *history, day date)
{
    return gravest_verdict(history, date, NULL);
}

static void count_visit(const struct history *history, day date, struct audit_row *row)
{
    enum verdict gravest = gravest_verdict(history, date, row);

    row->holds += gravest == VERDICT_HOLD;
    row->reductions += gravest == VERDICT_REDUCE;
    row->rests += gravest == VERDICT_REST;
}

void audit_visits(const struct history *history, day first, day last, struct audit_row *row)
{
    day_set seen = 0, missed = 0;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit_seen(visit))
            add_day(&seen, visit->date, first, last);
        else if (visit->kind == VISIT_MISSED)
            add_day(&missed, visit->date, first, last);
    }
    for (size_t i = 0; i < history->booking_count; i++) {
        if (history->bookings[i].state == BOOKED_MISSED)
            add_day(&missed, history->bookings[i].date, first, last);
    }
    row->visits = days_in(seen);
    row->missed = days_in(missed);
    for (day date = first; date <= last; date++) {
        if ((seen >> (uint32_t)(date - first) & 1U) != 0)
            count_visit(history, date, row);
    }
}
