/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/core/pool.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

struct sums { /* of weights, and of values by weight */
    double weight, squares, values;
};

static struct sums sums_of(const double *values, const double *errors, size_t count, double tau2)
{
    struct sums sums = {0, 0, 0};

    for (size_t i = 0; i < count; i++) {
        double weight = 1 / (errors[i] * errors[i] + tau2);
        sums.weight += weight;
        sums.squares += weight * weight;
        sums.values += weight * values[i];
    }
    return sums;
}

static double heterogeneity(const double *values, const double *errors, size_t count, double mean)
{
    double q = 0;

    for (size_t i = 0; i < count; i++)
        q += pow((values[i] - mean) / errors[i], 2);
    return q;
}

bool pool_fit(const double *values, const double *errors, size_t count, struct pool *pool)
{
    struct pool made = {.cases = count};
    double freedom = (double)count - 1;

    if (count < POOL_CASES_MIN)
        return false;
    for (size_t i = 0; i < count; i++) {
        if (!isfinite(values[i]) || !isfinite(errors[i]) || errors[i] <= 0)
            return false;
    }
    struct sums fixed = sums_of(values, errors, count, 0);
    made.q = heterogeneity(values, errors, count, fixed.values / fixed.weight);
    made.tau2 = fmax(0, (made.q - freedom) / (fixed.weight - fixed.squares / fixed.weight));
    made.i2_percent = made.q > freedom ? 100 * (made.q - freedom) / made.q : 0;
    struct sums random = sums_of(values, errors, count, made.tau2);
    made.mean = random.values / random.weight;
    made.mean_se = sqrt(1 / random.weight);
    if (!isfinite(made.q) || !isfinite(made.tau2) || !isfinite(made.mean) ||
        !isfinite(made.mean_se))
        return false;
    *pool = made;
    return true;
}

bool pool_prediction(const struct pool *pool, double share, struct interval *interval)
{
    if (pool->cases < POOL_CASES_MIN || !(share > 0) || !(share < 1))
        return false;
    double times = gsl_cdf_tdist_Pinv((1 + share) / 2, (double)(pool->cases - 2));
    double half = times * sqrt(pool->tau2 + pool->mean_se * pool->mean_se);
    if (!isfinite(half))
        return false;
    interval->low = pool->mean - half;
    interval->high = pool->mean + half;
    return true;
}

bool pool_shrink(const struct pool *pool, double value, double error, double *shrunk,
                 double *shrunk_error)
{
    if (pool->cases < POOL_CASES_MIN || !isfinite(value) || !isfinite(error) || error <= 0)
        return false;
    double own = pool->tau2 / (pool->tau2 + error * error), others = 1 - own;
    *shrunk = own * value + others * pool->mean;
    *shrunk_error = sqrt(own * error * error + others * others * pool->mean_se * pool->mean_se);
    return true;
}
