/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Answers typed as digits: on the visit sheet and on every form. */
#ifndef SPRINGLINE_APP_DIGITS_H
#define SPRINGLINE_APP_DIGITS_H

#include <stdbool.h>
#include <stdint.h>

#include "springline/base/millimetre.h"
#include "springline/base/word.h"

/* So far apart two widths of one measure are no plain step: asked about once, at the chair and on
 * every form. Setting. */
enum { WIDTH_JUMP_UM = 2000 };
bool digits_width_jumps(um value, um before);

/* A whole number of at most four digits; -1 when it is none. */
int32_t digits_number(const char *typed);

/* "0", or the digits of the hardware faults, each with r or l behind it where the side is known:
 * the number of record.h. False: it is none of these. */
bool digits_faults(const char *typed, uint32_t *hardware);

/* Writes "Press one of 0 no, 1 yes." of the choices that are there (NULL and "": a gap). */
void digits_say_choices(const char *const *choices, int count, char sentence[200]);

/*
 * A value of a list as the digit it is chosen by, and as the word shown beside it. A digit means
 * the same at the chair and on every form: an answer is 0 no, 1 yes; tissue is 0 sound (spelled
 * "none" in files), 1 mild, 2 wound; every other list counts from 1.
 */
int digits_of_value(const struct words *words, int value);
/* The value of a digit; 0: the digit stands for none. */
int digits_value(const struct words *words, int digit);
/* "sound" for the tissue that files call "none"; else the word of the list. */
const char *digits_word(const struct words *words, int value);

#endif
