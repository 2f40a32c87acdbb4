/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The line through the widths, against certified and published data. */
#include "table.h"

#include <gsl/gsl_errno.h>
#include <math.h>

#include "springline/core/trend.h"

enum { NORRIS = 36, CHILDREN = 27, AGES = 4 };

/* Relative, but for values near zero. */
static void agrees(const char *what, double found, double wanted, double tolerance)
{
    double scale = fabs(wanted) > 1 ? fabs(wanted) : 1;

    if (!(fabs(found - wanted) <= tolerance * scale))
        fail_msg("%s: %.15g, expected %.15g", what, found, wanted);
}

/* Each certified value to 10 significant digits. */
static void agrees_with_nist_norris(void **state)
{
    double x[NORRIS], y[NORRIS];
    struct trend_points points = {x, y, 0};
    struct trend trend;
    struct table table;

    (void)state;
    table_open(&table, "norris.csv", "x,y");
    while (table_next(&table, NORRIS)) {
        assert_true(points.count < NORRIS);
        x[points.count] = table_number(&table, 0);
        y[points.count++] = table_number(&table, 1);
    }
    assert_int_equal(trend_fit(&points, &trend), TREND_DRAWN);
    const double found[] = {trend.intercept_mm, trend.intercept_se_mm, trend.slope_mm,
                            trend.slope_se_mm, trend.residual_sd_mm};
    table_open(&table, "norris_certified.csv", "intercept,intercept_se,slope,slope_se,residual_sd");
    while (table_next(&table, 1)) {
        for (int i = 0; i < table.columns; i++) {
            double wanted = table_number(&table, i);
            if (!(fabs(found[i] - wanted) <= 0.5e-10 * fabs(wanted)))
                fail_msg("column %d: %.16g, certified %.16g", i, found[i], wanted);
        }
    }
}

static void read_child(struct table *table, struct trend_points *points, char name[8])
{
    points->count = 0;
    for (int i = 0; i < AGES; i++) {
        assert_int_equal(table_next(table, CHILDREN * AGES), 1);
        if (i == 0)
            (void)snprintf(name, 8, "%s", table->cells[0]);
        assert_string_equal(table->cells[0], name);
        points->weeks[points->count] = table_number(table, 2);
        points->widths_mm[points->count++] = table_number(table, 3);
    }
}

/* Slopes, standard errors, residual SDs and Theil-Sen lines to 1e-9. */
static void agrees_with_r_on_27_children(void **state)
{
    double x[AGES], y[AGES];
    struct trend_points points = {x, y, 0};
    struct table data, slopes;
    struct arena arena = {0};
    int children = 0;

    (void)state;
    table_open(&data, "orthodont.csv", "Subject,Sex,age,distance");
    table_open(&slopes, "orthodont_slopes.csv",
               "Subject,Sex,n,intercept,slope,slope_se,resid_sd,theil_sen,ts_intercept");
    while (table_next(&slopes, CHILDREN)) {
        struct trend trend;
        char name[8];
        read_child(&data, &points, name);
        assert_string_equal(slopes.cells[0], name);
        assert_int_equal(trend_fit(&points, &trend), TREND_DRAWN);
        assert_int_equal(trend_theil_sen(&points, &arena, &trend), TREND_DRAWN);
        agrees(name, trend.intercept_mm, table_number(&slopes, 3), 1e-9);
        agrees(name, trend.slope_mm, table_number(&slopes, 4), 1e-9);
        agrees(name, trend.slope_se_mm, table_number(&slopes, 5), 1e-9);
        agrees(name, trend.residual_sd_mm, table_number(&slopes, 6), 1e-9);
        agrees(name, trend.theil_sen_slope_mm, table_number(&slopes, 7), 1e-9);
        agrees(name, trend.theil_sen_intercept_mm, table_number(&slopes, 8), 1e-9);
        /* F01 0.375 against 0.542; M09, one wild reading, 0.975 against 0.9375, error 1.03. */
        if (strcmp(name, "F01") == 0)
            assert_true(trend_differs(&trend, 0.30));
        if (strcmp(name, "M09") == 0)
            assert_false(trend_differs(&trend, 0.30));
        children++;
    }
    assert_int_equal(table_next(&data, CHILDREN * AGES), 0);
    assert_int_equal(children, CHILDREN);
    arena_release(&arena);
}

/*
 * The 95 % band of M01 at 8, 11 and 14 years and the interval of the slope: predict(lm(distance ~
 * age), interval = "confidence") and confint of R 4.2.2, run once on orthodont.csv.
 */
static void band_agrees_with_r(void **state)
{
    static const double bands[][3] = {
        {8, 19.3815228782, 30.4184771218},
        {11, 24.452079132, 31.047920868},
        {14, 25.0815228782, 36.1184771218},
    };
    double x[] = {8, 10, 12, 14}, y[] = {26, 25, 29, 31};
    struct trend_points points = {x, y, AGES};
    struct interval interval;
    struct trend trend;

    (void)state;
    assert_int_equal(trend_fit(&points, &trend), TREND_DRAWN);
    for (size_t i = 0; i < sizeof bands / sizeof bands[0]; i++) {
        assert_true(trend_band(&trend, bands[i][0], 0.95, &interval));
        agrees("low", interval.low, bands[i][1], 1e-9);
        agrees("high", interval.high, bands[i][2], 1e-9);
    }
    assert_true(trend_slope_interval(&trend, 0.95, &interval));
    agrees("slope, low", interval.low, -0.524875049032, 1e-9);
    agrees("slope, high", interval.high, 2.42487504903, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_nist_norris),
        cmocka_unit_test(agrees_with_r_on_27_children),
        cmocka_unit_test(band_agrees_with_r),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
