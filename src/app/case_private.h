/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the parts of a case's view share: case_view.c puts them together. */
#ifndef SPRINGLINE_APP_CASE_PRIVATE_H
#define SPRINGLINE_APP_CASE_PRIVATE_H

#include "exchange_private.h"
#include "springline/app/case_view.h"
#include "springline/app/effect.h"
#include "springline/app/sign.h"
#include "told.h"

/* ---- one record in words (case_tell.c) ---- */

/* "visit", "wear count": what a kind is called. */
const char *case_section(enum record_kind kind);
/* The day a record is about; DAY_NONE where it has none. */
day case_day_of(enum record_kind kind, const void *record);
/* Appends what the record says, in one line: "upper activation R 1.25 L 1.25; note: ...". */
void case_tell(struct text *out, enum record_kind kind, const void *record);
/* The same of a visit, with the sums of its arch so far behind the amounts; NULL: without. */
void case_tell_visit(struct text *out, const struct visit *visit, const um sums[2]);
/* The same of what an assessment measured and planned (case_assessment.c). */
void case_tell_tooth_width(struct text *out, const struct tooth_width *width);
void case_tell_segments(struct text *out, const struct arch_segment *segment);
void case_tell_depth(struct text *out, const struct arch_depth *depth);
void case_tell_plan(struct text *out, const struct plan *plan);
/* "C-0018  Marrow, Pip" and "born 2017-05-02, 9 years". */
void case_tell_who(struct text *out, const struct history *history);
void case_tell_born(struct text *out, const struct history *history, day today);

/* ---- the head (case_head.c) ---- */

enum status case_head_make(const struct history *history, day today, struct arena *arena,
                           struct case_view *view, struct error *error);
/* The case as of the day: itself, or, where something in it is dated later (the day was set back),
 * without that. False: no memory. */
bool case_until(const struct history *history, day today, struct arena *arena,
                struct history *until);
/* Appends a safety item that stands, in words: "separators in since 2026-10-30 without bands". */
void case_tell_safety(struct text *out, const struct case_state *state, enum safety item);
/* What stands open of an arch by its last visits, the day's included; nothing: "". */
void case_tell_open(struct text *out, const struct history *history, enum arch arch, day today);
/* The expander that is in place in an arch today, else its newest one; NULL: none. */
const struct expander *case_expander_of(const struct history *history, enum arch arch, day today);
/* Judges an arch as if tissue and hardware were sound. False: closed, or nothing is in place. */
bool case_judge_today(const struct history *history, enum arch arch, day today,
                      struct judgement *judgement);

/* ---- lines of it (case_head_told.c) ---- */

/*
 * The weightiest reason, then by name every other rule that holds, so that none hides behind a
 * number; brief: these by name alone, "" where there is one. Of a full step only what is to be
 * noted beside it: nothing is appended where there is nothing.
 */
void case_tell_reason(struct text *text, struct text *brief, const struct judgement *judgement);
/* "; 3 activations, R 3.00 L 3.00" of the arch; where an earlier expander was activated too, first
 * those since this fit. */
void case_tell_given(struct text *out, const struct history *history,
                     const struct expander *expander);

/* ---- the rows (case_rows.c, case_visits.c, case_stability.c, case_wear.c, case_trend.c) ---- */

struct sorted_row { /* a row and its place among the others */
    struct case_row row;
    int section;
    int group;       /* of widths: the measure; of an assessment: the tooth, the arch */
    int64_t newness; /* the newest first: its day */
    int64_t order;   /* of one day: its place in the ledger, the newest first */
};

struct row_maker {
    struct app *app;
    const struct history *history;
    const struct assessment *assessment;
    const struct case_state *state;
    const struct effects *effects;
    const struct signed_rows *signed_rows;
    struct arena *arena;
    struct sorted_row *rows;
    size_t count, capacity;
    const char *folded;
    bool withdrawn;      /* the records that were withdrawn are asked for */
    const char *section; /* of a row that is worked out, shown and searched; NULL: of its kind */
    struct text what, more;
    bool failed; /* sticky: memory ran out */
};

/* Adds the row of a record: text and explanation are taken from maker->what and maker->more, which
 * are emptied. NULL: the search does not find it, or there is no memory. */
struct sorted_row *case_add_row(struct row_maker *maker, enum record_kind kind, const void *record,
                                const char *mark, bool trouble);
void case_add_visits(struct row_maker *maker);
void case_add_widths(struct row_maker *maker);
/* A row for each arch that is held: what it kept. */
void case_add_stability(struct row_maker *maker);
void case_add_wear(struct row_maker *maker);
void case_add_trends(struct row_maker *maker);
/* The rows of the history and, where asked for, the withdrawn ones. */
enum status case_rows_make(struct row_maker *maker, struct case_view *view, struct error *error);

/* ---- one record whole (case_record.c, case_history.c) ---- */

/* A version of a record, its texts in an arena. */
struct record_version {
    const union any_record *record;
    bool withdrawn;              /* the record ended with it */
    struct store_withdrawn gone; /* how */
};
struct record_story {
    enum record_kind kind;
    struct record_version *versions; /* newest first; one at least */
    size_t count, capacity;
    struct arena *arena;
};
/* STATUS_NOT_FOUND: no such record. */
enum status case_story_read(struct app *app, enum record_kind kind, const struct id *record,
                            struct arena *arena, struct record_story *story, struct error *error);
/* Appends a line for each version, the newest first, and before them how the record ended. */
enum status case_story_tell(struct app *app, const struct record_story *story, struct lines *lines,
                            struct error *error);
/* Appends how the record ended: "withdrawn 2026-11-25 10:30 UTC by ...; reason: ...". */
enum status case_tell_end(struct app *app, struct text *out, const struct store_withdrawn *gone,
                          struct error *error);
/* "2026-11-25 10:12 UTC" */
void case_tell_instant(struct text *out, instant at);
/* Appends who did it: the person and the seat, or what was imported; to *command with which
 * command, nothing for an import. */
enum status case_tell_doer(struct app *app, struct text *out, const struct id *person,
                           const struct id *request, struct text *command, struct error *error);
/* Appends each field that is not as it was before: "width 35.25 mm -> 32.25 mm, method ...". */
void case_tell_changes(struct text *out, enum record_kind kind, const union any_record *now,
                       const union any_record *before);
/* Appends what a field is called: "fitted on"; of a width its value: "width". */
void case_tell_label(struct text *out, enum record_kind kind, const struct field *field);
/* Appends a field as a person reads it; "not recorded". */
void case_tell_field(struct text *out, enum record_kind kind, const struct field *field,
                     const union any_record *record);

#endif
