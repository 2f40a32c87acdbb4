/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands under the table of a printed month. */
#ifndef SPRINGLINE_CLI_AUDIT_SHEET_H
#define SPRINGLINE_CLI_AUDIT_SHEET_H

#include "springline/app/lists.h"

/* Appends totals, those of the month before, overrides with their reasons, days without a trainer,
 * days since the last seen visit, the head of the ledger (as of a past moment: its row) and the
 * caution line. as_of: STORE_NOW or a ledger sequence. */
enum status audit_sheet_add(struct text *out, struct app *app, day month, int64_t as_of,
                            const struct audit_list *list, struct error *error);

#endif
