/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where a case stands (domain.md 8): stage of each arch, next date, safety items. Pure. */
#ifndef SPRINGLINE_CORE_COURSE_H
#define SPRINGLINE_CORE_COURSE_H

#include "springline/core/history.h"
#include "springline/core/rules.h"

/* Stage of one arch on a day; STAGE_NONE when the case has nothing in that arch and is not the
 * case's only sign of life (then the case itself is assessed or planned). */
enum stage course_arch_stage(const struct history *history, enum arch arch, day today);

/* Stage of the case: its most advanced arch still at work. */
enum stage course_stage(const struct history *history, day today);

/*
 * Everything a list needs, valid for any day on or after state->newest (record.h). Verdicts that
 * were not stored are evaluated as of the visit's date and marked recomputed. The next date is the
 * earliest window over the arches, unless next_on was set by a person at the last visit; a
 * stability check at 1, 3, 6 and 12 months after removal (common practice, no source) counts too.
 */
void course_state(const struct history *history, struct case_state *state);

/* The verdict of the arch's visit rows of one date: stored, or recomputed (then *recomputed). */
bool course_verdict_of(const struct history *history, const struct visit *visit,
                       struct judgement *judgement, bool *recomputed);

#endif
