/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From keys to commands, and to the footer and the help: all of it read off the one command list
 * and what the user set over it (config.h; NULL: nothing).
 */
#ifndef SPRINGLINE_UI_BINDING_H
#define SPRINGLINE_UI_BINDING_H

#include "springline/app/command.h"
#include "springline/ui/config.h"
#include "springline/ui/key.h"
#include "springline/ui/panel.h"

/*
 * The command a key gives in any of places (enum place bits; PLACE_ANYWHERE always counts), or
 * COMMAND_NONE. A named key stands before the classes "letters" (every letter, also beyond ASCII)
 * and "digits". A pasted key is never a command.
 */
enum command binding_command(const struct config *config, const struct key *key, unsigned places);

/*
 * Appends the footer of places: the first key and the footer word of each command that has one.
 * is_text (may be NULL) says of a key that it is text now; a command left without a key is left
 * away. Where it takes more than cells cells, the last commands go that do not work everywhere.
 */
void binding_footer(struct text *out, const struct config *config, unsigned places, int cells,
                    bool (*is_text)(const void *state, const struct key *key), const void *state);

/* Adds one line per command of places: its keys and what it does. */
void binding_help(struct panel *panel, const struct config *config, unsigned places);

/* Walks the blank-separated names of a list of keys; false at its end. */
bool binding_next_name(const char **keys, const char **name, size_t *length);
/* Is it the name of a class of keys: "letters", "digits"? */
bool binding_is_class(const char *name, size_t length);

/* The commands a menu of places offers, in the order of the list; returns their number. */
int binding_menu(unsigned places, enum command commands[COMMAND_COUNT]);

/* Adds the lines of a menu to the help, below a heading; nothing when the menu is empty. */
void binding_menu_help(struct panel *panel, const struct config *config, unsigned places);

/* The first key of a command by name, without a NUL: *length bytes; NULL: it has none. */
const char *binding_first_key(const struct config *config, enum command command, size_t *length);

#endif
