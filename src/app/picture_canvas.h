/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A picture made of characters: cells that hold a sign each, and, where they hold none and the
 * terminal can show it, eight dots (Unicode braille patterns, U+2800-28FF). Everything is clipped.
 */
#ifndef SPRINGLINE_APP_PICTURE_CANVAS_H
#define SPRINGLINE_APP_PICTURE_CANVAS_H

#include "springline/base/arena.h"
#include "springline/base/text.h"

enum { DOTS_ACROSS = 2, DOTS_DOWN = 4 }; /* in a cell */

struct canvas {
    int columns, rows;
    char *signs;         /* rows * columns; '\0' nothing */
    unsigned char *dots; /* as many: the low byte of the braille pattern */
};

/* An empty canvas; false: no memory. */
bool canvas_make(struct arena *arena, int columns, int rows, struct canvas *canvas);
/* Puts a sign, whatever stood there. */
void canvas_put(struct canvas *canvas, int row, int column, char sign);
/* Puts a sign where none stands. */
void canvas_put_free(struct canvas *canvas, int row, int column, char sign);
/* The sign that stands there; '\0' none, and outside. */
char canvas_at(const struct canvas *canvas, int row, int column);
/* Writes an ASCII text from column on. */
void canvas_write(struct canvas *canvas, int row, int column, const char *text);
/* Sets one dot. */
void canvas_dot(struct canvas *canvas, int x, int y);
/* A line of dots; every: 1 all of them, 2 every second ... */
void canvas_line(struct canvas *canvas, int x, int y, int to_x, int to_y, int every);
/* Appends a row as UTF-8, blanks at its end cut. */
void canvas_row(const struct canvas *canvas, int row, struct text *out);

#endif
