/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One key press as the screens see it, whatever the terminal sent for it. Keys are named in the
 * command list ("Enter", "Ctrl-L", "?"), so a screen never compares with a code of its own.
 */
#ifndef SPRINGLINE_UI_KEY_H
#define SPRINGLINE_UI_KEY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "springline/base/text.h"

enum press { /* keys that are not a character */
             PRESS_NONE,
             PRESS_ENTER,
             PRESS_ESCAPE,
             PRESS_TAB,
             PRESS_BACKTAB,
             PRESS_BACKSPACE,
             PRESS_DELETE,
             PRESS_UP,
             PRESS_DOWN,
             PRESS_LEFT,
             PRESS_RIGHT,
             PRESS_HOME,
             PRESS_END,
             PRESS_PAGE_UP,
             PRESS_PAGE_DOWN,
             PRESS_COUNT
};

struct key {
    enum press press;   /* PRESS_NONE: a character */
    uint32_t character; /* Unicode; with control the upper-case letter */
    bool control;       /* Ctrl with the letter */
    bool pasted;        /* came inside a bracketed paste: it is text and never a command */
    bool paste_begins;  /* the first of its paste */
};

/* The key spelled by length bytes of name: a named key, "Ctrl-X", "Space" or one character that may
 * be shown (text_trouble). False when it names none; *key untouched. */
bool key_from_name(const char *name, size_t length, struct key *key);

/* Appends the name of a key, as key_from_name reads it. */
void key_add_name(struct text *out, const struct key *key);

/* Writes a character (at most U+10FFFF) as UTF-8, NUL-terminated. Returns its bytes, 1 to 4. */
int key_utf8(uint32_t character, char bytes[5]);

/* The same key, pasted or not. */
bool key_same(const struct key *a, const struct key *b);

#endif
