/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The demo practice in a store of its own, and the real program over it: on a pty or on pipes. */
#ifndef SPRINGLINE_TESTS_PRACTICE_H
#define SPRINGLINE_TESTS_PRACTICE_H

#include "screen.h"

enum { PRACTICE_PATH = 512, PRACTICE_OUTPUT = 65536 };

struct practice {
    char path[PRACTICE_PATH];     /* of the store */
    char today[64];               /* "SPRINGLINE_TODAY=..." of the demo's anchor day */
    char output[PRACTICE_OUTPUT]; /* what the last practice_run printed, stdout and stderr */
};

/* A new store in TMPDIR with the demo imported once a program, copied from then on. Fails the test
 * when that does not work. */
void practice_open(struct practice *practice, const char *name);

/* Removes the store. */
void practice_close(struct practice *practice);

/* Runs the program over the store with these arguments (closed by NULL) and no terminal. Returns
 * its exit status, -N when signal N ended it. */
int practice_run(struct practice *practice, const char *const *arguments);

/* The program on a pty of this size over the store. more (may be NULL): further environment, as in
 * struct screen_options. Waits for its first screen. */
struct screen *practice_screen(struct practice *practice, int rows, int columns,
                               const char *const *more);

/* Lets so many ms pass by the monotonic clock: for what the program does by time on purpose. */
void practice_pass(struct screen *screen, int milliseconds);

/* Types as a person does: key by key, and a key struck again, or Enter, only after the hand has
 * left the one before. */
void practice_type(struct screen *screen, const char *keys);

/* Fails, with the screen, unless some row holds the text. */
void practice_shows(struct screen *screen, const char *text);

#endif
