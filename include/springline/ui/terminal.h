/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The terminal back end, on curses. Opening changes the terminal's modes and the handlers of HUP,
 * TERM, INT and QUIT; closing restores all of it. One at a time.
 */
#ifndef SPRINGLINE_UI_TERMINAL_H
#define SPRINGLINE_UI_TERMINAL_H

#include <stdio.h>

#include "springline/base/error.h"
#include "springline/ui/config.h"
#include "springline/ui/display.h"

struct terminal;

enum charset { CHARSET_UTF8, CHARSET_ASSUMED, CHARSET_ASCII };

/*
 * Chooses the character set: LC_CTYPE alone from the environment (numbers keep their point), then
 * C.UTF-8 where that is not UTF-8 (CHARSET_ASSUMED), then ASCII with letters without their marks.
 * SPRINGLINE_ASCII in the environment, set and not empty, asks for ASCII at once: a terminal may
 * show less than its locale says.
 */
enum charset terminal_locale(void);

/* ASCII, wished for in the settings. */
enum charset terminal_ascii(void);

/*
 * Opens the screen on in and out, which stay the caller's. config (may be NULL): the wait of ESC,
 * unless ESCDELAY is set, and colour. STATUS_UNUSABLE with one sentence: not a terminal (it names
 * the sub-commands), TERM missing, unknown, or unable to move its cursor. An unknown TERM that
 * begins with xterm is taken as xterm-256color.
 */
enum status terminal_open(FILE *in, FILE *out, enum charset charset, const struct config *config,
                          struct terminal **terminal, struct error *error);

/* The display of an open terminal. */
struct display terminal_display(struct terminal *terminal);

/* Restores everything and frees it; NULL is fine. */
void terminal_close(struct terminal *terminal);

#endif
