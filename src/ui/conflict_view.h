/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the parts of the screen of what was saved meanwhile share. */
#ifndef SPRINGLINE_UI_CONFLICT_VIEW_H
#define SPRINGLINE_UI_CONFLICT_VIEW_H

#include "enter.h"
#include "springline/ui/screens.h"

struct conflict_view {
    struct conflict_argument argument;
    int focus; /* the field to be decided; -1: there is none */
    struct pages pages;
    bool follow;          /* the next frame shows the focused field */
    bool focus_seen;      /* the last one did: only what is seen is decided */
    bool read;            /* its end was seen */
    int64_t opened_at_ms; /* the key that saved, bouncing, decides nothing */
};

/* Draws the screen into rows 0 ... rows - 1 (conflict_draw.c). */
void conflict_view_draw(struct ui *ui, void *state, int rows);

#endif
