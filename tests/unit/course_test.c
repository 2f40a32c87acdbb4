/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Where a case stands. The stages are those of the trade (common practice, no source); 180 days of
 * retention is published (systematic review, Dental Press J Orthod 2017;22(2)).
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "small_case.h"
#include "springline/core/course.h"

enum { OPENED = 20000, FITTED = OPENED + 30, RETENTION = 180 };

static void open_case(struct small_case *small)
{
    small_case_open(small, OPENED);
}

static enum stage upper_on(const struct small_case *small, day today)
{
    return course_arch_stage(&small->history, ARCH_UPPER, today);
}

static void a_case_begins_assessed_and_is_planned_with_its_expander(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    assert_int_equal(course_stage(&small.history, OPENED), STAGE_ASSESSED);
    assert_int_equal(upper_on(&small, OPENED), STAGE_NONE);
    small_expander(&small, ARCH_UPPER, DAY_NONE);
    assert_int_equal(course_stage(&small.history, OPENED), STAGE_PLANNED);
    assert_int_equal(upper_on(&small, OPENED), STAGE_PLANNED);
    assert_int_equal(course_arch_stage(&small.history, ARCH_LOWER, OPENED), STAGE_NONE);
}

static void each_step_shows_from_its_day_on(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    struct expander *expander = small_expander(&small, ARCH_UPPER, FITTED);
    expander->separators_on = FITTED - 14;
    expander->banded_on = FITTED - 7;
    small_activation(&small, FITTED + 2, ARCH_UPPER, 1000);
    assert_int_equal(upper_on(&small, FITTED - 15), STAGE_PLANNED);
    assert_int_equal(upper_on(&small, FITTED - 14), STAGE_SEPARATORS);
    assert_int_equal(upper_on(&small, FITTED - 8), STAGE_SEPARATORS);
    assert_int_equal(upper_on(&small, FITTED - 7), STAGE_BANDED);
    assert_int_equal(upper_on(&small, FITTED - 1), STAGE_BANDED);
    assert_int_equal(upper_on(&small, FITTED), STAGE_FITTED);
    assert_int_equal(upper_on(&small, FITTED + 1), STAGE_FITTED);
    assert_int_equal(upper_on(&small, FITTED + 2), STAGE_ACTIVE);
}

static void only_an_activation_of_this_expander_makes_it_active(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    small_expander(&small, ARCH_UPPER, FITTED);
    small_activation(&small, FITTED + 5, ARCH_UPPER, 0);    /* 0.00 is none */
    small_activation(&small, FITTED - 1, ARCH_UPPER, 1000); /* before this one was fitted */
    small_activation(&small, FITTED + 5, ARCH_LOWER, 1000); /* the other arch */
    small_visit(&small, FITTED + 6, VISIT_CHECK, ARCH_UPPER);
    assert_int_equal(upper_on(&small, FITTED + 9), STAGE_FITTED);
    struct visit *one_side = small_visit(&small, FITTED + 7, VISIT_REPAIR, ARCH_UPPER);
    one_side->left = 250; /* a row of any kind, one side alone */
    assert_int_equal(upper_on(&small, FITTED + 6), STAGE_FITTED);
    assert_int_equal(upper_on(&small, FITTED + 7), STAGE_ACTIVE);
}

static void an_activation_on_the_day_of_the_fit_counts(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    small_expander(&small, ARCH_UPPER, FITTED);
    small_activation(&small, FITTED, ARCH_UPPER, 1000);
    assert_int_equal(upper_on(&small, FITTED), STAGE_ACTIVE);
}

static void an_activation_elsewhere_may_lack_its_amounts(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    small_expander(&small, ARCH_UPPER, FITTED);
    struct visit *visit = small_visit(&small, FITTED + 3, VISIT_ACTIVATION, ARCH_UPPER);
    assert_int_equal(upper_on(&small, FITTED + 3), STAGE_FITTED);
    visit->elsewhere = ANSWER_YES;
    assert_int_equal(upper_on(&small, FITTED + 3), STAGE_ACTIVE);
}

static void an_expander_out_shows_why(void **state)
{
    static const struct {
        enum out_reason reason;
        enum stage stage;
    } rows[] = {{OUT_REST, STAGE_RESTING},
                {OUT_REPAIR, STAGE_RESTING},
                {OUT_TARGET, STAGE_RETENTION},
                {OUT_OTHER, STAGE_RESTING},
                {OUT_NONE, STAGE_RESTING}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct small_case small;
        open_case(&small);
        struct expander *expander = small_expander(&small, ARCH_UPPER, FITTED);
        small_activation(&small, FITTED, ARCH_UPPER, 1000);
        expander->out_on = FITTED + 40;
        expander->out_reason = rows[i].reason;
        assert_int_equal(upper_on(&small, FITTED + 39), STAGE_ACTIVE);
        assert_int_equal(upper_on(&small, FITTED + 40), rows[i].stage);
        assert_int_equal(course_stage(&small.history, FITTED + 40), rows[i].stage);
    }
}

static void a_newer_expander_ends_a_rest_once_it_is_begun(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    struct expander *old = small_expander(&small, ARCH_UPPER, FITTED);
    old->out_on = FITTED + 40;
    old->out_reason = OUT_REPAIR;
    struct expander *next = small_expander(&small, ARCH_UPPER, DAY_NONE);
    assert_int_equal(upper_on(&small, FITTED + 60), STAGE_RESTING);
    next->separators_on = FITTED + 60;
    assert_int_equal(upper_on(&small, FITTED + 59), STAGE_RESTING);
    assert_int_equal(upper_on(&small, FITTED + 60), STAGE_SEPARATORS);
    next->fitted_on = FITTED + 70;
    assert_int_equal(upper_on(&small, FITTED + 70), STAGE_FITTED);
    next->fitted_on = DAY_NONE;
    next->out_on = FITTED + 65; /* given up before it was fitted: the rest goes on */
    assert_int_equal(upper_on(&small, FITTED + 65), STAGE_RESTING);
}

static void an_expander_in_place_is_not_hidden_by_the_next_one_in_preparation(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    small_expander(&small, ARCH_UPPER, FITTED);
    small_activation(&small, FITTED, ARCH_UPPER, 1000);
    struct expander *next = small_expander(&small, ARCH_UPPER, DAY_NONE);
    next->banded_on = FITTED + 50;
    assert_int_equal(upper_on(&small, FITTED + 60), STAGE_ACTIVE);
    small_case_reverse(&small);
    assert_int_equal(upper_on(&small, FITTED + 60), STAGE_ACTIVE);
}

static void retention_lasts_its_days_and_then_stability_is_checked(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    struct expander *expander = small_expander(&small, ARCH_UPPER, FITTED);
    expander->out_on = FITTED + 100;
    expander->out_reason = OUT_TARGET;
    assert_int_equal(upper_on(&small, FITTED + 100), STAGE_RETENTION);
    assert_int_equal(upper_on(&small, FITTED + 100 + RETENTION - 1), STAGE_RETENTION);
    assert_int_equal(upper_on(&small, FITTED + 100 + RETENTION), STAGE_STABILITY);
}

static void an_expander_left_in_passively_is_retention_from_that_day(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    struct expander *expander = small_expander(&small, ARCH_UPPER, FITTED);
    small_activation(&small, FITTED, ARCH_UPPER, 1000);
    expander->passive_on = FITTED + 90;
    assert_int_equal(upper_on(&small, FITTED + 89), STAGE_ACTIVE);
    assert_int_equal(upper_on(&small, FITTED + 90), STAGE_RETENTION);
    expander->out_on = FITTED + 150; /* taken out later: retention still counts from passive_on */
    expander->out_reason = OUT_TARGET;
    assert_int_equal(upper_on(&small, FITTED + 90 + RETENTION - 1), STAGE_RETENTION);
    assert_int_equal(upper_on(&small, FITTED + 90 + RETENTION), STAGE_STABILITY);
    expander->fitted_on = DAY_NONE; /* nothing that was never fitted is left in */
    assert_int_equal(upper_on(&small, FITTED + 149), STAGE_PLANNED);
    expander->fitted_on = FITTED;
    expander->out_reason = OUT_REPAIR; /* resting stands before retention in the list */
    assert_int_equal(upper_on(&small, FITTED + 150), STAGE_RESTING);
}

static void closed_leads_from_its_day_on(void **state)
{
    struct small_case small;

    (void)state;
    open_case(&small);
    small_expander(&small, ARCH_UPPER, FITTED);
    small.casefile.closed_on = FITTED + 10;
    assert_int_equal(course_stage(&small.history, FITTED + 9), STAGE_FITTED);
    assert_int_equal(course_stage(&small.history, FITTED + 10), STAGE_CLOSED);
    assert_int_equal(upper_on(&small, FITTED + 10), STAGE_CLOSED);
    assert_int_equal(course_arch_stage(&small.history, ARCH_LOWER, FITTED + 10), STAGE_NONE);
}

/* An arch of a case in a wanted stage on FITTED + 60. */
static void put_in_stage(struct small_case *small, enum arch arch, enum stage stage)
{
    if (stage == STAGE_NONE)
        return;
    struct expander *expander = small_expander(small, arch, DAY_NONE);
    if (stage == STAGE_SEPARATORS)
        expander->separators_on = FITTED + 58;
    if (stage == STAGE_BANDED)
        expander->banded_on = FITTED + 58;
    if (stage >= STAGE_FITTED)
        expander->fitted_on = FITTED;
    if (stage == STAGE_ACTIVE)
        small_activation(small, FITTED + 1, arch, 1000);
    if (stage == STAGE_RETENTION || stage == STAGE_RESTING)
        expander->out_on = FITTED + 50;
    expander->out_reason = stage == STAGE_RETENTION ? OUT_TARGET : OUT_REST;
}

static void a_case_shows_its_most_advanced_arch_still_at_work(void **state)
{
    static const struct {
        enum stage upper, lower, shown;
    } rows[] = {{STAGE_ACTIVE, STAGE_NONE, STAGE_ACTIVE},
                {STAGE_ACTIVE, STAGE_PLANNED, STAGE_ACTIVE},
                {STAGE_ACTIVE, STAGE_SEPARATORS, STAGE_ACTIVE},
                {STAGE_FITTED, STAGE_BANDED, STAGE_FITTED},
                {STAGE_FITTED, STAGE_ACTIVE, STAGE_ACTIVE},
                {STAGE_RETENTION, STAGE_ACTIVE, STAGE_ACTIVE},
                {STAGE_RETENTION, STAGE_SEPARATORS, STAGE_SEPARATORS},
                {STAGE_RESTING, STAGE_ACTIVE, STAGE_ACTIVE},
                {STAGE_RETENTION, STAGE_PLANNED, STAGE_RETENTION},
                {STAGE_RETENTION, STAGE_RESTING, STAGE_RESTING},
                {STAGE_RETENTION, STAGE_RETENTION, STAGE_RETENTION},
                {STAGE_PLANNED, STAGE_NONE, STAGE_PLANNED}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        for (int turned = 0; turned < 2; turned++) {
            struct small_case small;
            enum arch first = turned ? ARCH_LOWER : ARCH_UPPER;
            enum arch second = turned ? ARCH_UPPER : ARCH_LOWER;
            open_case(&small);
            put_in_stage(&small, first, rows[i].upper);
            put_in_stage(&small, second, rows[i].lower);
            assert_int_equal(course_arch_stage(&small.history, first, FITTED + 60), rows[i].upper);
            assert_int_equal(course_stage(&small.history, FITTED + 60), rows[i].shown);
        }
    }
}

static void the_kept_state_gives_the_stage_of_any_later_day(void **state)
{
    static const enum stage lower[] = {STAGE_NONE, STAGE_PLANNED, STAGE_ACTIVE, STAGE_RESTING,
                                       STAGE_RETENTION};
    int turns = 0;

    (void)state;
    for (size_t i = 0; i < sizeof lower / sizeof *lower; i++) {
        struct small_case small;
        struct case_state kept;
        enum stage upper, below;
        open_case(&small);
        put_in_stage(&small, ARCH_LOWER, lower[i]);
        struct expander *expander = small_expander(&small, ARCH_UPPER, FITTED);
        expander->passive_on = FITTED + 30;
        course_state(&small.history, &kept);
        enum stage before = kept.stage_upper;
        for (day on = kept.newest; on < kept.newest + 400; on++) {
            assert_int_equal(course_stage_on(&kept, on, &upper, &below),
                             course_stage(&small.history, on));
            assert_int_equal(upper, course_arch_stage(&small.history, ARCH_UPPER, on));
            assert_int_equal(below, course_arch_stage(&small.history, ARCH_LOWER, on));
            turns += upper != before;
            before = upper;
        }
        assert_int_equal(course_stage_on(&kept, kept.newest, NULL, NULL), kept.stage);
    }
    assert_int_equal(turns, sizeof lower / sizeof *lower); /* each did turn, once */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_case_begins_assessed_and_is_planned_with_its_expander),
        cmocka_unit_test(each_step_shows_from_its_day_on),
        cmocka_unit_test(only_an_activation_of_this_expander_makes_it_active),
        cmocka_unit_test(an_activation_on_the_day_of_the_fit_counts),
        cmocka_unit_test(an_activation_elsewhere_may_lack_its_amounts),
        cmocka_unit_test(an_expander_out_shows_why),
        cmocka_unit_test(a_newer_expander_ends_a_rest_once_it_is_begun),
        cmocka_unit_test(an_expander_in_place_is_not_hidden_by_the_next_one_in_preparation),
        cmocka_unit_test(retention_lasts_its_days_and_then_stability_is_checked),
        cmocka_unit_test(an_expander_left_in_passively_is_retention_from_that_day),
        cmocka_unit_test(closed_leads_from_its_day_on),
        cmocka_unit_test(a_case_shows_its_most_advanced_arch_still_at_work),
        cmocka_unit_test(the_kept_state_gives_the_stage_of_any_later_day),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
