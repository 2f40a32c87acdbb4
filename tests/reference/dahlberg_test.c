/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "table.h"

#include <gsl/gsl_errno.h>
#include <math.h>

#include "springline/core/repeat.h"
#include "springline/core/statistics.h"

enum { SUBJECTS = 17 };

/* The differences of two columns. */
static void read_differences(int first, int second, double differences[SUBJECTS])
{
    struct table table;
    int count = 0;

    table_open(&table, "dahlberg_bland_altman.csv",
               "subject,large_first,large_second,mini_first,mini_second");
    while (table_next(&table, SUBJECTS)) {
        assert_true(count < SUBJECTS);
        differences[count++] = table_number(&table, first) - table_number(&table, second);
    }
}

/*
 * Errors computed in R from the same readings to 6 decimals; the paper's own within-subject SDs are
 * 15.3 and 19.9 (from memory, source not read). The third row is large against mini.
 */
static void agrees_with_r_on_published_pairs(void **state)
{
    static const struct {
        int first, second;
        double error, mdc;
    } rows[] = {
        {1, 2, 15.306669, 42.427922},
        {3, 4, 19.910831, 55.190007},
        {1, 3, 26.634785, 73.827857},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double differences[SUBJECTS], error = 0;

        read_differences(rows[i].first, rows[i].second, differences);
        assert_true(statistics_dahlberg(differences, SUBJECTS, &error));
        if (fabs(error - rows[i].error) > 0.6e-6 ||
            fabs(statistics_mdc95(error) - rows[i].mdc) > 0.6e-6)
            fail_msg("pair %zu: %.7f, %.7f", i, error, statistics_mdc95(error));
    }
}

/* The same pairs as sums, as the store gives them: Dahlberg's error, and the bias with its interval
 * against R to 9 decimals. A unit of the readings stands for a micrometre. */
static void bias_agrees_with_r(void **state)
{
    struct table table;

    (void)state;
    table_open(&table, "bias_bland_altman.csv", "first,second,mean,low,high");
    while (table_next(&table, 3)) {
        double differences[SUBJECTS], dahlberg = 0;
        struct repeat_sums sums = {.pairs = SUBJECTS};
        struct repeat_error error;

        read_differences((int)table_whole(&table, 1), (int)table_whole(&table, 0), differences);
        for (int i = 0; i < SUBJECTS; i++) {
            sums.sum_um += lround(differences[i]);
            sums.sum_squares_um2 += lround(differences[i] * differences[i]);
        }
        assert_true(statistics_dahlberg(differences, SUBJECTS, &dahlberg));
        assert_true(repeat_error_of(&sums, 300, &error));
        assert_true(error.own && error.has_bias);
        assert_true(fabs(error.dahlberg_um - dahlberg) < 1e-12);
        if (fabs(error.bias_um - table_number(&table, 2)) > 0.6e-9 ||
            fabs(error.bias_um_t95.low - table_number(&table, 3)) > 0.6e-9 ||
            fabs(error.bias_um_t95.high - table_number(&table, 4)) > 0.6e-9)
            fail_msg("line %d: %.10f, %.10f to %.10f", table.number, error.bias_um,
                     error.bias_um_t95.low, error.bias_um_t95.high);
    }
}

/*
 * 1.96 sqrt(2) = 2.772 (Bland's page on repeatability at the University of York,
 * www-users.york.ac.uk/~mb55/meas/repeat.htm; published). Errors of arch widths 0.22 and 0.31 mm
 * (published, see width_error_mm) give 0.610 and 0.859 mm; 0.5 mm gives 1.386 mm (computed in R).
 */
static void smallest_detectable_change(void **state)
{
    static const double rows[][3] = {
        {1, 2.772, 0.0005}, {0.22, 0.610, 0.0005}, {0.31, 0.859, 0.0005}, {0.5, 1.386, 0.0005}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_true(fabs(statistics_mdc95(rows[i][0]) - rows[i][1]) <= rows[i][2]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_r_on_published_pairs),
        cmocka_unit_test(bias_agrees_with_r),
        cmocka_unit_test(smallest_detectable_change),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
