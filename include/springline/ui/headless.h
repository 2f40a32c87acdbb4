/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The back end without a terminal: keys come from a script, the frame is kept as a grid. */
#ifndef SPRINGLINE_UI_HEADLESS_H
#define SPRINGLINE_UI_HEADLESS_H

#include "springline/ui/display.h"

struct headless {
    int rows, columns;
    const char *script; /* what is still to be typed: keys as headless_key reads them, and
                           "<paste:TEXT>", a paste in which '|' stands for a line break */
    bool paste_begins;
    bool pasting;     /* the script stands inside a paste */
    int64_t clock_ms; /* the caller moves it; each key takes key_ms */
    int64_t key_ms;
    struct text frame; /* the newest frame, as grid_text writes it */
    int cursor_row, cursor_column;
    long frames; /* frames shown so far */
    long repaints, wipes;
};

/* A display over *headless, which the caller owns, has zeroed and given a size. */
struct display headless_display(struct headless *headless);

/*
 * Takes the next key off a script: "<Enter>", "<Ctrl-L>", "<Space>" by name, "<<" for '<', else one
 * character. False at the end or at a name that does not exist.
 */
bool headless_key(const char **script, struct key *key);

/* Frees what the headless keeps. */
void headless_release(struct headless *headless);

#endif
