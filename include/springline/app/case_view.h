/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One case for the screen: a head that is understood in five seconds, and every record as one row
 * that can be opened. Texts without line breaks, all in the arena given.
 */
#ifndef SPRINGLINE_APP_CASE_VIEW_H
#define SPRINGLINE_APP_CASE_VIEW_H

#include "springline/app/visit.h"

struct case_row {
    const char *section; /* "visit", "width", "wear", "expander", "trainer", "contact", ... */
    enum record_kind record;
    struct id row;    /* head.id of the current row; none for a row that is worked out */
    struct id id;     /* head.record, or the row's place for one that is worked out: stable */
    const char *date; /* "2026-10-30" */
    const char *what; /* "upper activation R 1.25 L 1.25 (sum 4.25 4.25)" */
    const char *mark; /* "HOLD", "SAFETY", "changed", ...; "" none */
    bool trouble;     /* stands out: an open wound, a safety item, a verdict that is marked */
};

struct case_view {
    struct history history;
    struct case_state state;
    struct lines head; /* who and alerts first; stage per arch, expander and what is missing of its
                          fit, verdict of today and its weightiest reason, sums per side, gain and
                          target, wear now, next date, open troubles: a line each, the weightiest
                          first */
    int alarming;      /* lines of head, from the first on, that must always be seen */
    struct case_row *rows; /* newest first within the sections; expanders and trainers first */
    size_t count;
};

/* Reads the case and makes head and rows; folded (already folded, "" all) keeps the rows in which
 * every word of it is found. STATUS_NOT_FOUND. */
enum status case_view_read(struct app *app, const struct id *casefile, const char *folded,
                           struct arena *arena, struct case_view *view, struct error *error);

/* The verdict of today of each arch with a fitted expander, headed "if tissue and hardware are
 * sound", with every reason; what the case lacks; what is still open. */
enum status case_view_why(struct app *app, const struct id *casefile, struct arena *arena,
                          struct lines *lines, struct error *error);

/*
 * One record whole: its fields by name, the verdict stored with it and its findings, then its
 * history: every version, newest first: when, by whom, at which seat, with which command, what was
 * changed (field: old, new) and why; withdrawn by whom and why.
 */
enum status case_view_record(struct app *app, enum record_kind kind, const struct id *record,
                             struct arena *arena, struct lines *lines, struct error *error);

/* The current row of a record, for a correction. STATUS_NOT_FOUND: withdrawn. */
enum status case_view_current(struct app *app, enum record_kind kind, const struct id *record,
                              struct id *row, struct error *error);

#endif
