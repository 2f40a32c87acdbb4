/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A back end of the grid: the terminal, or none (headless). One ops struct, two of them exist. */
#ifndef SPRINGLINE_UI_DISPLAY_H
#define SPRINGLINE_UI_DISPLAY_H

#include "springline/ui/grid.h"
#include "springline/ui/key.h"

enum event {
    EVENT_NOTHING, /* the wait is over, no key came */
    EVENT_KEY,
    EVENT_RESIZE, /* the size may have changed */
    EVENT_END     /* hung up, asked to end, or the input is gone: save and leave */
};

struct display_ops {
    /* The size in cells; at least 1 x 1. */
    void (*size)(void *self, int *rows, int *columns);
    /* Shows one frame, the cursor on the focus. */
    void (*show)(void *self, const struct grid *grid);
    /* The next frame is sent whole, as if nothing stood on the screen. */
    void (*repaint)(void *self);
    /* The same, and what scrolled off above the screen is wiped too, where the terminal can. */
    void (*wipe)(void *self);
    /* Waits at most wait_ms (0: not at all) for the next event; *key is set for EVENT_KEY. */
    enum event (*read)(void *self, int wait_ms, struct key *key);
    /* A clock that never runs back, in ms; only differences mean something. */
    int64_t (*now_ms)(void *self);
};

struct display {
    const struct display_ops *ops;
    void *self;
    bool plain; /* the grid must hold ASCII only */
};

#endif
