/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Answers typed as digits: on the visit sheet and on every form. */
#ifndef SPRINGLINE_APP_DIGITS_H
#define SPRINGLINE_APP_DIGITS_H

#include <stdbool.h>
#include <stdint.h>

/* A whole number of at most four digits; -1 when it is none. */
int32_t digits_number(const char *typed);

/* "0", or the digits of the hardware faults, each with r or l behind it where the side is known:
 * the number of record.h. False: it is none of these. */
bool digits_faults(const char *typed, uint32_t *hardware);

/* Writes "Press one of 0 no, 1 yes." of the choices that are there (NULL and "": a gap). */
void digits_say_choices(const char *const *choices, int count, char sentence[200]);

#endif
