/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the program remembers for a user from one start to the next: the column each list is sorted
 * by. Kept in a small file of its own (springline.5), apart from the settings, which are the
 * user's hand alone, and from the store, which is everybody's. Losing it loses nothing.
 */
#ifndef SPRINGLINE_UI_MEMORY_H
#define SPRINGLINE_UI_MEMORY_H

#include <stdbool.h>

enum { MEMORY_LISTS_MAX = 16, MEMORY_WORD_SIZE = 32 };

struct memory {
    struct remembered {
        char list[MEMORY_WORD_SIZE];   /* the screen's name */
        char column[MEMORY_WORD_SIZE]; /* the head of its column */
    } lists[MEMORY_LISTS_MAX];
    int count;
};

/* Reads the file; what is not there or can not be read is not remembered. */
void memory_load(struct memory *memory, const char *path);

/* The head of the column that a list is sorted by; NULL: as it comes. */
const char *memory_sorted_by(const struct memory *memory, const char *list);

/* Remembers it; NULL: as it comes. False when nothing changed (or there is no room). */
bool memory_sort_by(struct memory *memory, const char *list, const char *column);

/* Writes the file anew (mode 0600), or leaves the old one whole; false: it could not be written. */
bool memory_save(const struct memory *memory, const char *path);

#endif
