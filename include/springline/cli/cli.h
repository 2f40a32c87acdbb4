/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The command line: springline [--store FILE] [--format text|csv|json] COMMAND ..., as
 * interchange.md has it.
 * main fills a cli_start with what it knows of the world, calls cli_parse, and then either opens
 * the screens (no command given) or returns what cli_run returns. Nothing here exits.
 *
 *     struct cli_call call;
 *     if (cli_parse(argc, argv, &start, &call, &error) != STATUS_OK) {
 *         cli_report(start.err, &error);
 *         return error_exit_code(error.status);
 *     }
 *     if (call.command == COMMAND_NONE) { ... open call.store_path and the screens ... }
 *     return cli_run(&start, &call);
 */
#ifndef SPRINGLINE_CLI_CLI_H
#define SPRINGLINE_CLI_CLI_H

#include <stdbool.h>
#include <stdio.h>

#include "springline/app/command.h"
#include "springline/base/date.h"
#include "springline/base/error.h"
#include "springline/store/store.h"

enum cli_format { FORMAT_TEXT, FORMAT_CSV, FORMAT_JSON };

/* What main knows: clock and random source, the treatment date, who sits here, the streams. */
struct cli_start {
    const struct store_source *source;
    const char *store_path; /* SPRINGLINE_STORE or the default place; --store goes before it */
    bool default_place;     /* store_path is the default place: init makes its folders (0700) */
    day today;              /* treatment date */
    bool today_fixed;       /* by SPRINGLINE_TODAY */
    const char *user;       /* login name */
    const char *seat;       /* user@terminal */
    FILE *in;               /* answers of a person; NULL: nobody is there to be asked */
    FILE *out;              /* data */
    FILE *err;              /* messages */
};

/* What was asked for. Texts point into argv or into the start. */
struct cli_call {
    enum command command;   /* COMMAND_NONE: no sub-command, open the screens */
    const char *store_path; /* --store, or the start's */
    bool store_given;
    enum cli_format format;
    bool format_given;
    bool help; /* --help stood after the sub-command */
    int argc;  /* the sub-command's own arguments: argv[0] is its name */
    char **argv;
};

/*
 * Reads the options before the sub-command, and its name. --help and --version are the commands
 * help and version. STATUS_USAGE with one sentence on anything unknown. argv itself stays as it is.
 */
enum status cli_parse(int argc, char **argv, const struct cli_start *start, struct cli_call *call,
                      struct error *error);

/*
 * Runs the sub-command: opens the store where one is needed, writes data to start->out and
 * messages to start->err, closes the store. Returns the exit code of interchange.md: 0 good, 1 the
 * answer is "no", 2 usage, 3 store or output unusable, 4 input refused.
 */
int cli_run(const struct cli_start *start, const struct cli_call *call);

/* Writes "springline: WHERE: SENTENCE" on one line, with nothing in it that steers a terminal; no
 * line when the sentence is empty. */
void cli_report(FILE *err, const struct error *error);

#endif
