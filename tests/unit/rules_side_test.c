/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * An arch whose present expander is meant to move one side only, after both, or the other, were
 * moved: what was given did move the arch, so nothing is permitted because it is out of plan now.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "case_maker.h"

static void give(struct case_maker *maker, day date, um right, um left)
{
    case_visit(maker, VISIT_ACTIVATION, ARCH_UPPER, maker->today - date, right, left);
}

static void measure(struct case_maker *maker, day date, um value)
{
    case_width(maker, ARCH_UPPER, maker->today - date, value);
}

/*
 * Asked on 2026-11-10. The first expander, of both sides, was taken out on 2026-10-20; the second
 * was fitted that day to move the left alone. Wear without a miss.
 */
static void second_of_one_side(struct case_maker *maker, day first_fit)
{
    case_begin(maker);
    maker->today = maker->question.today = day_of(2026, 11, 10);
    case_trainer(maker, maker->today - first_fit, CASE_NEVER);
    case_expander(maker, ARCH_UPPER, maker->today - first_fit)->out_on = day_of(2026, 10, 20);
    case_expander(maker, ARCH_UPPER, maker->today - day_of(2026, 10, 20))->sides = SIDES_LEFT;
    case_wear(maker, SOURCE_SENSOR, 150, 1, 150);
}

static const struct finding *find(const struct case_maker *maker, enum rule rule,
                                  struct judgement *judgement)
{
    case_judge(maker, judgement);
    return case_finding(judgement, rule, SIDE_NONE);
}

/* 34.00 mm measured on the day of the second activation, 37.00 wanted: 3.00 given since on both
 * sides leave no room, though 1.00 of them alone was on the side in plan. */
static void room_counts_what_both_sides_were_given(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    second_of_one_side(&maker, day_of(2026, 8, 15));
    give(&maker, day_of(2026, 9, 1), 1000, 1000);
    give(&maker, day_of(2026, 10, 1), 2000, 1000);
    measure(&maker, day_of(2026, 8, 15), 32000);
    measure(&maker, day_of(2026, 10, 1), 34000);
    maker.expanders[1].target = 37000;
    const struct finding *near = find(&maker, RULE_TARGET_NEAR, &judgement);
    assert_non_null(near);
    assert_int_equal(case_number(near, "given"), 3000);
    assert_int_equal(case_number(near, "room"), 0);
    assert_int_equal(near->effect, EFFECT_HOLD); /* measure first */
    assert_int_equal(judgement.verdict, VERDICT_HOLD);

    maker.expanders[1].target = 37250; /* a grain */
    near = find(&maker, RULE_TARGET_NEAR, &judgement);
    assert_non_null(near);
    assert_int_equal(near->effect, EFFECT_LIMIT);
    assert_int_equal(judgement.permitted_left, 250);
}

/* 8.00 mm on the right from July on, and 0.20 mm gained: the arch does not follow. */
static void an_arch_that_does_not_follow_is_seen_on_either_side(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    second_of_one_side(&maker, day_of(2026, 6, 15));
    for (int32_t i = 0; i < 4; i++)
        give(&maker, day_of(2026, 7, 1) + 28 * i, 2000, 0);
    measure(&maker, day_of(2026, 6, 15), 32000);
    measure(&maker, day_of(2026, 11, 1), 32200);
    assert_int_equal(maker.visits[3].date, day_of(2026, 9, 23));
    const struct finding *lag = find(&maker, RULE_WIDTH_LAG, &judgement);
    assert_non_null(lag);
    assert_int_equal(case_number(lag, "sum"), 8000);
    assert_int_equal(case_number(lag, "first"), day_of(2026, 7, 1));
    assert_int_equal(judgement.verdict, VERDICT_HOLD);

    maker.widths[1].value = 33200; /* 1.20 mm and the error, 0.83, are a quarter of 8.00 */
    assert_null(find(&maker, RULE_WIDTH_LAG, &judgement));
    assert_int_equal(judgement.permitted_left, 1000);
}

static void activation_has_begun_on_either_side(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    second_of_one_side(&maker, day_of(2026, 6, 15));
    for (int32_t i = 0; i < 4; i++)
        give(&maker, day_of(2026, 7, 1) + 28 * i, 2000, 0);
    measure(&maker, day_of(2026, 6, 15), 32000);
    const struct finding *missing = find(&maker, RULE_WIDTH_MISSING, &judgement);
    assert_non_null(missing);
    assert_int_equal(case_number(missing, "from"), day_of(2026, 6, 15));
    assert_int_equal(judgement.permitted_left, 500); /* half of a first step */
    assert_int_equal(judgement.verdict, VERDICT_REDUCE);
    assert_non_null(case_finding(&judgement, RULE_WIDTH_STALE, SIDE_NONE));

    maker.history.width_count = 0;
    maker.expanders[1].target = UM_NONE;
    assert_non_null(find(&maker, RULE_NO_TARGET, &judgement));
    assert_non_null(case_finding(&judgement, RULE_NO_BASELINE, SIDE_NONE));
    for (size_t i = 0; i < maker.history.visit_count; i++)
        maker.visits[i].right = 0;
    assert_null(find(&maker, RULE_NO_TARGET, &judgement));
    assert_null(case_finding(&judgement, RULE_NO_BASELINE, SIDE_NONE));
    assert_null(case_finding(&judgement, RULE_WIDTH_MISSING, SIDE_NONE));
}

static void the_arch_is_done_today_on_either_side(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    case_typical(&maker);
    maker.expanders[0].sides = SIDES_RIGHT;
    case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 0, 0, 10);
    const struct finding *done = find(&maker, RULE_DONE_TODAY, &judgement);
    assert_non_null(done);
    assert_int_equal(case_number(done, "left"), 10);
    assert_int_equal(judgement.verdict, VERDICT_HOLD);
    maker.visits[3].left = 0;
    assert_null(find(&maker, RULE_DONE_TODAY, &judgement));
    assert_int_equal(judgement.verdict, VERDICT_PROCEED);
}

/* What asks for a side in plan sees nothing of the other. */
static void the_rules_of_a_side_see_that_side_alone(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    case_typical(&maker);
    maker.expanders[0].sides = SIDES_RIGHT;
    maker.widths[2].date = case_day(&maker, 1);
    maker.widths[2].value = 41000;
    case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 1, 0, 4000);
    case_judge(&maker, &judgement);
    assert_null(case_finding(&judgement, RULE_TOO_SOON, SIDE_NONE));
    assert_null(case_finding(&judgement, RULE_WINDOW_SUM, SIDE_NONE));
    assert_null(case_finding(&judgement, RULE_SIDE_GAP, SIDE_NONE));
    assert_int_equal(judgement.permitted_right, 2000);
    assert_int_equal(judgement.permitted_left, 0);
    assert_int_equal(judgement.verdict, VERDICT_PROCEED);
    for (size_t i = 0; i < 3; i++)
        maker.visits[i].right = 0; /* the left's steps are not the right's */
    assert_non_null(find(&maker, RULE_FIRST_STEP, &judgement));
}

/* An activation of the other side lifts no limit: of consent, of a fault, of a closed loop. */
static void the_other_side_lifts_no_limit(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    case_typical(&maker);
    maker.expanders[0].sides = SIDES_RIGHT;
    case_visit(&maker, VISIT_RELIEF, ARCH_UPPER, 10, UM_NONE, UM_NONE);
    maker.visits[3].hardware = hardware_bit(FAULT_LOST_LIGATURE, SIDE_RIGHT);
    case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 5, 0, 500);
    assert_non_null(find(&maker, RULE_RELIEVED, &judgement));
    assert_non_null(case_finding(&judgement, RULE_HARDWARE_RECENT, SIDE_NONE));
    assert_int_equal(judgement.permitted_right, 1000);

    for (size_t i = 0; i < maker.history.visit_count; i++)
        maker.visits[i].right = 0;
    maker.casefile.consent_on = DAY_NONE;
    const struct finding *consent = find(&maker, RULE_NO_CONSENT, &judgement);
    assert_non_null(consent);
    assert_int_equal(consent->effect, EFFECT_HOLD);
}

/* An amount that a visit elsewhere lacks has begun the activation, on whichever side; but only on a
 * side in plan does it keep width-lag from being judged. */
static void an_amount_lacking_out_of_plan_switches_nothing_off(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    second_of_one_side(&maker, day_of(2026, 6, 15));
    for (int32_t i = 0; i < 4; i++)
        give(&maker, day_of(2026, 7, 1) + 28 * i, 2000, 0);
    measure(&maker, day_of(2026, 6, 15), 32000);
    measure(&maker, day_of(2026, 11, 1), 32200);
    give(&maker, day_of(2026, 6, 1), UM_NONE, 500);
    maker.visits[4].elsewhere = ANSWER_YES;
    const struct finding *lag = find(&maker, RULE_WIDTH_LAG, &judgement);
    assert_non_null(lag);
    assert_false(judgement.lag_switched_off);
    assert_int_equal(case_number(lag, "sum"), 8500);
    maker.visits[4].left = UM_NONE;
    assert_null(find(&maker, RULE_WIDTH_LAG, &judgement));
    assert_true(judgement.lag_switched_off);

    case_typical(&maker);
    maker.expanders[0].sides = SIDES_RIGHT;
    maker.expanders[0].target = UM_NONE;
    for (size_t i = 0; i < 3; i++)
        maker.visits[i].right = maker.visits[i].left = 0;
    assert_null(find(&maker, RULE_NO_TARGET, &judgement));
    case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 30, 0, UM_NONE)->elsewhere = ANSWER_YES;
    assert_non_null(find(&maker, RULE_NO_TARGET, &judgement));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(room_counts_what_both_sides_were_given),
        cmocka_unit_test(an_arch_that_does_not_follow_is_seen_on_either_side),
        cmocka_unit_test(activation_has_begun_on_either_side),
        cmocka_unit_test(the_arch_is_done_today_on_either_side),
        cmocka_unit_test(the_rules_of_a_side_see_that_side_alone),
        cmocka_unit_test(the_other_side_lifts_no_limit),
        cmocka_unit_test(an_amount_lacking_out_of_plan_switches_nothing_off),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
