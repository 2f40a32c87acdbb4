/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/cli/cli.h"

#include <errno.h>
#include <poll.h>
#include <string.h>

#include "help_text.h"
#include "springline/app/authority.h"
#include "springline/cli/commands.h"
#include "springline/cli/options.h"

void cli_report(FILE *err, const struct error *error)
{
    struct text line = {0};

    if (error->sentence[0] == '\0')
        return;
    text_add(&line, "springline: ");
    if (error->where[0] != '\0') {
        text_add_shown(&line, error->where);
        text_add(&line, ": ");
    }
    text_add_shown(&line, error->sentence);
    text_add(&line, "\n");
    if (line.failed)
        (void)fputs("springline: The memory of this machine is exhausted.\n", err);
    else
        (void)fputs(line.data, err);
    text_release(&line);
}

/* The value of --NAME=VALUE or of --NAME VALUE at argv[*at]; NULL: it is not this option. An option
 * without a value gives "". */
static const char *option_value(int argc, char **argv, int *at, const char *name)
{
    size_t length = strlen(name);

    if (strncmp(argv[*at], name, length) != 0)
        return NULL;
    if (argv[*at][length] == '=')
        return argv[*at] + length + 1;
    if (argv[*at][length] != '\0')
        return NULL;
    if (*at + 1 >= argc || argv[*at + 1] == NULL)
        return "";
    (*at)++;
    return argv[*at];
}

/* Takes the option at argv[*at], which goes before the sub-command. */
static enum status take_option(int argc, char **argv, int *at, struct cli_call *call,
                               struct error *error)
{
    const char *given = argv[*at];
    const char *value = option_value(argc, argv, at, "--store");

    if (value != NULL) {
        call->store_path = value;
        call->store_given = true;
        return value[0] != '\0'
                   ? STATUS_OK
                   : error_set(error, STATUS_USAGE, "--store", "Give the path of the store.");
    }
    value = option_value(argc, argv, at, "--format");
    if (value != NULL) {
        call->format_given = true;
        return cli_read_format(value, &call->format, error);
    }
    if (strcmp(given, "--help") == 0)
        call->command = COMMAND_HELP;
    else if (strcmp(given, "--version") == 0)
        call->command = COMMAND_VERSION;
    else
        return error_set(error, STATUS_USAGE, NULL,
                         "The option %.60s is not known; see springline help.", given);
    return STATUS_OK;
}

enum status cli_parse(int argc, char **argv, const struct cli_start *start, struct cli_call *call,
                      struct error *error)
{
    int at = 1;

    *call = (struct cli_call){.command = COMMAND_NONE, .store_path = start->store_path};
    for (; at < argc && argv[at][0] == '-' && call->command == COMMAND_NONE; at++) {
        enum status status = take_option(argc, argv, &at, call, error);

        if (status != STATUS_OK)
            return status;
    }
    if (call->command != COMMAND_NONE) { /* --help, --version */
        call->argc = 1;
        call->argv = argv;
        return STATUS_OK;
    }
    if (at >= argc)
        return STATUS_OK;
    call->command = command_named(argv[at]);
    if (call->command == COMMAND_NONE)
        return help_no_command(argv[at], error);
    call->argc = argc - at;
    call->argv = argv + at;
    return STATUS_OK;
}

enum status cli_open(struct cli_session *session, struct error *error)
{
    enum status status =
        store_open(session->call.store_path, session->start->source, &session->app.store, error);

    if (status != STATUS_OK)
        return status;
    enum status renewed = app_renew_states(&session->app, error);
    /* verify names nobody, and has to walk a store whose rows can not be read. */
    if (session->call.command == COMMAND_VERIFY)
        return STATUS_OK;
    if (renewed != STATUS_OK)
        return renewed;
    return app_allow(&session->app, session->call.command, NULL, error);
}

enum status cli_nothing(struct error *error)
{
    *error = (struct error){.status = STATUS_NO};
    return STATUS_NO;
}

enum status cli_only_text(const struct cli_session *session, const char *what, struct error *error)
{
    if (session->call.format == FORMAT_TEXT)
        return STATUS_OK;
    return error_set(error, STATUS_USAGE, "--format", "%s is offered as text only.", what);
}

static enum status run_command(struct cli_session *session, struct error *error)
{
    enum status (*const commands[COMMAND_COUNT])(struct cli_session *, struct error *) = {
        [COMMAND_INIT] = cli_init,         [COMMAND_RECALL] = cli_recall,
        [COMMAND_AUDIT] = cli_audit,       [COMMAND_ADVISE] = cli_advise,
        [COMMAND_CHART] = cli_chart,       [COMMAND_PLAN] = cli_plan,
        [COMMAND_IMPORT] = cli_import,     [COMMAND_EXPORT] = cli_export,
        [COMMAND_VERIFY] = cli_verify,     [COMMAND_UNDO_IMPORT] = cli_undo_import,
        [COMMAND_BACKUP] = cli_backup,     [COMMAND_HELP] = cli_help,
        [COMMAND_ERASE] = cli_erase,       [COMMAND_VERSION] = cli_version,
        [COMMAND_UNSIGNED] = cli_unsigned, [COMMAND_LOG] = cli_log,
    };

    if (commands[session->call.command] == NULL)
        return error_set(error, STATUS_USAGE, NULL, "This is no sub-command; see springline help.");
    enum status status = commands[session->call.command](session, error);
    if (session->call.help)
        return cli_put_help(session, session->call.command, error);
    return status;
}

/* Did the reader of a pipe go away? */
static bool reader_gone(FILE *out)
{
    struct pollfd end = {.fd = fileno(out), .events = POLLOUT};

    return end.fd >= 0 && poll(&end, 1, 0) > 0 && (end.revents & POLLERR) != 0;
}

/* Has the output taken everything? A full disk is found here, if not before. */
static enum status check_output(FILE *out, struct error *error)
{
    int problem;

    errno = 0;
    if (fflush(out) == 0 && !ferror(out))
        return STATUS_OK;
    problem = errno;
    if (problem == EPIPE || reader_gone(out)) { /* it has seen enough: no complaint */
        *error = (struct error){.status = STATUS_UNUSABLE};
        return STATUS_UNUSABLE;
    }
    return error_set(error, STATUS_UNUSABLE, "output",
                     "The output could not be written whole (%s); what was printed is not "
                     "complete.",
                     problem == 0 ? "the disk may be full" : strerror(problem));
}

int cli_run(const struct cli_start *start, const struct cli_call *call)
{
    struct error error = {.status = STATUS_OK}, output_error;
    struct cli_session session = {.start = start,
                                  .call = *call,
                                  .app = {.today = start->today,
                                          .today_fixed = start->today_fixed,
                                          .user = start->user,
                                          .seat = start->seat}};

    enum status status = run_command(&session, &error);
    store_close(session.app.store);
    enum status output = check_output(start->out, &output_error);
    if (output != STATUS_OK) {
        cli_report(start->err, &output_error);
        return error_exit_code(output);
    }
    if (status != STATUS_OK)
        cli_report(start->err, &error);
    return error_exit_code(status);
}
