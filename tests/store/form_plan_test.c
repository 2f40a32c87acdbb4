/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A plan from measurements to the saved record, over a real store. The figures of space analysis:
 * incisors 32.00, X = 23.00, so a side is 22.50 and 77.00 mm are required (Tanaka & Johnston 1974,
 * published); 72.00 available, so 5.00 are short.
 */
#include "form_bench.h"

#include <gsl/gsl_errno.h>

#include "springline/app/plan_view.h"

static void fill_teeth(struct form_bench *bench, const char *arch, const char *const teeth[4][2])
{
    form_bench_open(bench, FORM_TEETH);
    form_bench_fill(bench, "arch", arch);
    form_bench_fill(bench, "date", "2026-05-20");
    form_bench_fill(bench, "method", "cast");
    for (int i = 0; i < 4; i++)
        form_bench_fill(bench, teeth[i][0], teeth[i][1]);
    form_bench_save(bench, "");
}

static void measure_teeth(struct form_bench *bench)
{
    static const char *const upper[4][2] = {
        {"12 mm", "7"}, {"11 mm", "9"}, {"21 mm", "9"}, {"22 mm", "7"}};
    static const char *const lower[4][2] = {
        {"42 mm", "6"}, {"41 mm", "5.5"}, {"31 mm", "5.5"}, {"32 mm", "6"}};

    fill_teeth(bench, "upper", upper);
    fill_teeth(bench, "lower", lower);
}

static void measure_arch(struct form_bench *bench)
{
    form_bench_open(bench, FORM_ARCH_SIZE);
    form_bench_fill(bench, "arch", "upper");
    form_bench_fill(bench, "date", "2026-05-20");
    form_bench_fill(bench, "method", "cast");
    form_bench_fill(bench, "right back mm", "21");
    form_bench_fill(bench, "right front mm", "15");
    form_bench_fill(bench, "left front mm", "15");
    form_bench_fill(bench, "left back mm", "21");
    form_bench_fill(bench, "depth mm", "30");
    form_bench_fill(bench, "line between", "");
    form_bench_save(bench, "");
}

/* An arch 36.00 wide 10 days ago, measured, with nothing in it. */
static void begin(struct form_bench *bench, const char *name)
{
    case_begin(&bench->maker);
    case_width(&bench->maker, ARCH_UPPER, 10, 36000);
    form_bench_keep(bench, name);
    measure_teeth(bench);
    measure_arch(bench);
}

static const struct plan *saved_plan(struct form_bench *bench, struct assessment *assessment)
{
    if (store_read_assessment(bench->kept.app.store, &bench->kept.casefile, STORE_NOW,
                              &bench->arena, assessment, &bench->error) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
    assert_int_equal(assessment->plan_count, 1);
    return &assessment->plans[0];
}

static void fill_plan(struct form_bench *bench, const char *target)
{
    form_bench_open(bench, FORM_PLAN);
    form_bench_fill(bench, "arch", "1");
    form_bench_fill(bench, "equation", "tanaka-johnston");
    form_bench_fill(bench, "site", "");
    form_bench_fill(bench, "landmark", "");
    form_bench_fill(bench, "teeth", "");
    form_bench_fill(bench, "target mm", target);
}

static void a_plan_is_worked_out_and_saved(void **state)
{
    struct form_bench bench = {0};
    struct assessment assessment;

    (void)state;
    begin(&bench, "plan_saved");
    fill_plan(&bench, "42,50");
    form_bench_says(&bench, "Balance: -5.00 mm: room is SHORT");
    form_bench_says(&bench, "whole arch widened");
    form_bench_says(&bench, "no upper end");
    form_bench_says(&bench, "the licensed clinician examines, decides");
    form_bench_save(&bench, "");
    const struct plan *plan = saved_plan(&bench, &assessment);
    assert_int_equal(plan->head.version, 1);
    assert_int_equal(plan->arch, ARCH_UPPER);
    assert_int_equal(plan->made_on, bench.maker.today);
    assert_int_equal(plan->equation, EQUATION_TANAKA_JOHNSTON);
    assert_int_equal(plan->balance, -5000);
    assert_int_equal(plan->landmark, LANDMARK_FOSSA);
    assert_int_equal(plan->start_width, 36000);
    assert_int_equal(plan->depth, 30000);
    assert_int_equal(plan->target, 42500);
    /* 6.50 by full transfer: 3.25 a side, 1.00 + 2.00 + 0.25; 21 days apart, measured after. */
    assert_int_equal(plan->activations_least, 3);
    assert_true(plan->activations_most < 0);
    assert_int_equal(plan->weeks_least, 9);
    assert_int_equal(plan->visits_least, 6);
    assert_int_equal(plan->separators_on, bench.maker.today);
    assert_int_equal(plan->bands_on, bench.maker.today + 7);
    assert_int_equal(plan->fit_on, bench.maker.today + 7);
    assert_int_equal(plan->active_from, bench.maker.today + 28);
    assert_int_equal(plan->active_to_earliest, bench.maker.today + 28 + 63);
    assert_int_equal(plan->active_to_latest, DAY_NONE);
    assert_int_equal(plan->retention_to_earliest, bench.maker.today + 28 + 63 + 180);
    form_bench_close(&bench);
}

/* Other cases of the practice, 36.00 to 40.00 or 42.00 for 8.00 mm given: 0.50 and 0.75. */
static void keep_others(struct form_bench *bench, int count)
{
    const struct id planned = bench->kept.casefile;

    for (int i = 0; i < count; i++) {
        struct case_maker other;
        char chart[16], name[16];

        case_begin(&other);
        case_expander(&other, ARCH_UPPER, 180);
        case_width(&other, ARCH_UPPER, 180, 36000);
        case_visit(&other, VISIT_ACTIVATION, ARCH_UPPER, 100, 2000, 2000);
        case_visit(&other, VISIT_ACTIVATION, ARCH_UPPER, 60, 2000, 2000);
        case_width(&other, ARCH_UPPER, 10, i % 2 == 0 ? 40000 : 42000);
        snprintf(chart, sizeof chart, "P-9%03d", i);
        snprintf(name, sizeof name, "C-9%03d", i);
        other.patient.chart = chart;
        other.casefile.number = name;
        store_case_keep(&bench->kept, &other);
    }
    bench->kept.casefile = planned;
}

static void nine_others_are_too_few(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    begin(&bench, "plan_few");
    keep_others(&bench, 9);
    fill_plan(&bench, "42.50");
    form_bench_says(&bench, "9 other cases with a known response");
    form_bench_says(&bench, "at full transfer");
    assert_non_null(strstr(form_bench_field(&bench, "target mm")->help,
                           "full transfer, the least: 9 other cases of 10"));
    form_bench_close(&bench);
}

/* 6.50 more by 0.75 and by 0.50: 4.33 and 6.50 a side, so 4.50 (grains of 0.25) and 6.50. At steps
 * of 1.00, 2.00, 2.00 that is 3 activations 21 days apart, and 1.00, 2.00, 2.00, 2.00 is 4, 28 days
 * apart; the last visit measures. */
static void it_goes_by_what_the_others_responded(void **state)
{
    struct form_bench bench = {0};
    struct assessment assessment;

    (void)state;
    begin(&bench, "plan_others");
    keep_others(&bench, 12);
    fill_plan(&bench, "42.50");
    form_bench_says(&bench, "quartiles 0.50 to 0.75, median 0.62");
    form_bench_says(&bench, "12 other cases with this arch and measure: upper intermolar fossa");
    assert_non_null(strstr(form_bench_field(&bench, "target mm")->help,
                           "the practice's response, 0.50 to 0.75 (12 cases)"));
    form_bench_save(&bench, "");
    const struct plan *plan = saved_plan(&bench, &assessment);
    assert_int_equal(plan->activations_least, 3);
    assert_int_equal(plan->activations_most, 4);
    assert_int_equal(plan->weeks_least, 9);
    assert_int_equal(plan->weeks_most, 16);
    assert_int_equal(plan->visits_least, 6);
    assert_int_equal(plan->visits_most, 3 + 4 + 1);
    assert_true(plan->active_to_latest > plan->active_to_earliest);
    assert_true(plan->retention_to_latest > plan->retention_to_earliest);
    form_bench_close(&bench);
}

/* The case that is planned for is none of the others. */
static void the_case_itself_is_left_out(void **state)
{
    struct form_bench bench = {0};
    struct plan_others others;
    struct id last;

    (void)state;
    begin(&bench, "plan_itself");
    keep_others(&bench, 3);
    if (plan_others_read(&bench.kept.app, &bench.kept.casefile, &bench.arena, &others,
                         &bench.error) != STATUS_OK)
        fail_msg("%s", bench.error.sentence);
    assert_int_equal(others.count, 3);
    assert_true(others.rows[0].response == 0.5 && others.rows[1].response == 0.75);
    if (store_find_case(bench.kept.app.store, "C-9001", STORE_NOW, &last, &bench.error) !=
        STATUS_OK)
        fail_msg("%s", bench.error.sentence);
    if (plan_others_read(&bench.kept.app, &last, &bench.arena, &others, &bench.error) != STATUS_OK)
        fail_msg("%s", bench.error.sentence);
    assert_int_equal(others.count, 2);
    assert_true(others.rows[0].response == 0.5 && others.rows[1].response == 0.5);
    form_bench_close(&bench);
}

/* The widths that would give the room stand in the help; nothing stands in the field. */
static void a_target_is_never_offered(void **state)
{
    struct form_bench bench = {0};
    const struct form_field *target;

    (void)state;
    begin(&bench, "plan_target");
    form_bench_open(&bench, FORM_PLAN);
    form_bench_fill(&bench, "arch", "1");
    form_bench_fill(&bench, "equation", "tanaka-johnston");
    form_bench_fill(&bench, "site", "");
    form_bench_fill(&bench, "landmark", "");
    form_bench_fill(&bench, "teeth", "");
    target = form_bench_field(&bench, "target mm");
    assert_string_equal(target->entered, "");
    assert_string_equal(target->if_empty, "");
    /* 5.00 mm short: 5.00 / 0.70 = 7.1429 */
    assert_non_null(strstr(target->help, "by published ratios at least 43.15"));
    assert_non_null(strstr(target->help, "by the curves "));
    form_bench_fill(&bench, "target mm", "36");
    form_bench_refused(&bench, "not above the width now, 36.00 mm");
    form_bench_fill(&bench, "target mm", "52");
    form_bench_refused(&bench, "too far above");
    form_bench_fill(&bench, "target mm", "42");
    form_bench_fill(&bench, "equation", "none");
    form_bench_refused(&bench, "choose the equation");
    form_bench_close(&bench);
}

/* Made again it is another version, with a reason; the other arch has a plan of its own. */
static void a_plan_is_made_again(void **state)
{
    struct form_bench bench = {0};
    struct assessment assessment;

    (void)state;
    begin(&bench, "plan_again");
    fill_plan(&bench, "42.50");
    form_bench_save(&bench, "");
    form_bench_open(&bench, FORM_PLAN);
    form_bench_fill(&bench, "arch", "upper");
    assert_string_equal(form_bench_field(&bench, "target mm")->entered, "42.50");
    form_bench_fill(&bench, "target mm", "41");
    form_bench_save(&bench, "less is enough");
    const struct plan *plan = saved_plan(&bench, &assessment);
    assert_int_equal(plan->head.version, 2);
    assert_string_equal(plan->head.reason, "less is enough");
    assert_int_equal(plan->target, 41000);
    assert_int_equal(plan->activations_least, 2); /* 2.50 a side */
    form_bench_open(&bench, FORM_PLAN);
    form_bench_fill(&bench, "arch", "upper");
    form_bench_fill(&bench, "arch", "lower"); /* none there: nothing of the upper is left */
    assert_string_equal(form_bench_field(&bench, "target mm")->entered, "");
    form_bench_close(&bench);
}

/* What the view says of it, before and after. */
static void the_view_says_what_was_planned_and_what_happened(void **state)
{
    struct form_bench bench = {0};
    struct lines lines = {0};
    struct text all = {0};

    (void)state;
    begin(&bench, "plan_view");
    fill_plan(&bench, "42.50");
    form_bench_save(&bench, "");
    bench.kept.app.today += 30;
    if (plan_view_lines(&bench.kept.app, &bench.kept.casefile, &bench.arena, &lines,
                        &bench.error) != STATUS_OK)
        fail_msg("%s", bench.error.sentence);
    for (size_t i = 0; i < lines.count; i++)
        text_addf(&all, "%s\n", lines.line[i]);
    assert_non_null(strstr(text_string(&all), "Plan of 2026-06-01: from 36.00 to 42.50 mm, at "
                                              "least 3 activations"));
    assert_non_null(strstr(text_string(&all), "Fit planned for 2026-06-08: OVERDUE"));
    assert_non_null(strstr(text_string(&all), "Activations given: none yet."));
    assert_non_null(strstr(text_string(&all), app_caution));
    text_release(&all);
    form_bench_close(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_plan_is_worked_out_and_saved),
        cmocka_unit_test(nine_others_are_too_few),
        cmocka_unit_test(it_goes_by_what_the_others_responded),
        cmocka_unit_test(the_case_itself_is_left_out),
        cmocka_unit_test(a_target_is_never_offered),
        cmocka_unit_test(a_plan_is_made_again),
        cmocka_unit_test(the_view_says_what_was_planned_and_what_happened),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
