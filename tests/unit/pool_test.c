/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bad input and limits of pooling; published figures: tests/reference/pooling_test.c. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>

#include "springline/core/pool.h"

static void impossible_input_gives_no_pool(void **state)
{
    static const double rows[][2] = {{0.3, 0},   {0.3, -1},       {0.3, NAN},
                                     {NAN, 0.1}, {INFINITY, 0.1}, {0.3, 1e-200}};
    double values[] = {0.3, 0.4, 0.5}, errors[] = {0.1, 0.1, 0.1};
    struct pool pool = {.cases = 77};

    (void)state;
    assert_false(pool_fit(values, errors, 0, &pool));
    assert_false(pool_fit(values, errors, POOL_CASES_MIN - 1, &pool));
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        values[1] = rows[i][0];
        errors[1] = rows[i][1];
        assert_false(pool_fit(values, errors, 3, &pool));
    }
    assert_int_equal(pool.cases, 77);
}

/* Cases that differ less than their errors have no variance between them, and are drawn onto the
 * mean: what is left is what is not known of it. */
static void no_scatter_is_no_variance(void **state)
{
    const double values[] = {0.30, 0.31, 0.32, 0.29}, errors[] = {0.1, 0.1, 0.1, 0.1};
    double shrunk = 0, error = 0;
    struct pool pool;

    (void)state;
    assert_true(pool_fit(values, errors, 4, &pool));
    assert_true(pool.tau2 == 0 && pool.i2_percent == 0);
    assert_true(fabs(pool.mean - 0.305) < 1e-12 && fabs(pool.mean_se - 0.05) < 1e-12);
    assert_true(pool_shrink(&pool, 0.9, 0.1, &shrunk, &error));
    assert_true(fabs(shrunk - 0.305) < 1e-12 && fabs(error - 0.05) < 1e-12);
}

/* The shrunk value lies between the mean and the own one, the nearer to it the smaller its error,
 * and is never less sure than the own one by more than the mean is. */
static void shrinkage_lies_between(void **state)
{
    const double values[] = {0.1, 0.3, 0.5, 0.9}, errors[] = {0.05, 0.1, 0.05, 0.1};
    double last = -1;
    struct pool pool;

    (void)state;
    assert_true(pool_fit(values, errors, 4, &pool));
    assert_true(pool.tau2 > 0 && pool.i2_percent > 0 && pool.i2_percent < 100);
    for (int halves = 0; halves < 10; halves++) {
        double own_error = ldexp(1, -halves);
        double shrunk = 0, error = 0;
        assert_true(pool_shrink(&pool, 0.9, own_error, &shrunk, &error));
        assert_true(shrunk > pool.mean && shrunk < 0.9 && shrunk > last);
        assert_true(error > 0 &&
                    error * error <= own_error * own_error + pool.mean_se * pool.mean_se);
        last = shrunk;
    }
    assert_true(fabs(last - 0.9) < 1e-3);
}

static void shares_and_errors_that_are_none(void **state)
{
    const double values[] = {0.1, 0.3, 0.5}, errors[] = {0.05, 0.1, 0.05};
    const struct pool none = {.cases = 0};
    struct interval interval;
    double shrunk, error;
    struct pool pool;

    (void)state;
    assert_true(pool_fit(values, errors, 3, &pool));
    assert_true(pool_prediction(&pool, 0.8, &interval));
    assert_true(interval.low < pool.mean && pool.mean < interval.high);
    assert_false(pool_prediction(&pool, 0, &interval));
    assert_false(pool_prediction(&pool, 1, &interval));
    assert_false(pool_prediction(&pool, NAN, &interval));
    assert_false(pool_prediction(&none, 0.8, &interval));
    assert_false(pool_shrink(&none, 0.3, 0.1, &shrunk, &error));
    assert_false(pool_shrink(&pool, 0.3, 0, &shrunk, &error));
    assert_false(pool_shrink(&pool, NAN, 0.1, &shrunk, &error));
    assert_false(pool_shrink(&pool, 0.3, INFINITY, &shrunk, &error));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(impossible_input_gives_no_pool),
        cmocka_unit_test(no_scatter_is_no_variance),
        cmocka_unit_test(shrinkage_lies_between),
        cmocka_unit_test(shares_and_errors_that_are_none),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
