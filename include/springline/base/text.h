/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * UTF-8 text: a growable buffer, and what may be stored, compared and shown.
 * Widths are terminal cells by a table of our own (the C library's wcwidth of Unicode 15, checked
 * against it), so that no result depends on the locale; unknown characters count 1.
 */
#ifndef SPRINGLINE_BASE_TEXT_H
#define SPRINGLINE_BASE_TEXT_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "springline/base/arena.h"
#include "springline/base/error.h"

/* A growable, always NUL-terminated text. A zeroed struct is a valid empty text. */
struct text {
    char *data; /* NULL while empty; owned; release with text_release */
    size_t length;
    size_t capacity;
    bool failed; /* sticky: an append ran out of memory and later ones do nothing; check at the end
                  */
};

/* Appends; on exhausted memory sets failed and changes nothing else. */
void text_append(struct text *text, const char *bytes, size_t length);
/* Appends a NUL-terminated string (NULL counts as ""). */
void text_add(struct text *text, const char *string);
/* Appends one byte. */
void text_add_byte(struct text *text, char byte);
/* Appends printf-formatted text. */
void text_addf(struct text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* Empties, keeps the memory, and forgets that an append failed. */
void text_clear(struct text *text);
/* Frees the memory; the text is empty and usable afterwards. */
void text_release(struct text *text);
/* The content, "" while empty; valid until the next append. */
const char *text_string(const struct text *text);

/* Longest text cell that is stored, in characters (a 200-character name must fit). */
enum { TEXT_CELL_CHARACTERS = 400, TEXT_NOTE_CHARACTERS = 4000 };

/*
 * Most characters without a cell of their own that may stand on one letter. A pile of them covers
 * the lines above and below it. A setting of our own: the tallest Tibetan stack that we know has
 * eight (from memory); UAX #15 lets 30 stand for the sake of buffers, not of readers.
 */
enum { TEXT_MARKS_MOST = 10 };

/*
 * Decodes one character at text (at most length bytes). Returns the bytes used and sets *character;
 * 0 when the bytes are not valid UTF-8 (RFC 3629: no overlong forms, no surrogates, <= U+10FFFF)
 * or length is 0.
 */
size_t text_decode(const char *text, size_t length, uint32_t *character);

/*
 * What keeps a character from being stored and from being shown as it is ("a control character"),
 * by the list at text_check; NULL: nothing. A constant, not owned.
 */
const char *text_trouble(uint32_t character);

/* True when all length bytes are valid UTF-8. */
bool text_is_utf8(const char *text, size_t length);

/*
 * May this be stored? Valid UTF-8 of at most max_characters, none of them a C0 or C1 control, DEL,
 * a bidi control (U+061C, U+200E/F, U+202A-202E, U+2066-2069), an invisible character or a
 * noncharacter, and no more than TEXT_MARKS_MOST marks on one letter. Invisible: U+2028/9,
 * U+FFF9-FFFB, and what Unicode 14 calls Default_Ignorable_Code_Point but for what scripts need
 * (U+200C/D, U+180B-180D, U+180F, and the variation selectors U+FE00-FE0F and U+E0100-E01EF).
 * OK, or STATUS_INPUT with a sentence that says which character stands where. where names the
 * field.
 */
enum status text_check(const char *text, size_t length, size_t max_characters, const char *where,
                       struct error *error);

/* Fewer letters say nothing: a setting of our own, no source. */
enum { TEXT_SAYS_LETTERS = 3 };
/*
 * Does it say anything, as a reason must? At least TEXT_SAYS_LETTERS letters of any script, told
 * from signs, digits and pictures by their blocks: neither "." nor "ok" does. NULL says nothing.
 */
bool text_says(const char *text);

/* Cells one character takes: 0 (combining), 1 or 2; 1 for what is in trouble (shown as '?'). */
int text_character_width(uint32_t character);

/* Cells the text takes on a terminal; a byte that is not UTF-8, and a mark too many, take one
 * (shown as '?'). */
int text_width(const char *text);

/*
 * Appends text cut to at most cells cells, padded with blanks to exactly cells when pad is true;
 * a cut is marked by a final '~'. Never splits a character. What text_check refuses comes as '?'.
 */
void text_fit(struct text *out, const char *text, int cells, bool pad);

/*
 * Appends text for a terminal or a plain output: controls, bidi controls, invisible characters,
 * bytes that are not UTF-8 and marks beyond TEXT_MARKS_MOST come as \xHH or \u{HHHH}, so that
 * nothing stored can steer a terminal (CWE-150).
 */
void text_add_shown(struct text *out, const char *text);

/*
 * Appends text broken between words into lines of at most columns cells, the first after lead, the
 * others indented by as many blanks as lead is wide; shown as text_add_shown does, each line ended.
 * A word that is longer than a line is broken where it must.
 */
void text_add_wrapped(struct text *out, const char *lead, const char *text, int columns);

/*
 * Appends the folded form for search: lower case, marks stripped, letters with strokes by table
 * (o-slash o, l-stroke l, d-stroke d, sharp s ss, ae, oe, thorn th ...). Case- and accent-blind.
 */
void text_add_folded(struct text *out, const char *text);

/*
 * Does a search for word, one without blanks, find folded? Where it occurs; where it does once
 * apostrophes and hyphens are left out of both ("olan" in "o'lanternhan"); and where folded begins
 * with a number that word is short for ("c35": "c-0035"). Both are folded already.
 */
bool text_finds(const char *folded, const char *word);
/* Appends a folded text without its apostrophes and hyphens. */
void text_add_bare(struct text *out, const char *folded);
/* The letters a number such as "c-0035" begins with, *digits where its digits begin behind hyphens
 * and zeros; 0: it is no such number. */
size_t text_number(const char *folded, size_t length, size_t *digits);

/* True when folded needle (already folded) occurs in the folded form of text. */
bool text_matches(const char *text, const char *folded_needle);

#endif
