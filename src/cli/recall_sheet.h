/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The recall list as a sheet to call from. */
#ifndef SPRINGLINE_CLI_RECALL_SHEET_H
#define SPRINGLINE_CLI_RECALL_SHEET_H

#include "springline/app/lists.h"
#include "springline/cli/commands.h"

/* Writes the list as text that fits the line; the header alone and STATUS_NO when it is empty. */
enum status recall_put_text(struct cli_session *session, day on, const struct recall_list *list,
                            struct error *error);

/* "" for NULL. */
const char *recall_text(const char *text);
/* Appends the last verdict, marked when it was worked out now. */
void recall_verdict(struct text *out, const struct case_state *state);

#endif
