/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lines of running text, wrapped to a width and shown from any row on: the past, the why, help. */
#ifndef SPRINGLINE_UI_PANEL_H
#define SPRINGLINE_UI_PANEL_H

#include "springline/base/arena.h"
#include "springline/ui/grid.h"

struct panel_line {
    const char *text;
    unsigned look;
    int hang;                      /* cells by which wrapped rows are indented */
    size_t mark_from, mark_length; /* bytes of the text that look different, and how */
    unsigned mark;
    unsigned edge; /* how the cell before them looks; 0: like the rest */
};

struct panel {
    struct arena arena;
    struct panel_line *lines;
    size_t count, capacity;
    bool failed;       /* sticky: memory ran out, a line is missing */
    const char *below; /* what to say where more is below; NULL: "more below: PageDown" */
};

/* Adds one line; the text is copied. */
void panel_add(struct panel *panel, unsigned look, int hang, const char *text);

/* Adds one line in which the first place of word looks different, and, where edge is not 0, the
 * cell before it on the same row; like panel_add where there is no such word. */
void panel_add_marked(struct panel *panel, unsigned look, int hang, const char *text,
                      const char *word, unsigned mark, unsigned edge);

/* Empties it. */
void panel_clear(struct panel *panel);
/* Frees it; empty and usable afterwards. */
void panel_release(struct panel *panel);

/* Rows all lines take when they are wrapped to width cells. */
int panel_rows(struct panel *panel, struct grid *grid, int width);

/*
 * Draws the rows from offset on into the box at row, column of rows x width cells. Returns the rows
 * drawn. Where rows remain above or below, the box's first or last row says so: behind its text, or
 * instead of it where it has no room, so a page is two rows less than the box.
 */
int panel_draw(struct panel *panel, struct grid *grid, int row, int column, int rows, int width,
               int offset);

/*
 * Takes the next piece of at most width cells off text, cut at a blank where there is one: sets
 * *piece and *length (bytes), returns where the rest begins; NULL when nothing is left.
 */
const char *panel_wrap(struct grid *grid, const char *text, int width, const char **piece,
                       size_t *length);

#endif
