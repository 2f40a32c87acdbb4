/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "standing.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include <cmocka.h>

void standing_hang_up(struct screen *screen, const char *name)
{
    screen_close_master(screen);
    int ended = screen_wait_exit(screen, 0);
    if (ended != 0)
        fail_msg("%s: a dropped line did not end it well: %d", name, ended);
    screen_free(screen);
}

/* The order that keys struck at random gave a list is remembered by the program, and is none of the
 * next screen's. */
static void forget_orders(void)
{
    const char *state = getenv("XDG_STATE_HOME");
    char path[PRACTICE_PATH];

    assert_non_null(state);
    snprintf(path, sizeof path, "%s/springline/lists", state);
    (void)unlink(path);
}

void standing_each(const char *name, int rows, int columns, const char *const *environment,
                   standing_bearer bear)
{
    for (int i = 0; i < places_of_screens_count; i++) {
        const struct place_of_screen *place = &places_of_screens[i];
        struct practice practice = {0};

        forget_orders();
        practice_open(&practice, name);
        struct screen *screen = practice_screen(&practice, rows, columns, environment);
        places_go(screen, place, rows >= STANDING_ROWS);
        bear(&practice, screen, place);
        practice_close(&practice);
    }
}

void standing_rows(struct screen *screen, int rows, struct text *out)
{
    text_clear(out);
    for (int row = 0; row < rows; row++)
        text_addf(out, "%s\n", screen_row(screen, row));
}
