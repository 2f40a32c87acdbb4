/* SPDX-License-Identifier: GPL-3.0-or-later */
/* audit of a month that is closed: what was signed, and what changed since. */
#ifndef SPRINGLINE_CLI_AUDIT_MONTH_H
#define SPRINGLINE_CLI_AUDIT_MONTH_H

#include "springline/app/month.h"
#include "springline/cli/commands.h"

/* --sheet: the signed sheet, byte for byte. STATUS_NO: the month is not closed. */
enum status audit_put_sheet(struct cli_session *session, day month, struct error *error);

/* --changes: what the figures would be today, where they differ. STATUS_NO: nothing does, or the
 * month is not closed. */
enum status audit_put_changes(struct cli_session *session, day month, struct error *error);

/* The month does not come out as it was signed, though the rules are the same: STATUS_DAMAGED, with
 * the sentence that says so, and nothing is drawn. */
enum status audit_refuse_other(const struct month_closed *closed, struct error *error);

/* Says on the messages that a closed month is drawn as of its close, and whether it is what was
 * signed: for formats that have no room for it. */
enum status audit_say_closed(struct cli_session *session, const struct month_closed *closed,
                             enum month_truth truth, struct error *error);

/* Appends that a closed month is drawn as of its close, whether it is what was signed, and by whom:
 * the head of a sheet. */
void audit_add_closed(struct text *out, const struct audit_list *list, int line);
/* Appends that the month is closed and these are other figures; nothing when it is not closed. */
enum status audit_add_not_signed(struct text *out, struct app *app, day month, int line,
                                 struct error *error);
/* Appends what changed since the close, case by case. */
enum status audit_add_changes(struct text *out, struct app *app, const struct month_closed *closed,
                              int line, struct error *error);

#endif
