/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The head of the case screen. */
#ifndef SPRINGLINE_UI_CASE_DRAW_H
#define SPRINGLINE_UI_CASE_DRAW_H

#include "springline/app/case_view.h"
#include "springline/ui/ui.h"

/* Appends number, name, birth date and stage, as far as the title has room: the name is squeezed,
 * the rest stands in the head then. */
void case_title_add(struct ui *ui, const struct case_view *view, struct text *out);

/*
 * Draws the head from row on into at most rows rows: what must always be seen first, in brief where
 * there is no room; then as many of the other lines as fit beside the list, then the caution line.
 * Returns the rows it took.
 */
int case_head_draw(struct ui *ui, const struct case_view *view, int row, int rows);

/* Appends the kind of record where it alone tells what the row is: "trainer: " before "issued". */
void case_section_add(const struct case_row *row, struct text *out);

/* Appends the row whole, as far as the hint has room: on a small screen the head comes first. */
void case_hint_add(struct ui *ui, const struct case_row *row, struct text *out);

#endif
