/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What was measured for the plan of one case, and the plans made: apart from struct history, which
 * every verdict, list and month reads of every case, for none of them needs any of it.
 */
#ifndef SPRINGLINE_CORE_ASSESSMENT_H
#define SPRINGLINE_CORE_ASSESSMENT_H

#include "springline/core/record.h"

struct assessment {
    const struct tooth_width *tooth_widths;
    size_t tooth_width_count;
    const struct arch_segment *segments;
    size_t segment_count;
    const struct arch_depth *depths;
    size_t depth_count;
    const struct plan *plans; /* at most one of an arch */
    size_t plan_count;
};

/* Current rows only, in any order: nothing that reads an assessment may depend on the order. */

#endif
