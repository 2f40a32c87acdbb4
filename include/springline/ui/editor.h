/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One line of text being typed: by character (a letter goes with its marks), without a mask. */
#ifndef SPRINGLINE_UI_EDITOR_H
#define SPRINGLINE_UI_EDITOR_H

#include "springline/app/command.h"
#include "springline/ui/grid.h"
#include "springline/ui/key.h"

enum { EDITOR_BYTES = 512 };

struct editor {
    char text[EDITOR_BYTES];
    size_t length, cursor; /* bytes */
    int most;              /* characters; 0: as many as there is room for */
    bool fresh;            /* just filled: the first character typed replaces all of it */
};

/* Fills the line, cursor at its end. fresh: the first character typed replaces the text. */
void editor_set(struct editor *editor, const char *text, int most, bool fresh);

/* Inserts a character at the cursor. False, nothing changed, when it may not stand in a stored text
 * (text_trouble), or the line is full. */
bool editor_insert(struct editor *editor, uint32_t character);

/* Does one of the editing commands (COMMAND_LEFT ... COMMAND_CLEAR). False when command is none. */
bool editor_command(struct editor *editor, enum command command);

/* Draws it into cells cells, scrolled so that the cursor is seen; places the grid's cursor. */
void editor_draw(const struct editor *editor, struct grid *grid, int row, int column, int cells,
                 unsigned look);

#endif
