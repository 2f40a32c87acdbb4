/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Properties and bad input; the published figures: tests/reference. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>

#include "springline/core/statistics.h"

static void impossible_counts_give_no_interval(void **state)
{
    static const long rows[][2] = {{0, 0}, {1, 0}, {-1, 5}, {6, 5}, {0, -1}, {-2, -1}};
    struct interval interval = {7, 7};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_false(statistics_wilson(rows[i][0], rows[i][1], &interval));
    assert_true(interval.low == 7 && interval.high == 7);
}

/* For every count: inside 0 to 1, around the share, the mirror image of its complement, and
 * exactly 0 and 1 at the ends. */
static void intervals_are_sound(void **state)
{
    (void)state;
    for (long known = 1; known <= 200; known++)
        for (long met = 0; met <= known; met++) {
            struct interval interval, mirror;
            double share = (double)met / (double)known;

            assert_true(statistics_wilson(met, known, &interval));
            assert_true(statistics_wilson(known - met, known, &mirror));
            assert_true(interval.low >= 0 && interval.high <= 1);
            assert_true(interval.low <= share && share <= interval.high);
            assert_true(interval.low < interval.high);
            assert_true(fabs(interval.low - (1 - mirror.high)) < 1e-12);
            assert_int_equal(interval.low == 0, met == 0);
            assert_int_equal(interval.high == 1, met == known);
        }
}

static void dahlberg_by_hand(void **state)
{
    static const double differences[] = {0.3, -0.3, 0.3, 0.3};
    double error = 7;

    (void)state;
    assert_false(statistics_dahlberg(differences, 0, &error));
    assert_false(statistics_dahlberg(NULL, 0, &error));
    assert_true(error == 7);
    assert_true(statistics_dahlberg(differences, 4, &error));
    assert_true(fabs(error - 0.3 / sqrt(2)) < 1e-15);
    assert_true(statistics_dahlberg((const double[]){0, 0}, 2, &error));
    assert_true(error == 0);
    assert_true(statistics_mdc95(0) == 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(impossible_counts_give_no_interval),
        cmocka_unit_test(intervals_are_sound),
        cmocka_unit_test(dahlberg_by_hand),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
