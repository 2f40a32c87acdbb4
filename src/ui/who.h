/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who it is, where something is entered: nothing that tells two children apart may be cut away. */
#ifndef SPRINGLINE_UI_WHO_H
#define SPRINGLINE_UI_WHO_H

#include "springline/app/visit.h"
#include "springline/ui/ui.h"

enum { WHO_HANG = 2 };

/* What stands behind the name in the line of a person: the birth date. */
const char *who_behind(const char *line);
/* Appends "C-0007  Fam~, Given" in cells: a long family name makes room for the given name. */
void who_squeeze(struct grid *grid, const struct history *history, int cells, struct text *out);
/* Adds a line in at most rows rows; what is too much is cut, and marked so. */
void who_within(struct panel *panel, struct grid *grid, int cells, int rows, const char *line);
/* Adds who else has the case open, in one row; nothing: nobody. */
void who_elsewhere(const struct ui *ui, struct panel *panel);

#endif
