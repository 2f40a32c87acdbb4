/* SPDX-License-Identifier: GPL-3.0-or-later */
/* undo-import and backup. */
#include "springline/app/keep.h"
#include "springline/cli/commands.h"
#include "springline/cli/options.h"
#include "springline/cli/output.h"

/* Both take one word, which stands for a batch or a file, and tell lines. */
typedef enum status (*keep_command)(struct app *app, const char *what, struct text *out,
                                    struct error *error);

/* The lines of a failure (the batches there are) are messages, not what was asked for. */
static enum status run(struct cli_session *session, const char *name, keep_command command,
                       struct error *error)
{
    const char *what = NULL;
    struct text out = {0};
    struct error output;

    enum status status = cli_read_options(&session->call, NULL, 0, 1, 1, &what, error);
    if (status == STATUS_OK)
        status = cli_only_text(session, name, error);
    if (status == STATUS_OK)
        status = cli_open(session, error);
    if (status != STATUS_OK)
        return status;
    status = command(&session->app, what, &out, error);
    if (status == STATUS_OK)
        return cli_put(session->start->out, &out, error);
    (void)cli_put(session->start->err, &out, &output);
    return status;
}

enum status cli_undo_import(struct cli_session *session, struct error *error)
{
    return run(session, "undo-import", keep_undo_import, error);
}

enum status cli_backup(struct cli_session *session, struct error *error)
{
    return run(session, "backup", keep_backup, error);
}
