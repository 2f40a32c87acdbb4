/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The few statistics of the first issue; distributions come from GSL. */
#ifndef SPRINGLINE_CORE_STATISTICS_H
#define SPRINGLINE_CORE_STATISTICS_H

#include <stdbool.h>
#include <stddef.h>

struct interval {
    double low, high;
};

/* Wilson's 95 % interval of met out of known (Wilson, J Am Stat Assoc 1927;22:209); false when
 * known is 0 or the numbers are impossible. */
bool statistics_wilson(long met, long known, struct interval *interval);

/* Dahlberg's error sqrt(sum d^2 / 2n) of n repeat pairs given as differences; false when n is 0. */
bool statistics_dahlberg(const double *differences, size_t n, double *error);

/* Smallest detectable change at 95 %: 1.96 sqrt(2) error (published: Bland & Altman 1986). */
double statistics_mdc95(double error);

#endif
