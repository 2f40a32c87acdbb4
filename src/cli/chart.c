/* SPDX-License-Identifier: GPL-3.0-or-later */
/* chart: one case as text, or its pictures as an SVG file. */
#include <unistd.h>

#include "springline/app/advise.h"
#include "springline/app/forecast_view.h"
#include "springline/app/picture.h"
#include "springline/cli/commands.h"
#include "springline/cli/file.h"
#include "springline/cli/options.h"
#include "springline/cli/output.h"

static enum status put_sheet(struct cli_session *session, const struct history *history,
                             struct arena *arena, struct error *error)
{
    struct text sheet = {0}, shown = {0};
    struct lines forecast = {0};
    struct signed_rows signed_rows = {0};

    enum status status =
        forecast_view_tell(&session->app, history, ARCH_NONE, arena, &forecast, error);
    if (status == STATUS_OK)
        status = store_read_signed(session->app.store, &history->casefile->head.record, arena,
                                   &signed_rows, error);
    if (status != STATUS_OK)
        return status;
    chart_text(&sheet, history, &signed_rows, &forecast, session->app.today, CLI_SHEET_COLUMNS);
    cli_add_lines(&shown, text_string(&sheet));
    shown.failed = shown.failed || sheet.failed;
    text_release(&sheet);
    return cli_put(session->start->out, &shown, error);
}

static enum status write_file(struct cli_session *session, const char *path, struct text *drawing,
                              struct error *error)
{
    bool there = access(path, F_OK) == 0;
    struct cli_file file;

    enum status status = cli_file_begin(&file, path, error);
    if (status != STATUS_OK) {
        text_release(drawing);
        return status;
    }
    status = cli_put(file.out, drawing, error);
    if (status == STATUS_OK)
        status = cli_file_finish(&file, error);
    if (status == STATUS_OK)
        status = cli_file_place(&file, error);
    cli_file_drop(&file);
    if (status != STATUS_OK || !there)
        return status;
    struct text line = {0};
    text_add(&line, "springline: replaced: ");
    text_add_shown(&line, path);
    text_add(&line, "\n");
    return cli_put(session->start->err, &line, error);
}

static enum status put_svg(struct cli_session *session, const struct history *history,
                           const char *path, struct arena *arena, struct error *error)
{
    struct text drawing = {0};
    struct pictures pictures;

    enum status status = pictures_make(history, session->app.today, arena, &pictures, error);
    if (status != STATUS_OK)
        return status;
    pictures_svg(&pictures, &drawing);
    return write_file(session, path, &drawing, error);
}

enum status cli_chart(struct cli_session *session, struct error *error)
{
    const char *number = NULL, *svg = NULL;
    const struct cli_option options[] = {{"svg", &svg, NULL}};
    struct arena arena = {0};
    struct history history = {0};

    enum status status = cli_read_options(&session->call, options, 1, 1, 1, &number, error);
    if (status == STATUS_OK && svg != NULL && svg[0] == '\0')
        status = error_set(error, STATUS_USAGE, "--svg", "Give the file to draw into.");
    if (status == STATUS_OK)
        status = cli_only_text(session, "chart", error);
    if (status == STATUS_OK)
        status = cli_open(session, error);
    if (status == STATUS_OK)
        status = advise_load(&session->app, number, STORE_NOW, &arena, &history, error);
    if (status == STATUS_OK && svg != NULL)
        status = put_svg(session, &history, svg, &arena, error);
    else if (status == STATUS_OK)
        status = put_sheet(session, &history, &arena, error);
    arena_release(&arena);
    return status;
}
