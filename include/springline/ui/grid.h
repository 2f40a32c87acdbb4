/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The picture: rows and columns of cells. Screens draw into it and know nothing of terminals; a
 * back end (display.h) shows it. Everything is clipped here, so no screen can write outside.
 *
 * A cell holds one character with its combining marks, or is the right half of a double-width one.
 * Texts are made harmless on their way in: controls, bidi controls and broken bytes appear as
 * escapes (text_add_shown). A plain grid holds ASCII only: letters lose their marks.
 */
#ifndef SPRINGLINE_UI_GRID_H
#define SPRINGLINE_UI_GRID_H

#include <stdbool.h>
#include <stdint.h>

#include "springline/base/text.h"

/* How a cell looks. Colour is decoration on top of a word or sign that says the same. */
enum look {
    LOOK_PLAIN = 0,
    LOOK_BOLD = 1,
    LOOK_REVERSE = 2,
    LOOK_UNDERLINE = 4,
    LOOK_RED = 0x10,
    LOOK_GREEN = 0x20,
    LOOK_YELLOW = 0x30,
    LOOK_BLUE = 0x40,
    LOOK_MAGENTA = 0x50,
    LOOK_CYAN = 0x60,
    LOOK_COLOUR = 0x70 /* the bits of the colour */
};

enum { CELL_MARKS = 3 };

struct cell {
    uint32_t character;         /* Unicode; blank is ' ' */
    uint32_t marks[CELL_MARKS]; /* combining marks, 0 closes; more are left away */
    uint16_t look;
    uint16_t width; /* 1; 2: the next cell is its right half; 0: is a right half */
};

struct grid {
    int rows, columns;
    struct cell *cells;            /* rows * columns, row by row; owned */
    int cursor_row, cursor_column; /* where the focus is */
    bool plain;                    /* ASCII only */
    struct text scratch;           /* reused between puts */
};

/* Gives the grid a size, at least 1 x 1, and blanks it. False when memory is exhausted: the grid
 * is then as before. A zeroed struct is a valid grid without cells. */
bool grid_resize(struct grid *grid, int rows, int columns);

/* Frees it; the grid has no cells afterwards. */
void grid_release(struct grid *grid);

/* Blanks every cell, cursor home. */
void grid_erase(struct grid *grid);

/*
 * Puts text at row, column into at most cells cells; what does not fit is cut and the cut marked by
 * '~'. Returns the cells used. Places outside the grid are fine: nothing is drawn there.
 */
int grid_put(struct grid *grid, int row, int column, int cells, unsigned look, const char *text);

/* Puts a text that is filled up with blanks of the same look to exactly cells cells. */
void grid_put_padded(struct grid *grid, int row, int column, int cells, unsigned look,
                     const char *text);

/* As grid_put_padded, but the text stands at the right end. */
void grid_put_right(struct grid *grid, int row, int column, int cells, unsigned look,
                    const char *text);

/* Gives cells cells of a row a look and keeps what they hold. */
void grid_look(struct grid *grid, int row, int column, int cells, unsigned look);

/* Cells the text would take in this grid. */
int grid_measure(struct grid *grid, const char *text);

/* Where the text cursor will stand: on the focused item. Clipped into the grid. */
void grid_cursor(struct grid *grid, int row, int column);

/* The cell, or a blank one outside the grid. */
struct cell grid_cell(const struct grid *grid, int row, int column);

/* Appends one row as UTF-8, blanks at its end cut. */
void grid_row_text(const struct grid *grid, int row, struct text *out);

/* Appends every row, each with a line break. */
void grid_text(const struct grid *grid, struct text *out);

/*
 * ASCII for one character: a letter without its mark, a sign that looks like it, or "?". Returns
 * the number of bytes written to out (1 to 7), NUL-terminated.
 */
int grid_transliterate(uint32_t character, char out[8]);

#endif
