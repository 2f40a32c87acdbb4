/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Lengths are whole micrometres in memory (1 mm = 1000) and millimetres with two decimals in text,
 * so no length is ever rounded on its way through a file.
 */
#ifndef SPRINGLINE_BASE_MILLIMETRE_H
#define SPRINGLINE_BASE_MILLIMETRE_H

#include <stdint.h>

#include "springline/base/error.h"

typedef int32_t um;

#define UM_NONE INT32_MIN /* not recorded */

enum { MILLIMETRE_TEXT_SIZE = 16 };

enum millimetre_mark {
    MARK_POINT,         /* files: 1.25 */
    MARK_POINT_OR_COMMA /* fields on screen: 1.25 or 1,25 */
};

/*
 * Reads an optional '-', digits, at most one mark and at most two decimals; |value| <= 999.99 mm.
 * STATUS_INPUT with a sentence that names what is wrong (comma where a point is needed, letters,
 * three decimals, two marks, empty) and where; *value untouched on failure.
 */
enum status millimetre_from_text(const char *text, enum millimetre_mark mark, const char *where,
                                 um *value, struct error *error);

/* Writes the value with two decimals ("1.25", "-0.50"), or "" for UM_NONE. Values of the program
 * are whole hundredths; others are rounded half away from zero. Returns buffer. */
char *millimetre_to_text(um value, char buffer[MILLIMETRE_TEXT_SIZE]);

#endif
