/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One arch of the caseload, and the figures over all of them. */
#include "springline/core/caseload.h"

#include <gsl/gsl_sort_double.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <string.h>

#include "rules_private.h"
#include "springline/core/width.h"

/* ---- response ---- */

/* Is an amount of an activation elsewhere not known, as the rules have it? */
static bool lacks_amount(const struct visit *visit)
{
    return visit->elsewhere == ANSWER_YES && visit->kind == VISIT_ACTIVATION &&
           (visit->right == UM_NONE || visit->left == UM_NONE);
}

/* Right + left of the arch before a day; false: an amount is not known. */
static bool given_before(const struct history *history, enum arch arch, day date, int64_t *given)
{
    bool known = true;

    *given = 0;
    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit->arch != arch || visit->date == DAY_NONE || visit->date >= date)
            continue;
        known = known && !lacks_amount(visit);
        *given += visit->right > 0 ? visit->right : 0;
        *given += visit->left > 0 ? visit->left : 0;
    }
    return known;
}

static void take_wear(const struct history *history, day from, day to, struct caseload_arch *row)
{
    struct wear_period period;

    row->class = WEAR_UNKNOWN;
    row->source = SOURCE_NONE;
    row->met = row->known = 0;
    if (from > to)
        return;
    wear_judge(history, history->protocol, from, to, &period);
    if (period.class == WEAR_UNKNOWN)
        return;
    row->class = period.class;
    row->source = period.source;
    row->met = period.judged.met;
    row->known = period.judged.known;
}

/* Gain and what was given for it; *first_fitted from when, where it is measured. */
static void take_response(const struct history *history, const struct expander *expander, day today,
                          struct caseload_arch *row, day *first_fitted)
{
    const struct protocol *protocol = history->protocol;
    struct width_view view;
    int64_t given = 0;

    *first_fitted = DAY_NONE;
    width_view(history, protocol, expander, today, &view);
    if (!view.has_gain || !given_before(history, row->arch, view.latest.date, &given) ||
        given < protocol->lag_total || given <= 0)
        return;
    row->measured = true;
    row->gain = view.gain;
    row->given = given;
    row->response = (double)view.gain / (double)given;
    row->latest = view.latest.date;
    *first_fitted = view.first_fitted;
}

/* Does width-lag fire today? It takes no less than what makes an arch measured. */
static bool lags(const struct history *history, enum arch arch, day today)
{
    const struct question question = {
        .arch = arch,
        .today = today,
        .examination = {.tissue = TISSUE_SOUND, .hardware = HARDWARE_INTACT},
        .proposal = {.right = UM_NONE, .left = UM_NONE}};
    struct judgement judgement;

    if (!rules_judge_masked(history, &question, UINT64_C(1) << RULE_WIDTH_LAG, &judgement))
        return false;
    for (int i = 0; i < judgement.finding_count; i++) {
        if (judgement.findings[i].rule == RULE_WIDTH_LAG)
            return true;
    }
    return false;
}

/* ---- more given than permitted ---- */

static bool gave(const struct visit *visit)
{
    return visit->right > 0 || visit->left > 0;
}

/* Is it the first of the rows that gave the arch something on its day? */
static bool first_of_day(const struct history *history, size_t at)
{
    const struct visit *visit = &history->visits[at];

    for (size_t i = 0; i < at; i++) {
        const struct visit *other = &history->visits[i];
        if (other->arch == visit->arch && other->date == visit->date && gave(other))
            return false;
    }
    return true;
}

static bool is_seen_of(const struct visit *visit, enum arch arch)
{
    return (visit->arch == arch || visit->arch == ARCH_NONE) && visit_seen(visit);
}

/* The next visit up to today, and the worst found there. */
static void take_next(const struct history *history, enum arch arch, day today,
                      struct caseload_override *override)
{
    override->next = DAY_NONE;
    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (is_seen_of(visit, arch) && visit->date > override->date && visit->date <= today &&
            (override->next == DAY_NONE || visit->date < override->next))
            override->next = visit->date;
    }
    for (size_t i = 0; i < history->visit_count && override->next != DAY_NONE; i++) {
        const struct visit *visit = &history->visits[i];
        if (!is_seen_of(visit, arch) || visit->date != override->next)
            continue;
        if (visit->tissue > override->tissue)
            override->tissue = visit->tissue;
        override->hardware |= visit->hardware;
    }
    if (hardware_faulty(override->hardware))
        override->hardware &= ~(uint32_t)HARDWARE_INTACT;
}

/* The day of the first width after a day; DAY_NONE: none up to today. */
static day first_width_after(const struct history *history, const struct expander *expander,
                             day after, day today)
{
    day first = DAY_NONE;

    for (size_t i = 0; i < history->width_count; i++) {
        const struct width *width = &history->widths[i];
        if (width->date > after && width->date <= today && width->value != UM_NONE &&
            width_counts(width, expander) && (first == DAY_NONE || width->date < first))
            first = width->date;
    }
    return first;
}

/* On one landmark: that of the expander the arch had on the day. */
static void take_change(const struct history *history, enum arch arch, day today,
                        struct caseload_override *override)
{
    const struct expander *expander = inquiry_expander(history, arch, override->date);
    struct width_view before, after;

    override->by = UM_NONE;
    if (expander == NULL)
        return;
    day next = first_width_after(history, expander, override->date, today);
    width_view(history, history->protocol, expander, override->date, &before);
    if (next == DAY_NONE || before.latest.date == DAY_NONE)
        return;
    width_view(history, history->protocol, expander, next, &after);
    override->by = after.latest.value - before.latest.value;
    bool real = override->by > after.mdc || -override->by > after.mdc;
    override->change = real ? CHANGE_REAL : CHANGE_WITHIN_ERROR;
}

/* Keeps the newest ones, newest first. */
static void keep_override(struct caseload_arch *row, const struct caseload_override *override)
{
    int32_t held =
        row->override_count < CASELOAD_OVERRIDES_MAX ? row->override_count : CASELOAD_OVERRIDES_MAX;
    int32_t at = held;

    while (at > 0 && row->overrides[at - 1].date < override->date)
        at--;
    row->override_count++;
    if (at == CASELOAD_OVERRIDES_MAX)
        return;
    int32_t moved = held == CASELOAD_OVERRIDES_MAX ? held - 1 - at : held - at;
    memmove(&row->overrides[at + 1], &row->overrides[at], (size_t)moved * sizeof *override);
    row->overrides[at] = *override;
}

static void take_override(const struct history *history, day date, day today,
                          struct caseload_arch *row)
{
    struct audit_arch on;

    if (!audit_arch_on(history, row->arch, date, &on) || !on.above)
        return;
    struct caseload_override override = {.date = date,
                                         .given_right = on.right,
                                         .given_left = on.left,
                                         .permitted_right = on.judgement.permitted_right,
                                         .permitted_left = on.judgement.permitted_left,
                                         .recomputed = on.recomputed,
                                         .has_reason = on.reason[0] != '\0'};
    take_next(history, row->arch, today, &override);
    take_change(history, row->arch, today, &override);
    keep_override(row, &override);
}

static void take_overrides(const struct history *history, day today, struct caseload_arch *row)
{
    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit->arch == row->arch && gave(visit) && visit->date <= today &&
            visit->date > today - CASELOAD_OVERRIDE_DAYS && first_of_day(history, i))
            take_override(history, visit->date, today, row);
    }
}

static void begin_row(const struct expander *expander, struct caseload_arch *row)
{
    *row = (struct caseload_arch){.arch = expander->arch,
                                  .site = expander->site,
                                  .landmark = expander->landmark,
                                  .gain = UM_NONE,
                                  .latest = DAY_NONE};
}

bool caseload_response(const struct history *history, enum arch arch, day today,
                       struct caseload_arch *row)
{
    const struct expander *expander = inquiry_expander(history, arch, today);
    struct caseload_arch found;
    day first_fitted;

    if (expander == NULL || expander->fitted_on > today)
        return false;
    begin_row(expander, &found);
    take_response(history, expander, today, &found, &first_fitted);
    if (!found.measured)
        return false;
    *row = found;
    return true;
}

bool caseload_arch(const struct history *history, enum arch arch, day today,
                   struct caseload_arch *row)
{
    const struct expander *expander = inquiry_expander(history, arch, today);
    day closed = history->casefile->closed_on, first_fitted;

    if (expander == NULL || expander->fitted_on > today)
        return false;
    begin_row(expander, row);
    row->at_work = (closed == DAY_NONE || closed > today) &&
                   (expander->out_on == DAY_NONE || expander->out_on > today);
    take_response(history, expander, today, row, &first_fitted);
    if (row->measured)
        take_wear(history, first_fitted, row->latest - 1, row);
    row->lag = row->at_work && row->measured && lags(history, arch, today);
    take_overrides(history, today, row);
    return true;
}

/* ---- over all of them ---- */

bool caseload_spread(double *values, size_t n, struct caseload_spread *spread)
{
    if (n == 0)
        return false;
    gsl_sort(values, 1, n);
    *spread =
        (struct caseload_spread){.n = n,
                                 .median = gsl_stats_quantile_from_sorted_data(values, 1, n, 0.50),
                                 .low = gsl_stats_quantile_from_sorted_data(values, 1, n, 0.25),
                                 .high = gsl_stats_quantile_from_sorted_data(values, 1, n, 0.75)};
    return true;
}

bool caseload_tenth(const double *sorted, size_t n, double *most)
{
    if (n < CASELOAD_TENTH_MIN)
        return false;
    *most = sorted[n / 10 - 1];
    return true;
}

static bool all_same(const double *values, size_t n)
{
    for (size_t i = 1; i < n; i++) {
        if (values[i] < values[0] || values[i] > values[0])
            return false;
    }
    return true;
}

bool caseload_rank(const double *a, const double *b, size_t n, double *work, double *rho)
{
    if (n < CASELOAD_RANK_MIN || all_same(a, n) || all_same(b, n))
        return false;
    double found = gsl_stats_spearman(a, 1, b, 1, n, work);
    if (!isfinite(found))
        return false;
    *rho = found;
    return true;
}
