/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where a case stands (domain.md 8): stage of each arch, next date, safety items. Pure. */
#ifndef SPRINGLINE_CORE_COURSE_H
#define SPRINGLINE_CORE_COURSE_H

#include "springline/core/history.h"
#include "springline/core/rules.h"

/* Stage of one arch on a day; STAGE_NONE when the case has nothing in that arch and is not the
 * case's only sign of life (then the case itself is assessed or planned). */
enum stage course_arch_stage(const struct history *history, enum arch arch, day today);

/*
 * Stage of the case: its most advanced arch still at work. At work is an arch with something in
 * the mouth that moves or prepares (separators, banded, fitted, active); only when no arch is, the
 * later stages show: planned, retention, stability, resting, the last of these that an arch is in.
 * Closed when the case is; assessed when no expander is recorded.
 */
enum stage course_stage(const struct history *history, day today);

/* The stages kept in state, on a day on or after state->newest: time alone turns retention into
 * stability. upper and lower may be NULL. Returns the stage of the case. */
enum stage course_stage_on(const struct case_state *state, day on, enum stage *upper,
                           enum stage *lower);

/*
 * Everything a list needs, valid for any day on or after state->newest (record.h). Verdicts that
 * were not stored are evaluated as of the visit's date and marked recomputed. The next date is the
 * earliest window over the arches, unless next_on was set by a person at the last visit; the end
 * of retention and the stability checks 1, 3, 6 and 12 months after it (common practice, no
 * source; counted from the removal, where the expander stayed in longer) count too.
 *
 * Safety items set aside: a contact that reached the family, cleared yes, with the clinician's name
 * (cleared_by), a reason (note) and again_on, moves every item that stood from a day on or before
 * its day to again_on, at the latest to restart_after_days after its day. Of several such contacts
 * the newest decides. One that lacks any of these sets nothing aside, nor does any contact set
 * aside what arises after its day, or a trouble or a closing recorded after it: nobody knew of it
 * then. A kept visit ends an item as before.
 */
void course_state(const struct history *history, struct case_state *state);

/*
 * The verdict of the arch's visit rows of visit->date, visit->arch: the one stored with visit, else
 * the newest stored with another row of that arch and date, else recomputed as of the date from
 * history strictly before it and the rows' own findings and amounts (then *recomputed). A stored
 * verdict fills arch, verdict, permitted and next only: its findings stay text; next is DAY_NONE
 * once its visit was corrected, for the window held for the day and the amounts of then. False,
 * nothing touched, when there is none: no arch named, not seen, no expander fitted by then.
 */
bool course_verdict_of(const struct history *history, const struct visit *visit,
                       struct judgement *judgement, bool *recomputed);

/*
 * The verdict of a judged visit by the record as it stands: judged as of its date from history
 * strictly before it (widths up to and including it), with the visit's own findings and the amounts
 * that were given, under history->protocol (the caller sets the settings it was stored under).
 * False, *now untouched: the arch can not be judged.
 */
bool course_verdict_now(const struct history *history, const struct visit *visit,
                        struct judgement *now);

#endif
