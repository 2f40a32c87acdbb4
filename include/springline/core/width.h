/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Arch widths (domain.md 4 and 5). A width counts for an expander only with the same arch, site,
 * landmark and teeth; repeats of one date are averaged. Molar widths of children differ by 20 mm
 * by landmark alone (published: palatal gingival 31.9-42.3 mm, n 794; facial axis mean 57.92, n
 * 54).
 */
#ifndef SPRINGLINE_CORE_WIDTH_H
#define SPRINGLINE_CORE_WIDTH_H

#include "springline/core/history.h"

struct width_point {
    day date; /* DAY_NONE: there is none */
    um value; /* mean of the repeats of that date, rounded half away from zero */
    int32_t repeats;
};

struct width_view {
    struct width_point latest;   /* newest on or before through */
    struct width_point baseline; /* newest on or before the arch's first fitted_on of the case */
    struct width_point previous; /* newest at least 14 days before latest */
    day first_fitted;            /* of the arch in the case; DAY_NONE */
    um mdc;                      /* 1.96 sqrt(2) width_error */
    bool has_gain;               /* latest after the first fit, and a baseline */
    um gain;                     /* latest - baseline */
};

/* The widths that count for expander, dated on or before through. */
void width_view(const struct history *history, const struct protocol *protocol,
                const struct expander *expander, day through, struct width_view *view);

/* The newest date of [from, to] with widths that count for expander, repeats averaged; date
 * DAY_NONE, value UM_NONE: there is none. */
struct width_point width_newest(const struct history *history, const struct expander *expander,
                                day from, day to);
/* The oldest such date. */
struct width_point width_oldest(const struct history *history, const struct expander *expander,
                                day from, day to);

/* True when the width is of the expander's arch, site, landmark and teeth. */
bool width_counts(const struct width *width, const struct expander *expander);

/* Repeat pairs from which the practice's own error replaces the published one (domain.md 2). */
enum { WIDTH_PAIRS_MIN = 10 };

/*
 * The practice's own error of a width by Dahlberg, sqrt(sum d^2 / 2n), in whole hundredths of a
 * millimetre and at least one (so that a new pair does not change every case's answer by a
 * thousandth). False, *error untouched, below WIDTH_PAIRS_MIN pairs.
 */
bool width_own_error(int64_t pairs, int64_t sum_squares_um2, um *error);

#endif
