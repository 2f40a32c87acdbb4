/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What screen.c (running, sending, waiting) and screen_look.c (looking) share; not for tests. */
#ifndef SPRINGLINE_TESTS_SCREEN_INNER_H
#define SPRINGLINE_TESTS_SCREEN_INNER_H

#include "screen.h"

#include <vterm.h>

enum { SCREEN_TAIL_BYTES = 500, SCREEN_HELD_BYTES = 64, SCREEN_READ_BYTES = 16384 };

struct screen {
    int master;       /* the harness's end of the pseudo-terminal; -1 once closed */
    int process_fd;   /* readable once the program has ended */
    pid_t process;    /* 0 once reaped */
    int exit_status;  /* as screen_wait_exit answers, once process is 0 */
    bool line_closed; /* nothing more will come from the program */
    VTerm *terminal;
    VTermScreen *cells;
    bool cursor_visible;
    bool alternate;
    FILE *log; /* NULL: nobody wants the bytes */
    int rows, columns;
    char **row_text; /* one buffer a row, for screen_row */
    char *pending;   /* bytes still to be sent to the program */
    size_t pending_length, pending_room;
    char tail[SCREEN_TAIL_BYTES]; /* a ring of the last bytes received */
    char held[SCREEN_HELD_BYTES]; /* the beginning of a ready mark: the rest is still to come */
    size_t held_length;
    size_t received, mark_bytes;
    unsigned ready_count, ready_wanted;
    int64_t ready_at_ns;
};

#endif
