/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the three files that know curses share. */
#ifndef SPRINGLINE_UI_TERMINAL_PRIVATE_H
#define SPRINGLINE_UI_TERMINAL_PRIVATE_H

#include <signal.h>
#include <stdbool.h>
#include <stdint.h>

#include "springline/ui/display.h"
#include "springline/ui/terminal.h"

enum { ENDING_SIGNALS = 4, CODE_NOTHING = -1, CODE_NONE_HELD = -2 };

struct terminal {
    struct screen *screen; /* curses' SCREEN */
    struct _win_st *input; /* a pad: reading from it repaints nothing */
    int in, out;           /* file descriptors */
    bool plain, colours, ready_mark;
    bool unmarked; /* something happened since the last ready mark */
    unsigned marks;
    struct cell *shown; /* the cells that stdscr holds; NULL: not known */
    int shown_rows, shown_columns;
    int held;             /* a code that was read too far; CODE_NONE_HELD */
    bool pasting;         /* inside a paste */
    bool paste_begins;    /* nothing of it was read yet */
    bool paste_cr;        /* its last character was CR */
    int64_t escape_at_ms; /* when a lone ESC was read: the rest of a split sequence may follow */
    int failures;         /* reads in a row that failed although input was there */
    char *keypad_on, *keypad_off; /* our own strings for curses, see terminal_modes.c */
    struct sigaction before[ENDING_SIGNALS];
};

/* Milliseconds of a clock that never runs back. */
int64_t terminal_now_ms(void *self);

/* The next byte (0 to 255) or key code of curses; CODE_NOTHING after wait_ms without one. */
int terminal_code(struct terminal *terminal, int wait_ms);

/* The next frame is compared with nothing: stdscr was changed by curses itself. */
void terminal_forget(struct terminal *terminal);

/* The next frame is sent whole, behind a wipe of what scrolled off, where the terminal can. */
void terminal_wipe(void *self);

/* Names the sequences that terminals send and terminfo does not know. */
void terminal_define_keys(void);

/* Turns a code just read, and what belongs to it, into a key. False: it means nothing. */
bool terminal_decode(struct terminal *terminal, int code, struct key *key);

enum terminal_kind { KIND_UNKNOWN, KIND_NO_CURSOR, KIND_GOOD };

/* Is the kind of terminal known, and can it place its cursor? Sends nothing to it. Asked before
 * curses is opened, because a failing newterm keeps memory that nobody can free. */
enum terminal_kind terminal_kind_of(const char *name, int out);

/*
 * Makes curses send our modes whenever it enters or leaves the screen, on suspend and resume too:
 * bracketed paste on, and the keypad sends digits. Without memory the entry's own strings stay.
 */
void terminal_take_modes(struct terminal *terminal);

#endif
