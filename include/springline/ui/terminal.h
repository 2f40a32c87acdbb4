/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The terminal back end, on curses. Opening changes the terminal's modes and the handlers of HUP,
 * TERM, INT and QUIT; closing restores all of it. One at a time.
 */
#ifndef SPRINGLINE_UI_TERMINAL_H
#define SPRINGLINE_UI_TERMINAL_H

#include "springline/base/error.h"
#include "springline/ui/display.h"

struct terminal;

/*
 * Chooses the character set: LC_CTYPE alone from the environment (numbers keep their point), then
 * C.UTF-8 where that is not UTF-8. True when texts may be UTF-8; false: ASCII only.
 */
bool terminal_locale(void);

/*
 * Opens the screen on standard input and output. STATUS_UNUSABLE with one sentence: not a terminal
 * (it names the sub-commands), TERM missing, unknown, or unable to move its cursor. An unknown TERM
 * that begins with xterm is taken as xterm-256color. utf8: what terminal_locale answered.
 */
enum status terminal_open(bool utf8, struct terminal **terminal, struct error *error);

/* The display of an open terminal. */
struct display terminal_display(struct terminal *terminal);

/* Restores everything and frees it; NULL is fine. */
void terminal_close(struct terminal *terminal);

#endif
