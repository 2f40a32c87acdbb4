/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The screens over a real store and no terminal, typed at by scripts. The case is the typical one
 * of case_maker: permitted is one full step of 2.00 mm a side.
 */
#ifndef SPRINGLINE_TESTS_DESK_H
#define SPRINGLINE_TESTS_DESK_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "springline/app/seat.h"
#include "springline/app/visit.h"
#include "springline/ui/headless.h"
#include "springline/ui/ui.h"
#include "store_case.h"

struct desk {
    struct store_case kept;
    struct case_maker maker;
    struct headless headless;
    struct display display;
    struct ui ui;
    struct error error;
    day clock; /* DAY_NONE: stands still */
};

/* Starts the screens, of the size that headless has, over the store that kept has open. */
void desk_sit_down(struct desk *desk);

/* A desk of 80 x 24 with one case and a booking for it today. */
void desk_open(struct desk *desk, const char *name);

/* Ends the screens; the store stays open. */
void desk_stand_up(struct desk *desk);

/* Ends the screens and removes the store. */
void desk_close(struct desk *desk);

/* The program was ended and is started again, at 80 x 24. */
void desk_start_again(struct desk *desk);

/* Another size of the terminal. */
void desk_resize(struct desk *desk, int rows, int columns);

/* Types a script and returns the number of keys. */
int desk_keys(struct desk *desk, const char *script);

/* Is the text on the screen, however it is wrapped? Runs of blanks count as one. */
bool desk_shows(const struct desk *desk, const char *text);

#define assert_shows(desk, text)                                                                   \
    do {                                                                                           \
        if (!desk_shows(desk, text))                                                               \
            fail_msg("not on the screen: %s\n%s", text, text_string(&(desk)->headless.frame));     \
    } while (0)

/* Visits and unsaved visits in the store. */
size_t desk_visits(struct desk *desk);
size_t desk_unsaved(struct desk *desk);

#endif
