/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One figure of many cases, each with its standard error: pooled by a random-effects model (each
 * case has a value of its own; these scatter about a mean with variance tau2), after DerSimonian
 * and Laird (published: Control Clin Trials 1986;7:177). Chosen before REML because it is a
 * formula: it can not fail to converge. Checked against R's metafor on a published table.
 */
#ifndef SPRINGLINE_CORE_POOL_H
#define SPRINGLINE_CORE_POOL_H

#include "springline/core/statistics.h"

/* Below it there is no prediction interval: it has k - 2 degrees of freedom. What uses a pool may
 * ask for more. */
enum { POOL_CASES_MIN = 3 };

struct pool {
    size_t cases;
    double mean, mean_se;
    double tau2; /* variance between the cases; 0 when they differ no more than their errors */
    double q;    /* Cochran's heterogeneity, cases - 1 degrees of freedom */
    double i2_percent; /* share of the scatter that lies between the cases (Higgins & Thompson, Stat
                          Med 2002;21:1539), 0 to 100 */
};

/* Pools count values with their standard errors. False, *pool untouched: fewer than
 * POOL_CASES_MIN, a value or error that is no number, or an error that is not above 0. */
bool pool_fit(const double *values, const double *errors, size_t count, struct pool *pool);

/* Where the value of a new case lies (share 0.95: 95 %): mean -+ t with cases - 2 degrees of
 * freedom x sqrt(tau2 + mean_se^2) (published: Higgins et al., J R Stat Soc A 2009;172:137). False:
 * share is not between 0 and 1. */
bool pool_prediction(const struct pool *pool, double share, struct interval *interval);

/*
 * One case's value drawn towards the mean by its own standard error (the best linear unbiased
 * predictor; published: Robinson, Stat Sci 1991;6:15): weight tau2 / (tau2 + error^2) on its own.
 * *shrunk_error holds what is left of its own error and what is not known of the mean. False: the
 * error is not above 0, or there is no pool.
 */
bool pool_shrink(const struct pool *pool, double value, double error, double *shrunk,
                 double *shrunk_error);

#endif
