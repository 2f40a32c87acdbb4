/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the rules together answer: verdict, sides, which rows are history, which expander. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "case_maker.h"

/* Moves all visits so that the newest lies so many days ago. */
static void move_visits(struct case_maker *maker, int32_t ago)
{
    for (size_t i = 0; i < maker->history.visit_count; i++)
        maker->visits[i].date -= ago - 24;
}

static void the_verdict_is_the_first_that_fits(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    case_typical(&maker);
    maker.expanders[0].fitted_on = maker.today; /* a first step in full is no reduction */
    case_judge(&maker, &judgement);
    assert_int_equal(judgement.verdict, VERDICT_PROCEED);
    maker.question.examination.tissue = TISSUE_MILD;
    case_judge(&maker, &judgement);
    assert_int_equal(judgement.verdict, VERDICT_REDUCE);
    assert_int_equal(judgement.permitted_right, 500);

    case_typical(&maker);
    move_visits(&maker, 57); /* a restart is: less than step_max_mm */
    case_judge(&maker, &judgement);
    assert_int_equal(judgement.verdict, VERDICT_REDUCE);

    case_typical(&maker);
    maker.visits[2].date = case_day(&maker, 20);
    maker.visits[2].left = 0; /* the right too soon: one side is left to give */
    case_judge(&maker, &judgement);
    assert_int_equal(judgement.verdict, VERDICT_REDUCE);
    assert_int_equal(judgement.permitted_right, 0);
    assert_int_equal(judgement.permitted_left, 2000);
    maker.expanders[0].sides = SIDES_RIGHT;
    case_judge(&maker, &judgement);
    assert_int_equal(judgement.verdict, VERDICT_HOLD);
    assert_int_equal(judgement.permitted_left, 0);
    assert_int_equal(judgement.nominal_left, 0);

    case_typical(&maker);
    maker.history.wear_day_count = 0;
    case_wear(&maker, SOURCE_DIARY, 72, 1, 0);
    case_judge(&maker, &judgement);
    assert_int_equal(judgement.verdict, VERDICT_REST);
}

/* With no side in plan recorded nothing is permitted. */
static void no_side_in_plan_permits_nothing(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    case_typical(&maker);
    maker.expanders[0].sides = SIDES_NONE;
    case_judge(&maker, &judgement);
    assert_int_equal(judgement.verdict, VERDICT_HOLD);
    assert_int_equal(judgement.permitted_right + judgement.permitted_left, 0);
}

/* Findings that name no step explain no permission. */
static void without_findings_nothing_is_permitted(void **state)
{
    struct judgement judgement = {.permitted_right = 9, .permitted_left = 9};

    (void)state;
    rules_replay(NULL, 0, SIDES_BOTH, 250, &judgement);
    assert_int_equal(judgement.verdict, VERDICT_HOLD);
    assert_int_equal(judgement.permitted_right + judgement.permitted_left, 0);
    assert_int_equal(judgement.nominal_right + judgement.nominal_left, 0);
}

/* Of two expanders fitted on one day, saved at one place, the id decides, in whatever order. */
static void two_expanders_of_one_day(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    case_begin(&maker);
    case_expander(&maker, ARCH_UPPER, 20);
    case_expander(&maker, ARCH_UPPER, 20);
    maker.expanders[0].head.sequence = maker.expanders[1].head.sequence = 0;
    case_judge(&maker, &judgement);
    assert_ptr_equal(judgement.expander, &maker.expanders[1]);
    maker.expanders[0].head.id.bytes[0] = 1;
    case_judge(&maker, &judgement);
    assert_ptr_equal(judgement.expander, &maker.expanders[0]);
}

/* nominal and reduced of each side apart: the right is restarted, the left is not. */
static void reduced_is_of_each_side(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    case_typical(&maker);
    for (size_t i = 0; i < 3; i++)
        maker.visits[i].right = 0;
    case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 90, 1000, 0);
    maker.question.examination.tissue = TISSUE_MILD;
    case_judge(&maker, &judgement);
    assert_int_equal(judgement.nominal_right, 1000);
    assert_int_equal(judgement.nominal_left, 2000);
    assert_int_equal(case_finding(&judgement, RULE_TISSUE_MILD, SIDE_RIGHT)->limit, 500);
    assert_int_equal(case_finding(&judgement, RULE_TISSUE_MILD, SIDE_LEFT)->limit, 1000);
    assert_int_equal(judgement.permitted_right, 500);
    assert_int_equal(judgement.permitted_left, 1000);
}

static void a_finding_carries_its_numbers(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    case_typical(&maker);
    maker.visits[2].right = maker.visits[2].left = 2500;
    maker.history.wear_day_count = 0;
    case_wear(&maker, SOURCE_DIARY, 48, 25, 24);
    case_wear(&maker, SOURCE_DIARY, 24, 5, 15);
    case_judge(&maker, &judgement);
    const struct finding *window = case_finding(&judgement, RULE_WINDOW_SUM, SIDE_LEFT);
    assert_non_null(window);
    assert_int_equal(window->setting, SETTING_WINDOW_MAX);
    assert_int_equal(window->setting_value, 4000);
    assert_int_equal(case_number(window, "sum"), 2500);
    assert_int_equal(case_number(window, "nominal"), 2000);
    const struct finding *wear = case_finding(&judgement, RULE_WEAR_SHORT, SIDE_NONE);
    assert_non_null(wear);
    assert_int_equal(wear->setting, SETTING_WEAR_FULL);
    assert_int_equal(case_number(wear, "met"), 15);
    assert_int_equal(case_number(wear, "known"), 20);
    assert_int_equal(case_number(wear, "days"), 24);
    assert_int_equal(case_number(wear, "source"), SOURCE_DIARY);
}

/* Each visit elsewhere without amounts is counted as 2.00 mm, whatever step_max the practice sets:
 * a lower one may not permit more. */
static void elsewhere_counts_the_same_for_every_step(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    case_typical(&maker);
    case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 41, UM_NONE, UM_NONE)->elsewhere = ANSWER_YES;
    maker.visits[2].right = maker.visits[2].left = 2000;
    case_judge(&maker, &judgement);
    assert_int_equal(judgement.permitted_right, 0);
    maker.protocol.step_max = 1500;
    case_judge(&maker, &judgement);
    assert_int_equal(judgement.permitted_right, 0);
    assert_true(judgement.lag_switched_off);
    maker.visits[3].kind = VISIT_CHECK; /* a check gives nothing unless it says so */
    case_judge(&maker, &judgement);
    assert_null(case_finding(&judgement, RULE_WINDOW_SUM, SIDE_NONE));
    assert_int_equal(judgement.permitted_right, 1500);
    assert_false(judgement.lag_switched_off);
}

static void the_visit_being_entered_is_no_history(void **state)
{
    struct case_maker maker;
    struct judgement judgement;
    struct id request = {{7}};

    (void)state;
    case_typical(&maker);
    struct visit *visit = case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 0, 1000, 1000);
    visit->head.request = request;
    case_judge(&maker, &judgement);
    assert_non_null(case_finding(&judgement, RULE_DONE_TODAY, SIDE_NONE));
    maker.question.except = &request;
    case_judge(&maker, &judgement);
    assert_null(case_finding(&judgement, RULE_DONE_TODAY, SIDE_NONE));
    assert_int_equal(judgement.permitted_right, 2000);
    maker.question.except = &(struct id){{0}}; /* none: nothing is left out */
    case_judge(&maker, &judgement);
    assert_non_null(case_finding(&judgement, RULE_DONE_TODAY, SIDE_NONE));
    maker.question.strictly_before = true;
    case_judge(&maker, &judgement);
    assert_null(case_finding(&judgement, RULE_DONE_TODAY, SIDE_NONE));
}

static void later_rows_do_not_exist(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    case_typical(&maker);
    case_visit(&maker, VISIT_RELIEF, ARCH_UPPER, -1, 2000, 2000);
    case_width(&maker, ARCH_UPPER, -1, 49900);
    case_expander(&maker, ARCH_UPPER, -1);
    case_wear_day(&maker, SOURCE_SENSOR, 0, 0, ANSWER_NO);
    case_judge(&maker, &judgement);
    assert_int_equal(judgement.verdict, VERDICT_PROCEED);
    assert_ptr_equal(judgement.expander, &maker.expanders[0]);
}

/* Of several expanders of the arch the one fitted last by today is judged. */
static void the_newest_expander_is_judged(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    case_begin(&maker);
    assert_false(rules_judge(&maker.history, &maker.question, &judgement));
    case_expander(&maker, ARCH_UPPER, CASE_NEVER);
    assert_false(rules_judge(&maker.history, &maker.question, &judgement));
    case_expander(&maker, ARCH_LOWER, 10);
    assert_false(rules_judge(&maker.history, &maker.question, &judgement));
    case_expander(&maker, ARCH_UPPER, -5);
    case_judge(&maker, &judgement);
    assert_ptr_equal(judgement.expander, &maker.expanders[2]);
    case_expander(&maker, ARCH_UPPER, 90);
    case_judge(&maker, &judgement);
    assert_ptr_equal(judgement.expander, &maker.expanders[3]);
    case_expander(&maker, ARCH_UPPER, 20);
    case_judge(&maker, &judgement);
    assert_ptr_equal(judgement.expander, &maker.expanders[4]);
    case_expander(&maker, ARCH_UPPER, 20);
    case_judge(&maker, &judgement);
    assert_ptr_equal(judgement.expander, &maker.expanders[5]);
}

/* too-soon looks past the expander at the side: a refit does not shorten the interval. */
static void intervals_run_across_expanders(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    case_typical(&maker);
    move_visits(&maker, 20);
    maker.expanders[0].out_on = case_day(&maker, 10);
    case_expander(&maker, ARCH_UPPER, 5);
    case_judge(&maker, &judgement);
    assert_non_null(case_finding(&judgement, RULE_TOO_SOON, SIDE_RIGHT));
    assert_non_null(case_finding(&judgement, RULE_FIRST_STEP, SIDE_RIGHT));
    assert_int_equal(judgement.verdict, VERDICT_HOLD);
}

static void rule_names_are_those_of_the_table(void **state)
{
    (void)state;
    assert_string_equal(rule_row(RULE_FIRST_STEP)->name, "first-step");
    assert_string_equal(rule_row(RULE_WEAR_LOW)->name, "wear-low");
    assert_string_equal(rule_row(RULE_LOWER_EARLY)->name, "lower-early");
    assert_string_equal(rule_row(RULE_COUNT)->name, "");
    assert_string_equal(rule_row(RULE_NONE)->name, "");
    for (int rule = RULE_NONE + 1; rule < RULE_COUNT; rule++) {
        bool barred = rule == RULE_NOT_IN_PLACE || rule == RULE_DONE_TODAY ||
                      rule == RULE_NOT_EXAMINED || rule == RULE_HARDWARE;
        assert_int_equal(rule_row((enum rule)rule)->overridable, !barred);
        assert_true(rule_row((enum rule)rule)->name[0] != '\0');
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rule_names_are_those_of_the_table),
        cmocka_unit_test(the_verdict_is_the_first_that_fits),
        cmocka_unit_test(no_side_in_plan_permits_nothing),
        cmocka_unit_test(without_findings_nothing_is_permitted),
        cmocka_unit_test(two_expanders_of_one_day),
        cmocka_unit_test(reduced_is_of_each_side),
        cmocka_unit_test(a_finding_carries_its_numbers),
        cmocka_unit_test(elsewhere_counts_the_same_for_every_step),
        cmocka_unit_test(the_visit_being_entered_is_no_history),
        cmocka_unit_test(later_rows_do_not_exist),
        cmocka_unit_test(the_newest_expander_is_judged),
        cmocka_unit_test(intervals_run_across_expanders),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
