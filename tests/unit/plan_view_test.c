/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The plan in words: which measurements are taken for it, and what is said of each answer. The
 * figures: tests/unit/space_test.c, plan_test.c and tests/reference.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>

#include "case_maker.h"
#include "springline/app/app.h"
#include "springline/app/plan_view.h"

enum { ROWS = 48 };

/* A case with an assessment, and the plan told of it. */
struct bench {
    struct case_maker maker;
    struct tooth_width teeth[ROWS];
    struct arch_segment segments[4];
    struct arch_depth depths[8];
    struct plan plans[2];
    struct assessment assessment;
    struct arena arena;
    struct plan_choice choice;
    struct plan_others others;
    struct plan_arch arch;
    struct text told;
};

static void add_tooth(struct bench *bench, int32_t ago, int32_t code, um width)
{
    bench->teeth[bench->assessment.tooth_width_count++] =
        (struct tooth_width){.date = case_day(&bench->maker, ago), .tooth = code, .value = width};
}

static struct arch_depth *add_depth(struct bench *bench, int32_t ago, um depth)
{
    struct arch_depth *row = &bench->depths[bench->assessment.depth_count++];

    *row = (struct arch_depth){.date = case_day(&bench->maker, ago),
                               .arch = ARCH_UPPER,
                               .teeth = {16, 26},
                               .value = depth};
    return row;
}

static struct arch_segment *add_segments(struct bench *bench, int32_t ago)
{
    struct arch_segment *row = &bench->segments[bench->assessment.segment_count++];

    *row = (struct arch_segment){.date = case_day(&bench->maker, ago),
                                 .arch = ARCH_UPPER,
                                 .back_right = 21000,
                                 .front_right = 15000,
                                 .front_left = 15000,
                                 .back_left = 21000};
    return row;
}

/* Measured 12 days ago: 72.00 available; incisors 32.00, lower 23.00, so 77.00 are required. */
static void begin(struct bench *bench)
{
    static const int32_t codes[] = {12, 11, 21, 22, 42, 41, 31, 32};
    static const um widths[] = {7000, 9000, 9000, 7000, 6000, 5500, 5500, 6000};

    memset(bench, 0, sizeof *bench);
    case_begin(&bench->maker);
    bench->assessment = (struct assessment){.tooth_widths = bench->teeth,
                                            .segments = bench->segments,
                                            .depths = bench->depths,
                                            .plans = bench->plans};
    for (size_t i = 0; i < sizeof codes / sizeof codes[0]; i++)
        add_tooth(bench, 12, codes[i], widths[i]);
    add_segments(bench, 12);
}

static const struct plan_arch *work_out(struct bench *bench)
{
    const struct history *history = &bench->maker.history;
    struct lines lines = {0};

    text_clear(&bench->told);
    plan_choice_recorded(history, &bench->assessment, ARCH_UPPER, bench->maker.today,
                         &bench->choice);
    assert_true(plan_work_out(history, &bench->assessment, &bench->choice, &bench->others, DAY_NONE,
                              bench->maker.today, &bench->arena, &bench->arch));
    assert_true(plan_tell_arch(&bench->arch, bench->maker.today, &bench->arena, &lines));
    for (size_t i = 0; i < lines.count; i++)
        text_addf(&bench->told, "%s\n", lines.line[i]);
    assert_null(strstr(text_string(&bench->told), "nan"));
    assert_null(strstr(text_string(&bench->told), "inf"));
    return &bench->arch;
}

static void end(struct bench *bench)
{
    arena_release(&bench->arena);
    text_release(&bench->told);
}

static void says(const struct bench *bench, const char *sentence)
{
    if (strstr(text_string(&bench->told), sentence) == NULL)
        fail_msg("not told: %s\n%s", sentence, text_string(&bench->told));
}

static void the_width_and_depth_of_the_day_of_the_segments(void **state)
{
    struct bench bench;

    (void)state;
    begin(&bench);
    case_width(&bench.maker, ARCH_UPPER, 200, 35000);
    case_width(&bench.maker, ARCH_UPPER, 20, 36000);
    case_width(&bench.maker, ARCH_UPPER, 20, 36100);
    case_width(&bench.maker, ARCH_UPPER, 2, 39000);
    case_width(&bench.maker, ARCH_UPPER, -3, 47000); /* not yet */
    add_depth(&bench, 100, 27000);
    add_depth(&bench, 12, 29000);
    add_depth(&bench, 12, 29101);
    add_depth(&bench, 3, 31000);
    add_depth(&bench, 13, 24000)->teeth = (struct teeth){15, 25};
    work_out(&bench);
    assert_int_equal(bench.arch.start.value, 36050);
    assert_int_equal(bench.arch.start.repeats, 2);
    assert_int_equal(bench.arch.now.value, 39000);
    assert_int_equal(bench.arch.depth.value, 29051); /* 29050.5 */
    assert_int_equal(bench.arch.space.balance, -5000);
    says(&bench, "room is SHORT");
    says(&bench, "Equation tanaka-johnston (none was chosen)");
    says(&bench, "whole arch widened at this depth: ellipse ");
    /* 5.00 / 0.70 = 7.1429, rounded up; 5.00 / 0.33 = 15.15 is beyond 15.00 */
    says(&bench, "0.33 more than 15.00");
    says(&bench, "0.70 7.15");
    says(&bench, "No target is chosen: a person does that");
    says(&bench, "None is offered from an index of tooth widths");
    says(&bench, "No course: no target is chosen.");
    end(&bench);
}

/* With nothing before the segments the oldest after them is taken, not the newest. */
static void the_nearest_width_after_the_segments(void **state)
{
    struct bench bench;

    (void)state;
    begin(&bench);
    case_width(&bench.maker, ARCH_UPPER, 2, 39000);
    case_width(&bench.maker, ARCH_UPPER, 9, 36500);
    add_depth(&bench, 1, 31000);
    add_depth(&bench, 8, 30000);
    work_out(&bench);
    assert_int_equal(bench.arch.start.value, 36500);
    assert_int_equal(bench.arch.depth.value, 30000);
    end(&bench);
}

static void what_is_missing_is_named(void **state)
{
    struct bench bench;

    (void)state;
    begin(&bench);
    work_out(&bench);
    says(&bench, "No width with its landmark is recorded: measure one.");
    case_width(&bench.maker, ARCH_UPPER, 20, 36000);
    work_out(&bench);
    says(&bench, "not worked out, for the depth is missing");
    bench.segments[0].front_left = UM_NONE;
    work_out(&bench);
    says(&bench, "the front left segment of the upper arch is not measured");
    bench.segments[0].front_left = 15000;
    bench.teeth[0].tooth = 16; /* 12; 22 stands for it */
    work_out(&bench);
    says(&bench, "12 7.00 (not measured: 22 stands for it)");
    bench.teeth[3].tooth = 17; /* 22 too */
    work_out(&bench);
    says(&bench, "tooth 12 is not measured, nor is 22");
    bench.teeth[0].value = 70000;
    work_out(&bench);
    says(&bench, "tooth 16 is recorded that no tooth has");
    bench.teeth[0].tooth = 99;
    work_out(&bench);
    says(&bench, "tooth 99 is recorded, and there is no such tooth");
    bench.teeth[0] = (struct tooth_width){.date = DAY_NONE};
    bench.segments[0].back_left = 210000;
    work_out(&bench);
    says(&bench, "A back left segment of the upper arch is recorded that no arch has");
    end(&bench);
}

/* The expander's measure and target, its days, and what was given since. */
static void a_case_under_way(void **state)
{
    struct bench bench;

    (void)state;
    begin(&bench);
    case_expander(&bench.maker, ARCH_UPPER, 60);
    case_width(&bench.maker, ARCH_UPPER, 61, 44000);
    case_width(&bench.maker, ARCH_UPPER, 14, 46000);
    case_visit(&bench.maker, VISIT_ACTIVATION, ARCH_UPPER, 38, 1000, 750);
    case_visit(&bench.maker, VISIT_ACTIVATION, ARCH_UPPER, 14, 1000, 2000);
    work_out(&bench);
    assert_int_equal(bench.choice.target, 50000);
    assert_int_equal(bench.arch.given, 2);
    assert_int_equal(bench.arch.given_right, 2000);
    assert_int_equal(bench.arch.given_left, 2750);
    /* 4.00 by full transfer is 2.00 a side, given on the day of the width already */
    assert_int_equal(bench.arch.course.activations.least, 0);
    says(&bench, "No further activation: what was given may reach the target by itself");
    says(&bench, "Active: begun ");
    /* A visit elsewhere whose amounts are not known counts as a full step. */
    bench.maker.visits[1].elsewhere = ANSWER_YES;
    bench.maker.visits[1].right = UM_NONE;
    bench.maker.visits[1].left = UM_NONE;
    work_out(&bench);
    assert_int_equal(bench.arch.given, 2);
    assert_int_equal(bench.arch.given_left, 750);
    assert_int_equal(bench.arch.course.activations.least, 0);
    bench.maker.visits[1].kind = VISIT_MISSED;
    work_out(&bench);
    assert_int_equal(bench.arch.given, 1);
    assert_int_equal(bench.arch.course.side_least, 2000);
    says(&bench, "Activations to come: at least 1");
    end(&bench);
}

/* What the others responded is told with their number, or that there are too few. From 44.00 to
 * 50.00 by 0.50 to 0.75: 4.00 to 6.00 a side. */
static void by_the_response_of_the_practice(void **state)
{
    struct plan_responded rows[20];
    struct bench bench;

    (void)state;
    begin(&bench);
    case_expander(&bench.maker, ARCH_UPPER, 60);
    case_width(&bench.maker, ARCH_UPPER, 61, 44000);
    for (int i = 0; i < 20; i++)
        rows[i] = (struct plan_responded){ARCH_UPPER, SITE_INTERMOLAR, LANDMARK_FOSSA, i,
                                          i < 10 ? 0.5 : 0.75};
    bench.others = (struct plan_others){.rows = rows, .count = 9};
    work_out(&bench);
    assert_int_equal(bench.arch.course.side_least, 3000);
    assert_true(bench.arch.course.full_transfer);
    says(&bench, "no response of its own yet: 9 other cases with a known response at this measure "
                 "(intermolar fossa), and it takes 10; none is published.");
    says(&bench, "at least 3.00 mm (both sides). This is the least, at full transfer");
    bench.others.count = 20;
    work_out(&bench);
    assert_int_equal(bench.arch.course.side_least, 4000);
    assert_int_equal(bench.arch.course.side_most, 6000);
    says(&bench, "quartiles 0.50 to 0.75, median 0.62.");
    says(&bench, "that of 20 other cases with this arch and measure: upper intermolar fossa.");
    says(&bench, "4.00 to 6.00 mm (both sides). By the practice's own response.");
    assert_null(strstr(text_string(&bench.told), "full transfer"));
    for (int i = 0; i < 12; i++)
        rows[i].arch = ARCH_LOWER;
    work_out(&bench);
    says(&bench, "that of 20 arches, upper and lower together, of 20 other cases with this "
                 "measure: intermolar fossa; the upper arch alone has fewer than 10.");
    for (int i = 0; i < 20; i++)
        rows[i].response = -0.1;
    work_out(&bench);
    assert_true(bench.arch.course.full_transfer);
    says(&bench, "no range of a gain, over 20 other cases (intermolar fossa), so it is not used.");
    for (int i = 0; i < 20; i++)
        rows[i].response = i < 10 ? 0 : 0.5;
    work_out(&bench);
    assert_int_equal(bench.arch.course.side_most, UM_NONE);
    says(&bench, "at least 6.00 mm (both sides). By the practice's own response, whose lower "
                 "quartile is so small that there is no upper end.");
    for (int i = 0; i < 20; i++)
        rows[i].response = 0.001;
    work_out(&bench);
    assert_int_equal(bench.arch.course.refusal, PLAN_TOO_LONG);
    says(&bench, "more than ten years");
    says(&bench, "quartiles 0.00 to 0.00");
    end(&bench);
}

/* An arch that is done is planned no further; a rest and a repair are not the end. */
static void when_it_is_over(void **state)
{
    struct bench bench;
    struct expander *expander;

    (void)state;
    begin(&bench);
    expander = case_expander(&bench.maker, ARCH_UPPER, 60);
    case_width(&bench.maker, ARCH_UPPER, 14, 46000);
    expander->out_on = bench.maker.today - 3;
    expander->out_reason = OUT_REST;
    work_out(&bench);
    assert_false(bench.arch.over);
    assert_false(bench.arch.course.phases[PHASE_FIT].done); /* to be fitted again */
    expander->out_reason = OUT_TARGET;
    work_out(&bench);
    assert_true(bench.arch.over);
    says(&bench, "The active treatment of this arch is over");
    expander->out_on = bench.maker.today + 1; /* not yet */
    assert_false(work_out(&bench)->over);
    expander->passive_on = bench.maker.today;
    assert_true(work_out(&bench)->over);
    expander->passive_on = DAY_NONE;
    bench.maker.casefile.closed_on = bench.maker.today - 1;
    assert_true(work_out(&bench)->over);
    end(&bench);
}

/* The plan's own choice goes before the expander's; that they differ is said. */
static void a_saved_plan_is_the_choice(void **state)
{
    struct bench bench;

    (void)state;
    begin(&bench);
    case_expander(&bench.maker, ARCH_UPPER, 60);
    case_width(&bench.maker, ARCH_UPPER, 61, 44000);
    bench.plans[0] = (struct plan){.arch = ARCH_UPPER,
                                   .equation = EQUATION_SPAIN_MALE,
                                   .site = SITE_INTERMOLAR,
                                   .landmark = LANDMARK_FOSSA,
                                   .teeth = {16, 26},
                                   .target = 48000};
    bench.assessment.plan_count = 1;
    work_out(&bench);
    assert_int_equal(bench.choice.target, 48000);
    assert_int_equal(bench.arch.space.equation, EQUATION_SPAIN_MALE);
    says(&bench, "The expander's own target is another: 50.00 mm");
    bench.plans[0].target = 50000;
    work_out(&bench);
    assert_null(strstr(text_string(&bench.told), "own target"));
    bench.plans[0].landmark = LANDMARK_GINGIVAL;
    work_out(&bench);
    says(&bench, "own target is by another measure: 50.00 mm intermolar fossa 16-26");
    says(&bench, "No width of the planned measure is recorded");
    end(&bench);
}

/* lower_after_days (90) after the upper's fit, recorded or planned. */
static void the_lower_arch_follows(void **state)
{
    struct bench bench;

    (void)state;
    begin(&bench);
    case_width(&bench.maker, ARCH_UPPER, 61, 44000);
    work_out(&bench);
    assert_int_equal(plan_fit_not_before(&bench.maker.history, &bench.arch, ARCH_LOWER), DAY_NONE);
    bench.plans[0] = (struct plan){.arch = ARCH_UPPER, .target = 48000};
    bench.assessment.plan_count = 1;
    work_out(&bench);
    assert_int_equal(plan_fit_not_before(&bench.maker.history, &bench.arch, ARCH_LOWER),
                     bench.maker.today + 7 + 90);
    assert_int_equal(plan_fit_not_before(&bench.maker.history, &bench.arch, ARCH_UPPER), DAY_NONE);
    case_expander(&bench.maker, ARCH_UPPER, 60);
    work_out(&bench);
    assert_int_equal(plan_fit_not_before(&bench.maker.history, &bench.arch, ARCH_LOWER),
                     bench.maker.today - 60 + 90);
    end(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_width_and_depth_of_the_day_of_the_segments),
        cmocka_unit_test(the_nearest_width_after_the_segments),
        cmocka_unit_test(what_is_missing_is_named),
        cmocka_unit_test(a_case_under_way),
        cmocka_unit_test(by_the_response_of_the_practice),
        cmocka_unit_test(when_it_is_over),
        cmocka_unit_test(a_saved_plan_is_the_choice),
        cmocka_unit_test(the_lower_arch_follows),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
