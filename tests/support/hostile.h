/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What text can be that somebody means ill with, and a store in which it stands in every text
 * column, put there behind the program's back.
 */
#ifndef SPRINGLINE_TESTS_HOSTILE_H
#define SPRINGLINE_TESTS_HOSTILE_H

#include <stdbool.h>
#include <stddef.h>

struct hostile_piece {
    const char *bytes;
    bool refused; /* no text that holds it may be entered or imported */
};

/* Escape sequences, controls of either set, bidi and zero-width characters, tags, noncharacters,
 * broken UTF-8, piles of marks; and what is only odd: wide characters, joined pictures. */
extern const struct hostile_piece hostile_pieces[];
extern const size_t hostile_piece_count;

/* Stand on either side of a piece that is refused: on a screen no blank may follow the first. */
#define HOSTILE_BEFORE "qZ"
#define HOSTILE_AFTER  "Zq"

enum { HOSTILE_SIZE = 4096 };

/* Puts a piece behind the first letter of text: which one, the text decides, so that a number is
 * the same wherever it stands. Returns the bytes written to out, which is NUL-terminated as well;
 * what does not fit is left as it was. */
size_t hostile_text(const char *text, char out[HOSTILE_SIZE]);

/* Does it to every text of a store that somebody's words are in: every FIELD_TEXT of every table,
 * reasons, names copied into states, seats and labels of saves, drafts, stored findings. Triggers
 * go, checks are off. True when it was done. */
bool hostile_spoil(const char *path);

#endif
