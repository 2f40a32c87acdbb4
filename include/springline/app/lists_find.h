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

/* Takes the next word of *folded into word, at most size - 1 bytes; false: none is left. */
bool lists_next_word(const char **folded, char *word, size_t size);

#endif
