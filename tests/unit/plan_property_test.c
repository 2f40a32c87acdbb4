/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What must hold of every plan, over random questions, and its pace beside the rules themselves.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>

#include "case_maker.h"
#include "case_random.h"
#include "springline/core/plan.h"

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

/* An end that is open is beyond every number. */
static int64_t end_of(um value)
{
    return value == UM_NONE || value == PLAN_OPEN ? INT64_MAX : value;
}

static void a_larger_shortage_never_needs_less_width(void **state)
{
    struct random random = {20261201};

    (void)state;
    for (int i = 0; i < 60; i++) {
        um width = random_between(&random, 25000, 65000),
           depth = random_between(&random, 15000, 45000);
        struct plan_widths before, after;

        plan_widths(1, width, depth, &before);
        for (um shortage = 250; shortage <= 12000; shortage += random_between(&random, 1, 900)) {
            plan_widths(shortage, width, depth, &after);
            assert_int_equal(after.refusal, PLAN_OK);
            assert_true(end_of(after.curve_least) >= end_of(before.curve_least));
            assert_true(end_of(after.curve_most) >= end_of(before.curve_most));
            assert_true(end_of(after.ratio_least) >= end_of(before.ratio_least));
            assert_true(end_of(after.ratio_most) >= end_of(before.ratio_most));
            assert_true(end_of(after.curve_least) <= end_of(after.curve_most));
            before = after;
        }
    }
}

/* ---- properties of the course ---------------------------------------------------------------- */

static void random_protocol(struct protocol *protocol, struct random *random)
{
    do {
        protocol_defaults(protocol);
        protocol->step_grain = 50 * random_between(random, 1, 10);
        protocol->first_step_max = protocol->step_grain + 10 * random_between(random, 0, 100);
        protocol->step_max = protocol->first_step_max + 10 * random_between(random, 0, 150);
        protocol->interval_min_days = random_between(random, 1, 40);
        protocol->interval_max_days = protocol->interval_min_days + random_between(random, 0, 20);
        protocol->restart_after_days = protocol->interval_max_days + random_between(random, 1, 40);
        protocol->window_days = random_between(random, 1, 120);
        protocol->window_max = protocol->step_grain + 10 * random_between(random, 0, 500);
    } while (protocol_check(protocol, NULL) != STATUS_OK);
}

static void random_question(struct plan_question *question, struct plan_step given[4],
                            struct random *random)
{
    question->sides = (enum sides)random_between(random, SIDES_BOTH, SIDES_LEFT);
    question->given = given;
    question->given_count = 0;
    question->fitted_on = DAY_NONE;
    if (random_chance(random, 50)) {
        question->fitted_on = question->start - random_between(random, 0, 200);
        for (int i = random_between(random, 0, 4); i > 0; i--)
            given[question->given_count++] =
                (struct plan_step){question->start - random_between(random, 0, 220),
                                   10 * random_between(random, 0, 200)};
    }
    question->width_on =
        random_chance(random, 50) ? question->start - random_between(random, 0, 60) : DAY_NONE;
    question->response = (struct plan_response){0.01 * random_between(random, 1, 60), 0, 5};
    question->response.high = question->response.low + 0.01 * random_between(random, 0, 60);
    if (random_chance(random, 20))
        question->response = (struct plan_response){0, 0, 0};
}

static void range_is_sound(struct plan_range range)
{
    assert_true(range.least >= 0);
    assert_true(range.most == PLAN_OPEN || range.most >= range.least);
}

static void never_less(struct plan_range after, struct plan_range before)
{
    assert_true(end_of(after.least) >= end_of(before.least));
    assert_true(end_of(after.most) >= end_of(before.most));
}

static void days_are_sound(const struct plan_course *course)
{
    for (int i = 0; i < PHASE_COUNT; i++) {
        const struct plan_span *span = &course->phases[i];

        if (span->from_latest != DAY_NONE)
            assert_true(span->from_earliest <= span->from_latest);
        if (span->to_latest != DAY_NONE)
            assert_true(span->to_earliest <= span->to_latest);
        assert_true(span->from_earliest <= span->to_earliest);
        if (i > 0 && course->phases[i - 1].from_earliest != DAY_NONE)
            assert_true(course->phases[i - 1].from_earliest <= span->from_earliest);
    }
}

static void a_larger_gain_never_takes_less(void **state)
{
    struct random random = {4};
    struct protocol protocol = {0};
    struct plan_question question = ask(&protocol);
    struct plan_step given[4];
    long planned = 0, open = 0;

    (void)state;
    for (int i = 0; i < 3000; i++) {
        struct plan_course before, after;

        random_protocol(&protocol, &random);
        random_question(&question, given, &random);
        question.target = 36010;
        before = answer(&question);
        for (; question.target < 51000; question.target += 10 * random_between(&random, 1, 400)) {
            after = answer(&question);
            if (after.refusal == PLAN_TOO_LONG)
                break;
            assert_int_equal(after.refusal, PLAN_OK);
            range_is_sound(after.activations);
            range_is_sound(after.days);
            range_is_sound(after.visits);
            days_are_sound(&after);
            never_less(after.activations, before.activations);
            never_less(after.days, before.days);
            never_less(after.visits, before.visits);
            assert_int_equal(after.activations.most == PLAN_OPEN, after.days.most == PLAN_OPEN);
            before = after;
            planned++;
            open += after.activations.most == PLAN_OPEN;
        }
        question.target = 40000;
    }
    assert_true(planned > 10000 && open > 1000 && open < planned / 2);
}

/* ---- the rules beside it --------------------------------------------------------------------- */

/* What the rules on steps, intervals and the window permit on the right today. */
static um rules_permit(struct case_maker *maker, day today)
{
    struct judgement judgement;
    um permitted = INT32_MAX;

    maker->question.today = today;
    case_judge(maker, &judgement);
    for (int i = 0; i < judgement.finding_count; i++) {
        const struct finding *finding = &judgement.findings[i];
        bool ours = finding->rule == RULE_FIRST_STEP || finding->rule == RULE_STEP_SIZE ||
                    finding->rule == RULE_TOO_SOON || finding->rule == RULE_RESTART ||
                    finding->rule == RULE_WINDOW_SUM;

        if (ours && finding->effect != EFFECT_CAUTION && finding->side != SIDE_LEFT &&
            finding->limit < permitted)
            permitted = finding->limit;
    }
    return permitted - permitted % maker->protocol.step_grain;
}

/* Day by day, whatever the rules permit on the first day they permit anything: as many activations
 * as the plan's least, on the same last day. */
static void the_quickest_is_what_the_rules_permit(void **state)
{
    struct random random = {77};
    struct case_maker maker;
    long compared = 0;

    (void)state;
    for (int i = 0; i < 400; i++) {
        struct plan_question question = ask(&maker.protocol);
        struct plan_course course;
        um opened = 0;
        int32_t count = 0;
        day today, last = DAY_NONE;

        case_begin(&maker);
        random_protocol(&maker.protocol, &random);
        maker.protocol.interval_max_days = maker.protocol.interval_min_days; /* one pace */
        case_expander(&maker, ARCH_UPPER, 10);
        question.start = maker.today;
        question.fitted_on = maker.today - 10;
        question.target = question.width + 10 * random_between(&random, 1, 900);
        course = answer(&question);
        if (course.activations.least > 40)
            continue;
        assert_int_equal(course.refusal, PLAN_OK);
        for (today = course.phases[PHASE_ACTIVE].from_earliest; opened < course.side_least;
             today++) {
            um permitted = rules_permit(&maker, today);

            if (permitted <= 0)
                continue;
            case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, maker.today - today, permitted,
                       permitted);
            opened += permitted;
            last = today;
            count++;
        }
        assert_int_equal(course.activations.least, count);
        assert_int_equal(course.phases[PHASE_ACTIVE].to_earliest,
                         last + maker.protocol.interval_min_days);
        compared++;
    }
    assert_true(compared > 300);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_larger_shortage_never_needs_less_width),
        cmocka_unit_test(a_larger_gain_never_takes_less),
        cmocka_unit_test(the_quickest_is_what_the_rules_permit),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
