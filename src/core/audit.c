/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One case's line of the month's audit, and the totals. Nothing here allocates. */
#include "springline/core/audit.h"

#include "audit_parts.h"
#include "course_parts.h"
#include "springline/core/statistics.h"

static const char *const group_texts[] = {"", "below", "unknown", "not-seen", "meeting"};
const struct words words_audit_group = {"group", group_texts,
                                        sizeof group_texts / sizeof *group_texts};

/* Is met / known below a share given in thousandths? Whole numbers: 0.80 exactly is not below. */
static bool below(const struct audit_wear *wear, int32_t permille)
{
    return (int64_t)wear->met * 1000 < (int64_t)permille * wear->known;
}

static double share(int32_t part, int32_t whole)
{
    return (double)part / (double)whole;
}

static void judge_group(const struct protocol *protocol, const struct audit_wear *wear,
                        struct audit_row *row)
{
    if (!wear->seen) {
        row->group = AUDIT_NOT_SEEN;
    } else if (wear->source == SOURCE_NONE) {
        row->group = AUDIT_UNKNOWN;
    } else if (below(wear, protocol->wear_full_permille)) {
        row->group = AUDIT_BELOW;
        row->low = below(wear, protocol->wear_low_permille);
    } else {
        row->group = AUDIT_MEETING;
    }
}

static void fill_wear(const struct audit_wear *wear, struct audit_row *row)
{
    struct interval interval;
    int32_t known = wear->source == SOURCE_NONE ? wear->most_known : wear->known;

    row->source = wear->source;
    row->days_asked = wear->days;
    row->days_known = wear->known;
    row->days_met = wear->met;
    row->short_run = wear->short_run;
    row->stricter = wear->stricter;
    row->unknown_share = wear->days > known ? share(wear->days - known, wear->days) : 0.0;
    if (wear->days == 0)
        row->unknown_share = 1.0;
    if (wear->known > 0)
        row->adherence = share(wear->met, wear->known);
    if (statistics_wilson(wear->met, wear->known, &interval)) {
        row->low95 = interval.low;
        row->high95 = interval.high;
    }
}

/* Sources are never mixed in one figure: a change is shown only between months judged on the same
 * source. */
static void fill_change(const struct history *history, day month, const struct audit_wear *wear,
                        struct audit_row *row)
{
    struct audit_behind behind;
    struct audit_wear before;

    if (wear->source == SOURCE_NONE)
        return;
    audit_wear_of(history, day_month_start(month, -1), month - 1, &behind, &before);
    if (before.source != wear->source)
        return;
    row->has_change = true;
    row->change = row->adherence - share(before.met, before.known);
}

bool audit_month_of(const struct history *history, day month, day today, struct audit_month *span)
{
    day end = day_month_start(month, 1) - 1;
    day last = end < today ? end : today;
    day start = audit_wear_start(history, last);

    if (start == DAY_NONE || start > last || course_reached(history->casefile->closed_on, last))
        return false;
    *span = (struct audit_month){start, last, end < today ? end : today - 1};
    return true;
}

bool audit_case(const struct history *history, day month, day today, struct audit_row *row)
{
    struct audit_month span;
    struct audit_behind behind;
    struct audit_wear wear;

    if (!audit_month_of(history, month, today, &span))
        return false;
    *row = (struct audit_row){0};
    audit_wear_of(history, month, span.last, &behind, &wear);
    row->drifting = wear_drift_down(&behind.periods, history->protocol);
    judge_group(history->protocol, &wear, row);
    fill_wear(&wear, row);
    fill_change(history, month, &wear, row);
    audit_tail(history, month, span.last, span.tail_to, row);
    audit_visits(history, month, span.last, row);
    return true;
}

static void count_group(struct audit_totals *totals, const struct audit_row *row)
{
    totals->below += row->group == AUDIT_BELOW;
    totals->low += row->group == AUDIT_BELOW && row->low;
    totals->unknown += row->group == AUDIT_UNKNOWN;
    totals->not_seen += row->group == AUDIT_NOT_SEEN;
    totals->meeting += row->group == AUDIT_MEETING;
}

void audit_add(struct audit_totals *totals, const struct audit_row *row)
{
    totals->cases++;
    count_group(totals, row);
    totals->visits += row->visits;
    totals->holds += row->holds;
    totals->reductions += row->reductions;
    totals->rests += row->rests;
    totals->overrides += row->overrides;
    totals->missed += row->missed;
}
