/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Everything recorded of one case, as plain arrays: what the rules, lists and charts read. */
#ifndef SPRINGLINE_CORE_HISTORY_H
#define SPRINGLINE_CORE_HISTORY_H

#include "springline/base/arena.h"
#include "springline/core/record.h"

struct history {
    const struct patient *patient;
    const struct casefile *casefile;
    const struct protocol *protocol; /* the one that governs this case */
    const struct trainer *trainers;
    size_t trainer_count;
    const struct expander *expanders;
    size_t expander_count;
    const struct visit *visits;
    size_t visit_count;
    const struct width *widths;
    size_t width_count;
    const struct wear_day *wear_days;
    size_t wear_day_count;
    const struct wear_count *wear_counts;
    size_t wear_count_count;
    const struct contact *contacts;
    size_t contact_count;
    const struct booking *bookings;
    size_t booking_count;
    const struct judged
        *judged; /* stored verdicts, any order; judged[i].visit names the visit row */
    size_t judged_count;
};

/* Was the verdict stored with the visit? It names the visit's row of then: once the visit was
 * corrected that is its first one, whose id is the record's. */
static inline bool judged_with(const struct judged *judged, const struct visit *visit)
{
    return id_equal(&judged->visit, &visit->head.id) ||
           id_equal(&judged->visit, &visit->head.record);
}

/*
 * The same case as it stood at the end of the day through: rows dated later are left out, and dates
 * of a course that lie later (closed_on, out_on, ended_on, passive_on, fitted_on ...) are not yet
 * known. Bookings stay. Copies live in arena; false when memory is exhausted.
 */
bool history_until(const struct history *history, day through, struct arena *arena,
                   struct history *until);

/*
 * What was measured for the plan of one case, and the plans made: apart from the history, which
 * every verdict, list and month reads of every case, for none of them needs any of it.
 */
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

/* Of both current rows only, in any order: nothing that reads them may depend on the order. */

#endif
