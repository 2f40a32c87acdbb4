/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of the month's audit share. */
#ifndef SPRINGLINE_APP_AUDIT_PRIVATE_H
#define SPRINGLINE_APP_AUDIT_PRIVATE_H

#include "springline/app/audit_view.h"

/* "80 %", "79.5 %". */
void audit_add_permille(struct text *out, int32_t permille);
/* "diary"; "told, runs high": self-report exceeds sensors by 3.8 to 5.0 h a day (published). */
const char *audit_source(enum source source);
/* "11 of 28 known days met (diary), 39 %"; the share is cut. */
void audit_add_days(struct text *out, enum source source, int32_t met, int32_t known);
/* "-14 points against the month before", of a row that has a change. */
void audit_add_change(struct text *out, const struct audit_row *row);
/* "visits 1, holds 2, ...", with the unknown days and the change. Counts of 0 are left out. */
void audit_add_counts(struct text *out, const struct audit_row *row);

/* "2026-09-30 to 2026-10-27, 28 days with a trainer: LOW, 11 of 28 days met ...". */
void audit_add_period(struct text *out, const struct wear_period *period);
/* "upper: given right 1.50, left 1.50 mm; permitted right 1.00, left 1.00 mm (recomputed)". */
void audit_add_given(struct text *out, enum arch arch, const struct audit_arch *on);
/* What followed more than permitted: the arch's next visit up to today with tissue, hardware and
 * verdict, and the widths then and before. */
void audit_add_followed(struct text *out, const struct history *history, enum arch arch, day date,
                        day today);

/* ---- blocks of the printed month ---- */

struct page_sheet;
/* Every case with a safety item on the last day accounted for, by the rows of as_of; and, of a live
 * sheet (drawn as of the ledger's head) of the month before today's, on the day it is drawn. */
enum status audit_paper_safety(struct page_sheet *sheet, struct app *app, day last, int64_t as_of,
                               bool live, struct error *error);
/* Is the month closed, by whom, what changed since; how many visits wait for a signature. */
enum status audit_paper_standing(struct page_sheet *sheet, struct app *app,
                                 const struct audit_list *list, day month, int64_t as_of,
                                 struct error *error);
/* The hash by which the store can be held against the sheet: of the signature's row, or of as_of.
 */
enum status audit_paper_anchor(struct page_sheet *sheet, struct app *app,
                               const struct audit_list *list, day month, int64_t as_of,
                               struct error *error);
/* Who signed; of a month that is not closed room for it. */
void audit_paper_signature(struct page_sheet *sheet, const struct audit_list *list);

/* What a case of a month is told from. */
struct audit_subject {
    const struct history *history;
    struct arena *arena; /* of the texts */
    struct text text;    /* reused */
    day month, today;
    struct audit_behind behind;
    struct audit_row row;
    struct listed_audit listed;
    bool failed; /* memory ran out */
};

/* Moves the subject's text into lines. */
void audit_end_line(struct audit_subject *subject, struct lines *lines);

/* The lines behind each figure. judged: of one source; SOURCE_NONE: the periods alone. */
void audit_lines_judged(struct audit_subject *subject, enum source source, struct lines *lines);
void audit_lines_unknown(struct audit_subject *subject, struct lines *lines);
void audit_lines_untrained(struct audit_subject *subject, struct lines *lines);
void audit_lines_tail(struct audit_subject *subject, struct lines *lines);
void audit_lines_run(struct audit_subject *subject, struct lines *lines);
void audit_lines_change(struct audit_subject *subject, struct lines *lines);
/* How the drift was found out, and the periods that were looked at. */
void audit_lines_drift(struct audit_subject *subject, const struct wear_drift *drift,
                       struct lines *lines);
void audit_lines_visits(struct audit_subject *subject, struct lines *lines);
void audit_lines_verdict(struct audit_subject *subject, enum verdict verdict, struct lines *lines);
void audit_lines_overrides(struct audit_subject *subject, struct lines *lines);
void audit_lines_missed(struct audit_subject *subject, struct lines *lines);
/* One visit, one booking, as a line. */
void audit_add_visit(struct audit_subject *subject, const struct visit *visit);
void audit_add_booking(struct audit_subject *subject, const struct booking *booking);

#endif
