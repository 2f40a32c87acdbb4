/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the parts of the visit screen share: keys and modes, drawing. */
#ifndef SPRINGLINE_UI_VISIT_VIEW_H
#define SPRINGLINE_UI_VISIT_VIEW_H

#include "enter.h"
#include "springline/app/seat.h"
#include "springline/app/visit.h"

enum { VISIT_HAPPENED_BYTES = sizeof((struct error *)0)->sentence };

struct visit_view {
    struct visit_sheet sheet;
    struct arena unsaved_arena;
    struct draft unsaved; /* what MODE_OFFER is about */
    struct enter enter;
    int focus;  /* field */
    int reason; /* 0: none given; entering a field takes it back */
    char reason_text[EDITOR_BYTES];
    int left_open;            /* the required field whose emptiness was said once; -1 */
    struct pages why, review; /* of the upper part; of the review or the reasons */
    char happened[VISIT_HAPPENED_BYTES];
    bool compared, agreed; /* what was saved meanwhile stands on a screen above; and was read */
};

/* ---- modes (visit_screen.c) ---- */

/* Goes to a field. A reason that was given is none for what is entered from here on. */
void visit_view_focus(struct visit_view *view, int index);

/* Appends what is permitted of an amount: "permitted 1.25 if sound" (visit_hint.c). */
void visit_view_permitted(const struct visit_view *view, const struct sheet_field *field,
                          struct text *out);

/* ---- questions (visit_ask.c) ---- */

/* Finds the unsaved visit of the case; then MODE_OFFER is on. */
enum status visit_ask_find(struct ui *ui, struct visit_view *view, struct error *error);
/* Fills the sheet from the unsaved visit, and goes to the first field that is still open. */
void visit_ask_go_on(struct ui *ui, struct visit_view *view);
/* The answer to what MODE_OFFER, MODE_OFFER_SURE, MODE_LEAVE or MODE_LEAVE_SURE asks. */
void visit_ask_answer(struct ui *ui, struct visit_view *view, enum command command);

/* ---- reasons, review, saving (visit_review.c) ---- */

/* To the review; first to the reason or to the field that is missing. */
void visit_review(struct ui *ui, struct visit_view *view);
/* Back from what was saved meanwhile: to the review once more where the verdict is the same. */
void visit_review_resume(struct ui *ui, void *state);
/* A key in MODE_REVIEW, MODE_REASON, MODE_REASON_TEXT. */
void visit_review_key(struct ui *ui, struct visit_view *view, enum command command,
                      const struct key *key);
void visit_reason_key(struct ui *ui, struct visit_view *view, enum command command,
                      const struct key *key);
void visit_reason_text_key(struct ui *ui, struct visit_view *view, enum command command,
                           const struct key *key);

/* ---- drawing ---- */

/* Draws the screen into rows 0 ... rows - 1. */
void visit_view_draw(struct ui *ui, void *state, int rows);

/* Draws who it is, always, and the day of the visit when it is not today: name and birth date in
 * name_rows, alerts in alert_rows at most. Returns the rows it took. */
int visit_who_draw(struct ui *ui, struct visit_view *view, int name_rows, int alert_rows);

/* Draws the verdicts, the reasons for them and the past into the box; caution: also the caution
 * line, below. */
void visit_why_draw(struct ui *ui, struct visit_view *view, int row, int rows, bool caution);
/* Rows the verdicts alone take, and the row that says that more is below. */
int visit_why_least(struct ui *ui, struct visit_view *view);

/* Appends what may be typed now. */
void visit_view_hint(struct ui *ui, const void *state, struct text *out);

/* Is a field focused in which a point can not be typed now, so that it pages? */
bool visit_view_pages_by_point(const struct visit_view *view);

/* Rows the table of fields takes, and the table itself (80 columns), from row on. */
int visit_table_rows(const struct visit_view *view);
void visit_table_draw(struct ui *ui, const struct visit_view *view, int row);

/* Draws as many fields as there are rows, one a row, around the focused one. */
void visit_rows_draw(struct ui *ui, const struct visit_view *view, int row, int rows);

#endif
