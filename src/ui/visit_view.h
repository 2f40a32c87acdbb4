/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the parts of the visit screen share: keys and modes, drawing. */
#ifndef SPRINGLINE_UI_VISIT_VIEW_H
#define SPRINGLINE_UI_VISIT_VIEW_H

#include "springline/app/seat.h"
#include "springline/app/visit.h"
#include "springline/ui/editor.h"
#include "springline/ui/ui.h"

enum visit_mode {
    MODE_OFFER,      /* an unsaved visit is there: go on with it? */
    MODE_OFFER_SURE, /* throw it away for good? */
    MODE_FIELDS,
    MODE_REASON,      /* why more than permitted: the numbered list */
    MODE_REASON_TEXT, /* and in words */
    MODE_REVIEW,
    MODE_LEAVE, /* not saved: leave? */
    MODE_LEAVE_SURE
};

struct visit_view {
    struct visit_sheet sheet;
    struct arena unsaved_arena;
    struct draft unsaved; /* what MODE_OFFER is about */
    enum visit_mode mode;
    int focus;            /* field */
    struct editor editor; /* of the focused field, the reason's number or its text */
    int reason;           /* 0: none given */
    char reason_text[EDITOR_BYTES];
    int64_t asked_at_ms;  /* when the review line or a question came that Enter answers */
    int64_t bounce_at_ms; /* when a digit was taken at once, */
    uint32_t bounce_key;  /* and which: a double strike of it is no second answer */
    bool paste_stopped;   /* a pasted line was not taken: the lines behind it belong nowhere */
    int left_open;        /* the required field whose emptiness was said once; -1 */
    int why_top;          /* rows the upper part is scrolled by */
};

/* Draws the screen into rows 0 ... rows - 1. */
void visit_view_draw(struct ui *ui, void *state, int rows);

/* Appends what may be typed now. */
void visit_view_hint(struct ui *ui, const void *state, struct text *out);

/* Appends what a field shows when it does not have the focus. */
void visit_view_value(const struct sheet_field *field, struct text *out);

/* Draws one field: the editor when it has the focus, else its value. */
void visit_view_field(struct ui *ui, const struct visit_view *view, int index, int row, int column,
                      int cells);

/* Rows the table of fields takes, and the table itself (80 columns), from row on. */
int visit_table_rows(const struct visit_view *view);
void visit_table_draw(struct ui *ui, const struct visit_view *view, int row);

/* Draws as many fields as there are rows, one a row, around the focused one. */
void visit_rows_draw(struct ui *ui, const struct visit_view *view, int row, int rows);

#endif
