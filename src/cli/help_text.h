/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the sub-commands print and ask for, in a few lines each. */
#ifndef SPRINGLINE_CLI_HELP_TEXT_H
#define SPRINGLINE_CLI_HELP_TEXT_H

#include "springline/app/command.h"
#include "springline/base/error.h"

/* The columns and words of a sub-command, one paragraph a line; "" where there is nothing to say.
 */
const char *help_details(enum command command);

/* What must stand after the name of a sub-command that needs a word: "a case number such as
 * C-0001"; "a word" for the others. */
const char *help_needs(enum command command);

/* Refuses a name that is no sub-command, STATUS_USAGE; one that is a single slip away (a letter too
 * many, too few, another, or two in the wrong order) is named. */
enum status help_no_command(const char *name, struct error *error);

#endif
