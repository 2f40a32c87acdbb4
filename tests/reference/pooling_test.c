/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Random-effects pooling and shrinkage, against a published table and a second program. */
#include "table.h"

#include <gsl/gsl_errno.h>
#include <math.h>

#include "springline/core/pool.h"

enum { TRIALS = 13, CHILDREN = 27 };

struct values {
    double value[CHILDREN], error[CHILDREN];
    size_t count;
};

/* 12 digits were stored. */
static void agrees(const char *what, double found, double wanted)
{
    double scale = fabs(wanted) > 1 ? fabs(wanted) : 1;

    if (!(fabs(found - wanted) <= 1e-10 * scale))
        fail_msg("%s: %.14g, expected %.14g", what, found, wanted);
}

static const char trial_columns[] =
    "ill_vaccinated,well_vaccinated,ill,well,log_risk_ratio,variance,shrunk,shrunk_se";

/* The log risk ratio of each trial and its error, worked out from the published counts. */
static void read_trials(struct values *values)
{
    struct table table;

    *values = (struct values){.count = 0};
    table_open(&table, "bcg_trials.csv", trial_columns);
    while (table_next(&table, TRIALS)) {
        double ill = table_number(&table, 0), all = ill + table_number(&table, 1);
        double other_ill = table_number(&table, 2), other_all = other_ill + table_number(&table, 3);
        double variance = 1 / ill - 1 / all + 1 / other_ill - 1 / other_all;
        values->value[values->count] = log(ill / all / (other_ill / other_all));
        agrees("log risk ratio", values->value[values->count], table_number(&table, 4));
        agrees("variance", variance, table_number(&table, 5));
        values->error[values->count++] = sqrt(variance);
    }
}

static void read_children(struct values *values)
{
    struct table table;

    *values = (struct values){.count = 0};
    table_open(&table, "orthodont_slopes.csv",
               "Subject,Sex,n,intercept,slope,slope_se,resid_sd,theil_sen,ts_intercept");
    while (table_next(&table, CHILDREN)) {
        values->value[values->count] = table_number(&table, 4);
        values->error[values->count++] = table_number(&table, 5);
    }
}

static void pools_as_the_second_program(void **state)
{
    struct table table;

    (void)state;
    table_open(&table, "pooling.csv",
               "data,mean,se,tau2,q,i2_percent,prediction_low,prediction_high");
    while (table_next(&table, 2)) {
        struct interval interval;
        struct values values;
        struct pool pool;
        if (strcmp(table.cells[0], "bcg") == 0)
            read_trials(&values);
        else
            read_children(&values);
        assert_true(pool_fit(values.value, values.error, values.count, &pool));
        assert_int_equal(pool.cases, values.count);
        agrees("mean", pool.mean, table_number(&table, 1));
        agrees("se", pool.mean_se, table_number(&table, 2));
        agrees("tau2", pool.tau2, table_number(&table, 3));
        agrees("q", pool.q, table_number(&table, 4));
        agrees("i2", pool.i2_percent, table_number(&table, 5));
        assert_true(pool_prediction(&pool, 0.95, &interval));
        agrees("prediction, low", interval.low, table_number(&table, 6));
        agrees("prediction, high", interval.high, table_number(&table, 7));
    }
}

/* Q = 152.23 on 12 degrees of freedom is what is printed of these trials by this method (published:
 * Viechtbauer W. J Stat Softw 2010;36(3), the trials' worked example; from memory). */
static void heterogeneity_as_printed(void **state)
{
    struct values values;
    struct pool pool;

    (void)state;
    read_trials(&values);
    assert_true(pool_fit(values.value, values.error, values.count, &pool));
    assert_true(fabs(pool.q - 152.23) < 0.005);
}

static void shrinks_as_the_second_program(void **state)
{
    struct values values;
    struct table table;
    struct pool pool;
    size_t i = 0;

    (void)state;
    read_trials(&values);
    assert_true(pool_fit(values.value, values.error, values.count, &pool));
    table_open(&table, "bcg_trials.csv", trial_columns);
    while (table_next(&table, TRIALS)) {
        double shrunk = 0, error = 0;
        assert_true(pool_shrink(&pool, values.value[i], values.error[i], &shrunk, &error));
        agrees("shrunk", shrunk, table_number(&table, 6));
        agrees("its error", error, table_number(&table, 7));
        i++;
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pools_as_the_second_program),
        cmocka_unit_test(heterogeneity_as_printed),
        cmocka_unit_test(shrinks_as_the_second_program),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
