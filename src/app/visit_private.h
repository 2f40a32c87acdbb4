/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the parts of the visit sheet share. */
#ifndef SPRINGLINE_APP_VISIT_PRIVATE_H
#define SPRINGLINE_APP_VISIT_PRIVATE_H

#include "springline/app/visit.h"

/* The field of an item (arch ARCH_NONE for those of the case); NULL when the sheet has none. */
struct sheet_field *visit_field(struct visit_sheet *sheet, enum sheet_item item, enum arch arch);
const struct sheet_field *visit_field_of(const struct visit_sheet *sheet, enum sheet_item item,
                                         enum arch arch);
/* The value of an item, or none when it is empty or does not apply. */
int64_t visit_value(const struct visit_sheet *sheet, enum sheet_item item, enum arch arch,
                    int64_t none);
/* The expander of an arch that is in place on the sheet's date; NULL: none. */
const struct expander *visit_expander(const struct history *history, enum arch arch, day on);
/* What the sheet says was found today in an arch; while tissue or hardware is not entered it is
 * assumed sound when assume is true (the headed verdict), else left unrecorded. */
struct examination visit_examination(const struct visit_sheet *sheet, enum arch arch, bool assume);
/* The amounts of an arch as entered; UM_NONE where empty. */
struct proposal visit_amounts(const struct visit_sheet *sheet, enum arch arch);
/* The earliest window over the arches of the sheet; DAY_NONE: there is none. */
void visit_window(const struct visit_sheet *sheet, day *from, day *to);
/* Recomputes which fields apply, the live history and the judgements. */
void visit_judge(struct visit_sheet *sheet);
/* Puts the sheet's own width and wear rows into live, a copy of history with room for them. */
void visit_live(struct visit_sheet *sheet);
/* Prepares live's arrays once; false: no memory. */
bool visit_make_room(struct visit_sheet *sheet);
/* Makes the sheet one of another day: arches, fields and verdict anew, nothing entered.
 * STATUS_INPUT when nothing was in place on that day. */
enum status visit_set_date(struct visit_sheet *sheet, day date, struct error *error);
/* True when anything but a width was entered for the arch: it gets a visit row. */
bool visit_arch_entered(const struct visit_sheet *sheet, enum arch arch);
/* The kind of visit the entries of an arch amount to. */
enum visit_kind visit_kind_of(const struct visit_sheet *sheet, enum arch arch);
/* The newest visit of the arch at which the patient was seen, before the sheet's date; NULL: none.
 */
const struct visit *visit_newest_of(const struct history *history, enum arch arch, day before);
/* Judges every arch of the sheet with nothing assumed (what a save records) into judgements[2]. */
void visit_judge_recorded(struct visit_sheet *sheet, struct judgement judgements[2]);
/* Inside a save: the verdict a visit row (head.record) was given under, with the protocol behind
 * it.
 */
enum status visit_append_judged(struct app *app, const struct id *visit,
                                const struct judgement *judgement, const struct protocol *protocol,
                                struct error *error);
/* Inside a save: the child came on date, or did not: bookings of the day that still stand were kept
 * (or missed). */
enum status visit_end_bookings(struct app *app, const struct history *history, day date,
                               enum booking_state state, struct error *error);

#endif
