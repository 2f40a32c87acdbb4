/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Who may do what. One table says it (authority.c: command by role), and it is asked in app, never
 * in screens: by app_save_begin for everything that writes, by app_allow for everything else. A
 * screen that offers what may not be done is a nuisance; it is no way in.
 *
 * The roles are those of a practice of this kind (common practice, no source): the desk books and
 * calls, the assistant prepares a visit, only an orthodontist signs, overrides, changes a protocol,
 * closes a month. Somebody who is not among the people may do what shows no record: the account
 * that owns the store makes backups and verifies, from a timer, and is nobody.
 *
 * 21 CFR 11.10(d), (g); 45 CFR 164.312(a)(1).
 */
#ifndef SPRINGLINE_APP_AUTHORITY_H
#define SPRINGLINE_APP_AUTHORITY_H

#include "springline/app/app.h"
#include "springline/app/form.h"

/* May a person of this role give the command? ROLE_NONE: nobody known. A command that the table
 * does not hold may be given by nobody. */
bool authority_may(enum role role, enum command command);

/* Is it a command on data, which the table holds? Keys that move a cursor are none. */
bool authority_asks(enum command command);

/* The command that a form gives. */
enum command authority_form(enum form_kind kind);
/* The command that writes a record of kind: who may give it may correct one. COMMAND_NONE: nobody
 * ever does. */
enum command authority_correct(enum record_kind kind);
/* The command that withdraws one: a visit, an expander, a trainer, a case and a patient are
 * withdrawn by an orthodontist alone, anything else by who may write it. COMMAND_NONE: nobody ever
 * does. */
enum command authority_withdraw(enum record_kind kind);

/*
 * May the person who sits here give the command now? STATUS_REFUSED with a sentence, and logged, if
 * not. subject: whose record, for the log; NULL: nobody's. Reads who works here anew. Not inside a
 * save.
 */
enum status app_allow(struct app *app, enum command command, const char *subject,
                      struct error *error);
/* The refusal itself: logs it and returns STATUS_REFUSED. Not inside a save. */
enum status app_refuse(struct app *app, enum command command, const char *subject,
                       struct error *error);

/* One row of the log (struct access). login NULL: the seat's; command COMMAND_NONE: none; subject
 * and detail NULL: none. detail never holds a name of a patient. */
struct log_entry {
    enum access_what what;
    enum command command;
    const char *login, *subject, *detail;
};
/* Writes it in a save of its own. Not inside a save. */
enum status app_log(struct app *app, const struct log_entry *entry, struct error *error);
/* The same row inside an open save. */
enum status app_log_append(struct app *app, const struct log_entry *entry, struct error *error);

#endif
