/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every screen of the program, and the keys that lead to it over the demo practice. */
#ifndef SPRINGLINE_TESTS_PLACES_H
#define SPRINGLINE_TESTS_PLACES_H

#include "practice.h"

struct place_of_screen {
    const char *name;
    const char *keys;  /* from the first screen; '~' waits until a bounce would be over */
    const char *shown; /* what stands there then */
    bool list;         /* Tab sorts it by its next column */
};

extern const struct place_of_screen places_of_screens[];
extern const int places_of_screens_count;

/* Types the keys that lead there, and fails unless the screen shows what it must; where it is too
 * small for that, all is false. */
void places_go(struct screen *screen, const struct place_of_screen *place, bool all);

#endif
