/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What an arch lost after it was no longer moved, and its checks. 1, 3, 6 and 12 months: common
 * practice, no source; retention of 180 days is published (Dental Press J Orthod 2017;22(2)).
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>

#include "case_maker.h"
#include "springline/core/stability.h"

/* Fitted 500 days ago at 36.00, activated until 340 days ago, taken out 300 days ago at 41.00
 * because the target was reached; 39.50 100 days ago. */
static struct expander *taken_out(struct case_maker *maker)
{
    case_begin(maker);
    struct expander *expander = case_expander(maker, ARCH_UPPER, 500);
    expander->out_on = case_day(maker, 300);
    expander->out_reason = OUT_TARGET;
    case_width(maker, ARCH_UPPER, 500, 36000);
    case_visit(maker, VISIT_ACTIVATION, ARCH_UPPER, 340, 1000, 1000);
    case_width(maker, ARCH_UPPER, 300, 41000);
    case_width(maker, ARCH_UPPER, 100, 39500);
    return expander;
}

static struct stability of(const struct case_maker *maker)
{
    struct stability stability;

    assert_true(stability_of(&maker->history, ARCH_UPPER, maker->today, &stability));
    return stability;
}

/* MDC of 0.30 mm: 0.832 (published: Bland & Altman 1986). Gain 5.00, lost 1.50: 30 %. */
static void a_relapse_is_in_mm_and_per_cent_of_the_gain(void **state)
{
    struct case_maker maker;

    (void)state;
    taken_out(&maker);
    struct stability stability = of(&maker);
    assert_int_equal(stability.answer, STABILITY_MEASURED);
    assert_int_equal(stability.held_from, case_day(&maker, 300));
    assert_int_equal(stability.end.value, 41000);
    assert_int_equal(stability.latest.value, 39500);
    assert_int_equal(stability.change, -1500);
    assert_int_equal(stability.change_is, CHANGE_REAL);
    assert_int_equal(stability.gain, 5000);
    assert_true(stability.has_share);
    assert_true(fabs(stability.share_lost - 0.30) < 1e-12);
    assert_true(fabs(stability.share_error - 0.1664) < 1e-12);
    maker.widths[2].value = 40500;
    assert_int_equal(of(&maker).change_is, CHANGE_WITHIN_ERROR);
    maker.widths[2].value = 42000; /* it grew */
    assert_int_equal(of(&maker).change_is, CHANGE_REAL);
    assert_true(of(&maker).share_lost < 0);
}

static void a_gain_within_error_gives_no_share(void **state)
{
    struct case_maker maker;

    (void)state;
    taken_out(&maker);
    maker.widths[0].value = 40500;
    struct stability stability = of(&maker);
    assert_int_equal(stability.gain, 500);
    assert_false(stability.has_share);
    assert_int_equal(stability.change, -1500);
    maker.widths[0].value = 43000; /* it lost width under treatment */
    assert_false(of(&maker).has_share);
    maker.widths[0].date = case_day(&maker, 499); /* after the fit: no baseline */
    stability = of(&maker);
    assert_int_equal(stability.gain, UM_NONE);
    assert_false(stability.has_share);
    assert_int_equal(stability.change_is, CHANGE_REAL);
}

/* Another landmark, other teeth, the other arch: never compared. */
static void only_the_same_landmark_and_teeth_count(void **state)
{
    struct case_maker maker;

    (void)state;
    taken_out(&maker);
    maker.widths[2].landmark = LANDMARK_FACIAL;
    maker.widths[2].value = 57920;
    assert_int_equal(of(&maker).answer, STABILITY_NO_LATER);
    assert_int_equal(of(&maker).change, UM_NONE);
    maker.widths[2].landmark = LANDMARK_FOSSA;
    maker.widths[2].teeth.left = 65;
    assert_int_equal(of(&maker).answer, STABILITY_NO_LATER);
    maker.widths[2].teeth.left = 26;
    maker.widths[2].arch = ARCH_LOWER;
    assert_int_equal(of(&maker).answer, STABILITY_NO_LATER);
}

/* A width of the day of the last activation was measured before it. */
static void the_end_is_measured_after_the_last_activation(void **state)
{
    struct case_maker maker;

    (void)state;
    taken_out(&maker);
    maker.widths[1].date = case_day(&maker, 340);
    assert_int_equal(of(&maker).answer, STABILITY_NO_END);
    assert_int_equal(of(&maker).gain, UM_NONE);
    maker.widths[1].date = case_day(&maker, 339);
    assert_int_equal(of(&maker).end.date, case_day(&maker, 339));
    maker.widths[1].date = case_day(&maker, 300 - STABILITY_END_DAYS);
    assert_int_equal(of(&maker).end.value, 41000);
    maker.widths[1].date = case_day(&maker, 299 - STABILITY_END_DAYS);
    assert_int_equal(of(&maker).answer, STABILITY_NO_END);
    maker.widths[1].date = case_day(&maker, 300);
    maker.visits[0].right = maker.visits[0].left = UM_NONE; /* elsewhere, amounts not known */
    maker.visits[0].elsewhere = ANSWER_YES;
    maker.visits[0].date = case_day(&maker, 300);
    assert_int_equal(of(&maker).answer, STABILITY_NO_END);
}

static void an_expander_left_in_is_held_from_that_day(void **state)
{
    struct case_maker maker;

    (void)state;
    struct expander *expander = taken_out(&maker);
    expander->passive_on = case_day(&maker, 330);
    struct stability stability = of(&maker);
    assert_int_equal(stability.held_from, case_day(&maker, 330));
    assert_int_equal(stability.answer, STABILITY_NO_END); /* 41.00 was measured 30 days later */
    case_width(&maker, ARCH_UPPER, 330, 41500);
    assert_int_equal(of(&maker).change, -2000);
    assert_int_equal(of(&maker).retention_end, case_day(&maker, 150));
}

static void an_arch_that_is_not_held_has_none(void **state)
{
    struct case_maker maker;
    struct stability stability;

    (void)state;
    struct expander *expander = taken_out(&maker);
    expander->out_reason = OUT_REST;
    assert_false(stability_of(&maker.history, ARCH_UPPER, maker.today, &stability));
    expander->out_reason = OUT_REPAIR;
    assert_false(stability_of(&maker.history, ARCH_UPPER, maker.today, &stability));
    expander->out_on = DAY_NONE;
    assert_false(stability_of(&maker.history, ARCH_UPPER, maker.today, &stability));
    assert_false(stability_of(&maker.history, ARCH_LOWER, maker.today, &stability));
    expander->out_on = case_day(&maker, -10); /* will be taken out */
    expander->out_reason = OUT_TARGET;
    assert_false(stability_of(&maker.history, ARCH_UPPER, maker.today, &stability));
}

static void checks_are_due_and_made(void **state)
{
    static const int32_t months[] = {1, 3, 6, 12};
    struct case_maker maker;

    (void)state;
    taken_out(&maker);
    day end = case_day(&maker, 120);
    case_visit(&maker, VISIT_STABILITY, ARCH_NONE, 80, UM_NONE, UM_NONE);
    struct stability stability = of(&maker);
    assert_int_equal(stability.retention_end, end);
    for (int i = 0; i < STABILITY_CHECKS; i++) {
        assert_int_equal(stability.checks[i].months, months[i]);
        assert_int_equal(stability.checks[i].due, day_add_months(end, months[i]));
        assert_int_equal(stability.checks[i].made, i == 0 ? case_day(&maker, 80) : DAY_NONE);
    }
    case_visit(&maker, VISIT_STABILITY, ARCH_LOWER, 20, UM_NONE, UM_NONE); /* the other arch */
    assert_int_equal(of(&maker).checks[1].made, DAY_NONE);
}

/* Every order of the widths, and repeats averaged. */
static void repeats_are_averaged(void **state)
{
    struct case_maker maker;

    (void)state;
    taken_out(&maker);
    case_width(&maker, ARCH_UPPER, 300, 41200);
    assert_int_equal(of(&maker).end.value, 41100);
    assert_int_equal(of(&maker).end.repeats, 2);
    struct width first = maker.widths[0];
    maker.widths[0] = maker.widths[3];
    maker.widths[3] = first;
    assert_int_equal(of(&maker).end.value, 41100);
    assert_int_equal(of(&maker).gain, 5100);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_relapse_is_in_mm_and_per_cent_of_the_gain),
        cmocka_unit_test(a_gain_within_error_gives_no_share),
        cmocka_unit_test(only_the_same_landmark_and_teeth_count),
        cmocka_unit_test(the_end_is_measured_after_the_last_activation),
        cmocka_unit_test(an_expander_left_in_is_held_from_that_day),
        cmocka_unit_test(an_arch_that_is_not_held_has_none),
        cmocka_unit_test(checks_are_due_and_made),
        cmocka_unit_test(repeats_are_averaged),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
