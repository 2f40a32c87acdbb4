/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A closed list of words, each standing for one value of an enum: in files, in the store, on
 * screen. */
#ifndef SPRINGLINE_BASE_WORD_H
#define SPRINGLINE_BASE_WORD_H

#include <stdbool.h>
#include <stddef.h>

struct words {
    const char *name;         /* what the list is of: "arch" */
    const char *const *texts; /* texts[0] is "" (not recorded); texts[v] spells value v */
    size_t count;             /* entries, the empty one included */
};

/* The spelling of value; "" for 0 and for anything out of range. */
const char *word_text(const struct words *words, int value);

/* The value spelled text, exactly; 0 for ""; -1 when the list does not hold it. */
int word_value(const struct words *words, const char *text);

#endif
