/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The month's audit for the screen and for paper: at a glance, case by case, and what stands behind
 * each figure. Texts without line breaks, in the arena given. */
#ifndef SPRINGLINE_APP_AUDIT_VIEW_H
#define SPRINGLINE_APP_AUDIT_VIEW_H

#include "springline/app/lists.h"
#include "springline/app/visit.h"

/* The month at a glance: how many below (low), unknown, not seen, meeting, and the month before;
 * holds, reductions, rests, overrides, missed. */
enum status audit_view_glance(const struct audit_list *list, day month, struct arena *arena,
                              struct lines *lines, struct error *error);

struct audit_figure {
    const char *name;        /* "days met", "holds", "overrides", "missed bookings" */
    const char *value;       /* "14 of 26 (diary), 95 % 36-71 %" */
    struct lines behind;     /* the periods, days, visits, bookings it is made of */
    enum record_kind record; /* of the newest record behind it; RECORD_KIND_COUNT: none */
    struct id row;           /* its head.record */
};

struct audit_case_view {
    const char *who;  /* "C-0018 Marrow, Pip" */
    const char *line; /* why it stands in its group, in one sentence */
    struct audit_figure *figures;
    size_t count;
};

/* One case of one month. STATUS_NO with a sentence: the case is not audited in that month. */
enum status audit_view_case(struct app *app, const struct id *casefile, day month,
                            struct arena *arena, struct audit_case_view *view, struct error *error);

/*
 * The month as pages of text for a printer: lines pages of at most rows rows and columns columns,
 * form feeds between them; head (practice's store, month, page n of m) and foot (caution line) on
 * each; below, unknown, not seen, meeting; overrides with their reasons and what followed; the
 * ledger's head as of which it was drawn at the end.
 */
enum status audit_view_paper(struct app *app, const struct audit_list *list, day month,
                             int64_t as_of, int rows, int columns, struct text *out,
                             struct error *error);

#endif
