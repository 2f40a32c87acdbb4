/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The month's audit for the screen and for paper: at a glance, case by case, and what stands behind
 * each figure. Texts without line breaks, in the arena given.
 *
 * A case is put into its group by the exact share of days, however near the minimum it lies
 * (domain.md 8: below is < wear_full). What is unsure or may read too mild is said beside it and
 * changes no figure: "?" the 95 % interval of a case below still reaches the minimum; "*" a period
 * was judged lower than its days alone would give (audit_row.stricter).
 */
#ifndef SPRINGLINE_APP_AUDIT_VIEW_H
#define SPRINGLINE_APP_AUDIT_VIEW_H

#include "springline/app/month.h"

/* A month for a screen. It is read again only when it can not be the same any more: another month,
 * another day, or a row that was saved here or elsewhere. A closed month is shown as of its close,
 * or, where that is asked for, as it would be today; its title and its glance say which. */
struct audit_shown {
    struct arena arena; /* of the list */
    struct audit_list list;
    day month;    /* the month to show */
    bool now;     /* of a closed month: today's figures, not those of the close */
    day of_month; /* the month, the day, the ledger's head and the choice the list was read for */
    day today;
    int64_t sequence;
    bool of_now;
    bool held;
    bool is_closed;
    struct month_closed closed;
    enum month_truth truth;
    const char
        *trouble;       /* the closed month is damaged: why; today's figures are shown. NULL: not */
    struct arena since; /* of the changes */
    struct month_changes changes;
    const struct listed_audit **found; /* the rows the search finds, and the glance; in the arena */
    size_t found_count;                /* given to audit_shown_read */
    struct lines glance;
};

/* The month before today's, nothing read yet. */
void audit_shown_begin(struct audit_shown *shown, day today);
/* Moves by months; false, nothing moved: that month has not begun on today, or is none. */
bool audit_shown_move(struct audit_shown *shown, int months, day today);
/* Reads the month where it must, and finds the rows in which every word of folded is (already
 * folded, "" all): number, names, clinician, source, group, what was counted (override, hold, rest,
 * reduction, missed), "drifting down", "safety" where an item stands today. On failure nothing is
 * found. */
enum status audit_shown_read(struct app *app, struct audit_shown *shown, const char *folded,
                             struct arena *arena, struct error *error);
/* Shows a closed month as of its close, or as it would be today. False: it is not closed, and shows
 * today's figures anyway. */
bool audit_shown_turn(struct audit_shown *shown);
/* Appends "Audit of 2026-10: 40 cases, closed", or how many were found. */
void audit_shown_title(const struct audit_shown *shown, bool searching, struct text *out);
/* Frees it. */
void audit_shown_release(struct audit_shown *shown);

/* Is every word of folded in the row? A word of the group, of what was counted above 0, and
 * "safety" is found by how it begins, so that "low" does not find every "below". */
bool audit_view_matches(const struct listed_audit *listed, const char *folded);

enum audit_cell {
    AUDIT_CELL_CASE,
    AUDIT_CELL_NAME,
    AUDIT_CELL_GROUP, /* "below LOW", "below ?", "not seen", "meeting *" */
    AUDIT_CELL_MET,   /* "11/28": days met of days known */
    AUDIT_CELL_SHARE, /* cut, not rounded: what is below must not look as if it met the minimum */
    AUDIT_CELL_INTERVAL,
    AUDIT_CELL_CHANGE, /* percentage points, against the month before, on the same source */
    AUDIT_CELL_SOURCE,
    AUDIT_CELL_OVERRIDES,
    AUDIT_CELL_MISSED,
    AUDIT_CELL_HOLDS,
    AUDIT_CELL_RUN,
    AUDIT_CELL_VISITS,
    AUDIT_CELL_REDUCTIONS,
    AUDIT_CELL_RESTS,
    AUDIT_CELL_CLINICIAN,
    AUDIT_CELL_COUNT
};
/* Appends one cell of a row. */
void audit_view_cell(const struct listed_audit *listed, enum audit_cell cell, struct text *out);

/* True when a case below reaches the minimum with its 95 % interval. */
bool audit_view_unsure(const struct listed_audit *listed);
/* Appends why the row stands in its group, in sentences: the days, the minimum, the interval, what
 * is unsure or may read too mild. */
void audit_view_why(const struct listed_audit *listed, struct text *out);
/* Appends who, the safety items that stand today, the visits and every other count above 0, and
 * what the signs of the row say. */
void audit_view_tell(const struct listed_audit *listed, struct text *out);

/* The month at a glance: how many below (low), unknown, not seen, meeting, and the month before;
 * then visits, holds, reductions, rests, overrides, missed, and the month before. Four lines. */
enum status audit_view_glance(const struct audit_list *list, day month, struct arena *arena,
                              struct lines *lines, struct error *error);

enum audit_opens { AUDIT_OPENS_NOTHING, AUDIT_OPENS_LINES, AUDIT_OPENS_RECORD };

struct audit_figure {
    const char *name;        /* "wear judged", "holds", "override", "missed" */
    const char *value;       /* "14 of 26 days met (diary), 53 %, 95 % 36-71 %" */
    bool marked;             /* stands out */
    struct lines behind;     /* the periods, days, visits, bookings it is made of */
    enum audit_opens opens;  /* what Enter shows */
    struct id owner;         /* of the record: the case; none for a protocol */
    enum record_kind record; /* AUDIT_OPENS_RECORD: the row is this one record */
    struct id row;           /* its head.record */
    struct id id;            /* tells the figure from the others; the same at each reading */
};

struct audit_case_view {
    const char *who;  /* "2026-10  C-0018 Marrow, Pip" */
    const char *line; /* why it stands in its group */
    struct audit_figure *figures;
    size_t count, capacity;
};

/* Which month, accounted for on which day, from the rows of which moment. */
struct audit_when {
    day month, today;
    int64_t as_of;
};
/* Of the month as it is shown. */
struct audit_when audit_shown_when(const struct audit_shown *shown);

/* One case of one month, now; of its figures those in whose name or value every word of folded is
 * (already folded, "" all). STATUS_NO with a sentence: the case is not audited in that month. On
 * failure the view holds no figure. */
enum status audit_view_case(struct app *app, const struct id *casefile, day month,
                            const char *folded, struct arena *arena, struct audit_case_view *view,
                            struct error *error);
/* The same on a day, as of a row of the ledger. */
enum status audit_view_case_at(struct app *app, const struct id *casefile,
                               const struct audit_when *when, const char *folded,
                               struct arena *arena, struct audit_case_view *view,
                               struct error *error);
/* What stands behind one figure of it, read anew. STATUS_NO: the case has no such figure now. */
enum status audit_view_behind(struct app *app, const struct id *casefile, day month,
                              const struct id *figure, struct arena *arena, struct lines *lines,
                              struct error *error);
/* The same on a day, as of a row of the ledger. */
enum status audit_view_behind_at(struct app *app, const struct id *casefile,
                                 const struct audit_when *when, const struct id *figure,
                                 struct arena *arena, struct lines *lines, struct error *error);

enum { AUDIT_PAPER_ROWS = 66, AUDIT_PAPER_COLUMNS = 80, AUDIT_PAPER_TRIES = 99 };

/*
 * The month as pages of text for a printer, form feeds between them. Each page is rows - 1 lines of
 * at most columns cells, so that the form feed stands on the last row and no printer throws an
 * empty page; fewer than 24 rows or 60 columns count as so many. On each: a head (month, page n of
 * m, the store, when and as of which ledger row it was drawn) and a foot (the caution line).
 * Between: is the month closed, by whom signed, what changed since, how many visits wait for a
 * signature; the month at a glance; every safety item by name; below, unknown, not seen, meeting,
 * case by case, none torn across two pages that fits on one; more given than permitted, with
 * reasons and what followed; a row of the ledger and its hash, by which the file can be held
 * against the paper; who signed, or room for it. list is of month at as_of; STORE_NOW: the head of
 * now. Texts are harmless to a printer or terminal.
 */
enum status audit_view_paper(struct app *app, const struct audit_list *list, day month,
                             int64_t as_of, int rows, int columns, struct text *out,
                             struct error *error);

/* Logs that the month was put on paper, before it is handed out. */
enum status audit_log_printed(struct app *app, day month, size_t cases, int64_t as_of,
                              struct error *error);

/*
 * Draws the month as of its close, or, where it is not closed, of the ledger's head, 66 rows of 80
 * columns, into a new file audit-2026-10.txt of mode 0600 in the working directory; never over an
 * existing one: then audit-2026-10-2.txt ... -99. Appends to told "Written: " and its full path, or
 * why not. STATUS_INPUT: it can not be written; STATUS_DAMAGED: it does not come out as it was
 * signed. Nothing is left behind.
 */
enum status audit_view_write(struct app *app, day month, struct text *told);
/* The same of today's figures, though the month is closed. */
enum status audit_view_write_now(struct app *app, day month, struct text *told);

#endif
