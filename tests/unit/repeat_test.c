/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The error of a width from repeat pairs: which one is said, its bias, and bad input. The published
 * figures: tests/reference/dahlberg_test.c. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>

#include "springline/core/repeat.h"

enum { PUBLISHED = 300 };

/* 10 pairs: domain.md 2. 0.30 mm gives an MDC of 0.83 mm, 1.96 sqrt(2) 0.30 = 0.8316. */
static void below_ten_pairs_the_published_error_stands(void **state)
{
    struct repeat_sums sums = {.pairs = 9, .sum_um = 0, .sum_squares_um2 = 9 * 160000};
    struct repeat_error error;

    (void)state;
    assert_true(repeat_error_of(&sums, PUBLISHED, &error));
    assert_false(error.own);
    assert_int_equal(error.error, PUBLISHED);
    assert_int_equal(error.mdc, 832);
    assert_true(fabs(error.dahlberg_um - 400 / sqrt(2)) < 1e-9); /* said, not used */
    sums = (struct repeat_sums){.pairs = 10, .sum_squares_um2 = 10 * 160000};
    assert_true(repeat_error_of(&sums, PUBLISHED, &error));
    assert_true(error.own);
    assert_int_equal(error.error, 280);
    assert_int_equal(error.mdc, 776);
}

static void without_pairs_nothing_is_said_of_the_practice(void **state)
{
    const struct repeat_sums none = {0}, one = {1, 200, 40000};
    struct repeat_error error;

    (void)state;
    assert_true(repeat_error_of(&none, PUBLISHED, &error));
    assert_int_equal(error.pairs, 0);
    assert_false(error.own);
    assert_false(error.has_bias);
    assert_true(error.dahlberg_um == 0);
    assert_true(repeat_error_of(&one, PUBLISHED, &error));
    assert_false(error.has_bias);
    assert_true(fabs(error.dahlberg_um - 200 / sqrt(2)) < 1e-9);
}

/* Every second reading 0.20 mm larger: all of it is bias, and the interval has no width. */
static void a_constant_difference_is_bias(void **state)
{
    const struct repeat_sums sums = {12, 12 * 200, 12 * 40000};
    struct repeat_error error;

    (void)state;
    assert_true(repeat_error_of(&sums, PUBLISHED, &error));
    assert_true(error.has_bias && error.bias_um == 200);
    assert_true(error.bias_um_t95.low == 200 && error.bias_um_t95.high == 200);
    assert_int_equal(error.error, 140); /* 0.2 / sqrt(2), with the bias in it */
}

static void impossible_sums_are_refused(void **state)
{
    static const struct repeat_sums rows[] = {
        {-1, 0, 0}, {5, 0, -1}, {0, 3, 9}, {0, 0, 9}, {10, 1000, 99999}};
    const struct repeat_sums good = {10, 1000, 100000};
    struct repeat_error error = {.pairs = 7};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_false(repeat_error_of(&rows[i], PUBLISHED, &error));
    assert_false(repeat_error_of(&good, 0, &error));
    assert_false(repeat_error_of(&good, -1, &error));
    assert_false(repeat_error_of(&good, UM_NONE, &error));
    assert_int_equal(error.pairs, 7);
    assert_true(repeat_error_of(&good, PUBLISHED, &error));
}

static void landmarks_are_pooled_as_differences(void **state)
{
    struct repeat_sums by_landmark[LANDMARK_COUNT] = {{0}};

    (void)state;
    by_landmark[LANDMARK_FOSSA] = (struct repeat_sums){6, 600, 90000};
    by_landmark[LANDMARK_TUBE] = (struct repeat_sums){4, -200, 30000};
    struct repeat_sums all = repeat_pool(by_landmark);
    assert_int_equal(all.pairs, 10);
    assert_int_equal(all.sum_um, 400);
    assert_int_equal(all.sum_squares_um2, 120000);
}

static void a_change_is_real_only_beyond_the_mdc(void **state)
{
    (void)state;
    assert_int_equal(repeat_change_of(833, 832), CHANGE_REAL);
    assert_int_equal(repeat_change_of(832, 832), CHANGE_WITHIN_ERROR);
    assert_int_equal(repeat_change_of(0, 832), CHANGE_WITHIN_ERROR);
    assert_int_equal(repeat_change_of(-832, 832), CHANGE_WITHIN_ERROR);
    assert_int_equal(repeat_change_of(-833, 832), CHANGE_REAL);
    assert_int_equal(repeat_change_of(UM_NONE, 832), CHANGE_UNKNOWN);
    assert_int_equal(repeat_change_of(500, UM_NONE), CHANGE_UNKNOWN);
    assert_int_equal(repeat_change_of(500, -1), CHANGE_UNKNOWN);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(below_ten_pairs_the_published_error_stands),
        cmocka_unit_test(without_pairs_nothing_is_said_of_the_practice),
        cmocka_unit_test(a_constant_difference_is_bias),
        cmocka_unit_test(impossible_sums_are_refused),
        cmocka_unit_test(landmarks_are_pooled_as_differences),
        cmocka_unit_test(a_change_is_real_only_beyond_the_mdc),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
