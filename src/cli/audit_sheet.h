/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands under the table of a printed month. */
#ifndef SPRINGLINE_CLI_AUDIT_SHEET_H
#define SPRINGLINE_CLI_AUDIT_SHEET_H

#include "springline/app/lists.h"

/* Appends totals, those of the month before, overrides with their reasons, days without a trainer,
 * days since the last seen visit, the head of the ledger and the caution line. */
enum status audit_sheet_add(struct text *out, struct app *app, day month,
                            const struct audit_list *list, struct error *error);

#endif
