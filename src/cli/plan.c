/* SPDX-License-Identifier: GPL-3.0-or-later */
/* plan: what a case's measurements, target and protocol come to, nothing recorded. */
#include "springline/app/advise.h"
#include "springline/app/plan_view.h"
#include "springline/cli/commands.h"
#include "springline/cli/options.h"
#include "springline/cli/output.h"

static const struct cli_column columns[] = {
    {"case", COLUMN_TEXT},          {"arch", COLUMN_WORD},        {"on", COLUMN_WORD},
    {"section", COLUMN_WORD},       {"name", COLUMN_WORD},        {"value", COLUMN_NUMBER},
    {"least", COLUMN_NUMBER},       {"most", COLUMN_NUMBER},      {"word", COLUMN_WORD},
    {"from_earliest", COLUMN_WORD}, {"from_latest", COLUMN_WORD}, {"to_earliest", COLUMN_WORD},
    {"to_latest", COLUMN_WORD},     {"text", COLUMN_TEXT},
};

enum { COLUMN_COUNT = sizeof columns / sizeof columns[0] };

static void put_line(struct cli_table *table, const struct plan_view *view,
                     const struct plan_line *line)
{
    char on[DAY_TEXT_SIZE], days[4][DAY_TEXT_SIZE];
    const char *const cells[COLUMN_COUNT] = {view->history.casefile->number,
                                             word_text(&words_arch, (int)line->arch),
                                             day_to_text(view->on, on),
                                             line->section,
                                             line->name,
                                             line->value,
                                             line->least,
                                             line->most,
                                             line->word,
                                             day_to_text(line->from_earliest, days[0]),
                                             day_to_text(line->from_latest, days[1]),
                                             day_to_text(line->to_earliest, days[2]),
                                             day_to_text(line->to_latest, days[3]),
                                             line->text};

    cli_table_row(table, cells);
}

static enum status put_table(struct cli_session *session, const struct plan_view *view,
                             struct error *error)
{
    struct cli_table table;

    cli_table_begin(&table, session->start->out, session->call.format, columns, COLUMN_COUNT);
    for (size_t i = 0; i < view->count; i++)
        put_line(&table, view, &view->lines[i]);
    return cli_table_end(&table, error);
}

static enum status put_text(struct cli_session *session, const struct plan_view *view,
                            struct arena *arena, struct error *error)
{
    struct lines lines = {0};
    struct text out = {0};

    if (!plan_view_tell(view, arena, &lines))
        return error_no_memory(error);
    for (size_t i = 0; i < lines.count; i++) {
        bool sentence = lines.line[i][0] == ' ';

        text_add(&out, i > 0 && !sentence ? "\n" : "");
        if (sentence)
            cli_add_wrapped(&out, "  ", lines.line[i] + 2, CLI_SHEET_COLUMNS);
        else
            cli_add_wrapped(&out, "", lines.line[i], CLI_SHEET_COLUMNS);
    }
    return cli_put(session->start->out, &out, error);
}

enum status cli_plan(struct cli_session *session, struct error *error)
{
    struct arena arena = {0};
    struct history history = {0};
    struct plan_view view;
    const char *number = NULL;

    enum status status = cli_read_options(&session->call, NULL, 0, 1, 1, &number, error);
    if (status == STATUS_OK)
        status = cli_open(session, error);
    if (status == STATUS_OK)
        status = advise_load(&session->app, number, STORE_NOW, &arena, &history, error);
    if (status == STATUS_OK)
        status =
            plan_view_read(&session->app, &history.casefile->head.record, &arena, &view, error);
    if (status == STATUS_OK)
        status = session->call.format == FORMAT_TEXT ? put_text(session, &view, &arena, error)
                                                     : put_table(session, &view, error);
    arena_release(&arena);
    return status;
}
