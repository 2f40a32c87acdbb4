/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tooth numbers by ISO 3950 (two digits): 52 codes, permanent 11-48 and deciduous 51-85. */
#ifndef SPRINGLINE_CORE_TOOTH_H
#define SPRINGLINE_CORE_TOOTH_H

#include "springline/base/error.h"
#include "springline/core/record.h"

/* True for the 32 permanent and 20 deciduous codes; false for 19, 50, 56, 86, 90 ... */
bool tooth_exists(int code);
/* The arch of a tooth that exists (quadrants 1 2 5 6 upper, 3 4 7 8 lower). */
enum arch tooth_arch(int code);
/* The side of a tooth that exists (quadrants 1 4 5 8 right). */
enum side tooth_side(int code);
/* The same tooth of the other side, of a tooth that exists: 12 -> 22, 53 -> 63. */
int tooth_antimere(int code);

/*
 * Reads "16-26": two teeth that exist, both of arch (ARCH_NONE: any one arch), one right and one
 * left, the right one first (given the other way round they are turned). STATUS_INPUT with a
 * sentence; *teeth untouched on failure.
 */
enum status teeth_from_text(const char *text, enum arch arch, const char *where,
                            struct teeth *teeth, struct error *error);
/* Writes "16-26", or "" when not recorded. Returns buffer. */
char *teeth_to_text(struct teeth teeth, char buffer[8]);

/*
 * Reads the spelling of hardware (record.h): "" -> not recorded, "intact", or a list with ';'.
 * Unknown words, a fault named twice and "intact" beside a fault are refused.
 */
enum status hardware_from_text(const char *text, const char *where, uint32_t *hardware,
                               struct error *error);
enum { HARDWARE_TEXT_SIZE = 400 };
/* Writes the canonical spelling. Returns buffer. */
char *hardware_to_text(uint32_t hardware, char buffer[HARDWARE_TEXT_SIZE]);

#endif
