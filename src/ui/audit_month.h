/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is done with the month as a whole, from the screen of the audit. */
#ifndef SPRINGLINE_UI_AUDIT_MONTH_H
#define SPRINGLINE_UI_AUDIT_MONTH_H

#include "springline/app/audit_view.h"
#include "springline/ui/ui.h"

/* Another month, the month written to a file, closed, compared. True: it must be read again. */
bool audit_month_command(struct ui *ui, struct audit_shown *shown, enum command command);

#endif
