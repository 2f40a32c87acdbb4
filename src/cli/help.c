/* SPDX-License-Identifier: GPL-3.0-or-later */
/* help and version, made from the one command list. */
#include <string.h>

#include "help_text.h"
#include "springline/cli/commands.h"
#include "springline/cli/options.h"
#include "springline/cli/output.h"

static const char overview[] = "springline [--store FILE] [--format text|csv|json] COMMAND ...\n"
                               "springline [--store FILE]                 opens the screens\n\n";

static const char details[] =
    "\nThe store is that of --store, else of SPRINGLINE_STORE, else\n"
    "$XDG_DATA_HOME/springline/practice.db. SPRINGLINE_TODAY=YYYY-MM-DD fixes the\n"
    "treatment date.\n"
    "Exit: 0 good, 1 the answer is no (nothing due, to audit or to sign, not sound),\n"
    "2 the command line is wrong, 3 the store or the output can not be used,\n"
    "4 what was given is refused.\n";

static void add_command(struct text *out, const struct command_row *row)
{
    struct text synopsis = {0};

    text_addf(&synopsis, "%s %s", row->name, row->arguments);
    cli_add_wrapped(out, "  ", text_string(&synopsis), CLI_SHEET_COLUMNS);
    cli_add_wrapped(out, "      ", row->help, CLI_SHEET_COLUMNS);
    out->failed = out->failed || synopsis.failed;
    text_release(&synopsis);
}

/* One paragraph a line. */
static void add_details(struct text *out, const char *lines)
{
    while (lines[0] != '\0') {
        size_t length = strcspn(lines, "\n");
        struct text line = {0};

        text_append(&line, lines, length);
        text_add(out, "\n");
        cli_add_wrapped(out, "  ", text_string(&line), CLI_SHEET_COLUMNS);
        out->failed = out->failed || line.failed;
        text_release(&line);
        lines += length + (lines[length] == '\n');
    }
}

enum status cli_put_help(struct cli_session *session, enum command command, struct error *error)
{
    struct text out = {0};

    if (command != COMMAND_NONE) {
        add_command(&out, &command_table[command]);
        add_details(&out, help_details(command));
        return cli_put(session->start->out, &out, error);
    }
    text_add(&out, overview);
    for (int i = 1; i < COMMAND_COUNT; i++)
        if ((command_table[i].places & PLACE_SHELL) != 0)
            add_command(&out, &command_table[i]);
    text_add(&out, details);
    return cli_put(session->start->out, &out, error);
}

enum status cli_help(struct cli_session *session, struct error *error)
{
    const char *operands[CLI_OPERANDS_MAX];
    enum command wanted = COMMAND_NONE;

    enum status status = cli_read_options(&session->call, NULL, 0, 0, 1, operands, error);
    if (status == STATUS_OK)
        status = cli_only_text(session, "help", error);
    if (status != STATUS_OK)
        return status;
    if (operands[0] != NULL) {
        wanted = command_named(operands[0]);
        if (wanted == COMMAND_NONE)
            return help_no_command(operands[0], error);
    }
    return cli_put_help(session, wanted, error);
}

enum status cli_version(struct cli_session *session, struct error *error)
{
    const char *operands[CLI_OPERANDS_MAX];

    enum status status = cli_read_options(&session->call, NULL, 0, 0, 0, operands, error);
    if (status == STATUS_OK)
        status = cli_only_text(session, "version", error);
    if (status == STATUS_OK)
        (void)fputs("springline " SPRINGLINE_VERSION "\n", session->start->out);
    return status;
}
