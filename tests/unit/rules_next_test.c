/* SPDX-License-Identifier: GPL-3.0-or-later */
/* When the child is seen next, and what may be given over a verdict. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "case_maker.h"

/* The next visit lies so many days after today. */
static void assert_next(const struct case_maker *maker, int32_t from, int32_t to)
{
    struct judgement judgement;

    case_judge(maker, &judgement);
    if (judgement.next_from - maker->today != from || judgement.next_to - maker->today != to) {
        case_print(&judgement);
        fail_msg("next visit in %d to %d days, expected %d to %d",
                 (int)(judgement.next_from - maker->today), (int)(judgement.next_to - maker->today),
                 (int)from, (int)to);
    }
}

static void elsewhere(struct case_maker *maker, int32_t ago)
{
    case_visit(maker, VISIT_ACTIVATION, ARCH_UPPER, ago, UM_NONE, UM_NONE)->elsewhere = ANSWER_YES;
}

/* interval_min_days to interval_max_days, unless the window frees later. */
static void after_proceed_the_interval(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    assert_next(&maker, 21, 28);
    maker.protocol.interval_min_days = 25; /* the first day + 7 is later than the interval's end */
    maker.visits[2].date = case_day(&maker, 25);
    assert_next(&maker, 25, 32);
}

/*
 * 3.00 mm given 24 days ago leave the window (42 days, 4.00 mm) in 18 days. Today 2.00 more would
 * be given as far as permitted: 1.00. In 21 days only today's count: 3.00 are left.
 */
static void after_reduce_the_window_may_decide(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    maker.visits[2].right = maker.visits[2].left = 3000;
    assert_next(&maker, 21, 28);
    maker.protocol.interval_min_days = 14;
    assert_next(&maker, 18, 28); /* until then 3.00 + 1.00 fill the window */
    maker.protocol.window_days = 49;
    maker.visits[1].right = 0; /* 48 days ago would still count */
    assert_next(&maker, 25, 32);
}

/* A window that leaves less than a grain permits nothing, so it still holds. */
static void less_than_a_grain_does_not_free(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    maker.protocol.interval_min_days = 14;
    maker.visits[2].right = maker.visits[2].left = 2000;
    maker.question.proposal = (struct proposal){1760, 1760}; /* 0.24 mm left: less than 0.25 */
    assert_next(&maker, 18, 28);
    maker.question.proposal = (struct proposal){1750, 1750};
    assert_next(&maker, 14, 28);
}

static void what_is_proposed_counts_as_given(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    maker.protocol.interval_min_days = 14;
    maker.visits[2].date = case_day(&maker, 20);
    assert_next(&maker, 14, 28);
    maker.question.proposal = (struct proposal){0, 1000}; /* the right's interval runs on */
    assert_next(&maker, 14, 28);
    maker.expanders[0].sides = SIDES_RIGHT; /* the left is not in plan: nothing is proposed */
    assert_next(&maker, 14, 28);
    maker.protocol.interval_min_days = 28;
    maker.protocol.interval_max_days = 28;
    maker.visits[2].date = case_day(&maker, 28);
    assert_next(&maker, 28, 35);
}

static void after_a_hold_it_depends_on_what_holds(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    maker.visits[2].date = case_day(&maker, 10);
    assert_next(&maker, 11, 18); /* too-soon: the first free day, + 7 */

    case_typical(&maker);
    maker.visits[2].right = maker.visits[2].left = 4000;
    assert_next(&maker, 18, 25); /* window-sum: the 24 days old leave it in 18 */

    case_typical(&maker);
    maker.history.wear_day_count = 0;
    case_wear(&maker, SOURCE_DIARY, 48, 25, 24);
    case_wear(&maker, SOURCE_DIARY, 24, 1, 0);
    assert_next(&maker, 14, 21); /* wear */

    case_typical(&maker);
    maker.history.wear_day_count = 0;
    case_wear(&maker, SOURCE_DIARY, 72, 1, 0);
    assert_next(&maker, 28, 35); /* rest, though wear holds as well */

    case_typical(&maker);
    maker.expanders[0].target = 40000;
    assert_next(&maker, 28, 35); /* target */

    case_typical(&maker);
    maker.question.examination.tissue = TISSUE_WOUND;
    assert_next(&maker, 1, 7); /* any other */
    maker.expanders[0].sides = SIDES_NONE;
    assert_next(&maker, 1, 7);
}

/* Of several that hold, the one to be looked at first. */
static void a_wound_does_not_wait_for_the_interval(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    maker.visits[2].date = case_day(&maker, 10);
    maker.question.examination.tissue = TISSUE_WOUND;
    assert_next(&maker, 1, 7);
    maker.question.examination.tissue = TISSUE_SOUND;
    maker.expanders[0].target = 40000;
    assert_next(&maker, 11, 18);
}

/* done-today adds no window of its own: the activation given today does. */
static void after_todays_activation_its_own_interval(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 0, 1000, 1000);
    assert_next(&maker, 21, 28);
}

static void visits_elsewhere_keep_the_window_shut(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    maker.history.visit_count = 0;
    elsewhere(&maker, 30);
    elsewhere(&maker, 22); /* 2.00 each: full until the first is 42 days old */
    assert_next(&maker, 12, 19);
}

/* A reduction so small that it permits nothing holds, for the reason of the reduction. */
static void a_limit_below_a_grain_holds(void **state)
{
    struct case_maker maker;
    struct judgement judgement;

    (void)state;
    case_typical(&maker);
    maker.protocol.reduce_permille = 100; /* 0.20 of 2.00 mm */
    maker.history.wear_day_count = 0;
    case_wear(&maker, SOURCE_DIARY, 48, 25, 24);
    case_wear(&maker, SOURCE_DIARY, 24, 1, 14);
    case_judge(&maker, &judgement);
    assert_int_equal(judgement.verdict, VERDICT_HOLD);
    assert_next(&maker, 14, 21);
}

/* A protocol that protocol_check refuses, a window below a grain, still ends in an answer. */
static void a_window_that_never_frees_still_answers(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    maker.protocol.window_max = 100;
    assert_next(&maker, 18, 25);
}

/* ---- override -------------------------------------------------------------------------------- */

static enum status override(const struct case_maker *maker, um right, um left, bool *needs_reason,
                            struct error *error)
{
    struct judgement judgement;

    case_judge(maker, &judgement);
    return rules_override(&judgement, &maker->protocol, (struct proposal){right, left},
                          needs_reason, error);
}

static void assert_refused(const struct case_maker *maker, um right, um left, const char *where,
                           const char *naming)
{
    struct error error = {.status = STATUS_OK};
    bool needs_reason;

    assert_int_equal(override(maker, right, left, &needs_reason, &error), STATUS_INPUT);
    assert_true(needs_reason);
    assert_string_equal(error.where, where);
    if (strstr(error.sentence, naming) == NULL)
        fail_msg("\"%s\" does not name %s", error.sentence, naming);
}

static void assert_allowed(const struct case_maker *maker, um right, um left, bool reason)
{
    struct error error = {.status = STATUS_OK};
    bool needs_reason = !reason;

    assert_int_equal(override(maker, right, left, &needs_reason, &error), STATUS_OK);
    assert_int_equal(needs_reason, reason);
}

static void above_permitted_needs_a_reason(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    assert_allowed(&maker, 2000, 2000, false);
    assert_allowed(&maker, UM_NONE, 0, false);
    assert_allowed(&maker, 2010, 2000, true);
    assert_allowed(&maker, UM_NONE, 2010, true);
    assert_allowed(&maker, 5000, 5000, true);
    assert_refused(&maker, 5010, 0, "right_mm", "no slip");
    assert_refused(&maker, 0, 5010, "left_mm", "5.01 mm");
    maker.visits[2].date = case_day(&maker, 10); /* a hold that can be overridden */
    assert_allowed(&maker, 10, 0, true);
    assert_allowed(&maker, 0, 0, false);
}

static void four_holds_can_not_be_overridden(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    maker.expanders[0].out_on = maker.today;
    assert_refused(&maker, 10, 0, "right_mm", "not in place");
    assert_allowed(&maker, 0, 0, false);

    case_typical(&maker);
    case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 0, 1000, 0);
    assert_refused(&maker, UM_NONE, 10, "left_mm", "already activated");

    case_typical(&maker);
    maker.question.examination.tissue = TISSUE_NONE;
    assert_refused(&maker, 10, 10, "right_mm", "not both examined");

    case_typical(&maker);
    maker.question.examination.hardware = hardware_bit(FAULT_BROKEN_WIRE, SIDE_NONE);
    assert_refused(&maker, 10, 0, "right_mm", "unrepaired");
    maker.question.examination.repaired = ANSWER_YES; /* repaired, it is a limit */
    assert_allowed(&maker, 2000, 0, true);
    assert_allowed(&maker, 1000, 0, false);
}

static void over_a_wound_at_most_reduced(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    maker.question.examination.tissue = TISSUE_WOUND;
    assert_allowed(&maker, 1000, 1000, true);
    assert_refused(&maker, 1010, 0, "right_mm", "over a wound");
    assert_refused(&maker, 1000, 1010, "left_mm", "1.00 mm");
    maker.expanders[0].fitted_on = maker.today; /* nominal is then first_step_max_mm */
    assert_allowed(&maker, 500, 500, true);
    assert_refused(&maker, 510, 0, "right_mm", "0.50 mm");
    maker.expanders[0].sides = SIDES_LEFT; /* a side not in plan has no nominal */
    assert_refused(&maker, 10, 0, "right_mm", "over a wound");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(after_proceed_the_interval),
        cmocka_unit_test(after_reduce_the_window_may_decide),
        cmocka_unit_test(less_than_a_grain_does_not_free),
        cmocka_unit_test(what_is_proposed_counts_as_given),
        cmocka_unit_test(after_a_hold_it_depends_on_what_holds),
        cmocka_unit_test(a_wound_does_not_wait_for_the_interval),
        cmocka_unit_test(after_todays_activation_its_own_interval),
        cmocka_unit_test(visits_elsewhere_keep_the_window_shut),
        cmocka_unit_test(a_limit_below_a_grain_holds),
        cmocka_unit_test(a_window_that_never_frees_still_answers),
        cmocka_unit_test(above_permitted_needs_a_reason),
        cmocka_unit_test(four_holds_can_not_be_overridden),
        cmocka_unit_test(over_a_wound_at_most_reduced),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
