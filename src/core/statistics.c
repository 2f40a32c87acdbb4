/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/core/statistics.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

bool statistics_wilson(long met, long known, struct interval *interval)
{
    const double z = gsl_cdf_ugaussian_Pinv(0.975);
    double n = (double)known, share, centre, half, scale;

    if (known <= 0 || met < 0 || met > known)
        return false;
    share = (double)met / n;
    scale = 1 + z * z / n;
    centre = (share + z * z / (2 * n)) / scale;
    half = z * sqrt(share * (1 - share) / n + z * z / (4 * n * n)) / scale;
    /* At none and at all the bound is exactly 0 and 1; rounding must not leave a crumb there. */
    interval->low = met == 0 ? 0 : fmax(0, centre - half);
    interval->high = met == known ? 1 : fmin(1, centre + half);
    return true;
}

bool statistics_dahlberg(const double *differences, size_t n, double *error)
{
    double sum = 0;

    if (n == 0)
        return false;
    for (size_t i = 0; i < n; i++)
        sum += differences[i] * differences[i];
    *error = sqrt(sum / (2 * (double)n));
    return true;
}

double statistics_mdc95(double error)
{
    return 1.96 * sqrt(2) * error;
}
