/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sub-commands behind cli_run: one function each. */
#ifndef SPRINGLINE_CLI_COMMANDS_H
#define SPRINGLINE_CLI_COMMANDS_H

#include "springline/app/app.h"
#include "springline/cli/cli.h"

/* One run of one sub-command. */
struct cli_session {
    const struct cli_start *start;
    struct cli_call call; /* a copy: options of the program may stand after the sub-command */
    struct app app;       /* store is NULL until cli_open */
};

/* Opens the store of the call into session->app; cli_run closes it. */
enum status cli_open(struct cli_session *session, struct error *error);

/*
 * Each reads its own options, opens the store where it needs one, writes to session->start->out,
 * and returns what the exit code is made of. STATUS_NO with an empty sentence: the answer is "no"
 * and the output says it. STATUS_INPUT with an empty one: every bad row was told already.
 */
/* init: a new store; the folders of the default place are made. */
enum status cli_init(struct cli_session *session, struct error *error);
/* recall [--on DATE] [--within DAYS] [--group GROUP]: who must be called; STATUS_NO: nobody. */
enum status cli_recall(struct cli_session *session, struct error *error);
/* audit --month YYYY-MM [--as-of INSTANT|@SEQ] [--paper]: the account of a month, in pages for a
 * printer; STATUS_NO: no case. */
enum status cli_audit(struct cli_session *session, struct error *error);
/* advise CASE ...: the verdict, with its findings, whatever it is; STATUS_NOT_FOUND: no such case.
 */
enum status cli_advise(struct cli_session *session, struct error *error);
/* chart CASE [--svg FILE]: its story as text, or its pictures in a file; STATUS_NOT_FOUND. */
enum status cli_chart(struct cli_session *session, struct error *error);
/* plan CASE: room, width to gain, target, course, phases, the saved plan; STATUS_NOT_FOUND. */
enum status cli_plan(struct cli_session *session, struct error *error);
/* import FILE|FOLDER [--dry-run] [--rejects FILE]: all of it or, STATUS_INPUT, nothing. */
enum status cli_import(struct cli_session *session, struct error *error);
/* export KIND|all [--out FOLDER]: the current rows, as CSV or JSON. export --patient PATIENT --out
 * FOLDER: everything of one patient. */
enum status cli_export(struct cli_session *session, struct error *error);
/* undo-import BATCH: one import taken back; STATUS_NOT_FOUND: the messages list those there are. */
enum status cli_undo_import(struct cli_session *session, struct error *error);
/* erase PATIENT --ground TEXT [--confirm PATIENT]: shows what would be blanked, asks for the chart
 * number again, and blanks it; STATUS_INPUT: not confirmed, or something must be done first. */
enum status cli_erase(struct cli_session *session, struct error *error);
/* backup FILE: a checked copy of the store; STATUS_INPUT: the file exists. */
enum status cli_backup(struct cli_session *session, struct error *error);
/* verify [--against ROW:HASH] [--manifest FILE]: the ledger, the derived states, the stored
 * verdicts, and a head kept outside; STATUS_DAMAGED: the output names what was found. */
enum status cli_verify(struct cli_session *session, struct error *error);
/* unsigned: the visits that nobody has signed; STATUS_NO: there is none. */
enum status cli_unsigned(struct cli_session *session, struct error *error);
/* log [--from DATE] [--to DATE]: who signed in, failed to, was refused; STATUS_NO: nothing. */
enum status cli_log(struct cli_session *session, struct error *error);
/* help [COMMAND]. */
enum status cli_help(struct cli_session *session, struct error *error);
/* version: the name and the version. */
enum status cli_version(struct cli_session *session, struct error *error);

/* Prints the help of one sub-command; COMMAND_NONE: of all. */
enum status cli_put_help(struct cli_session *session, enum command command, struct error *error);

/* STATUS_NO without a sentence. */
enum status cli_nothing(struct error *error);

/* Refuses a format the sub-command does not offer: STATUS_USAGE. */
enum status cli_only_text(const struct cli_session *session, const char *what, struct error *error);

#endif
