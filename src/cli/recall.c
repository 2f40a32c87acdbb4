/* SPDX-License-Identifier: GPL-3.0-or-later */
/* recall: who must be called. */
#include "recall_sheet.h"
#include "springline/cli/commands.h"
#include "springline/cli/options.h"
#include "springline/cli/output.h"

static const struct cli_column columns[] = {
    {"case", COLUMN_TEXT},        {"family", COLUMN_TEXT},       {"given", COLUMN_TEXT},
    {"phone", COLUMN_TEXT},       {"group", COLUMN_WORD},        {"due_on", COLUMN_WORD},
    {"days_late", COLUMN_NUMBER}, {"last_seen", COLUMN_WORD},    {"last_verdict", COLUMN_WORD},
    {"safety", COLUMN_WORD},      {"last_contact", COLUMN_WORD}, {"booked", COLUMN_WORD},
};

enum { COLUMN_COUNT = sizeof columns / sizeof columns[0], WITHIN_MOST_DAYS = 3650 };

struct asked {
    day on;
    int32_t within;
    int group;
};

static enum status read_asked(struct cli_session *session, struct asked *asked, struct error *error)
{
    const char *on = NULL, *within = NULL, *group = NULL;
    const struct cli_option options[] = {
        {"on", &on, NULL}, {"within", &within, NULL}, {"group", &group, NULL}};

    *asked = (struct asked){session->app.today, 0, RECALL_NONE};
    enum status status = cli_read_options(&session->call, options, 3, 0, 0, NULL, error);
    if (status == STATUS_OK)
        status = cli_read_day("--on", on, &asked->on, error);
    if (status == STATUS_OK)
        status = cli_read_number("--within", within, WITHIN_MOST_DAYS, &asked->within, error);
    if (status == STATUS_OK)
        status = cli_read_word("--group", group, &words_recall_group, &asked->group, error);
    return status;
}

static void put_row(struct cli_table *table, const struct recall_row *row, day on)
{
    const struct case_state *state = row->state;
    char due[DAY_TEXT_SIZE], seen[DAY_TEXT_SIZE], contact[DAY_TEXT_SIZE], booked[DAY_TEXT_SIZE];
    struct text late = {0}, verdict = {0}, safety = {0};

    text_addf(&late, "%d", (int)row->days_late);
    recall_verdict(&verdict, state);
    lists_safety(&safety, row, on);
    const char *const cells[COLUMN_COUNT] = {recall_text(state->number),
                                             recall_text(state->family),
                                             recall_text(state->given),
                                             recall_text(state->phone),
                                             word_text(&words_recall_group, (int)row->group),
                                             day_to_text(row->due_on, due),
                                             text_string(&late),
                                             day_to_text(state->last_seen, seen),
                                             text_string(&verdict),
                                             text_string(&safety),
                                             day_to_text(state->last_contact, contact),
                                             day_to_text(row->booked, booked)};
    cli_table_row(table, cells);
    table->failed = table->failed || late.failed || verdict.failed || safety.failed;
    text_release(&late);
    text_release(&verdict);
    text_release(&safety);
}

static enum status put_list(struct cli_session *session, const struct asked *asked,
                            const struct recall_list *list, struct error *error)
{
    struct cli_table table;

    if (session->call.format == FORMAT_TEXT)
        return recall_put_text(session, asked->on, list, error);
    cli_table_begin(&table, session->start->out, session->call.format, columns, COLUMN_COUNT);
    for (size_t i = 0; i < list->count; i++)
        put_row(&table, &list->rows[i]->row, asked->on);
    enum status status = cli_table_end(&table, error);
    return status == STATUS_OK && list->count == 0 ? cli_nothing(error) : status;
}

enum status cli_recall(struct cli_session *session, struct error *error)
{
    struct arena arena = {0};
    struct recall_list list = {0};
    struct asked asked;

    enum status status = read_asked(session, &asked, error);
    if (status == STATUS_OK)
        status = cli_open(session, error);
    if (status == STATUS_OK)
        status = lists_recall(&session->app, asked.on, asked.within, (enum recall_group)asked.group,
                              &arena, &list, error);
    if (status == STATUS_OK)
        status = put_list(session, &asked, &list, error);
    arena_release(&arena);
    return status;
}
