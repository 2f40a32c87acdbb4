/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What may stand on a terminal, said a second time and apart from base/text.h: from Unicode's own
 * lists, for tests of what the program shows.
 */
#ifndef SPRINGLINE_TESTS_PRINTABLE_H
#define SPRINGLINE_TESTS_PRINTABLE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/*
 * Why a character may not reach a terminal; NULL: it may. Source: Unicode 14, as perl 5.36 has it
 * (General_Category Cc, Cf, Cs, Zl, Zp; Noncharacter_Code_Point; Default_Ignorable_Code_Point). Of
 * Cf the signs that are seen (Arabic, Syriac and Kaithi numbers, hieroglyph joiners) are left out,
 * of both what scripts need: U+200C/D, the variation selectors.
 */
const char *printable_trouble(uint32_t character);

/*
 * Looks for the first thing in length bytes that may not reach a terminal: a character in trouble,
 * or a byte that is not UTF-8. lines: line feeds are good. True when there is none; else *at and
 * *why say where and what (both may be NULL).
 */
bool printable(const char *bytes, size_t length, bool lines, size_t *at, const char **why);

#endif
