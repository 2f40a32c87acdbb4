/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The error of measuring a width, from the practice's own repeat pairs (domain.md 5). A pair is two
 * readings of one case, day, arch, site, landmark, teeth and method: differences are pooled,
 * landmarks never compared. Pure.
 *
 * Dahlberg's error s = sqrt(sum d^2 / 2n) (published: Dahlberg 1940) holds the bias where there is
 * one: bias is said beside it and never taken out, so that the error is not understated. MDC95 =
 * 1.96 sqrt(2) s = 2.772 s (published: Bland & Altman, Lancet 1986;327:307). Below WIDTH_PAIRS_MIN
 * pairs the published error stands (0.30 mm, of arch widths by Dahlberg 0.22 to 0.31 mm; protocol.h
 * has the source).
 */
#ifndef SPRINGLINE_CORE_REPEAT_H
#define SPRINGLINE_CORE_REPEAT_H

#include "springline/core/record.h"
#include "springline/core/statistics.h"
#include "springline/core/width.h"

struct repeat_error {
    int64_t pairs;
    bool own; /* error is the practice's own: WIDTH_PAIRS_MIN pairs or more */
    um error; /* own: by Dahlberg in hundredths of a millimetre (width_own_error); else published */
    um mdc;   /* 2.772 error, rounded */
    double dahlberg_um;          /* of the pairs there are, not rounded; 0 without one */
    bool has_bias;               /* 2 pairs or more */
    double bias_um;              /* mean of second less first */
    struct interval bias_um_t95; /* its 95 % interval by Student's t, pairs - 1 degrees */
};

/* Sums of all landmarks together; by_landmark is indexed by enum landmark. */
struct repeat_sums repeat_pool(const struct repeat_sums by_landmark[LANDMARK_COUNT]);

/* The error that follows from the pairs, beside the published one. False, *error untouched: the
 * sums are impossible (a negative number, squares less than their mean allows), or published is
 * not above 0. */
bool repeat_error_of(const struct repeat_sums *sums, um published, struct repeat_error *error);

enum repeat_change { CHANGE_UNKNOWN, CHANGE_WITHIN_ERROR, CHANGE_REAL };

/* Is a change between two widths of one landmark more than measuring alone makes? Real is beyond
 * the MDC, exactly the MDC is not (domain.md 4: "beyond" is strict). UM_NONE: unknown. */
enum repeat_change repeat_change_of(um change, um mdc);

#endif
