/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Visits with sums and verdicts, and widths, each landmark for itself. */
#include "case_private.h"
#include "chart_private.h"
#include "springline/core/course.h"
#include "springline/core/width.h"

/* ---- visits ---- */

static const struct effect_row *effect_of(const struct row_maker *maker, const struct visit *visit)
{
    for (size_t i = 0; i < maker->effects->count; i++) {
        if (id_equal(&maker->effects->rows[i].visit->head.id, &visit->head.id))
            return &maker->effects->rows[i];
    }
    return NULL;
}

static const char *now_mark(enum verdict verdict)
{
    static const char *const marks[] = {[VERDICT_NONE] = "now none",
                                        [VERDICT_PROCEED] = "now PROCEED",
                                        [VERDICT_REDUCE] = "now REDUCE",
                                        [VERDICT_HOLD] = "now HOLD",
                                        [VERDICT_REST] = "now REST"};

    return marks[verdict];
}

static const char *recomputed_mark(enum verdict verdict)
{
    static const char *const marks[] = {[VERDICT_NONE] = "",
                                        [VERDICT_PROCEED] = "PROCEED r",
                                        [VERDICT_REDUCE] = "REDUCE r",
                                        [VERDICT_HOLD] = "HOLD r",
                                        [VERDICT_REST] = "REST r"};

    return marks[verdict];
}

static void add_permitted(struct text *out, const struct judgement *judgement)
{
    text_add(out, ", permitted R ");
    told_mm(out, judgement->permitted_right);
    text_add(out, " L ");
    told_mm(out, judgement->permitted_left);
}

/* The one mark of a visit, the weightiest of what can be said; in words in maker->more. */
static const char *visit_mark(struct row_maker *maker, const struct visit *visit, bool *trouble)
{
    const struct effect_row *effect = effect_of(maker, visit);
    struct judgement judgement;
    bool recomputed = false;

    if (visit->kind == VISIT_MISSED)
        return "missed";
    if (!course_verdict_of(maker->history, visit, &judgement, &recomputed))
        return "";
    text_addf(&maker->more, "%s %s", told_verdict((int32_t)judgement.verdict),
              recomputed ? "(r: worked out from the record, not stored with the visit)" : "stored");
    add_permitted(&maker->more, &judgement);
    bool excess = told_excess(visit, &judgement);
    text_add(&maker->more, excess ? "; MORE THAN PERMITTED was given" : "");
    if (effect != NULL) {
        text_addf(&maker->more, "; by the record as it stands now it is %s",
                  told_verdict((int32_t)effect->now.verdict));
        add_permitted(&maker->more, &effect->now);
        *trouble = true;
        return now_mark(effect->now.verdict);
    }
    if (excess)
        return "MORE";
    return recomputed ? recomputed_mark(judgement.verdict)
                      : told_verdict((int32_t)judgement.verdict);
}

/* A wound or a fault, while the case has one that is open. */
static bool is_troubled(const struct row_maker *maker, const struct visit *visit)
{
    return maker->state->safety_from[SAFETY_OPEN_TROUBLE] != DAY_NONE &&
           (visit->tissue == TISSUE_WOUND ||
            (hardware_faulty(visit->hardware) && visit->repaired != ANSWER_YES));
}

/* Who answers for it, when, as what (21 CFR 11.50(b)); that nobody does stands in the row. */
static void tell_signed(struct row_maker *maker, const struct visit *visit)
{
    const struct signed_row *row = sign_of(maker->signed_rows, &visit->head.id, false);

    if (row == NULL)
        return;
    if (row->signing == SIGNING_WAITS)
        text_add(&maker->what, "unsigned: ");
    text_add(&maker->more, maker->more.length > 0 ? "; " : "");
    sign_tell(&maker->more, row);
}

void case_add_visits(struct row_maker *maker)
{
    um sums[3][2] = {{0}};

    for (const struct visit *visit = chart_next_visit(maker->history, NULL); visit != NULL;
         visit = chart_next_visit(maker->history, visit)) {
        um *sum = sums[visit->arch];
        bool trouble = is_troubled(maker, visit);
        sum[0] += visit->right > 0 ? visit->right : 0;
        sum[1] += visit->left > 0 ? visit->left : 0;
        const char *mark = visit_mark(maker, visit, &trouble);
        tell_signed(maker, visit);
        case_tell_visit(&maker->what, visit, visit->arch == ARCH_NONE ? NULL : sum);
        case_add_row(maker, RECORD_VISIT, visit, mark, trouble);
    }
}

/* ---- widths ---- */

/* The number of the measure a width is of: arch, site, landmark and teeth together; before all
 * others the one that counts for the expander of its arch. */
static int measure_of(const struct row_maker *maker, const struct width *width)
{
    const struct expander *expander =
        case_expander_of(maker->history, width->arch, maker->app->today);

    enum { SITES = 8, LANDMARKS = 8, TEETH = 100 };

    if (expander != NULL && width_counts(width, expander))
        return (int)width->arch;
    return ((((int)width->arch * SITES + (int)width->site) * LANDMARKS + (int)width->landmark) *
                TEETH +
            width->teeth.right) *
               TEETH +
           width->teeth.left;
}

/* The change from the date before, of the same measure only, in words into maker->more. Returns
 * the mark: the change, or, where it can not be told from the error, that there is none. */
static const char *tell_change(struct row_maker *maker, const struct width *width)
{
    struct text change = {0};
    const struct expander measure = {.arch = width->arch,
                                     .site = width->site,
                                     .landmark = width->landmark,
                                     .teeth = width->teeth};
    struct width_view before;
    char date[DAY_TEXT_SIZE];

    width_view(maker->history, maker->history->protocol, &measure, width->date - 1, &before);
    if (before.latest.date == DAY_NONE || width->value == UM_NONE)
        return "";
    um by = width->value - before.latest.value;
    text_add(&change, by < 0 ? "" : "+");
    told_mm(&change, by);
    const char *mark = arena_text(maker->arena, text_string(&change), change.length);
    maker->failed = maker->failed || change.failed || mark == NULL;
    text_release(&change);
    day_to_text(before.latest.date, date);
    if (by > before.mdc || by < -before.mdc) {
        text_addf(&maker->more, "since %s", date);
        return mark;
    }
    text_addf(&maker->more, "%s since %s; at most ", mark == NULL ? "" : mark, date);
    told_mm(&maker->more, before.mdc);
    text_add(&maker->more, " mm can not be told from the error of measuring");
    return "no change";
}

void case_add_widths(struct row_maker *maker)
{
    for (size_t i = 0; i < maker->history->width_count; i++) {
        const struct width *width = &maker->history->widths[i];
        const char *mark = tell_change(maker, width);
        case_tell(&maker->what, RECORD_WIDTH, width);
        struct sorted_row *row = case_add_row(maker, RECORD_WIDTH, width, mark, false);
        if (row != NULL)
            row->group = measure_of(maker, width);
    }
}
