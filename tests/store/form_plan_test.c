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
        cmocka_unit_test(a_target_is_never_offered),
        cmocka_unit_test(a_plan_is_made_again),
        cmocka_unit_test(the_view_says_what_was_planned_and_what_happened),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
