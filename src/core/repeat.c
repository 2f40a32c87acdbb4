/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/core/repeat.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>

struct repeat_sums repeat_pool(const struct repeat_sums by_landmark[LANDMARK_COUNT])
{
    struct repeat_sums all = {0};

    for (int landmark = LANDMARK_NONE; landmark < LANDMARK_COUNT; landmark++) {
        all.pairs += by_landmark[landmark].pairs;
        all.sum_um += by_landmark[landmark].sum_um;
        all.sum_squares_um2 += by_landmark[landmark].sum_squares_um2;
    }
    return all;
}

/* The squares can not be less than what the mean alone makes of them. */
static bool is_possible(const struct repeat_sums *sums)
{
    double pairs = (double)sums->pairs, sum = (double)sums->sum_um;

    if (sums->pairs < 0 || sums->sum_squares_um2 < 0)
        return false;
    if (sums->pairs == 0)
        return sums->sum_um == 0 && sums->sum_squares_um2 == 0;
    return (double)sums->sum_squares_um2 * pairs >= sum * sum;
}

static void find_bias(const struct repeat_sums *sums, struct repeat_error *error)
{
    double pairs = (double)sums->pairs, mean = (double)sums->sum_um / pairs;
    double squares = fmax(0, (double)sums->sum_squares_um2 - mean * (double)sums->sum_um);
    double half = gsl_cdf_tdist_Pinv(0.975, pairs - 1) * sqrt(squares / (pairs - 1) / pairs);

    error->has_bias = isfinite(half);
    if (!error->has_bias)
        return;
    error->bias_um = mean;
    error->bias_um_t95 = (struct interval){mean - half, mean + half};
}

bool repeat_error_of(const struct repeat_sums *sums, um published, struct repeat_error *error)
{
    if (!is_possible(sums) || published == UM_NONE || published <= 0)
        return false;
    *error = (struct repeat_error){.pairs = sums->pairs, .error = published};
    error->own = width_own_error(sums->pairs, sums->sum_squares_um2, &error->error);
    error->mdc = (um)lround(statistics_mdc95((double)error->error));
    if (sums->pairs > 0)
        error->dahlberg_um = sqrt((double)sums->sum_squares_um2 / (2 * (double)sums->pairs));
    if (sums->pairs > 1)
        find_bias(sums, error);
    return true;
}

enum repeat_change repeat_change_of(um change, um mdc)
{
    if (change == UM_NONE || mdc == UM_NONE || mdc < 0)
        return CHANGE_UNKNOWN;
    return change > mdc || change < -mdc ? CHANGE_REAL : CHANGE_WITHIN_ERROR;
}
