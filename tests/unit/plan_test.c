/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The plan: courses worked out by hand over the default protocol (its settings: common practice and
 * settings of our own), and what is refused.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>

#include "springline/core/plan.h"

static void is_day(day date, const char *expected)
{
    char text[DAY_TEXT_SIZE];

    assert_string_equal(day_to_text(date, text), expected);
}

static void is_range(struct plan_range range, int32_t least, int32_t most)
{
    assert_int_equal(range.least, least);
    assert_int_equal(range.most, most);
}

/* Both sides, 36.00 to 40.00 at the gingival margin, nothing done yet, from 2026-12-01. */
static struct plan_question ask(const struct protocol *protocol)
{
    return (struct plan_question){.protocol = protocol,
                                  .sides = SIDES_BOTH,
                                  .site = SITE_INTERMOLAR,
                                  .landmark = LANDMARK_GINGIVAL,
                                  .width = 36000,
                                  .target = 40000,
                                  .width_on = DAY_NONE,
                                  .start = day_of(2026, 12, 1),
                                  .separators_on = DAY_NONE,
                                  .banded_on = DAY_NONE,
                                  .fitted_on = DAY_NONE,
                                  .fit_not_before = DAY_NONE};
}

static struct plan_course answer(const struct plan_question *question)
{
    struct plan_course course;

    plan_course(question, &course);
    return course;
}

static void a_plan_without_a_response(void **state)
{
    struct protocol protocol = {0};
    struct plan_question question = ask(&protocol);
    struct plan_course course;

    (void)state;
    protocol_defaults(&protocol);
    course = answer(&question);
    assert_int_equal(course.refusal, PLAN_OK);
    assert_int_equal(course.gain, 4000);
    assert_true(course.full_transfer);
    assert_int_equal(course.side_least, 2000);
    assert_int_equal(course.side_most, UM_NONE);
    /* 1.00 then up to 2.00 a side; measured 21 days after the second. */
    is_range(course.activations, 2, PLAN_OPEN);
    is_range(course.days, 42, PLAN_OPEN);
    /* Separators, bands with fit, two activations, the measuring. */
    is_range(course.visits, 5, PLAN_OPEN);
    is_day(course.phases[PHASE_SEPARATORS].from_earliest, "2026-12-01");
    is_day(course.phases[PHASE_BANDS].from_latest, "2026-12-08");
    is_day(course.phases[PHASE_FIT].from_earliest, "2026-12-08");
    is_day(course.phases[PHASE_FIT].from_latest, "2026-12-15");
    is_day(course.phases[PHASE_ACTIVE].from_earliest, "2026-12-29");
    is_day(course.phases[PHASE_ACTIVE].from_latest, "2027-01-12");
    is_day(course.phases[PHASE_ACTIVE].to_earliest, "2027-02-09");
    is_day(course.phases[PHASE_ACTIVE].to_latest, "");
    is_day(course.phases[PHASE_RETENTION].to_earliest, "2027-08-08");
    is_day(course.phases[PHASE_STABILITY_1].from_earliest, "2027-09-08");
    is_day(course.phases[PHASE_STABILITY_12].from_earliest, "2028-08-08");
    is_day(course.phases[PHASE_STABILITY_12].from_latest, "");
    assert_int_equal(course.growth_low, UM_NONE);
}

static void a_plan_with_the_practices_response(void **state)
{
    struct protocol protocol = {0};
    struct plan_question question = ask(&protocol);
    struct plan_course course;

    (void)state;
    protocol_defaults(&protocol);
    question.response = (struct plan_response){0.5, 0.8, 7};
    course = answer(&question);
    assert_int_equal(course.refusal, PLAN_OK);
    assert_false(course.full_transfer);
    assert_int_equal(course.side_least, 2500); /* 4 / 0.8 / 2 */
    assert_int_equal(course.side_most, 4000);  /* 4 / 0.5 / 2 */
    is_range(course.activations, 2, 3);
    /* Quick 0, 21, measured 42; slow 0, 28, 56, measured 84. */
    is_range(course.days, 42, 84);
    is_range(course.visits, 5, 7);
    is_day(course.phases[PHASE_ACTIVE].to_latest, "2027-04-06");
    is_day(course.phases[PHASE_RETENTION].to_latest, "2027-10-03");
    is_day(course.phases[PHASE_STABILITY_6].to_latest, "2028-04-03");
    /* One side alone opens all of it. */
    question.sides = SIDES_LEFT;
    course = answer(&question);
    assert_int_equal(course.side_least, 5000);
    assert_int_equal(course.side_most, 8000);
    is_range(course.activations, 3, 5);
    /* A response that may be none at all has no upper end. */
    question.response.low = 0;
    course = answer(&question);
    assert_int_equal(course.side_most, UM_NONE);
    is_range(course.activations, 3, PLAN_OPEN);
}

/* Days that are recorded stand; what is to come begins on start at the earliest. */
static void a_plan_that_has_begun(void **state)
{
    struct protocol protocol = {0};
    struct plan_question question = ask(&protocol);
    struct plan_step given[] = {{day_of(2026, 11, 20), 2000}, {day_of(2026, 10, 28), 1000}};
    struct plan_course course;

    (void)state;
    protocol_defaults(&protocol);
    question.separators_on = day_of(2026, 11, 27);
    course = answer(&question);
    assert_true(course.phases[PHASE_SEPARATORS].done && !course.phases[PHASE_BANDS].done);
    is_day(course.phases[PHASE_BANDS].from_earliest, "2026-12-04");
    is_range(course.visits, 4, PLAN_OPEN);
    question.separators_on = day_of(2026, 9, 23);
    question.banded_on = day_of(2026, 9, 30);
    course = answer(&question);
    is_day(course.phases[PHASE_FIT].from_earliest, "2026-12-01");
    question.fitted_on = day_of(2026, 10, 7);
    course = answer(&question);
    assert_true(course.phases[PHASE_FIT].done && !course.phases[PHASE_ACTIVE].done);
    is_range(course.visits, 3, PLAN_OPEN);
    question.given = given;
    question.given_count = 2;
    course = answer(&question);
    assert_true(course.phases[PHASE_ACTIVE].done);
    is_day(course.phases[PHASE_ACTIVE].from_latest, "2026-10-28");
    /* No first step any more: 2.00 on 2026-12-11, 21 days after the last. */
    is_range(course.activations, 1, PLAN_OPEN);
    is_day(course.phases[PHASE_ACTIVE].to_earliest, "2027-01-01");
    /* The width is of a day before the last: its 2.00 a side are on their way already. */
    question.width_on = day_of(2026, 11, 20);
    course = answer(&question);
    assert_int_equal(course.side_least, 0);
    is_range(course.activations, 0, PLAN_OPEN);
    is_range(course.days, 0, PLAN_OPEN);
    is_day(course.phases[PHASE_ACTIVE].to_earliest, "2026-12-11");
}

static void a_pause_begins_with_a_first_step(void **state)
{
    struct protocol protocol = {0};
    struct plan_question question = ask(&protocol);
    struct plan_step given[] = {{day_of(2026, 10, 6), 1000}};

    (void)state;
    protocol_defaults(&protocol);
    question.fitted_on = day_of(2026, 9, 1);
    question.given = given;
    question.given_count = 1;
    /* 56 days is not yet a pause; 57 is. */
    is_range(answer(&question).activations, 1, PLAN_OPEN);
    given[0].date--;
    is_range(answer(&question).activations, 2, PLAN_OPEN);
    /* What another expander gave before this fit is no first step of this one. */
    given[0].date = day_of(2026, 11, 1);
    question.fitted_on = day_of(2026, 11, 2);
    is_range(answer(&question).activations, 2, PLAN_OPEN);
}

static void the_window_holds_back(void **state)
{
    struct protocol protocol = {0};
    struct plan_question question = ask(&protocol);
    struct plan_course course;

    (void)state;
    protocol_defaults(&protocol);
    protocol.window_max = 2000;
    question.target = 44000; /* 4.00 a side */
    course = answer(&question);
    /* Days 0, 21 (1.00 of 2.00 is left), 42 (the first has left), 63. */
    is_range(course.activations, 4, PLAN_OPEN);
    is_range(course.days, 84, PLAN_OPEN);
    /* 0.10 is left on day 21, below the grain: the second is on day 42, when the first has left. */
    protocol.window_max = 1100;
    question.target = 38500;
    course = answer(&question);
    is_range(course.activations, 2, PLAN_OPEN);
    is_range(course.days, 42 + 21, PLAN_OPEN);
}

static void the_lower_arch_waits(void **state)
{
    struct protocol protocol = {0};
    struct plan_question question = ask(&protocol);
    struct plan_course course;

    (void)state;
    protocol_defaults(&protocol);
    question.fit_not_before = day_of(2027, 3, 1);
    course = answer(&question);
    is_day(course.phases[PHASE_SEPARATORS].from_earliest, "2027-02-22");
    is_day(course.phases[PHASE_BANDS].from_earliest, "2027-03-01");
    is_day(course.phases[PHASE_FIT].from_earliest, "2027-03-01");
    question.fit_not_before = day_of(2026, 1, 1);
    course = answer(&question);
    is_day(course.phases[PHASE_SEPARATORS].from_earliest, "2026-12-01");
    /* Banded all the same: the fit waits. */
    question.banded_on = day_of(2026, 11, 30);
    question.fit_not_before = day_of(2027, 3, 1);
    course = answer(&question);
    is_day(course.phases[PHASE_FIT].from_earliest, "2027-03-01");
}

/* 0.2 to 0.7 mm a year (published), only beside what takes longer than a year. */
static void growth_beside_long_gains(void **state)
{
    struct protocol protocol = {0};
    struct plan_question question = ask(&protocol);
    struct plan_course course;

    (void)state;
    protocol_defaults(&protocol);
    question.response = (struct plan_response){0.15, 0.15, 3};
    course = answer(&question); /* 13.5 a side: 1 + 7 x 2, 8 activations, 28 days apart */
    is_range(course.activations, 8, 8);
    is_range(course.days, 168, 224);
    assert_int_equal(course.growth_low, UM_NONE);
    protocol.step_max = 1000;
    course = answer(&question);
    is_range(course.activations, 14, 14);
    is_range(course.days, 294, 392);
    /* From the earliest beginning to the latest end: 2026-12-29 to 2028-02-08, 406 days. */
    assert_int_equal(course.growth_low, 222);
    assert_int_equal(course.growth_high, 778);
}

static void refused(struct plan_question question, enum plan_refusal refusal)
{
    struct plan_course course = answer(&question);

    assert_int_equal(course.refusal, refusal);
    is_range(course.activations, PLAN_OPEN, PLAN_OPEN);
    is_range(course.days, PLAN_OPEN, PLAN_OPEN);
    assert_int_equal(course.side_least, UM_NONE);
    for (int i = 0; i < PHASE_COUNT; i++)
        is_day(course.phases[i].to_earliest, "");
}

static void what_is_no_gain_is_refused(void **state)
{
    static const struct {
        um width, target;
        enum plan_refusal refusal;
    } rows[] = {
        {UM_NONE, 40000, PLAN_WIDTH}, {0, 40000, PLAN_WIDTH},       {-36000, 40000, PLAN_WIDTH},
        {360000, 361000, PLAN_WIDTH}, {3600, 4000, PLAN_WIDTH},     {36000, UM_NONE, PLAN_GAIN},
        {36000, 36000, PLAN_GAIN},    {36000, 35990, PLAN_GAIN},    {36000, 51001, PLAN_GAIN},
        {36000, 400000, PLAN_GAIN},   {36000, INT32_MAX, PLAN_GAIN}};
    struct protocol protocol = {0};
    struct plan_question question = ask(&protocol);

    (void)state;
    protocol_defaults(&protocol);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        question.width = rows[i].width;
        question.target = rows[i].target;
        refused(question, rows[i].refusal);
    }
    question.width = 36000;
    question.target = 51000;
    assert_int_equal(answer(&question).refusal, PLAN_OK);
    question.landmark = LANDMARK_NONE;
    refused(question, PLAN_LANDMARK);
    question.landmark = LANDMARK_FOSSA;
    question.site = SITE_NONE;
    refused(question, PLAN_LANDMARK);
    question.site = SITE_INTERMOLAR;
    question.sides = SIDES_NONE;
    refused(question, PLAN_SIDES);
}

static void a_protocol_without_steps_is_refused(void **state)
{
    struct protocol protocol = {0};
    struct plan_question question = ask(&protocol);

    (void)state;
    protocol_defaults(&protocol);
    protocol.window_max = 240; /* below the grain of 0.25 */
    refused(question, PLAN_PROTOCOL);
    protocol.window_max = 250;
    assert_int_equal(answer(&question).refusal, PLAN_OK);
    protocol.step_grain = 0;
    refused(question, PLAN_PROTOCOL);
    question.protocol = NULL;
    refused(question, PLAN_PROTOCOL);
}

static void a_response_that_is_none_is_refused(void **state)
{
    static const struct plan_response rows[] = {
        {0.5, 0.8, -1},     {0.8, 0.5, 7},         {-0.5, 0, 7},
        {-0.5, -0.1, 7},    {(double)NAN, 0.8, 7}, {0.5, (double)NAN, 7},
        {0.5, HUGE_VAL, 7}, {-HUGE_VAL, 0.5, 7},   {0.5, 5.1, 7}};
    struct protocol protocol = {0};
    struct plan_question question = ask(&protocol);

    (void)state;
    protocol_defaults(&protocol);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        question.response = rows[i];
        refused(question, PLAN_RESPONSE);
    }
    /* So small that no plan ends: 4 mm by a thousandth a millimetre. */
    question.response = (struct plan_response){0.0005, 0.001, 7};
    refused(question, PLAN_TOO_LONG);
    question.response = (struct plan_response){1e-300, 1e-299, 7};
    refused(question, PLAN_TOO_LONG);
    /* Only the slow end does not: the range is open. */
    question.response = (struct plan_response){0.0005, 0.5, 7};
    is_range(answer(&question).activations, 3, PLAN_OPEN);
}

static void days_out_of_order_are_refused(void **state)
{
    struct protocol protocol = {0};
    const struct plan_question good = ask(&protocol);
    struct plan_question question = good;
    struct plan_step given = {day_of(2026, 12, 2), 1000};

    (void)state;
    protocol_defaults(&protocol);
    question.start = DAY_NONE;
    refused(question, PLAN_DAYS);
    question.start = INT32_MAX;
    refused(question, PLAN_DAYS);
    question = good;
    question.fitted_on = good.start + 1;
    refused(question, PLAN_DAYS);
    question.fitted_on = good.start - 10;
    question.banded_on = good.start - 9;
    refused(question, PLAN_DAYS);
    question = good;
    question.separators_on = INT32_MIN + 1;
    refused(question, PLAN_DAYS);
    question = good;
    question.fit_not_before = INT32_MAX;
    refused(question, PLAN_DAYS);
    question = good;
    question.width_on = -1000000;
    refused(question, PLAN_DAYS);
    question = good;
    question.given = &given;
    question.given_count = 1;
    refused(question, PLAN_DAYS);
    given = (struct plan_step){DAY_NONE, 1000};
    refused(question, PLAN_DAYS);
    given = (struct plan_step){good.start, -1000};
    refused(question, PLAN_DAYS);
}

/* ---- widths ---------------------------------------------------------------------------------- */

/* 4.00 mm short at 50.00 by 30.00: each curve needs what gives 4.00, each ratio 4.00 / ratio. */
static void widths_for_a_shortage(void **state)
{
    struct plan_widths widths;

    (void)state;
    plan_widths(4000, 50000, 30000, &widths);
    assert_int_equal(widths.refusal, PLAN_OK);
    for (int i = CURVE_NONE + 1; i < CURVE_COUNT; i++) {
        double room_mm = -1, less_mm = -1;
        um widening = widths.curves[i].widening;

        assert_int_equal(widths.curves[i].answer, CURVE_OK);
        assert_int_equal(widening % 10, 0);
        assert_int_equal(arch_curve_room((enum arch_curve)i, 50, 30, widening / 1e3, &room_mm),
                         CURVE_OK);
        assert_int_equal(
            arch_curve_room((enum arch_curve)i, 50, 30, (widening - 10) / 1e3, &less_mm), CURVE_OK);
        assert_true(room_mm >= 4 - 1e-7 && less_mm < 4);
        assert_true(widths.curve_least <= widening && widening <= widths.curve_most);
    }
    assert_int_equal(widths.curve_least, widths.curves[CURVE_ELLIPSE].widening);
    assert_int_equal(widths.curve_most, widths.curves[CURVE_CATENARY].widening);
    assert_int_equal(widths.ratios[0].answer, CURVE_OUT_OF_REACH); /* 16.00 */
    assert_int_equal(widths.ratios[0].widening, UM_NONE);
    assert_int_equal(widths.ratios[2].widening, 10820); /* 10.8108 */
    assert_int_equal(widths.ratio_least, 5720);         /* 5.714 */
    assert_int_equal(widths.ratio_most, UM_NONE);
    plan_widths(1000, 50000, UM_NONE, &widths);
    assert_int_equal(widths.refusal, PLAN_OK);
    assert_int_equal(widths.curves[CURVE_BETA].answer, CURVE_DEPTH);
    assert_int_equal(widths.curve_least, UM_NONE);
    assert_int_equal(widths.ratio_least, 1430);
    assert_int_equal(widths.ratio_most, 4000);
}

static void widths_that_are_refused(void **state)
{
    static const struct {
        um shortage, width, depth;
        enum plan_refusal refusal;
    } rows[] = {{0, 50000, 30000, PLAN_SHORTAGE},       {-1000, 50000, 30000, PLAN_SHORTAGE},
                {UM_NONE, 50000, 30000, PLAN_SHORTAGE}, {30001, 50000, 30000, PLAN_SHORTAGE},
                {1000, UM_NONE, 30000, PLAN_WIDTH},     {1000, 500000, 30000, PLAN_WIDTH},
                {1000, 0, 30000, PLAN_WIDTH},           {1000, -50000, 30000, PLAN_WIDTH}};
    static const um depths[] = {0, -30000, 300000, 3000, INT32_MAX};
    struct plan_widths widths;

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        plan_widths(rows[i].shortage, rows[i].width, rows[i].depth, &widths);
        assert_int_equal(widths.refusal, rows[i].refusal);
        assert_int_equal(widths.curve_least, UM_NONE);
        assert_int_equal(widths.ratio_least, UM_NONE);
    }
    for (size_t i = 0; i < sizeof depths / sizeof depths[0]; i++) {
        plan_widths(1000, 50000, depths[i], &widths);
        assert_int_equal(widths.refusal, PLAN_OK);
        assert_int_equal(widths.curves[CURVE_ELLIPSE].answer, CURVE_DEPTH);
        assert_int_equal(widths.curve_most, UM_NONE);
        assert_int_equal(widths.ratio_most, 4000);
    }
    plan_widths(20000, 50000, 30000, &widths);
    assert_int_equal(widths.refusal, PLAN_OK);
    assert_int_equal(widths.curves[CURVE_ELLIPSE].answer, CURVE_OUT_OF_REACH);
    assert_int_equal(widths.curve_least, UM_NONE);
    assert_int_equal(widths.ratio_least, UM_NONE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_plan_without_a_response),
        cmocka_unit_test(a_plan_with_the_practices_response),
        cmocka_unit_test(a_plan_that_has_begun),
        cmocka_unit_test(a_pause_begins_with_a_first_step),
        cmocka_unit_test(the_window_holds_back),
        cmocka_unit_test(the_lower_arch_waits),
        cmocka_unit_test(growth_beside_long_gains),
        cmocka_unit_test(what_is_no_gain_is_refused),
        cmocka_unit_test(a_protocol_without_steps_is_refused),
        cmocka_unit_test(a_response_that_is_none_is_refused),
        cmocka_unit_test(days_out_of_order_are_refused),
        cmocka_unit_test(widths_for_a_shortage),
        cmocka_unit_test(widths_that_are_refused),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
