/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One case for the screen: a head that is understood in five seconds, and every record as one row
 * that can be opened. Texts without line breaks, all in the arena given.
 */
#ifndef SPRINGLINE_APP_CASE_VIEW_H
#define SPRINGLINE_APP_CASE_VIEW_H

#include "springline/app/visit.h"

struct case_row {
    const char *section; /* "visit", "width", "wear", "tooth", "expander", "contact", ... */
    enum record_kind record;
    struct id row;    /* head.id of the current row (of a withdrawn record: of its newest version);
                         none for a row that is worked out */
    struct id id;     /* head.record, or the row's place for one that is worked out: stable */
    const char *date; /* "2026-10-30" */
    const char *what; /* "upper activation R 1.25 L 1.25 (sum 4.25 4.25)"; "corrected: ..." where
                         another mark is weightier */
    const char *mark; /* "HOLD", "now HOLD", "MORE", "withdrawn", "corrected", ...; "" none */
    const char *more; /* what the mark means, in words; "" where it says all */
    bool trouble;     /* stands out: an open wound, a safety item, a verdict that is marked */
    day from, to;     /* a stretch of wear: its days; else DAY_NONE */
    bool month;       /* that stretch is a calendar month */
    enum arch arch;   /* trend and forecast: of which arch; else ARCH_NONE */
};

struct case_line {
    const char *text;
    const char *brief; /* the same where there is no room; "" another line says it */
    const char *word;  /* the word in both that stands out: "HOLD"; "" none */
    bool always;       /* must be seen, however small the screen */
    bool detail;       /* may be said in brief, cut to one row, where another line would be lost */
};

struct case_view {
    struct history history;
    struct assessment assessment;
    struct case_state state; /* of the day */
    const char *who;         /* "C-0018  Marrow, Pip" */
    const char *born;        /* "born 2017-05-02, 9 years" */
    const char *stage;       /* "active" */
    struct case_line *head;  /* alerts first; safety items; verdict of today with its weightiest
                                reason; what is missing; per arch stage, fit checks, activations and
                                sums; next date; wear now; widths, gain and target: a line each */
    size_t head_count, head_capacity;
    struct case_row *rows; /* expanders, trainers, then the other sections, newest first in each */
    size_t count;
};

/*
 * Reads the case and makes head and rows; folded (already folded, "" all) keeps the rows in which
 * every word of it is found. Single days of wear are rows only where a search asks for them; a word
 * that "withdrawn" begins with (four letters or more), and a date (four digits or more), add the
 * records that were withdrawn.
 * STATUS_NOT_FOUND.
 */
enum status case_view_read(struct app *app, const struct id *casefile, const char *folded,
                           struct arena *arena, struct case_view *view, struct error *error);

struct case_wear { /* a wear period, a month or the whole course of a case */
    struct id casefile;
    day from, to;
    bool month; /* a calendar month: its counts are spread (core/wear_trend.h) */
};

/* The wear of the trainer in a stretch: the class and what it rests on, each source, hours
 * by day, sensor beside told; of the whole course, whether it drifts and how that was found out;
 * then every count and every day of it as recorded. */
enum status case_view_wear(struct app *app, const struct case_wear *of, struct arena *arena,
                           struct lines *lines, struct error *error);

/* Of each arch that is no longer moved: what it kept of its gain, the checks that are due and were
 * made; then the published figures with their sources. Row with record RECORD_WIDTH, worked out. */
enum status case_view_stability(struct app *app, const struct id *casefile, struct arena *arena,
                                struct lines *lines, struct error *error);

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

/* The current row of a record, for a correction. STATUS_NOT_FOUND, with a sentence: it was
 * withdrawn.
 */
enum status case_view_current(struct app *app, enum record_kind kind, const struct id *record,
                              struct id *row, struct error *error);

#endif
