/* SPDX-License-Identifier: GPL-3.0-or-later */
/* init, verify. */
#include <errno.h>
#include <string.h>
#include <sys/stat.h>

#include "springline/cli/commands.h"
#include "springline/cli/options.h"
#include "springline/cli/output.h"

/* Makes the folders of the default place, for the owner alone. Those of a path that was given are
 * not made: a slip in it should be seen. */
static enum status make_folders(const char *path, struct error *error)
{
    struct text folder = {0};
    enum status status = STATUS_OK;

    for (size_t i = 1; path[i] != '\0' && status == STATUS_OK; i++) {
        if (path[i] != '/')
            continue;
        text_clear(&folder);
        text_append(&folder, path, i);
        if (folder.failed)
            status = error_no_memory(error);
        else if (mkdir(text_string(&folder), 0700) != 0 && errno != EEXIST)
            status = error_set(error, STATUS_UNUSABLE, text_string(&folder),
                               "The folder can not be made: %s.", strerror(errno));
    }
    text_release(&folder);
    return status;
}

enum status cli_init(struct cli_session *session, struct error *error)
{
    const struct cli_start *start = session->start;

    enum status status = cli_read_options(&session->call, NULL, 0, 0, 0, NULL, error);
    if (status == STATUS_OK && start->default_place && !session->call.store_given)
        status = make_folders(start->store_path, error);
    if (status == STATUS_OK)
        status = app_init_store(session->call.store_path, start->source, error);
    if (status != STATUS_OK)
        return status;
    struct text line = {0};
    text_add(&line, "springline: new store ");
    text_add_shown(&line, session->call.store_path);
    text_add(&line, "\n");
    return cli_put(start->err, &line, error);
}

static enum status put_verified(struct cli_session *session, const struct text *findings,
                                struct error *error)
{
    static const struct cli_column columns[] = {{"finding", COLUMN_TEXT}};
    struct cli_table table;

    cli_table_begin(&table, session->start->out, session->call.format, columns, 1);
    for (const char *at = text_string(findings); at[0] != '\0';) {
        size_t length = strcspn(at, "\n");
        struct text line = {0};

        text_append(&line, at, length);
        const char *const cells[] = {text_string(&line)};
        cli_table_row(&table, cells);
        table.failed = table.failed || line.failed;
        text_release(&line);
        at += length + (at[length] == '\n');
    }
    return cli_table_end(&table, error);
}

enum status cli_verify(struct cli_session *session, struct error *error)
{
    struct text findings = {0}, shown = {0};
    struct error output;

    enum status status = cli_read_options(&session->call, NULL, 0, 0, 0, NULL, error);
    if (status == STATUS_OK)
        status = cli_open(session, error);
    if (status != STATUS_OK)
        return status;
    status = app_verify(&session->app, &findings, error);
    if (session->call.format == FORMAT_TEXT) {
        cli_add_lines(&shown, text_string(&findings));
        (void)cli_put(session->start->out, &shown, &output);
    } else {
        (void)put_verified(session, &findings, &output);
    }
    text_release(&findings);
    return status;
}
