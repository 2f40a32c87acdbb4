/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The few shapes of SVG 1.1 that a picture needs. Places are whole tenths of a user unit, so that
 * no number depends on a locale or can be none; texts are made harmless (text_add_shown) and
 * escaped, whatever is in them.
 */
#ifndef SPRINGLINE_APP_SVG_H
#define SPRINGLINE_APP_SVG_H

#include <stdint.h>

#include "springline/base/text.h"

enum svg_dash { /* lines are told apart by these, never by colour alone */
                DASH_NONE,
                DASH_LONG,
                DASH_SHORT,
                DASH_DOTS,
                DASH_FAINT /* thin: an axis' help line */
};

enum svg_anchor { ANCHOR_START, ANCHOR_MIDDLE, ANCHOR_END };

/* Appends "12.3" for 123. */
void svg_number(struct text *out, int64_t tenths);
/* Appends a text as the content of an element. */
void svg_escaped(struct text *out, const char *text);
/* A line; width in tenths. */
void svg_line(struct text *out, const int64_t from[2], const int64_t to[2], enum svg_dash dash,
              int width);
/* A line through points: begin, each point, end. */
void svg_path_begin(struct text *out, enum svg_dash dash, int width);
void svg_path_point(struct text *out, int64_t x, int64_t y);
void svg_path_end(struct text *out);
/* Markers, five to each side. */
void svg_circle(struct text *out, int64_t x, int64_t y);
void svg_square(struct text *out, int64_t x, int64_t y);
void svg_triangle(struct text *out, int64_t x, int64_t y);
/* A text of one line; size in tenths. */
void svg_text(struct text *out, int64_t x, int64_t y, enum svg_anchor anchor, int size,
              const char *text);

#endif
