/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which widths make a trend, what is refused, and that nothing is ever no number; certified data:
 * tests/reference/regression_test.c. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>

#include "case_maker.h"
#include "springline/core/trend.h"

enum { MANY = TREND_POINTS_MAX + 1 };

static enum trend_refusal refused(double *weeks, double *widths, size_t count)
{
    struct trend_points points = {weeks, widths, count};
    struct trend trend = {.points = 99};

    enum trend_refusal refusal = trend_fit(&points, &trend);
    assert_int_equal(trend.points, refusal == TREND_DRAWN ? count : 0);
    return refusal;
}

static void too_little_is_refused(void **state)
{
    static double weeks[MANY], widths[MANY];

    (void)state;
    for (int i = 0; i < MANY; i++) {
        weeks[i] = i;
        widths[i] = 36;
    }
    assert_int_equal(refused(weeks, widths, 0), TREND_FEW);
    assert_int_equal(refused(weeks, widths, 2), TREND_FEW);
    assert_int_equal(refused(weeks, widths, 6), TREND_SHORT); /* 0 to 5 weeks */
    assert_int_equal(refused(weeks, widths, 7), TREND_DRAWN); /* 0 to 6 */
    assert_int_equal(refused(weeks, widths, 500), TREND_DRAWN);
    assert_int_equal(refused(weeks, widths, TREND_POINTS_MAX), TREND_DRAWN);
    assert_int_equal(refused(weeks, widths, MANY), TREND_MANY);
    for (int i = 0; i < 7; i++)
        weeks[i] = 4;
    assert_int_equal(refused(weeks, widths, 7), TREND_ONE_DATE);
    weeks[6] = 40;
    assert_int_equal(refused(weeks, widths, 7), TREND_DRAWN);
    widths[3] = NAN;
    assert_int_equal(refused(weeks, widths, 7), TREND_UNSOUND);
    widths[3] = 36;
    weeks[3] = INFINITY;
    assert_int_equal(refused(weeks, widths, 7), TREND_UNSOUND);
}

static void equal_widths_are_a_flat_line(void **state)
{
    double weeks[] = {1, 5, 9, 14}, widths[] = {36.25, 36.25, 36.25, 36.25};
    struct trend_points points = {weeks, widths, 4};
    struct interval interval;
    struct arena arena = {0};
    struct trend trend;

    (void)state;
    assert_int_equal(trend_fit(&points, &trend), TREND_DRAWN);
    assert_int_equal(trend_theil_sen(&points, &arena, &trend), TREND_DRAWN);
    assert_true(trend.slope_mm == 0 && trend.slope_se_mm == 0 && trend.residual_sd_mm == 0);
    assert_true(trend.theil_sen_slope_mm == 0 && trend.theil_sen_intercept_mm == 36.25);
    assert_false(trend_differs(&trend, 0.01));
    assert_true(trend_band(&trend, 30, 0.95, &interval));
    assert_true(interval.low == 36.25 && interval.high == 36.25);
    arena_release(&arena);
}

/* One slip of five: least squares goes with it, the median does not. */
static void a_slip_sets_the_lines_apart(void **state)
{
    double weeks[] = {4, 8, 12, 16, 20}, widths[] = {36, 37, 38, 39, 46};
    struct trend_points points = {weeks, widths, 5};
    struct arena arena = {0};
    struct trend trend;

    (void)state;
    assert_int_equal(trend_fit(&points, &trend), TREND_DRAWN);
    assert_false(trend_differs(&trend, 0.3)); /* Theil-Sen was not asked */
    assert_int_equal(trend_theil_sen(&points, &arena, &trend), TREND_DRAWN);
    assert_true(fabs(trend.theil_sen_slope_mm - 0.25) < 1e-9);
    assert_true(trend.slope_mm > 0.5);
    assert_true(trend_differs(&trend, 0.3));
    assert_false(trend_differs(&trend, 100)); /* too little for the error of a width */
    arena_release(&arena);
}

static void shares_that_are_none_give_no_interval(void **state)
{
    static const double shares[] = {0, 1, -0.5, 2, NAN};
    double weeks[] = {1, 5, 9}, widths[] = {36, 37, 39};
    struct trend_points points = {weeks, widths, 3};
    struct interval interval = {7, 7};
    const struct trend none = {.points = 0};
    struct trend trend;

    (void)state;
    assert_int_equal(trend_fit(&points, &trend), TREND_DRAWN);
    for (size_t i = 0; i < sizeof shares / sizeof shares[0]; i++) {
        assert_false(trend_band(&trend, 5, shares[i], &interval));
        assert_false(trend_slope_interval(&trend, shares[i], &interval));
    }
    assert_false(trend_band(&trend, NAN, 0.95, &interval));
    assert_false(trend_band(&none, 5, 0.95, &interval));
    assert_true(trend_slope_interval(&trend, 0.95, &interval));
    assert_true(interval.low < trend.slope_mm && trend.slope_mm < interval.high);
}

static struct trend_points points_of(const struct case_maker *maker, int32_t from, int32_t to,
                                     struct arena *arena)
{
    struct trend_points points;

    assert_true(trend_points(&maker->history, &maker->expanders[0], case_day(maker, from),
                             case_day(maker, to), arena, &points));
    return points;
}

static void points_are_dates_in_order(void **state)
{
    struct case_maker maker;
    struct arena arena = {0};

    (void)state;
    case_begin(&maker);
    case_expander(&maker, ARCH_UPPER, 100);
    case_width(&maker, ARCH_UPPER, 30, 38000);
    case_width(&maker, ARCH_UPPER, 100, 36000);
    case_width(&maker, ARCH_UPPER, 30, 38101); /* a repeat: averaged */
    case_width(&maker, ARCH_LOWER, 50, 31000); /* another arch */
    case_width(&maker, ARCH_UPPER, 60, 45000)->landmark = LANDMARK_CUSP;
    case_width(&maker, ARCH_UPPER, 58, UM_NONE); /* not measured */
    case_width(&maker, ARCH_UPPER, 65, 37000);
    case_width(&maker, ARCH_UPPER, 101, 35000); /* before the span asked for */
    struct trend_points points = points_of(&maker, 100, 0, &arena);
    assert_int_equal(points.count, 3);
    assert_true(points.weeks[0] == 0 && points.weeks[1] == 5 && points.weeks[2] == 10);
    assert_true(points.widths_mm[0] == 36 && points.widths_mm[1] == 37);
    assert_true(fabs(points.widths_mm[2] - 38.0505) < 1e-12);
    assert_int_equal(points_of(&maker, 100, 66, &arena).count, 1);
    maker.expanders[0].fitted_on = DAY_NONE;
    assert_int_equal(points_of(&maker, 100, 0, &arena).count, 0);
    arena_release(&arena);
}

static void a_span_ends_where_the_expander_does(void **state)
{
    struct case_maker maker;
    day from = 0, to = 0;

    (void)state;
    case_begin(&maker);
    struct expander *expander = case_expander(&maker, ARCH_UPPER, 100);
    assert_true(trend_span(expander, maker.today, &from, &to));
    assert_true(from == case_day(&maker, 100) && to == maker.today);
    expander->passive_on = case_day(&maker, 20);
    assert_true(trend_span(expander, maker.today, &from, &to));
    assert_int_equal(to, case_day(&maker, 20));
    expander->out_on = case_day(&maker, 40);
    assert_true(trend_span(expander, maker.today, &from, &to));
    assert_int_equal(to, case_day(&maker, 40));
    expander->out_on = case_day(&maker, -5); /* not yet */
    assert_true(trend_span(expander, case_day(&maker, 30), &from, &to));
    assert_int_equal(to, case_day(&maker, 30));
    assert_false(trend_span(expander, case_day(&maker, 101), &from, &to));
    expander->fitted_on = DAY_NONE;
    assert_false(trend_span(expander, maker.today, &from, &to));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(too_little_is_refused),
        cmocka_unit_test(equal_widths_are_a_flat_line),
        cmocka_unit_test(a_slip_sets_the_lines_apart),
        cmocka_unit_test(shares_that_are_none_give_no_interval),
        cmocka_unit_test(points_are_dates_in_order),
        cmocka_unit_test(a_span_ends_where_the_expander_does),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
