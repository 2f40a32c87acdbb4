/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What a user may set for the screens, in a file of lines "name = value" (springline.5). The file
 * is read and never written.
 *
 *     # one line each; '#' begins a comment line
 *     key next = + j          keys of a command beside its named ones (Enter, Up, Esc ...), which
 *                             always work; a blank-separated list as in the help
 *     escape-delay = 50       ms that ESC waits for the rest of a sequence; ESCDELAY goes before it
 *     ascii = yes             letters without marks; as SPRINGLINE_ASCII
 *     colour = no             as NO_COLOR; "yes" goes before NO_COLOR
 *     lock-minutes = 15       minutes without a key after which the seat is locked, 1 to 60
 *     braille = yes           pictures with lines of braille dots, unless only ASCII can be shown
 */
#ifndef SPRINGLINE_UI_CONFIG_H
#define SPRINGLINE_UI_CONFIG_H

#include <stdbool.h>

#include "springline/app/command.h"
#include "springline/base/error.h"

enum { CONFIG_KEYS_SIZE = 96, CONFIG_ESCAPE_DELAY_MOST_MS = 1000, CONFIG_LOCK_MOST_MIN = 60 };

enum choice { CHOICE_NONE, CHOICE_YES, CHOICE_NO };

struct config {
    char keys[COMMAND_COUNT][CONFIG_KEYS_SIZE]; /* "": those of the command list */
    int escape_delay_ms;                        /* 0: not set */
    int lock_minutes;                           /* 0: not set */
    enum choice ascii, colour, braille;
};

/*
 * Reads the text of a file called path over what config holds. STATUS_INPUT with path and line: a
 * name that is not known, a key that does not exist or is longer than there is room for, a key that
 * another command has at the same place, a value out of range.
 */
enum status config_read(const char *text, const char *path, struct config *config,
                        struct error *error);

/* The same from a file; none at path is no failure. STATUS_INPUT also when it can not be read. */
enum status config_load(const char *path, struct config *config, struct error *error);

/* The keys of a command; config may be NULL: those of the command list. */
const char *config_keys(const struct config *config, enum command command);

#endif
