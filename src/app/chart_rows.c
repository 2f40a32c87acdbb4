/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The tables of a chart: visits, widths. */
#include <inttypes.h>
#include <math.h>
#include <string.h>

#include "chart_private.h"
#include "springline/app/sentence.h"
#include "springline/app/sign.h"
#include "springline/core/course.h"
#include "springline/core/rules.h"
#include "springline/core/statistics.h"
#include "springline/core/tooth.h"
#include "told.h"

/* Row a comes before row b in the table; ties by the ledger's order. */
static bool visit_before(const struct visit *a, const struct visit *b)
{
    if (a->date != b->date)
        return a->date < b->date;
    if (a->arch != b->arch)
        return a->arch < b->arch;
    return a->head.sequence < b->head.sequence;
}

const struct visit *chart_next_visit(const struct history *history, const struct visit *previous)
{
    const struct visit *next = NULL;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (previous != NULL && !visit_before(previous, visit))
            continue;
        if (next == NULL || visit_before(visit, next))
            next = visit;
    }
    return next;
}

static void add_padded(struct text *out, const char *value, int cells)
{
    struct text shown = {0};

    text_add_shown(&shown, value == NULL || value[0] == '\0' ? "-" : value);
    text_fit(out, text_string(&shown), cells, true);
    text_add(out, " ");
    text_release(&shown);
}

static void add_amount(struct text *out, um value, um sum)
{
    char amount[MILLIMETRE_TEXT_SIZE], total[MILLIMETRE_TEXT_SIZE];
    struct text cell = {0};

    if (value == UM_NONE)
        text_add(&cell, "-");
    else
        text_addf(&cell, "%s (%s)", millimetre_to_text(value, amount),
                  millimetre_to_text(sum, total));
    add_padded(out, text_string(&cell), 12);
    text_release(&cell);
}

/* The verdict; false when there is none: missed, no arch named, nothing fitted. */
static bool add_verdict(struct text *out, const struct history *history, const struct visit *visit,
                        struct judgement *judgement)
{
    bool recomputed;

    if (visit->kind == VISIT_MISSED || visit->arch == ARCH_NONE ||
        !course_verdict_of(history, visit, judgement, &recomputed)) {
        text_add(out, "-");
        return false;
    }
    text_add(out, word_text(&words_verdict, (int)judgement->verdict));
    if (recomputed)
        text_add(out, " (recomputed)");
    return true;
}

/* What stands under a visit's row: a label, and a text that came from outside. */
static void add_under(struct text *out, const char *label, const char *value)
{
    if (value == NULL || value[0] == '\0')
        return;
    text_addf(out, "           %s: ", label);
    text_add_shown(out, value);
    text_add(out, "\n");
}

/* Of an event: it has one version until it is corrected. */
static void add_corrected(struct text *out, const struct row_head *head)
{
    if (head->version <= 1)
        return;
    text_add(out, "corrected");
    if (head->reason == NULL || head->reason[0] == '\0')
        return;
    text_add(out, ": ");
    text_add_shown(out, head->reason);
}

static void add_excess(struct text *out, const struct visit *visit,
                       const struct judgement *judgement)
{
    bool reason = visit->override_reason != NULL && visit->override_reason[0] != '\0';
    char right[MILLIMETRE_TEXT_SIZE], left[MILLIMETRE_TEXT_SIZE];

    if (!told_excess(visit, judgement))
        return;
    text_addf(out, "           MORE THAN PERMITTED (right %s, left %s)%s\n",
              millimetre_to_text(judgement->permitted_right, right),
              millimetre_to_text(judgement->permitted_left, left),
              reason ? "" : ": no reason recorded");
}

static void add_visit(struct text *out, const struct history *history, const struct visit *visit,
                      um sums[3][2])
{
    char hardware[HARDWARE_TEXT_SIZE];
    um *sum = sums[visit->arch];
    struct judgement judgement;

    if (visit->right > 0)
        sum[0] += visit->right;
    if (visit->left > 0)
        sum[1] += visit->left;
    chart_date(out, visit->date);
    text_add(out, " ");
    add_padded(out, word_text(&words_arch, (int)visit->arch), 5);
    add_padded(out, word_text(&words_visit_kind, (int)visit->kind), 10);
    add_amount(out, visit->right, sum[0]);
    add_amount(out, visit->left, sum[1]);
    add_padded(out, word_text(&words_tissue, (int)visit->tissue), 6);
    bool judged = add_verdict(out, history, visit, &judgement);
    text_add(out, visit->elsewhere == ANSWER_YES ? ", given elsewhere\n" : "\n");
    if (judged)
        add_excess(out, visit, &judgement);
    if (hardware_faulty(visit->hardware))
        text_addf(out, "           hardware: %s%s\n", hardware_to_text(visit->hardware, hardware),
                  visit->repaired == ANSWER_YES ? ", repaired" : ", NOT repaired");
    add_under(out, "reason", visit->override_reason);
    add_under(out, "by", visit->by);
    add_under(out, "note", visit->note);
    if (visit->head.version > 1) {
        text_add(out, "           ");
        add_corrected(out, &visit->head);
        text_add(out, "\n");
    }
}

/* Who answers for the visit, when, as what: on every print of it (21 CFR 11.50(b)). */
static void add_signed(struct text *out, const struct visit *visit,
                       const struct signed_rows *signed_rows, int columns)
{
    const struct signed_row *row = sign_of(signed_rows, &visit->head.id, false);
    struct text told = {0};

    if (row == NULL)
        return;
    if (row->signing == SIGNING_DONE)
        sign_tell(&told, row);
    else
        text_add(&told, "NOT SIGNED");
    text_add_wrapped(out, "           ", text_string(&told), columns);
    out->failed = out->failed || told.failed;
    text_release(&told);
}

void chart_visits(struct text *out, const struct history *history,
                  const struct signed_rows *signed_rows, int columns)
{
    um sums[3][2] = {{0}};

    text_add(out, "\nVisits, mm per side, with that side's sum so far\n"
                  "date       arch  kind       right (sum)  left (sum)   tissue verdict\n");
    for (const struct visit *visit = chart_next_visit(history, NULL); visit != NULL;
         visit = chart_next_visit(history, visit)) {
        add_visit(out, history, visit, sums);
        add_signed(out, visit, signed_rows, columns);
    }
    if (history->visit_count == 0)
        text_add(out, "none recorded\n");
}

static bool same_measure(const struct width *a, const struct width *b)
{
    return a->arch == b->arch && a->site == b->site && a->landmark == b->landmark &&
           a->teeth.right == b->teeth.right && a->teeth.left == b->teeth.left;
}

static bool first_of_measure(const struct history *history, size_t index)
{
    for (size_t i = 0; i < index; i++) {
        if (same_measure(&history->widths[i], &history->widths[index]))
            return false;
    }
    return true;
}

static bool width_before(const struct width *a, const struct width *b)
{
    if (a->date != b->date)
        return a->date < b->date;
    if (a->repeat != b->repeat)
        return a->repeat < b->repeat;
    return a->head.sequence < b->head.sequence;
}

static void add_measure(struct text *out, const struct history *history, const struct width *of)
{
    char teeth[8];
    const struct width *last = NULL;

    text_addf(out, "%s %s, %s, %s:", word_text(&words_arch, (int)of->arch),
              word_text(&words_site, (int)of->site), word_text(&words_landmark, (int)of->landmark),
              teeth_to_text(of->teeth, teeth));
    for (;;) {
        const struct width *next = NULL;
        for (size_t i = 0; i < history->width_count; i++) {
            const struct width *width = &history->widths[i];
            if (same_measure(width, of) && (last == NULL || width_before(last, width)) &&
                (next == NULL || width_before(width, next)))
                next = width;
        }
        if (next == NULL)
            break;
        text_add(out, "\n  ");
        chart_date(out, next->date);
        text_add(out, "  ");
        chart_value(out, next->value);
        text_addf(out, " mm  %s, repeat %" PRId32, word_text(&words_method, (int)next->method),
                  next->repeat);
        text_add(out, next->head.version > 1 ? ", " : "");
        add_corrected(out, &next->head);
        last = next;
    }
    text_add(out, "\n");
}

void chart_widths(struct text *out, const struct history *history)
{
    text_add(out, "\nWidths by landmark (different landmarks are never compared)\n");
    if (history->width_count > 0) {
        text_add(out, "a change of at most ");
        chart_value(out, (um)lround(statistics_mdc95((double)history->protocol->width_error)));
        text_add(out, " mm is within the error of measuring (");
        chart_value(out, history->protocol->width_error);
        text_add(out, " mm a width)\n");
    }
    for (size_t i = 0; i < history->width_count; i++) {
        if (first_of_measure(history, i))
            add_measure(out, history, &history->widths[i]);
    }
    if (history->width_count == 0)
        text_add(out, "none recorded\n");
}
