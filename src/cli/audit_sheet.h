/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A month as a sheet to be read, signed and filed. */
#ifndef SPRINGLINE_CLI_AUDIT_SHEET_H
#define SPRINGLINE_CLI_AUDIT_SHEET_H

#include "springline/app/lists.h"
#include "springline/cli/commands.h"

/* Writes the sheet as text that fits the line; the header of the table alone and STATUS_NO when no
 * case is audited. as_of: STORE_NOW or a ledger sequence. */
enum status audit_put_text(struct cli_session *session, day month, int64_t as_of,
                           const struct audit_list *list, struct error *error);

/* Appends what stands under the table: totals, those of the month before, overrides with their
 * reasons, days without a trainer, days since the last seen visit, the head of the ledger (as of a
 * past moment: its row), when it was printed, room to sign, and the caution line. */
enum status audit_sheet_add(struct text *out, struct app *app, day month, int64_t as_of,
                            const struct audit_list *list, struct error *error);

#endif
