/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Which of the practice's arches a plan goes by. Quartiles by type 7 of Hyndman & Fan (Am Stat
 * 1996;50:361-365; from memory): the p-quantile of n sorted values lies at 1 + (n - 1) p. The
 * minimum of 10 cases is judgement, no source.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>

#include "springline/core/plan_response.h"

enum { ROWS = 64 };

struct bench {
    struct plan_responded rows[ROWS];
    size_t count;
    double work[ROWS];
    struct plan_practice practice;
};

/* A case with one arch more: intermolar fossa, a response in hundredths. */
static struct plan_responded *add(struct bench *bench, int32_t casefile, enum arch arch,
                                  int hundredths)
{
    struct plan_responded *row = &bench->rows[bench->count++];

    *row = (struct plan_responded){arch, SITE_INTERMOLAR, LANDMARK_FOSSA, casefile,
                                   hundredths / 100.0};
    return row;
}

static const struct plan_practice *choose(struct bench *bench, enum arch arch)
{
    plan_practice_choose(bench->rows, bench->count, arch, SITE_INTERMOLAR, LANDMARK_FOSSA,
                         bench->work, &bench->practice);
    return &bench->practice;
}

static void is_near(double found, double expected)
{
    if (!(fabs(found - expected) < 1e-12))
        fail_msg("%.17g, not %.17g", found, expected);
}

/* 0.31, 0.32 ... 0.40 backwards: quartiles at places 3.25 and 7.75, the median at 5.5. */
static void ten_cases_of_the_arch(void **state)
{
    struct bench bench = {.count = 0};

    (void)state;
    for (int i = 0; i < 10; i++)
        add(&bench, i, ARCH_UPPER, 40 - i);
    const struct plan_practice *practice = choose(&bench, ARCH_UPPER);
    assert_int_equal(practice->basis, PLAN_BASIS_ARCH);
    assert_int_equal(practice->cases, 10);
    assert_int_equal(practice->arches, 10);
    assert_int_equal(practice->response.cases, 10);
    is_near(practice->response.low, 0.3325);
    is_near(practice->response.high, 0.3775);
    is_near(practice->median, 0.355);
}

static void nine_are_none(void **state)
{
    struct bench bench = {.count = 0};

    (void)state;
    for (int i = 0; i < 9; i++)
        add(&bench, i, ARCH_UPPER, 40);
    const struct plan_practice *practice = choose(&bench, ARCH_UPPER);
    assert_int_equal(practice->basis, PLAN_BASIS_FEW);
    assert_int_equal(practice->cases, 9);
    assert_int_equal(practice->response.cases, 0);
    assert_true(practice->response.high == 0);
    bench.count = 0;
    assert_int_equal(choose(&bench, ARCH_UPPER)->cases, 0);
}

/* The other arch and another measure do not shift what the arch itself has enough of. */
static void others_are_kept_apart(void **state)
{
    struct bench bench = {.count = 0};

    (void)state;
    for (int i = 0; i < 10; i++) {
        add(&bench, i, ARCH_UPPER, 40);
        add(&bench, i, ARCH_LOWER, 90);
        add(&bench, i, ARCH_UPPER, 90)->landmark = LANDMARK_CUSP;
        add(&bench, i, ARCH_UPPER, 90)->site = SITE_INTERCANINE;
    }
    const struct plan_practice *practice = choose(&bench, ARCH_UPPER);
    assert_int_equal(practice->basis, PLAN_BASIS_ARCH);
    is_near(practice->response.low, 0.40);
    is_near(practice->response.high, 0.40);
    is_near(choose(&bench, ARCH_LOWER)->response.high, 0.90);
}

/* Nine cases with both arches, then one more; a case with both arches counts once for the minimum.
 */
static void both_arches_where_one_has_too_few(void **state)
{
    struct bench bench = {.count = 0};

    (void)state;
    for (int i = 0; i < 9; i++) {
        add(&bench, i, ARCH_UPPER, 40);
        add(&bench, i, ARCH_LOWER, 60);
    }
    assert_int_equal(choose(&bench, ARCH_LOWER)->basis, PLAN_BASIS_FEW);
    assert_int_equal(bench.practice.cases, 9);
    assert_int_equal(bench.practice.arches, 18);
    add(&bench, 9, ARCH_LOWER, 60)->landmark = LANDMARK_CUSP; /* never pooled */
    assert_int_equal(choose(&bench, ARCH_UPPER)->basis, PLAN_BASIS_FEW);
    add(&bench, 10, ARCH_LOWER, 60);
    assert_int_equal(choose(&bench, ARCH_UPPER)->basis, PLAN_BASIS_BOTH);
    assert_int_equal(bench.practice.cases, 10);
    assert_int_equal(bench.practice.arches, 19);
    is_near(bench.practice.response.low, 0.40);
    is_near(bench.practice.response.high, 0.60);
    assert_int_equal(choose(&bench, ARCH_LOWER)->basis, PLAN_BASIS_ARCH); /* ten of its own */
}

/* No gain, or one that no wire gives: not used, and not hidden behind the other arch. */
static void what_is_no_range_of_a_gain(void **state)
{
    static const int hundredths[] = {-20, 0, 501};
    struct bench bench = {.count = 0};

    (void)state;
    for (size_t i = 0; i < sizeof hundredths / sizeof hundredths[0]; i++) {
        bench.count = 0;
        for (int j = 0; j < 10; j++) {
            add(&bench, j, ARCH_UPPER, hundredths[i]);
            add(&bench, j, ARCH_LOWER, 40);
        }
        assert_int_equal(choose(&bench, ARCH_UPPER)->basis, PLAN_BASIS_UNSOUND);
        assert_int_equal(bench.practice.cases, 10);
        assert_int_equal(bench.practice.response.cases, 0);
    }
    /* A low end below zero is a range still: the course then has no upper end. */
    for (int j = 0; j < 10; j++)
        bench.rows[2 * j].response = j < 5 ? -0.1 : 0.5;
    assert_int_equal(choose(&bench, ARCH_UPPER)->basis, PLAN_BASIS_ARCH);
    is_near(bench.practice.response.low, -0.1);
}

static void an_unknown_measure_has_none(void **state)
{
    struct bench bench = {.count = 0};

    (void)state;
    for (int i = 0; i < 10; i++)
        add(&bench, i, ARCH_UPPER, 40)->landmark = LANDMARK_NONE;
    plan_practice_choose(bench.rows, bench.count, ARCH_UPPER, SITE_INTERMOLAR, LANDMARK_NONE,
                         bench.work, &bench.practice);
    assert_int_equal(bench.practice.basis, PLAN_BASIS_FEW);
    assert_int_equal(bench.practice.cases, 0);
    assert_int_equal(choose(&bench, ARCH_NONE)->basis, PLAN_BASIS_FEW);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ten_cases_of_the_arch),
        cmocka_unit_test(nine_are_none),
        cmocka_unit_test(others_are_kept_apart),
        cmocka_unit_test(both_arches_where_one_has_too_few),
        cmocka_unit_test(what_is_no_range_of_a_gain),
        cmocka_unit_test(an_unknown_measure_has_none),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
