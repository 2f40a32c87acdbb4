/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Wilson's interval (J Am Stat Assoc 1927;22:209, published). The values come from three programs
 * that agree. Hmisc's binconf is not among them: it changes the bound at 1 and n - 1.
 */
#include "table.h"

#include <gsl/gsl_errno.h>
#include <math.h>

#include "springline/core/statistics.h"

static void agrees_with_r_scipy_and_statsmodels(void **state)
{
    struct table table;

    (void)state;
    table_open(&table, "wilson.csv", "met,known,low,high");
    while (table_next(&table, 10)) {
        struct interval interval = {-1, -1};

        assert_true(statistics_wilson(table_whole(&table, 0), table_whole(&table, 1), &interval));
        if (fabs(interval.low - table_number(&table, 2)) > 0.6e-10 ||
            fabs(interval.high - table_number(&table, 3)) > 0.6e-10)
            fail_msg("line %d: %.11f to %.11f", table.number, interval.low, interval.high);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(agrees_with_r_scipy_and_statsmodels)};

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
