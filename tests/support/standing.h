/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The standing set's walk: each screen in turn, in a practice and a program of its own.
 */
#ifndef SPRINGLINE_TESTS_STANDING_H
#define SPRINGLINE_TESTS_STANDING_H

#include "places.h"
#include "springline/base/text.h"

enum { STANDING_ROWS = 24, STANDING_COLUMNS = 80 };

/* What a screen bears. It ends the program, but neither closes the practice. */
typedef void (*standing_bearer)(struct practice *practice, struct screen *screen,
                                const struct place_of_screen *place);

/* Walks to every screen anew and lets it bear something. name: of the practice's file. */
void standing_each(const char *name, int rows, int columns, const char *const *environment,
                   standing_bearer bear);

/* Ends the program by a hang-up, which every screen must take, and frees the screen. */
void standing_hang_up(struct screen *screen, const char *name);

/* The first so many rows, a line each. */
void standing_rows(struct screen *screen, int rows, struct text *out);

#endif
