/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The next date of a case, by each of its sources. Days of the default protocol: interval 21 to 28
 * and separators 7 are common practice (no source); rechecks of a fault 1 to 7 and of a rest 28 to
 * 35 are settings of the practice; retention of 180 days is published (Dental Press J Orthod
 * 2017;22(2)); checks at 1, 3, 6 and 12 months are common practice (no source), due for 14 days by
 * a setting of our own.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "small_case.h"
#include "springline/core/course.h"

enum { OPENED = 20000, FITTED = OPENED + 30, RETENTION = 180, CHECK_DAYS = 14 };

static void due_is(const struct small_case *small, day from, day to)
{
    struct case_state kept;

    course_state(&small->history, &kept);
    assert_int_equal(kept.due_from, from);
    assert_int_equal(kept.due_to, to);
}

static void nothing_is_due(const struct small_case *small)
{
    due_is(small, DAY_NONE, DAY_NONE);
}

static void assessed_and_planned_cases_are_due_only_by_a_date_set(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    nothing_is_due(&small);
    small_expander(&small, ARCH_UPPER, DAY_NONE);
    nothing_is_due(&small);
    struct visit *visit = small_visit(&small, OPENED + 3, VISIT_CHECK, ARCH_NONE);
    nothing_is_due(&small);
    visit->next_on = OPENED + 24;
    due_is(&small, OPENED + 24, OPENED + 24);
}

static void bands_are_due_a_week_after_the_separators(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, DAY_NONE)->separators_on = OPENED + 5;
    due_is(&small, OPENED + 12, OPENED + 12);
    small.protocol.separator_days = 9;
    due_is(&small, OPENED + 14, OPENED + 14);
}

static void a_wire_is_due_at_once_after_the_bands(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    struct expander *expander = small_expander(&small, ARCH_UPPER, DAY_NONE);
    expander->separators_on = OPENED + 5;
    expander->banded_on = OPENED + 12;
    due_is(&small, OPENED + 13, OPENED + 19);
}

static void a_fitted_arch_not_seen_since_is_due_after_the_interval(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    struct expander *expander = small_expander(&small, ARCH_UPPER, FITTED);
    small_visit(&small, FITTED - 3, VISIT_CHECK, ARCH_UPPER); /* before the fit: says nothing */
    due_is(&small, FITTED + 21, FITTED + 28);
    enum answer *checks[] = {&expander->passive_ends, &expander->width_equal,
                             &expander->loops_clear, &expander->tied, &expander->ends_rounded};
    for (size_t i = 0; i < sizeof checks / sizeof *checks; i++) {
        *checks[i] = ANSWER_NO; /* a failed fit check is a fault */
        due_is(&small, FITTED + 1, FITTED + 7);
        *checks[i] = ANSWER_NONE; /* and so is one that nobody recorded */
        due_is(&small, FITTED + 1, FITTED + 7);
        *checks[i] = ANSWER_YES;
    }
    due_is(&small, FITTED + 21, FITTED + 28);
}

static void a_stored_window_stands_as_it_was_given(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, FITTED);
    struct visit *first = small_activation(&small, FITTED, ARCH_UPPER, 1000);
    struct visit *second = small_activation(&small, FITTED + 25, ARCH_UPPER, 1000);
    small_judged(&small, second, VERDICT_PROCEED, FITTED + 50, FITTED + 55);
    small_judged(&small, first, VERDICT_PROCEED, FITTED + 21, FITTED + 28);
    due_is(&small, FITTED + 50, FITTED + 55);
    small_visit(&small, FITTED + 52, VISIT_MISSED, ARCH_UPPER); /* not seen: nothing changes */
    due_is(&small, FITTED + 50, FITTED + 55);
}

/* A case whose wear is full in every period, so that activations may proceed. */
static void open_worn(struct small_case *small)
{
    small_case_open(small, OPENED);
    small_trainer(small, OPENED);
    for (day from = OPENED; from < OPENED + 300; from += 10)
        small_count(small, SOURCE_DIARY, from, from + 9, 10);
    small_expander(small, ARCH_UPPER, FITTED);
}

/* Activated in the morning, back with a wound in the afternoon: what was found last decides. */
static void of_two_visits_of_a_day_the_last_recorded_gives_the_window(void **state)
{
    struct small_case small;

    (void)state;
    open_worn(&small);
    struct visit *given = small_activation(&small, FITTED + 60, ARCH_UPPER, 500);
    struct visit *wound = small_visit(&small, FITTED + 60, VISIT_REPAIR, ARCH_UPPER);
    wound->tissue = TISSUE_WOUND;
    small_judged(&small, given, VERDICT_PROCEED, FITTED + 81, FITTED + 88);
    small_judged(&small, wound, VERDICT_HOLD, FITTED + 61, FITTED + 67);
    due_is(&small, FITTED + 61, FITTED + 67);
    small_case_reverse(&small); /* in whatever order the rows are read */
    due_is(&small, FITTED + 61, FITTED + 67);
}

/* Entered under the wrong day and corrected: the child is due by the day it was here. */
static void the_window_of_a_corrected_visit_is_worked_out_anew(void **state)
{
    struct small_case small;

    (void)state;
    open_worn(&small);
    struct visit *visit = small_activation(&small, FITTED + 60, ARCH_UPPER, 500);
    small_judged(&small, visit, VERDICT_PROCEED, FITTED + 81, FITTED + 88);
    due_is(&small, FITTED + 81, FITTED + 88);
    visit->date = FITTED + 30;
    visit->head.id.bytes[0] ^= 0xff; /* another row of the same record */
    due_is(&small, FITTED + 51, FITTED + 58);
}

static void a_window_not_stored_is_recomputed_with_what_was_given(void **state)
{
    struct small_case small;
    struct visit *last = NULL;

    (void)state;
    open_worn(&small);
    for (day date = FITTED; date <= FITTED + 75; date += 25)
        last = small_activation(&small, date, ARCH_UPPER, 1000);
    small.history.wear_count_count = 11; /* known up to the last visit and a little beyond */
    due_is(&small, FITTED + 75 + 21, FITTED + 75 + 28);
    /* With 3.00 mm the six weeks' window of 4.00 mm holds 3.00 until 42 days have passed. */
    last->right = last->left = 3000;
    due_is(&small, FITTED + 75 + 21, FITTED + 75 + 28);
    last->right = last->left = 4000;
    due_is(&small, FITTED + 75 + 42, FITTED + 75 + 49);
}

static void an_arch_seen_without_findings_is_due_as_a_fault(void **state)
{
    struct small_case small;

    (void)state;
    open_worn(&small);
    small_activation(&small, FITTED, ARCH_UPPER, 1000);
    small_visit(&small, FITTED + 40, VISIT_CHECK, ARCH_NONE)->tissue = TISSUE_NONE;
    small.history.wear_count_count = 8;
    due_is(&small, FITTED + 41, FITTED + 47);
}

static void a_stored_verdict_without_a_window_takes_that_of_the_rules(void **state)
{
    struct small_case small;

    (void)state;
    open_worn(&small);
    struct visit *visit = small_activation(&small, FITTED, ARCH_UPPER, 1000);
    small_judged(&small, visit, VERDICT_PROCEED, DAY_NONE, DAY_NONE);
    small.history.wear_count_count = 3;
    due_is(&small, FITTED + 21, FITTED + 28);
    small.judged[0].next_from = FITTED + 2; /* half a window is none */
    due_is(&small, FITTED + 21, FITTED + 28);
}

static void of_two_arches_the_window_that_closes_first_counts(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, FITTED);
    small_expander(&small, ARCH_LOWER, FITTED);
    struct visit *upper = small_activation(&small, FITTED, ARCH_UPPER, 1000);
    struct visit *lower = small_activation(&small, FITTED, ARCH_LOWER, 1000);
    small_judged(&small, upper, VERDICT_PROCEED, FITTED + 21, FITTED + 28);
    struct judged *judged = small_judged(&small, lower, VERDICT_HOLD, FITTED + 14, FITTED + 21);
    due_is(&small, FITTED + 14, FITTED + 21);
    judged->next_from = FITTED + 23;
    judged->next_to = FITTED + 26;
    due_is(&small, FITTED + 23, FITTED + 26);
    judged->next_from = FITTED + 20;
    judged->next_to = FITTED + 28;
    due_is(&small, FITTED + 20, FITTED + 28);
    judged->next_from = FITTED + 30;
    judged->next_to = FITTED + 40;
    due_is(&small, FITTED + 21, FITTED + 28);
    small.expanders[0].fitted_on = small.expanders[0].banded_on = DAY_NONE; /* the lower alone */
    due_is(&small, FITTED + 30, FITTED + 40);
}

static void a_date_set_at_the_last_visit_stands_before_every_window(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, FITTED);
    struct visit *first = small_activation(&small, FITTED, ARCH_UPPER, 1000);
    first->next_on = FITTED + 24;
    due_is(&small, FITTED + 24, FITTED + 24);
    /* A missed visit does not undo it, but may carry a newer date. */
    struct visit *missed = small_visit(&small, FITTED + 24, VISIT_MISSED, ARCH_NONE);
    due_is(&small, FITTED + 24, FITTED + 24);
    missed->next_on = FITTED + 31;
    due_is(&small, FITTED + 31, FITTED + 31);
    /* The next visit at which the child was seen does. */
    struct visit *second = small_activation(&small, FITTED + 31, ARCH_UPPER, 1000);
    small_judged(&small, second, VERDICT_PROCEED, FITTED + 52, FITTED + 59);
    missed->next_on = FITTED + 33;
    due_is(&small, FITTED + 52, FITTED + 59);
}

static void of_two_dates_set_at_one_visit_the_earlier_stands(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, FITTED);
    small_activation(&small, FITTED, ARCH_UPPER, 1000)->next_on = FITTED + 24;
    small_activation(&small, FITTED, ARCH_LOWER, 1000)->next_on = FITTED + 23;
    due_is(&small, FITTED + 23, FITTED + 23);
    small_case_reverse(&small);
    due_is(&small, FITTED + 23, FITTED + 23);
    small_visit(&small, FITTED - 1, VISIT_CHECK, ARCH_UPPER)->next_on = FITTED + 1; /* earlier */
    due_is(&small, FITTED + 23, FITTED + 23);
}

static void a_rest_is_looked_at_again_after_four_weeks(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    struct expander *expander = small_expander(&small, ARCH_UPPER, FITTED);
    small_activation(&small, FITTED + 20, ARCH_UPPER, 1000);
    expander->out_on = FITTED + 40;
    expander->out_reason = OUT_REST;
    due_is(&small, FITTED + 40 + 28, FITTED + 40 + 35);
    /* Looked at, and left resting: four weeks again. The other arch's visit is no look at this. */
    small_visit(&small, FITTED + 60, VISIT_CHECK, ARCH_UPPER);
    due_is(&small, FITTED + 60 + 28, FITTED + 60 + 35);
    small_visit(&small, FITTED + 70, VISIT_CHECK, ARCH_LOWER);
    due_is(&small, FITTED + 60 + 28, FITTED + 60 + 35);
}

static struct expander *retained(struct small_case *small)
{
    small_case_open(small, OPENED);
    struct expander *expander = small_expander(small, ARCH_UPPER, FITTED);
    expander->out_on = day_of(2026, 1, 31);
    expander->out_reason = OUT_TARGET;
    return expander;
}

static void the_end_of_retention_is_due_until_a_visit_on_or_after_it(void **state)
{
    struct small_case small;
    day end = day_of(2026, 1, 31) + RETENTION;

    (void)state;
    retained(&small);
    due_is(&small, end, end + CHECK_DAYS);
    small_visit(&small, end - 1, VISIT_CHECK, ARCH_UPPER);
    due_is(&small, end, end + CHECK_DAYS);
    struct visit *seen = small_visit(&small, end, VISIT_MISSED, ARCH_UPPER);
    due_is(&small, end, end + CHECK_DAYS);
    seen->kind = VISIT_CHECK;
    due_is(&small, day_add_months(end, 1), day_add_months(end, 1) + CHECK_DAYS);
}

static void stability_is_checked_at_one_three_six_and_twelve_months(void **state)
{
    static const int months[] = {1, 3, 6, 12};
    struct small_case small;
    day end = day_of(2026, 7, 30); /* 180 days from 31 January */

    (void)state;
    retained(&small);
    assert_int_equal(end, day_of(2026, 1, 31) + RETENTION);
    small_visit(&small, end, VISIT_CHECK, ARCH_NONE);
    for (int i = 0; i < 4; i++) {
        day check = day_add_months(end, months[i]);
        due_is(&small, check, check + CHECK_DAYS);
        /* A day early, or a visit of another kind, does not make the check. */
        small_visit(&small, check - 1, VISIT_STABILITY, ARCH_UPPER);
        small_visit(&small, check + 1, VISIT_CHECK, ARCH_UPPER);
        small_visit(&small, check + 1, VISIT_STABILITY, ARCH_LOWER); /* nor the other arch's */
        due_is(&small, check, check + CHECK_DAYS);
        small_visit(&small, check + 1, VISIT_STABILITY, i % 2 == 0 ? ARCH_UPPER : ARCH_NONE);
    }
    nothing_is_due(&small);
}

static void one_late_check_makes_those_before_it(void **state)
{
    struct small_case small;

    (void)state;
    retained(&small);
    small_visit(&small, day_of(2027, 1, 30), VISIT_STABILITY, ARCH_UPPER); /* six months */
    due_is(&small, day_of(2027, 7, 30), day_of(2027, 8, 13));
}

static void checks_count_from_the_removal_of_an_expander_left_in_longer(void **state)
{
    struct small_case small;

    (void)state;
    struct expander *expander = retained(&small);
    expander->passive_on = expander->out_on;
    expander->out_on = DAY_NONE;
    small_visit(&small, day_of(2026, 7, 20), VISIT_CHECK, ARCH_UPPER);
    due_is(&small, day_of(2026, 7, 30), day_of(2026, 8, 13));
    small_visit(&small, day_of(2026, 8, 10), VISIT_REMOVAL, ARCH_UPPER);
    due_is(&small, day_of(2026, 8, 30), day_of(2026, 9, 13));
    expander->out_on = day_of(2026, 8, 10);
    due_is(&small, day_of(2026, 9, 10), day_of(2026, 9, 24));
}

/* A wire in the mouth is looked at every four to five weeks, as at a rest: the end of retention in
 * half a year must not be the next anybody hears of the child (domain.md 7: unseen is a safety
 * item). Common practice, no source. */
static void an_expander_left_in_passively_is_looked_at(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    struct expander *expander = small_expander(&small, ARCH_UPPER, FITTED);
    expander->passive_on = FITTED + 100;
    due_is(&small, FITTED + 28, FITTED + 35); /* never seen since the fit */
    small_visit(&small, FITTED + 100, VISIT_CHECK, ARCH_UPPER);
    due_is(&small, FITTED + 128, FITTED + 135);
    small_visit(&small, FITTED + 260, VISIT_CHECK, ARCH_UPPER); /* the end is nearer than that */
    due_is(&small, FITTED + 280, FITTED + 294);
}

/* The child that nothing in the mouth brings back: the appointment it did not come to does. */
static void what_was_missed_before_the_separators_is_due(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    struct booking *booking = small_booking(&small, OPENED + 10, BOOKED_MISSED);
    due_is(&small, OPENED + 10, OPENED + 10);
    booking->state = BOOKED_STANDING; /* nobody recorded what became of it */
    due_is(&small, OPENED + 10, OPENED + 10);
    booking->state = BOOKED_CANCELLED;
    due_is(&small, OPENED + 10, OPENED + 10);
    booking->state = BOOKED_KEPT;
    nothing_is_due(&small);
    small_visit(&small, OPENED + 12, VISIT_MISSED, ARCH_NONE);
    due_is(&small, OPENED + 12, OPENED + 12);
    small_booking(&small, OPENED + 20, BOOKED_STANDING); /* a later appointment takes its place */
    due_is(&small, OPENED + 20, OPENED + 20);
    small_visit(&small, OPENED + 20, VISIT_CHECK, ARCH_NONE);
    nothing_is_due(&small);
}

static void a_closed_case_is_not_due(void **state)
{
    struct small_case small;

    (void)state;
    small_case_open(&small, OPENED);
    small_expander(&small, ARCH_UPPER, FITTED);
    small_activation(&small, FITTED, ARCH_UPPER, 1000)->next_on = FITTED + 24;
    small.casefile.closed_on = FITTED + 20;
    nothing_is_due(&small);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(assessed_and_planned_cases_are_due_only_by_a_date_set),
        cmocka_unit_test(bands_are_due_a_week_after_the_separators),
        cmocka_unit_test(a_wire_is_due_at_once_after_the_bands),
        cmocka_unit_test(a_fitted_arch_not_seen_since_is_due_after_the_interval),
        cmocka_unit_test(a_stored_window_stands_as_it_was_given),
        cmocka_unit_test(of_two_visits_of_a_day_the_last_recorded_gives_the_window),
        cmocka_unit_test(the_window_of_a_corrected_visit_is_worked_out_anew),
        cmocka_unit_test(a_window_not_stored_is_recomputed_with_what_was_given),
        cmocka_unit_test(an_arch_seen_without_findings_is_due_as_a_fault),
        cmocka_unit_test(a_stored_verdict_without_a_window_takes_that_of_the_rules),
        cmocka_unit_test(of_two_arches_the_window_that_closes_first_counts),
        cmocka_unit_test(a_date_set_at_the_last_visit_stands_before_every_window),
        cmocka_unit_test(of_two_dates_set_at_one_visit_the_earlier_stands),
        cmocka_unit_test(a_rest_is_looked_at_again_after_four_weeks),
        cmocka_unit_test(the_end_of_retention_is_due_until_a_visit_on_or_after_it),
        cmocka_unit_test(stability_is_checked_at_one_three_six_and_twelve_months),
        cmocka_unit_test(one_late_check_makes_those_before_it),
        cmocka_unit_test(checks_count_from_the_removal_of_an_expander_left_in_longer),
        cmocka_unit_test(an_expander_left_in_passively_is_looked_at),
        cmocka_unit_test(what_was_missed_before_the_separators_is_due),
        cmocka_unit_test(a_closed_case_is_not_due),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
