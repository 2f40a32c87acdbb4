/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Two strings of the terminal's entry, keypad on and keypad off, are what curses sends each time it
 * enters or leaves the screen, suspend and resume included. Our modes are put into them, so that no
 * exit path can forget to take them back.
 *
 * In application keypad mode some terminals send function keys for the keypad's / * - and other
 * codes for its digits; so only the cursor keys' mode is asked for, and the keypad stays numeric.
 */
#include <stdlib.h>
#include <string.h>

#include "springline/base/text.h"
#include "terminal_private.h"

/* Last: term.h defines words such as "columns" as macros. */
#include <curses.h>
#include <term.h>

enum terminal_kind terminal_kind_of(const char *name, int out)
{
    int answer = 0;
    enum terminal_kind kind;

    if (setupterm(name, out, &answer) != OK)
        return KIND_UNKNOWN;
    kind = cursor_address == NULL ? KIND_NO_CURSOR : KIND_GOOD;
    del_curterm(cur_term);
    return kind;
}

/* Every copy of part is taken out of the string. */
static void remove_part(char *string, const char *part)
{
    size_t length = strlen(part);

    for (char *at = strstr(string, part); at != NULL; at = strstr(at, part))
        memmove(at, at + length, strlen(at + length) + 1);
}

/* A copy of old without part, with more behind it; NULL: no memory. */
static char *joined(const char *old, const char *part, const char *more)
{
    size_t room = (old == NULL ? 0 : strlen(old)) + strlen(more) + 1;
    char *string = malloc(room);

    if (string == NULL)
        return NULL;
    string[0] = '\0';
    if (old != NULL)
        memcpy(string, old, strlen(old) + 1);
    remove_part(string, part);
    memcpy(string + strlen(string), more, strlen(more) + 1);
    return string;
}

void terminal_take_modes(struct terminal *terminal)
{
    /* Only where the cursor is moved by an ECMA-48 sequence are private modes understood. */
    if (cursor_address == NULL || strncmp(cursor_address, "\033[", 2) != 0)
        return;
    terminal->keypad_on = joined(keypad_xmit, "\033=", "\033>\033[?2004h");
    terminal->keypad_off = joined(keypad_local, "\033>", "\033>\033[?2004l");
    if (terminal->keypad_on == NULL || terminal->keypad_off == NULL)
        return;
    keypad_xmit = terminal->keypad_on;
    keypad_local = terminal->keypad_off;
}

/* xterm's own capability (E3 in terminfo): most terminals know it, and the others ignore it. */
void terminal_wipe(void *self)
{
    const char *past = tigetstr("E3");

    (void)self;
    if (past != NULL && past != (char *)-1)
        putp(past);
    clearok(curscr, TRUE);
}
