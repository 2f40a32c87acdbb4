/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A practice that works: the demo, and then visits entered on the sheet and on forms, day after
 * day, with everything between them that a verdict must not be judged by: corrections, withdrawals,
 * other settings, repeats that change the width error, further expanders. What is typed is random
 * from a seed; all of it is invented. Every call fails the test when the store says no.
 */
#ifndef SPRINGLINE_TESTS_ENTERED_H
#define SPRINGLINE_TESTS_ENTERED_H

#include "springline/app/app.h"

struct entered {
    char path[500]; /* of the store */
    struct app app;
    struct store_source source;
    instant now;
    uint64_t random;
    struct error error;
    struct id *cases; /* of the store as it was opened */
    size_t case_count;
    /* what was done */
    int sheets, both_arches, overrides, forms, corrected, withdrawn, settings, fitted;
};

/* The demo in a store of its own, opened. */
void entered_open(struct entered *entered, const char *name, uint64_t seed);
/* Some days pass and every case comes by, or does not. */
void entered_round(struct entered *entered);
/* A whole number below most, from the seed. */
int entered_random(struct entered *entered, int most);
/* Closes the store, and opens it again. */
void entered_shut(struct entered *entered);
void entered_reopen(struct entered *entered);
/* Closes the store and removes it. */
void entered_close(struct entered *entered);

#endif
