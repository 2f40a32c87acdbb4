/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the parts of the form screen share: keys and modes, drawing. */
#ifndef SPRINGLINE_UI_FORM_VIEW_H
#define SPRINGLINE_UI_FORM_VIEW_H

#include "enter.h"
#include "springline/app/conflict.h"

enum {
    FORM_WIDE_COLUMNS = 80, /* from here on there is room beside a value */
    FORM_HAPPENED_BYTES = sizeof((struct error *)0)->sentence
};

struct form_view {
    struct form form;
    struct draft unsaved; /* what MODE_OFFER is about; texts in the arena of the form */
    struct enter enter;
    int focus;     /* field; -1: the form has none to enter */
    int left_open; /* the required field whose emptiness was said once; -1 */
    int top;       /* rows of the fields scrolled by */
    int page;      /* fields a page has */
    bool needs_reason;
    char reason[EDITOR_BYTES];
    struct arena review_arena;
    struct lines review;      /* what will be saved, and what follows from it */
    struct pages pages;       /* of it */
    struct conflict conflict; /* what was saved meanwhile, while its screen stands above */
    char happened[FORM_HAPPENED_BYTES];
    bool compared, agreed; /* it stands there; and was decided */
};

static inline bool form_view_has_fields(const struct form_view *view)
{
    return view->focus >= 0;
}

/* ---- modes (form_screen.c) ---- */

/* Goes to a field. */
void form_view_focus(struct form_view *view, int index);
/* Sets the focused field to what is typed, right or wrong, and says what is wrong with it. False:
 * it is wrong. */
bool form_view_keep(struct ui *ui, struct form_view *view);
/* Writes the draft; a failure becomes the message. */
void form_view_put_draft(struct ui *ui, const struct form_view *view);

/* ---- questions, reason, review, saving (form_ask.c) ---- */

/* Finds the unsaved entries of this form; then MODE_OFFER is on. */
enum status form_ask_find(struct ui *ui, struct form_view *view, struct error *error);
/* The answer to what MODE_OFFER, MODE_OFFER_SURE, MODE_LEAVE or MODE_LEAVE_SURE asks. */
void form_ask_answer(struct ui *ui, struct form_view *view, enum command command);
/* To the review; first to the field that is missing, or to the reason. */
void form_ask_review(struct ui *ui, struct form_view *view);
/* The same for a form without fields; on failure it can not be opened. */
enum status form_ask_at_once(struct ui *ui, struct form_view *view, struct error *error);
/* A key in MODE_REASON_TEXT, MODE_REVIEW. */
void form_ask_reason_key(struct ui *ui, struct form_view *view, enum command command,
                         const struct key *key);
void form_ask_review_key(struct ui *ui, struct form_view *view, enum command command,
                         const struct key *key);

/* Back to the last field; a form without fields is left. */
void form_ask_fields(struct ui *ui, struct form_view *view);

/* ---- what was saved meanwhile (form_conflict.c) ---- */

/* Nothing could be saved: puts both side by side on a screen of their own. */
void form_conflict_show(struct ui *ui, struct form_view *view, const struct error *error);
/* Back from there: on to the review over what is recorded now, or to the fields. */
void form_conflict_resume(struct ui *ui, void *state);

/* ---- drawing (form_draw.c, form_hint.c) ---- */

/* Draws the screen into rows 0 ... rows - 1. */
void form_view_draw(struct ui *ui, void *state, int rows);
/* Appends what may be typed now. */
void form_view_hint(struct ui *ui, const void *state, struct text *out);
/* Appends the choices of a field with their digits: "1 yes  2 no". */
void form_view_add_choices(const struct form_field *field, struct text *out);

#endif
