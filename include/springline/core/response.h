/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Response of one case: millimetres of arch width gained for each millimetre of activation, both
 * sides summed. No published ratio of loop activation to molar width exists (domain.md 2), so there
 * is nothing to hold it against but the practice's other cases.
 */
#ifndef SPRINGLINE_CORE_RESPONSE_H
#define SPRINGLINE_CORE_RESPONSE_H

#include "springline/core/width.h"

/* What growth alone adds to an arch's width in a year, in thousandths of a millimetre: 0.2 to 0.7
 * (published: upper intermolar width +1.462 mm in the 2 years from 10 to 12, n 44, Yang et al., J
 * Healthc Eng 2019, 4191848; +3.08 mm from 7.6 to 26.4 years, n 36, Hesby et al. 2006, the year
 * from memory). */
enum { GROWTH_LOW_UM_A_YEAR = 200, GROWTH_HIGH_UM_A_YEAR = 700 };

enum response_refusal {
    RESPONSE_KNOWN,
    RESPONSE_NO_GAIN,   /* no baseline, or no width after the fit */
    RESPONSE_NOT_GIVEN, /* no activation before the newest width */
    RESPONSE_ELSEWHERE  /* an activation elsewhere does not say how much was given */
};

struct response {
    day from, to;    /* baseline and newest width */
    um gain;         /* from the one to the other */
    um given;        /* right and left summed, before the newest width */
    double ratio;    /* gain / given */
    double ratio_se; /* from the error of the two widths alone; amounts count as exact */
    double growth_low_mm, growth_high_mm; /* what growth alone may have added in that time */
    bool long_gain; /* so long that growth alone may exceed the error of a width */
};

/* Of the widths that count for expander, and of all activations of its arch in the case, dated on
 * or before through. On a refusal *response is zeroed. */
enum response_refusal response_of(const struct history *history, const struct protocol *protocol,
                                  const struct expander *expander, day through,
                                  struct response *response);

#endif
