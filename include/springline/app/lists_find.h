/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How every list is searched. */
#ifndef SPRINGLINE_APP_LISTS_FIND_H
#define SPRINGLINE_APP_LISTS_FIND_H

#include "springline/base/text.h"

/* Is every word of folded (already folded, parted by blanks) found in one of the texts? NULL among
 * the texts counts as "". */
bool lists_found(const char *const *texts, size_t count, const char *folded);

/* The same in one text that is folded already. */
bool lists_found_folded(const char *text, const char *folded);

/* Fewer digits are a case number: no telephone number may come between it and Enter. */
enum { LISTS_PHONE_LEAST = 5, LISTS_PHONE_SIZE = 32 };
/* The digits of a search for a telephone number, "000 10 0213" as "000100213"; "" it is none. */
void lists_phone_digits(const char *folded, char digits[LISTS_PHONE_SIZE]);
/* Does the telephone number hold these digits, whatever parts its own? "" or NULL: no. */
bool lists_phone_found(const char *phone, const char *digits);

/* Takes the next word of *folded into word, at most size - 1 bytes; false: none is left. */
bool lists_next_word(const char **folded, char *word, size_t size);

#endif
