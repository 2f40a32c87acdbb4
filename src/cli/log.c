/* SPDX-License-Identifier: GPL-3.0-or-later */
/* log: who signed in, failed to, was refused, took data out. */
#include "springline/app/lists_log.h"
#include "springline/cli/commands.h"
#include "springline/cli/options.h"
#include "springline/cli/output.h"

static const struct cli_column columns[] = {
    {"at", COLUMN_WORD},      {"what", COLUMN_WORD},   {"login", COLUMN_TEXT},
    {"person", COLUMN_TEXT},  {"seat", COLUMN_TEXT},   {"command", COLUMN_WORD},
    {"subject", COLUMN_TEXT}, {"detail", COLUMN_TEXT},
};

enum { COLUMN_COUNT = sizeof columns / sizeof columns[0], DETAIL_COLUMN = 7, DETAIL_LEAST = 24 };

static enum status put_log(struct cli_session *session, const struct log_list *list,
                           struct error *error)
{
    const struct cli_layout layout = {.line = cli_line_cells(session->start->out),
                                      .ranks = {0, 0, 0, 3, 2, 1, 1, 0},
                                      .flexible = DETAIL_COLUMN,
                                      .least = DETAIL_LEAST};
    struct cli_table table;

    cli_table_begin(&table, session->start->out, session->call.format, columns, COLUMN_COUNT);
    if (session->call.format == FORMAT_TEXT)
        table.layout = &layout;
    for (size_t i = 0; i < list->count; i++) {
        const struct listed_log *row = &list->rows[i];
        char at[INSTANT_TEXT_SIZE];
        const char *const cells[COLUMN_COUNT] = {instant_to_text(row->recorded_at, at),
                                                 row->what,
                                                 row->login,
                                                 row->person,
                                                 row->seat,
                                                 row->command,
                                                 row->subject,
                                                 row->detail};
        cli_table_row(&table, cells);
    }
    enum status status = cli_table_end(&table, error);
    return status == STATUS_OK && list->count == 0 ? cli_nothing(error) : status;
}

enum status cli_log(struct cli_session *session, struct error *error)
{
    struct log_asked asked = {.from = DAY_NONE, .to = DAY_NONE, .folded = ""};
    const char *from = NULL, *to = NULL;
    const struct cli_option options[] = {{"from", &from, NULL}, {"to", &to, NULL}};
    struct arena arena = {0};
    struct log_list list = {0};

    enum status status = cli_read_options(&session->call, options, 2, 0, 0, NULL, error);
    if (status == STATUS_OK)
        status = cli_read_day("--from", from, &asked.from, error);
    if (status == STATUS_OK)
        status = cli_read_day("--to", to, &asked.to, error);
    if (status == STATUS_OK)
        status = cli_open(session, error);
    if (status == STATUS_OK)
        status = lists_log(&session->app, &asked, &arena, &list, error);
    if (status == STATUS_OK)
        status = put_log(session, &list, error);
    arena_release(&arena);
    return status;
}
