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

/* What one arch was given on one date, over all rows of that date. */
struct given {
    const struct visit *row; /* the row that stands for the date: the newest that gave an amount */
    um right, left;
    const char *reason;
};

static bool gave(const struct visit *visit)
{
    return visit->right > 0 || visit->left > 0;
}

static bool stands_before(const struct visit *a, const struct visit *b)
{
    if (b == NULL || gave(a) != gave(b))
        return b == NULL || gave(a);
    return course_recorded_later(&a->head, &b->head);
}

static void add_row(struct given *given, const struct visit *visit)
{
    bool has_reason = visit->override_reason != NULL && visit->override_reason[0] != '\0';

    if (visit->right > 0)
        given->right += visit->right;
    if (visit->left > 0)
        given->left += visit->left;
    bool stands = stands_before(visit, given->row);
    if (has_reason && (stands || given->reason[0] == '\0'))
        given->reason = visit->override_reason;
    if (stands)
        given->row = visit;
}

static struct given given_on(const struct history *history, enum arch arch, day date)
{
    struct given given = {.reason = ""};

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit->arch == arch && visit->date == date && visit_seen(visit))
            add_row(&given, visit);
    }
    return given;
}

static void note_override(const struct given *given, const struct judgement *judgement,
                          bool recomputed, struct audit_row *row)
{
    if (given->right <= judgement->permitted_right && given->left <= judgement->permitted_left)
        return;
    if (row->overrides < AUDIT_OVERRIDES_MAX)
        row->override_rows[row->overrides] =
            (struct audit_override){.date = given->row->date,
                                    .arch = given->row->arch,
                                    .given_right = given->right,
                                    .given_left = given->left,
                                    .permitted_right = judgement->permitted_right,
                                    .permitted_left = judgement->permitted_left,
                                    .reason = given->reason,
                                    .recomputed = recomputed};
    row->overrides++;
}

/* Returns the verdict of the arch on the date; VERDICT_NONE when it was not seen or not fitted. */
static enum verdict arch_verdict(const struct history *history, enum arch arch, day date,
                                 struct audit_row *row)
{
    struct given given = given_on(history, arch, date);
    struct judgement judgement;
    bool recomputed;

    if (given.row == NULL || !course_verdict_of(history, given.row, &judgement, &recomputed))
        return VERDICT_NONE;
    note_override(&given, &judgement, recomputed, row);
    return judgement.verdict;
}

/* A visit counts once, under the gravest verdict of its arches (the order of enum verdict). */
static void count_visit(const struct history *history, day date, struct audit_row *row)
{
    enum verdict upper = arch_verdict(history, ARCH_UPPER, date, row);
    enum verdict lower = arch_verdict(history, ARCH_LOWER, date, row);
    enum verdict gravest = upper > lower ? upper : lower;

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
