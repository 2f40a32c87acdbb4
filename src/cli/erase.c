/* SPDX-License-Identifier: GPL-3.0-or-later */
/* erase: shown first, then confirmed by the chart number, then done. */
#include <stdio.h>
#include <string.h>

#include "springline/app/erase.h"
#include "springline/cli/commands.h"
#include "springline/cli/options.h"
#include "springline/cli/output.h"

enum { ANSWER_SIZE = 4 * TEXT_CELL_CHARACTERS + 3 };

/* A line of the terminal without its end; a longer one is nobody's number. */
static bool read_line(FILE *in, char line[ANSWER_SIZE])
{
    size_t length;

    if (fgets(line, ANSWER_SIZE, in) == NULL)
        return false;
    length = strlen(line);
    if (length == 0 || line[length - 1] != '\n')
        return false;
    line[length - 1] = '\0';
    return true;
}

static enum status not_confirmed(const char *chart, const char *what, struct error *error)
{
    return error_set(error, STATUS_INPUT, "erase",
                     "Nothing was erased: %s; it can not be undone, so give the chart number %.60s "
                     "once more, at the question or with --confirm.",
                     what, chart);
}

/* No transaction is open while a person thinks. */
static enum status confirm(struct cli_session *session, const char *chart, const char *given,
                           struct error *error)
{
    char line[ANSWER_SIZE] = "";
    struct text question = {0};

    if (given != NULL)
        return strcmp(given, chart) == 0
                   ? STATUS_OK
                   : not_confirmed(chart, "--confirm names another chart number", error);
    if (session->start->in == NULL || !cli_is_terminal(session->start->in))
        return not_confirmed(chart, "it was not confirmed", error);
    text_add(&question, "This can not be undone. Type the chart number again to erase: ");
    enum status status = cli_put(session->start->err, &question, error);
    (void)fflush(session->start->out);
    (void)fflush(session->start->err);
    if (status != STATUS_OK)
        return status;
    if (!read_line(session->start->in, line) || strcmp(line, chart) != 0)
        return not_confirmed(chart, "what was typed is another number", error);
    return STATUS_OK;
}

static enum status put_shown(FILE *stream, struct text *text, struct error *error)
{
    struct text shown = {0};

    cli_add_lines(&shown, text_string(text));
    shown.failed = shown.failed || text->failed;
    text_release(text);
    return cli_put(stream, &shown, error);
}

static enum status look(struct cli_session *session, const char *chart, struct error *error)
{
    struct text out = {0};
    enum status status = erase_look(&session->app, chart, &out, error);

    if (status == STATUS_OK)
        return put_shown(session->start->out, &out, error);
    text_release(&out);
    return status;
}

enum status cli_erase(struct cli_session *session, struct error *error)
{
    const char *chart = NULL, *ground = NULL, *confirmed = NULL;
    const struct cli_option options[] = {{"ground", &ground, NULL}, {"confirm", &confirmed, NULL}};
    struct text out = {0};
    struct error output;

    enum status status = cli_read_options(&session->call, options, 2, 1, 1, &chart, error);
    if (status == STATUS_OK)
        status = cli_only_text(session, "erase", error);
    if (status == STATUS_OK && ground == NULL)
        status = error_set(error, STATUS_USAGE, "--ground",
                           "Give the ground in words: the written request and its day, or the "
                           "law; it is kept in the ledger.");
    if (status == STATUS_OK)
        status = cli_open(session, error);
    /* A script that confirms has read it before. */
    if (status == STATUS_OK && confirmed == NULL)
        status = look(session, chart, error);
    if (status == STATUS_OK)
        status = confirm(session, chart, confirmed, error);
    if (status != STATUS_OK)
        return status;
    status = erase_patient(&session->app, chart, ground, &out, error);
    if (status == STATUS_OK)
        return put_shown(session->start->out, &out, error);
    (void)put_shown(session->start->err, &out, &output);
    return status;
}
