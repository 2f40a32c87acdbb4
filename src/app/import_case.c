/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What can be judged only when everything of a case is there. */
#include "exchange_private.h"

struct check {
    const struct history *history;
    int64_t first;
    case_reporter reporter;
    void *context;
};

/* Did the row come with this import? */
static bool is_new(const struct check *check, const struct row_head *head)
{
    return head->sequence >= check->first;
}

/* Is a to be named of the two, a being new? The later dated of two new ones is. */
static bool names(const struct check *check, const struct row_head *a, day a_day,
                  const struct row_head *b, day b_day)
{
    if (!is_new(check, b))
        return true;
    return a_day != b_day ? a_day > b_day : a->sequence > b->sequence;
}

/* The sentence is before, the day if there is one, after. */
static void report(const struct check *check, enum case_fault fault, const struct row_head *head,
                   const char *column, const char *before, day on, const char *after)
{
    struct error error;
    char text[DAY_TEXT_SIZE];

    (void)error_set(&error, STATUS_INPUT, column, "%s%s%s", before, day_to_text(on, text), after);
    check->reporter(check->context, &(struct case_finding){fault, head, column, error.sentence});
}

/* Is one of the two still current when the other is issued? A new one on the day the old one ended
 * is none. */
static bool trainers_overlap(const struct trainer *a, const struct trainer *b)
{
    const struct trainer *earlier = a->issued_on <= b->issued_on ? a : b;
    const struct trainer *later = earlier == a ? b : a;

    return earlier->ended_on == DAY_NONE || earlier->ended_on > later->issued_on;
}

static void check_trainer(const struct check *check, const struct trainer *trainer)
{
    for (size_t i = 0; i < check->history->trainer_count; i++) {
        const struct trainer *other = &check->history->trainers[i];

        if (other == trainer || !trainers_overlap(trainer, other) ||
            !names(check, &trainer->head, trainer->issued_on, &other->head, other->issued_on))
            continue;
        report(check, CASE_TRAINERS_OVERLAP, &trainer->head, "issued_on", "The trainer issued on ",
               other->issued_on,
               " is current at the same time; a case has one at a time, so end the earlier one "
               "first.");
        return;
    }
}

/* The day an expander's own course began, for order only. */
static day expander_begun(const struct expander *expander)
{
    if (expander->fitted_on != DAY_NONE)
        return expander->fitted_on;
    return expander->banded_on != DAY_NONE ? expander->banded_on : expander->separators_on;
}

/* Fitted on or before date and not taken out before it. */
static bool in_place(const struct expander *expander, day date)
{
    return expander->fitted_on != DAY_NONE && expander->fitted_on <= date &&
           (expander->out_on == DAY_NONE || date <= expander->out_on);
}

/* Do both take the same place at once? Separators alone do not; two that were never fitted do. */
static bool expanders_collide(const struct expander *a, const struct expander *b)
{
    bool a_first = expander_begun(a) != expander_begun(b) ? expander_begun(a) < expander_begun(b)
                                                          : a->fitted_on != DAY_NONE;
    const struct expander *earlier = a_first ? a : b;
    const struct expander *later = earlier == a ? b : a;
    day begun = later->fitted_on != DAY_NONE ? later->fitted_on : later->banded_on;

    if (a->arch != b->arch)
        return false;
    if (a->fitted_on == DAY_NONE && b->fitted_on == DAY_NONE)
        return a->out_on == DAY_NONE && b->out_on == DAY_NONE;
    return begun != DAY_NONE && in_place(earlier, begun) && earlier->out_on != begun;
}

static void check_expander(const struct check *check, const struct expander *expander)
{
    for (size_t i = 0; i < check->history->expander_count; i++) {
        const struct expander *other = &check->history->expanders[i];
        day on = expander_begun(other);

        if (other == expander || !expanders_collide(expander, other) ||
            !names(check, &expander->head, expander_begun(expander), &other->head, on))
            continue;
        report(check, CASE_PLACE_TAKEN, &expander->head, "arch",
               on == DAY_NONE ? "An expander without any day" : "The expander of ", on,
               " still takes the place in this arch; an arch has one at a time, so give the day "
               "it was taken out.");
        return;
    }
}

/* The expander of the arch last fitted on or before date; NULL: none was. */
static const struct expander *last_fitted(const struct history *history, enum arch arch, day date)
{
    const struct expander *last = NULL;

    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];

        if (expander->arch == arch && expander->fitted_on != DAY_NONE &&
            expander->fitted_on <= date && (last == NULL || expander->fitted_on > last->fitted_on))
            last = expander;
    }
    return last;
}

/* The first fit of the arch after date; DAY_NONE: none. */
static day next_fit(const struct history *history, enum arch arch, day date)
{
    day next = DAY_NONE;

    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];

        if (expander->arch == arch && expander->fitted_on > date &&
            (next == DAY_NONE || expander->fitted_on < next))
            next = expander->fitted_on;
    }
    return next;
}

/* Does the visit need an expander in its arch on its day? A repair can be one of the bands, or of
 * an expander that is out for it. */
static bool needs_expander(const struct visit *visit)
{
    return visit->right > 0 || visit->left > 0 || visit->kind == VISIT_ACTIVATION ||
           visit->kind == VISIT_RELIEF || visit->kind == VISIT_REMOVAL;
}

/* An empty amount is not recorded, and the sums of that side would leave it out as if it were 0. */
static void check_visit_sides(const struct check *check, const struct visit *visit,
                              const struct expander *expander)
{
    bool right = expander->sides == SIDES_BOTH || expander->sides == SIDES_RIGHT;
    bool left = expander->sides == SIDES_BOTH || expander->sides == SIDES_LEFT;

    if (visit->kind != VISIT_ACTIVATION)
        return;
    if (right && visit->right == UM_NONE)
        report(check, CASE_AMOUNT_MISSING, &visit->head, "right_mm",
               "right_mm is empty; write 0.00 if nothing was given on that side.", DAY_NONE, "");
    if (left && visit->left == UM_NONE)
        report(check, CASE_AMOUNT_MISSING, &visit->head, "left_mm",
               "left_mm is empty; write 0.00 if nothing was given on that side.", DAY_NONE, "");
}

static void check_visit_expander(const struct check *check, const struct visit *visit)
{
    const struct expander *last = last_fitted(check->history, visit->arch, visit->date);
    day next = next_fit(check->history, visit->arch, visit->date);

    if (last != NULL && in_place(last, visit->date)) {
        check_visit_sides(check, visit, last);
        return;
    }
    if (last != NULL)
        report(check, CASE_AFTER_OUT, &visit->head, "date",
               "The expander of this arch was taken out on ", last->out_on,
               " and no newer one is in place on the day of the visit.");
    else if (next != DAY_NONE)
        report(check, CASE_BEFORE_FIT, &visit->head, "date",
               "The visit lies before the fit of the arch's expander (", next, ").");
    else
        report(check, CASE_NEVER_FITTED, &visit->head, "arch",
               "No expander of this arch has a day of fit; import it first, or write elsewhere "
               "yes if it was done at another practice.",
               DAY_NONE, "");
}

static void check_visit(const struct check *check, const struct visit *visit)
{
    day opened = check->history->casefile->opened;

    if (visit->elsewhere == ANSWER_YES)
        return;
    if (opened != DAY_NONE && visit->date < opened)
        report(check, CASE_BEFORE_OPENED, &visit->head, "date",
               "The visit lies before the case was opened (", opened,
               "); write elsewhere yes if it was at another practice.");
    else if (visit->arch != ARCH_NONE && needs_expander(visit))
        check_visit_expander(check, visit);
}

static void check_casefile(const struct check *check)
{
    const struct casefile *casefile = check->history->casefile;
    const struct patient *patient = check->history->patient;

    if (is_new(check, &casefile->head) && patient != NULL && patient->born != DAY_NONE &&
        casefile->opened < patient->born)
        report(check, CASE_BEFORE_BORN, &casefile->head, "opened",
               "The case was opened before the patient was born (", patient->born, ").");
}

void import_check_case(const struct history *history, int64_t first, case_reporter reporter,
                       void *context)
{
    const struct check check = {history, first, reporter, context};

    check_casefile(&check);
    for (size_t i = 0; i < history->trainer_count; i++)
        if (is_new(&check, &history->trainers[i].head))
            check_trainer(&check, &history->trainers[i]);
    for (size_t i = 0; i < history->expander_count; i++)
        if (is_new(&check, &history->expanders[i].head))
            check_expander(&check, &history->expanders[i]);
    for (size_t i = 0; i < history->visit_count; i++)
        if (is_new(&check, &history->visits[i].head))
            check_visit(&check, &history->visits[i]);
}
