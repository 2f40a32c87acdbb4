/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A picture being drawn on cells: picture_text.c lays it out, picture_parts.c draws the parts. */
#ifndef SPRINGLINE_APP_PICTURE_DRAWING_H
#define SPRINGLINE_APP_PICTURE_DRAWING_H

#include "picture_canvas.h"
#include "springline/app/picture.h"

enum { PICTURE_GUTTER = 8 }; /* cells of the numbers beside an axis, and of the axis */

enum { PART_WIDTHS, PART_SUMS, PART_WEAR, PART_COUNT };

struct part { /* rows of the canvas that share one axis */
    int top, rows;
    const struct scale *scale; /* NULL: nothing is drawn in it */
};

struct drawing {
    const struct picture *picture;
    struct canvas canvas;
    struct scale dates;
    struct part parts[PART_COUNT];
    bool braille;
};

/* The column of a date, the row of a value; the same in dots. */
int drawing_column(const struct drawing *drawing, day date);
int drawing_row(const struct part *part, int64_t value);
int drawing_x(const struct drawing *drawing, day date);
int drawing_y(const struct part *part, int64_t value);

/* What the parts show, in this order: later signs stand above earlier ones. */
void drawing_target(struct drawing *drawing);
void drawing_marks(struct drawing *drawing);
void drawing_widths(struct drawing *drawing);
void drawing_steps(struct drawing *drawing);
void drawing_wear(struct drawing *drawing);
/* The letters of the marks, where they hide nothing. */
void drawing_letters(struct drawing *drawing);

/* "F" fitted, "P" left in passively, "x" out for a rest, "X" out. */
char picture_letter(enum picture_event event);
/* "s", "d", "t" by the source, "?" for none. */
char picture_source(enum source source);

/* Appends what is not on it: " Not drawn: 2 widths at another place or landmark." */
void picture_left_out(const struct picture *picture, struct text *out);

#endif
